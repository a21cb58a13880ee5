"""wick2.h against values worked out by hand from the family page: one style for each construct."""

from __future__ import annotations

import math

import pytest
from native_bench import WICK2, WICK2_STRICT, At, Event, Frames, Play, Scene, red, uniform, word

from migrate.ir.facts import Blade
from migrate.native import Toolchain, check_syntax

_CONFIG = """\
#define WICK_GENERATION 2
#include <wick2.h>
constexpr int blade_pixels = 10;
constexpr int pixels_per_metre = 144;
using black = rgb<0, 0, 0>;
using white = rgb<255, 255, 255>;
using r = rgb<200, 0, 0>;
using g = rgb<100, 0, 0>;
using half = dim<rgb<255, 28, 0>, 50>;
using swayed = sway<black, rgb<255, 200, 100>, 1000>;
using flipped = flip<black, white, 200>;
using fluttered = flutter<black, white>;
using slow_flutter = flutter<black, white, 3>;
using dappled = dapple<black, white>;
using roamed = roam<black, white, 4>;
using banded = bands<3, 10, r, g, black>;
using banded_back = bands<3, -10, r, g, black>;
using ramped = ramp<black, white>;
using ramped3 = ramp<black, white, r>;
using ramped1 = ramp<r>;
using fire = hearth<black, white>;
using listening = hark<black, white>;
using whirled = whirl<black, white>;
using whirled_full = whirl<black, white, 100>;
using clashed = clash_sleeve<black, white>;
using blasted = blast_sleeve<black, white>;
using glared = glare_sleeve<black, white>;
using glared_turns = glare_sleeve<black, white, 40>;
using locked = lock_sleeve<black, white, r, 2>;
using locked_plain = lock_sleeve<black, r>;
using melted = melt_sleeve<r, black, white, 4>;
using collared = collar_sleeve<black, white, 4>;
using powered = power_sleeve<r, 1000, 500>;
using edged = power_sleeve<edge_sleeve<r, white, 2>, 1000, 500>;
using edged_alone = edge_sleeve<r, white, 2>;
using taped = from_tape<tape1::throb<0x000000, 0xFFFFFF, 4>>;
using taped_down = from_tape<tape1::flip<0xFF0000, 0x010203, 2>>;
using numbered_bands = bands<1, 0, fluttered, flutter<black, white>>;
using numbered_after = flutter<fluttered, black>;
using numbered_drag = clash_sleeve<lock_sleeve<black, fluttered>, fluttered>;
template <class IN>
using stormy = clash_sleeve<IN, ramp<black, white>, 100>;
using aliased = stormy<r>;
template <class... P>
using rows_of = bands<5, 0, P...>;
using packed = rows_of<r, g>;
wick_slots slots = {
  slot<half>("harbour", "Harbour watch"),
  slot<powered>("lampoil", "Lamp oil, low wick"),
};
"""
_NAMES = [
    line.split()[1]
    for line in _CONFIG.splitlines()
    if line.startswith("using ") and "..." not in line and "IN" not in line
]
_SCENE = Scene(
    3_000_000,
    events=(
        Event("ignite", 1_000_000), Event("ignite", 1_200_000), Event("retract", 1_500_000),
        Event("clash", 100_000), Event("blast", 200_000, place=0.5),
        Event("lock", 300_000, 500_000, 0.5), Event("drag", 400_000, 450_000), Event("melt", 600_000, 700_000),
    ),
    sensors={"sound": ((0, 0.0), (1_000_000, 1.0)), "swing": ((0, 0.0), (1_000_000, -450.0))},
)  # fmt: skip


@pytest.fixture(scope="module")
def at(play: Play) -> At:
    """`at(style, ms)`: the frame of a style at a millisecond of the scene."""
    played = play(_CONFIG, _NAMES, WICK2, _SCENE)
    return lambda style, ms: played[style][ms]


def _on(words: list[int], black_to: int = 255) -> list[int]:
    """The wick 2 mix of black with `black_to` by the k of each word."""
    return [((w >> 56) * black_to + 127) // 255 for w in words]


def test_every_construct_compiles_without_a_warning(chain: Toolchain) -> None:
    assert check_syntax(_CONFIG.encode(), WICK2_STRICT, toolchain=chain) == []


def test_dim_rounds_half_up(at: At) -> None:
    assert at("half", 0)[0].tolist() == [128, 14, 0]


def test_sway_is_a_sine_that_starts_at_a(at: At) -> None:
    assert at("swayed", 0)[0].tolist() == [0, 0, 0]
    assert at("swayed", 125)[0].tolist() == [37, 29, 15]  # k = floor(255 * 0.146447 + 0.5) = 37
    assert at("swayed", 500)[9].tolist() == [255, 200, 100]


def test_flip_changes_at_half_its_period(at: At) -> None:
    assert [red(at("flipped", ms))[0] for ms in (0, 99, 100, 199, 200)] == [0, 0, 255, 255, 0]


def test_flutter_holds_a_random_mix_for_a_step(at: At) -> None:
    expected = _on([word(0, 0, 0), word(0, 1, 0), word(0, 2, 0)])
    assert [red(at("fluttered", ms))[4] for ms in (19, 20, 40)] == expected
    assert [red(at("slow_flutter", ms))[4] for ms in (333, 334, 667)] == expected
    assert len(set(red(at("fluttered", 60)))) == 1


def test_dapple_draws_each_pixel_by_its_own_word(at: At) -> None:
    assert red(at("dappled", 45)) == _on([word(0, 2, i) for i in range(10)])


def test_roam_is_a_raised_cosine_round_a_random_place(at: At) -> None:
    place = uniform(0, 3, 0) * 10
    gaps = [abs(i + 0.5 - place) for i in range(10)]
    expected = [math.floor(255 * (1 + math.cos(2 * math.pi * d / 4)) / 2 + 0.5) if d < 2 else 0 for d in gaps]
    assert red(at("roamed", 79)) == expected


def test_bands_start_at_the_hilt_and_move_to_the_tip(at: At) -> None:
    assert red(at("banded", 0)) == [200, 200, 200, 100, 100, 100, 0, 0, 0, 200]
    assert red(at("banded", 100)) == [0, 200, 200, 200, 100, 100, 100, 0, 0, 0]
    assert red(at("banded", 400)) == [100, 0, 0, 0, 200, 200, 200, 100, 100, 100]
    assert red(at("banded_back", 100)) == [200, 200, 100, 100, 100, 0, 0, 0, 200, 200]


def test_ramp_is_taken_at_pixel_centres(at: At) -> None:
    assert red(at("ramped", 0)) == [13, 38, 64, 89, 115, 140, 166, 191, 217, 242]
    assert at("ramped3", 0)[2].tolist() == [128, 128, 128]  # x = 0.25: halfway to white
    assert at("ramped3", 0)[7].tolist() == [227, 127, 127]  # x = 0.75: k = 128 from white to (200, 0, 0)
    assert red(at("ramped1", 0)) == [200] * 10


def test_hearth_is_squared_value_noise(at: At) -> None:
    low, high = uniform(0, 0, 0), uniform(0, 0, 1)
    heat = low + (high - low) * (3.5 / 6)
    assert red(at("fire", 0))[3] == int(255 * heat * heat + 0.5)
    first, next_ = uniform(0, 0, (1 << 64) - 2), uniform(0, 0, (1 << 64) - 1)  # risen 12 px: cell -2
    heat = first + (next_ - first) * (3.5 / 6)
    assert red(at("fire", 1000))[3] == int(255 * heat * heat + 0.5)


def test_sensors_move_hark_and_whirl(at: At) -> None:
    assert [red(at("listening", ms))[0] for ms in (0, 500, 1000, 2000)] == [0, 128, 255, 255]
    assert [red(at("whirled", ms))[0] for ms in (0, 500, 1000)] == [0, 128, 255]
    assert red(at("whirled_full", 300))[0] == 255  # 135 deg/s over 100


def test_blast_is_a_fading_raised_cosine(at: At) -> None:
    assert red(at("blasted", 199)) == [0] * 10
    assert red(at("blasted", 200))[4:6] == [247, 247]  # (1 + cos(20 degrees)) / 2 = 0.96985
    assert red(at("blasted", 350))[4:6] == [124, 124]  # half of it, rounded once
    assert red(at("blasted", 200))[0] == 0  # 4.5 px from the place: not inside 9 px
    assert red(at("blasted", 500)) == [0] * 10


def test_glare_covers_the_blade_while_locked(at: At) -> None:
    assert [red(at("glared", ms))[9] for ms in (299, 300, 499, 500)] == [0, 255, 255, 0]
    assert [red(at("glared_turns", ms))[0] for ms in (300, 319, 320, 339, 340, 359, 360)] == [
        255,
        255,
        0,
        0,
        255,
        255,
        0,
    ]


def test_lock_is_a_spot_of_three_lengths_and_drag_the_last_pixels(at: At) -> None:
    spot = [0, 0, 17, 128, 238, 238, 128, 17, 0, 0]  # 6 px wide round 5: d = 0.5, 1.5, 2.5
    assert red(at("locked", 299)) == [0] * 10
    assert red(at("locked", 300)) == spot
    assert red(at("locked", 400)) == [*spot[:8], 200, 200]
    assert red(at("locked", 450)) == spot
    assert red(at("locked", 500)) == [0] * 10
    assert red(at("locked_plain", 400)) == [200] * 10  # DRAG is LOCK, on the last 12 px
    assert red(at("locked_plain", 300))[0] == 171  # PX is 12: (1 + cos(45 degrees)) / 2 = 0.85355 of 200


def test_melt_runs_from_a_to_b_on_the_last_pixels(at: At) -> None:
    assert red(at("melted", 599)) == [200] * 10
    assert red(at("melted", 600)) == [200] * 6 + [32, 96, 159, 223]
    assert red(at("melted", 700)) == [200] * 10


def test_collar_fades_from_the_hilt(at: At) -> None:
    assert red(at("collared", 0)) == [223, 159, 96, 32, 0, 0, 0, 0, 0, 0]


def test_power_rises_and_falls_from_where_it_stands(at: At) -> None:
    lit = lambda ms: sum(1 for duty in red(at("powered", ms)) if duty)  # noqa: E731
    assert lit(999) == 0 and lit(1000) == 0
    assert lit(1250) == 2  # pixel 2's centre is 0.25, and the edge does not reach it
    assert lit(1400) == 4  # the ignition at 1200 is ignored
    assert lit(1600) == 3  # retracting from 0.5 at a full length in 500 ms: 0.3
    assert lit(1750) == 0 and lit(2900) == 0


def test_edge_rides_the_moving_edge_and_is_gone_at_rest(at: At) -> None:
    assert at("edged", 1450)[:, 1].tolist() == [0, 0, 255, 255, 0, 0, 0, 0, 0, 0]  # 2.5 to 4.5 px, the edge left out
    assert at("edged", 1460)[:, 1].tolist() == [0, 0, 0, 255, 255, 0, 0, 0, 0, 0]
    assert at("edged", 1600)[:, 1].tolist() == [0, 255, 255, 0, 0, 0, 0, 0, 0, 0]
    assert at("edged", 2000).max() == 0
    assert at("edged_alone", 1450)[:, 1].max() == 0


def test_from_tape_keeps_the_ticks_and_the_floored_mix(at: At) -> None:
    assert [red(at("taped", ms))[0] for ms in (0, 19, 20, 39, 40, 59, 60)] == [0, 0, 127, 127, 254, 254, 127]
    assert [at("taped_down", ms)[0].tolist() for ms in (0, 20)] == [[255, 0, 0], [1, 2, 3]]


def test_noises_are_numbered_in_source_order(at: At) -> None:
    assert red(at("numbered_bands", 0)) == _on([word(0, 0, 0), word(1, 0, 0)]) * 5
    inner = _on([word(0, 0, 0)])[0]
    assert red(at("numbered_after", 0))[0] == (inner * (255 - (word(1, 0, 0) >> 56)) + 127) // 255
    assert red(at("numbered_drag", 100))[0] == _on([word(2, 5, 0)])[0]  # LOCK is 0, the defaulted DRAG 1
    assert red(at("numbered_drag", 400))[9] == _on([word(1, 20, 0)])[0]


def test_alias_templates_and_packs_reach_the_constructs(at: At) -> None:
    assert red(at("aliased", 99))[9] == 200 and red(at("aliased", 199))[9] == 242 and red(at("aliased", 200))[9] == 200
    assert red(at("packed", 0)) == [200] * 5 + [100] * 5


def test_clash_is_active_from_its_start_to_just_before_its_end(play: Play) -> None:
    scene = Scene(80_010, rate=1_000_000, events=(Event("clash", 5),))  # a frame each microsecond
    config = "#include <wick2.h>\nusing c = clash_sleeve<rgb<0, 0, 0>, rgb<9, 9, 9>>;\n"
    played: Frames = play(config, ["c"], WICK2, scene, Blade(1, 144))["c"]
    lit = played[:, 0, 0].nonzero()[0]
    assert (lit[0], lit[-1], len(lit)) == (5, 80_004, 80_000)


def test_only_the_latest_event_counts_and_it_restarts(play: Play) -> None:
    scene = Scene(250_000, events=(Event("clash", 20_000), Event("clash", 60_000)))
    config = "#include <wick2.h>\nusing c = clash_sleeve<rgb<0, 0, 0>, rgb<9, 9, 9>, 100>;\n"
    lit = play(config, ["c"], WICK2, scene)["c"][:, 0, 0].nonzero()[0]
    assert (lit[0], lit[-1], len(lit)) == (20, 159, 140)
