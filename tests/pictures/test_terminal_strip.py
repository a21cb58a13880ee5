"""The terminal strip: what each character shows, what fits, and when colour is used."""

from __future__ import annotations

import re

import numpy as np
import pytest

from migrate.report.pictures import srgb_codes
from migrate.report.strip import SHADES, strip, true_colour

RATE = 250
ESCAPE = re.compile(r"\x1b\[38;2;(\d+);(\d+);(\d+);48;2;(\d+);(\d+);(\d+)m")


def bare(line: str) -> str:
    return re.sub(r"\x1b\[[\d;]*m", "", line)


def test_a_half_block_shows_two_moments() -> None:
    frames = np.zeros((4, 1, 3), np.uint8)
    frames[:] = np.array([(255, 0, 0), (0, 128, 0), (0, 0, 64), (10, 20, 30)])[:, None]
    lines = strip(frames, RATE, 20, 10).splitlines()
    assert len(lines) == 2
    for k, line in enumerate(lines):
        found = ESCAPE.findall(line)
        codes = [int(n) for n in found[0]]
        assert codes == [*srgb_codes(frames[2 * k, 0] / 255.0), *srgb_codes(frames[2 * k + 1, 0] / 255.0)]
        assert line.endswith("▀\x1b[0m")


def test_a_run_of_one_colour_is_set_once() -> None:
    frames = np.full((2, 40, 3), 90, np.uint8)
    frames[:, 20:] = 30
    line = strip(frames, RATE, 60, 5)
    assert len(ESCAPE.findall(line)) == 2
    assert bare(line).count("▀") == 40


def test_shades_follow_lightness_from_dark_to_full() -> None:
    frames = np.array([0, 255], np.uint8)[None, :, None].repeat(3, axis=2)
    assert strip(frames, RATE, 20, 1, colour=False).splitlines()[0].endswith(f" {SHADES[0]}{SHADES[-1]}")
    ramp = np.arange(256, dtype=np.uint8)[None, :, None].repeat(3, axis=2)
    line = strip(ramp, RATE, 300, 1, colour=False).rstrip("\n").split(" ", 1)[1]
    places = [SHADES.index(c) for c in line]
    assert places == sorted(places) and set(places) == set(range(len(SHADES)))
    # 18 % of light is L* 50: the middle of the shades
    assert places[round(0.184 * 255)] in (len(SHADES) // 2 - 1, len(SHADES) // 2)


def test_cells_that_share_a_character_are_averaged_in_light() -> None:
    frames = np.zeros((2, 100, 3), np.uint8)
    frames[:, ::2] = 200
    found = ESCAPE.findall(strip(frames, RATE, 55, 1))
    assert [int(n) for n in found[0]] == [*srgb_codes(np.full(6, 100 / 255))]


@pytest.mark.parametrize("width", [12, 40, 80, 300])
@pytest.mark.parametrize("lines", [1, 7, 24])
@pytest.mark.parametrize("colour", [True, False])
def test_it_fits(width: int, lines: int, colour: bool) -> None:
    frames = np.random.default_rng(1).integers(0, 256, (500, 132, 3), dtype=np.uint8)
    marks = [("clash", 400_000, None), ("a name of some length", 401_000, None), ("lock", 900_000, 1_200_000)]
    text = strip(frames, RATE, width, lines, colour, marks)
    assert text.count("\n") == lines
    assert max(len(bare(line)) for line in text.splitlines()) <= width


def test_lines_tell_their_time_and_the_events_that_begin_in_them() -> None:
    frames = np.zeros((500, 20, 3), np.uint8)
    marks = [("clash", 1_000_000, None), ("ignite", 0, None), ("blast", 1_100_000, None)]
    lines = strip(frames, RATE, 78, 4, False, marks).splitlines()
    assert [line.split()[0] for line in lines] == ["0.00", "0.50", "1.00", "1.50"]
    assert lines[0].endswith(" ignite")
    assert "clash" in lines[2] and "clash" not in lines[1] + lines[3]


def test_exposure_scales_the_light() -> None:
    frames = np.full((2, 1, 3), 60, np.uint8)
    found = ESCAPE.findall(strip(frames, RATE, 20, 1, exposure=2.0))
    assert int(found[0][0]) == srgb_codes(np.array([120 / 255]))[0]


@pytest.mark.parametrize(
    ("environ", "terminal", "encoding", "expected"),
    [
        ({"COLORTERM": "truecolor"}, True, "utf-8", True),
        ({"COLORTERM": "24bit"}, True, "UTF8", True),
        ({"COLORTERM": "truecolor", "NO_COLOR": "1"}, True, "utf-8", False),
        ({"COLORTERM": "truecolor", "NO_COLOR": ""}, True, "utf-8", True),
        ({"COLORTERM": "truecolor"}, False, "utf-8", False),
        ({"COLORTERM": "truecolor"}, True, "ascii", False),
        ({"COLORTERM": "truecolor"}, True, None, False),
        ({"TERM": "xterm"}, True, "utf-8", False),
    ],
)
def test_when_colour_is_used(environ: dict[str, str], terminal: bool, encoding: str | None, expected: bool) -> None:
    assert true_colour(environ, terminal, encoding) is expected


def test_plain_text_is_ascii() -> None:
    frames = np.random.default_rng(1).integers(0, 256, (50, 132, 3), dtype=np.uint8)
    assert strip(frames, RATE, 78, 10, colour=False).isascii()


def test_no_room_is_a_value_error() -> None:
    with pytest.raises(ValueError, match="no room"):
        strip(np.zeros((5, 5, 3), np.uint8), RATE, 4, 10)
    with pytest.raises(ValueError, match="frames must be"):
        strip(np.zeros((0, 5, 3), np.uint8), RATE)
