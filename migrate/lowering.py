"""IR to target trees, for one build of a file: every definition in its turn."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, partial
from itertools import islice
from pathlib import Path
from typing import Any

from migrate.behind import left_behind
from migrate.concrete.items import Alias, Define
from migrate.concrete.nodes import Node
from migrate.diagnostics import Diagnostic
from migrate.ir import nodes as ir
from migrate.ir.dump import dump
from migrate.ir.facts import Blade
from migrate.lift import Lifter
from migrate.lower.calls import Body, Calls
from migrate.lower.cost import Cover
from migrate.lower.cover import Coverer
from migrate.lower.target import Reference, Target, Use
from migrate.lower.vocabulary import Vocabulary
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.printing import writer_of
from migrate.reading import STYLES, Lifted, Reading, any_sort, declaration_of, older_headers, style_names
from migrate.recent import Recent
from migrate.scope import Definition
from migrate.shared import MOST, in_one_line
from migrate.source import Span
from migrate.staying import staying, still_true


@dataclass
class Lowered:
    """What becomes of each definition of one build: its cover, or why there is none; and what there is to say.

    `through` are the compat headers that included files need; `unsaid` the parts, by name, that the target cannot say
    by themselves, so that their uses are written out; `stays` the definitions that the target reads as they stand.
    """

    covers: dict[str, Cover] = field(default_factory=dict)
    refusals: dict[str, Diagnostic] = field(default_factory=dict)
    bodies: dict[str, Body] = field(default_factory=dict)
    notes: list[Diagnostic] = field(default_factory=list)
    through: set[str] = field(default_factory=set)
    unsaid: dict[str, Span] = field(default_factory=dict)
    stays: dict[str, Span] = field(default_factory=dict)


# ---- lower ---------------------------------------------------------------------------------------


@cache
def _vocabulary(name: str, packs: tuple[Path, ...]) -> Vocabulary:
    return Vocabulary(library(packs)[name])


# Covers by the ids of the IR and of the target, which stand beside each so that their ids stay their own.
_COVERS: Recent[tuple[int, tuple[str, ...], int, Blade], tuple[Any, Cover | None, set[str]]] = Recent(MOST)


def lower(before: Reading, target: Generation) -> Lowered:
    """IR to target trees, definition by definition in the file's order; what cannot be covered exactly, nearly."""
    return _Lowering(before, target).run()


def _coverers(
    target: Generation, blade: Blade, described: Callable[[Any], str], named: Mapping[int, Use]
) -> tuple[Coverer, Coverer]:
    """What covers exactly, and what covers nearly where that cannot."""
    vocabulary = _vocabulary(target.name, target.packs)
    exact = Coverer(vocabulary, blade, named)
    return exact, Coverer(vocabulary, blade, named, exact, described)


def _sorts_of(target: Generation, sort: str) -> tuple[str, ...]:
    return STYLES if sort in STYLES else _native(sort, target)


def _printed(before: Reading, target: Generation, tree: Any, node: Node) -> str:
    return writer_of(before, target).write(tree, node, 0, "")


class _Lowering:
    """The lowering of one build: covers in order, so that each definition knows the names of those before it."""

    def __init__(self, before: Reading, target: Generation) -> None:
        self.before, self.target = before, target
        self.named: dict[int, Use] = {}
        self.out = Lowered()
        self.described = _Described(before)
        self.coverers = partial(_coverers, target, before.blade, self.described)
        self.exact, self.near = self.coverers(self.named)
        # Functions and no methods of this object, which would then be kept by what it holds.
        self.calls = Calls(
            before.lifter, before.normal, before.scope, self.coverers, partial(_sorts_of, target),
            partial(_printed, before, target), target.standard != "c++98",
        )  # fmt: skip
        given = [h.given for h in before.lifter.held.values()]
        self.calls.see((*(d.raw for d in before.lifted.values()), *given))
        self.uses = self._uses()
        self.left = left_behind(before, target)

    def _uses(self) -> dict[str, list[int]]:
        """The ids of the normal values that are uses of each plain definition."""
        uses: dict[str, list[int]] = {}
        for use in self.before.lifter.named.values():
            uses.setdefault(use.name, []).append(id(self.before.normal(use.value)))
        return uses

    def run(self) -> Lowered:
        """Everything, in the order of the text."""
        self.out.notes += self.left.values()
        steps: list[tuple[int, int, Lifted | Definition]] = []
        starts = sorted(d.item.span.start for d in self.before.lifted.values())
        for definition in parametrised(self.before):
            at = definition.span.start
            if definition.textual:  # a macro knows the names that stand before its first use
                first = min((self.calls.top(c).start for c in self.calls.of(definition)), default=at)
                at = starts[max(0, bisect_right(starts, first) - 1)] if starts else at
            steps.append((at, 0, definition))
        order = {name: index for index, name in enumerate(self.before.lifted)}
        for name, lifted in self.before.lifted.items():
            start = lifted.item.span.start
            steps.append((start if self.before.own(start) else -1, order[name] + 1, lifted))
        for _, _, step in sorted(steps, key=lambda s: s[:2]):
            if isinstance(step, Lifted):
                self._definition(step)
            else:
                self.calls.plan(step, self.named)
        stays = self.out.stays = staying(self.before, self.target)
        self.out.bodies = {name: body for name, body in self.calls.bodies.items() if name not in stays}
        self.out.unsaid = {name: span for name, span in self.out.unsaid.items() if name not in stays}
        self.out.notes += still_true(self.calls.notes, stays)
        return self.out

    def _definition(self, definition: Lifted) -> None:
        if not self.before.own(definition.item.span.start):
            self._included(definition)
            return
        another = self._another_name(definition)
        if another is not None:
            self.out.covers[definition.name] = another
            return
        sorts = target_sorts(definition, self.before, self.target)
        value = definition.normal
        if sorts == STYLES and not isinstance(value, ir.Style):
            value = ir.Style(value)
        cover, missing = self._covered(definition, value, sorts)
        if cover is None or (cover.cost.loss and missing and self._lossless_if_known(value, sorts, cover)):
            refusal = _refusal(definition, missing, self.target)
            if refusal.code == "no-cover" and sorts != STYLES and isinstance(definition.item, (Alias, Define)):
                self.out.unsaid[definition.name] = definition.item.span
            else:
                self.out.refusals[definition.name] = refusal
            return
        self.out.covers[definition.name] = cover
        sort = cover.tree.construct.sort if isinstance(cover.tree, Target) else definition.sort
        self._name(definition, sort)

    def _another_name(self, definition: Lifted) -> Cover | None:
        """The cover of what is just another name of a style that the file declares before it: that name, still."""
        item, value = definition.item, definition.value
        if not isinstance(item, Alias) or item.params or value.kind != "name":
            return None
        name = self.before.scope.text(value)
        style, cover = self.before.lifted.get(name), self.out.covers.get(name)
        if style is None or cover is None or style.reading is not definition.reading or style.sort not in STYLES:
            return None
        return Cover(cover.cost, Reference(name, definition.normal), cover.losses)

    def _covered(self, definition: Lifted, value: Any, sorts: tuple[str, ...]) -> tuple[Cover | None, set[str]]:
        """The cheapest cover of a definition, and the facts that were missed; what hangs on no file is kept."""
        if not definition.shared:
            return self.near.cover(value, sorts), self.exact.missing | self.near.missing

        def covered() -> tuple[Any, Cover | None, set[str]]:
            exact, near = self.coverers({})
            return (definition, self.target), near.cover(value, sorts), exact.missing | near.missing

        key = id(definition.normal), sorts, id(self.target), self.before.blade
        return _COVERS.get(key, covered)[1:]

    def _lossless_if_known(self, value: Any, sorts: tuple[str, ...], cover: Cover) -> bool:
        """Whether less would be lost if the blade's facts were known: then they are asked for."""
        blade = self.before.blade
        known = Blade(blade.pixels or 144, blade.per_metre or 144)  # any: only what can be said is asked, not with what
        vocabulary = _vocabulary(self.target.name, self.target.packs)
        whole = Coverer(vocabulary, known, self.named, Coverer(vocabulary, known, self.named)).cover(value, sorts)
        return whole is not None and whole.cost.loss < cover.cost.loss

    def _name(self, definition: Lifted, sort: str) -> None:
        for value in self.uses.get(definition.name, ()):
            if value != id(definition.normal) and sort not in STYLES:
                self.named[value] = Use(definition.name, sort)

    def _included(self, definition: Lifted) -> None:
        """What an included file defines goes on being used by name where it reads the same, or moves too."""
        part = self.before.joined.part_at(definition.item.span.start)
        assert part is not None
        reader = Lifter(self.before.scope, self.target, self.before.blade)
        found = reader.lift(definition.value, any_sort(self.target))
        same = not isinstance(found, Diagnostic) and dump(found[0]) == dump(definition.raw)
        older = older_headers(reader)
        self.out.through |= older - {""}  # the included file goes on needing them
        if not self.uses.get(definition.name):
            return
        same = same and not older
        moved = part.path.resolve() in self.before.joined.together
        sorts = target_sorts(definition, self.before, self.target)
        unsaid = moved and not same and self._covered(definition, definition.normal, sorts)[0] is None
        if (moved or same) and not unsaid:
            sort = found[1] if not isinstance(found, Diagnostic) else _sorts_of(self.target, definition.sort)[0]
            self._name(definition, sort)
        if not same and part not in self.left:
            what = "stays a name: that file is moved too" if moved else "is written out: that file is not moved along"
            what = f"is written out: {self.target.name} cannot say it by itself" if unsaid else what
            hint = "" if moved else f"move {part.path.name} in the same run"
            message = f"`{definition.name}` of {part.path.name} {what}"
            self.out.notes.append(Diagnostic("included-definition", "note", part.include, message, hint))


def parametrised(before: Reading) -> Iterator[Definition]:
    """The file's own definitions with parameters that stand for parts of styles."""
    for item in before.items:
        if not before.own(getattr(item, "span", Span(0, 0)).start):
            continue
        if isinstance(item, Alias) and item.params:
            yield before.scope.definitions[item.name]
        elif isinstance(item, Define) and item.params and item.value is not None:
            if item.value.kind in ("application", "macro_call", "name"):
                yield before.scope.definitions[item.name]
        elif isinstance(item, Define) and item.params and item.declares is not None:
            yield declaration_of(item)


def target_sorts(definition: Lifted, before: Reading, target: Generation) -> tuple[str, ...]:
    """The sorts that a definition may have in the target."""
    if definition.name in style_names(before) or definition.sort in STYLES:
        return STYLES
    return _native(definition.sort, target)


def _native(sort: str, target: Generation) -> tuple[str, ...]:
    """The sort itself where the target has it, else all sorts of parts that it has."""
    native = {c.sort for group in target.constructs.values() for c in group if not c.compat}
    return (sort,) if sort in native else tuple(sorted(native - set(STYLES)))


class _Described:
    """Parts of the source in their own words: by the normal form, what the source first made it from."""

    def __init__(self, before: Reading) -> None:
        self.before = before
        self._first: dict[int, Node] = {}
        self._seen = 0

    def __call__(self, value: Any) -> str:
        done, applied = self.before.normal.done, self.before.lifter.applied
        if len(done) > self._seen:
            for raw, normal in islice(done.values(), self._seen, None):
                if id(raw) in applied:
                    self._first.setdefault(id(normal), applied[id(raw)][0].node)
            self._seen = len(done)
        node = self._first.get(id(value))
        if node is None:
            return type(value).__name__.lower()
        text = in_one_line(self.before.scope.text(node))
        return f"`{text if len(text) <= 70 else text[:67] + '…'}`"


def _refusal(definition: Lifted, missing: set[str], target: Generation) -> Diagnostic:
    assert definition.item.value is not None
    span = Span(definition.item.value.start, definition.item.value.end)
    if "pixels" in missing:
        hint = f"add `constexpr int {target.pixels} = …;` to the config, or give --pixels"
        return Diagnostic("missing-pixel-count", "error", span, "a length converts only with the pixel count", hint)
    if "pitch" in missing:
        hint = f"add `constexpr int {target.pitch} = …;` to the config, or give --pitch"
        return Diagnostic("missing-pitch", "error", span, "a length in mm converts only with the pitch", hint)
    return Diagnostic("no-cover", "error", span, f"{target.name} has no way to say `{definition.name}`", "")
