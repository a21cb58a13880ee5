"""The `haul` command: reads options, calls the haul, prints. Everything heavy is imported where it is used."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from migrate.packs.command import packs_given, packs_option

if TYPE_CHECKING:
    from migrate.archive.haul import Plan
    from migrate.pipeline import Options


class Refused(click.ClickException):
    """Ends the command with a plain reason and status 2."""

    exit_code = 2


@click.command(short_help="Move whole folders and archives, many files at a time.")
@click.argument("sources", nargs=-1, required=True, metavar="SOURCE...")
@click.option("--to", required=True, metavar="GEN", help="The generation to move to; `rehilt packs list` names them.")
@click.option("--out", required=True, metavar="DIR", help="A new folder for the results, or a URL.")
@click.option("--resume", is_flag=True, help="Go on with the haul that DIR holds; every result is checked first.")
@click.option("--workers", type=click.IntRange(1, 512), help="Processes to use.  [default: one for each core]")
@click.option("--read-as", "reading", metavar="GEN", help="Read every text as this generation.")
@click.option(
    "--pixels", type=click.IntRange(1, 10_000), metavar="N", help="Pixels of the blade, if a config lacks them."
)
@click.option("--pitch", type=click.FloatRange(1, 10_000), metavar="PER_METRE", help="Pixels per metre, likewise.")
@click.option(
    "--scene", "scenes", multiple=True, metavar="S", help="A scene to prove on; repeatable.  [default: probe]"
)
@click.option("--largest", type=click.IntRange(1), default=64, show_default=True, metavar="MB", help="Refuse larger.")
@click.option(
    "--total", type=click.IntRange(1), default=4096, show_default=True, metavar="MB",
    help="Refuse the rest of an archive that unpacks to more.",
)  # fmt: skip
@click.option("--seconds", type=click.FloatRange(1), default=600, show_default=True, help="Give a file up then.")
@click.option("--scheduler", metavar="ADDRESS", help="Work on the Dask cluster there; DIR must be shared with it.")
@click.option(
    "--state", type=click.Path(file_okay=False, path_type=Path), help="The ledger's folder.  [default: DIR/.haul]"
)
@packs_option
@click.option("--json", "as_json", is_flag=True, help="Print the summary as one JSON object instead.")
def haul(
    sources: tuple[str, ...], to: str, out: str, resume: bool, workers: int | None, reading: str | None,
    pixels: int | None, pitch: float | None, scenes: tuple[str, ...], largest: int, total: int, seconds: float,
    scheduler: str | None, state: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Move every style in folders, globs, archives (.zip, .tar, .tar.gz and kin) and text dumps into DIR.

    The originals stay as they are. DIR mirrors the sources, with a report beside each text, and a summary:
    haul.txt, haul.json, duplicates.jsonl.
    """
    from migrate.archive.haul import Plan
    from migrate.archive.model import MEGABYTE, Job, Limits
    from migrate.archive.pool import cores

    limits = Limits(largest * MEGABYTE, total * MEGABYTE, seconds=seconds)
    job = Job(_options(to, reading, pixels, pitch, scenes), out, limits)
    status = _run(Plan(sources, job, workers or cores(), resume, scheduler, state), as_json)
    sys.exit(status)


def _options(to: str, reading: str | None, pixels: int | None, pitch: float | None, scenes: tuple[str, ...]) -> Options:
    from fractions import Fraction

    from migrate.ir.facts import Blade
    from migrate.packs.library import library
    from migrate.packs.model import PackError
    from migrate.pipeline import Options, scene_named

    packs = packs_given()
    try:
        known = library(packs)
    except PackError as error:
        raise Refused(f"{error}; `rehilt packs check` tells all that is wrong") from None
    for name in (to, reading):
        if name is not None and name not in known:
            raise click.UsageError(f"no generation `{name}`; known: {', '.join(known)}")
    for scene in scenes:
        try:
            scene_named(scene)
        except (OSError, ValueError) as error:
            raise click.UsageError(f"no scene `{scene}`: {error}") from None
    per_metre = None if pitch is None else Fraction(pitch).limit_denominator(1000)
    return Options(to, reading, Blade(pixels, per_metre), scenes or ("probe",), packs=packs)


def _run(plan: Plan, as_json: bool) -> int:
    import json
    import time

    from rich.console import Console

    from migrate.archive.haul import HaulError
    from migrate.archive.haul import haul as run
    from migrate.archive.store import MissingExtraError
    from migrate.report.haul import in_words, progress_on

    start = time.monotonic()
    try:
        with progress_on(Console(stderr=True, highlight=False), plan) as progress:
            summary = run(plan, progress)
    except (HaulError, MissingExtraError) as error:
        code = error.code if isinstance(error, HaulError) else "missing-extra"
        raise Refused(f"[{code}] {error}") from None
    except KeyboardInterrupt:
        raise Refused("[stopped] stopped; --resume goes on from here") from None
    if as_json:
        click.echo(json.dumps(summary, ensure_ascii=False, indent=2).encode("utf-8", "backslashreplace"))
    else:
        click.echo(in_words(summary), nl=False)
        click.echo(f"\n{time.monotonic() - start:.1f} s on {plan.workers} processes; results in {plan.job.out}")
    return int(str(summary["exit"]))
