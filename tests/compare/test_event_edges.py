"""Event edges in ms and pattern edges in pixels, on synthetic shapes whose errors are known."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from migrate.compare import Tolerance, compare, within
from migrate.compare.edges import edge_shift, event_edge_error
from migrate.pipeline import Options, move
from migrate.source import SourceFile

RATE = 250


def pulse(start_ms: float, length_ms: float, colour=(255, 255, 255), ground=(60, 30, 10)) -> NDArray[np.uint8]:
    t = np.arange(500) * 1000 / RATE
    lit = (t >= start_ms) & (t < start_ms + length_ms)
    return np.repeat(np.where(lit[:, None], colour, ground).astype(np.uint8)[:, None, :], 20, axis=1)


def hit(start_ms: float, attack_ms: float, decay_ms: float) -> NDArray[np.uint8]:
    dt = np.arange(500) * 1000 / RATE - start_ms
    up = np.clip(dt / attack_ms, 0, 1) if attack_ms else (dt >= 0).astype(float)
    level = np.where(dt < attack_ms, up, np.clip(1 - (dt - attack_ms) / decay_ms, 0, 1))
    return np.repeat(np.floor(255 * level + 0.5).astype(np.uint8)[:, None, None], 3, axis=2).repeat(20, axis=1)


@pytest.mark.parametrize(
    ("after", "error"),
    [(pulse(800, 80), 0), (pulse(800, 60), 20), (pulse(820, 80), 20), (pulse(800, 120), 40), (pulse(804, 72), 4)],
    ids=["same", "60-for-80", "a-tick-late", "40-longer", "4-short-each-end"],
)
def test_a_burst(after: NDArray[np.uint8], error: float) -> None:
    assert event_edge_error(pulse(800, 80), after, RATE, [("clash", 800_000)])[0] == error
    assert event_edge_error(after, pulse(800, 80), RATE, [("clash", 800_000)])[0] == error


def test_a_dimmer_burst_has_the_same_edges() -> None:
    assert event_edge_error(pulse(800, 80), pulse(800, 80, (180, 180, 180)), RATE, [("clash", 800_000)])[0] == 0


def test_a_missing_burst_errs_by_its_whole_length() -> None:
    error, frame = event_edge_error(pulse(800, 80), pulse(0, 0), RATE, [("clash", 800_000)])
    assert (error, frame) == (80, 200)


def test_a_burst_missing_over_moving_ground_is_not_mistaken_for_it() -> None:
    place = np.arange(20) + 0.5 - 48 * np.arange(500)[:, None] / RATE
    ground = np.where((np.floor(place / 3) % 2)[..., None] == 0, (120, 60, 20), (60, 30, 10)).astype(np.uint8)
    flash = ground.copy()
    flash[200:220] = 255
    assert event_edge_error(flash, ground, RATE, [("clash", 800_000)])[0] == 80


@pytest.mark.parametrize(("decay", "error"), [(300, 0), (320, 8), (400, 40)])
def test_a_decay_is_timed_by_the_level_that_moves_least(decay: float, error: float) -> None:
    found = event_edge_error(hit(400, 0, 300), hit(400, 0, decay), RATE, [("blast", 400_000)])[0]
    assert found == pytest.approx(error, abs=4)  # at 60 %: two fifths of the decay


def test_an_attack_is_timed_by_the_level_that_moves_least() -> None:
    assert event_edge_error(hit(400, 0, 300), hit(400, 80, 220), RATE, [("blast", 400_000)])[0] == 32


def test_without_events_or_without_an_effect_there_is_no_error() -> None:
    assert event_edge_error(pulse(800, 80), pulse(800, 60), RATE, []) == (0.0, 0)
    assert event_edge_error(pulse(800, 80), pulse(800, 60), RATE, [("clash", 1_500_000)])[0] == 0


def test_an_event_after_the_last_frame_is_none() -> None:
    assert event_edge_error(pulse(800, 80), pulse(800, 60), RATE, [("clash", 9_000_000)])[0] == 0


def test_the_next_event_ends_the_search() -> None:
    one = np.maximum(pulse(400, 80), pulse(800, 80))
    two = np.maximum(pulse(400, 80), pulse(800, 200))
    events = [("clash", 400_000), ("clash", 800_000)]
    assert event_edge_error(one, two, RATE, events) == (120.0, 220)
    assert event_edge_error(one, two, RATE, events[:1])[0] == 0


def test_a_plateau_at_half_height_does_not_decide() -> None:
    """Two levels a hair to either side of the half: the pulse as a whole is the same."""
    one, two = pulse(800, 80), pulse(800, 80)
    one[220:260], two[220:260] = (158, 143, 133), (157, 142, 132)
    assert event_edge_error(one, two, RATE, [("clash", 800_000)])[0] == 0


GREY, PALER = (190, 190, 190), (199, 199, 199)  # CIEDE2000 1.5 apart


@pytest.mark.parametrize("colour", [(255, 255, 255), (100, 60, 30), PALER], ids=["strong", "middling", "faint"])
def test_a_sharp_edge_104_ms_off_counts_however_faint(colour: tuple[int, int, int]) -> None:
    """Of a faint one no other figure need tell: it is what keeps it from being called close."""
    ground = GREY if colour == PALER else (60, 30, 10)
    figures = compare(pulse(800, 200, colour, ground), pulse(800, 304, colour, ground), RATE, [("clash", 800_000)])
    assert figures.edge_ms == 104
    assert not within(figures, Tolerance())
    assert (figures.largest <= 5) == (colour == PALER)


def shade(peak: float) -> NDArray[np.uint8]:
    """A blade that pales from 40 to 120 codes in 0.4 s, and stands for `peak` of a step above where it began."""
    t = np.arange(500) / RATE
    level = 120 + 6 * np.clip((t - 0.8) / 0.2, 0, 1) - 6 * peak * np.clip((t - 1.0) / 0.4, 0, 1)
    return np.repeat(np.floor(level + 0.5).astype(np.uint8)[:, None, None], 3, axis=2).repeat(20, axis=1)


def test_a_slow_shade_that_crosses_a_level_late_without_being_seen_has_no_edge_there() -> None:
    one, two = shade(1.0), shade(0.6)
    events = [("blast", 800_000)]
    assert event_edge_error(one, two, RATE, events)[0] > 100, "taken by its level alone, it is far off"
    figures = compare(one, two, RATE, events)
    assert figures.edge_ms == 0
    assert within(figures, Tolerance())


def test_a_pulsing_tape_moves_as_close_though_a_retraction_meets_it_half_way() -> None:
    """Its light is at half of the way when the blade goes off: 104 ms by the levels, and no cell 2 apart."""
    text = b"""#define WICK_GENERATION 2
#include <wick2.h>
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;
using harbour = power_sleeve<from_tape<tape1::throb<0x400000, 0xFF2000, 45>>, 300, 450>;
"""
    (style,) = move(SourceFile("harbour.h", text), Options("wick3")).styles
    assert style.figures is not None and 0 < style.figures.largest < 2
    assert (style.grade, style.figures.edge_ms) == ("close", 0)


def test_a_small_error_is_told_though_it_is_aligned() -> None:
    figures = compare(pulse(800, 80), pulse(800, 60), RATE, [("clash", 800_000)])
    assert figures.edge_ms == 20
    assert within(figures, Tolerance())


def rise_and_slope(start_ms: float, higher: float) -> NDArray[np.uint8]:
    """From 40 codes to 126, and from 1.1 s on down a long slope past half of that, `higher` codes above it."""
    t = np.arange(500) / RATE
    slope = 95 + higher - 31 * (t - 1.1)
    level = np.where(t < start_ms / 1000, 40, np.where(t < 1.1, 126, slope))
    return np.repeat(np.floor(level + 0.5).astype(np.uint8)[:, None, None], 3, axis=2).repeat(20, axis=1)


def test_an_unseen_edge_does_not_hide_one_that_is_seen() -> None:
    """The end is 96 ms off and does not show, the onset 40 ms off and does."""
    one, two = rise_and_slope(800, 0), rise_and_slope(840, 3)
    events = [("blast", 800_000)]
    assert event_edge_error(one, two, RATE, events)[0] == 96
    assert compare(one, two, RATE, events).edge_ms == 40


@pytest.mark.parametrize("shift", [0, 1, 3, -2, 8])
def test_the_displacement_of_an_edge(shift: int) -> None:
    one, two = (np.zeros((40, 60, 3), np.uint8) for _ in range(2))
    one[:, 30:], two[:, 30 + shift :] = 200, 200
    assert edge_shift(one, two, RATE) == abs(shift)


def test_an_edge_of_the_other_sense_is_no_counterpart() -> None:
    one, two = (np.zeros((40, 60, 3), np.uint8) for _ in range(2))
    one[:, 30:], two[:, :32] = 200, 200
    assert edge_shift(one, two, RATE) == 0


def test_the_largest_of_several_displacements_is_told() -> None:
    one, two = (np.zeros((40, 60, 3), np.uint8) for _ in range(2))
    one[:, 10:20], two[:, 10:20] = 200, 200
    one[:, 40:], two[:, 43:] = (255, 0, 0), (255, 0, 0)
    assert edge_shift(one, two, RATE) == 3
