"""Edits to what stands round the styles of a config: marker, includes, namespace, constants, slot table."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import chain, count

from migrate.concrete.edits import Edit
from migrate.concrete.items import Alias, Constant, Define, Include, Item, Slot, Slots, UsingNamespace
from migrate.host import path_of, slot_styles, slot_word, slot_words
from migrate.packs.model import Generation
from migrate.scope import Scope
from migrate.source import Span

_COMMENT = re.compile(rb"//[^\r\n]*|/\*.*?\*/", re.S)
_QUOTED = re.compile(rb'"(?:\\.|[^"\\\n])*"')
# The words of ISO C++98 that a declared name cannot be.
_KEYWORDS = frozenset(
    re.findall(
        r"\w+",
        "and asm auto bool break case catch char class const continue default delete do double else enum "
        "explicit export extern false float for friend goto if inline int long mutable namespace new not "
        "operator or private protected public register return short signed sizeof static struct switch "
        "template this throw true try typedef typeid typename union unsigned using virtual void volatile "
        "while xor",
    )
)
_WORD = re.compile(r"[^\W\d]\w*")


def _plain_line(text: str) -> bool:
    """Whether a table stands on one line, without comments."""
    return "\n" not in text and "//" not in text and "/*" not in text


@dataclass(frozen=True)
class HostMove:
    """A config's items, the generation they leave and the one they come to; `through` are the compat headers needed.

    `values` are the new texts of constants by the offset where their value starts, `whole` the offsets of those that
    are to be whole numbers; `qualify` stands before the target's names, or is empty.
    """

    items: tuple[Item, ...]
    scope: Scope
    library: Mapping[str, Generation]
    source: Generation
    target: Generation
    through: frozenset[str]
    values: Mapping[int, str] = field(default_factory=dict)
    qualify: str = ""
    whole: frozenset[int] = frozenset()

    def edits(self) -> list[Edit]:
        """Every edit, in order; none where nothing needs to change."""
        return sorted(
            (*self._marker(), *self._includes(), *self._namespace(), *self._facts(), *self._constants(), *self._slots())
        )

    @property
    def newline(self) -> str:
        return self.scope.source.newline

    def _edit(self, start: int, end: int, text: str) -> Edit:
        return Edit(start, end, text.encode(self.scope.source.encoding, "replace"))

    def _line(self, start: int, end: int) -> tuple[int, int]:
        """The range of the whole lines that hold a span."""
        data = self.scope.source.data
        first = data.rfind(b"\n", 0, start) + 1
        last = data.find(b"\n", end)
        return first, len(data) if last < 0 else last + 1

    def _marker(self) -> Iterator[Edit]:
        names = {g.marker[0] for g in self.library.values() if g.marker}
        found = [i for i in self.items if isinstance(i, Define) and i.name in names and i.value is not None]
        marker = self.target.marker
        for item in found:
            assert item.value is not None
            if marker is None or marker[0] != item.name:
                yield self._edit(*self._line(item.span.start, item.span.end), "")
            elif self.scope.text(item.value) != str(marker[1]):
                yield self._edit(item.value.start, item.value.end, str(marker[1]))
        include = self._main_include()
        if marker is not None and not any(i.name == marker[0] for i in found) and include is not None:
            start = self._line(include.span.start, include.span.end)[0]
            yield self._edit(start, start, f"#define {marker[0]} {marker[1]}{self.newline}")

    def _main_include(self) -> Include | None:
        headers = {g.header for g in self.library.values()}
        return next((i for i in self.items if isinstance(i, Include) and path_of(i) in headers), None)

    def _includes(self) -> Iterator[Edit]:
        """The main header becomes the target's; compat headers come and go as they are needed."""
        headers = {g.header for g in self.library.values()}
        compat = {t.through for g in self.library.values() for t in g.takes if t.through}
        main = self._main_include()
        for item in self.items:
            if not isinstance(item, Include):
                continue
            path = path_of(item)
            if item is main:
                added = "".join(f"{self.newline}#include {t}" for t in sorted(self.through - self._included()))
                if path != self.target.header:
                    yield self._edit(item.path_span.start - 1, item.path_span.end + 1, self.target.header + added)
                elif added:
                    yield self._edit(item.path_span.end + 1, item.path_span.end + 1, added)
            elif path in headers or (path in compat and path not in self.through):
                yield self._edit(*self._line(item.span.start, item.span.end), "")

    def _included(self) -> frozenset[str]:
        return frozenset(path_of(i) for i in self.items if isinstance(i, Include))

    def _namespace(self) -> Iterator[Edit]:
        used = [i for i in self.items if isinstance(i, UsingNamespace)]
        spaces = {g.namespace for g in self.library.values() if g.namespace}
        target = self.target.namespace
        for item in used:
            if item.name in spaces and item.name != target:
                yield self._edit(*self._line(item.span.start, item.span.end), "")
        if self.qualify or not target or self.source.namespace == target or any(i.name == target for i in used):
            return
        includes = [i for i in self.items if isinstance(i, Include)]
        if includes:
            end = self._line(includes[-1].span.start, includes[-1].span.end)[1]
            yield self._edit(end, end, f"using namespace {target};{self.newline}")

    def _facts(self) -> Iterator[Edit]:
        """The blade's facts under the target's names, where these are other ones."""
        named = {i.name: i for i in self.items if isinstance(i, (Constant, Define))}
        for old, new in ((self.source.pixels, self.target.pixels), (self.source.pitch, self.target.pitch)):
            if old in named and new and new not in named:
                end = self._line(named[old].span.start, named[old].span.end)[1]
                yield self._edit(end, end, f"{self.target.facts} int {new} = {old};{self.newline}")

    def _constants(self) -> Iterator[Edit]:
        """New values; and a generation without constexpr takes plain const, one with decimals double."""
        end = 0
        for item in self.items:
            if not isinstance(item, (Constant, Define)) or item.value is None:
                continue
            text = self.values.get(item.value.start)
            if text is not None:
                yield self._edit(item.value.start, item.value.end, text)
            if isinstance(item, Constant) and item.span.start >= end:
                end = item.span.end
                yield from self._kind(item)

    def _kind(self, item: Constant) -> Iterator[Edit]:
        """The kind that a declaration gives its constants: one for all of them."""
        head = self.scope.text_of(Span(item.span.start, item.name_span.start))
        every = [i for i in self.items if isinstance(i, Constant) and item.span.start <= i.span.start < item.span.end]
        starts = [i.value.start for i in every]
        texts = [self.values.get(i.value.start, self.scope.text(i.value)) for i in every]
        broken = any("." in text for text in texts)
        new = head
        if self.target.facts != "constexpr":
            new = re.sub(r"\b(?:static\s+|inline\s+)?constexpr\s+(?:const\s+)?", "const ", new, count=1)
            new = re.sub(r"\bauto\b", "double" if broken else "int", new, count=1)
            new = f"const int {new[6:]}" if new.startswith("const ") and not new[6:].strip() else new
        if not broken and self.whole.intersection(starts):
            new = re.sub(r"\b(?:long\s+)?(?:double|float)\b", "int", new, count=1)
        if any("." in self.values.get(start, "") for start in starts):
            new = re.sub(r"\b(?:unsigned\s+)?(?:int|long|short)\b|\bunsigned\b|\bauto\b", "double", new, count=1)
            if "constexpr" not in new:
                new = re.sub(r"\bconst\b", "constexpr", new, count=1)
        if new != head:
            yield self._edit(item.span.start, item.name_span.start, new)

    def _slots(self) -> Iterator[Edit]:
        same = (self.source.table, self.source.entry) == (self.target.table, self.target.entry)
        gone = f"{self.source.namespace}::" if self.source.namespace not in ("", self.target.namespace) else ""
        words = slot_words(self.library) | {i.name for i in self.items if isinstance(i, Define)}
        for item in self.items:
            if not isinstance(item, Slots) or not any(slot_word(s, self.scope) in words for s in item.slots):
                continue
            if not same or (gone and gone in self._frame(item)):
                yield from self._table(item)

    def _frame(self, item: Slots) -> str:
        """A table's text without what stands in its slots."""
        inner = [item.span.start, *(n for s in item.slots for n in (s.style.start, s.style.end)), item.span.end]
        return " ".join(self.scope.text_of(Span(a, b)) for a, b in zip(inner[::2], inner[1::2], strict=True))

    def _table_name(self, item: Slots) -> str:
        """The table's name, unless the target's own word for tables would hide behind it."""
        return "table" if re.search(rf"\b{re.escape(item.name)}<", self.target.table) else item.name

    def _outside(self, item: Slots) -> tuple[str, str]:
        """What the target writes before the first slot of a table and behind the last."""
        pattern = self._qualified(self.target.table).replace("{name}", self._table_name(item))
        before, _, behind = pattern.partition("{entries}")
        return before.strip(), behind.strip()

    def _around(self, slot: Slot) -> tuple[str, str]:
        """What the target writes before the style of a slot and behind it."""
        style = self.scope.text(slot.style)
        words = [self.scope.text(a).strip() for a in slot.arguments]
        sounds = words[0] if words else f'"{style}"'
        # A style without a name of its own is told by its sounds.
        label = words[1] if len(words) > 1 else f'"{style}"' if slot.style.kind == "name" else sounds
        entry = self._qualified(self.target.entry).replace('"{sounds}"', sounds).replace('"{label}"', label)
        before, _, behind = entry.partition("{style}")
        return before, behind

    def _table(self, item: Slots) -> Iterator[Edit]:
        """A table piece by piece: lines, comments and what stands as the style of a slot stay where they are.

        A table on one line, without comments, goes over several: an entry a line.
        """
        first, last = self._outside(item)
        start, end = item.span.start, item.span.end
        opening = self._code(start, end).index(b"<" if item.form == "template" else b"{") + start + 1
        spread = self.newline if _plain_line(self.scope.text_of(item.span)) else ""
        yield from self._instead(start, opening, first)
        for slot in item.slots:
            before, behind = self._around(slot)
            if spread:
                yield from self._instead(self._blanks(slot.span.start), slot.span.start, f"{spread}  ")
            yield from self._instead(slot.span.start, slot.style.start, before)
            yield from self._instead(slot.style.end, slot.span.end, behind)
        tail = item.slots[-1].span.end
        code = self._code(tail, end)
        closing = tail + max(code.rfind(b">"), code.rfind(b"}"))
        if closing < tail:  # it is missing, and told so
            return
        between = code[: closing - tail].rstrip()
        comma, braces = between.endswith(b","), last.startswith("}")
        if comma and not braces:
            yield self._edit(tail + len(between) - 1, tail + len(between), "")
        added = "," if braces and not comma else ""
        if spread:
            yield self._edit(tail + len(between), closing, added + spread)
        elif added and b"\n" in code[: closing - tail]:
            yield self._edit(tail, tail, added)
        yield from self._instead(closing, end, last)

    def _blanks(self, end: int) -> int:
        """Where the blanks before an offset begin."""
        return len(self.scope.source.data[:end].rstrip(b" \t"))

    def _code(self, start: int, end: int) -> bytes:
        """A range of the text in which comments are blank."""
        return _COMMENT.sub(lambda m: b" " * len(m.group()), self.scope.source.data[start:end])

    def _instead(self, start: int, end: int, text: str) -> Iterator[Edit]:
        """An edit that keeps the comments of what it replaces, behind the new text."""
        old = _QUOTED.sub(b"", self.scope.source.data[start:end])
        comments = [c.decode(self.scope.source.encoding, "replace") for c in _COMMENT.findall(old)]
        text = " ".join((text, *(f"/*{c[2:].rstrip()} */" if c.startswith("//") else c for c in comments)))
        if text != self.scope.text_of(Span(start, end)):
            yield self._edit(start, end, text)

    def _qualified(self, pattern: str) -> str:
        """A table's pattern with the namespace before each template."""
        return re.sub(r"\b(\w+)(?=<)", self.qualify + r"\1", pattern)


def definition_edit(item: Alias, target: Generation, text: str, scope: Scope) -> Edit:
    """The edit that gives an alias its new value, in the form that the target declares aliases in."""
    encoding = scope.source.encoding
    if item.form == "using" and target.declares == "typedef":
        return Edit(item.span.start, item.span.end, declared_alias(target, text, item.name).encode(encoding, "replace"))
    return Edit(item.value.start, item.value.end, text.encode(encoding, "replace"))


def declared_alias(target: Generation, text: str, name: str) -> str:
    """A declaration of a name for a type, in the form that the target declares aliases in."""
    return f"typedef {text} {name};" if target.declares == "typedef" else f"using {name} = {text};"


def slot_names(items: Iterable[Item], scope: Scope, target: Generation) -> dict[int, str]:
    """The names of the declarations that styles written out in slots become, by where the styles begin.

    None where the target's slots hold styles as they are. In a macro's use, a comma parts its arguments, so there a
    style needs a name: its sounds', with a number where anything at all goes by that name.
    """
    if not re.search(r"\(\s*{style}", target.entry):
        return {}
    every = tuple(items)
    code = _COMMENT.sub(b" ", _QUOTED.sub(b'""', scope.source.data)).decode(scope.source.encoding, "replace")
    taken = {*_WORD.findall(code), *_KEYWORDS, *target.tags}
    taken |= {name.partition("::")[0] for name in target.constructs}
    out: dict[int, str] = {}
    for slot in slot_styles(every, scope):
        word = re.sub(r"\W+", "_", slot.name.rpartition(" (slot")[0], flags=re.A).strip("_") or "style"
        word = re.sub(r"__+", "_", word if word[0].isalpha() else f"style_{word}")
        names = chain((word, f"{word}_style"), (f"{word}_style{number}" for number in count(2)))
        name = next(n for n in names if n not in taken)
        taken.add(name)
        out[slot.span.start] = name
    return out


def macro_lines(text: str, newline: str) -> str:
    """A text of several lines as a macro's body holds it."""
    lines = [line.rstrip().removesuffix("\\").rstrip() for line in text.split(newline)]
    return f" \\{newline}".join(lines)


def dropped(scope: Scope, span: Span) -> Edit:
    """A definition turned into a comment, line by line; what stands behind it on its last line stays a comment."""
    data = scope.source.data
    end = data.find(b"\n", span.end)
    end = len(data) if end < 0 else end
    rest = data[span.end : end].strip()
    newline = scope.source.newline.encode()
    lines = [line.rstrip().removesuffix(b"\\").rstrip() for line in data[span.start : span.end].split(b"\n")]
    text = newline.join(b"// " + line for line in lines)
    if rest and not rest.startswith((b"//", b"/*")):
        text += newline
    return Edit(span.start, span.end, text)
