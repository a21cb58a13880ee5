"""The command line: reads options, calls the pipeline, prints. Everything heavy is imported where it is used."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.console import Console

    from migrate.pipeline import Moved, Options
    from migrate.source import SourceFile

VERSION = "0.1.0"


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(VERSION, prog_name="rehilt")
def main() -> None:
    """Carries blade styles from one firmware generation to another, and proves the look."""


def _console(stderr: bool = False) -> Console:
    from rich.console import Console

    return Console(stderr=stderr, highlight=False, markup=False, emoji=False)


def _read(path: str) -> SourceFile:
    """A file, or standard input for `-`; ends the command with a plain reason where it cannot be read."""
    from migrate.source import SourceFile

    if path == "-":
        return SourceFile("<stdin>", sys.stdin.buffer.read())
    try:
        return SourceFile(path, Path(path).read_bytes())
    except OSError as error:
        raise click.ClickException(f"cannot read {path}: {error.strerror}") from None


def _options(to: str, reading: str | None, pixels: int | None, pitch: float | None, scenes: tuple[str, ...]) -> Options:
    from fractions import Fraction

    from migrate.ir.facts import Blade
    from migrate.packs.library import library
    from migrate.pipeline import Options

    known = library()
    for name in (to, reading):
        if name and name not in known:
            raise click.UsageError(f"no generation `{name}`; known: {', '.join(known)}")
    per_metre = None if pitch is None else Fraction(pitch).limit_denominator(1000)
    return Options(to, reading, Blade(pixels, per_metre), scenes or ("probe",))


_to = click.option("--to", "to", required=True, metavar="GEN", help="The generation to move to.")
_reading = click.option("--read-as", "reading", metavar="GEN", help="Read the text as this generation.")
_pixels = click.option("--pixels", type=click.IntRange(1, 10_000), help="Pixels of the blade, where the config does not say.")
_pitch = click.option("--pitch", type=float, metavar="PER_METRE", help="Pixels per metre, where the config does not say.")
_scenes = click.option("--scene", "scenes", multiple=True, metavar="S", help="A scene to prove on; may be repeated.")


@main.command()
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@_to
@_reading
@_pixels
@_pitch
@_scenes
@click.option("--write", is_flag=True, help="Replace the file, whole and atomically.")
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Write the new text into this folder.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead.")
@click.option("--report", type=click.Path(dir_okay=False, path_type=Path), help="Write a page that shows it all.")
@click.option("--pictures", type=click.Path(file_okay=False, path_type=Path), help="Draw every style into this folder.")
def move(
    files: tuple[str, ...], to: str, reading: str | None, pixels: int | None, pitch: float | None,
    scenes: tuple[str, ...], write: bool, out: Path | None, as_json: bool, report: Path | None, pictures: Path | None,
) -> None:  # fmt: skip
    """Move every style of FILE to another generation. Prints the change and writes nothing unless told to."""
    if write and out is not None:
        raise click.UsageError("--write and --out exclude each other")
    if as_json and len(files) > 1:
        raise click.UsageError("--json takes one file")
    if (report or pictures) and len(files) > 1:
        raise click.UsageError("--report and --pictures take one file")
    options = _options(to, reading, pixels, pitch, scenes)
    status = 0
    for path in files:
        status = max(status, _move_one(path, options, write, out, as_json, report, pictures))
    sys.exit(status)


def _move_one(
    path: str, options: Options, write: bool, out: Path | None, as_json: bool, report: Path | None = None,
    pictures: Path | None = None,
) -> int:  # fmt: skip
    from migrate.pipeline import move as run

    moved = run(_read(path), options)
    if as_json:
        from migrate.report.data import move_report

        click.echo(json.dumps(move_report(moved), ensure_ascii=False, indent=2))
    else:
        _show_move(moved)
    if write and path == "-":
        sys.stdout.buffer.write(moved.text)
    elif write and moved.text != moved.source.data:
        _write(Path(path), moved.text)
    elif out is not None:
        out.mkdir(parents=True, exist_ok=True)
        _write(out / (Path(path).name if path != "-" else "stdin.h"), moved.text)
    _draw(moved, options, report, pictures)
    return moved.exit


def _draw(moved: Moved, options: Options, report: Path | None, pictures: Path | None) -> None:
    """The report and the pictures of a move, where they were asked for; says where they are on standard error."""
    if report is not None:
        from migrate.report.html.report import report_page

        _write(report, report_page(moved, options).encode("utf-8"))
        click.echo(f"report: {report}", err=True)
    if pictures is not None:
        from migrate.report.gallery import save_pictures

        try:
            count = len(list(save_pictures(moved, options, pictures)))
        except OSError as error:
            raise click.ClickException(f"cannot write into {pictures}: {error.strerror}") from None
        click.echo(f"pictures: {count} in {pictures}", err=True)


def _write(path: Path, data: bytes) -> None:
    from migrate.atomic import write_atomically

    try:
        write_atomically(path, data)
    except OSError as error:
        raise click.ClickException(f"cannot write {path}: {error.strerror}; the old file stands") from None


def _show_move(moved: Moved) -> None:
    from migrate.report import terminal
    from migrate.report.diff import unified

    console = _console()
    diff = unified(moved.source.name, moved.source.data, moved.text)
    terminal.print_diff(console, diff, moved.source.encoding)
    if diff:
        console.print()
    terminal.print_diagnostics(console, moved)
    terminal.print_styles(console, moved)
    console.print(terminal.summary(moved.styles, moved.origin, moved.target))


@main.command()
@click.argument("before")
@click.argument("after")
@_pixels
@_pitch
@_scenes
def compare(before: str, after: str, pixels: int | None, pitch: float | None, scenes: tuple[str, ...]) -> None:
    """Compare two files style by style, by name: what they mean, and where that differs, how they look."""
    from migrate.diagnostics import Diagnostic, explain
    from migrate.ir.facts import Blade
    from migrate.pipeline import Options, compare_readings, read
    from migrate.report import terminal

    options = Options("", None, Blade(pixels, None if pitch is None else int(pitch)), scenes or ("probe",))
    readings = []
    for path in (before, after):
        source = _read(path)
        found = read(source, options)
        if isinstance(found, Diagnostic):
            raise click.ClickException(explain(source, found))
        readings.append(found)
    moved = compare_readings(readings[0], readings[1], options)
    console = _console()
    terminal.print_styles(console, moved)
    console.print(terminal.summary(moved.styles, moved.origin, moved.target))
    sys.exit(moved.exit)


@main.command()
@click.argument("file")
@click.argument("style")
@click.option("--to", "to", metavar="GEN", help="Move it to this generation and draw before, after and difference.")
@click.option("--beside", metavar="OTHER", help="Draw before, after and difference against the same style of OTHER.")
@click.option("--scene", default="probe", metavar="S", help="The scene to play: a shipped name or a .scene file.")
@click.option(
    "-o", "--output", type=click.Path(dir_okay=False, path_type=Path),
    help="The picture; default STYLE.png. Ends it in .apng, .webp or .gif, it moves.",
)  # fmt: skip
@click.option("--strip", "as_strip", is_flag=True, help="Draw it in the terminal instead.")
@click.option("--exposure", type=click.FloatRange(0.01, 100), default=1.0, help="Brightness factor of the light.")
@_reading
@_pixels
@_pitch
def show(
    file: str, style: str, to: str | None, beside: str | None, scene: str, output: Path | None, as_strip: bool,
    exposure: float, reading: str | None, pixels: int | None, pitch: float | None,
) -> None:  # fmt: skip
    """Draw STYLE of FILE over a scene: time downwards, blade across; alone, or before and after."""
    import os
    import shutil

    from migrate.report import showing

    if to is not None and beside is not None:
        raise click.UsageError("--to and --beside exclude each other")
    options = _options(to or "", reading, pixels, pitch, (scene,))
    try:
        shown = showing.find(_read(file), style, scene, options, None if beside is None else _read(beside))
        if not as_strip:
            click.echo(showing.save(shown, output or showing.default_path(style), exposure))
            return
    except showing.CannotShowError as error:
        raise click.ClickException(str(error)) from None
    width = shutil.get_terminal_size().columns - 1
    click.echo(
        showing.strip_text(shown, exposure, os.environ, sys.stdout.isatty(), sys.stdout.encoding, width), color=True
    )


@main.command()
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), default=Path("rehilt-demo"), show_default=True)
def demo(out: Path) -> None:
    """Move the shipped demo config, draw one of its styles before and after, and say what to look at."""
    from migrate.report.demo import run_demo

    sys.exit(run_demo(_console(), out))


@main.group()
def packs() -> None:
    """Look at what a generation accepts, or check a pack of your own."""


@packs.command("list")
def packs_list() -> None:
    """The generations at hand, oldest first."""
    from migrate.packs.library import library

    for generation in library().values():
        own = sum(not c.compat for group in generation.constructs.values() for c in group)
        click.echo(f"{generation.name}  {generation.title}  {generation.standard}  {generation.header}  {own} constructs")


if __name__ == "__main__":
    main()
