"""Included files that a move leaves behind: what of them does not compile any more in the file that has moved."""

from __future__ import annotations

import shlex

from migrate.concrete.items import Alias, Constant, Include, Item, Slots, UsingNamespace
from migrate.diagnostics import Diagnostic
from migrate.host import declared_by, path_of
from migrate.includes import Part
from migrate.lift import Lifter
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.reading import Reading, any_sort
from migrate.source import Span


def left_behind(before: Reading, target: Generation) -> dict[Part, Diagnostic]:
    """The included files that are not moved along and do not compile in the target, each with what there is to say.

    Told is only what is sure: another generation's header or namespace, a declaration of a younger standard, a slot
    table of another form, and a definition whose construct the target does not have, or not where it stands.
    """
    there = [p for p in before.joined.parts if p.path.resolve() not in before.joined.together]
    if before.generation is target or not there:
        return {}
    stays = _Stays(before, target)
    left = [p for p in there if any(map(stays.breaks, stays.items(p)))]
    config, names = before.parsed.source.name, [str(p.path) for p in left]
    command = shlex.join(["rehilt", "move", config, *names, "--to", target.name])
    hint = f"move {'both' if len(left) == 1 else 'all of them'}, `{command}`"
    return {
        part: Diagnostic(
            "included-definition", "warning", part.include,
            f"{part.path.name} goes on being {stays.generation(part)}, which does not compile here", hint,
        )
        for part in left
    }  # fmt: skip


class _Stays:
    """What stays as it is, of the old generation, in a text of the target."""

    def __init__(self, before: Reading, target: Generation) -> None:
        self.before, self.target, self.origin = before, target, before.generation
        self.reader = Lifter(before.scope, target, before.blade)

    def items(self, part: Part) -> list[Item]:
        """What an included file holds."""
        return [i for i in self.before.items if part.start <= i.span.start < part.end]

    def generation(self, part: Part) -> str:
        """The generation that an included file says it is of, else that of the file itself."""
        said = declared_by(self.items(part), self.before.scope, library(self.target.packs))
        return said or self.origin.name

    def breaks(self, item: Item) -> bool:
        """Whether the target's compiler would refuse it."""
        match item:
            case Include():
                return path_of(item) in self._foreign_headers()
            case UsingNamespace():
                return item.name == self.origin.namespace != self.target.namespace
            case Slots():
                return self.origin.table != self.target.table
            case Constant():
                words = self.before.scope.text_of(Span(item.span.start, item.name_span.start)).split()
                return "constexpr" in words and self.target.facts != "constexpr"
            case Alias():
                return (item.form != "typedef" and self.target.declares == "typedef") or self._unknown(item)
            case _:
                return False

    def _foreign_headers(self) -> set[str]:
        every = library(self.target.packs).values()
        own = {self.target.header, *(t.through for t in self.target.takes)}
        return {h for g in every for h in (g.header, *(t.through for t in g.takes))} - own

    def _unknown(self, item: Alias) -> bool:
        """Whether what an alias names is a construct of the old generation that the new one does not have here."""
        head = item.value.children[0] if item.value.kind == "application" else item.value
        name = "".join(self.before.scope.text(head).split()).removeprefix("::")
        if name.removeprefix(f"{self.origin.namespace}::") not in self.origin.constructs:
            return False
        if self.origin.namespace != self.target.namespace:
            return True
        lifted = self.before.lifted.get(item.name)
        if lifted is None or lifted.item is not item:
            return name.removeprefix(f"{self.target.namespace}::") not in self.target.constructs
        return isinstance(self.reader.lift(lifted.value, any_sort(self.target)), Diagnostic)
