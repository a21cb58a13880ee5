"""The commands that make, check and measure packs, and the option that brings packs of one's own into the others."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

_FOLDER = click.Path(exists=True, file_okay=False, path_type=Path)
_KEY = "migrate.packs"


def _keep(context: click.Context, _option: click.Parameter, value: tuple[Path, ...]) -> tuple[Path, ...]:
    context.meta[_KEY] = value
    return value


packs_option = click.option(
    "--packs", "packs_folders", multiple=True, type=_FOLDER, metavar="DIR", callback=_keep, expose_value=False,
    help="A folder of packs of your own, or of such folders; may be repeated.",
)  # fmt: skip


def packs_given() -> tuple[Path, ...]:
    """The folders that this command's --packs named."""
    context = click.get_current_context(silent=True)
    given: tuple[Path, ...] = context.meta.get(_KEY, ()) if context is not None else ()
    return given


class WrongUseError(click.ClickException):
    """Ends a command with a plain reason and status 2."""

    exit_code = 2


# ---- check ---------------------------------------------------------------------------------------------


@click.command(short_help="Find what is wrong with packs, and what has no meaning yet.")
@click.argument("folders", nargs=-1, required=True, type=_FOLDER, metavar="DIR...")
@click.option("--archive", type=_FOLDER, metavar="DIR", help="Styles that are to be read: counts what blocks how many.")
@packs_option
def check(folders: tuple[Path, ...], archive: Path | None) -> None:
    """Check the packs in DIR as a compiler would, and say which constructs have no meaning yet.

    With --archive, the constructs that block most styles come first. Exit status: 0 nothing wrong, 2 errors.
    """
    from migrate.packs.checker import check as run
    from migrate.packs.coverage import coverage
    from migrate.packs.findings import explain_finding

    found = run(folders, packs_given())
    for one in found:
        click.echo(explain_finding(one, _line(one.file, one.line)))
    errors = sum(one.severity == "error" for one in found)
    if errors:
        click.echo(f"{errors} error{'s' if errors != 1 else ''}")
        sys.exit(2)
    for line in coverage(folders, archive, packs_given()):
        click.echo(line)


def _line(file: str, line: int) -> str:
    try:
        return Path(file).read_text("utf-8").split("\n")[line - 1]
    except (OSError, UnicodeDecodeError, IndexError):
        return ""


# ---- learn ---------------------------------------------------------------------------------------------


@click.command(short_help="Draft a pack from C++ headers, or what changed between two releases.")
@click.argument("headers", nargs=-1, required=True, type=click.Path(exists=True, path_type=Path), metavar="HEADERS...")
@click.option("--name", metavar="NAME", help="What the generation is to be called; a C++ name.")
@click.option("--then", "then", multiple=True, type=click.Path(exists=True, path_type=Path), metavar="NEW",
              help="The headers of the next release: compares HEADERS with them.")  # fmt: skip
@click.option("--then-name", metavar="NAME", help="What the next generation is to be called.")
@click.option(
    "--packs", "packs_of", type=_FOLDER, metavar="DIR", help="The written pack of HEADERS, to carry equations over."
)
@click.option(
    "--sort", "sorts", multiple=True, metavar="SORT=GLOB", help="Constructs that match GLOB are of this sort."
)
@click.option("-I", "include_dirs", multiple=True, type=_FOLDER, metavar="DIR", help="Where libclang finds includes.")
@click.option(
    "-o", "--out", type=click.Path(file_okay=False, path_type=Path), metavar="DIR", help="Write the pack here."
)
def learn(**given: Any) -> None:
    """Read C++ headers and draft a pack: every template that can stand in a style, its parameters and its notes.

    HEADERS are files or folders. With --then, two releases are compared, and the equations that the comparison
    alone can justify are drafted.
    """
    try:
        from migrate.packs.learn.command import run
    except ImportError as error:
        hint = "pip install 'rehilt[learn]'"
        raise WrongUseError(f"reading C++ headers needs {error.name}: {hint}") from None
    try:
        for line in run(**given):
            click.echo(line)
    except ValueError as error:
        raise WrongUseError(str(error)) from None


# ---- try -----------------------------------------------------------------------------------------------


@click.command("try", short_help="Compare a meaning with the firmware's own frames.")
@click.argument("generation", metavar="GEN")
@click.argument("constructs", nargs=-1, metavar="[CONSTRUCT]...")
@click.option("--include", "include_dirs", multiple=True, type=_FOLDER, metavar="DIR", help="Where the headers lie.")
@click.option("--adapter", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
              help="The header that plays a style; see the page on adapters.")  # fmt: skip
@click.option("--frames", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
              help="Recorded duties, .csv or .npy, in place of compiled ones.")  # fmt: skip
@click.option("--style", "style", metavar="TEXT", help="The style that was recorded, or any other to compile.")
@click.option("--scene", default="probe", show_default=True, metavar="S", help="The scene that is played.")
@click.option("--pixels", type=click.IntRange(1, 10_000), default=132, show_default=True, metavar="N", help="Pixels.")
@click.option(
    "--pitch", type=click.IntRange(1, 10_000), default=144, show_default=True, metavar="PER_METRE", help="Pitch."
)
@click.option("--rate", type=click.IntRange(1, 1000), metavar="N", help="Frames a second that were recorded.")
@packs_option
def try_(**given: Any) -> None:
    """Compile the examples of GEN's constructs with the firmware's headers and compare them with their meanings.

    With --frames and --style, compares what a real blade was recorded to show. Exit status: 0 all agree within a
    duty step or the tolerance of a move, 1 something differs, 2 refused.
    """
    from migrate.packs.trial import TrialError, run

    status = 0
    try:
        for line, wrong in run(packs=packs_given(), **given):
            click.echo(line)
            status = max(status, wrong)
    except TrialError as error:
        raise WrongUseError(str(error)) from None
    sys.exit(status)
