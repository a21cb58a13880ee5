"""Generation 4's C++ headers: mistakes rejected in words, the warnings of compat3.h, and forms that compile."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

INCLUDE = Path(__file__).resolve().parents[2] / "grammars" / "wick4" / "include"
GXX = shutil.which("g++")
WARN = ["-std=c++20", "-pedantic-errors", "-Wall", "-Wextra", "-ffp-contract=off", f"-I{INCLUDE}"]

pytestmark = pytest.mark.skipif(GXX is None, reason="no g++ on this machine: generation 4's headers are not compiled")

BLACK, WHITE = "duty<0, 0, 0>", "duty<200, 200, 200>"
GOOD_CUE = f"when<clash>, paint<{WHITE}>"
MISTAKES: dict[str, str] = {
    f"blend<{WHITE}, {BLACK}, by<along<>>, width<mm<3>>>": "blend has an argument here that is none of its tags",
    f"blend<{WHITE}, {BLACK}, by<along<>>, by<tilt<>>>": "blend has the same tag twice",
    f"blend<{WHITE}, {BLACK}, in<srgb>>": "blend needs by<...>",
    f"blend<{WHITE}, along<>, by<along<>>>": "blend<A, B, ...> begins with two paints",
    f"blend<{WHITE}>": "wrong number of template arguments",
    f"by<{WHITE}>": "by<...> takes a signal",
    f"bands<paints<{WHITE}>, width<mm<0>>, speed<mm_s<1>>>": "the width of bands is above 0",
    f"bands<paints<{WHITE}>, speed<mm_s<1>>>": "bands needs width<...>",
    "bands<paints<along<>>, width<mm<3>>, speed<mm_s<1>>>": "paints<...> takes paints",
    f"ramp<in<srgb>, {WHITE}>": "ramp<...> puts its paints before its tags",
    f"ramp<{WHITE}, stop<at<pct<50>>, {WHITE}>>": "takes paints or stops, not both",
    f"ramp<stop<at<pct<50>>, {WHITE}>, stop<at<pct<40>>, {BLACK}>>": "the stops of ramp<...> must not fall",
    f"hearth<{WHITE}, {BLACK}, grain<each>, speed<mm_s<3>>>": "the grain of hearth is a length",
    "edges<hold>": "edges<...> takes hard or soft",
    "kind<hard>": "kind<...> takes hold, soft or drift",
    "in<duty>": "in<...> takes oklab, linear or srgb",
    "width<ms<3>>": "width<...> takes mm<...>",
    "mm<-1>": "mm<...> is 0 to 100000",
    "pct<100.5>": "pct<...> is 0 to 100",
    "hz<0>": "hz<...> is 0.001 to 1000",
    "ms<10000001>": "ms<...> is 0 to 10000000",
    "srgb<256, 0, 0>": "a channel of srgb<...> is 0 to 255",
    "srgb<1.5, 0, 0>": "srgb<...> takes plain integers",
    "duty<1, 2>": "duty<...> takes three channels",
    "oklch<50, 0, 0>": "the L of oklch<L, C, H> is 0 to 1",
    'named<"harbourblue">': "not one of the 148 CSS Color Level 4 names",
    'named<"Red">': "not one of the 148 CSS Color Level 4 names",
    "count<2.5>": "count<...> takes a plain integer",
    "lfo<clash, period<ms<3>>>": "lfo<WAVE, ...> begins with sine",
    "lfo<sine, period<ms<0>>>": "the period of lfo is above 0",
    "noise<kind<hold>, rate<hz<3>>>": "noise needs grain<...>",
    "ease<along<>, clash>": "takes a curve",
    "steps<1, jump_none>": "needs 1 step, with jump_none 2",
    "cubic_bezier<1.5, 0, 1, 1>": "X1 and X2 of cubic_bezier are 0 to 1",
    "keys<at<ms<9>, along<>>, at<ms<8>, along<>>>": "the times of keys<...> must not fall",
    "keys<at<pct<9>>>": "keys<...> takes at<ms<...>, W>",
    "upon<clash, shape<attack<ms<5>>, release<ms<5>>>>": "release<...> belongs to held events",
    "upon<retract>": "an instant event needs a shape",
    "shape<burst<ms<5>>, decay<ms<5>>>": "is the whole of a shape",
    f"cue<{GOOD_CUE}>": "an instant event needs a shape",
    f"cue<when<blast>, paint<{WHITE}>, shape<release<ms<5>>>>": "release<...> belongs to held events",
    f"cue<paint<{WHITE}>, shape<burst<ms<5>>>>": "cue needs when<...>",
    f"cue<{GOOD_CUE}, shape<burst<ms<5>>>, reach<mm<3>>, scatter<count<3>, reach<mm<9>>>>": "no reach<...> of its own",
    f"gleam<{WHITE}, by<along<>>, in<srgb>>": "in<linear> is all it can say",
    "chain<cut<>, cut<>, cut<>>": "takes transitions and paints by turns",
    "wipe<soft<mm<5>>>": "wipe needs over<...>",
    f"score<veil<{WHITE}, by<along<>>>, ground<{WHITE}>>": "has one ground<...>, and it stands first",
    f"score<ground<{WHITE}>, power<rise<cut<>>, fall<cut<>>>, edge<{WHITE}, width<mm<3>>>>": "and it stands last",
    f"score<ground<{WHITE}>, {BLACK}>": "score<...> takes layers",
    f'slot<style<{WHITE}>, sounds<"a">, label<"b">>': "style<...> takes a score",
    f'slot<style<score<ground<{WHITE}>>>, sounds<"a">>': "slot needs label<...>",
    "v3::k<1001>": "k is 0 to 1000",
    f"on<ev::clash, {WHITE}, held<0, 5>>": "held<...> belongs to held events",
    f"v3::veil<{WHITE}, along<>>": "'veil' in namespace 'wick::v3' does not name a template type",
    f"v3::gleam<{WHITE}, along<>>": "'gleam' in namespace 'wick::v3' does not name a template type",
    f"v3::edge<{WHITE}, 30>": "'edge' in namespace 'wick::v3' does not name a template type",
    "v3::power<cut<>, cut<>>": "'power' in namespace 'wick::v3' does not name a template type",
    "v3::wipe<300>": "'wipe' in namespace 'wick::v3' does not name a template type",
    f"pile<{WHITE}>": "'pile' does not name a type",
    f"v3::bands<0, 5, {WHITE}>": "the width of bands is 1 to 65535",
}  # fmt: skip


@pytest.fixture(scope="module")
def complaints(tmp_path_factory: pytest.TempPathFactory) -> dict[int, str]:
    """What g++ says of each line of a file with one mistake a line, none of them used by any style."""
    where = tmp_path_factory.mktemp("mistakes")
    head = "#define WICK_QUIET_COMPAT\n#include <wick/compat3.h>\nusing namespace wick;\n"
    lines = [f"using m{i} = {text};\n" for i, text in enumerate(MISTAKES)]
    (where / "mistakes.cpp").write_text(head + "".join(lines))
    run = [str(GXX), *WARN, "-fsyntax-only", "-fmax-errors=0", "mistakes.cpp"]
    done = subprocess.run(run, cwd=where, capture_output=True, text=True, env={"LC_ALL": "C", "PATH": "/usr/bin:/bin"})
    assert done.returncode != 0
    said: dict[int, str] = {}
    line = 0
    for text in done.stderr.splitlines():
        if found := re.match(r"mistakes\.cpp:(\d+):\d+:\s+(required from here|error: .*)", text):
            line = int(found[1]) - 4
            said[line] = said.get(line, "") + (found[2] if found[2].startswith("error") else "")
        elif "error: " in text:
            said[line] = said.get(line, "") + text
    return said


@pytest.mark.parametrize("number", range(len(MISTAKES)), ids=list(MISTAKES))
def test_a_mistake_is_rejected_in_words(complaints: dict[int, str], number: int) -> None:
    assert list(MISTAKES.values())[number] in complaints.get(number, "")


def compile_only(where: Path, text: str) -> subprocess.CompletedProcess[str]:
    (where / "one.cpp").write_text(text)
    return subprocess.run([str(GXX), *WARN, "-fsyntax-only", "one.cpp"], cwd=where, capture_output=True, text=True)


def test_compat_warns_but_compiles_until_quieted(tmp_path: Path) -> None:
    text = "#include <wick/compat3.h>\nusing old = wick::score<wick::ground<wick::rgb<1, 2, 3>>>;\n"
    loud = compile_only(tmp_path, text)
    assert loud.returncode == 0 and "write srgb<R, G, B>" in loud.stderr
    quiet = compile_only(tmp_path, "#define WICK_QUIET_COMPAT\n" + text)
    assert quiet.returncode == 0 and quiet.stderr == ""


def test_generation_3_needs_its_header(tmp_path: Path) -> None:
    names = ["rgb<1, 2, 3>", "sway<srgb<1, 2, 3>, srgb<3, 2, 1>, 500>", "held_noise<50, 0>", "css::red", "v3::k<3>"]
    text = "#include <wick/score.h>\n" + "".join(f"using x{i} = wick::{name};\n" for i, name in enumerate(names))
    done = compile_only(tmp_path, text)
    assert all(f"one.cpp:{i + 2}:" in done.stderr for i in range(len(names)))


def test_all_148_names_and_no_others(tmp_path: Path) -> None:
    from PIL import ImageColor  # identical with matplotlib's CSS4_COLORS and tinycss2

    table = {name: ImageColor.getrgb(name) for name in ImageColor.colormap}
    checks = "".join(
        f'static_assert(wick::detail::css_value("{name}") == {(c[0] << 16) + (c[1] << 8) + c[2]});\n'
        for name, c in table.items()
    )
    count = "static_assert(sizeof wick::detail::css_table / sizeof *wick::detail::css_table == 148);\n"
    done = compile_only(tmp_path, "#include <wick/score.h>\n" + count + checks)
    assert len(table) == 148 and done.returncode == 0, done.stderr[:2000]


def test_forms_that_makers_write(tmp_path: Path) -> None:
    text = r"""
#define WICK_GENERATION 4
#include <wick/score.h>
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;
#define STRIKE wick::named<"floralwhite">
constexpr int up_ms = 1'200;
constexpr double width_mm = 76.4;
template <class PAINT, int HOLD = 80>
using struck = wick::score<wick::ground<PAINT>,
  wick::cue<wick::shape<wick::burst<wick::ms<HOLD>>>, wick::when<wick::clash>, wick::paint<STRIKE>>,
  wick::power<wick::fall<wick::cut<>>, wick::rise<wick::wipe<wick::over<wick::ms<up_ms / 2>>>>>>;
using tide = wick::srgb<0x10, 0b101, (3 + 4) * 5>;
using quay = struck<wick::bands<wick::width<wick::mm<width_mm>>, wick::paints<tide, STRIKE>,
                                wick::speed<wick::mm_s<-66>>, wick::edges<wick::soft>>>;
static_assert(wick::ms<80>::us == wick::ms<80.0>::us && wick::ms<0.0125>::us == 13);
using table = wick::slots<wick::slot<wick::style<quay>, wick::sounds<"quay">, wick::label<"Quay, \"low\"">>>;
template class wick_performer<quay>;
"""
    done = compile_only(tmp_path, text)
    assert done.returncode == 0 and done.stderr == "", done.stderr[:3000]
