"""Puts what a reader says of a torn statement where the repair on offer would mend it.

A parser that misses a bracket can only say where it gave up; the repair knows where one would do. So that both
commands point at the same place, what the parser and the binding say of such a statement gives way to the repair's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from migrate.concrete.parse import parse
from migrate.dating.repair import SHOWN, offer, statement_at
from migrate.diagnostics import Diagnostic
from migrate.packs.model import Generation
from migrate.source import SourceFile

TORN = ("missing-close", "missing-semicolon", "unreadable")


@dataclass(frozen=True)
class Placed:
    """The diagnostics, some of them replaced; `now` is what is said in the place of a message that is gone."""

    diagnostics: tuple[Diagnostic, ...]
    now: Mapping[str, str]
    mendable: bool


def placed(
    source: SourceFile,
    diagnostics: Iterable[Diagnostic],
    generations: Mapping[str, Generation],
    reading: str | None,
    command: str,
) -> Placed:
    """The diagnostics of a text, those of torn statements as the repair places them; `command` shows the repair."""
    said = tuple(diagnostics)
    if not any(d.code in TORN for d in said):
        return Placed(said, {}, False)
    made = offer(source, generations, reading)
    harms = [d for d in made.diagnostics if d.severity == "error" and d.hint.endswith(SHOWN)]
    parsers = frozenset(parse(source).diagnostics)
    now: dict[str, str] = {}
    gone: set[Diagnostic] = set()
    kept: list[Diagnostic] = []
    for harm in harms:
        torn = statement_at(source.data, harm.span.start)
        here = [d for d in said if torn.start <= d.span.start <= torn.end and (d in parsers or d.code in TORN)]
        if here:
            gone.update(here)
            kept.append(replace(harm, hint=harm.hint.replace("--repair", f"`{command}`")))
            now.update({d.message: harm.message for d in here if d.message not in now})
    if not kept:
        return Placed(said, {}, made.changed)
    rest = (*(d for d in said if d not in gone), *dict.fromkeys(kept))
    return Placed(tuple(sorted(rest, key=lambda d: (d.span.start, d.code))), now, made.changed)
