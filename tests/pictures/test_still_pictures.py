"""Pictures show the light of the frames at known times and places, labels stand apart, and bytes are the same twice."""

from __future__ import annotations

import io
import itertools

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from migrate.report import pictures
from migrate.report.pictures import (
    BRASS,
    GROUND,
    SCALE,
    VERDIGRIS,
    before_after,
    before_after_grids,
    delta_inks,
    light_image,
    srgb_codes,
    timeline,
    timeline_grid,
)

RATE = 250
MARKS = [("ignite", 100_000, None), ("clash", 400_000, None), ("blast", 404_000, None), ("lock", 500_000, 900_000)]


def noise(frames: int, pixels: int, seed: int = 1) -> NDArray[np.uint8]:
    return np.random.default_rng(seed).integers(0, 256, (frames, pixels, 3), dtype=np.uint8)


def png(image: Image.Image) -> bytes:
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def coded(duty: int) -> int:
    """IEC 61966-2-1, written out once more."""
    c = duty / 255
    return int(255 * (12.92 * c if c <= 0.0031308 else 1.055 * c ** (1 / 2.4) - 0.055) + 0.5)


@pytest.mark.parametrize(
    ("light", "code"),
    [(0.003035269835, 10), (0.051269458374, 64), (0.215860500114, 128), (0.502886458033, 188), (0, 0), (1, 255)],
)
def test_light_is_coded_by_the_standard(light: float, code: int) -> None:
    assert srgb_codes(np.array([light]))[0] == code


def test_every_cell_of_the_bare_light_is_its_frame() -> None:
    frames = noise(30, 17)
    shown = np.asarray(light_image(frames))
    assert shown.shape == (30, 17, 3)
    for t, i, c in itertools.product((0, 13, 29), (0, 8, 16), range(3)):
        assert shown[t, i, c] == coded(int(frames[t, i, c]))


@pytest.mark.parametrize("shape", [(1000, 132), (40, 8), (720, 300), (1, 1), (900, 600)])
def test_the_plot_shows_each_frame_in_its_place(shape: tuple[int, int]) -> None:
    frames = noise(*shape)
    grid = timeline_grid(*shape)
    image = timeline(frames, RATE, MARKS, title="Harbour watch")
    for t, i in itertools.product({0, shape[0] // 3, shape[0] - 1}, {0, shape[1] // 2, shape[1] - 1}):
        assert image.getpixel(grid.point(t, i)) == tuple(coded(int(d)) for d in frames[t, i])
    assert grid.right <= image.width and grid.bottom < image.height


def test_time_runs_down_and_the_tip_is_on_the_right() -> None:
    frames = np.zeros((100, 10, 3), np.uint8)
    frames[75:, 9] = (0, 0, 255)
    grid = timeline_grid(100, 10)
    image = timeline(frames, RATE)
    assert image.getpixel((grid.right - 2, grid.bottom - 2)) == (0, 0, 255)
    assert image.getpixel((grid.right - 2, grid.top + 2)) == (0, 0, 0)
    assert image.getpixel((grid.left + 2, grid.bottom - 2)) == (0, 0, 0)
    assert grid.y(75 / RATE, RATE) == grid.top + 75 * grid.stretch


def test_exposure_scales_light_and_not_codes() -> None:
    frames = np.full((10, 4, 3), 64, np.uint8)
    grid = timeline_grid(10, 4)
    assert timeline(frames, RATE, exposure=2.0).getpixel(grid.point(5, 2)) == (coded(128),) * 3
    assert timeline(frames, RATE, exposure=9.0).getpixel(grid.point(5, 2)) == (255, 255, 255)


def test_a_long_scene_shows_the_mean_light_of_the_frames_of_a_row() -> None:
    frames = np.zeros((5000, 6, 3), np.uint8)
    frames[::4] = 255  # one frame of four is lit, and a row is four frames
    grid = timeline_grid(5000, 6)
    assert (grid.group, grid.height) == (4, 1250)
    row = timeline(frames, RATE).getpixel(grid.point(2000, 3))
    assert row == tuple(srgb_codes(np.full(3, 0.25)))


def test_events_stand_at_their_times() -> None:
    frames = np.zeros((500, 60, 3), np.uint8)
    grid = timeline_grid(500, 60)
    image = np.asarray(timeline(frames, RATE, MARKS))
    bar = np.flatnonzero((image[:, grid.right + 18 : grid.right + 23] == VERDIGRIS).all(axis=2).all(axis=1))
    assert (bar.min(), bar.max() + 1) == (grid.y(0.5, RATE), grid.y(0.9, RATE))
    notch = np.flatnonzero((image[:, grid.right + 3] == BRASS).all(axis=1))
    assert [int(y) for y in notch] == [grid.y(s, RATE) for s in (0.1, 0.4, 0.404)]


def test_bars_that_overlap_in_time_have_lanes_of_their_own() -> None:
    frames = np.zeros((500, 60, 3), np.uint8)
    grid = timeline_grid(500, 60)
    image = np.asarray(timeline(frames, RATE, [("lock", 200_000, 900_000), ("drag", 500_000, 1_200_000)]))
    y = grid.y(0.7, RATE)
    across = (image[y, grid.right :] == VERDIGRIS).all(axis=1)
    runs = [len(list(group)) for lit, group in itertools.groupby(across) if lit]
    assert runs == [5, 5]


@pytest.fixture
def boxes(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, tuple[float, float, float, float]]]:
    """The boxes of all text drawn, in the order of drawing."""
    found: list[tuple[str, tuple[float, float, float, float]]] = []
    real = ImageDraw.ImageDraw.text

    def text(self, xy, text, *args, **kwargs):  # type: ignore[no-untyped-def]
        if text:
            found.append((text, self.textbbox(xy, text, font=kwargs["font"], anchor=kwargs["anchor"])))
        return real(self, xy, text, *args, **kwargs)

    monkeypatch.setattr(ImageDraw.ImageDraw, "text", text)
    return found


CROWD = [("clash", 4000 * k, None) for k in range(25)] + [("a long name for an event of the boathouse", 0, 400_000)]
LATE = [("retract", 1_990_000 + k, None) for k in range(12)]


@pytest.mark.parametrize("shape", [(500, 132), (500, 3), (500, 1), (37, 40), (5000, 500), (20, 1000)])
@pytest.mark.parametrize("marks", [[], MARKS, CROWD, LATE], ids=["none", "some", "crowd", "late"])
@pytest.mark.parametrize("kind", ["timeline", "before_after"])
def test_no_text_overlaps_or_leaves_the_sheet(boxes, shape: tuple[int, int], marks, kind: str) -> None:
    frames = np.zeros((*shape, 3), np.uint8)
    title = "The lamplighter's pole, third lamp from the slip, " * 4
    if kind == "timeline":
        image = timeline(frames, RATE, marks, title=title)
    else:
        names = ("wick2, as it came in the spring", "wick3")
        image = before_after(frames, frames, np.zeros(shape), RATE, marks, 1.0, title, names, (1, 0))
    for text, (left, top, right, bottom) in boxes:
        assert left >= 0 and top >= 0 and right <= image.width and bottom <= image.height, text
    for (one, a), (two, b) in itertools.combinations(boxes, 2):
        apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        assert apart, (one, a, two, b)


def test_labels_of_all_events_are_written(boxes) -> None:
    timeline(np.zeros((500, 60, 3), np.uint8), RATE, MARKS, title="Ferryman's blade")
    written = [text for text, _ in boxes]
    for word in ("Ferryman's blade", "ignite", "clash", "blast", "lock", "0.40", "0.50 to 0.90", "hilt", "tip"):
        assert word in written
    assert "0.0 s" in written and "1.0" in written  # seconds down the side
    assert "0" in written and "20" in written  # pixels across


@pytest.mark.parametrize("name", ["·", "…"])
def test_the_type_has_the_signs_that_are_used(name: str) -> None:
    font = pictures._font(14)
    missing = font.getmask("\u0378").getbbox(), bytes(font.getmask("\u0378"))
    assert (font.getmask(name).getbbox(), bytes(font.getmask(name))) != missing


def test_three_columns_before_after_and_difference() -> None:
    before, after = noise(300, 40, 1), noise(300, 40, 2)
    delta = np.random.default_rng(3).random((300, 40)) * 30
    grids = before_after_grids(300, 40)
    image = before_after(before, after, delta, RATE, MARKS)
    for t, i in itertools.product((0, 123, 299), (0, 17, 39)):
        assert image.getpixel(grids[0].point(t, i)) == tuple(coded(int(d)) for d in before[t, i])
        assert image.getpixel(grids[1].point(t, i)) == tuple(coded(int(d)) for d in after[t, i])
        assert image.getpixel(grids[2].point(t, i)) == tuple(delta_inks(delta[t, i]))


def test_a_row_of_many_frames_shows_their_largest_difference() -> None:
    delta = np.zeros((5000, 6))
    delta[2001, 3] = 100
    frames = np.zeros((5000, 6, 3), np.uint8)
    third = before_after_grids(5000, 6)[2]
    assert before_after(frames, frames, delta, RATE).getpixel(third.point(2001, 3)) == SCALE[-1][1]


def test_the_difference_scale_runs_from_dark_to_light_through_its_stops() -> None:
    for value, ink in SCALE:
        assert tuple(delta_inks(np.array(value))) == ink
    steps = delta_inks(np.linspace(0, 100, 400)).astype(int) @ np.array([2126, 7152, 722])
    assert (np.diff(steps) >= 0).all()
    assert tuple(delta_inks(np.array(1e9))) == SCALE[-1][1]


def test_the_legend_shows_the_scale_under_its_plot() -> None:
    frames = np.zeros((300, 132, 3), np.uint8)
    third = before_after_grids(300, 132)[2]
    image = before_after(frames, frames, np.zeros((300, 132)), RATE)
    inks = [image.getpixel((x, image.height - 40)) for x in (third.left, third.right - 1)]
    assert inks == [SCALE[0][1], SCALE[-1][1]]


def test_the_first_cell_out_of_tolerance_is_ringed_and_stays_visible() -> None:
    frames = noise(300, 132)
    delta = np.full((300, 132), 7.0)
    plain = np.asarray(before_after(frames, frames, delta, RATE))
    ringed = np.asarray(before_after(frames, frames, delta, RATE, first=(150, 60)))
    for grid in before_after_grids(300, 132):
        x, y = grid.point(150, 60)
        assert (ringed[y, x] == plain[y, x]).all()
        assert (ringed[y, x + 9] != plain[y, x + 9]).any()


def test_the_bytes_are_the_same_twice() -> None:
    frames = noise(200, 50)
    assert png(timeline(frames, RATE, MARKS, 1.5, "Lamp oil")) == png(timeline(frames, RATE, MARKS, 1.5, "Lamp oil"))
    shuffled = [MARKS[k] for k in (2, 0, 3, 1)]
    assert png(timeline(frames, RATE, shuffled)) == png(timeline(frames, RATE, MARKS))


def test_the_ground_is_dark_outside_the_plot() -> None:
    image = timeline(np.full((100, 10, 3), 255, np.uint8), RATE)
    assert image.getpixel((2, 2)) == GROUND == image.getpixel((image.width - 2, image.height - 2))


@pytest.mark.parametrize(
    "frames", [np.zeros((0, 5, 3), np.uint8), np.zeros((5, 0, 3), np.uint8), np.zeros((5, 5), np.uint8)]
)
def test_frames_that_are_none_are_a_value_error(frames: NDArray[np.uint8]) -> None:
    with pytest.raises(ValueError, match="frames must be"):
        timeline(frames, RATE)


def test_shapes_and_exposure_are_checked() -> None:
    frames = np.zeros((5, 5, 3), np.uint8)
    with pytest.raises(ValueError, match="do not agree"):
        before_after(frames, frames, np.zeros((5, 4)), RATE)
    with pytest.raises(ValueError, match="exposure"):
        timeline(frames, RATE, exposure=0)
