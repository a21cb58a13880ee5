"""The commands `spot` and `why`: options in, report out."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from migrate.packs.command import packs_given, packs_option

if TYPE_CHECKING:
    from rich.console import Console

    from migrate.spotting import SpotOptions, Spotted

_SUFFIXES = (".h", ".hh", ".hpp", ".hxx", ".inc", ".txt", ".cpp", ".ino")


@click.command(short_help="Say which generation each part of a text is of, and whether it mixes.")
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@click.option("--read-as", "reading", metavar="GEN", help="Read the text as this generation.")
@click.option("--style", "styles", multiple=True, metavar="NAME", help="Speak of this style only; may be repeated.")
@click.option("--construct", "constructs", multiple=True, metavar="NAME", help="Speak of this construct only.")
@click.option("--all-readings", "every", is_flag=True, help="Measure newer readings too, not only older ones.")
@click.option("--no-measure", is_flag=True, help="Do not render what is ambiguous.")
@click.option("--no-listing", is_flag=True, help="Leave out the marked source.")
@click.option("--repair", is_flag=True, help="Print the repair on offer as a diff; nothing is written.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON: one object for one file, else a list.")
@click.option("--sarif", "as_sarif", is_flag=True, help="Print a SARIF 2.1.0 log.")
@click.option("--pixels", type=click.IntRange(1, 10_000), help="Pixels of the blade, where the config does not say.")
@click.option("--pitch", type=float, metavar="PER_METRE", help="Pixels per metre, where the config does not say.")
@packs_option
def spot(
    files: tuple[str, ...], reading: str | None, styles: tuple[str, ...], constructs: tuple[str, ...], every: bool,
    no_measure: bool, no_listing: bool, repair: bool, as_json: bool, as_sarif: bool, pixels: int | None,
    pitch: float | None,
) -> None:  # fmt: skip
    """Say which generation each construct of FILE is of, where they mix, and whether it shows.

    A folder stands for the texts in it. Exit status 0: one generation; 1: mixed, or a false friend; 2: something
    cannot be read.
    """
    if as_json + as_sarif + repair > 1:
        raise click.UsageError("--json, --sarif and --repair exclude each other")
    options = _options(reading, styles, constructs, every, not no_measure, pixels, pitch)
    found = [_spot_one(path, options) for path in _paths(files)]
    if as_json:
        _print_json(found)
    elif as_sarif:
        _print_sarif(found)
    elif repair:
        _print_repairs(found)
    else:
        _print_all(found, not no_listing)
    sys.exit(max((s.exit for s in found), default=0))


def _options(
    reading: str | None, styles: tuple[str, ...], constructs: tuple[str, ...], every: bool, measure: bool,
    pixels: int | None, pitch: float | None,
) -> SpotOptions:  # fmt: skip
    from fractions import Fraction

    from migrate.dating.remarks import Pick
    from migrate.ir.facts import Blade
    from migrate.packs.library import library
    from migrate.spotting import SpotOptions

    known = library(packs_given())
    if reading is not None and reading not in known:
        raise click.UsageError(f"no generation `{reading}`; known: {', '.join(known)}")
    per_metre = None if pitch is None else Fraction(pitch).limit_denominator(1000)
    return SpotOptions(
        reading, Blade(pixels, per_metre), measure, every, Pick(styles, constructs), packs=packs_given()
    )  # fmt: skip


def _paths(given: tuple[str, ...]) -> Iterator[str]:
    for name in given:
        if name != "-" and Path(name).is_dir():
            yield from (str(p) for p in sorted(Path(name).rglob("*")) if p.is_file() and p.suffix in _SUFFIXES)
        else:
            yield name


def _spot_one(path: str, options: SpotOptions) -> Spotted:
    from migrate.dating.dating import Dating
    from migrate.dating.repair import Offer
    from migrate.source import SourceFile
    from migrate.spotting import Spotted
    from migrate.spotting import spot as run

    try:
        data = sys.stdin.buffer.read() if path == "-" else Path(path).read_bytes()
    except OSError as error:
        source = SourceFile(path, b"")
        why = f"cannot be read: {(error.strerror or str(error)).lower()}"
        return Spotted(source, Offer(source, source), Dating(""), (), (), (), why, lost=True)
    return run(SourceFile("<stdin>" if path == "-" else path, data), options)


def _print_json(found: list[Spotted]) -> None:
    from migrate.report.spot import spot_report

    reports = [spot_report(s) for s in found]
    click.echo(json.dumps(reports[0] if len(reports) == 1 else reports, ensure_ascii=False, indent=2))


def _print_sarif(found: list[Spotted]) -> None:
    from migrate import __version__
    from migrate.codes import pages
    from migrate.report.sarif import FileResults, sarif

    files = []
    for spotted in found:
        codes = frozenset(d.code for d in spotted.offer.diagnostics)
        files.append(FileResults(spotted.source, spotted.diagnostics, spotted.offer.edits(), codes))
    log = sarif(files, __version__, {code: page.markdown for code, page in pages().items()})
    click.echo(json.dumps(log, ensure_ascii=False, indent=2))


def _print_repairs(found: list[Spotted]) -> None:
    from migrate.report.spot import repair_diff

    for spotted in found:
        sys.stdout.buffer.write(repair_diff(spotted))
    sys.stdout.buffer.flush()


def _console() -> Console:
    from rich.console import Console

    return Console(highlight=False, markup=False, emoji=False)


def _print_all(found: list[Spotted], listing: bool) -> None:
    from migrate.packs.library import library
    from migrate.report.spot import Legend, print_spot, summary

    console, legend = _console(), Legend(library(packs_given()))
    for number, spotted in enumerate(found):
        if number:
            console.print()
        print_spot(console, spotted, legend, listing and len(found) == 1)
    if len(found) > 1:
        console.print()
        console.print(summary(found), soft_wrap=True)


@click.command(short_help="Explain a diagnostic code, with a bad and a good example.")
@click.argument("code", required=False)
def why(code: str | None) -> None:
    """Explain the diagnostic CODE with a bad and a good example; without CODE, list them all."""
    from migrate.codes import nearest, pages

    known = pages()
    if code is None:
        width = max(map(len, known))
        for page in known.values():
            click.echo(f"{page.code:<{width}}  {' '.join(page.text.split())[:90]}")
        return
    if code not in known:
        near = nearest(code)
        hint = f"; did you mean {' or '.join(near)}?" if near else ""
        raise click.UsageError(f"no code `{code}`{hint}")
    click.echo(f"{code}\n\n{known[code].markdown}", nl=False)
