"""Pictures of a blade's light: time down, blade across; before and after with their difference; and moving ones.

Frames are duties (T, N, 3). Light is proportional to duty and is shown sRGB-coded (IEC 61966-2-1), scaled by an
exposure first: a screen shows a blade of half the duty at about 73 % of its code. All pictures are deterministic.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

Mark = tuple[str, int, int | None]
"""An event: its name, its start in microseconds, and its end, None where it has no length."""

Ink = tuple[int, int, int]
Font = ImageFont.FreeTypeFont | ImageFont.ImageFont

GROUND: Ink = (17, 24, 29)
PAPER: Ink = (236, 229, 214)
DIM: Ink = (147, 158, 163)
LINE: Ink = (62, 76, 84)
BRASS: Ink = (224, 170, 74)
VERDIGRIS: Ink = (104, 176, 164)

# ΔE of the stops of the difference scale, spaced evenly along it, and their inks: dark below what an eye tells apart,
# brass from the limit of close, paper-white at the greatest.
SCALE: tuple[tuple[float, Ink], ...] = (
    (0.0, (8, 12, 15)),
    (1.0, (36, 84, 112)),
    (5.0, (214, 138, 44)),
    (20.0, (246, 208, 116)),
    (100.0, (255, 250, 236)),
)

_LEFT, _TOP, _BOTTOM, _GAP, _EDGE = 78, 118, 64, 30, 28
_TALL, _MOST = 720, 1440  # the least height of a plot that short scenes are stretched to, and the greatest
_LANE, _LABEL, _ROW = 12, 176, 21


@dataclass(frozen=True, slots=True)
class Grid:
    """Where a plot of T frames and N pixels lies: `cell` px a pixel, `stretch` rows a frame or `group` frames a row."""

    left: int
    top: int
    frames: int
    pixels: int
    cell: int
    stretch: int
    group: int

    @property
    def width(self) -> int:
        return self.pixels * self.cell

    @property
    def height(self) -> int:
        return -(-self.frames // self.group) * self.stretch

    @property
    def right(self) -> int:
        return self.left + self.width

    @property
    def bottom(self) -> int:
        return self.top + self.height

    def point(self, frame: float, pixel: float) -> tuple[int, int]:
        """The picture's x and y at the middle of a cell."""
        x = self.left + int((pixel + 0.5) * self.cell)
        return x, self.top + int((int(frame / self.group) + 0.5) * self.stretch)

    def y(self, seconds: float, rate: int) -> int:
        """The height at which the frame of a time begins, kept within the plot."""
        return self.top + min(self.height, max(0, round(seconds * rate * self.stretch / self.group)))


def srgb_codes(light: NDArray[np.float64]) -> NDArray[np.uint8]:
    """Linear light, cut to 0 to 1, as 8-bit sRGB codes (IEC 61966-2-1)."""
    c = np.clip(light, 0.0, 1.0)
    coded = np.where(c <= 0.0031308, 12.92 * c, 1.055 * c ** (1 / 2.4) - 0.055)
    return np.floor(coded * 255 + 0.5).astype(np.uint8)


def light_image(frames: NDArray[np.uint8], exposure: float = 1.0) -> Image.Image:
    """The bare light of frames (T, N, 3): one picture pixel a cell, time down."""
    _check(frames, exposure)
    return Image.fromarray(srgb_codes(np.arange(256) / 255.0 * exposure)[frames])


def timeline(
    frames: NDArray[np.uint8], rate: int, marks: Sequence[Mark] = (), exposure: float = 1.0, title: str = ""
) -> Image.Image:
    """One style over a scene, time down and hilt to tip across, with the scene's events beside it.

    Raises ValueError if the frames are not (T, N, 3) with T and N above 0.
    """
    _check(frames, exposure)
    grid = timeline_grid(frames.shape[0], frames.shape[1])
    sheet = _sheet(grid, marks, rate, title)
    sheet.paste(_light(frames, grid, exposure), (grid.left, grid.top))
    draw = ImageDraw.Draw(sheet)
    _frame(draw, grid)
    _blade_scale(draw, grid)
    _time_scale(draw, grid, rate)
    _events(draw, grid, rate, marks)
    _text(draw, (grid.left, sheet.height - 30), _exposure_note(exposure), DIM, 14)
    return sheet


def before_after(
    before: NDArray[np.uint8],
    after: NDArray[np.uint8],
    delta: NDArray[np.float64],
    rate: int,
    marks: Sequence[Mark] = (),
    exposure: float = 1.0,
    title: str = "",
    names: tuple[str, str] = ("before", "after"),
    first: tuple[int, int] | None = None,
) -> Image.Image:
    """Two renders (T, N, 3) and their ΔE (T, N) side by side; `first` is a frame and a pixel to ring in all three.

    Raises ValueError if the shapes do not agree.
    """
    _check(before, exposure)
    if before.shape != after.shape or delta.shape != before.shape[:2]:
        raise ValueError(f"shapes do not agree: {before.shape}, {after.shape}, {delta.shape}")
    grids = before_after_grids(before.shape[0], before.shape[1])
    sheet = _sheet(grids[2], marks, rate, title)
    columns = (_light(before, grids[0], exposure), _light(after, grids[1], exposure), _difference(delta, grids[2]))
    draw = ImageDraw.Draw(sheet)
    for grid, column, name in zip(grids, columns, (*names, "CIEDE2000"), strict=True):
        sheet.paste(column, (grid.left, grid.top))
        _frame(draw, grid)
        _blade_scale(draw, grid, name)
        if first is not None:
            _ring(draw, grid, first)
    _time_scale(draw, grids[0], rate)
    _events(draw, grids[2], rate, marks)
    _legend(sheet, grids[2], sheet.height - 44)
    note = _exposure_note(exposure)
    if first is not None:
        note = f"ring: first out of tolerance, {first[0] / rate:.3f} s, pixel {first[1]}  ·  {note}"
    _text(draw, (grids[0].left, sheet.height - 30), _fit(note, 14, grids[1].right - grids[0].left), DIM, 14)
    return sheet


def timeline_grid(frames: int, pixels: int) -> Grid:
    """Where `timeline` draws its plot."""
    return _grid(frames, pixels, 528)


def before_after_grids(frames: int, pixels: int) -> tuple[Grid, Grid, Grid]:
    """Where `before_after` draws its three plots."""
    one = _grid(frames, pixels, 396)
    step = max(one.width, 300) + _GAP
    lefts = (one.left, one.left + step, one.left + 2 * step)
    first, second, third = (Grid(x, one.top, frames, pixels, one.cell, one.stretch, one.group) for x in lefts)
    return first, second, third


def _grid(frames: int, pixels: int, width: int) -> Grid:
    return Grid(
        _LEFT, _TOP, frames, pixels,
        cell=max(1, min(32, width // pixels)),
        stretch=max(1, round(_TALL / frames)),
        group=max(1, -(-frames // _MOST)),
    )  # fmt: skip


def _check(frames: NDArray[np.uint8], exposure: float) -> None:
    if frames.ndim != 3 or frames.shape[2] != 3 or not frames.size or frames.dtype != np.uint8:
        raise ValueError(f"frames must be duties (T, N, 3) of type uint8, not {frames.shape} {frames.dtype}")
    if not exposure > 0:
        raise ValueError(f"the exposure must be above 0, not {exposure}")


# ---- plots --------------------------------------------------------------------------------------


def _grouped(values: NDArray[np.float64], grid: Grid, how: Callable[..., NDArray[np.float64]]) -> NDArray[np.float64]:
    """Values (T, …) with `group` frames made one row by `how`."""
    starts = range(0, grid.frames, grid.group)
    return np.stack([how(values[start : start + grid.group], axis=0) for start in starts])


def _light(frames: NDArray[np.uint8], grid: Grid, exposure: float) -> Image.Image:
    if grid.group == 1:
        image = light_image(frames, exposure)
    else:
        image = Image.fromarray(srgb_codes(_grouped(frames / 255.0, grid, np.mean) * exposure))
    return image.resize((grid.width, grid.height), Image.Resampling.NEAREST)


def delta_inks(delta: NDArray[np.float64]) -> NDArray[np.uint8]:
    """The inks (..., 3) of differences (...) on the difference scale."""
    values = [value for value, _ in SCALE]
    channels = [np.interp(delta, values, [ink[c] for _, ink in SCALE]) for c in range(3)]
    return np.floor(np.stack(channels, axis=-1) + 0.5).astype(np.uint8)


def _difference(delta: NDArray[np.float64], grid: Grid) -> Image.Image:
    rows = delta if grid.group == 1 else _grouped(delta, grid, np.max)
    return Image.fromarray(delta_inks(rows)).resize((grid.width, grid.height), Image.Resampling.NEAREST)


# ---- the sheet: type, scales, events ------------------------------------------------------------


def _font(size: int) -> Font:
    return ImageFont.load_default(size)


def _wide(text: str, size: int) -> int:
    return int(np.ceil(_font(size).getlength(text)))


def _fit(text: str, size: int, width: int) -> str:
    """The text, cut with an ellipsis where it is wider than `width`."""
    if _wide(text, size) <= width:
        return text
    while text and _wide(text + "…", size) > width:
        text = text[:-1]
    return text.rstrip() + "…"


def _text(draw: ImageDraw.ImageDraw, at: tuple[int, int], text: str, ink: Ink, size: int, anchor: str = "lm") -> None:
    draw.text(at, text, fill=ink, font=_font(size), anchor=anchor)


def _exposure_note(exposure: float) -> str:
    return f"linear light, sRGB-coded, exposure {exposure:g}"


def _sheet(last: Grid, marks: Sequence[Mark], rate: int, title: str) -> Image.Image:
    """An empty sheet that holds the plots up to `last`, the events' labels and the title."""
    labels = _LANE * _lane_count(marks) + _LABEL if marks else _EDGE
    width = max(last.right + labels, last.left + 320 + _EDGE)
    heights = [y for y, _, _ in _label_places(last, rate, marks)]
    height = max(last.bottom, max(heights, default=0) + _ROW) + _BOTTOM
    sheet = Image.new("RGB", (width, height), GROUND)
    _text(ImageDraw.Draw(sheet), (_EDGE, 36), _fit(title, 24, width - 2 * _EDGE), PAPER, 24)
    return sheet


def _frame(draw: ImageDraw.ImageDraw, grid: Grid) -> None:
    draw.rectangle((grid.left - 1, grid.top - 1, grid.right, grid.bottom), outline=LINE)


def _nice(least: float) -> float:
    """The smallest of 1, 2, 5 times a power of ten that is at least `least`."""
    power = 10.0 ** np.floor(np.log10(least))
    return float(next(m * power for m in (1, 2, 5, 10) if m * power >= least * (1 - 1e-9)))


def _blade_scale(draw: ImageDraw.ImageDraw, grid: Grid, name: str = "") -> None:
    """Pixel numbers over the plot, and which end is which."""
    step = max(1, int(_nice(46 / grid.cell)))
    for pixel in range(0, grid.pixels, step):
        x = grid.point(0, pixel)[0]
        draw.line((x, grid.top - 7, x, grid.top - 2), fill=DIM)
        _text(draw, (x, grid.top - 16), str(pixel), DIM, 14, "mm")
    wide = max(grid.right, grid.left + 96)
    _text(draw, (grid.left, grid.top - 37), "hilt", PAPER, 15)
    _text(draw, (wide, grid.top - 37), "tip", PAPER, 15, "rm")
    room = wide - grid.left - 2 * _wide("hilt", 15) - 20
    caption = name or (f"{grid.pixels} px" if room >= _wide(f"{grid.pixels} px", 15) else "")
    if room > 30:
        middle = (grid.left + wide) // 2
        _text(draw, (middle, grid.top - 37), _fit(caption, 15, room), PAPER if name else DIM, 15, "mm")


def _time_scale(draw: ImageDraw.ImageDraw, grid: Grid, rate: int) -> None:
    """Seconds down the left side, five small ticks to a large one."""
    scale = rate * grid.stretch / grid.group
    step, length = _nice(60 / scale), grid.frames / rate
    places = max(0, -int(np.floor(np.log10(step) + 1e-9)))
    for k in range(int(length / step * 5 + 1e-9) + 1):
        seconds, y = k * step / 5, grid.y(k * step / 5, rate)
        draw.line((grid.left - (9 if k % 5 == 0 else 5), y, grid.left - 3, y), fill=DIM if k % 5 == 0 else LINE)
        if k % 5 == 0:
            _text(draw, (grid.left - 14, y), f"{seconds:.{places}f}" + (" s" if k == 0 else ""), PAPER, 15, "rm")


def _lanes(marks: Sequence[Mark]) -> list[int]:
    """A lane from 1 for each mark with a length, so that bars never cover each other; 0 for the others' notches."""
    ends: list[int] = []
    lanes = []
    for _, start, end in marks:
        if end is None:
            lanes.append(0)
            continue
        lane = next((k for k, busy in enumerate(ends) if busy <= start), len(ends))
        ends[lane:lane + 1] = [end]  # fmt: skip
        lanes.append(lane + 1)
    return lanes


def _lane_count(marks: Sequence[Mark]) -> int:
    return max(_lanes(_ordered(marks)), default=0) + 1


def _ordered(marks: Sequence[Mark]) -> list[Mark]:
    return sorted(marks, key=lambda mark: (mark[1], mark[0], mark[2] or 0))


def _label_places(grid: Grid, rate: int, marks: Sequence[Mark]) -> list[tuple[int, int, Mark]]:
    """For each mark, in order of time: the height of its label, that of its start, and itself; labels never overlap."""
    ordered = _ordered(marks)
    starts = [grid.y(mark[1] / 1e6, rate) for mark in ordered]
    heights: list[int] = []
    for start in starts:
        heights.append(max(start, heights[-1] + _ROW if heights else grid.top + _ROW // 2))
    limit = max(grid.bottom - _ROW // 2, grid.top + _ROW // 2 + _ROW * (len(heights) - 1))
    for k in range(len(heights) - 1, -1, -1):
        heights[k] = min(heights[k], limit)
        limit = heights[k] - _ROW
    return list(zip(heights, starts, ordered, strict=True))


def _events(draw: ImageDraw.ImageDraw, grid: Grid, rate: int, marks: Sequence[Mark]) -> None:
    """Events to the right of the plot: a notch where one starts, a bar while one lasts, its name and its time."""
    bend = grid.right + 12 + _LANE * _lane_count(marks)
    placed = list(zip(_label_places(grid, rate, marks), _lanes(_ordered(marks)), strict=True))
    for (height, start, (name, begin, end)), _ in placed:
        draw.line(((grid.right + 3, start), (bend, start), (bend + 16, height)), fill=LINE)
        time = f"{begin / 1e6:.2f}" if end is None else f"{begin / 1e6:.2f} to {end / 1e6:.2f}"
        label = _fit(name, 15, _LABEL - 46 - _wide(time, 14))
        _text(draw, (bend + 22, height), label, BRASS if end is None else VERDIGRIS, 15)
        _text(draw, (bend + 30 + _wide(label, 15), height), time, DIM, 14)
    for (_, start, (_, _, end)), lane in placed:
        at = grid.right + 6 + lane * _LANE
        if end is None:
            draw.polygon(((at - 3, start), (at + 7, start - 4), (at + 7, start + 4)), fill=BRASS)
        else:
            bottom = max(start + 1, grid.y(end / 1e6, rate) - 1)
            draw.rectangle((at, start, at + 4, bottom), fill=VERDIGRIS)


def _ring(draw: ImageDraw.ImageDraw, grid: Grid, place: tuple[int, int]) -> None:
    x, y = grid.point(*place)
    draw.ellipse((x - 10, y - 10, x + 10, y + 10), outline=(0, 0, 0), width=4)
    draw.ellipse((x - 9, y - 9, x + 9, y + 9), outline=PAPER, width=2)


def _legend(sheet: Image.Image, grid: Grid, y: int) -> None:
    """The difference scale, under its plot."""
    draw = ImageDraw.Draw(sheet)
    width = max(grid.width, 260)
    values = [value for value, _ in SCALE]
    at = np.interp(np.arange(width), np.linspace(0, width - 1, len(values)), values)
    sheet.paste(Image.fromarray(delta_inks(at)[None]).resize((width, 10)), (grid.left, y))
    draw.rectangle((grid.left - 1, y - 1, grid.left + width, y + 10), outline=LINE)
    for k, value in enumerate(values):
        x = grid.left + round(k * (width - 1) / (len(values) - 1))
        anchor = "lm" if k == 0 else "rm" if k == len(values) - 1 else "mm"
        _text(draw, (x, y + 23), f"{value:g}", DIM, 14, anchor)
