"""The command `move`: one file after another, on the terminal, as JSON, as a page, as pictures, and written."""

from __future__ import annotations

import json
import shlex
import sys
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
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
    from migrate.diagnostics import Diagnostic
    from migrate.pipeline import Moved, Options
    from migrate.source import SourceFile
    from migrate.together import Turn


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
    options = replace(options_of(to, reading, pixels, pitch, scenes), defines=defines)
    asked = _Asked(write, out, force, backup, as_json, report, pictures, compiled)
    sys.exit(_move_picked(files[0], options, styles, asked) if styles else _move_all(files, options, asked))


@dataclass(frozen=True)
class _Asked:
    """Where the new texts go, and what is shown of the moves."""

    write: bool
    out: Path | None
    force: bool
    backup: bool
    as_json: bool = False
    report: Path | None = None
    pictures: Path | None = None
    compiled: bool = False

    @property
    def saves(self) -> bool:
        return self.write or self.out is not None


def _move_all(files: Sequence[str], options: Options, asked: _Asked) -> int:
    """Moves the files, those together that include one another; the worst status of all."""
    from migrate.together import bundles

    read, status = _all_read(files, options, asked)
    for bundle in bundles([source for _, source in read], options):
        status = max(status, _move_bundle([read[n] for n in bundle], options, asked))
    return status


def _all_read(files: Sequence[str], options: Options, asked: _Asked) -> tuple[list[tuple[str, SourceFile]], int]:
    """Every file that can be read; of the others it says why, with the status."""
    read, status = [], 0
    for path in files:
        try:
            read.append((path, read_source(path)))
        except Refused as error:
            status = max(status, _told(path, *_not_read(path, options, error.message), asked))
    return read, status


def _move_bundle(files: Sequence[tuple[str, SourceFile]], options: Options, asked: _Asked) -> int:
    """Moves files that hang together, saves all of them or none, and shows one after the other."""
    from migrate.diagnostics import Diagnostic
    from migrate.source import Span
    from migrate.together import move_together

    paths = [path for path, _ in files]
    trouble: list[list[Diagnostic]] = [[] for _ in files]
    turns = move_together([source for _, source in files], options)
    for n, path in enumerate(paths if asked.compiled else ()):
        turns[n], trouble[n] = _compiled(path, turns[n])
    try:
        if not any(trouble):
            _none_stuck(paths, turns, asked)
            _save([(path, turn.moved) for path, turn in zip(paths, turns, strict=True)], asked)
    except Refused as error:
        trouble[-1].append(Diagnostic("cannot-write", "error", Span(0, 0), error.message))
    return max(_told(*told, asked) for told in zip(paths, turns, trouble, strict=True))


def _none_stuck(paths: Sequence[str], turns: Sequence[Turn], asked: _Asked) -> None:
    """Files that include one another are of one generation: where one cannot be moved, none is written."""
    stuck = [(path, turn.options.inner) for path, turn in zip(paths, turns, strict=True) if turn.stuck]
    if stuck and len(paths) > 1 and asked.saves:
        whole = f"{', '.join(paths[:-1])} and {paths[-1]}"
        cause = next((path for path, inner in stuck if inner), stuck[0][0])  # what is included holds up the others
        raise Refused(f"not written: {whole}, which hang together by their includes; {cause} could not be moved")


def _told(path: str, turn: Turn, trouble: Sequence[Diagnostic], asked: _Asked) -> int:
    """Shows one file's move and what went wrong, as it was asked for; the status."""
    from dataclasses import replace

    moved, repair = _placed(path, turn.moved)
    if asked.as_json:
        from migrate.report.data import move_report

        reported = replace(moved, diagnostics=(*moved.diagnostics, *trouble))
        text = json.dumps(move_report(reported), ensure_ascii=False, indent=2)
        click.echo(text.encode("utf-8", "backslashreplace"))  # JSON is UTF-8, whatever the terminal is
        return reported.exit
    if moved.source.data or not trouble:
        _show_move(moved, text_printed=asked.write and path == "-", written=asked.saves, repair=repair)
    for one in trouble:
        click.echo(f"Error: {one.message}", err=True)
    if not trouble:
        _draw(moved, turn.options, asked.report, asked.pictures)
    return 2 if trouble else moved.exit


def _move_picked(path: str, options: Options, styles: tuple[str, ...], asked: _Asked) -> int:
    """Moves some styles alone: in the file where it can hold them, else on standard output, for pasting."""
    from migrate.picking import PickError, pick

    try:
        picked = pick(read_source(path), options, styles)
    except PickError as error:
        raise Refused(str(error)) from None
    moved, repair = _placed(path, picked.moved)
    if picked.alone and asked.saves:
        rest = ", ".join(f"`{name}`" for name in picked.rest[:3]) + (" and others" if len(picked.rest) > 3 else "")
        verb = "stays" if len(picked.rest) == 1 else "stay"
        raise Refused(
            f"not written: {path} is {moved.origin}, as long as {rest} {verb} in it, and cannot hold {moved.target}; "
            "without --style the whole file moves, without --write and --out the style is printed alone"
        )
    _save([(path, moved)], asked)
    printed = bool(picked.alone) or (asked.write and path == "-")
    _show_move(moved, text_printed=printed, written=asked.saves, repair=repair)
    if picked.alone:
        click.echo(picked.alone, nl=False)
    return moved.exit


def _compiled(path: str, turn: Turn) -> tuple[Turn, list[Diagnostic]]:
    """The turn with its grades held against both controllers; or nothing, and why that cannot be."""
    from dataclasses import replace

    from migrate.native import NativeError
    from migrate.proof import check_compiled

    try:
        return replace(turn, moved=check_compiled(turn.moved, turn.options)), []
    except NativeError as error:
        message = f"cannot compare as compiled: {error.diagnostics[0].message}"
        return _not_read(path, turn.options, message)


def _not_read(path: str, options: Options, message: str) -> tuple[Turn, list[Diagnostic]]:
    from migrate.diagnostics import Diagnostic
    from migrate.pipeline import Moved
    from migrate.source import SourceFile, Span
    from migrate.together import Turn

    nothing = Moved(SourceFile(path, b""), b"", None, options.target, (), ())
    return Turn(nothing, options), [Diagnostic("cannot-read", "error", Span(0, 0), message)]


def _check_out(files: tuple[str, ...], out: Path) -> None:
    """No two files under one name in the folder, and no file over itself."""
    names = [_out_name(path) for path in files]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise click.UsageError(f"two files would become {out / twice}; move them one by one")
    for path, name in zip(files, names, strict=True):
        if path != "-" and Path(path).exists() and (out / name).exists() and (out / name).samefile(path):
            raise click.UsageError(f"{path} would be overwritten by its own move; say so with --write")


def _out_name(path: str) -> str:
    return Path(path).name if path != "-" else "stdin.h"


def _save(moves: Sequence[tuple[str, Moved]], asked: _Asked) -> None:
    """Writes the new texts where it was asked for, all of them or none, and says on standard error what was written."""
    if not asked.saves:
        return
    wanted = list(_wanted(moves, asked))
    if asked.out is None:
        _spare([place for place, _ in wanted], asked)
    elif wanted:
        try:
            asked.out.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise Refused(f"cannot make the folder {asked.out}: {error.strerror}") from None
    _write_all(wanted)
    for place, _ in wanted:
        click.echo(f"written: {place}", err=True)


def _wanted(moves: Sequence[tuple[str, Moved]], asked: _Asked) -> Iterator[tuple[Path, bytes]]:
    """What is to be written, and where; of the rest it says why not."""
    for path, moved in moves:
        if asked.write and path == "-":
            click.echo(moved.text, nl=False)
        elif moved.origin is None:
            click.echo(f"not written: {path}, which could not be read", err=True)
        elif asked.write and moved.text == moved.source.data:
            click.echo(f"unchanged: {path}", err=True)
        else:
            yield Path(path) if asked.out is None else asked.out / _out_name(path), moved.text


def _write_all(wanted: Sequence[tuple[Path, bytes]]) -> None:
    """Writes every file, or puts back what those before the first failure held."""
    done: list[tuple[Path, bytes | None]] = []
    try:
        for place, text in wanted:
            old = read_source(str(place)).data if place.is_file() else None
            write_whole(place, text)
            done.append((place, old))
    except Refused:
        for place, old in reversed(done):
            with suppress(Refused, OSError):  # the first failure is what is told
                place.unlink() if old is None else write_whole(place, old)
        raise


def _spare(places: Sequence[Path], asked: _Asked) -> None:
    """Before files are replaced: asks where git does not hold what stands in one, and keeps copies where told to."""
    from migrate.archive.originals import back_up, uncommitted

    for path in places:
        why = None if asked.force or asked.backup else uncommitted(path)
        if why is not None and not (sys.stdin.isatty() and click.confirm(f"{path}: {why}; replace it?", err=True)):
            raise Refused(f"not written: {path}: {why}; commit it, or say --force or --backup")
    for path in places if asked.backup else ():
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


def _show_move(moved: Moved, text_printed: bool, written: bool, repair: str) -> None:
    """The diff, the diagnostics and the table; on standard error where standard output holds the new text.

    `repair` is the command that shows how brackets can be mended; empty where there is none.
    """
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
    if repair:
        click.echo(f"brackets can be mended: `{repair}` shows where", err=True)
    if diff and not written:
        click.echo("nothing is written; --write replaces the file, --out DIR writes beside it", err=True)


def _placed(path: str, moved: Moved) -> tuple[Moved, str]:
    """The move with what is torn told where a repair would mend it, and the command that shows that repair."""
    from dataclasses import replace

    from migrate.dating.placing import placed
    from migrate.packs.library import library

    repair = f"rehilt spot --repair {shlex.quote(path)}"
    found = placed(moved.source, moved.diagnostics, library(packs_given()), moved.origin, repair)
    styles = tuple(replace(s, notes=tuple(found.now.get(n, n) for n in s.notes)) for s in moved.styles)
    return replace(moved, diagnostics=found.diagnostics, styles=styles), repair if found.mendable else ""
