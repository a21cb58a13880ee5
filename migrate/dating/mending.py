"""Mends one statement: the least change of its brackets, commas and digits after which a generation accepts it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from migrate.concrete.edits import Edit, apply_edits
from migrate.concrete.items import Alias, Bare, Define, Item, Slots, StyleMacro
from migrate.concrete.parse import parse
from migrate.dating.sites import Finder
from migrate.diagnostics import Diagnostic
from migrate.packs.model import Generation
from migrate.scope import scope_of
from migrate.source import SourceFile, Span

_TOKEN = re.compile(rb"//[^\n]*|/\*.*?\*/|\"(?:[^\"\\\n]|\\.)*\"|[\w:.\x80-\xff]+|[<>,;=(){}]|\S", re.DOTALL)
_DEFINED = re.compile(rb"\b(?:using|define|int|class|typename)\s+([A-Za-z_]\w*)|>\s*([A-Za-z_]\w*)\s*;")
_MOST = 400
_SLACK = 4
_ENDED = (b"using", b"typedef")
_DIGITS = bytes.maketrans(b"OoIlSZ", b"001152")


@dataclass(frozen=True)
class Mend:
    """The edits of a statement, and the harms that they undo, at their places before the edits."""

    edits: tuple[Edit, ...]
    harms: tuple[Diagnostic, ...]


@dataclass(frozen=True)
class _Token:
    start: int
    end: int
    text: bytes


def mend(
    source: SourceFile, statement: Span, cause: Diagnostic, generations: Mapping[str, Generation], reading: str | None
) -> Mend | None:
    """The first change, in order of likelihood, after which the statement parses and some generation accepts it."""
    text = source.data[statement.start : statement.end]
    if stray(source.data, statement) is not None:
        return None  # what stood there nobody can know
    judge = _Judge(source.name, generations, reading)
    judge.named = frozenset(w.decode() for m in _DEFINED.findall(source.data) for w in m if w)
    judge.narrow(text)
    best: tuple[int, int, Mend] | None = None
    for rank, found in enumerate(_candidates(text, cause, statement.start, source)):
        if rank > _MOST:
            break
        cost = judge.cost(apply_edits(text, found.edits))
        if cost is not None and (best is None or (cost, rank) < best[:2]):
            best = (cost, rank, found)
            if cost == 0:
                break
    if best is not None:
        return _moved(best[2], statement.start)
    part = _in_part(text, judge, cause, statement, source)
    return None if part is None else _moved(part, statement.start)


def _in_part(text: bytes, judge: _Judge, cause: Diagnostic, statement: Span, source: SourceFile) -> Mend | None:
    """One proposal of the parser that helps where all together do not: fewer errors, and no generation lost."""
    errors, whole = judge.errors(text)
    for found in _plain(text, statement.start, source):
        fewer, still = judge.errors(apply_edits(text, found.edits))
        if len(found.edits) == 1 and fewer < errors and (still or not whole):
            return found
    return None


def _moved(mend: Mend, by: int) -> Mend:
    edits = tuple(Edit(e.start + by, e.end + by, e.text) for e in mend.edits)
    harms = tuple(
        Diagnostic(h.code, h.severity, Span(h.span.start + by, h.span.end + by), h.message, h.hint) for h in mend.harms
    )
    return Mend(edits, harms)


_STRAY = re.compile(rb"[#$@`\\?]")
_QUIET = re.compile(rb"//[^\n]*|/\*.*?\*/|\"[^\"\n]*\"|^[ \t]*#[^\n]*|\\\r?\n", re.DOTALL | re.MULTILINE)


def stray(data: bytes, statement: Span) -> Diagnostic | None:
    """The first character of a statement that no style code has, outside of comments, strings and directives."""
    text = data[statement.start : statement.end]
    open_text = _QUIET.sub(lambda m: b" " * len(m[0]), text)
    found = _STRAY.search(open_text)
    if found is None:
        return None
    at = statement.start + found.start()
    message = f"`{found[0].decode()}` has no place in a style"
    return Diagnostic("stray-character", "error", Span(at, at + 1), message, "put back what stood here")


class _Judge:
    """Says how well a statement reads: None where it does not parse; 0 where the preferred generation takes it all."""

    def __init__(self, name: str, generations: Mapping[str, Generation], reading: str | None) -> None:
        self.name, self.generations, self.reading = name, generations, reading
        self.plausible = generations
        self.named: frozenset[str] = frozenset()
        heads = {n.rpartition("::")[2] for g in generations.values() for n in g.constructs}
        self._heads = re.compile(rb"\b(?:" + "|".join(sorted(map(re.escape, heads - {"*"}))).encode() + rb")\s*<")
        self._seen: dict[bytes, int | None] = {}

    def narrow(self, text: bytes) -> None:
        """Keeps the generations that refuse the fewest constructs of the damaged text: the others cannot be meant."""
        source = SourceFile(self.name, text)
        parsed = parse(source)
        pieces = Finder(scope_of(source, parsed.items), self.generations).pieces(parsed.items)
        sites = [s for p in pieces for s in p.sites if s.known]
        refused = {g: sum(g not in s.accepts for s in sites) for g in self.generations}
        least = min(refused.values())
        self.plausible = {g: v for g, v in self.generations.items() if refused[g] <= least + _SLACK}

    def errors(self, text: bytes) -> tuple[int, bool]:
        """How many errors the parser tells, and whether some generation accepts what can be read."""
        source = SourceFile(self.name, text)
        parsed = parse(source)
        pieces = Finder(scope_of(source, parsed.items), self.plausible, self.generations).pieces(parsed.items)
        whole = any(all(g in s.accepts for p in pieces for s in p.sites if s.known) for g in self.plausible)
        return sum(d.severity == "error" for d in parsed.diagnostics), whole

    def cost(self, text: bytes) -> int | None:
        if text not in self._seen:
            self._seen[text] = self._cost(text)
        return self._seen[text]

    def _cost(self, text: bytes) -> int | None:
        source = SourceFile(self.name, text)
        parsed = parse(source)
        if any(d.severity == "error" for d in parsed.diagnostics):
            return None
        styles = [i for i in parsed.items if isinstance(i, (Alias, Bare, Define, StyleMacro, Slots))]
        if not styles or any(_broken(i) for i in styles):
            return None
        finder = Finder(scope_of(source, parsed.items), self.plausible, self.generations)
        pieces = finder.pieces(parsed.items)
        if not any(s.known for p in pieces for s in p.sites) and not any(isinstance(i, Slots) for i in styles):
            return None
        whole = [g for g in self.plausible if all(g in s.accepts for p in pieces for s in p.sites if s.known)]
        sites = [s for p in pieces for s in p.sites]
        if not whole:
            return None
        odd = sum(not s.known and s.name not in self.named for s in sites)
        lost = max(0, len(self._heads.findall(text)) - sum(s.known and s.node.kind == "application" for s in sites))
        return odd * 2 + lost + (self.reading is not None and self.reading not in whole)


def _broken(item: Item) -> bool:
    return isinstance(item, Alias) and item.value.kind == "error"


def _candidates(text: bytes, cause: Diagnostic, base: int, source: SourceFile) -> Iterator[Mend]:
    tokens = [_Token(m.start(), m.end(), m[0]) for m in _TOKEN.finditer(text) if not m[0].startswith((b"//", b"/*"))]
    yield from _plain(text, base, source)
    balance = sum((t.text == b"<") - (t.text == b">") for t in tokens)
    near = cause.span.start - base
    if balance > 0:
        yield from _closers(tokens, near)
        yield from _without(tokens, b"<", "extra-open", "a < too many", near)
        yield from _closers_at_end(tokens, balance)
    elif balance < 0:
        yield from _without(tokens, b">", "extra-close", "a > too many", near)
        yield from _openers(tokens, near)
    yield from _without(tokens, b",", "stray-comma", "a comma too many", near)
    yield from _commas(tokens, near)


def _plain(text: bytes, base: int, source: SourceFile) -> Iterator[Mend]:
    """What the parser itself proposes, all at once: commas, semicolons, letters that stand for digits.

    The parser may see a second harm only when the first is undone, so it is asked again.
    """
    edits: list[Edit] = []
    harms: list[Diagnostic] = []
    for _ in range(_ROUNDS):
        known = tuple(edits)
        more = list(_proposed(apply_edits(text, known), source))
        if not more:
            break
        for edit, harm in more:
            at = _before(known, edit.start)
            edits.append(Edit(at, at + edit.end - edit.start, edit.text))
            harms.append(Diagnostic(harm.code, "error", Span(at, at + edit.end - edit.start), harm.message, harm.hint))
        edits, harms = _in_order(edits, harms)
    if edits:
        yield Mend(tuple(edits), tuple(harms))
        if len(edits) > 1:
            for edit, harm in zip(edits, harms, strict=True):
                yield Mend((edit,), (harm,))


_ROUNDS = 4


def _before(edits: tuple[Edit, ...], offset: int) -> int:
    """The offset before the edits of an offset after them."""
    for edit in edits:
        if edit.start >= offset:
            break
        offset -= min(len(edit.text) - (edit.end - edit.start), offset - edit.start)
    return offset


def _in_order(edits: list[Edit], harms: list[Diagnostic]) -> tuple[list[Edit], list[Diagnostic]]:
    """Both lists by place, without edits that touch one before them."""
    kept: list[tuple[Edit, Diagnostic]] = []
    for edit, harm in sorted(zip(edits, harms, strict=True), key=lambda p: (p[0].start, p[0].end)):
        if not kept or edit.start > kept[-1][0].end or edit.start == kept[-1][0].end != edit.end:
            kept.append((edit, harm))
    return [e for e, _ in kept], [h for _, h in kept]


def _proposed(text: bytes, source: SourceFile) -> Iterator[tuple[Edit, Diagnostic]]:
    for found in parse(SourceFile(source.name, text)).diagnostics:
        at = found.span.start
        if found.code in ("missing-comma", "missing-semicolon"):
            yield Edit(at, at, b"," if found.code == "missing-comma" else b";"), found
        elif found.code in ("stray-comma", "empty-argument") and text[at : at + 1] == b",":
            yield Edit(at, at + 1, b""), found
    for word in re.finditer(rb"\b[\dOoIlSZ]+\b", text):
        if not word[0].isdigit() and (re.search(rb"\d", word[0]) or len(word[0]) == 1):
            right = word[0].translate(_DIGITS)
            message = f"`{word[0].decode()}` has a letter where a digit belongs"
            hint = f"write `{right.decode()}`"
            harm = Diagnostic("letter-for-digit", "error", Span(*word.span()), message, hint)
            yield Edit(word.start(), word.end(), right), harm


def _by_nearness(tokens: list[_Token], near: int) -> list[_Token]:
    """Tokens from the place where the parser gave up backwards: damage lies before it, seldom behind."""
    before = [t for t in tokens if t.start <= near]
    after = [t for t in tokens if t.start > near]
    return [*reversed(before), *after]


def _one(code: str, edit: Edit, message: str, hint: str) -> Mend:
    return Mend((edit,), (Diagnostic(code, "error", Span(edit.start, edit.end), message, hint),))


def _closers(tokens: list[_Token], near: int) -> Iterator[Mend]:
    seen: set[int] = set()
    for token in _by_nearness(tokens, near):
        if token.text in (b"<", b",", b"=", b";") or token.end in seen:
            continue
        seen.add(token.end)
        yield _one("missing-close", Edit(token.end, token.end, b">"), "no closing >", "put > here")


def _closers_at_end(tokens: list[_Token], count: int) -> Iterator[Mend]:
    solid = [t for t in tokens if t.text not in (b";", b",")]
    if solid:
        end = solid[-1].end
        closers = ">" * count + ("" if tokens[-1].text == b";" or tokens[0].text not in _ENDED else ";")
        yield _one("missing-close", Edit(end, end, closers.encode()), f"no closing {closers}", f"put {closers} here")


def _without(tokens: list[_Token], text: bytes, code: str, message: str, near: int) -> Iterator[Mend]:
    for token in _by_nearness(tokens, near):
        if token.text == text:
            yield _one(code, Edit(token.start, token.end, b""), message, "take it out")


def _openers(tokens: list[_Token], near: int) -> Iterator[Mend]:
    for token in _by_nearness(tokens, near):
        if not re.match(rb"[A-Za-z_]", token.text):
            continue
        for at in [token.end, *(token.start + i for i in range(len(token.text) - 1, 2, -1))]:
            yield _one("missing-open", Edit(at, at, b"<"), "no opening < behind the name", "put < here")


def _commas(tokens: list[_Token], near: int) -> Iterator[Mend]:
    wordy = re.compile(rb"[\w\"]")
    for token, following in pairwise(tokens):
        if (wordy.match(token.text) or token.text == b">") and wordy.match(following.text):
            edit = Edit(token.end, token.end, b",")
            yield _one("missing-comma", edit, "no comma between two arguments", "put a comma here")
