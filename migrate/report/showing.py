"""What `show` draws: one style over a scene, alone or before and after; still, moving, or as a strip of text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from migrate.diagnostics import Diagnostic, explain
from migrate.ir.walk import opaque_parts
from migrate.pipeline import Options, Reading, read, scene_named
from migrate.report.gallery import Gallery, Pair, file_stem, scene_names, shelf_of
from migrate.report.moving import FORMATS, animate
from migrate.report.strip import strip, true_colour
from migrate.source import SourceFile


class CannotShowError(Exception):
    """Why there is nothing to draw, in words for the user."""


@dataclass(frozen=True)
class Shown:
    """A style's frames and the names of the two sides; `after` of the pair is None where one side is drawn."""

    pair: Pair
    names: tuple[str, str]


def find(source: SourceFile, style: str, scene: str, options: Options, beside: SourceFile | None = None) -> Shown:
    """The style of a file over a scene: alone, beside its moved self (`options.target`), or beside another file's.

    Raises CannotShowError where a file cannot be read or has no such style.
    """
    try:
        played = scene_named(scene)
    except FileNotFoundError:
        raise CannotShowError(f"no scene `{scene}`; these ship: {', '.join(scene_names())}") from None
    except (OSError, ValueError) as error:
        raise CannotShowError(f"the scene `{scene}` cannot be read: {error}") from None
    shelf = shelf_of(source, options)
    if isinstance(shelf, Diagnostic):
        raise CannotShowError(explain(source, shelf))
    said, line = _with_line(style)
    place = shelf.place(said, line)
    if place is None:
        raise CannotShowError(f"no style `{style}` in {source.name}; it has: {', '.join(shelf.names) or 'none'}")
    gallery, own = place.gallery, place.own
    names = (gallery.before.generation.name, options.target)
    if not options.target and beside is not None:
        gallery, names = _side_by_side(gallery.before, beside, options)
    pair = gallery.pair(own, played)
    assert pair is not None
    if (options.target or beside is not None) and pair.after is None:
        raise CannotShowError(f"no style `{style}` to set beside it: {beside.name if beside else 'it did not move'}")
    if any(opaque_parts(gallery.before.lifted[own].raw)):
        raise CannotShowError(f"`{style}` cannot be drawn: no pack says what a part of it means")
    if pair.after is not None and pair.after.shape != pair.before.shape:
        raise CannotShowError(
            f"the blades differ: {pair.before.shape[1]} and {pair.after.shape[1]} pixels; give --pixels"
        )
    return Shown(pair, names)


def _with_line(style: str) -> tuple[str, int | None]:
    """A style's name and, where `NAME:LINE` says which of several, its line."""
    name, _, line = style.rpartition(":")
    return (name, int(line)) if name and line.isdecimal() else (style, None)


def _side_by_side(before: Reading, beside: SourceFile, options: Options) -> tuple[Gallery, tuple[str, str]]:
    after = read(beside, Options("", None, before.blade, packs=options.packs))
    if isinstance(after, Diagnostic):
        raise CannotShowError(explain(beside, after))
    names = (before.generation.name, after.generation.name)
    return Gallery(before, after), names if names[0] != names[1] else ("before", "after")


def save(shown: Shown, path: Path, exposure: float) -> str:
    """Writes the picture that the path's ending asks for and says what it is; `.png` is the still one.

    Raises CannotShowError for another ending, or where the file cannot be written.
    """
    pair, kind = shown.pair, path.suffix.lower()
    try:
        if kind == ".png":
            pair.picture(shown.names, exposure).save(path)
        elif kind in FORMATS:
            animate(pair.before, pair.scene.rate, path, exposure, after=pair.after)
        else:
            raise CannotShowError(f"no picture ends in `{kind}`: use .png, or .apng, .webp or .gif for a moving one")
    except OSError as error:
        raise CannotShowError(f"cannot write {path}: {error.strerror or error}") from None
    frames, pixels = pair.before.shape[:2]
    said = f"{path}: {pair.name} over scene {pair.scene.name}, {frames} frames of {pixels} pixels"
    if pair.after is None or pair.figures is None:
        return said
    figures = pair.figures
    return (
        f"{said}; {shown.names[0]} against {shown.names[1]}: ΔE 95 % {figures.p95:.2f}, largest {figures.largest:.2f}"
    )


def default_path(style: str) -> Path:
    """Where a picture goes that was given no name."""
    return Path(f"{file_stem(style)}.png")


def strip_text(
    shown: Shown, exposure: float, environ: Mapping[str, str], terminal: bool, encoding: str | None, width: int
) -> str:
    """One strip, or before and after one below the other with a line of heading each."""
    colour, pair = true_colour(environ, terminal, encoding), shown.pair
    sides = [(shown.names[0], pair.before)] + ([] if pair.after is None else [(shown.names[1], pair.after)])
    lines = 30 if len(sides) == 1 else 20
    return "\n".join(
        f"{pair.name}, {name}, scene {pair.scene.name}\n"
        + strip(frames, pair.scene.rate, width, lines, colour, pair.marks, exposure)
        for name, frames in sides
    )
