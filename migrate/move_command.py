"""The command `move`: one file after another, on the terminal, as JSON, as a page, as pictures, and written."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from migrate.command_line import (
    Refused,
    console,
    options_of,
    pitch_option,
    pixels_option,
    read_source,
    reading_option,
    scenes_option,
    write_whole,
)
from migrate.packs.command import packs_given, packs_option

if TYPE_CHECKING:
    from migrate.pipeline import Moved, Options


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
_defines = click.option(
    "-D", "defines", multiple=True, metavar="NAME[=VALUE]", callback=_defined,
    help="Read only the branches of #if and #ifdef that this macro picks; may be repeated.",
)  # fmt: skip


@click.command(short_help="Move every style of a file to another generation.")
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@_to
@reading_option
@pixels_option
@pitch_option
@scenes_option
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
    options = replace(options_of(to, reading, pixels, pitch, scenes), defines=defines, together=together)
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
        moved = run(read_source(path), options)
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
        picked = pick(read_source(path), options, styles)
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
    write_whole(place, moved.text)
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

        write_whole(report, report_page(moved, options).encode("utf-8"))
        click.echo(f"report: {report}", err=True)
    if pictures is not None:
        from migrate.report.gallery import save_pictures

        try:
            count = len(list(save_pictures(moved, options, pictures)))
        except OSError as error:
            raise Refused(f"cannot write into {pictures}: {error.strerror}") from None
        click.echo(f"pictures: {count} in {pictures}", err=True)


def _show_move(moved: Moved, text_printed: bool, written: bool) -> None:
    """The diff, the diagnostics and the table; on standard error where standard output holds the new text."""
    from migrate.report import terminal
    from migrate.report.diff import path_in_diff, unified

    shown = console(stderr=text_printed)
    diff = b"" if text_printed else unified(path_in_diff(moved.source.name), moved.source.data, moved.text)
    if shown.is_terminal:
        terminal.print_diff(shown, diff, moved.source.encoding)
    else:
        click.echo(diff, nl=False)  # byte for byte, for patch and git
    if diff:
        shown.print()
    terminal.print_diagnostics(shown, moved)
    terminal.print_styles(shown, moved)
    shown.print(terminal.summary(moved.styles, moved.origin, moved.target))
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
