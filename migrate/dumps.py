"""Text dumps: many declarations and bare fragments in one text, of one generation or of several, with anything between.

A dump is taken apart into what stands or falls together: a piece with all that it uses and all that uses the same.
Each part is a text of its own, in which everything else is blank, so that its offsets are those of the dump.
Where whole configs were pasted one behind the other, each with its header, each of them is a part as it stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from migrate.concrete.edits import Edit
from migrate.concrete.items import Alias, Bare, Conditional, Constant, Define, Include, Item, Slots, StyleMacro
from migrate.concrete.parse import Parsed, parse
from migrate.dating.dating import date
from migrate.dating.leave import marks
from migrate.dating.sites import Finder, Piece
from migrate.diagnostics import Diagnostic
from migrate.host import host_of, path_of
from migrate.ir.facts import Blade
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.reading import STYLES, Options, Reading, names_in
from migrate.scope import Scope, scope_of
from migrate.source import SourceFile, Span

if TYPE_CHECKING:
    from migrate.pipeline import Moved


@dataclass(frozen=True)
class Part:
    """What is moved by itself: its own text, which begins at byte `start` of the dump, behind `lines` whole lines.

    reading   the generation that it is read as, or why that cannot be told
    styles    name and line of what a report tells of it, where it is not read
    numbers   of each fragment in it, which of the dump's it is, from 1
    beside    whether its lines hold nothing else, so that they can be kept as they were
    config    whether it is a whole config, which says of itself what it is
    """

    source: SourceFile
    start: int
    lines: int
    reading: str | Diagnostic
    blade: Blade
    styles: tuple[tuple[str, int], ...]
    numbers: tuple[int, ...]
    beside: bool
    encoding: str
    config: bool = False

    def options(self, options: Options) -> Options:
        """How it is to be moved, where the dump is to be moved so; it must be dated."""
        if self.config:
            return options
        assert isinstance(self.reading, str)
        return replace(options, reading=self.reading, blade=self.blade, fragments=True, beside=self.beside)

    def name_at_home(self, name: str) -> str:
        """What a style of it is called in the dump."""
        own = name.removeprefix("fragment ")
        return f"fragment {self.numbers[int(own) - 1]}" if own != name and own.isdigit() and self.numbers else name

    def at_home(self, moved: Moved) -> Moved:
        """The part's move in places, lines and names of the dump."""
        styles = tuple(replace(s, name=self.name_at_home(s.name), line=s.line + self.lines) for s in moved.styles)
        said = tuple(shifted(d, self.start) for d in moved.diagnostics)
        # A config may come in two steps, whose edits are of two texts.
        whole = (Edit(0, len(self.source.data), moved.text),) if moved.text != self.source.data else ()
        edits = whole if self.config else moved.edits
        return replace(moved, styles=styles, diagnostics=said, edits=tuple(map(self._edit, edits)))

    def _edit(self, edit: Edit) -> Edit:
        text = edit.text
        if self.source.encoding != self.encoding:  # a part may be plain ASCII where the dump is not
            text = text.decode(self.source.encoding, "replace").encode(self.encoding, "replace")
        return Edit(edit.start + self.start, edit.end + self.start, text)


def shifted(diagnostic: Diagnostic, by: int) -> Diagnostic:
    """The diagnostic so many bytes further on."""
    return replace(diagnostic, span=Span(diagnostic.span.start + by, diagnostic.span.end + by))


def parts(source: SourceFile, whole: Reading | Diagnostic, options: Options) -> list[Part]:
    """The parts of a dump, in order; none where the text is no dump, or nothing in it can be dated.

    `whole` is the text read as one file. It is a dump where no header and no marker says what it is, no `#if` and no
    slot table holds it together, and it holds bare fragments, one name twice, or cannot be dated as a whole. What
    stands around a part says nothing of it: else a second move could date what the first one had to leave.
    """
    known = parse(source) if isinstance(whole, Diagnostic) else whole.parsed
    configs = [_config(source, span) for span in config_spans(source, known, library(options.packs))]
    if configs:
        return configs
    undated = isinstance(whole, Diagnostic)
    if isinstance(whole, Diagnostic) and whole.code != "undeclared-generation":
        return []
    parsed = known
    if any(isinstance(i, (Conditional, Slots)) for i in parsed.items):
        return []
    scope, generations = scope_of(source, parsed.items), library(options.packs)
    host = host_of(parsed.items, scope, generations)
    if host.declared is not None:
        return []
    pieces = {p.span: p for p in Finder(scope, generations).pieces(parsed.items)}
    names = [p.name for p in pieces.values() if p.kind == "definition"]
    if not undated and len(set(names)) == len(names) and all(p.kind == "definition" for p in pieces.values()):
        return []
    blade = Blade(host.blade.pixels or options.blade.pixels, host.blade.per_metre or options.blade.per_metre)
    taking = _Taking(source, parsed, scope, pieces, generations, options.reading, blade)
    found = [taking.part(group) for group in taking.groups()]
    return found if any(isinstance(p.reading, str) for p in found) else []


def config_spans(source: SourceFile, parsed: Parsed, generations: Mapping[str, Generation]) -> list[Span]:
    """The whole configs of a dump that has several, one behind the other; none where it is one file.

    A config begins with its marker and its header, and with the includes and the constants right before them. What
    stands in one `#if` is of one config, and so are headers with no style and no slot table between them.
    """
    starts: list[int] = []
    lead: int | None = None
    styled, first_styled = True, False
    for unit in _units(parsed.items):
        if styled and any(_is_head(i, generations) for i in unit):
            starts.append(unit[0].span.start if lead is None else lead)
            styled = False
        if any(isinstance(i, Slots) or _may_be_style(i) for i in unit):
            styled, lead = True, None
            first_styled = first_styled or not starts
        elif isinstance(unit[0], (Include, Constant, Define)):
            lead = unit[0].span.start if lead is None else lead
        else:
            lead = None
    if len(starts) < 2:
        return []
    comments = sorted(Span(c.start, c.end) for c in parsed.root.children if c.kind == "comment")
    tops = [_top(source.data, comments, start) for start in starts]
    bounds = [*([0] if first_styled else []), *(tops if first_styled else [0, *tops[1:]]), len(source.data)]
    return [Span(a, b) for a, b in pairwise(bounds)]


def _units(items: Sequence[Item]) -> Iterator[list[Item]]:
    """The items, those from an `#if` to its `#endif` together."""
    unit: list[Item] = []
    depth = 0
    for item in items:
        unit.append(item)
        if isinstance(item, Conditional):
            depth += item.kind in ("if", "ifdef", "ifndef")
            depth = max(0, depth - (item.kind == "endif"))
        if depth == 0:
            yield unit
            unit = []
    if unit:
        yield unit


def _is_head(item: Item, generations: Mapping[str, Generation]) -> bool:
    """Whether it says what generation a config is of."""
    if isinstance(item, Include):
        return any(path_of(item) == g.header for g in generations.values())
    return isinstance(item, Define) and any(g.marker and g.marker[0] == item.name for g in generations.values())


def _may_be_style(item: Item) -> bool:
    return isinstance(item, (Alias, StyleMacro, Bare)) and item.value.kind in ("application", "macro_call")


def _config(source: SourceFile, span: Span) -> Part:
    """A whole config of a dump, as it stands."""
    own = SourceFile(source.name, source.data[span.start : span.end])
    lines = source.data.count(b"\n", 0, span.start)
    return Part(own, span.start, lines, "", Blade(), (), (), True, source.encoding, True)


def _top(data: bytes, comments: Sequence[Span], start: int) -> int:
    """The start of the first line: of what begins there, or of the comments right above it."""
    top = data.rfind(b"\n", 0, start) + 1
    for comment in reversed(comments):
        if comment.end <= top and not data[comment.end : top].strip():
            line = data.rfind(b"\n", 0, comment.start) + 1
            if data[line : comment.start].strip():
                break
            top = line
    return top


class _Taking:
    """Takes one dump apart."""

    def __init__(
        self, source: SourceFile, parsed: Parsed, scope: Scope, pieces: Mapping[Span, Piece],
        generations: Mapping[str, Generation], given: str | None, blade: Blade,
    ) -> None:  # fmt: skip
        self.source, self.scope, self.pieces, self.generations = source, scope, pieces, generations
        self.given, self.blade = given, blade
        self.items = [i for i in parsed.items if i.span in pieces or isinstance(i, (Constant, Define))]
        fragments = [s for s, p in pieces.items() if p.kind == "fragment"]
        self.number = {span: n for n, span in enumerate(fragments, 1)}
        self.comments = sorted(Span(c.start, c.end) for c in parsed.root.children if c.kind == "comment")

    def groups(self) -> Iterator[list[Item]]:
        """The items that hang together by name, with at least one piece among them; in the order of the text."""
        leader = list(range(len(self.items)))

        def root(n: int) -> int:
            while leader[n] != n:
                leader[n] = leader[leader[n]]
                n = leader[n]
            return n

        places: dict[str, list[int]] = {}
        for n, item in enumerate(self.items):
            if isinstance(item, (Alias, Constant, Define, StyleMacro)):
                places.setdefault(item.name, []).append(n)
        for n, item in enumerate(self.items):
            for name in set(names_in(item, self.scope)) & places.keys():
                # Of several definitions of one name the last before its use is meant, else the first behind it.
                before = [m for m in places[name] if m < n]
                other = before[-1] if before else places[name][0]
                leader[max(root(n), root(other))] = min(root(n), root(other))
        groups: dict[int, list[Item]] = {}
        for n, item in enumerate(self.items):
            groups.setdefault(root(n), []).append(item)
        return (g for g in groups.values() if any(i.span in self.pieces for i in g))

    def part(self, items: Sequence[Item]) -> Part:
        """The part that some items make."""
        data = self.source.data
        spans = [Span(i.span.start, _with_mark(data, i.span.end)) for i in items]
        start, end = _top(data, self.comments, spans[0].start), data.find(b"\n", spans[-1].end)
        start = max(start, 3 if self.source.has_bom else 0)
        end = len(data) if end < 0 else end + 1
        shown = sorted([*spans, *(c for c in self.comments if start <= c.start and c.end <= end)])
        source = SourceFile(self.source.name, _blanked(data, shown, start, end))
        lines = data.count(b"\n", 0, start)
        pieces = [self.pieces[i.span] for i in items if i.span in self.pieces]
        return Part(
            source, start, lines, self._reading(source, start, pieces), self.blade, tuple(self._styles(pieces)),
            tuple(self.number[p.span] for p in pieces if p.span in self.number), self._alone(spans, shown),
            self.source.encoding,
        )  # fmt: skip

    def _alone(self, spans: Sequence[Span], shown: Sequence[Span]) -> bool:
        """Whether the lines of the items hold nothing that is not shown."""
        data = self.source.data
        for span in spans:
            first, last = data.rfind(b"\n", 0, span.start) + 1, data.find(b"\n", span.end)
            last = len(data) if last < 0 else last
            if data[first:last].split() != _blanked(data, shown, first, last).split():
                return False
        return True

    def _reading(self, source: SourceFile, start: int, pieces: Sequence[Piece]) -> str | Diagnostic:
        if self.given is not None:
            return self.given
        parsed = parse(source)
        said = [m.read_as for m in marks(parsed) if m.read_as in self.generations and not m.inside]
        if len(said) == len(pieces) and len(set(said)) == 1:
            return said[0]
        scope = scope_of(source, parsed.items)
        dated = date(parsed, scope, self.generations)
        return shifted(dated, start) if isinstance(dated, Diagnostic) else dated.generation

    def _styles(self, pieces: Sequence[Piece]) -> Iterator[tuple[str, int]]:
        """The fragments, and the definitions whose outermost name is a style's in some generation."""
        for piece in pieces:
            heads = (c for g in self.generations.values() for c in g.constructs.get(self._head(piece), ()))
            if piece.span in self.number:
                yield f"fragment {self.number[piece.span]}", self.source.place(piece.span.start)[0]
            elif any(c.sort in STYLES for c in heads):
                yield piece.name, self.source.place(piece.name_span.start)[0]

    def _head(self, piece: Piece) -> str:
        """The name of its outermost construct, through what it stands for where that is another name of the dump."""
        named = {p.name: p for p in self.pieces.values() if p.name}
        for _ in range(len(named)):
            value = piece.value
            word = self.scope.text(value if value.kind == "name" else value.children[0])
            if value.kind == "application" or word not in named:
                break
            piece = named[word]
        return piece.sites[0].name if piece.sites else ""


def _with_mark(data: bytes, end: int) -> int:
    """The end of an item with the semicolon or the comma behind it."""
    return end + 1 if data[end : end + 1] in (b";", b",") else end


def _blanked(data: bytes, shown: Sequence[Span], start: int, end: int) -> bytes:
    """A range of the text in which all but the spans shown, which are in order, is blank; line ends stay."""
    out, at = [], start
    for span in shown:
        first, last = max(span.start, at), min(span.end, end)
        if first < last:
            out += [_blank(data[at:first]), data[first:last]]
            at = last
    return b"".join((*out, _blank(data[at:end])))


def _blank(data: bytes) -> bytes:
    return data.translate(_BLANK)


_BLANK = bytes(c if c in b"\r\n\t" else 32 for c in range(256))
