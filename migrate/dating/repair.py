"""Offers a repair of damaged text: an edit that is shown, and made only when somebody asks for it.

First what a page or a mail did to the whole text (`cleaning`), then, statement by statement, the one bracket,
comma or digit whose change lets the packs accept the statement again. That search also tells where the damage
is: a parser that misses a bracket can only say where it gave up.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from difflib import SequenceMatcher

from migrate.concrete.edits import Edit, apply_edits
from migrate.concrete.items import Alias, Define, Slots
from migrate.concrete.parse import Parsed, parse
from migrate.dating.cleaning import steps
from migrate.dating.mending import Mend, mend, stray
from migrate.diagnostics import Diagnostic
from migrate.packs.model import Generation
from migrate.source import SourceFile, Span

SHOWN = ("--repair shows it", "--repair shows a repair")  # how the hint of what can be mended ends
_INSIDE = re.compile(rb"#[ \t]*(?:if|elif|else|endif)")


@dataclass(frozen=True)
class Offer:
    """A repair on offer: the repaired text, and each harm as a diagnostic with its place in the text as it is.

    `silenced` are statements, in the repaired text, of which the parser's own diagnostics say nothing more.
    """

    before: SourceFile
    after: SourceFile
    diagnostics: tuple[Diagnostic, ...] = ()
    layers: tuple[tuple[Edit, ...], ...] = field(default=())
    silenced: tuple[Span, ...] = ()

    @property
    def changed(self) -> bool:
        """Whether there is anything to repair."""
        return self.before.data != self.after.data

    def edits(self) -> tuple[Edit, ...]:
        """The repair as edits of the text as it is: whole lines, each run of changed ones an edit."""
        old, new = (text.data.splitlines(keepends=True) for text in (self.before, self.after))
        at = [0]
        for line in old:
            at.append(at[-1] + len(line))
        blocks = SequenceMatcher(None, old, new, autojunk=False).get_opcodes()
        return tuple(Edit(at[a], at[b], b"".join(new[c:d])) for tag, a, b, c, d in blocks if tag != "equal")

    def origin(self, offset: int) -> int:
        """The offset in the text as it is of an offset in the repaired text."""
        for edits in reversed(self.layers):
            offset = _back(edits, offset)
        return offset

    def origin_span(self, span: Span) -> Span:
        """The span in the text as it is of a span in the repaired text."""
        start = self.origin(span.start)
        return Span(start, max(start, self.origin(span.end)))


def _back(edits: tuple[Edit, ...], offset: int) -> int:
    shift = 0
    for edit in edits:
        start = edit.start + shift
        if offset < start:
            break
        if offset < start + len(edit.text):
            return edit.start
        shift += len(edit.text) - (edit.end - edit.start)
    return offset - shift


def offer(source: SourceFile, generations: Mapping[str, Generation], reading: str | None = None) -> Offer:
    """The repair of a text. `reading` is the generation to prefer where a statement could be mended for several."""
    made = Offer(source, source)
    for step in steps(source.encoding):
        found = step(made.after.data)
        if found is None:
            continue
        first = made.origin(found.edits[0].start)
        told = f"{found.message} ({len(found.edits)} {'place' if len(found.edits) == 1 else 'places'})"
        width = max(1, found.edits[0].end - found.edits[0].start)
        where = Span(first, first + width)
        made = _with(made, found.edits, Diagnostic(found.code, "warning", where, told, SHOWN[1]))
    return _mended(made, generations, reading)


def _lost(made: Offer, parsed: Parsed, todo: list[Diagnostic], generations: Mapping[str, Generation]) -> Offer:
    """The offer with what it could not mend: a stray character stands for all that the parser says of a statement."""
    data = made.after.data
    told: dict[Span, Diagnostic] = {}
    spans = []
    for diagnostic in todo:
        statement = statement_at(data, diagnostic.span.start)
        found = stray(data, statement)
        if found is not None:
            told[found.span] = found
            spans.append(statement)
    silent = [d for d in unread(parsed, generations) if not any(s.start <= d.span.start < s.end for s in spans)]
    lost = [replace(d, span=made.origin_span(d.span)) for d in (*told.values(), *silent)]
    return replace(made, diagnostics=(*made.diagnostics, *lost), silenced=tuple(spans))


def _with(made: Offer, edits: tuple[Edit, ...], *diagnostics: Diagnostic) -> Offer:
    ordered = tuple(sorted(edits))
    after = SourceFile(made.after.name, apply_edits(made.after.data, ordered))
    return Offer(made.before, after, (*made.diagnostics, *diagnostics), (*made.layers, ordered))


_ROUNDS = 12


def _mended(made: Offer, generations: Mapping[str, Generation], reading: str | None) -> Offer:
    """Mends statement after statement; each round parses anew, for a bracket too few swallows what follows it."""
    given_up: set[bytes] = set()
    for _ in range(_ROUNDS):
        parsed = parse(made.after)
        todo = [d for d in parsed.diagnostics if d.severity == "error"] + unread(parsed, generations)
        parted = [d.span.start for d in todo if _INSIDE.match(made.after.data, d.span.start)]
        found: Mend | None = None
        for diagnostic in todo:
            statement = statement_at(made.after.data, diagnostic.span.start)
            text = made.after.data[statement.start : statement.end]
            # What an #if parts is several texts in one: mended as one, it would be none of them.
            if text in given_up or any(statement.start <= at < statement.end for at in parted):
                continue
            found = mend(made.after, statement, diagnostic, generations, reading)
            if found is not None:
                break
            given_up.add(text)
        if found is None:
            return _lost(made, parsed, todo, generations)
        diagnostics = []
        for one in found.harms:
            where = made.origin_span(one.span)
            hint = f"{one.hint}; {SHOWN[0]}" if one.hint else SHOWN[1]
            diagnostics.append(Diagnostic(one.code, one.severity, where, one.message, hint))
        made = _with(made, found.edits, *diagnostics)
    return made


_DECLARES = re.compile(rb"^[ \t]*(?:typedef\s+|using\s+\w+\s*=\s*)(?=\S)(?:(?!\n[ \t]*#)[^;])*(?:;|$)", re.MULTILINE)
_HEAD = re.compile(rb"[ \t]*(?:typedef\s+|using\s+\w+\s*=\s*)")
_WORD = re.compile(rb"[A-Za-z_]\w*")


def unread(parsed: Parsed, generations: Mapping[str, Generation]) -> list[Diagnostic]:
    """Declarations that the parser took for plain C++, though they hold a construct's name and template brackets."""
    names = {name.rpartition("::")[2].encode() for g in generations.values() for name in g.constructs} - {b"*"}
    long = tuple(n for n in names if len(n) > 3)
    data, read = parsed.source.data, [i.span for i in parsed.items if isinstance(i, (Alias, Define, Slots))]
    out = []
    for found in _DECLARES.finditer(data):
        head = _HEAD.match(data, found.start())
        start = found.start() + len(found[0]) - len(found[0].lstrip())
        if head is None or not set(b"<>") & set(found[0]) or any(s.start <= start < s.end for s in read):
            continue
        words = _WORD.findall(data, head.end(), found.end())
        if any(w in names or w.startswith(long) for w in words):
            at = head.end()
            message = "this declaration cannot be read as a style"
            out.append(Diagnostic("unreadable", "error", Span(at, at + 1), message, "look at its brackets"))
    return out


def statement_at(data: bytes, offset: int) -> Span:
    """The statement that holds an offset: from the line on which one begins to the `;` behind the offset."""
    starts = [0, *_line_starts(data)]
    at = bisect_right(starts, offset) - 1
    while at > 0 and not _begins(data, starts[at]):
        at -= 1
    start = starts[at]
    end = data.find(b";", max(offset, start))
    following = next((s for s in starts[at + 1 :] if s > offset and _begins(data, s)), len(data))
    end = len(data) if end < 0 else end + 1
    return Span(start, min(end, following) if following > offset else end)


def _line_starts(data: bytes) -> list[int]:
    return [i + 1 for i, byte in enumerate(data) if byte == 10]


_WORDS = (b"using", b"typedef", b"template", b"constexpr", b"const", b"static", b"#", b"namespace")


def _begins(data: bytes, at: int) -> bool:
    """Whether a statement begins on the line at this offset: by a keyword, or after a blank line."""
    line = data[at : at + 80].lstrip(b" \t")
    if line.startswith(_WORDS):
        return True
    before = data[:at].rstrip(b" \t\r\n")
    return before.endswith(b";") or data[:at].endswith((b"\n\n", b"\n\r\n"))
