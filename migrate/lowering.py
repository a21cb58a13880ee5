"""IR to target trees to edits, for one build of a file: every definition at its place, then what stands round them."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, partial
from itertools import islice
from pathlib import Path
from typing import Any

from migrate.concrete.edits import Edit
from migrate.concrete.items import Alias, Constant, Define, StyleMacro
from migrate.concrete.nodes import Node
from migrate.diagnostics import Diagnostic
from migrate.host import SlotStyle
from migrate.ir import nodes as ir
from migrate.ir.dump import dump
from migrate.ir.facts import Blade
from migrate.lift import Lifter
from migrate.lower.calls import Body, Calls
from migrate.lower.constants import Decision, constants_of, decide, merged, new_text, occurrences, plain_numbers
from migrate.lower.cost import Cover
from migrate.lower.cover import Coverer
from migrate.lower.host_edits import HostMove, declared_alias, definition_edit, dropped, macro_lines, slot_names
from migrate.lower.lists import Lists
from migrate.lower.settle import settled, speller
from migrate.lower.target import Reference, Target, Use, nodes
from migrate.lower.vocabulary import Vocabulary
from migrate.lower.write import Layout, Writer
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.printing import colliding, layout_of, origins_of, writer_of
from migrate.reading import STYLES, Lifted, Reading, any_sort, declaration_of, older_headers, style_names
from migrate.recent import Recent
from migrate.scope import Definition
from migrate.shared import MOST, in_one_line
from migrate.source import Span


@dataclass
class Lowered:
    """What becomes of each definition of one build: its cover, or why there is none; and what there is to say.

    `through` are the compat headers that included files need.
    """

    covers: dict[str, Cover] = field(default_factory=dict)
    refusals: dict[str, Diagnostic] = field(default_factory=dict)
    bodies: dict[str, Body] = field(default_factory=dict)
    notes: list[Diagnostic] = field(default_factory=list)
    through: set[str] = field(default_factory=set)


# ---- lower ---------------------------------------------------------------------------------------


@cache
def _vocabulary(name: str, packs: tuple[Path, ...]) -> Vocabulary:
    return Vocabulary(library(packs)[name])


# Covers by the id of the IR, which stands beside each so that its id stays its own.
_COVERS: Recent[tuple[int, tuple[str, ...], int, Blade], tuple[Any, Cover | None, set[str]]] = Recent(MOST)

# Texts by the tree, the layout, the column, the margin, and the text that they replace.
_TEXTS: Recent[tuple[int, Layout, int, str, str], tuple[Any, str]] = Recent(4 * MOST)


def lower(before: Reading, target: Generation) -> Lowered:
    """IR to target trees, definition by definition in the file's order; what cannot be covered exactly, nearly."""
    return _Lowering(before, target).run()


class _Lowering:
    """The lowering of one build: covers in order, so that each definition knows the names of those before it."""

    def __init__(self, before: Reading, target: Generation) -> None:
        self.before, self.target = before, target
        self.named: dict[int, Use] = {}
        self.out = Lowered()
        self.described = _Described(before)
        self.exact, self.near = self._coverers(self.named)
        self.calls = Calls(
            before.lifter, before.normal, before.scope, self._coverers, self._sorts_of, self._printed,
            target.standard != "c++98",
        )  # fmt: skip
        given = [h.given for h in before.lifter.held.values()]
        self.calls.see((*(d.raw for d in before.lifted.values()), *given))
        self.uses = self._uses()

    def _coverers(self, named: Mapping[int, Use]) -> tuple[Coverer, Coverer]:
        vocabulary, blade = _vocabulary(self.target.name, self.target.packs), self.before.blade
        exact = Coverer(vocabulary, blade, named)
        return exact, Coverer(vocabulary, blade, named, exact, self.described)

    def _sorts_of(self, sort: str) -> tuple[str, ...]:
        return STYLES if sort in STYLES else _native(sort, self.target)

    def _printed(self, tree: Any, node: Node) -> str:
        return writer_of(self.before, self.target).write(tree, node, 0, "")

    def _uses(self) -> dict[str, list[int]]:
        """The ids of the normal values that are uses of each plain definition."""
        uses: dict[str, list[int]] = {}
        for use in self.before.lifter.named.values():
            uses.setdefault(use.name, []).append(id(self.before.normal(use.value)))
        return uses

    def run(self) -> Lowered:
        """Everything, in the order of the text."""
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
        self.out.bodies = self.calls.bodies
        self.out.notes += self.calls.notes
        return self.out

    def _definition(self, definition: Lifted) -> None:
        if not self.before.own(definition.item.span.start):
            self._included(definition)
            return
        sorts = target_sorts(definition, self.before, self.target)
        value = definition.normal
        if sorts == STYLES and not isinstance(value, ir.Style):
            value = ir.Style(value)
        cover, missing = self._covered(definition, value, sorts)
        if cover is None or (cover.cost.loss and missing and self._lossless_if_known(value, sorts, cover)):
            self.out.refusals[definition.name] = _refusal(definition, missing, self.target)
            return
        self.out.covers[definition.name] = cover
        sort = cover.tree.construct.sort if isinstance(cover.tree, Target) else definition.sort
        self._name(definition, sort)

    def _covered(self, definition: Lifted, value: Any, sorts: tuple[str, ...]) -> tuple[Cover | None, set[str]]:
        """The cheapest cover of a definition, and the facts that were missed; what hangs on no file is kept."""
        if not definition.shared:
            return self.near.cover(value, sorts), self.exact.missing | self.near.missing

        def covered() -> tuple[Any, Cover | None, set[str]]:
            exact, near = self._coverers({})
            return definition, near.cover(value, sorts), exact.missing | near.missing

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
        if part.path.resolve() in self.before.joined.together or same:
            sort = found[1] if not isinstance(found, Diagnostic) else self._sorts_of(definition.sort)[0]
            self._name(definition, sort)
        if not same:
            moved = part.path.resolve() in self.before.joined.together
            what = "stays a name: that file is moved too" if moved else "is written out: that file is not moved along"
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


# ---- write ---------------------------------------------------------------------------------------


def write(before: Reading, target: Generation, lowered: Lowered) -> list[Edit]:
    """Target trees to edits; adds to the notes what the constants have to say."""
    return _Writing(before, target, lowered).edits()


class _Writing:
    """The edits of one build."""

    def __init__(self, before: Reading, target: Generation, lowered: Lowered) -> None:
        self.before, self.target, self.lowered = before, target, lowered
        self.scope, self.source = before.scope, before.parsed.source
        self.layout, self.origins = layout_of(before, target), origins_of(before)
        self.numbers = constants_of(before.items, before.scope)
        self.covers = {n: c for n, c in lowered.covers.items() if before.own(before.lifted[n].item.span.start)}
        # Where something could not be read, what it uses must stand as it is.
        self.whole = not lowered.refusals and not any(d.severity == "error" for d in before.diagnostics)
        own_items = (i for i in before.joined.items if before.own(i.span.start))
        self.out_of_slots = slot_names(own_items, before.scope, target)
        self.decision = self._decided()
        lowered.notes += [before.joined.at_home(n) for n in self.decision.notes]
        lowered.notes += _collisions(before, target, self.layout.qualify)
        own = {n: v for n, v in before.scope.lists.items() if before.own(v[0].start)}
        self.lists = Lists(own, self._sources, self._alone)

    def _alone(self, tree: Any) -> str:
        """A part's text by itself, without the comments of its place."""
        return self._writer().write(tree, Node("gap", 0, 0, ()), 0, "")

    def _writer(self) -> Writer:
        return Writer(self.target, self.layout, self.origins)

    def _sources(self, value: Any) -> list[Node]:
        return [a.node for a in self.origins.applied.get(id(value), ())]

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
        if self.before.spoken.left:  # what is left alone goes on needing what it needed
            through |= {t.through for t in self.target.takes if t.through in self.before.host.includes}
        own = tuple(i for i in self.before.items if self.before.own(i.span.start))
        host = HostMove(
            own, self.scope, library(self.target.packs), self.before.generation, self.target, through,
            self._constants(), self.layout.qualify,
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
                yield from self._replace(node, macro_lines(self._alone(part), self.layout.newline))

    def _constants(self) -> dict[int, str]:
        """The new texts of constants, by where their value starts."""
        out = {}
        taken = {d.item.span for d in self.before.lifted.values()}
        for item in self.numbers.items.values():
            if self.before.own(item.span.start) and item.value is not None and item.span not in taken:
                values, decimals = self.decision.values, self.target.decimals
                text = new_text(item, self.scope, values, self.target.standard, decimals)
                if text != self.scope.text(item.value):
                    out[item.value.start] = text
        return out

    def _unneeded(self) -> Iterator[Edit]:
        """Definitions whose every use was written out, and that the target could not read, become comments."""
        if not self.whole:
            return
        names = {d.name: d.span for d in parametrised(self.before) if d.name not in self.lowered.bodies}
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
