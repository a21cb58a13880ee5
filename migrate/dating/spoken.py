"""What comments say of a file's declarations to the road that moves them: read this one otherwise, leave that one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from migrate.concrete.edits import Edit
from migrate.concrete.items import Item, Slots
from migrate.concrete.parse import Parsed
from migrate.dating.leave import line_of, marks
from migrate.diagnostics import Diagnostic
from migrate.packs.model import Generation
from migrate.source import Span


@dataclass(frozen=True)
class Spoken:
    """By the start of a declaration: the generation that it is read as, the comment that says to leave it alone."""

    readings: Mapping[int, Generation] = field(default_factory=dict)
    comments: Mapping[int, Edit] = field(default_factory=dict)
    left: Mapping[int, Span] = field(default_factory=dict)
    diagnostics: tuple[Diagnostic, ...] = ()

    def done(self, starts: frozenset[int]) -> list[Edit]:
        """The edits that take out the `read as` comments of declarations that were rewritten: their look is kept."""
        return [edit for start, edit in self.comments.items() if start in starts]


NOTHING = Spoken()


def _start(item: Item, target: Span) -> int:
    """Where the definition begins that a target lies in: the item, or the style that a slot of it holds."""
    slots = item.slots if isinstance(item, Slots) else ()
    return next((s.style.start for s in slots if s.span.start <= target.start < s.span.end), item.span.start)


def spoken(parsed: Parsed, generations: Mapping[str, Generation]) -> Spoken:
    """Reads the comments of a file. A construct that is to be left keeps the whole declaration that holds it."""
    readings: dict[int, Generation] = {}
    comments: dict[int, Edit] = {}
    left: dict[int, Span] = {}
    told: list[Diagnostic] = []
    for mark in marks(parsed):
        if mark.target is None:
            continue
        target = mark.target
        start = next(
            (_start(i, target) for i in parsed.items if i.span.start <= target.start < i.span.end), target.start
        )
        if not mark.read_as:
            left[start] = mark.comment
            message = "left alone, as this comment says"
            told.append(Diagnostic("left-alone", "note", mark.comment, message))
        elif mark.read_as in generations and not mark.inside:
            readings[start] = generations[mark.read_as]
            gone = line_of(parsed.source, mark.comment)
            comments[start] = Edit(gone.start, gone.end, b"")
        else:
            hint = f"known are {', '.join(generations)}, above a whole declaration"
            message = f"no generation `{mark.read_as}`"
            told.append(Diagnostic("unknown-generation", "error", mark.comment, message, hint))
    return Spoken(readings, comments, left, tuple(told))
