"""The command line: reads options, calls the pipeline, prints. Everything heavy is imported where it is used."""

from __future__ import annotations

import io
import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from migrate import __version__
from migrate.archive.command import haul
from migrate.packs.command import check, learn, packs_given, packs_option, try_
from migrate.spot_command import spot, why

if TYPE_CHECKING:
    from rich.console import Console

    from migrate.pipeline import Moved, Options
    from migrate.source import SourceFile


class Refused(click.ClickException):
    """Ends a command with a plain reason and status 2."""

    exit_code = 2


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="rehilt")
def main() -> None:
    """Carries blade styles from one firmware generation to another, and proves the look.

    Exit status: 0 all is the same or close, 1 something changed or was kept in its old form, 2 refused or wrong use.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a terminal that lacks a letter shows `?` instead of a traceback
            stream.reconfigure(errors="replace")


def _console(stderr: bool = False) -> Console:
    from rich.console import Console

    console = Console(stderr=stderr, highlight=False, markup=False, emoji=False)
    if not console.is_terminal and "COLUMNS" not in os.environ:
        console.width = 1000  # what is piped is not folded
    return console


def _read(path: str) -> SourceFile:
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


def _options(to: str, reading: str | None, pixels: int | None, pitch: float | None, scenes: tuple[str, ...]) -> Options:
    from fractions import Fraction

    from migrate.ir.facts import Blade
    from migrate.packs.library import library
    from migrate.pipeline import Options

    packs = _packs()
    known = library(packs)
    for name in (to, reading):
        if name and name not in known:
            raise click.UsageError(f"no generation `{name}`; known: {', '.join(known)}")
    for scene in scenes:
        _check_scene(scene)
    per_metre = None if pitch is None else Fraction(pitch).limit_denominator(1000)
    return Options(to, reading, Blade(pixels, per_metre), scenes or ("probe",), packs=packs)


def _packs() -> tuple[Path, ...]:
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


def _per_metre(_context: click.Context, _option: click.Parameter, value: float | None) -> float | None:
    if value is not None and not 1 <= value <= 10_000:  # as a range, it would let `nan` through
        raise click.BadParameter(f"{value} is not between 1 and 10000")
    return value


def _defined(_context: click.Context, _option: click.Parameter, values: tuple[str, ...]) -> tuple[tuple[str, int], ...]:
    """The macros of -D as a compiler reads them: a name alone is 1."""
    out = []
    for text in values:
        name, _, value = text.partition("=")
        try:
            out.append((name, int(value or "1", 0)))
        except ValueError:
            raise click.BadParameter(f"{text}: a whole number is expected behind the `=`") from None
        if not name.isidentifier():
            raise click.BadParameter(f"{text}: `{name}` is no macro's name; write -D NAME=VALUE")
    return tuple(out)


_to = click.option(
    "--to", "to", required=True, metavar="GEN", help="The generation to move to; `rehilt packs list` names them."
)
_reading = click.option("--read-as", "reading", metavar="GEN", help="Read the text as this generation.")
_pixels = click.option(
    "--pixels", type=click.IntRange(1, 10_000), metavar="N", help="Pixels of the blade, where the config does not say."
)
_pitch = click.option(
    "--pitch", type=float, callback=_per_metre, metavar="PER_METRE",
    help="Pixels per metre, where the config does not say.",
)  # fmt: skip
_scenes = click.option(
    "--scene", "scenes", multiple=True, metavar="S",
    help="A scene to prove on: a shipped name or a .scene file; may be repeated.  [default: probe]",
)  # fmt: skip


_defines = click.option(
    "-D", "defines", multiple=True, metavar="NAME[=VALUE]", callback=_defined,
    help="Read only the branches of #if and #ifdef that this macro picks; may be repeated.",
)  # fmt: skip


@main.command(short_help="Move every style of a file to another generation.")
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@_to
@_reading
@_pixels
@_pitch
@_scenes
@_defines
@click.option(
    "--style", "styles", multiple=True, metavar="NAME",
    help="Move this style alone, and what it hangs on; may be repeated. See below.",
)  # fmt: skip
@click.option("--write", is_flag=True, help="Replace the file, whole and atomically; of `-`, print the new text.")
@click.option("--force", is_flag=True, help="With --write, do not ask about changes that git does not hold.")
@click.option("--backup", is_flag=True, help="With --write, keep the old text beside the file, as NAME.before.")
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    help="Write the new text into this folder, under the file's name.",
)
@click.option("--compiled", is_flag=True, help="Also compile both texts with their own headers and compare those.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead.")
@click.option("--report", type=click.Path(dir_okay=False, path_type=Path), help="Write an HTML page that shows it all.")
@click.option("--pictures", type=click.Path(file_okay=False, path_type=Path), help="Draw every style into this folder.")
@packs_option
def move(
    files: tuple[str, ...], to: str, reading: str | None, pixels: int | None, pitch: float | None,
    scenes: tuple[str, ...], defines: tuple[tuple[str, int], ...], styles: tuple[str, ...], write: bool,
    force: bool, backup: bool, out: Path | None, as_json: bool, report: Path | None, pictures: Path | None,
    compiled: bool,
) -> None:  # fmt: skip
    """Move every style of FILE to another generation; `-` is standard input.

    Prints the change as a diff and a table of styles with their grades, and writes nothing unless told to.

    With --style, every other byte of FILE stays. A config of one generation cannot hold a style of another, so the
    moved style is printed alone, to be pasted where it belongs, and nothing is written.
    """
    from dataclasses import replace

    if write and out is not None:
        raise click.UsageError("--write and --out exclude each other")
    if write and as_json and "-" in files:
        raise click.UsageError("--write of standard input and --json would both print; use --out")
    if out is not None:
        _check_out(files, out)
    if (force or backup) and not write:
        raise click.UsageError("--force and --backup go with --write")
    if styles and (len(files) > 1 or as_json or report or pictures or compiled):
        raise click.UsageError("--style takes one file, without --json, --report, --pictures and --compiled")
    if as_json and len(files) > 1:
        raise click.UsageError("--json takes one file")
    if (report or pictures) and len(files) > 1:
        raise click.UsageError("--report and --pictures take one file")
    together = frozenset(Path(f).resolve() for f in files if f != "-")
    options = replace(_options(to, reading, pixels, pitch, scenes), defines=defines, together=together)
    if styles:
        sys.exit(_move_picked(files[0], options, styles, write, out, force, backup))
    status = 0
    for path in files:
        status = max(status, _move_one(path, options, write, out, as_json, report, pictures, force, backup, compiled))
    sys.exit(status)


def _move_one(
    path: str, options: Options, write: bool, out: Path | None, as_json: bool, report: Path | None = None,
    pictures: Path | None = None, force: bool = False, backup: bool = False, compiled: bool = False,
) -> int:  # fmt: skip
    from dataclasses import replace

    from migrate.diagnostics import Diagnostic
    from migrate.pipeline import Moved
    from migrate.pipeline import move as run
    from migrate.source import SourceFile, Span

    trouble: list[Diagnostic] = []
    try:
        moved = run(_read(path), options)
        if compiled:
            moved = _compiled(moved, options)
    except Refused as error:
        trouble.append(Diagnostic("cannot-read", "error", Span(0, 0), error.message))
        moved = Moved(SourceFile(path, b""), b"", None, options.target, (), ())
    else:
        try:
            _save(path, moved, write, out, force, backup)
        except Refused as error:
            trouble.append(Diagnostic("cannot-write", "error", Span(0, 0), error.message))
    if as_json:
        from migrate.report.data import move_report

        reported = replace(moved, diagnostics=(*moved.diagnostics, *trouble))
        text = json.dumps(move_report(reported), ensure_ascii=False, indent=2)
        click.echo(text.encode("utf-8", "backslashreplace"))  # JSON is UTF-8, whatever the terminal is
        return reported.exit
    if moved.source.data or not trouble:
        _show_move(moved, text_printed=write and path == "-", written=write or out is not None)
    for one in trouble:
        click.echo(f"Error: {one.message}", err=True)
    if not trouble:
        _draw(moved, options, report, pictures)
    return 2 if trouble else moved.exit


def _move_picked(
    path: str, options: Options, styles: tuple[str, ...], write: bool, out: Path | None, force: bool, backup: bool
) -> int:
    """Moves some styles alone: in the file where it can hold them, else on standard output, for pasting."""
    from migrate.picking import PickError, pick

    try:
        picked = pick(_read(path), options, styles)
    except PickError as error:
        raise Refused(str(error)) from None
    moved = picked.moved
    if picked.alone and (write or out is not None):
        rest = ", ".join(f"`{name}`" for name in picked.rest[:3]) + (" and others" if len(picked.rest) > 3 else "")
        verb = "stays" if len(picked.rest) == 1 else "stay"
        raise Refused(
            f"not written: {path} is {moved.origin}, as long as {rest} {verb} in it, and cannot hold {moved.target}; "
            "without --style the whole file moves, without --write and --out the style is printed alone"
        )
    _save(path, moved, write, out, force, backup)
    _show_move(moved, text_printed=bool(picked.alone) or (write and path == "-"), written=write or out is not None)
    if picked.alone:
        click.echo(picked.alone, nl=False)
    return moved.exit


def _compiled(moved: Moved, options: Options) -> Moved:
    from migrate.native import NativeError
    from migrate.proof import check_compiled

    try:
        return check_compiled(moved, options)
    except NativeError as error:
        raise Refused(f"cannot compare as compiled: {error.diagnostics[0].message}") from None


def _check_out(files: tuple[str, ...], out: Path) -> None:
    """No two files under one name in the folder, and no file over itself."""
    names = [_out_name(path) for path in files]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise click.UsageError(f"two files would become {out / twice}; move them one by one")
    for path, name in zip(files, names, strict=True):
        if path != "-" and (out / name).exists() and (out / name).samefile(path):
            raise click.UsageError(f"{path} would be overwritten by its own move; say so with --write")


def _out_name(path: str) -> str:
    return Path(path).name if path != "-" else "stdin.h"


def _save(path: str, moved: Moved, write: bool, out: Path | None, force: bool, backup: bool) -> None:
    """Writes the new text where it was asked for, and says on standard error what was written."""
    if not write and out is None:
        return
    if write and path == "-":
        click.echo(moved.text, nl=False)
        return
    if moved.origin is None:
        click.echo(f"not written: {path}, which could not be read", err=True)
        return
    if write and moved.text == moved.source.data:
        click.echo(f"unchanged: {path}", err=True)
        return
    place = Path(path) if out is None else out / _out_name(path)
    if out is None:
        _spare(place, force, backup)
    else:
        try:
            out.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise Refused(f"cannot make the folder {out}: {error.strerror}") from None
    _write(place, moved.text)
    click.echo(f"written: {place}", err=True)


def _spare(path: Path, force: bool, backup: bool) -> None:
    """Before a file is replaced: asks where git does not hold what stands in it, and keeps a copy where told to."""
    from migrate.archive.originals import back_up, uncommitted

    why = None if force or backup else uncommitted(path)
    if why is not None and not (sys.stdin.isatty() and click.confirm(f"{path}: {why}; replace it?", err=True)):
        raise Refused(f"not written: {path}: {why}; commit it, or say --force or --backup")
    if backup:
        try:
            click.echo(f"kept: {back_up(path)}", err=True)
        except OSError as error:
            raise Refused(f"cannot keep a copy of {path}: {error.strerror}; the old file stands") from None


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
            raise Refused(f"cannot write into {pictures}: {error.strerror}") from None
        click.echo(f"pictures: {count} in {pictures}", err=True)


def _write(path: Path, data: bytes) -> None:
    from migrate.atomic import write_atomically

    try:
        write_atomically(path, data)
    except OSError as error:
        raise Refused(f"cannot write {path}: {error.strerror}; the old file stands") from None


def _show_move(moved: Moved, text_printed: bool, written: bool) -> None:
    """The diff, the diagnostics and the table; on standard error where standard output holds the new text."""
    from migrate.report import terminal
    from migrate.report.diff import path_in_diff, unified

    console = _console(stderr=text_printed)
    diff = b"" if text_printed else unified(path_in_diff(moved.source.name), moved.source.data, moved.text)
    if console.is_terminal:
        terminal.print_diff(console, diff, moved.source.encoding)
    else:
        click.echo(diff, nl=False)  # byte for byte, for patch and git
    if diff:
        console.print()
    terminal.print_diagnostics(console, moved)
    terminal.print_styles(console, moved)
    console.print(terminal.summary(moved.styles, moved.origin, moved.target))
    if _mendable(moved):
        click.echo(f"brackets can be mended: `rehilt spot --repair {moved.source.name}` shows where", err=True)
    if diff and not written:
        click.echo("nothing is written; --write replaces the file, --out DIR writes beside it", err=True)


def _mendable(moved: Moved) -> bool:
    """Whether something is not closed or not ended that a repair is known for."""
    if not any(d.code in ("missing-close", "missing-semicolon", "unreadable") for d in moved.diagnostics):
        return False
    from migrate.dating.repair import offer
    from migrate.packs.library import library

    return offer(moved.source, library(packs_given()), moved.origin).changed


@main.command(short_help="Compare the styles of two files by what they mean and how they look.")
@click.argument("before")
@click.argument("after")
@_pixels
@_pitch
@_scenes
@packs_option
def compare(before: str, after: str, pixels: int | None, pitch: float | None, scenes: tuple[str, ...]) -> None:
    """Compare two files style by style, by name: what they mean, and where that differs, how they look."""
    from migrate.diagnostics import Diagnostic, explain
    from migrate.pipeline import compare_readings, read
    from migrate.report import terminal

    options = _options("", None, pixels, pitch, scenes)
    readings = []
    for path in (before, after):
        source = _read(path)
        found = read(source, options)
        if isinstance(found, Diagnostic):
            raise Refused(explain(source, found))
        readings.append(found)
    moved = compare_readings(readings[0], readings[1], options)
    console = _console()
    terminal.print_styles(console, moved)
    console.print(terminal.summary(moved.styles, moved.origin, moved.target))
    sys.exit(moved.exit)


@main.command(short_help="Draw a style over a scene, alone or before and after.")
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
@_reading
@_pixels
@_pitch
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
    options = _options(to or "", reading, pixels, pitch, (scene,))
    try:
        shown = showing.find(_read(file), style, scene, options, None if beside is None else _read(beside))
        if not as_strip:
            click.echo(showing.save(shown, output or showing.default_path(style), exposure))
            return
    except showing.CannotShowError as error:
        raise Refused(str(error)) from None
    width = shutil.get_terminal_size().columns - 1
    click.echo(
        showing.strip_text(shown, exposure, os.environ, sys.stdout.isatty(), sys.stdout.encoding, width), color=True
    )


@main.command(short_help="Move the shipped config, draw a picture, say what to look at.")
@click.option(
    "--out", type=click.Path(file_okay=False, path_type=Path), default=Path("rehilt-demo"), show_default=True,
    help="The folder for both texts, the diff and the picture.",
)  # fmt: skip
def demo(out: Path) -> None:
    """Move the shipped demo config, draw one of its styles before and after, and say what to look at."""
    from migrate.report.demo import run_demo

    try:
        status = run_demo(_console(), out)
    except OSError as error:
        raise Refused(f"cannot write into {out}: {error.strerror}") from None
    sys.exit(status)


@main.command(short_help="Open a local page to paste, move, watch, edit and compare.")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="The port on this machine; 0 takes a free one.")
@click.option("--browser/--no-browser", default=True, help="Open it in the browser.")
@packs_option
def desk(port: int, browser: bool) -> None:
    """Open the desk: a local page to paste, move, watch, edit and compare."""
    from migrate.desk.serve import NoDeskError, serve

    try:
        serve(port, browser, _packs())
    except NoDeskError as error:
        raise Refused(str(error)) from None


@main.group(short_help="Look at what a generation accepts; make and check packs.")
def packs() -> None:
    """Look at what a generation accepts; make, check and measure packs of your own."""


for _command in (learn, check, try_):
    packs.add_command(_command)


@packs.command("list")
@packs_option
def packs_list() -> None:
    """The generations at hand, oldest first."""
    from migrate.packs.library import library

    for generation in library(_packs()).values():
        own = sum(not c.compat for group in generation.constructs.values() for c in group)
        click.echo(
            f"{generation.name}  {generation.title}  {generation.standard}  {generation.header}  {own} constructs"
        )


main.add_command(haul)
main.add_command(spot)
main.add_command(why)


@packs.command("page", short_help="Write the language reference of a generation as a page.")
@click.argument("generation", metavar="GEN")
@click.option("-o", "--out", type=click.Path(file_okay=False, path_type=Path), default=Path("rehilt-pages"),
              show_default=True, help="The folder that the page is written into, as GEN.html.")  # fmt: skip
@packs_option
def packs_page(generation: str, out: Path) -> None:
    """Write the language reference of GEN, or of every generation for `all`, as pages of their own."""
    from migrate.packs.library import library
    from migrate.report.reference_page import page

    packs = _packs()
    known = library(packs)
    if generation not in (*known, "all"):
        raise click.UsageError(f"no generation `{generation}`; known: {', '.join(known)}, or all")
    out.mkdir(parents=True, exist_ok=True)
    for name in known if generation == "all" else (generation,):
        _write(out / f"{name}.html", page(name, packs).encode())
        click.echo(str(out / f"{name}.html"))


if __name__ == "__main__":
    main()
