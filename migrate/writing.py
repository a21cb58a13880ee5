"""Target trees to edits, for one build of a file: every definition at its place, then what stands round them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any

from migrate.concrete.edits import Edit
from migrate.concrete.items import Alias, Constant, Define, StyleMacro
from migrate.concrete.nodes import Node
from migrate.diagnostics import Diagnostic
from migrate.host import SlotStyle
from migrate.lower.calls import Body
from migrate.lower.constants import (
    Decision,
    constants_of,
    decide,
    merged,
    new_text,
    occurrences,
    plain_numbers,
    whole_ones,
    whole_text,
)
from migrate.lower.host_edits import HostMove, declared_alias, definition_edit, dropped, macro_lines, slot_names
from migrate.lower.lists import Lists
from migrate.lower.settle import settled, speller
from migrate.lower.target import Reference, Target, nodes
from migrate.lower.write import Layout, Origins, Writer
from migrate.lowering import Lowered, parametrised
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.printing import colliding, layout_of, origins_of
from migrate.reading import Lifted, Reading
from migrate.recent import Recent
from migrate.shared import MOST
from migrate.source import Span

# Texts by the tree, the layout, the column, the margin, and the text that they replace.
_TEXTS: Recent[tuple[int, Layout, int, str, str], tuple[Any, str]] = Recent(4 * MOST)


def write(before: Reading, target: Generation, lowered: Lowered) -> list[Edit]:
    """Target trees to edits; adds to the notes what the constants have to say."""
    return _Writing(before, target, lowered).edits()


def _alone(target: Generation, layout: Layout, origins: Origins, tree: Any) -> str:
    """A part's text by itself, without the comments of its place."""
    return Writer(target, layout, origins).write(tree, Node("gap", 0, 0, ()), 0, "")


def _sources(origins: Origins, value: Any) -> list[Node]:
    return [a.node for a in origins.applied.get(id(value), ())]


class _Writing:
    """The edits of one build."""

    def __init__(self, before: Reading, target: Generation, lowered: Lowered) -> None:
        self.before, self.target, self.lowered = before, target, lowered
        self.scope, self.source = before.scope, before.parsed.source
        self.layout, self.origins = layout_of(before, target), origins_of(before)
        self.numbers = constants_of(before.items, before.scope)
        own_ones = {n: c for n, c in lowered.covers.items() if before.own(before.lifted[n].item.span.start)}
        self.covers = {n: c for n, c in own_ones.items() if n not in lowered.stays}
        # Where something could not be read, what it uses must stand as it is.
        self.whole = not lowered.refusals and not any(d.severity == "error" for d in before.diagnostics)
        own_items = (i for i in before.joined.items if before.own(i.span.start))
        self.out_of_slots = slot_names(own_items, before.scope, target)
        self.decision = self._decided()
        lowered.notes += [before.joined.at_home(n) for n in self.decision.notes]
        lowered.notes += _collisions(before, target, self.layout.qualify)
        own = {n: v for n, v in before.scope.lists.items() if before.own(v[0].start)}
        self.alone = partial(_alone, target, self.layout, self.origins)
        # Functions and no methods of this object, which would then be kept by what it holds.
        self.lists = Lists(own, partial(_sources, self.origins), self.alone)

    def _writer(self) -> Writer:
        return Writer(self.target, self.layout, self.origins)

    def _decided(self) -> Decision:
        """What becomes of the constants."""
        known = library(self.target.packs).values()
        fixed = {g.pixels for g in known} | {g.pitch for g in known} | {g.marker[0] for g in known if g.marker}
        fixed |= {n for n, item in self.numbers.items.items() if not self.before.own(item.span.start)}
        printed = [(c.tree, 0) for c in self.covers.values()]
        printed += [(b.tree, b.environment) for b in self.lowered.bodies.values()]
        return decide(self.numbers, self.scope, printed, self._replaced(), frozenset(fixed), self.target.decimals)

    def _replaced(self) -> list[Span]:
        """The spans of source that trees stand for, or that this build does not read."""
        before = self.before
        spans = [Span(d.value.start, d.value.end) for n, d in before.lifted.items() if n in self.covers]
        spans += [d.span for d in parametrised(before) if self.whole or d.name in self.lowered.bodies]
        spans += self.lowered.unsaid.values() if self.whole else ()
        spans += [Span(v[0].start, v[-1].end) for v in before.scope.lists.values()]
        spans += [i.span for i, on in zip(before.joined.items, before.build.active, strict=True) if not on]
        return merged(spans)

    def _settled(self, tree: Any, body: Body | None = None) -> Any:
        values = {**self.decision.values, **(body.values if body is not None else {})}
        plain = partial(plain_numbers, standard=self.target.standard)
        spell = speller(self.scope, 0 if body is None else body.environment, values, plain)
        return self.lists.folded(settled(tree, spell))

    def edits(self) -> list[Edit]:
        """Every edit, in order."""
        trees = {name: self._settled(cover.tree) for name, cover in self.covers.items()}
        bodies = {name: self._settled(body.tree, body) for name, body in self.lowered.bodies.items()}
        edits: list[Edit] = []
        for name, tree in trees.items():
            edits += self._lifted(self.before.lifted[name], tree)
        edits += [*self._out_of_slots(trees), *self._left_in_slots()]
        for name, tree in bodies.items():
            edits += self._body(self.lowered.bodies[name], tree)
        edits += self._listed()
        edits += self._unneeded()
        every = (*trees.values(), *bodies.values(), *(p for run in self.lists.parts.values() for p in run))
        through = frozenset(
            t.construct.through for tree in every for t in nodes(tree) if isinstance(t, Target) and t.construct.compat
        )
        through |= self.lowered.through
        refused = self.before.generation is self.target and (self.before.unread or self.lowered.refusals)
        if self.before.spoken.left or refused:  # what is left alone goes on needing what it needed
            through |= {t.through for t in self.target.takes if t.through in self.before.host.includes}
        own = tuple(i for i in self.before.items if self.before.own(i.span.start))
        host = HostMove(
            own, self.scope, library(self.target.packs), self.before.generation, self.target, through,
            self._constants(), self.layout.qualify, frozenset(self._whole()),
        )  # fmt: skip
        rewritten = frozenset(self.before.lifted[n].item.span.start for n in self.covers)
        return sorted({*edits, *host.edits(), *self.before.spoken.done(rewritten)})

    # ---- one definition -----------------------------------------------------------------------

    def _text(self, tree: Any, node: Node, column: int | None = None, shared: bool = False) -> str:
        """A tree as the text that stands for a node; what is shared is written once for equal texts and layouts."""
        start = self.source.data.rfind(b"\n", 0, node.start) + 1
        head = self.source.data[start : node.start].decode(self.source.encoding, "replace")
        margin = head[: len(head) - len(head.lstrip())]
        at = len(head) if column is None else column
        if not shared:
            return self._writer().write(tree, node, at, margin)
        key = id(tree), self.layout, at, margin, self.scope.text(node)
        return _TEXTS.get(key, lambda: (tree, self._writer().write(tree, node, at, margin)))[1]

    def _edit(self, start: int, end: int, text: str) -> Edit:
        return Edit(start, end, text.encode(self.source.encoding, "replace"))

    def _replace(self, node: Node, text: str) -> Iterator[Edit]:
        old = self.scope.text(node)
        if text != old and not ("\n" in text and text.split() == old.split()):
            yield self._edit(node.start, node.end, text)

    def _lifted(self, lifted: Lifted, tree: Any) -> Iterator[Edit]:
        item, node = lifted.item, lifted.value
        if isinstance(item, Constant):
            text = declared_alias(self.target, self._text(tree, node), item.name)
            yield self._edit(item.span.start, item.span.end, text)
            return
        if isinstance(item, SlotStyle) and item.span.start in self.out_of_slots:
            return
        declared = isinstance(item, StyleMacro) and not isinstance(item, SlotStyle)
        if declared and node.kind == "macro_call" and node.start == item.span.start:
            assert isinstance(item, StyleMacro)
            yield from self._declared(item, node, tree)
            return
        text = self._text(tree, node, shared=lifted.shared and tree is self.covers[lifted.name].tree)
        if isinstance(item, Alias):
            if text != self.scope.text(node) or self.target.declares != self.before.generation.declares:
                yield definition_edit(item, self.target, text, self.scope)
        else:
            text = macro_lines(text, self.layout.newline) if isinstance(item, Define) else text
            yield from self._replace(node, text)

    def _out_of_slots(self, trees: Mapping[str, Any]) -> Iterator[Edit]:
        """Where the target's slots hold names alone, styles in slots become declarations above their table."""
        above: dict[Span, list[str]] = {}
        for name, tree in trees.items():
            item, node = self.before.lifted[name].item, self.before.lifted[name].value
            if isinstance(item, SlotStyle) and item.span.start in self.out_of_slots:
                given = self.out_of_slots[item.span.start]
                text = declared_alias(self.target, self._text(tree, node, len("typedef ")), given)
                above.setdefault(item.table, []).append(text)
                yield self._edit(node.start, node.end, given)
        for table, texts in above.items():
            line = self.source.data.rfind(b"\n", 0, table.start) + 1
            head = self.source.data[line : table.start].decode(self.source.encoding, "replace")
            margin = head if not head.strip() else ""
            yield self._edit(table.start, table.start, "".join(t + self.layout.newline + margin for t in texts))

    def _left_in_slots(self) -> Iterator[Edit]:
        """Above a slot whose style stays as it was, a comment says what it is to be read as."""
        before = self.before
        unread = [i for i, _ in before.unread]
        for item in (*(before.lifted[name].item for name in self.lowered.refusals), *unread):
            if not isinstance(item, SlotStyle) or item.span.start in before.spoken.readings:
                continue
            start = self.source.data.rfind(b"\n", 0, item.slot.start) + 1
            head = self.source.data[start : item.slot.start].decode(self.source.encoding, "replace")
            note = f"// rehilt: read as {before.generation.name}{self.layout.newline}"
            text = head + note if not head.strip() else f"{self.layout.newline}  {note}  "
            at = start if not head.strip() else item.slot.start
            yield self._edit(at, at, text)

    def _declared(self, item: StyleMacro, node: Node, tree: Any) -> Iterator[Edit]:
        """A style that a macro's use declares: the use stays, or becomes a declaration of its own."""
        if isinstance(tree, Reference) and tree.brackets == "()":
            text = self._text(tree, node)
            if "".join(text.split()) != "".join(self.scope.text(node).split()):
                yield self._edit(node.start, node.end, text)
            return
        head = f"using {item.name} = " if self.target.declares == "using" else "typedef "
        text = declared_alias(self.target, self._text(tree, node, len(head)), item.name)
        yield self._edit(item.span.start, item.span.end, text)

    def _body(self, body: Body, tree: Any) -> Iterator[Edit]:
        item = next(i for i in self.before.items if getattr(i, "span", None) == body.definition.span)
        node = body.definition.value
        text = self._text(tree, node)
        if isinstance(item, Define):
            text = macro_lines(text, self.layout.newline)
            declared = item.declares
            if declared is not None and declared.form == "using" and self.target.declares == "typedef":
                yield self._edit(item.body.start, item.body.end, f"typedef {text} {declared.name}")
                return
        yield from self._replace(node, text)
        if isinstance(item, Alias):
            yield from self._kinds(item, body)

    def _kinds(self, item: Alias, body: Body) -> Iterator[Edit]:
        """The kinds of a template's parameters: `auto` is C++17's, and a number with decimals needs it."""
        young = self.target.standard not in ("c++11", "c++14")
        head = self.source.data[item.span.start : item.name_span.start]
        at = item.span.start
        for parameter in item.params:
            found = head.find(parameter.kind.encode(), at - item.span.start)
            if found < 0:
                return
            start = item.span.start + found
            at = start + len(parameter.kind)
            kind = "int" if parameter.kind == "auto" and not young else parameter.kind
            if parameter.name in body.decimals:
                kind = "auto"
            if kind != parameter.kind:
                yield self._edit(start, at, kind)

    # ---- the rest -----------------------------------------------------------------------------

    def _listed(self) -> Iterator[Edit]:
        for name, parts in self.lists.parts.items():
            for node, part in zip(self.scope.lists[name], parts, strict=True):
                yield from self._replace(node, macro_lines(self.alone(part), self.layout.newline))

    def _constants(self) -> dict[int, str]:
        """The new texts of constants, by where their value starts."""
        out = {}
        taken = {d.item.span for d in self.before.lifted.values()}
        whole = self._whole()
        for item in self.numbers.items.values():
            if self.before.own(item.span.start) and item.value is not None and item.span not in taken:
                values, decimals = self.decision.values, self.target.decimals
                text = new_text(item, self.scope, values, self.target.standard, decimals)
                if item.value.start in whole:
                    text = whole_text(text, whole[item.value.start], self.numbers)
                if text != self.scope.text(item.value):
                    out[item.value.start] = text
        return out

    def _whole(self) -> dict[int, int]:
        """The constants that must be whole numbers in a generation without decimals, by where their value starts."""
        if self.target.decimals:
            return {}
        found = whole_ones(self.numbers, self.scope, self.decision)
        items = ((self.numbers.items[name], value) for name, value in found.items())
        return {item.value.start: value for item, value in items if item.value is not None}

    def _unneeded(self) -> Iterator[Edit]:
        """Definitions whose every use was written out, and that the target could not read, become comments."""
        if not self.whole:
            return
        names = {d.name: d.span for d in parametrised(self.before) if d.name not in self.lowered.bodies}
        names |= self.lowered.unsaid
        lists = {n for n in self.scope.lists if n not in self.lists.parts}
        names |= {
            i.name: i.span for i in self.before.items
            if isinstance(i, Define) and i.name in lists and self.before.own(i.span.start)
        }  # fmt: skip
        spans = merged([*self._replaced(), *(i.span for i in self._declaring()), *names.values()])
        held = occurrences(self.scope, frozenset(names), spans)
        for name, span in names.items():
            if name not in held:
                yield dropped(self.scope, span)
                if name in lists:
                    message = f"`{name}` is not needed any more: every use of it was written out"
                    self.lowered.notes.append(Diagnostic("definition-dropped", "note", span, message))
        for name in self.lowered.unsaid:
            self.lowered.notes.append(self._unsaid(name, name in held))

    def _unsaid(self, name: str, held: bool) -> Diagnostic:
        """What there is to say of a part that the target cannot say by itself; `held` where other text uses it."""
        span = self.lowered.unsaid[name]
        if held:
            message = f"{self.target.name} has no way to say `{name}` by itself, and what is not moved uses it"
            return Diagnostic("no-cover", "error", span, message, "write it out there, or take that use out")
        used = any(use.name == name for use in self.before.lifter.named.values())
        why = "every use of it was written out" if used else "nothing in this file uses it"
        message = f"{self.target.name} has no way to say `{name}` by itself; {why}"
        return Diagnostic("definition-dropped", "note", span, message)

    def _declaring(self) -> Iterator[StyleMacro]:
        for lifted in self.before.lifted.values():
            if isinstance(lifted.item, StyleMacro):
                yield lifted.item


def _collisions(before: Reading, target: Generation, qualify: str) -> Iterator[Diagnostic]:
    """Names that the target has too, where writing its namespace out does not help."""
    macros = {i.span for i in before.items if isinstance(i, Define)}
    for span in colliding(before, target):
        if not qualify or span in macros:
            message = f"`{before.scope.text_of(span)}` is a name of {target.name} too: it would not compile"
            yield Diagnostic("name-collision", "warning", span, message, "give it another name")
