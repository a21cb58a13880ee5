"""The commands that show: `compare`, `show`, `demo` and the `desk`."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from migrate.command_line import (
    Refused,
    console,
    options_of,
    packs_at_hand,
    pitch_option,
    pixels_option,
    read_source,
    reading_option,
    scenes_option,
)
from migrate.packs.command import packs_option


@click.command(short_help="Compare the styles of two files by what they mean and how they look.")
@click.argument("before")
@click.argument("after")
@pixels_option
@pitch_option
@scenes_option
@packs_option
def compare(before: str, after: str, pixels: int | None, pitch: float | None, scenes: tuple[str, ...]) -> None:
    """Compare two files style by style, by name: what they mean, and where that differs, how they look."""
    from migrate.diagnostics import Diagnostic, explain
    from migrate.pipeline import compare_readings, read
    from migrate.report import terminal

    options = options_of("", None, pixels, pitch, scenes)
    readings = []
    for path in (before, after):
        source = read_source(path)
        found = read(source, options)
        if isinstance(found, Diagnostic):
            raise Refused(explain(source, found))
        readings.append(found)
    moved = compare_readings(readings[0], readings[1], options)
    shown = console()
    terminal.print_styles(shown, moved)
    shown.print(terminal.summary(moved.styles, moved.origin, moved.target))
    sys.exit(moved.exit)


@click.command(short_help="Draw a style over a scene, alone or before and after.")
@click.argument("file")
@click.argument("style")
@click.option("--to", "to", metavar="GEN", help="Move it to this generation and draw before, after and difference.")
@click.option("--beside", metavar="OTHER", help="Draw before, after and difference against the same style of OTHER.")
@click.option("--scene", default="probe", metavar="S", help="The scene to play: a shipped name or a .scene file.")
@click.option(
    "-o", "--output", type=click.Path(dir_okay=False, path_type=Path),
    help="The picture, STYLE.png where not given; one that ends in .apng, .webp or .gif moves.",
)  # fmt: skip
@click.option("--strip", "as_strip", is_flag=True, help="Draw it in the terminal instead.")
@click.option("--exposure", type=click.FloatRange(0.01, 100), default=1.0, help="Brightness factor of the light.")
@reading_option
@pixels_option
@pitch_option
@packs_option
def show(
    file: str, style: str, to: str | None, beside: str | None, scene: str, output: Path | None, as_strip: bool,
    exposure: float, reading: str | None, pixels: int | None, pitch: float | None,
) -> None:  # fmt: skip
    """Draw STYLE of FILE over a scene: time downwards, blade across; alone, or before and after.

    Of several styles of one name in a dump, NAME:LINE says which.
    """
    import os
    import shutil

    from migrate.report import showing

    if to is not None and beside is not None:
        raise click.UsageError("--to and --beside exclude each other")
    options = options_of(to or "", reading, pixels, pitch, (scene,))
    try:
        shown = showing.find(read_source(file), style, scene, options, None if beside is None else read_source(beside))
        if not as_strip:
            click.echo(showing.save(shown, output or showing.default_path(style), exposure))
            return
    except showing.CannotShowError as error:
        raise Refused(str(error)) from None
    width = shutil.get_terminal_size().columns - 1
    click.echo(
        showing.strip_text(shown, exposure, os.environ, sys.stdout.isatty(), sys.stdout.encoding, width), color=True
    )


@click.command(short_help="Move the shipped config, draw a picture, say what to look at.")
@click.option(
    "--out", type=click.Path(file_okay=False, path_type=Path), default=Path("rehilt-demo"), show_default=True,
    help="The folder for both texts, the diff and the picture.",
)  # fmt: skip
def demo(out: Path) -> None:
    """Move the shipped demo config, draw one of its styles before and after, and say what to look at."""
    from migrate.report.demo import run_demo

    try:
        status = run_demo(console(), out)
    except OSError as error:
        raise Refused(f"cannot write into {out}: {error.strerror}") from None
    sys.exit(status)


@click.command(short_help="Open a local page to paste, move, watch, edit and compare.")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="The port on this machine; 0 takes a free one.")
@click.option("--browser/--no-browser", default=True, help="Open it in the browser.")
@packs_option
def desk(port: int, browser: bool) -> None:
    """Open the desk: a local page to paste, move, watch, edit and compare."""
    from migrate.desk.serve import NoDeskError, serve

    try:
        serve(port, browser, packs_at_hand())
    except NoDeskError as error:
        raise Refused(str(error)) from None
