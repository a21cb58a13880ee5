"""Text to tree to IR: a file, or one build of it, read as one generation with every definition lifted."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType
from typing import Any, get_args

from migrate.branches import Build, build_of, builds
from migrate.concrete.items import Alias, Bare, Constant, Define, Item, Other, Slots, StyleMacro
from migrate.concrete.nodes import Node, arguments
from migrate.concrete.parse import Parsed, parse
from migrate.dating.dating import date
from migrate.dating.spoken import NOTHING, Spoken, spoken
from migrate.diagnostics import Diagnostic
from migrate.doubles import declared_again
from migrate.host import Host, SlotStyle, declared_by, host_of, slot_styles, slot_words
from migrate.includes import Joined, join
from migrate.ir import nodes as ir
from migrate.ir.facts import Blade
from migrate.ir.normal import Normaliser
from migrate.lift import Lifter
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.scope import Definition, Scope, scope_of
from migrate.shared import Shared
from migrate.source import SourceFile, Span
from migrate.unread import STYLES as STYLES
from migrate.unread import unread_styles as unread_styles
from migrate.unread import with_command
from migrate.uses import NAMES

_NO_CODE = re.compile(r'"(?:\\.|[^"\\\n])*"|//[^\n]*|/\*.*?\*/', re.S)  # strings and comments
_ALONE = ("signal", "layer", "shape", "held_shape", "transition", "stop")


def any_sort(generation: Generation) -> tuple[str, ...]:
    """The sorts that a definition may be of: those of the pack language, and what older paints are called here."""
    older = tuple(dict.fromkeys(t.sort for t in generation.takes if t.sort))
    return (*STYLES, "paint", *older, *_ALONE)


@dataclass(frozen=True)
class Options:
    """What the user asked for. `reading` overrides the dating; `blade` fills what the config leaves out.

    `defines` are macros with their values, as a compiler's -D gives them: they pick the branches to be moved.
    `together` are the files that were moved in the same run, by resolved path, with their new texts: what they define
    may go on being used by name. `texts` are read in the place of what these files hold on disk. `inner` says that
    another file includes this one, so that no namespace may have been opened before it.
    `fragments` asks for what stands there without a declaration, too; `beside` for originals kept on the way down.
    """

    target: str
    reading: str | None = None
    blade: Blade = Blade()  # noqa: RUF009  # frozen
    scenes: tuple[str, ...] = ("probe",)
    prove: bool = True
    packs: tuple[Path, ...] = ()
    defines: tuple[tuple[str, int], ...] = ()
    together: Mapping[Path, bytes] = field(default_factory=dict)
    fragments: bool = False
    beside: bool = True
    texts: Mapping[Path, bytes] = field(default_factory=dict)
    inner: bool = False

    def of_new_text(self, blade: Blade) -> Options:
        """As which the new text is read, over the new texts of what was moved along; the blade is the old text's."""
        texts = {**self.texts, **self.together}
        return replace(self, reading=self.target, blade=blade, together={}, texts=texts)


@dataclass(frozen=True)
class Reading:
    """A file read as one generation: its definitions lifted, each in normal form.

    `items` are those that the build reads, with those of local includes; `builds` all builds of the file. `inner` where
    another file includes it.
    """

    parsed: Parsed
    scope: Scope
    host: Host
    generation: Generation
    blade: Blade
    lifter: Lifter
    normal: Normaliser
    lifted: Mapping[str, Lifted]
    diagnostics: tuple[Diagnostic, ...]
    joined: Joined
    items: tuple[Item, ...]
    build: Build
    builds: tuple[Build, ...]
    spoken: Spoken = NOTHING
    unread: tuple[tuple[Alias | Define | StyleMacro, Diagnostic], ...] = ()
    inner: bool = False

    def own(self, offset: int) -> bool:
        """Whether an offset lies in the file itself, and not in what it includes."""
        return offset < self.joined.own


@dataclass(frozen=True)
class Lifted:
    """One definition: the IR as written, its normal form, and the sort that it is.

    `reading` is the generation that a comment says it was written for, where that is not the file's. `shared` where
    the IR is the same object in whichever file the definition stands.
    """

    name: str
    item: Alias | Define | StyleMacro | Constant
    raw: Any
    normal: Any
    sort: str
    reading: Generation | None = None
    shared: bool = False

    @property
    def is_style(self) -> bool:
        """Whether it is a whole style by its sort."""
        return self.sort in STYLES

    @property
    def value(self) -> Node:
        """The node that says it."""
        assert self.item.value is not None
        return self.item.value


def read(
    source: SourceFile, options: Options, build: Build | None = None, pinned: Mapping[str, int] = MappingProxyType({})
) -> Reading | Diagnostic:
    """Text to tree to IR: parses, dates, lifts every definition and brings it into normal form.

    Of a file with branches, `build` says which are read (the one with the fewest macros defined, if none is given);
    `pinned` gives macros a value in conditions, whatever the file defines them as.
    """
    generations = library(options.packs)
    parsed = parse(source)
    joined = join(source, parsed.items, headers_of(generations), frozenset(options.together), options.texts)
    given = dict(options.defines)
    every = tuple(builds(joined.source, joined.items, given, pinned))
    if build is not None:
        build = build_of(joined.source, joined.items, build.defined, pinned)
    chosen = build or every[0]
    items = chosen.items(joined.items)
    scope = scope_of(joined.source, items)
    host = host_of(items, scope, generations, joined.own)
    blade = Blade(host.blade.pixels or options.blade.pixels, host.blade.per_metre or options.blade.per_metre)
    name = options.reading or host.declared
    if name is None:
        dated = date(parsed, scope, generations)
        if isinstance(dated, Diagnostic):
            return dated
        name = dated.generation
    generation = generations[name]
    lifter, normaliser = Lifter(scope, generation, blade), Normaliser(spread=False)
    said = spoken(parsed, generations)
    inside = [s for s in slot_styles(items, scope) if s.span.start < joined.own]
    every_one = (*items, *_fragments(items, lifter, options), *inside)
    lifted, unread = _lift_all(every_one, scope, said, lifter, normaliser)
    words = slot_words(generations)  # in any other table, what cannot be read need not be a style
    unread = [with_command(u, lifter) for u in unread if not isinstance(u[0], SlotStyle) or u[0].word in words]
    found = [*(d for _, d in unread), *_slot_reports(items, scope, joined, lifted)]
    found += _at_odds(items, scope, joined, generations)
    diagnostics = (*parsed.diagnostics, *said.diagnostics, *joined.diagnostics, *(joined.at_home(d) for d in found))
    return Reading(
        parsed, scope, host, generation, blade, lifter, normaliser, lifted, diagnostics, joined, items, chosen, every,
        said, tuple(unread), options.inner,
    )  # fmt: skip


def _at_odds(
    items: tuple[Item, ...], scope: Scope, joined: Joined, generations: Mapping[str, Generation]
) -> Iterator[Diagnostic]:
    """Included files that say another generation than the file itself, and are not moved along."""
    if not joined.parts:
        return
    said = declared_by((i for i in items if i.span.start < joined.own), scope, generations)
    for part in joined.parts:
        other = declared_by((i for i in items if part.start <= i.span.start < part.end), scope, generations)
        if said is not None and other not in (None, said) and part.path.resolve() not in joined.together:
            message = f"`{part.path.name}` says {other}, this file {said}"
            hint = f"the file is read as {said}, with all that it includes; move {part.path.name} as well"
            yield Diagnostic("declared-twice", "warning", part.include, message, hint)


def headers_of(generations: Mapping[str, Generation]) -> frozenset[str]:
    """The paths of the generations' own headers, which nobody has to find beside a file."""
    headers = {g.header.strip('<>"') for g in generations.values()}
    return frozenset(headers | {t.through.strip('<>"') for g in generations.values() for t in g.takes})


def _lift_all(
    items: tuple[Item, ...], scope: Scope, said: Spoken, lifter: Lifter, normaliser: Normaliser
) -> tuple[dict[str, Lifted], list[tuple[Alias | Define | StyleMacro, Diagnostic]]]:
    """Every definition that can be read, by name, and those that cannot, with the reason."""
    lifted: dict[str, Lifted] = {}
    unread: list[tuple[Alias | Define | StyleMacro, Diagnostic]] = []
    declared = _declared(items, scope)
    shared = Shared(lifter, normaliser)
    again = declared_again(items, scope.source)
    for item in items:
        if item.span.start in said.left:
            continue
        if isinstance(item, Alias) and item.span in again:
            unread.append((item, again[item.span]))
            continue
        other = said.readings.get(item.span.start)
        if isinstance(item, Alias) and not item.params and other is None:
            kept = shared.lift(item.value, any_sort(lifter.generation))
            if kept is not None:
                lifted[item.name] = Lifted(item.name, item, kept.raw, kept.normal, kept.sort, shared=True)
                continue
        # Of another lifter the names are not kept: what a name stands for here it does not stand for elsewhere.
        reader = lifter if other is None else Lifter(scope, other, lifter.blade)
        call = declared.get(item.span)
        if call is not None:
            found = _lift_declared(call, scope, reader)
            named: Alias | Define | StyleMacro = call.item
        elif isinstance(item, (Alias, Define, StyleMacro)) and _may_hold(item):
            assert item.value is not None
            found, named = reader.lift(item.value, any_sort(reader.generation)), item
        else:
            continue
        if not isinstance(found, Diagnostic):
            raw, sort = found
            lifted[named.name] = Lifted(named.name, named, raw, normaliser(raw), sort, other)
            if reader is not lifter:
                lifter.applied.update(reader.applied)
                lifter.keep += [*reader.keep, raw]
        elif not isinstance(named, Define) or (named.value is not None and named.value.kind == "application"):
            unread.append((named, found))
    return {**dict(_tinted(items, lifter, normaliser)), **lifted}, unread


def _fragments(items: tuple[Item, ...], lifter: Lifter, options: Options) -> Iterator[StyleMacro]:
    """What stands there without a declaration, as `fragment 1`, `fragment 2` … by a macro without a name."""
    bare = [i for i in items if isinstance(i, Bare) and i.value.kind == "application"] if options.fragments else []
    for number, item in enumerate(bare, 1):
        node: Node | None = item.value
        while node is not None and _head(node, lifter) not in lifter.generation.constructs:
            node = next((c for c in node.children[1:] if c.kind == "application"), None)  # it may stand in a slot's
        if node is not None:
            yield StyleMacro("", f"fragment {number}", Span(node.start, node.start), node, item.span)


def _head(node: Node, lifter: Lifter) -> str:
    """The name of an application without blanks and the generation's namespace."""
    name = "".join(lifter.scope.text(node.children[0]).split()).removeprefix("::")
    return name.removeprefix(f"{lifter.generation.namespace}::")


def _may_hold(item: Alias | Define | StyleMacro) -> bool:
    """Whether an item by itself may stand for a part of a style."""
    if item.value is None or (isinstance(item, Alias) and item.params):
        return False
    return not isinstance(item, Define) or (item.params is None and item.value.kind in ("application", "name"))


@dataclass(frozen=True)
class _DeclaredStyle:
    """A style that the use of a macro declares."""

    item: StyleMacro
    macro: Define
    given: tuple[Node, ...]
    node: Node


def _declared(items: tuple[Item, ...], scope: Scope) -> dict[Span, _DeclaredStyle]:
    """The uses of macros that declare a style, by their span."""
    out: dict[Span, _DeclaredStyle] = {}
    for item in items:
        if isinstance(item, Bare) and item.value.kind == "macro_call":
            macro = scope.declaring.get(scope.text(item.value.children[0]))
            given, node = arguments(item.value), item.value
        elif isinstance(item, StyleMacro):
            macro = scope.declaring.get(item.macro)
            given = (Node("name", item.name_span.start, item.name_span.end, ()), item.value)
            node = Node("macro_call", item.span.start, _call_end(item, scope), given)
        else:
            continue
        if macro is None or macro.declares is None or any("." in p for p in macro.params or ()):
            continue
        at = (macro.params or ()).index(macro.declares.name) if macro.declares.name in (macro.params or ()) else -1
        named = given[at] if 0 <= at < len(given) else node
        name = Span(named.start, named.end)
        style = StyleMacro(macro.name, scope.text_of(name), name, node, item.span)
        out[item.span] = _DeclaredStyle(style, macro, given, node)
    return out


def _call_end(item: StyleMacro, scope: Scope) -> int:
    """Where the `)` of a declaring macro's use ends."""
    text = scope.text_of(item.span)
    return item.span.start + len(text[: text.rfind(")") + 1].encode(scope.source.encoding, "replace"))


def _lift_declared(call: _DeclaredStyle, scope: Scope, lifter: Lifter) -> tuple[Any, str] | Diagnostic:
    assert call.macro.declares is not None
    return lifter.lift_call(call.node, declaration_of(call.macro), call.given, any_sort(lifter.generation))


def declaration_of(macro: Define) -> Definition:
    """What a declaring macro declares, as a definition with the macro's parameters."""
    assert macro.declares is not None
    return Definition(macro.name, macro.declares.value, "define", macro.span, macro.params or ())


def _tinted(items: tuple[Item, ...], lifter: Lifter, normaliser: Normaliser) -> Iterator[tuple[str, Lifted]]:
    """The constants that styles use as whole colours, and as nothing else."""
    for item in items:
        if not isinstance(item, (Constant, Define)) or item.value is None or getattr(item, "params", None) is not None:
            continue
        if item.name in lifter.tinted and item.name not in lifter.counted:
            colour = replace(lifter.tinted[item.name][0])
            yield item.name, Lifted(item.name, item, colour, normaliser(colour), "paint")


def _slot_reports(
    items: tuple[Item, ...], scope: Scope, joined: Joined, lifted: Mapping[str, Lifted]
) -> Iterator[Diagnostic]:
    """Slots whose style nobody defines, and styles that no slot uses; where an include is missing, nobody can say."""
    if any(d.code == "missing-include" for d in joined.diagnostics):
        return
    yield from unknown_styles(items, scope)
    if any(isinstance(item, Slots) for item in items):
        yield from _styles_without_slot(scope, joined, lifted)


def unknown_styles(items: tuple[Item, ...], scope: Scope) -> Iterator[Diagnostic]:
    """Slots whose style nobody defines."""
    known = {*scope.definitions, *(c.item.name for c in _declared(items, scope).values())}
    for slot in (s for item in items if isinstance(item, Slots) for s in item.slots):
        name = scope.text(slot.style).rpartition(":")[2]
        if slot.style.kind == "name" and name not in known:
            near = get_close_matches(name, sorted(known), 3)
            hint = f"did you mean {' or '.join(f'`{n}`' for n in near)}?" if near else ""
            span = Span(slot.style.start, slot.style.end)
            yield Diagnostic("unknown-style", "warning", span, f"no style `{name}` in this file", hint)


def _styles_without_slot(scope: Scope, joined: Joined, lifted: Mapping[str, Lifted]) -> Iterator[Diagnostic]:
    """The file's own styles that stand in no table of any build, and that nothing else in it is built on."""
    used = {name for item in joined.items for name in names_in(item, scope)}
    for name, one in lifted.items():
        # What an unknown macro declares, it may also enter into a table of its own.
        entered = isinstance(one.item, StyleMacro) and one.item.macro not in scope.declaring
        if one.is_style and name not in used and not entered and one.item.span.start < joined.own:
            span = one.item.span if isinstance(one.item, (Define, Constant)) else one.item.name_span
            hint = "give it a slot, or take it out"
            yield Diagnostic("style-without-slot", "note", span, f"no slot uses the style `{name}`", hint)


def names_in(item: Item, scope: Scope) -> Iterator[str]:
    """Every name that an item says, other than the one that it defines."""
    for span in _said_by(item):
        yield from NAMES.findall(_NO_CODE.sub(" ", scope.text_of(span)))


def _said_by(item: Item) -> Iterator[Span]:
    """The text in which an item can use other definitions: what it defines is not among it."""
    match item:
        case Slots() | Other() | Bare():
            yield item.span
        case Alias() | Define() | Constant() | StyleMacro() if item.value is not None:
            yield Span(item.value.start, item.value.end)
        case Define() if item.values:
            yield Span(item.values[0].start, item.values[-1].end)
        case Define() if item.declares is not None:
            yield Span(item.declares.value.start, item.declares.value.end)
        case _:
            pass


def uses_compat(reading: Reading) -> bool:
    """Whether anything in the file is accepted only through an older generation's compat header."""
    return bool(older_headers(reading.lifter))


def older_headers(lifter: Lifter) -> frozenset[str]:
    """The headers that bring the older generations' constructs that were lifted; empty text for none needed."""
    words = {through for _, compat, through in lifter.words if compat}
    made = {a.construct.through for found in lifter.applied.values() for a in found if a.construct.compat}
    return frozenset(words | made)


def style_names(reading: Reading) -> frozenset[str]:
    """The file's own definitions that are styles: by their sort, or because a slot names them."""
    own = {name: d for name, d in reading.lifted.items() if reading.own(d.item.span.start)}
    used = {n.name for n in reading.lifter.named.values()} | {c.name for c in reading.lifter.called.values()}
    return frozenset(
        name
        for name, d in own.items()
        if d.sort == "style"
        or name in reading.host.in_slots
        or isinstance(d.item, SlotStyle)
        or (d.sort == "sleeve" and name not in used)
    )


def counterpart(name: str, before: Reading, after: Reading) -> Lifted | None:
    """The definition of that name in the other text, or what the same slot holds there.

    Going down, a style may leave its slot for a name of its own; coming back, it may lose that name again.
    """
    known = after.lifted.get(name) or after.lifted.get(after.host.slots.get(name, ""))
    if known is not None:
        return known
    slots = (slot for slot, style in before.host.slots.items() if style == name)
    return next(filter(None, (after.lifted.get(slot) for slot in slots)), None)


def told_names(reading: Reading) -> frozenset[str]:
    """The definitions that a move gives a grade: the styles, and what stands alone and can be drawn."""
    drawn = (ir.Style, ir.Sheet, *get_args(ir.Paint), *get_args(ir.Signal))
    alone = (name for name, d in reading.lifted.items() if is_fragment(d.item) and isinstance(d.raw, drawn))
    return style_names(reading).union(alone)


def whole_style(raw: Any) -> ir.Style:
    """A style that shows a part: a paint as ground, a layer over black, a signal as the way from black to white."""
    black, white = ir.Colour("duty", (0, 0, 0)), ir.Colour("duty", (255, 255, 255))
    if isinstance(raw, ir.Style):
        return raw
    if isinstance(raw, ir.Sheet):
        return ir.Style(black, (raw,))
    return ir.Style(ir.Blend(black, white, raw) if isinstance(raw, get_args(ir.Signal)) else raw)


def is_fragment(item: Item) -> bool:
    """Whether it stands for what the text holds without a declaration."""
    return isinstance(item, StyleMacro) and not item.macro


def line_of(reading: Reading, item: Item) -> int:
    """The line of a definition's name, from 1."""
    span = getattr(item, "name_span", item.span)
    return reading.parsed.source.place(span.start)[0]
