"""How the expressions of one file are printed: its layout, its namespaces, and the text that can stay."""

from __future__ import annotations

from migrate.concrete.items import Alias, Constant, Define, StyleMacro
from migrate.lift import Applied
from migrate.lower.write import Layout, Origins, Writer
from migrate.packs.model import Generation
from migrate.reading import Reading
from migrate.source import Span


def origins_of(before: Reading) -> Origins:
    """Where the normal values come from, and the text of nodes."""
    applied: dict[int, list[Applied]] = {}
    for raw_id, found in before.lifter.applied.items():
        done = before.normal.done.get(raw_id)
        key = id(done[1]) if done is not None else raw_id
        applied.setdefault(key, []).extend(found)
    return Origins(applied, before.scope.text)


def writer_of(before: Reading, target: Generation) -> Writer:
    """A printer for one expression of this file."""
    return Writer(target, layout_of(before, target), origins_of(before))


def layout_of(before: Reading, target: Generation) -> Layout:
    """How this file is written: its indentation, its newline, whether names are qualified."""
    source = before.parsed.source
    shared = target.namespace == before.generation.namespace
    qualified = bool(target.namespace) and (shared or before.inner or bool(colliding(before, target)))
    qualify = f"{target.namespace}::" if qualified and target.namespace not in before.host.namespaces else ""
    lines = source.data.split(b"\n")
    tabs = sum(line.startswith(b"\t") for line in lines)
    spaces = sum(line.startswith(b"  ") for line in lines)
    fours = sum(line.startswith(b"    ") and not line.startswith(b"     ") for line in lines)
    twos = sum(line.startswith(b"  ") and not line.startswith(b"   ") for line in lines)
    indent = "\t" if tabs > spaces else "  " if twos >= fours else "    "
    return Layout(indent, source.newline, qualify, target.standard == "c++98")


def colliding(before: Reading, target: Generation) -> list[Span]:
    """Where the file gives something of its own a name that the target has too."""
    if before.generation is target:
        return []
    words = {name.partition("::")[0] for name in target.constructs} | target.tags
    words |= {u.spelled for u in target.units.values()}
    defined = (Alias, Constant, Define, StyleMacro)
    names = [i for i in before.items if isinstance(i, defined) and i.name in words and before.own(i.span.start)]
    return [i.span if isinstance(i, Define) else i.name_span for i in names]
