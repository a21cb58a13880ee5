"""What the commands share: their common options, files in and out, the terminal, the end with a plain reason."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from migrate.packs.command import packs_given

if TYPE_CHECKING:
    from rich.console import Console

    from migrate.pipeline import Options
    from migrate.source import SourceFile


class Refused(click.ClickException):
    """Ends a command with a plain reason and status 2."""

    exit_code = 2


def console(stderr: bool = False) -> Console:
    """The terminal; what is piped is neither folded nor coloured."""
    from rich.console import Console

    made = Console(stderr=stderr, highlight=False, markup=False, emoji=False)
    if not made.is_terminal and "COLUMNS" not in os.environ:
        made.width = 1000  # what is piped is not folded
    return made


def read_source(path: str) -> SourceFile:
    """A file, or standard input for `-`; ends the command with a plain reason where it cannot be read."""
    from migrate.source import SourceFile

    if path == "-":
        return SourceFile("<stdin>", sys.stdin.buffer.read())
    try:
        return SourceFile(path, Path(path).read_bytes())
    except IsADirectoryError:
        raise Refused(f"cannot read {path}: it is a folder; `rehilt haul` moves folders") from None
    except OSError as error:
        raise Refused(f"cannot read {path}: {error.strerror}") from None


def options_of(
    to: str, reading: str | None, pixels: int | None, pitch: float | None, scenes: tuple[str, ...]
) -> Options:
    """What a command was asked for; ends it with a plain reason where a generation or a scene is not known."""
    from fractions import Fraction

    from migrate.ir.facts import Blade
    from migrate.packs.library import library
    from migrate.pipeline import Options

    packs = packs_at_hand()
    known = library(packs)
    for name in (to, reading):
        if name and name not in known:
            raise click.UsageError(f"no generation `{name}`; known: {', '.join(known)}")
    for scene in scenes:
        _check_scene(scene)
    per_metre = None if pitch is None else Fraction(pitch).limit_denominator(1000)
    return Options(to, reading, Blade(pixels, per_metre), scenes or ("probe",), packs=packs)


def packs_at_hand() -> tuple[Path, ...]:
    """The folders of --packs; ends the command with a plain reason where a pack cannot be read."""
    from migrate.packs.library import library
    from migrate.packs.model import PackError

    try:
        library(packs_given())
    except PackError as error:
        raise Refused(f"{error}; `rehilt packs check` tells all that is wrong") from None
    return packs_given()


def _check_scene(name: str) -> None:
    """Ends the command where a scene cannot be read, before anything is moved."""
    from migrate.pipeline import scene_named
    from migrate.resources import grammar_path

    try:
        scene_named(name)
    except FileNotFoundError:
        shipped = ", ".join(sorted(path.stem for path in grammar_path("scenes").glob("*.scene")))
        raise click.UsageError(f"no scene `{name}`; these ship: {shipped}; or give the path of a .scene file") from None
    except OSError as error:
        raise Refused(f"cannot read {name}: {error.strerror}") from None
    except ValueError as error:
        raise Refused(f"the scene {name} cannot be read: {error}") from None


def write_whole(path: Path, data: bytes) -> None:
    """Replaces a file whole or not at all; ends the command with a plain reason where that fails."""
    from migrate.atomic import write_atomically

    try:
        write_atomically(path, data)
    except OSError as error:
        raise Refused(f"cannot write {path}: {error.strerror}; the old file stands") from None


def _per_metre(_context: click.Context, _option: click.Parameter, value: float | None) -> float | None:
    if value is not None and not 1 <= value <= 10_000:  # as a range, it would let `nan` through
        raise click.BadParameter(f"{value} is not between 1 and 10000")
    return value


reading_option = click.option("--read-as", "reading", metavar="GEN", help="Read the text as this generation.")
pixels_option = click.option(
    "--pixels", type=click.IntRange(1, 10_000), metavar="N", help="Pixels of the blade, where the config does not say."
)
pitch_option = click.option(
    "--pitch", type=float, callback=_per_metre, metavar="PER_METRE",
    help="Pixels per metre, where the config does not say.",
)  # fmt: skip
scenes_option = click.option(
    "--scene", "scenes", multiple=True, metavar="S",
    help="A scene to prove on: a shipped name or a .scene file; may be repeated.  [default: probe]",
)  # fmt: skip
