"""Generation 4's headers against hand-computed frames. What they reject: test_generation4_refusals.py.

All styles below stand in one translation unit, compiled once with g++ and played on one scene: a blade of 10 pixels,
10 mm apart (pixel i is centred at 10 i + 5 mm, x = (i + 0.5) / 10), 100 frames 10 ms apart. Every expected number is
worked out here from family.md and the language reference, or comes from the source named beside it.
"""

from __future__ import annotations

import math
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from coloraide import Color
from numpy.typing import NDArray

ROOT = Path(__file__).resolve().parents[2]
INCLUDE = ROOT / "grammars" / "wick4" / "include"
GXX = shutil.which("g++")
WARN = ["-std=c++20", "-pedantic-errors", "-Wall", "-Wextra", "-ffp-contract=off", f"-I{INCLUDE}"]
Frames = NDArray[np.uint8]

pytestmark = pytest.mark.skipif(GXX is None, reason="no g++ on this machine: generation 4's headers are not compiled")

SCENE = """blade 10 100
clock 100 10000 1
event 2 100000 100000 0.5 0.25
event 2 600000 600000 0.2 1
event 3 200000 200000 0.5 0.25
event 4 300000 500000 0.2 1
event 0 100000 100000 0 1
event 1 500000 500000 0 1
event 0 600000 600000 0 1
sensor 0 0 0
sensor 0 1000000 -900
sensor 1 0 90
sensor 2 0 -45
sensor 3 0 0
sensor 3 1000000 1
"""

BLACK, WHITE = "duty<0, 0, 0>", "duty<200, 200, 200>"  # a weight of half a tenth is then a whole duty
PLAIN = f"ground<{BLACK}>"
BLAST_HUMP = [0, 0, 0.0669873, 0.5, 0.9330127, 0.9330127, 0.5, 0.0669873, 0, 0]  # (1 + cos(2 pi d / 60)) / 2
BURN = "rise<wipe<over<ms<200>>>>, fall<wipe<over<ms<200>>>>"
NOISY = "noise<kind<hold>, rate<hz<20>>, grain<{}>>"


def shown(weight: str) -> str:
    """A score whose red, green and blue duties are the weight of a signal."""
    return f"{PLAIN}, veil<{WHITE}, by<{weight}>>"


def cued(tags: str) -> str:
    return f"{PLAIN}, cue<{tags}, paint<{WHITE}>>"


def powered(rise: str, fall: str = "cut<>") -> str:
    return f"ground<{WHITE}>, power<rise<{rise}>, fall<{fall}>>"


STYLES: dict[str, str] = {
    "coded": "ground<srgb<10, 64, 128>>",
    "duties": "ground<duty<10, 64, 128>>",
    "named_purple": 'ground<named<"mediumpurple">>',
    "named_violet": 'ground<named<"palevioletred">>',
    "polar": "ground<oklch<0.7, 0.1, 30>>",
    "polar_clipped": "ground<oklch<0.7, 0.4, 140>>",
    "mix_default": "ground<blend<srgb<255, 0, 0>, srgb<0, 0, 255>, by<k<pct<25>>>>>",
    "mix_oklab": "ground<blend<srgb<255, 0, 0>, srgb<0, 0, 255>, in<oklab>, by<k<pct<25>>>>>",
    "mix_linear": "ground<blend<srgb<255, 0, 0>, srgb<0, 0, 255>, by<k<pct<25>>>, in<linear>>>",
    "mix_srgb": "ground<blend<srgb<255, 0, 0>, srgb<0, 0, 255>, by<k<pct<25>>>, in<srgb>>>",
    "bands": f"ground<bands<paints<{WHITE}, {BLACK}>, width<mm<20>>, speed<mm_s<100>>>>",
    "bands_decimal": f"ground<bands<speed<mm_s<100.0>>, width<mm<20.0>>, edges<hard>, paints<{WHITE}, {BLACK}>>>",
    "bands_soft": f"ground<bands<paints<{WHITE}, {BLACK}>, edges<soft>, width<mm<20>>, speed<mm_s<0>>>>",
    "ramp": f"ground<ramp<{BLACK}, {WHITE}, {BLACK}, in<linear>>>",
    "ramp_placed": f"ground<ramp<stop<at<pct<20>>, {BLACK}>, stop<at<pct<70>>, {WHITE}>, in<linear>>>",
    "ramp_one": "ground<ramp<duty<1, 2, 3>>>",
    "hearth": f"ground<hearth<{BLACK}, {WHITE}, speed<mm_s<50>>, grain<mm<25>>>>",
    "shade": "ground<shade<duty<200, 100, 50>, by<k<pct<50>>>>>",
    "mirror": f"ground<mirror<ramp<{BLACK}, {WHITE}, in<linear>>>>",
    "gleam": "ground<duty<100, 200, 0>>, gleam<duty<100, 100, 100>, in<linear>, by<k<pct<100>>>>",
    "sine": shown("lfo<sine, period<ms<200>>>"),
    "triangle": shown("lfo<triangle, period<ms<200>>>"),
    "saw": shown("lfo<saw, phase<pct<25>>, period<ms<200>>>"),
    "square": shown("lfo<square, period<ms<200>>>"),
    "noise_hold": shown(NOISY.format("each")),
    "noise_whole": shown("noise<grain<whole>, rate<hz<20>>, kind<hold>>"),
    "noise_grain": shown(NOISY.format("mm<25>")),
    "noise_soft": shown("noise<kind<soft>, rate<hz<12.5>>, grain<each>>"),
    "noise_drift": shown("noise<kind<drift>, rate<hz<20>>, grain<each>>"),
    "near": shown("near<k<pct<30>>, width<mm<40>>>"),
    "hilt": shown("hilt<mm<40>>"),
    "tip": shown("tip<mm<40>>"),
    "tip_none": shown("tip<mm<0>>"),
    "along": shown("along<>"),
    "past": shown("past<along<>, pct<45>>"),
    "folds": shown("most<product<along<>, k<pct<50>>>, least<inverse<along<>>, k<pct<30>>>>"),
    "swing": shown("swing<>"),
    "swing_full": shown("swing<full<dps<900>>>"),
    "tilt": shown("tilt<>"),
    "twist": shown("twist<>"),
    "sound": shown("sound<lag<ms<100>>>"),
    "place": shown("place<blast>"),
    "strength": shown("strength<blast>"),
    "strength_held": shown("strength<lock>"),
    "since": shown("since<blast, over<ms<200>>>"),
    "slew": shown("slew<lfo<square, period<ms<200>>>, down<ms<0>>, up<ms<200>>>"),
    "burst": shown("upon<clash, shape<burst<ms<30>>>>"),
    "hit": shown("upon<clash, shape<decay<ms<100>>, attack<ms<20>>>>"),
    "held": shown("upon<lock, shape<attack<ms<400>>, release<ms<100>>>>"),
    "held_bare": shown("upon<lock>"),
    "keys": shown(
        "upon<blast, shape<keys<at<ms<0>, k<pct<100>>>, at<ms<100>, k<pct<50>>>, at<ms<200>, k<pct<60>>>, "
        "easing<steps<2, jump_end>>>>>"
    ),
    "keys_held": shown("upon<lock, keys<at<ms<20>, k<pct<20>>>, at<ms<40>, along<>>>>"),
    "cue_spot": cued("when<blast>, reach<mm<60>>, shape<burst<ms<50>>>"),
    "cue_spot_turned": cued("shape<burst<ms<50>>>, reach<mm<60.0>>, when<blast>"),
    "cue_trail": cued("when<blast>, shape<burst<ms<20>>>, trail<half_life<ms<20>>>"),
    "cue_sparks": cued("when<clash>, scatter<reach<mm<60>>, count<5>>, shape<attack<ms<0>>, decay<ms<100>>>"),
    "numbers": (
        f"ground<{BLACK}>, veil<{WHITE}, by<product<k<pct<0>>, {NOISY.format('whole')}>>>, "
        f"cue<shape<keys<at<ms<0>, {NOISY.format('whole')}>, at<ms<400>, k<pct<0>>>, easing<curve::step_end>>>, "
        f"paint<blend<{BLACK}, duty<200, 0, 0>, by<{NOISY.format('each')}>, in<linear>>>, when<clash>>"
    ),
    "wipe": powered("wipe<over<ms<200>>>", "wipe<over<ms<100>>>"),
    "wipe_soft": powered("wipe<soft<mm<50>>, over<ms<200>>>"),
    "dissolve": powered("dissolve<over<ms<200>>>"),
    "iris": powered("iris<at<pct<40>>, over<ms<200>>>"),
    "iris_middle": powered("iris<over<ms<200>>>"),
    "rest": powered("rest<ms<50>>", "rest<ms<50>>"),
    "cut": powered("cut<>"),
    "unlit": f"ground<{WHITE}>, edge<duty<255, 0, 0>, width<mm<20>>>",
    "chain": powered("chain<wipe<over<ms<100>>>, duty<255, 0, 0>, rest<ms<50>>, duty<0, 0, 255>, cut<>>"),
    "chain_down": powered("cut<>", "chain<wipe<over<ms<50>>>, duty<255, 0, 0>, dissolve<over<ms<50>>>>"),
    "turned_back": powered("dissolve<over<ms<800>>>", "dissolve<over<ms<400>>>"),
    "edge": f"ground<{WHITE}>, edge<duty<255, 0, 0>, width<mm<20>>>, power<fall<cut<>>, rise<wipe<over<ms<200>>>>>",
    "edge_iris": f"ground<{WHITE}>, edge<duty<255, 0, 0>, width<mm<10>>>, power<{BURN.replace('wipe', 'iris')}>",
    "old": (
        f"ground<v3::bands<200, 970, {WHITE}, {BLACK}>>, on<ev::clash, rgb<10, 64, 128>, v3::burst<30>>, "
        "spot<ev::blast, css::mediumpurple, 600, hit<0, 200>>, "
        "veil<css::red, by<v3::near<held_noise<50, v3::whole>, 300>>>, "
        "on<ev::lock, v3::ramp<v3::stop<200, css::red>, css_stop>, held<0, 50>>, "
        "veil<sway<css::tan, css::red, 300>, by<v3::past<along<>, 800>>>"
    ),
    "new": (
        f"ground<bands<paints<{WHITE}, {BLACK}>, width<mm<20>>, speed<mm_s<97>>>>, "
        "cue<when<clash>, paint<srgb<10, 64, 128>>, shape<burst<ms<30>>>>, "
        'cue<when<blast>, paint<named<"mediumpurple">>, reach<mm<60>>, shape<decay<ms<200>>>>, '
        'veil<named<"red">, by<near<noise<kind<hold>, rate<hz<50>>, grain<whole>>, width<mm<30>>>>>, '
        'cue<when<lock>, paint<ramp<stop<at<pct<20>>, named<"red">>, stop<at<pct<90>>, named<"teal">>, in<linear>>>, '
        'shape<release<ms<50>>>>, veil<blend<named<"tan">, named<"red">, by<lfo<sine, period<ms<300>>>>, in<linear>>, '
        "by<past<along<>, pct<80>>>>"
    ),
}  # fmt: skip

# A construct of generation 3 and what generation 4 writes for it, on a blade where 1 mil is 0.1 mm.
TWINS = {
    "blend": (shown("v3::lfo<saw, 300, 250>"), shown("lfo<saw, period<ms<300>>, phase<pct<25>>>")),
    "mixing": (
        "ground<v3::blend<css::red, css::teal, v3::k<300>>>",
        'ground<blend<named<"red">, named<"teal">, by<k<pct<30>>>, in<linear>>>',
    ),
    "ramp": (
        "ground<v3::ramp<css::red, css::teal, css::tan>>",
        'ground<ramp<named<"red">, named<"teal">, named<"tan">, in<linear>>>',
    ),
    "soft_bands": (
        f"ground<soft_bands<150, -333, {WHITE}, {BLACK}>>",
        f"ground<bands<paints<{WHITE}, {BLACK}>, width<mm<15>>, speed<mm_s<-33.3>>, edges<soft>>>",
    ),
    "hearth": (
        f"ground<v3::hearth<{WHITE}, {BLACK}>>",
        f"ground<hearth<{WHITE}, {BLACK}, grain<mm<4.5>>, speed<mm_s<9>>>>",
    ),
    "shade": (f"ground<v3::shade<{WHITE}, v3::k<250>>>", f"ground<shade<{WHITE}, by<k<pct<25>>>>>"),
    "grain": (shown("soft_noise<30, 170>"), shown("noise<kind<soft>, rate<hz<30>>, grain<mm<17>>>")),
    "each": (shown("held_noise<30, v3::each>"), shown(NOISY.format("each").replace("20", "30"))),
    "sound": (shown("v3::sound<120>"), shown("sound<lag<ms<120>>>")),
    "swing": (shown("v3::swing<>"), shown("swing<>")),
    "hilt": (shown("v3::hilt<333>"), shown("hilt<mm<33.3>>")),
    "tip": (shown("v3::tip<333>"), shown("tip<mm<33.3>>")),
    "upon": (shown("v3::upon<ev::lock, held<50, 70>>"), shown("upon<lock, shape<attack<ms<50>>, release<ms<70>>>>")),
    "since": (shown("v3::since<ev::blast, 150>"), shown("since<blast, over<ms<150>>>")),
    "ease": (shown("v3::ease<along<>, curve::ease_in>"), shown("ease<along<>, curve::ease_in>")),
    "slew": (
        shown("v3::slew<v3::lfo<square, 200>, 300, 700>"),
        shown("slew<lfo<square, period<ms<200>>>, up<ms<300>>, down<ms<700>>>"),
    ),
}  # fmt: skip
for _name, (_old, _new) in TWINS.items():
    STYLES[f"v3_{_name}"], STYLES[f"v4_{_name}"] = _old, _new

CURVES = {  # at .25, .5, .75: CSS Easing Level 2, values of coloraide's easing.cubic_bezier
    "linear": (0.25, 0.5, 0.75),
    "ease": (0.4085105914, 0.8024033876, 0.9604589783),
    "ease_in": (0.0934646507, 0.3153568126, 0.6218618692),
    "ease_out": (0.3781381308, 0.6846431874, 0.9065353493),
    "ease_in_out": (0.1291619310, 0.5, 0.8708380690),
    "step_start": (1, 1, 1),
    "step_end": (0, 0, 0),
}
STEPS = {"end": 0.25, "start": 0.5, "none": 1 / 3, "both": 0.4}  # steps(4) at .25: CSS Easing Level 2
for _curve in CURVES:
    for _at in (25, 50, 75):
        STYLES[f"{_curve}_{_at}"] = shown(f"ease<k<pct<{_at}>>, curve::{_curve}>")
for _jump in STEPS:
    STYLES[f"jump_{_jump}"] = shown(f"ease<k<pct<25>>, steps<4, jump_{_jump}>>")
STYLES["bezier"] = shown("ease<k<pct<25>>, cubic_bezier<0.42, 0, 0.58, 1>>")


def config(styles: dict[str, str]) -> str:
    text = "#define WICK_QUIET_COMPAT\n#include <wick/compat3.h>\nusing namespace wick;\n"
    text += "using css_stop = v3::stop<900, css::teal>;\n"
    text += "".join(f"using s_{name} = score<{body}>;\n" for name, body in styles.items())
    slots = ", ".join(f'slot<label<"{name}, a look">, style<s_{name}>, sounds<"{name}">>' for name in styles)
    text += f"using table = slots<{slots}>;\nstatic_assert(table::size == {len(styles)});\n"
    text += "int main(int, char** v) {\n  stage::Scene s;\n  bool good = s.read(v[1]);\n"
    text += "".join(f'  good = good && stage::perform<s_{name}>(s, "{name}.raw");\n' for name in styles)
    return text + "  return !good;\n}\n"


@pytest.fixture(scope="module")
def frames(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Frames]:
    """Every style's frames, 100 x 10 x 3; the compile must be free of warnings."""
    where = tmp_path_factory.mktemp("generation4")
    (where / "styles.cpp").write_text(config(STYLES))
    (where / "scene.txt").write_text(SCENE)
    made = subprocess.run(
        [str(GXX), *WARN, "-O1", "-o", "styles", "styles.cpp"], cwd=where, capture_output=True, text=True
    )
    assert made.returncode == 0 and made.stderr == "", made.stderr[:4000]
    subprocess.run([str(where / "styles"), "scene.txt"], cwd=where, check=True)
    return {name: np.fromfile(where / f"{name}.raw", np.uint8).reshape(100, 10, 3) for name in STYLES}


def duty(light: object) -> Frames:
    """floor(255 v + 1/2) of linear light or of a weight."""
    return np.floor(255 * np.asarray(light, np.float64) + 0.5).astype(np.uint8)


def lit(weight: object) -> Frames:
    """The duty of WHITE at a weight over black."""
    return np.floor(200 * np.asarray(weight, np.float64) + 0.5).astype(np.uint8)


def grey(frames: dict[str, Frames], style: str, ms: int) -> list[int]:
    row = frames[style][ms // 10]
    assert (row == row[:, :1]).all()
    return [int(v) for v in row[:, 0]]


def level(frames: dict[str, Frames], style: str, ms: int) -> int:
    row = grey(frames, style, ms)
    assert len(set(row)) == 1
    return row[0]


def u(number: int, step: int, cell: int) -> float:
    """numpy's Philox 4x64-10 steps its counter before use, so it is given the counter less one."""
    counter = (step + (cell << 64) - 1) % (1 << 256)
    bits = np.random.Philox(counter=counter, key=number)
    return float(int(bits.random_raw()) >> 11) * 2.0**-53


# ---- colours and paints -----------------------------------------------------------------------


def test_srgb_codes_decode_to_linear_light(frames: dict[str, Frames]) -> None:
    # IEC 61966-2-1: 10 -> .003035269835, 64 -> .051269458374, 128 -> .215860500114
    assert (frames["coded"] == duty([0.003035269835, 0.051269458374, 0.215860500114])).all()
    assert (frames["duties"] == [10, 64, 128]).all()


@pytest.mark.parametrize(("style", "value"), [("named_purple", "#9370db"), ("named_violet", "#db7093")])
def test_names_have_the_values_of_css_color_4(frames: dict[str, Frames], style: str, value: str) -> None:
    assert (frames[style] == duty(Color(value).convert("srgb-linear").coords())).all()


def test_oklch_is_coloraides_and_clips_each_channel(frames: dict[str, Frames]) -> None:
    inside = Color("oklch", [0.7, 0.1, 30]).convert("srgb-linear").coords()
    outside = Color("oklch", [0.7, 0.4, 140]).convert("srgb-linear").coords()
    assert min(outside) < 0
    assert (frames["polar"] == duty(inside)).all()
    assert (frames["polar_clipped"] == duty(np.clip(outside, 0, 1))).all()


@pytest.mark.parametrize(
    ("style", "space"),
    [("mix_default", "oklab"), ("mix_oklab", "oklab"), ("mix_linear", "srgb-linear"), ("mix_srgb", "srgb")],
)
def test_blend_mixes_in_its_space(frames: dict[str, Frames], style: str, space: str) -> None:
    mixed = Color("red").mix(Color("blue"), 0.25, space=space).convert("srgb-linear").coords()
    assert (frames[style] == duty(np.clip(mixed, 0, 1))).all()


def test_bands_travel_toward_the_tip(frames: dict[str, Frames]) -> None:
    # 20 mm bands on 10 mm pixels: two and two; after 100 ms at 100 mm/s they stand one pixel further
    assert grey(frames, "bands", 0) == [200, 200, 0, 0, 200, 200, 0, 0, 200, 200]
    assert grey(frames, "bands", 100) == [0, 200, 200, 0, 0, 200, 200, 0, 0, 200]


def test_soft_bands_are_pure_at_their_centres(frames: dict[str, Frames]) -> None:
    # pixel centres lie 5 mm to either side of a band's centre: a quarter of the way to the neighbour
    assert grey(frames, "bands_soft", 0)[:6] == list(lit([0.75, 0.75, 0.25, 0.25, 0.75, 0.75]))


def test_ramps(frames: dict[str, Frames]) -> None:
    assert grey(frames, "ramp", 0) == list(lit([0.1, 0.3, 0.5, 0.7, 0.9, 0.9, 0.7, 0.5, 0.3, 0.1]))
    assert grey(frames, "ramp_placed", 0) == list(lit([0, 0, 0.1, 0.3, 0.5, 0.7, 0.9, 1, 1, 1]))
    assert (frames["ramp_one"] == [1, 2, 3]).all()
    assert grey(frames, "mirror", 0) == list(lit([0.05, 0.15, 0.25, 0.35, 0.45, 0.45, 0.35, 0.25, 0.15, 0.05]))


def test_hearth_is_squared_value_noise_that_rises(frames: dict[str, Frames]) -> None:
    def expected(i: int, s: float) -> float:
        y = (10 * i + 5 - 50 * s) / 25
        c = math.floor(y)
        low, high = (u(0, 0, cell % (1 << 64)) for cell in (c, c + 1))
        return float((low + (high - low) * (y - c)) ** 2)

    for ms in (0, 990):  # at 990 ms the hilt's cells are negative: two's complement
        assert grey(frames, "hearth", ms) == list(lit([expected(i, ms / 1000) for i in range(10)]))


def test_shade_scales_and_gleam_adds_to_full(frames: dict[str, Frames]) -> None:
    assert (frames["shade"] == [100, 50, 25]).all()
    assert (frames["gleam"] == [200, 255, 100]).all()


# ---- signals ----------------------------------------------------------------------------------


def test_waves_start_at_the_scenes_start(frames: dict[str, Frames]) -> None:
    at = (0, 50, 100, 150)  # quarters of a period
    assert [level(frames, "sine", ms) for ms in at] == [0, 100, 200, 100]
    assert [level(frames, "triangle", ms) for ms in at] == [0, 100, 200, 100]
    assert [level(frames, "saw", ms) for ms in at] == list(lit([0.25, 0.5, 0.75, 0]))
    assert [level(frames, "square", ms) for ms in (0, 90, 100, 190)] == [0, 0, 200, 200]


def test_held_noise_by_cell(frames: dict[str, Frames]) -> None:
    for ms, step in ((0, 0), (40, 0), (50, 1), (990, 19)):  # 20 Hz
        assert grey(frames, "noise_hold", ms) == list(lit([u(0, step, i) for i in range(10)]))
        assert level(frames, "noise_whole", ms) == lit(u(0, step, 0))
        assert grey(frames, "noise_grain", ms) == list(lit([u(0, step, (10 * i + 5) // 25) for i in range(10)]))


def test_soft_noise_is_linear_between_steps_of_a_decimal_rate(frames: dict[str, Frames]) -> None:
    # 12.5 Hz: a step is 80 ms, and 100 ms is a quarter into step 1
    expected = [u(0, 1, i) + (u(0, 2, i) - u(0, 1, i)) * 0.25 for i in range(10)]
    assert grey(frames, "noise_soft", 100) == list(lit(expected))


def test_drift_is_a_reflected_walk(frames: dict[str, Frames]) -> None:
    def walk(cell: int, steps: int) -> list[float]:
        d = [u(0, 0, cell)]
        for n in range(1, steps):
            y = d[-1] + (u(0, n, cell) - 0.5) / 2
            d.append(-y if y < 0 else 2 - y if y > 1 else y)
        return d

    walks = [walk(i, 22) for i in range(10)]
    assert grey(frames, "noise_drift", 0) == list(lit([w[0] for w in walks]))
    expected = [w[19] + (w[20] - w[19]) * 0.8 for w in walks]  # 990 ms: 0.8 into step 19 of 50 ms
    assert grey(frames, "noise_drift", 990) == list(lit(expected))


def test_places(frames: dict[str, Frames]) -> None:
    cosine = [(1 + math.cos(2 * math.pi * d / 40)) / 2 for d in (15, 5)]
    assert grey(frames, "near", 0) == list(lit([0, cosine[0], cosine[1], cosine[1], cosine[0], 0, 0, 0, 0, 0]))
    assert grey(frames, "hilt", 0) == list(lit([0.875, 0.625, 0.375, 0.125, 0, 0, 0, 0, 0, 0]))
    assert grey(frames, "tip", 0) == list(lit([0, 0, 0, 0, 0, 0, 0.125, 0.375, 0.625, 0.875]))
    assert grey(frames, "tip_none", 0) == [0] * 10
    assert grey(frames, "along", 0) == list(lit([(i + 0.5) / 10 for i in range(10)]))


def test_arithmetic(frames: dict[str, Frames]) -> None:
    assert grey(frames, "past", 0) == [0, 0, 0, 0, 200, 200, 200, 200, 200, 200]
    x = [(i + 0.5) / 10 for i in range(10)]
    assert grey(frames, "folds", 0) == list(lit([max(p * 0.5, min(1 - p, 0.3)) for p in x]))


def test_sensors(frames: dict[str, Frames]) -> None:
    # at 100 ms the swing is -90 deg/s, the level 0.1; the twist stays at 90, the tilt at -45 degrees
    assert level(frames, "swing", 100) == lit(0.2)
    assert level(frames, "swing", 900) == 200
    assert level(frames, "swing_full", 100) == lit(0.1)
    assert level(frames, "twist", 0) == lit(0.75)
    assert level(frames, "tilt", 0) == lit(0.25)
    assert [level(frames, "sound", ms) for ms in (0, 100, 300)] == list(lit([0, 0, 0.2]))


def test_what_the_latest_event_says(frames: dict[str, Frames]) -> None:
    assert [level(frames, "place", ms) for ms in (190, 200)] == [0, 100]
    assert [level(frames, "strength", ms) for ms in (190, 200)] == [0, 50]
    assert [level(frames, "strength_held", ms) for ms in (290, 300, 900)] == [0, 200, 200]
    assert [level(frames, "since", ms) for ms in (0, 200, 250, 450)] == [200, 0, 50, 200]


@pytest.mark.parametrize(("curve", "at"), [(c, i) for c in CURVES for i in range(3)])
def test_curves_are_css_easing(frames: dict[str, Frames], curve: str, at: int) -> None:
    assert level(frames, f"{curve}_{(25, 50, 75)[at]}", 0) == lit(CURVES[curve][at])


def test_steps_and_free_beziers(frames: dict[str, Frames]) -> None:
    for jump, value in STEPS.items():
        assert level(frames, f"jump_{jump}", 0) == lit(value)
    assert level(frames, "bezier", 0) == lit(CURVES["ease_in_out"][0])


def test_slew_limits_only_what_is_asked(frames: dict[str, Frames]) -> None:
    # a square of 200 ms: up by 10 ms / 200 ms a frame from 100 ms on, down at once at 200 ms
    assert [level(frames, "slew", ms) for ms in (90, 100, 110, 190, 200)] == list(lit([0, 0.05, 0.1, 0.5, 0]))


# ---- events -----------------------------------------------------------------------------------


def test_shapes(frames: dict[str, Frames]) -> None:
    assert [level(frames, "burst", ms) for ms in (90, 100, 120, 130, 600)] == [0, 200, 200, 0, 200]
    assert [level(frames, "hit", ms) for ms in (100, 110, 120, 170, 220)] == list(lit([0, 0.5, 1, 0.5, 0]))
    # 200 ms of an attack of 400 reach a half; the release falls from there
    assert [level(frames, "held", ms) for ms in (300, 400, 500, 550, 600)] == list(lit([0, 0.25, 0.5, 0.25, 0]))
    assert [level(frames, "held_bare", ms) for ms in (290, 300, 490, 500)] == [0, 200, 200, 0]


def test_keys_ease_each_interval_and_end_at_the_last(frames: dict[str, Frames]) -> None:
    # steps(2, jump-end) holds 0, then a half of each interval; at the last key's own time the event is over
    expected = [0, 1, 0.75, 0.5, 0.55, 0]
    assert [level(frames, "keys", ms) for ms in (190, 200, 250, 300, 350, 400)] == list(lit(expected))


def test_keys_of_a_held_event_stay_until_its_end(frames: dict[str, Frames]) -> None:
    along = [(i + 0.5) / 10 for i in range(10)]
    assert level(frames, "keys_held", 310) == lit(0.2)
    assert grey(frames, "keys_held", 330) == list(lit([0.2 + (p - 0.2) * 0.5 for p in along]))
    assert grey(frames, "keys_held", 490) == list(lit(along))
    assert level(frames, "keys_held", 500) == 0


def test_cue_reaches_round_the_events_place(frames: dict[str, Frames]) -> None:
    assert grey(frames, "cue_spot", 200) == list(lit(BLAST_HUMP))
    assert grey(frames, "cue_spot", 250) == [0] * 10


def test_trail_halves(frames: dict[str, Frames]) -> None:
    # the burst ends between 210 and 220 ms; from 210 on the weight halves every 20 ms
    assert [level(frames, "cue_trail", ms) for ms in (190, 210, 230, 250)] == list(lit([0, 1, 0.5, 0.25]))


def test_sparks_fly_from_the_place_of_their_own_event(frames: dict[str, Frames]) -> None:
    def sparks(ordinal: int, place: float, dt: int) -> list[int]:
        row = [0] * 10
        for j in range(5):
            pixel = math.floor((place + 0.6 * (2 * u(0, ordinal, j) - 1) * dt / 100) * 10)
            if 0 <= pixel < 10:
                row[pixel] = int(lit(1 - dt / 100))
        return row

    assert grey(frames, "cue_sparks", 150) == sparks(0, 0.5, 50)
    assert grey(frames, "cue_sparks", 680) == sparks(1, 0.2, 80)
    assert sum(v > 0 for v in sparks(0, 0.5, 50)) > 1


def test_noise_is_numbered_by_signature_not_by_the_order_of_tags(frames: dict[str, Frames]) -> None:
    # number 0 is the veil's, 1 the cue's paint, 2 its shape, though the shape is written first
    for ms, step in ((100, 2), (350, 7)):
        assert list(frames["numbers"][ms // 10, :, 0]) == list(lit([u(1, step, i) * u(2, step, 0) for i in range(10)]))


# ---- power ------------------------------------------------------------------------------------


def test_wipe_lights_from_the_hilt_and_darkens_from_the_tip(frames: dict[str, Frames]) -> None:
    lit = {90: 0, 100: 0, 110: 0, 150: 2, 160: 3, 290: 9, 300: 10, 510: 9, 550: 5, 600: 0}
    for ms, count in lit.items():
        assert grey(frames, "wipe", ms) == [200] * count + [0] * (10 - count), ms


def test_masks(frames: dict[str, Frames]) -> None:
    # 150 ms: q = 0.25; the soft edge is half the blade, clamp((0.25 * 1.5 - x) / 0.5)
    soft = [min(1.0, max(0.0, (0.375 - (i + 0.5) / 10) / 0.5)) for i in range(10)]
    assert grey(frames, "wipe_soft", 150) == list(lit(soft))
    assert level(frames, "dissolve", 150) == lit(0.25)
    # 200 ms: q = 0.5; from 0.4 the open half-width is 0.5 * 0.6 = 0.3, from the middle 0.25
    assert grey(frames, "iris", 200) == [0, 200, 200, 200, 200, 200, 200, 0, 0, 0]
    assert grey(frames, "iris_middle", 200) == [0, 0, 0, 200, 200, 200, 200, 0, 0, 0]
    assert [level(frames, "rest", ms) for ms in (140, 150, 540, 550)] == [0, 200, 200, 0]
    assert [level(frames, "cut", ms) for ms in (90, 100, 490, 500)] == [0, 200, 200, 0]


def test_chains_play_as_written_both_ways(frames: dict[str, Frames]) -> None:
    red, blue, white, black = [255, 0, 0], [0, 0, 255], [200, 200, 200], [0, 0, 0]
    up, down = frames["chain"], frames["chain_down"]
    assert up[15].tolist() == [red] * 5 + [black] * 5  # half of the wipe
    assert up[22].tolist() == [red] * 10  # the rest keeps red, then cuts to blue, then to the style
    assert up[25].tolist() == [white] * 10
    assert blue not in up.reshape(-1, 3).tolist()
    assert down[52].tolist() == [white] * 6 + [red] * 4  # the wipe leaves from the tip: q' = 0.6
    assert down[58].tolist() == [[102, 0, 0]] * 10  # 0.4 of 255
    assert down[60].tolist() == [white] * 10  # ignited again, by a cut


def test_a_retraction_starts_where_the_rise_stands(frames: dict[str, Frames]) -> None:
    # ignited at 100, 800 ms for a rise: 0.5 at 500; falls at 1/400 ms, 0.25 at 600; rises again from there
    assert [level(frames, "turned_back", ms) for ms in (300, 500, 560, 600, 800)] == list(
        lit([0.25, 0.5, 0.35, 0.25, 0.5])
    )


def test_the_edge_rides_on_the_lit_part(frames: dict[str, Frames]) -> None:
    red, white, black = [255, 0, 0], [200, 200, 200], [0, 0, 0]
    assert frames["edge"][20].tolist() == [white] * 3 + [red] * 2 + [black] * 5  # q = 0.5, 20 mm
    assert frames["edge"][40].tolist() == [white] * 10
    # an iris from the middle at q = 0.5 reaches 25 mm to either side: its edges are the pixels past 15 mm
    assert frames["edge_iris"][20].tolist() == [black] * 3 + [red] + [white] * 2 + [red] + [black] * 3
    assert (frames["unlit"] == 200).all()  # without power there is no moving edge


# ---- forms that must mean the same ------------------------------------------------------------


@pytest.mark.parametrize(
    ("one", "other"),
    [("bands", "bands_decimal"), ("cue_spot", "cue_spot_turned"), ("mix_default", "mix_oklab"), ("old", "new")],
)
def test_equal_meanings_draw_equal_frames(frames: dict[str, Frames], one: str, other: str) -> None:
    assert (frames[one] == frames[other]).all()
    assert frames[one].any()


@pytest.mark.parametrize("name", TWINS)
def test_generation_3_draws_as_its_counterpart(frames: dict[str, Frames], name: str) -> None:
    assert (frames[f"v3_{name}"] == frames[f"v4_{name}"]).all()
    assert frames[f"v3_{name}"].any()
