"""wick1.h against values worked out by hand from the family page: one style for each construct."""

from __future__ import annotations

import math

import pytest
from native_bench import WICK1, WICK1_STRICT, At, Event, Play, Scene, red, uniform, word

from migrate.native import Toolchain, check_syntax

_CONFIG = """\
#include <wick1.h>
const int blade_pixels = 10;
const int pixels_per_metre = 144;
typedef tape<plain<0x102030>, 0xFFFFFF, 0x000000, 0x405060, 0, 0> steady;
typedef tape<plain<0x000000> > defaults;
typedef tape<throb<0x000000, 0xFFFFFF, 4>, 0, 0, 0, 0, 0> throb_up;
typedef tape<throb<0xFFFFFF, 0x000000, 4>, 0, 0, 0, 0, 0> throb_down;
typedef tape<flip<0x100000, 0xFF0000, 4>, 0, 0, 0, 0, 0> flipped;
typedef tape<jitter<0x000000, 0xFFFFFF>, 0, 0, 0, 0, 0> jittered;
typedef tape<speckle<0x000000, 0xFF0000, 0>, 0, 0, 0, 0, 0> specks_none;
typedef tape<speckle<0x000000, 0xFF0000, 255>, 0, 0, 0, 0, 0> specks_all;
typedef tape<speckle<0x000000, 0xFF0000, 100>, 0, 0, 0, 0, 0> specks_some;
typedef tape<barber<0xFF0000, 0x100000, 3, 1>, 0, 0, 0, 0, 0> poled;
typedef tape<barber<0xFF0000, 0x100000, 3, -1>, 0, 0, 0, 0, 0> poled_back;
typedef tape<fade_along<0x000000, 0xFF0000>, 0, 0, 0, 0, 0> faded;
typedef tape<hearth<0x000000, 0xFF0000>, 0, 0, 0, 0, 0> fire;
typedef tape<meter<0x000000, 0xFF0000>, 0, 0, 0, 0, 0> metered;
typedef tape<whirl<0x000000, 0xFF0000>, 0, 0, 0, 0, 0> whirled;
typedef tape<collar<plain<0x000000>, 0xFF0000, 4>, 0, 0, 0, 0, 0> collared;
typedef tape<collar<jitter<0x000000, 0xFFFFFF>, 0x000000, 1>, 0, 0, 0, 0, 0> collared_noise;
typedef tape<plain<0x000000>, 0x0000FF, 0xFF0000, 0x00FF00, 0, 0> layers;
typedef tape<plain<0x640000>, 0, 0, 0, 50, 25> powered;
wick_slot slots[] = {
  SLOT(steady, "harbour"),
  SLOT(powered, "lampoil"),
};
"""
_NAMES = [line.split()[-1].rstrip(";") for line in _CONFIG.splitlines() if line.startswith("typedef")]
_SENSORS = {"sound": ((0, 0.0), (1_000_000, 1.0)), "swing": ((0, 0.0), (1_000_000, -450.0))}
_LIT = (Event("ignite", 0),)


@pytest.fixture(scope="module")
def lit(play: Play) -> At:
    """`lit(style, ms)`: the frame of a style that is lit at once, with nothing happening but the sensors."""
    played = play(_CONFIG, _NAMES, WICK1, Scene(1_100_000, events=_LIT, sensors=_SENSORS))
    return lambda style, ms: played[style][ms]


def _floored(a: int, b: int, k: int) -> int:
    return a + ((b - a) * k >> 8)


def test_every_construct_compiles_without_a_warning(chain: Toolchain) -> None:
    assert check_syntax(_CONFIG.encode(), WICK1_STRICT, toolchain=chain) == []


def test_two_closing_brackets_need_a_space(chain: Toolchain) -> None:
    found = check_syntax(b"#include <wick1.h>\ntypedef tape<plain<0>> joined;\n", WICK1, toolchain=chain)
    assert any(one.severity == "error" for one in found)


def test_plain_is_its_duties(lit: At) -> None:
    assert lit("steady", 0)[9].tolist() == [0x10, 0x20, 0x30]


def test_throb_steps_by_ticks_and_never_reaches_a_greater_b(lit: At) -> None:
    assert [red(lit("throb_up", ms))[0] for ms in (0, 19, 20, 40, 59, 60, 80)] == [0, 0, 127, 254, 254, 127, 0]


def test_throb_reaches_a_smaller_b(lit: At) -> None:
    assert [red(lit("throb_down", ms))[0] for ms in (0, 20, 40, 60)] == [255, 127, 0, 127]


def test_flip_takes_the_colour_itself(lit: At) -> None:
    assert [red(lit("flipped", ms))[0] for ms in (0, 39, 40, 79, 80)] == [16, 16, 255, 255, 16]


def test_jitter_mixes_the_whole_blade_by_a_random_k(lit: At) -> None:
    assert red(lit("jittered", 45)) == [_floored(0, 255, word(0, 2, 0) >> 56)] * 10


def test_speckle_takes_b_with_its_odds(lit: At) -> None:
    assert red(lit("specks_none", 20)) == [0] * 10 and red(lit("specks_all", 20)) == [255] * 10
    expected = [255 if uniform(0, 3, i) >= 1 - 100 / 255 else 0 for i in range(10)]
    assert red(lit("specks_some", 60)) == expected and len(set(expected)) == 2


def test_barber_moves_a_pixel_a_tick_toward_the_tip(lit: At) -> None:
    assert red(lit("poled", 19)) == [255, 255, 255, 16, 16, 16, 255, 255, 255, 16]
    assert red(lit("poled", 20)) == [16, 255, 255, 255, 16, 16, 16, 255, 255, 255]
    assert red(lit("poled_back", 20)) == [255, 255, 16, 16, 16, 255, 255, 255, 16, 16]


def test_fade_along_is_floored(lit: At) -> None:
    assert red(lit("faded", 0)) == [k * 255 >> 8 for k in (13, 38, 64, 89, 115, 140, 166, 191, 217, 242)]


def test_hearth_rises_a_quarter_pixel_a_tick(lit: At) -> None:
    for ms, y in ((0, 3.5 / 6), (39, (3.5 - 0.24) / 6)):
        low, high = uniform(0, 0, 0), uniform(0, 0, 1)
        heat = low + (high - low) * y
        assert red(lit("fire", ms))[3] == _floored(0, 255, math.floor(255 * heat * heat + 0.5))


def test_meter_and_whirl_read_the_sensor_at_the_tick(lit: At) -> None:
    for style in ("metered", "whirled"):
        assert [red(lit(style, ms))[0] for ms in (0, 500, 519, 1000)] == [0, 127, 127, 254]


def test_collar_fades_from_the_hilt(lit: At) -> None:
    assert red(lit("collared", 0)) == [222, 158, 95, 31, 0, 0, 0, 0, 0, 0]
    assert red(lit("collared_noise", 0))[1] == _floored(0, 255, word(0, 0, 0) >> 56)


def test_clash_is_four_ticks_as_the_ticks_see_it(play: Play) -> None:
    scene = Scene(300_000, events=(*_LIT, Event("clash", 105_000)))
    blue = play(_CONFIG, _NAMES, WICK1, scene)["layers"][:, 0, 2].nonzero()[0]
    assert (blue[0], blue[-1], len(blue)) == (120, 199, 80)  # seen at 120, gone at 200: 95 ms


def test_lock_turns_with_odd_ticks_and_the_default_is_amber(play: Play) -> None:
    scene = Scene(300_000, events=(*_LIT, Event("lock", 105_000, 190_000)))
    played = play(_CONFIG, _NAMES, WICK1, scene)
    green = played["layers"][:, 0, 1].nonzero()[0]
    assert green.tolist() == [*range(140, 160), *range(180, 200)]  # ticks 7 and 9; the tick at 180 still is locked
    unlit = Scene(1_000_000, events=(Event("ignite", 0), Event("lock", 400_000, 800_000)))
    assert play(_CONFIG, _NAMES, WICK1, unlit)["defaults"][421, 9].tolist() == [0xFF, 0xC0, 0x40]


def test_blast_is_nine_pixels_and_fades_over_fifteen_ticks(play: Play) -> None:
    scene = Scene(500_000, events=(*_LIT, Event("blast", 100_000, place=0.5)))
    frames = play(_CONFIG, _NAMES, WICK1, scene)["layers"]
    assert red(frames[100])[4:6] == [247 * 255 >> 8] * 2  # k = floor(255 * 0.96985 + 0.5)
    assert red(frames[100])[0] == 0
    assert red(frames[259])[4] == 132 * 255 >> 8  # tick at 240 ms: 8/15 of 0.96985 is 0.51725
    assert frames[400].max() == 0


def test_order_of_the_slots_from_below(play: Play) -> None:
    scene = Scene(
        300_000, events=(*_LIT, Event("lock", 0, 300_000), Event("blast", 100_000, place=0.5), Event("clash", 200_000))
    )
    frames = play(_CONFIG, _NAMES, WICK1, scene)["layers"]
    assert frames[100, 4].tolist() == [246, 8, 0]  # odd tick 5: the blast lies over the lock; 255 + (-255 * 247 >> 8)
    assert frames[100, 0].tolist() == [0, 255, 0]
    assert frames[200, 4].tolist() == [0, 0, 255]


def test_up_and_down_count_in_ticks_and_cut_everything(play: Play) -> None:
    scene = Scene(2_000_000, events=(Event("ignite", 210_000), Event("retract", 710_000), Event("clash", 700_000)))
    frames = play(_CONFIG, _NAMES, WICK1, scene)["powered"]
    shown = lambda ms: int((frames[ms, :, 0] > 0).sum())  # noqa: E731
    assert [shown(ms) for ms in (0, 219, 500, 699)] == [0, 0, 3, 5]  # q(500) = 0.29, q(680) = 0.47
    assert shown(710) == 0  # the clash is black here, and is over at 780
    assert shown(800) == 3  # from q(710) = 0.5: 0.5 - 0.09 / 0.5 = 0.32
    assert shown(1000) == 0


def test_the_default_wipe_is_fifteen_ticks(play: Play) -> None:
    scene = Scene(700_000, events=(Event("ignite", 0), Event("clash", 160_000)))
    frames = play(_CONFIG, _NAMES, WICK1, scene)["defaults"]
    assert red(frames[160]) == [255] * 5 + [0] * 5  # q = 160 / 300
