"""Generation 3's C++ headers: what compiles without a warning, with which defaults, and what is refused in words."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from coloraide.css import color_names

INCLUDE = Path(__file__).resolve().parents[2] / "grammars" / "wick3" / "include"
GXX = shutil.which("g++")
pytestmark = pytest.mark.skipif(GXX is None, reason="no g++ on this machine: the generation 3 headers are not compiled")

STRICT = ["-std=c++14", "-pedantic-errors", "-Wall", "-Wextra", "-ffp-contract=off", f"-I{INCLUDE}"]


def gxx(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run g++; its messages come back in English."""
    return subprocess.run(
        [str(GXX), *arguments],
        capture_output=True,
        text=True,
        timeout=110,
        env={"PATH": "/usr/bin:/bin", "LC_ALL": "C"},
    )


INSTANT = ("ignite", "retract", "clash", "blast")
HELD = ("lock", "drag", "melt")

# ---- what compiles --------------------------------------------------------------------------------------

PAINT = "rgb<255, 120, 40>"
EVERY_STYLE = [
    *[
        f"pile<css::linen, on<ev::{e}, css::NAME, {s}>>".replace("NAME", "snow")
        for e in INSTANT
        for s in ("burst<80>", "hit<10, 300>")
    ],
    *[
        f"pile<css::linen, spot<ev::{e}, css::snow, 90, {s}>>"
        for e in HELD
        for s in ("burst<80>", "hit<1, 3>", "held<50, 90>")
    ],
    *[
        f"pile<blend<{PAINT}, duty<1, 2, 3>, {w}>>"
        for w in (
            "k<0>",
            "k<1000>",
            "lfo<sine, 1>",
            "lfo<triangle, 65535, 1000>",
            "lfo<saw, 9>",
            "lfo<square, 9, 0>",
            "held_noise<1, whole>",
            "soft_noise<1000, each>",
            "held_noise<50, 45>",
            "sound<>",
            "sound<40>",
            "swing<>",
            "swing<300>",
            "tilt<>",
            "twist<>",
            "near<place<ev::lock>, 90>",
            "hilt<90>",
            "tip<90>",
            "along<>",
            "upon<ev::melt, held<0, 0>>",
            "place<ev::drag>",
            "strength<ev::clash>",
            "since<ev::retract, 500>",
            "product<k<1>>",
            "product<k<1>, k<2>, k<3>>",
            "inverse<k<1>>",
            "most<k<1>, k<2>>",
            "least<k<1>, k<2>>",
            "past<along<>, 0>",
            "ease<along<>, curve::ease_in_out>",
            "slew<swing<>, 0, 65535>",
        )
    ],
    *[
        f"pile<{p}>"
        for p in (
            f"bands<1, -65535, {PAINT}, {PAINT}>",
            f"soft_bands<65535, 65535, {PAINT}, {PAINT}, {PAINT}>",
            f"ramp<{PAINT}, {PAINT}>",
            f"ramp<stop<0, {PAINT}>, stop<0, css::red>, stop<1000, {PAINT}>>",
            f"hearth<{PAINT}, css::red>",
            f"hearth<{PAINT}, css::red, 60>",
            f"hearth<{PAINT}, css::red, 60, -90>",
            f"shade<{PAINT}, k<5>>",
            f"sway<{PAINT}, css::red, 800>",
        )
    ],
    f"pile<{PAINT}, veil<{PAINT}, k<5>>, gleam<{PAINT}, k<5>>, edge<{PAINT}, 30>, power<wipe<300>, wipe<450, 20>>>",
    f"pile<{PAINT}, power<dissolve<300>, iris<450, 500>>>",
    f"pile<{PAINT}, power<chain<rest<9>, {PAINT}, cut<>, {PAINT}, wipe<9>>, cut<>>>",
    "wick::pile<wick::css::red, wick::power<wick::cut<>, wick::cut<>>>",
]


def test_every_construct_compiles_without_a_warning(tmp_path: Path) -> None:
    config = tmp_path / "config.cpp"
    uses = "\n".join(f"using style_{i} = {text};" for i, text in enumerate(EVERY_STYLE))
    rows = "\n".join(f'  slot<style_{i}>("quay", "Lantern Quay"),' for i in range(len(EVERY_STYLE)))
    config.write_text(
        "#define WICK_GENERATION 3\n#include <wick/pile.h>\nusing namespace wick;\n"
        "constexpr int blade_pixels = 132;\nconstexpr int pixels_per_metre = 144;\n"
        f"{uses}\nwick_slots slots = {{\n{rows}\n}};\nint main() {{}}\n"
    )
    result = gxx(*STRICT, "-Werror", "-fsyntax-only", str(config))
    assert (result.returncode, result.stderr) == (0, "")


def test_defaults_are_those_of_the_family(tmp_path: Path) -> None:
    pairs = {  # family.md sections 4 and 5; the clash's 60 from section 2
        "hearth<P, P>": "hearth<P, P, 45, 90>",
        "sound<>": "sound<0>",
        "swing<>": "swing<450>",
        "wipe<9>": "wipe<9, 0>",
        "lfo<sine, 9>": "lfo<sine, 9, 0>",
        "k<whole>": "k<1000>",
        "k<each>": "k<0>",
        "flutter<P, P>": "flutter<P, P, 50>",
        "dapple<P, P>": "dapple<P, P, 50>",
        "whirl<P, P>": "whirl<P, P, 450>",
        "clash_sleeve<P, P>": "clash_sleeve<P, P, 60>",
        "blast_sleeve<P, P>": "blast_sleeve<P, P, 9, 300>",
        "glare_sleeve<P, P>": "glare_sleeve<P, P, 0>",
        "lock_sleeve<P, Q>": "lock_sleeve<P, Q, Q, 12>",
    }
    source = "#include <wick/compat2.h>\nusing namespace wick;\nusing P = css::red;\nusing Q = css::tan;\n"
    source += "".join(f'static_assert(std::is_same<{a}, {b}>::value, "{a}");\n' for a, b in pairs.items())
    (tmp_path / "defaults.cpp").write_text(source)
    result = gxx(*STRICT, "-DWICK_QUIET_COMPAT", "-fsyntax-only", str(tmp_path / "defaults.cpp"))
    assert (result.returncode, result.stderr) == (0, "")


def test_css_names_are_those_of_level_4(tmp_path: Path) -> None:
    # coloraide gives the codes 0 to 255 as floats, and an alpha; `transparent` is no opaque colour
    names = color_names.name2val_map
    codes = {name: tuple(int(v) for v in names[name][:3]) for name in names if name != "transparent"}
    # the first two are wrong in some releases of coloraide, the third is lacking in some packages: from checks.md
    codes |= {
        "mediumpurple": (0x93, 0x70, 0xDB),
        "palevioletred": (0xDB, 0x70, 0x93),
        "rebeccapurple": (0x66, 0x33, 0x99),
    }
    assert len(codes) == 148
    header = (INCLUDE / "wick" / "css.h").read_text()
    assert sorted(re.findall(r"^using (\w+) =", header, re.M)) == sorted(codes)
    source = "#include <wick/pile.h>\n" + "".join(
        f'static_assert(std::is_same<wick::css::{name}, wick::rgb<{r}, {g}, {b}>>::value, "{name}");\n'
        for name, (r, g, b) in codes.items()
    )
    (tmp_path / "names.cpp").write_text(source)
    result = gxx(*STRICT, "-fsyntax-only", str(tmp_path / "names.cpp"))
    assert (result.returncode, result.stderr) == (0, "")


def test_compat_warns_where_it_is_used_and_still_compiles(tmp_path: Path) -> None:
    config = tmp_path / "compat.cpp"
    config.write_text(
        "#include <wick/compat2.h>\nusing old = wick::clash_sleeve<wick::css::red, wick::css::snow>;\nold* shown;\n"
    )
    loud = gxx(*STRICT, "-fsyntax-only", str(config))
    assert loud.returncode == 0
    assert loud.stderr.count("Wdeprecated-declarations") == 1 and "use on<ev::clash, C, burst<MS>>" in loud.stderr
    quiet = gxx(*STRICT, "-Werror", "-DWICK_QUIET_COMPAT", "-fsyntax-only", str(config))
    assert (quiet.returncode, quiet.stderr) == (0, "")
    config.write_text("#include <wick/compat2.h>\n")
    unused = gxx(*STRICT, "-Werror", "-fsyntax-only", str(config))
    assert (unused.returncode, unused.stderr) == (0, "")


def test_compat_has_no_tape_paints_and_pile_has_no_sleeves(tmp_path: Path) -> None:
    source = tmp_path / "absent.cpp"
    for header, name in (("compat2.h", "from_tape"), ("pile.h", "clash_sleeve"), ("pile.h", "flip")):
        source.write_text(f"#include <wick/{header}>\nusing wick::{name};\n")
        result = gxx(*STRICT, "-fsyntax-only", str(source))
        assert result.returncode != 0 and f"{name}' has not been declared" in result.stderr


def test_two_files_of_one_program_may_include_the_headers(tmp_path: Path) -> None:
    use = "#include <wick/compat2.h>\n"
    (tmp_path / "one.cpp").write_text(use + "int other();\nint main() { return other(); }\n")
    (tmp_path / "two.cpp").write_text(use + "int other() { return int(wick_slots{}.size()); }\n")
    built = gxx(*STRICT, str(tmp_path / "one.cpp"), str(tmp_path / "two.cpp"), "-o", str(tmp_path / "both"))
    assert built.returncode == 0, built.stderr
    assert subprocess.run([str(tmp_path / "both")], timeout=20).returncode == 0


# ---- what is refused --------------------------------------------------------------------------------------

REFUSED = {  # a style or part, and the words that the message must have; each mistake on types of its own
    # counts
    "rgb<1, 2>": "rgb<R, G, B> takes three arguments",
    "duty<1, 2, 3, 4>": "duty<R, G, B> takes three arguments",
    "blend<rgb<1, 1, 1>, rgb<1, 1, 1>>": "blend<A, B, W> takes three arguments",
    "bands<10, 20>": "bands<MIL, MIL_S, A, ...> takes a width, a speed and paints",
    "soft_bands<10>": "soft_bands<MIL, MIL_S, A, ...> takes a width, a speed and paints",
    "ramp<>": "ramp<A, ...> takes at least one argument",
    "ramp<stop<3>>": "stop<MIL, C> takes two arguments",
    "hearth<css::red>": "hearth<A, B, MIL, MIL_S> takes two to four arguments",
    "sway<css::red, css::tan>": "sway<A, B, MS> takes three arguments",
    "shade<css::red>": "shade<P, W> takes two arguments",
    "pile<>": "takes at least a ground",
    "pile<css::red, veil<css::red>>": "veil<P, W> takes two arguments",
    "pile<css::red, gleam<css::red, k<1>, k<2>>>": "gleam<P, W> takes two arguments",
    "pile<css::red, on<ev::clash, css::red>>": "on<EVENT, P, SHAPE> takes three arguments",
    "pile<css::red, spot<ev::clash, css::red, 3>>": "spot<EVENT, P, MIL, SHAPE> takes four arguments",
    "pile<css::red, edge<css::red>>": "edge<P, MIL> takes two arguments",
    "pile<css::red, power<cut<>>>": "power<RISE, FALL> takes two arguments",
    "pile<css::red, power<chain<cut<>, css::red>, cut<>>>": (
        "chain<T, P, T, ...> takes transitions with a paint between two"
    ),
    "shade<css::red, k<>>": "k<MIL> takes one argument",
    "shade<css::red, lfo<sine>>": "lfo<WAVE, MS, PHASE> takes two or three arguments",
    "shade<css::red, held_noise<3>>": "held_noise<HZ, GRAIN> takes two arguments",
    "shade<css::red, swing<3, 4>>": "swing<DPS> takes at most one argument",
    "shade<css::red, tilt<k<1>>>": "tilt<> takes no argument",
    "shade<css::red, product<>>": "product<W, ...> takes at least one argument",
    "shade<css::red, slew<k<1>, 3>>": "slew<W, UP_MS, DOWN_MS> takes three arguments",
    "shade<css::red, upon<ev::clash>>": "upon<EVENT, SHAPE> takes two arguments",
    "shade<css::red, upon<ev::clash, hit<3>>>": "hit<ATTACK, DECAY> takes two arguments",
    # ranges
    "rgb<256, 0, 0>": "rgb<R, G, B>: R must be 0 to 255",
    "duty<0, -1, 0>": "duty<R, G, B>: G must be 0 to 255",
    "shade<css::red, k<1001>>": "k<MIL>: MIL must be 0 to 1000",
    "shade<css::red, lfo<saw, 0>>": "lfo<WAVE, MS, PHASE>: MS must be 1 to 65535",
    "shade<css::red, lfo<saw, 9, 1001>>": "PHASE must be 0 to 1000",
    "shade<css::red, soft_noise<0, whole>>": "HZ must be 1 to 1000",
    "shade<css::red, held_noise<9, 1001>>": "GRAIN must be 0 to 1000",
    "shade<css::red, past<k<5>, 1001>>": "past<W, MIL>: MIL must be 0 to 1000",
    "shade<css::red, hilt<-1>>": "hilt<MIL>: MIL must be 0 to 65535",
    "bands<0, 3, css::red, css::tan>": "bands<MIL, MIL_S, A, ...>: MIL must be 1 to 65535",
    "bands<3, 70000, css::red, css::tan>": "MIL_S must be -65535 to 65535",
    "hearth<css::red, css::tan, 0>": "hearth<A, B, MIL, MIL_S>: MIL must be 1 to 65535",
    "sway<css::red, css::tan, 0>": "sway<A, B, MS>: MS must be 1 to 65535",
    "ramp<stop<1001, css::red>>": "stop<MIL, C>: MIL must be 0 to 1000",
    "pile<css::red, on<ev::clash, css::red, burst<65536>>>": "burst<MS>: MS must be 0 to 65535",
    "pile<css::red, power<iris<9, 1001>, cut<>>>": "iris<MS, POS>: POS must be 0 to 1000",
    "ramp<stop<500, css::red>, stop<499, css::tan>>": "stops must not fall",
    # sorts
    "blend<int, css::red, k<2>>": "blend<A, B, W>: A must be a paint",
    "blend<css::red, k<1>, k<2>>": "blend<A, B, W>: B must be a paint",
    "blend<css::red, css::red, css::tan>": "blend<A, B, W>: W must be a signal",
    "blend<css::red, pile<css::red>, k<3>>": "blend<A, B, W>: B: a style is not a paint",
    "bands<3, 3, css::red, k<3>>": "A, ... must be paints",
    "ramp<stop<0, css::red>, css::red>": "either all are stops or none is",
    "shade<stop<0, css::red>, k<4>>": "shade<P, W>: P must be a paint",
    "shade<css::red, lfo<css::red, 9>>": "WAVE must be sine, triangle, saw or square",
    "shade<css::red, ease<k<1>, sine>>": "CURVE must be an easing",
    "shade<css::red, product<k<1>, css::red>>": "product<W, ...>: every W must be a signal",
    "shade<css::red, place<sine>>": "place<EVENT>: EVENT must be an event",
    "pile<css::red, css::tan>": "every SHEET must be a sheet",
    "pile<k<7>>": "GROUND must be a paint",
    "pile<pile<css::red>>": "GROUND: a style is not a paint",
    "pile<css::red, veil<pile<css::tan>, k<5>>>": "veil<P, W>: P: a style is not a paint",
    "pile<css::red, on<css::red, css::red, burst<7>>>": "on<EVENT, P, SHAPE>: EVENT must be an event",
    "pile<css::red, on<ev::clash, css::red, cut<>>>": "SHAPE must be a shape",
    "pile<css::red, on<ev::clash, css::red, held<0, 0>>>": "held needs a held event, lock, drag or melt",
    "pile<css::red, spot<ev::blast, css::red, 9, held<0, 1>>>": "held needs a held event, lock, drag or melt",
    "shade<css::red, upon<ev::ignite, held<0, 2>>>": "held needs a held event, lock, drag or melt",
    "pile<css::red, power<css::red, cut<>>>": "power<RISE, FALL>: RISE must be a transition",
    "pile<css::red, power<cut<>, burst<9>>>": "power<RISE, FALL>: FALL must be a transition",
    "pile<css::red, power<chain<cut<>, k<9>, cut<>>, cut<>>>": "chain<T, P, T, ...>: P must be a paint",
    "pile<css::red, power<chain<css::tan, css::tan, cut<>>, cut<>>>": "chain<T, P, T, ...>: T must be a transition",
    "pile<css::red, power<chain<cut<>, css::tan, css::tan>, cut<>>>": "chain<T, P, T, ...>: T must be a transition",
    "pile<css::red, power<cut<>, cut<>>, veil<css::red, k<6>>>": "power must be the last sheet",
    "k<8>": "STYLE must be a style",
    "int": "STYLE must be a style",
    # compat2
    "dim<css::red, 101>": "dim<A, PCT>: PCT must be 0 to 100",
    "flutter<css::red, css::red, 0>": "flutter<A, B, HZ>: HZ must be 1 to 1000",
    "clash_sleeve<css::red>": "clash_sleeve<IN, C, MS> takes two or three arguments",
    "clash_sleeve<power_sleeve<css::red, 1, 1>, css::red>": "IN cannot be a style",
    "collar_sleeve<pile<css::navy>, css::red, 1>": "IN cannot be a style",
    "collar_sleeve<css::red, clash_sleeve<css::red, css::red>, 1>": "C: a sleeve is not a paint",
    "blast_sleeve<k<1>, css::red>": "IN must be a paint or a sleeve",
    "pile<power_sleeve<css::red, 1, 2>>": "GROUND: a style is not a paint",
    "power_sleeve<css::red, 1, 65536>": "DOWN_MS must be 0 to 65535",
}


@pytest.fixture(scope="module")
def refusals(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    """The messages of the static_asserts that each text of REFUSED sets off, all from one compilation."""
    file = tmp_path_factory.mktemp("refused") / "refused.cpp"
    lines = ["#include <wick/compat2.h>", "using namespace wick;"]
    lines += [f'wick_slot refused_{i} = slot<{text}>("quay", "Quay");' for i, text in enumerate(REFUSED)]
    file.write_text("\n".join(lines) + "\n")
    result = gxx(*STRICT, "-DWICK_QUIET_COMPAT", "-fmax-errors=0", "-fsyntax-only", str(file))
    assert result.returncode != 0
    found: dict[str, list[str]] = {text: [] for text in REFUSED}
    line = 0
    for message in result.stderr.splitlines():
        # the last line of ours that g++ names before an error is the use that set it off
        if place := re.match(rf"{re.escape(str(file))}:(\d+):", message):
            line = int(place[1])
        if text := re.search(r"error: static assertion failed: (wick: .*)", message):
            found[list(REFUSED)[line - 3]].append(text[1])
    return found


@pytest.mark.parametrize("text", REFUSED)
def test_a_mistake_is_refused_in_words(refusals: dict[str, list[str]], text: str) -> None:
    assert any(REFUSED[text] in message for message in refusals[text]), refusals[text]


def test_a_type_where_a_number_belongs_is_refused(tmp_path: Path) -> None:
    source = tmp_path / "mismatch.cpp"
    for text in (
        "wick::k<wick::css::red>",
        "wick::blend<3, wick::css::red, wick::k<1>>",
        "wick::near<wick::k<1>, wick::k<1>>",
    ):
        source.write_text(f"#include <wick/pile.h>\nusing wrong = {text};\n")
        result = gxx(*STRICT, "-fsyntax-only", str(source))
        assert result.returncode != 0 and "type/value mismatch at argument" in result.stderr
