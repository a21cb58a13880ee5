"""Generation 3's C++ headers, compiled and run: values worked out by hand.

Every expected row is for a blade of 10 pixels, so that pixel i is centred at x = 0.05 + 0.1 i, 50 + 100 i per mille.
A signal W is seen through `blend` from black to duty 200, so that a weight w shows as 200 w. The formulas are those of
grammars/reference.md; a value from elsewhere says where it is from.
"""

from __future__ import annotations

import math
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

INCLUDE = Path(__file__).resolve().parents[2] / "grammars" / "wick3" / "include"
GXX = shutil.which("g++")
pytestmark = pytest.mark.skipif(GXX is None, reason="no g++ on this machine: the generation 3 headers are not compiled")

STRICT = ["-std=c++14", "-pedantic-errors", "-Wall", "-Wextra", "-ffp-contract=off", f"-I{INCLUDE}"]
PIXELS = 10
DARK = [0] * PIXELS


def gxx(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run g++; its messages come back in English."""
    return subprocess.run(
        [str(GXX), *arguments],
        capture_output=True,
        text=True,
        timeout=110,
        env={"PATH": "/usr/bin:/bin", "LC_ALL": "C"},
    )


# ---- scenes ------------------------------------------------------------------------------------------

INSTANT = {"ignite": 0, "retract": 1, "clash": 2, "blast": 3}
HELD = {"lock": 4, "drag": 5, "melt": 6}
SENSORS = {"swing": 0, "twist": 1, "tilt": 2, "sound": 3}


def at(kind: str, ms: int, end: int | None = None, place: float = 0.5, strength: float = 1.0) -> str:
    """An event's line of a stage scene; an instant event ends as it starts."""
    number = {**INSTANT, **HELD}[kind]
    return f"event {number} {ms * 1000} {(ms if end is None else end) * 1000} {place} {strength}"


def sensor(which: str, *knots: tuple[int, float]) -> str:
    """The lines of a sensor's curve, knots in ms."""
    return "\n".join(f"sensor {SENSORS[which]} {ms * 1000} {value}" for ms, value in knots)


def seen(signal: str) -> str:
    """A paint that shows a weight w as duty 200 w."""
    return f"blend<duty<0, 0, 0>, duty<200, 0, 0>, {signal}>"


def grey(value: int) -> str:
    return f"duty<{value}, 0, 0>"


# ---- an independent Philox, numpy's --------------------------------------------------------------------


def uniform(number: int, step: int, cell: int) -> float:
    """u(number, step, cell) by numpy's Philox 4x64-10, which steps its counter before use."""
    counter = ((cell % 2**64 << 64) + step - 1) % 2**256
    bits = np.random.Philox(counter=counter, key=number).random_raw(1)[0]
    return float(int(bits) >> 11) * 2.0**-53


def twice(weight: float) -> int:
    """The duty that `seen` shows for a weight."""
    return math.floor(200 * weight + 0.5)


# ---- what is expected ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Case:
    """A style on a scene, at one time in ms, and the red duties expected of its ten pixels."""

    id: str
    style: str
    red: list[int]
    ms: int = 0
    scene: tuple[str, ...] = ()
    step: int = 50  # ms from frame to frame


def flat(value: int) -> list[int]:
    return [value] * PIXELS


A, B = grey(0), grey(200)
SHOW = grey(200)

PAINTS = [
    # the fact of the trade: half of duty 28, rounded half up, is 14 (and of 255, 128)
    Case("half of a duty", f"shade<{grey(28)}, k<500>>", flat(14)),
    Case("half of the full duty", f"shade<{grey(255)}, k<500>>", flat(128)),
    # sRGB values of checks.md: 64 decodes to .051269458374, times 255 is 13.07; 188 to .502886458033, 128.24
    Case("sRGB code 64", "rgb<64, 0, 0>", flat(13)),
    Case("sRGB code 188", "rgb<188, 0, 0>", flat(128)),
    Case("sRGB code 10, in the linear part", "rgb<10, 0, 0>", flat(1)),  # .003035269835 * 255 = 0.77
    Case("a quarter of the way", f"blend<{A}, {B}, k<250>>", flat(50)),
    Case("bands at rest", f"bands<200, 0, {A}, {B}>", [0, 0, 200, 200, 0, 0, 200, 200, 0, 0]),
    # 100 per mille toward the tip: pixel 0 is at (50 - 100) / 200, the band before the first, which is B
    Case("bands move toward the tip", f"bands<200, 1000, {A}, {B}>", [200, 0, 0, 200, 200, 0, 0, 200, 200, 0], ms=100),
    Case(
        "bands move toward the hilt", f"bands<200, -1000, {A}, {B}>", [0, 200, 200, 0, 0, 200, 200, 0, 0, 200], ms=100
    ),
    # centres of bands at 100, 300, 500; linear between: pixel 0 is 0.75 of the way from B at -100 to A at 100
    Case("soft bands", f"soft_bands<200, 0, {A}, {B}>", [50, 50, 150, 150, 50, 50, 150, 150, 50, 50]),
    Case("even ramp", f"ramp<{A}, {B}, {A}>", [20, 60, 100, 140, 180, 180, 140, 100, 60, 20]),
    Case("a ramp of one", f"ramp<{B}>", flat(200)),
    # (0.25 - 0.2) / 0.4 = 0.125 and so on
    Case("placed ramp", f"ramp<stop<200, {A}>, stop<600, {B}>>", [0, 0, 25, 75, 125, 175, 200, 200, 200, 200]),
    Case("placed ramp with a jump", f"ramp<stop<500, {A}>, stop<500, {B}>>", [0] * 5 + [200] * 5),
    Case("sway starts at A", f"sway<{A}, {B}, 400>", flat(0)),
    Case("sway is half way after a quarter", f"sway<{A}, {B}, 400>", flat(100), ms=100),
    Case("sway is at B after a half", f"sway<{A}, {B}, 400>", flat(200), ms=200),
    Case("shade by place", f"shade<{B}, along<>>", [10, 30, 50, 70, 90, 110, 130, 150, 170, 190]),
    Case(
        "a paint of paints", f"bands<500, 0, shade<{B}, k<500>>, ramp<{A}, {B}>>", [100] * 5 + [110, 130, 150, 170, 190]
    ),
]


def hearth_row(number: int, ms: int, grain: float, speed: float) -> list[int]:
    row = []
    for i in range(PIXELS):
        y = ((i + 0.5) * 1000 / PIXELS - speed * (ms / 1000)) / grain
        c = math.floor(y)
        r0, r1 = uniform(number, 0, c), uniform(number, 0, c + 1)
        row.append(twice((r0 + (r1 - r0) * (y - c)) ** 2))
    return row


NOISES = [
    Case("held, whole, step 2", seen("held_noise<20, whole>"), flat(twice(uniform(0, 2, 0))), ms=100),
    Case("held, each, step 2", seen("held_noise<20, each>"), [twice(uniform(0, 2, i)) for i in range(10)], ms=100),
    Case(
        "held, grain 250",
        seen("held_noise<20, 250>"),
        [twice(uniform(0, 0, c)) for c in (0, 0, 1, 1, 1, 2, 2, 3, 3, 3)],
    ),
    # 50 ms at 5 Hz is a quarter of a step
    Case(
        "soft, a quarter on",
        seen("soft_noise<5, each>"),
        [twice(0.75 * uniform(0, 0, i) + 0.25 * uniform(0, 1, i)) for i in range(10)],
        ms=50,
    ),
    Case("hearth, defaults, below the hilt", f"hearth<{A}, {B}>", hearth_row(0, 1000, 45, 90), ms=1000),
    # paints first: two noises inside, then the fire's own is number 2
    Case(
        "hearth counts after its paints",
        f"hearth<blend<{A}, {A}, held_noise<9, whole>>, blend<{B}, {B}, held_noise<9, whole>>, 100, 0>",
        hearth_row(2, 0, 100, 0),
    ),
    Case(
        "ground counts before sheets",
        f"pile<{seen('held_noise<9, each>')}, veil<{SHOW}, k<0>>>",
        [twice(uniform(0, 0, i)) for i in range(10)],
    ),
    Case(
        "second sheet counts after the first",
        f"pile<{A}, veil<{A}, held_noise<9, whole>>, veil<{SHOW}, held_noise<9, each>>>",
        [twice(uniform(1, 0, i)) for i in range(10)],
    ),
    # the chain of RISE, at 150 of 300 ms, shows its paint at rest: number 1, after the sheet's
    Case(
        "a chain's paint counts after the sheets",
        f"pile<{A}, veil<{A}, held_noise<9, whole>>,"
        f" power<chain<rest<100>, {seen('held_noise<9, each>')}, rest<200>>, cut<>>>",
        [twice(uniform(1, 1, i)) for i in range(10)],
        ms=150,
        scene=(at("ignite", 0),),
    ),
]

SIGNALS = [
    Case("k", seen("k<300>"), flat(60)),
    Case("triangle", seen("lfo<triangle, 400>"), flat(100), ms=100),
    Case("saw", seen("lfo<saw, 400>"), flat(50), ms=100),
    Case("square is 0 first", seen("lfo<square, 400>"), flat(0), ms=150),
    Case("square is 1 from the half on", seen("lfo<square, 400>"), flat(200), ms=200),
    Case("phase", seen("lfo<saw, 400, 500>"), flat(150), ms=100),
    Case("phase wraps", seen("lfo<saw, 400, 500>"), flat(50), ms=300),
    Case("sound", seen("sound<>"), flat(100), ms=100, scene=(sensor("sound", (0, 0.0), (200, 1.0)),)),
    Case("sound with a lag", seen("sound<50>"), flat(50), ms=100, scene=(sensor("sound", (0, 0.0), (200, 1.0)),)),
    Case("sound before the lag", seen("sound<500>"), flat(60), ms=100, scene=(sensor("sound", (0, 0.3), (200, 1.0)),)),
    Case("swing the other way", seen("swing<>"), flat(100), scene=(sensor("swing", (0, -225.0)),)),
    Case("swing beyond full", seen("swing<100>"), flat(200), scene=(sensor("swing", (0, 225.0)),)),
    Case("tilt", seen("tilt<>"), flat(150), scene=(sensor("tilt", (0, 45.0)),)),
    Case("twist", seen("twist<>"), flat(50), scene=(sensor("twist", (0, -90.0)),)),
    Case("twist with no curve", seen("twist<>"), flat(100)),
    # a raised cosine 400 wide at 450: (1 + cos(2 pi d / 400)) / 2 is 1 at 0, 0.5 at 100, 0 at 200
    Case("near", seen("near<k<450>, 400>"), [0, 0, 0, 100, 200, 100, 0, 0, 0, 0]),
    Case("near of no width", seen("near<k<450>, 0>"), DARK),
    Case("hilt", seen("hilt<400>"), [175, 125, 75, 25, 0, 0, 0, 0, 0, 0]),
    Case("hilt of no length", seen("hilt<0>"), DARK),
    Case("tip", seen("tip<400>"), [0, 0, 0, 0, 0, 0, 25, 75, 125, 175]),
    Case("along", seen("along<>"), [10, 30, 50, 70, 90, 110, 130, 150, 170, 190]),
    Case("place", seen("place<ev::blast>"), flat(150), ms=100, scene=(at("blast", 50, place=0.75),)),
    Case("place before the first", seen("place<ev::blast>"), DARK, ms=0, scene=(at("blast", 50, place=0.75),)),
    Case("strength", seen("strength<ev::clash>"), flat(50), ms=100, scene=(at("clash", 50, strength=0.25),)),
    Case(
        "strength of a held event",
        seen("strength<ev::lock>"),
        flat(200),
        ms=100,
        scene=(at("lock", 50, 90, strength=0.25),),
    ),
    Case("since", seen("since<ev::clash, 400>"), flat(50), ms=150, scene=(at("clash", 50),)),
    Case("since before the first", seen("since<ev::clash, 400>"), flat(200), scene=(at("clash", 50),)),
    Case("since in no time", seen("since<ev::clash, 0>"), flat(200), ms=50, scene=(at("clash", 50),)),
    Case("product", seen("product<k<500>, k<500>, along<>>"), [3, 8, 13, 18, 23, 28, 33, 38, 43, 48]),  # 2.5 is 3
    Case("inverse", seen("inverse<k<300>>"), flat(140)),
    Case("most", seen("most<k<300>, along<>, k<100>>"), [60, 60, 60, 70, 90, 110, 130, 150, 170, 190]),
    Case("least", seen("least<k<300>, along<>>"), [10, 30, 50, 60, 60, 60, 60, 60, 60, 60]),
    Case("past", seen("past<along<>, 450>"), [0] * 4 + [200] * 6),
    # CSS Easing, checks.md, at .25: ease .4085105914, ease-in .0934646507, ease-out .3781381308,
    # ease-in-out .1291619310
    Case("linear", seen("ease<k<250>, curve::linear>"), flat(50)),
    Case("ease", seen("ease<k<250>, curve::ease>"), flat(82)),
    Case("ease in", seen("ease<k<250>, curve::ease_in>"), flat(19)),
    Case("ease out", seen("ease<k<250>, curve::ease_out>"), flat(76)),
    Case("ease in and out", seen("ease<k<250>, curve::ease_in_out>"), flat(26)),
    Case("step at the start", seen("ease<k<0>, curve::step_start>"), flat(200)),
    Case("step at the end", seen("ease<k<999>, curve::step_end>"), DARK),
    # from 0 at the frame of 0 ms, 50 / 200 a frame upward; the clash is at 0 < t, so three frames rise
    Case("slew up", seen("slew<upon<ev::clash, burst<500>>, 200, 400>"), flat(150), ms=150, scene=(at("clash", 50),)),
    # full by 200 ms, falls from the frame of 250 ms on by 50 / 400 a frame: twice by 300 ms
    Case("slew down", seen("slew<upon<ev::clash, burst<200>>, 0, 400>"), flat(150), ms=300, scene=(at("clash", 50),)),
    Case("slew starts where W stands", seen("slew<k<700>, 5000, 5000>"), flat(140), ms=0),
    # the paint is not shown while the band is elsewhere, yet the slew inside it has moved
    Case(
        "slew moves unseen",
        f"bands<1000, 5000, {seen('slew<upon<ev::clash, burst<500>>, 1000, 0>')}, {A}>",
        flat(80),  # the frames of 50 to 400 ms, eight times 50 / 1000
        ms=400,
        scene=(at("clash", 50),),
    ),
]

LOCKED = (at("lock", 100, 300, place=0.45),)
SHAPES = [
    Case("burst is on at its start", seen("upon<ev::clash, burst<100>>"), flat(200), ms=50, scene=(at("clash", 50),)),
    Case("burst is off at its end", seen("upon<ev::clash, burst<100>>"), DARK, ms=150, scene=(at("clash", 50),)),
    Case("hit in its attack", seen("upon<ev::clash, hit<200, 100>>"), flat(50), ms=100, scene=(at("clash", 50),)),
    Case("hit in its decay", seen("upon<ev::clash, hit<50, 200>>"), flat(150), ms=150, scene=(at("clash", 50),)),
    Case("hit with no decay", seen("upon<ev::clash, hit<50, 0>>"), DARK, ms=100, scene=(at("clash", 50),)),
    Case(
        "only the latest counts",
        seen("upon<ev::clash, burst<400>>"),
        DARK,
        ms=500,
        scene=(at("clash", 50), at("clash", 100)),
    ),
    Case("held in its attack", seen("upon<ev::lock, held<400, 100>>"), flat(50), ms=200, scene=LOCKED),
    Case("held with no attack", seen("upon<ev::lock, held<0, 100>>"), flat(200), ms=100, scene=LOCKED),
    # ended at 200 of 400 ms of attack: level 0.5, and half of the release gone
    Case("released from the level reached", seen("upon<ev::lock, held<400, 100>>"), flat(50), ms=350, scene=LOCKED),
    Case("held with no release", seen("upon<ev::lock, held<0, 0>>"), DARK, ms=300, scene=LOCKED),
    Case(
        "a hit on a held event counts from its start",
        seen("upon<ev::lock, hit<0, 400>>"),
        flat(50),
        ms=400,
        scene=LOCKED,
    ),
]

CLASHED = (at("clash", 50), at("blast", 50, place=0.45))
SHEETS = [
    Case("veil", f"pile<{grey(40)}, veil<{B}, k<500>>>", flat(120)),
    Case("sheets are laid in order", f"pile<{A}, veil<{B}, k<1000>>, veil<{grey(100)}, k<500>>>", flat(150)),
    Case("gleam adds", f"pile<{grey(40)}, gleam<{B}, k<500>>>", flat(140)),
    Case("gleam ends at full", f"pile<{grey(100)}, gleam<{B}, k<1000>>>", flat(255)),
    Case("on", f"pile<{A}, on<ev::clash, {B}, burst<100>>>", flat(200), ms=100, scene=CLASHED),
    Case(
        "spot",
        f"pile<{A}, spot<ev::blast, {B}, 400, hit<0, 200>>>",
        [0, 0, 0, 75, 150, 75, 0, 0, 0, 0],
        ms=100,
        scene=CLASHED,
    ),
    Case("spot before its event", f"pile<{B}, spot<ev::blast, {A}, 400, hit<0, 200>>>", flat(200), scene=CLASHED),
    Case(
        "spot of a held event",
        f"pile<{A}, spot<ev::lock, {B}, 400, held<0, 0>>>",
        [0, 0, 0, 100, 200, 100, 0, 0, 0, 0],
        ms=200,
        scene=LOCKED,
    ),
    Case("no power is always lit", f"pile<{B}, edge<{grey(90)}, 300>>", flat(200), scene=(at("ignite", 0),)),
]

LIT = (at("ignite", 0), at("retract", 1000))
FULL = f"pile<{B}, power<"
POWER = [
    Case("dark before the first ignition", f"{FULL}wipe<400>, wipe<400>>>", DARK, ms=0, scene=(at("ignite", 50),)),
    Case("wipe", f"{FULL}wipe<400>, wipe<200>>>", [200] * 5 + [0] * 5, ms=200, scene=LIT),
    Case("lit", f"{FULL}wipe<400>, wipe<200>>>", flat(200), ms=400, scene=LIT),
    Case("a wipe goes dark from the tip", f"{FULL}wipe<400>, wipe<200>>>", [200] * 5 + [0] * 5, ms=1100, scene=LIT),
    Case("dark again", f"{FULL}wipe<400>, wipe<200>>>", DARK, ms=1200, scene=LIT),
    # clamp((0.5 * 1.5 - x) / 0.5): 1 up to 0.25, then 0.8, 0.6, 0.4, 0.2, 0
    Case("soft wipe", f"{FULL}wipe<400, 500>, cut<>>>", [200, 200, 200, 160, 120, 80, 40, 0, 0, 0], ms=200, scene=LIT),
    Case("dissolve", f"{FULL}dissolve<400>, cut<>>>", flat(50), ms=100, scene=LIT),
    Case("dissolve falls", f"{FULL}cut<>, dissolve<400>>>", flat(150), ms=1100, scene=LIT),
    # |x - 0.2| < 0.5 * 0.8
    Case("iris", f"{FULL}iris<400, 200>, cut<>>>", [200] * 6 + [0] * 4, ms=200, scene=LIT),
    Case("cut lights at once", f"{FULL}cut<>, cut<>>>", flat(200), ms=0, scene=LIT),
    Case("cut is dark at once", f"{FULL}cut<>, cut<>>>", DARK, ms=1000, scene=LIT),
    Case("rest keeps the dark", f"{FULL}rest<400>, rest<400>>>", DARK, ms=350, scene=LIT),
    Case("rest then lights", f"{FULL}rest<400>, rest<400>>>", flat(200), ms=400, scene=LIT),
    Case("rest keeps the light", f"{FULL}rest<400>, rest<400>>>", flat(200), ms=1350, scene=LIT),
    # at 200 of 400 ms q is 0.5 and falls at 1/1000: 0.4 after 100 ms
    Case(
        "a retraction in the ignition falls from there",
        f"{FULL}wipe<400>, wipe<1000>>>",
        [200] * 4 + [0] * 6,
        ms=300,
        scene=(at("ignite", 0), at("retract", 200)),
    ),
    Case(
        "an ignition while rising is ignored",
        f"{FULL}wipe<400>, cut<>>>",
        [200] * 5 + [0] * 5,
        ms=200,
        scene=(at("ignite", 0), at("ignite", 100)),
    ),
    Case(
        "a retraction while dark is ignored", f"{FULL}wipe<400>, wipe<400>>>", DARK, ms=100, scene=(at("retract", 0),)
    ),
    Case(
        "an ignition while falling rises from there",
        f"{FULL}cut<>, wipe<400>>>",
        flat(200),
        ms=200,
        scene=(at("ignite", 0), at("retract", 50), at("ignite", 150)),
    ),
    Case(
        "a sheet sees the ignition that power ignores",
        f"pile<{B}, on<ev::ignite, {grey(90)}, burst<100>>, power<cut<>, cut<>>>",
        flat(90),
        ms=200,
        scene=(at("ignite", 0), at("ignite", 150)),
    ),
    Case(
        "power cuts gleam",
        f"pile<{A}, gleam<{B}, k<1000>>, power<wipe<400>, cut<>>>",
        [200] * 5 + [0] * 5,
        ms=200,
        scene=LIT,
    ),
    Case(
        "a chain's first step",
        f"{FULL}chain<wipe<200>, {grey(90)}, dissolve<400>>, cut<>>>",
        [90] * 5 + [0] * 5,
        ms=100,
        scene=LIT,
    ),
    # 200 ms are gone: the second step stands at a quarter after 300 ms, 90 + (200 - 90) / 4 = 117.5
    Case(
        "a chain's second step",
        f"{FULL}chain<wipe<200>, {grey(90)}, dissolve<400>>, cut<>>>",
        flat(118),
        ms=300,
        scene=LIT,
    ),
    # the fall plays it as written: first the style wipes away from the tip and shows the paint
    Case(
        "a chain falls as written",
        f"{FULL}cut<>, chain<wipe<200>, {grey(90)}, dissolve<400>>>>",
        [200] * 5 + [90] * 5,
        ms=1100,
        scene=LIT,
    ),
    Case(
        "and then the paint falls",
        f"{FULL}cut<>, chain<wipe<200>, {grey(90)}, dissolve<400>>>>",
        flat(68),
        ms=1300,
        scene=LIT,
    ),
    # lit below 0.5, the band is 200 per mille: from 0.3 on
    Case(
        "edge",
        f"pile<{B}, edge<{grey(90)}, 200>, power<wipe<400>, cut<>>>",
        [200] * 3 + [90] * 2 + [0] * 5,
        ms=200,
        scene=LIT,
    ),
    Case(
        "edge is gone at rest",
        f"pile<{B}, edge<{grey(90)}, 200>, power<wipe<400>, cut<>>>",
        flat(200),
        ms=400,
        scene=LIT,
    ),
    Case(
        "edge of a falling wipe",
        f"pile<{B}, edge<{grey(90)}, 200>, power<cut<>, wipe<400>>>",
        [200] * 3 + [90] * 2 + [0] * 5,
        ms=1200,
        scene=LIT,
    ),
    # the soft edge stands at 0.5 * 1.5 = 0.75: band from 0.55 on, cut by the mask's 0.4 and 0.2
    Case(
        "edge of a soft wipe",
        f"pile<{B}, edge<{grey(90)}, 200>, power<wipe<400, 500>, cut<>>>",
        [200, 200, 200, 160, 120, 36, 18, 0, 0, 0],
        ms=200,
        scene=LIT,
    ),
    # the iris from the middle: |x - 0.5| < 0.25, the band where it is at least 0.15
    Case(
        "edges of an iris",
        f"pile<{B}, edge<{grey(90)}, 100>, power<iris<400, 500>, cut<>>>",
        [0, 0, 0, 90, 200, 200, 90, 0, 0, 0],
        ms=200,
        scene=LIT,
    ),
    Case(
        "a dissolve has no edge",
        f"pile<{B}, edge<{grey(90)}, 200>, power<dissolve<400>, cut<>>>",
        flat(100),
        ms=200,
        scene=LIT,
    ),
    # the wipe is the second step; at 200 ms it is half way
    Case(
        "edge in a chain",
        f"pile<{B}, edge<{grey(90)}, 200>, power<chain<rest<100>, {A}, wipe<200>>, cut<>>>",
        [200] * 3 + [90] * 2 + [0] * 5,
        ms=200,
        scene=LIT,
    ),
    Case(
        "a chain in a chain",
        f"{FULL}chain<chain<rest<100>, {grey(30)}, rest<100>>, {grey(90)}, rest<100>>, cut<>>>",
        flat(30),
        ms=150,
        scene=LIT,
    ),
]

# pixels: a pixel is 1 long, its centre at i + 0.5
COMPAT = [
    Case("clash_sleeve holds 60 ms", f"clash_sleeve<{A}, {B}>", flat(200), ms=109, step=1, scene=CLASHED),
    Case("and no longer", f"clash_sleeve<{A}, {B}>", DARK, ms=110, step=1, scene=CLASHED),
    Case("blast_sleeve", f"blast_sleeve<{A}, {B}, 4, 200>", [0, 0, 0, 75, 150, 75, 0, 0, 0, 0], ms=100, scene=CLASHED),
    # 9 px: d = 1, 2, 3, 4 give (1 + cos(2 pi d / 9)) / 2 = .88302, .58682, .25, .03015;
    # 300 ms: at 50 + 150 half is left
    Case(
        "blast_sleeve by default",
        f"blast_sleeve<{A}, {B}>",
        [3, 25, 59, 88, 100, 88, 59, 25, 3, 0],
        ms=200,
        scene=CLASHED,
    ),
    Case("glare_sleeve", f"glare_sleeve<{A}, {B}>", flat(200), ms=100, scene=LOCKED),
    Case("glare_sleeve, first half", f"glare_sleeve<{A}, {B}, 200>", DARK, ms=250, scene=LOCKED),
    Case("glare_sleeve, second half", f"glare_sleeve<{A}, {B}, 200>", flat(200), ms=100, scene=LOCKED),
    # 3 * 2 = 6 px wide: d = 1, 2 give 0.75, 0.25
    Case(
        "lock_sleeve",
        f"lock_sleeve<{A}, {B}, {grey(90)}, 2>",
        [0, 0, 50, 150, 200, 150, 50, 0, 0, 0],
        ms=100,
        scene=LOCKED,
    ),
    Case(
        "lock_sleeve drags",
        f"lock_sleeve<{A}, {B}, {grey(90)}, 2>",
        [0] * 8 + [90] * 2,
        ms=100,
        scene=(at("drag", 50, 200),),
    ),
    Case("lock_sleeve drags with LOCK", f"lock_sleeve<{A}, {B}>", flat(200), ms=100, scene=(at("drag", 50, 200),)),
    # on the last 4 px: 1 - (10 - 6.5) / 4 = 0.125 and on, from 40 to 200
    Case(
        "melt_sleeve",
        f"melt_sleeve<{A}, {grey(40)}, {B}, 4>",
        [0] * 6 + [60, 100, 140, 180],
        ms=100,
        scene=(at("melt", 50, 200),),
    ),
    Case("collar_sleeve", f"collar_sleeve<{A}, {B}, 4>", [175, 125, 75, 25] + [0] * 6),
    Case(
        "edge_sleeve in power_sleeve",
        f"power_sleeve<edge_sleeve<{B}, {grey(90)}, 2>, 400, 200>",
        [200] * 3 + [90] * 2 + [0] * 5,
        ms=200,
        scene=LIT,
    ),
    Case(
        "edge_sleeve in a pile",
        f"pile<edge_sleeve<{B}, {grey(90)}, 2>, power<wipe<400>, cut<>>>",
        [200] * 3 + [90] * 2 + [0] * 5,
        ms=200,
        scene=LIT,
    ),
    Case("power_sleeve falls", f"power_sleeve<{B}, 400, 200>", [200] * 5 + [0] * 5, ms=1100, scene=LIT),
    Case(
        "a sleeve as a ground",
        f"pile<clash_sleeve<{A}, {B}>, veil<{grey(100)}, k<500>>>",
        flat(150),
        ms=50,
        scene=CLASHED,
    ),
    Case("flip", f"flip<{A}, {B}, 200>", flat(200), ms=100),
    Case("flutter at 50 Hz", f"flutter<{A}, {B}>", flat(twice(uniform(0, 5, 0))), ms=100),
    Case("dapple at 20 Hz", f"dapple<{A}, {B}, 20>", [twice(uniform(0, 2, i)) for i in range(10)], ms=100),
    Case(
        "roam",
        f"roam<{A}, {B}, 8>",
        [
            twice(max(0.0, (1 + math.cos(2 * math.pi * min(4.0, abs(i + 0.5 - 10 * uniform(0, 5, 0))) / 8)) / 2))
            for i in range(10)
        ],
        ms=100,
    ),
    Case("hark", f"hark<{A}, {B}>", flat(60), scene=(sensor("sound", (0, 0.3)),)),
    Case("whirl", f"whirl<{A}, {B}>", flat(100), scene=(sensor("swing", (0, -225.0)),)),
    Case("dim", f"dim<{grey(28)}, 50>", flat(14)),
    # the false friends: inside a sleeve they are generation 3's own
    Case("rgb in a sleeve is sRGB-coded", f"collar_sleeve<rgb<188, 0, 0>, {A}, 0>", flat(128)),
    Case(
        "bands in a sleeve are per mille",
        f"collar_sleeve<bands<200, 0, {A}, {B}>, {A}, 0>",
        [0, 0, 200, 200, 0, 0, 200, 200, 0, 0],
    ),
    # IN counts first, then the sleeve's own paints; a defaulted DRAG counts again: IN 0, LOCK 1, DRAG 2
    Case(
        "a defaulted paint has its own noise",
        f"lock_sleeve<dapple<{A}, {A}>, dapple<{A}, {B}>>",
        [twice(uniform(2, 5, i)) for i in range(10)],
        ms=100,
        scene=(at("drag", 50, 200),),
    ),
]

CASES = [*PAINTS, *NOISES, *SIGNALS, *SHAPES, *SHEETS, *POWER, *COMPAT]


# ---- one program for all of them -----------------------------------------------------------------------

Player = Callable[[Case], np.ndarray]


@pytest.fixture(scope="module")
def player(tmp_path_factory: pytest.TempPathFactory) -> Player:
    """Compiles every case's style in one program; plays one case, and gives its frame, (10, 3) duties."""
    folder = tmp_path_factory.mktemp("generation3")
    lines = ["#include <wick/compat2.h>", "using namespace wick;"]
    lines += [f"using style_{i} = {case.style};" for i, case in enumerate(CASES)]
    lines += ["typedef bool (*performance)(const stage::Scene&, const char*);", "int main(int, char** words) {"]
    lines += ["  static const performance all[] = {"]
    lines += [f"    stage::perform<style_{i}>," for i in range(len(CASES))]
    lines += [
        "  };",
        "  stage::Scene scene;",
        "  return scene.read(words[2]) && all[atoi(words[1])](scene, words[3]) ? 0 : 1;",
        "}",
    ]
    (folder / "play.cpp").write_text("\n".join(lines) + "\n")
    built = gxx(*STRICT, "-Werror", "-DWICK_QUIET_COMPAT", "-O0", str(folder / "play.cpp"), "-o", str(folder / "play"))
    assert built.returncode == 0, built.stderr[:4000]

    def play(case: Case) -> np.ndarray:
        frames = case.ms // case.step + 1
        scene = [f"blade {PIXELS} 144", f"clock {frames} {case.step * 1000} 1", *case.scene, ""]
        (folder / "scene").write_text("\n".join(scene))
        words = [str(folder / "play"), str(CASES.index(case)), str(folder / "scene"), str(folder / "out")]
        subprocess.run(words, check=True, timeout=20)
        return np.fromfile(folder / "out", dtype=np.uint8).reshape(frames, PIXELS, 3)[-1]

    return play


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_a_style_draws_what_the_formula_says(player: Player, case: Case) -> None:
    drawn = player(case)
    assert drawn[:, 0].tolist() == case.red
    assert not drawn[:, 1:].any()  # the other channels of every paint here are dark


def test_numpys_philox_gives_the_known_answer() -> None:
    # Random123's known answer for philox4x64-10, counter and key 0, as checks.md has it
    assert uniform(0, 0, 0) == float(0x16554D9ECA36314C >> 11) * 2.0**-53
