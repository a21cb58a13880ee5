"""The group `packs`: what generations there are, their reference pages, and the commands that make packs."""

from __future__ import annotations

from pathlib import Path

import click

from migrate.command_line import packs_at_hand, write_whole
from migrate.packs.command import check, learn, packs_option, try_


@click.group(short_help="Look at what a generation accepts; make and check packs.")
def packs() -> None:
    """Look at what a generation accepts; make, check and measure packs of your own."""


for _command in (learn, check, try_):
    packs.add_command(_command)


@packs.command("list")
@packs_option
def packs_list() -> None:
    """The generations at hand, oldest first."""
    from migrate.packs.library import library

    for generation in library(packs_at_hand()).values():
        own = sum(not c.compat for group in generation.constructs.values() for c in group)
        click.echo(
            f"{generation.name}  {generation.title}  {generation.standard}  {generation.header}  {own} constructs"
        )


@packs.command("page", short_help="Write the language reference of a generation as a page.")
@click.argument("generation", metavar="GEN")
@click.option("-o", "--out", type=click.Path(file_okay=False, path_type=Path), default=Path("rehilt-pages"),
              show_default=True, help="The folder that the page is written into, as GEN.html.")  # fmt: skip
@packs_option
def packs_page(generation: str, out: Path) -> None:
    """Write the language reference of GEN, or of every generation for `all`, as pages of their own."""
    from migrate.packs.library import library
    from migrate.report.reference_page import page

    given = packs_at_hand()
    known = library(given)
    if generation not in (*known, "all"):
        raise click.UsageError(f"no generation `{generation}`; known: {', '.join(known)}, or all")
    out.mkdir(parents=True, exist_ok=True)
    for name in known if generation == "all" else (generation,):
        write_whole(out / f"{name}.html", page(name, given).encode())
        click.echo(str(out / f"{name}.html"))
