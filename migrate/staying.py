"""What a move leaves as it stands: definitions that the target reads as they are, in a file of its own generation."""

from __future__ import annotations

from bisect import bisect_left

from migrate.concrete.items import Alias, Constant, Define, StyleMacro
from migrate.diagnostics import Diagnostic
from migrate.packs.model import Generation
from migrate.reading import Reading, names_in
from migrate.source import Span

# What a style can be, or be built on.
_BUILT_ON = (Alias, Define, StyleMacro, Constant)
# Notes that speak of a definition, or of a use of one, as rewritten.
_REWRITTEN = ("definition-dropped", "definition-written-out")


def staying(before: Reading, target: Generation) -> dict[str, Span]:
    """The definitions, by name, that hold nothing of an older generation, and build on none that does.

    Empty where the file as a whole is of another generation than the target.
    """
    if before.generation is not target:
        return {}
    older = _Older(before)
    items = {i.name: i for i in before.items if isinstance(i, _BUILT_ON)}
    items.update((name, one.item) for name, one in before.lifted.items())
    # What is read as a colour by its number becomes a colour by its name.
    moving = set(before.lifter.tinted)
    moving |= {name for name, one in before.lifted.items() if one.reading not in (None, target)}
    moving |= {name for name, item in items.items() if older.within(item.span)}
    users: dict[str, list[str]] = {}
    for name, item in items.items():
        for used in {*names_in(item, before.scope), *([item.macro] if isinstance(item, StyleMacro) else ())}:
            users.setdefault(used, []).append(name)
    waiting = list(moving)
    while waiting:
        following = {name for name in users.get(waiting.pop(), ()) if name not in moving}
        moving |= following
        waiting += following
    return {name: item.span for name, item in items.items() if name not in moving}


class _Older:
    """Where a file uses what is an older generation's."""

    def __init__(self, before: Reading) -> None:
        lifter, self.scope = before.lifter, before.scope
        made = (a for found in lifter.applied.values() for a in found if a.construct.compat)
        self.starts = sorted({a.node.start for a in made})
        self.words = [name.removesuffix("*") for name, compat, _ in lifter.words if compat]

    def within(self, span: Span) -> bool:
        """Whether a span holds any."""
        at = bisect_left(self.starts, span.start)
        if at < len(self.starts) and self.starts[at] < span.end:
            return True
        # Bare words leave no trace of where they stood.
        text = "".join(self.scope.text_of(span).split()) if self.words else ""
        return any(word in text for word in self.words)


def still_true(notes: list[Diagnostic], stays: dict[str, Span]) -> list[Diagnostic]:
    """The notes without those that call rewritten what stays."""
    spans = tuple(stays.values())
    return [
        n for n in notes
        if n.code not in _REWRITTEN or not any(s.start <= n.span.start and n.span.end <= s.end for s in spans)
    ]  # fmt: skip
