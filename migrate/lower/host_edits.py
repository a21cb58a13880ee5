"""Edits to what stands round the styles of a config: marker, includes, namespace, constants, slot table."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from migrate.concrete.edits import Edit
from migrate.concrete.items import Alias, Constant, Define, Include, Item, Slots, UsingNamespace
from migrate.host import path_of
from migrate.packs.model import Generation
from migrate.scope import Scope
from migrate.source import Span


@dataclass(frozen=True)
class HostMove:
    """A config's items, the generation they leave and the one they come to; `through` are the compat headers needed.

    `values` are the new texts of constants by the offset where their value starts; `qualify` stands before the
    target's names, or is empty.
    """

    items: tuple[Item, ...]
    scope: Scope
    library: Mapping[str, Generation]
    source: Generation
    target: Generation
    through: frozenset[str]
    values: Mapping[int, str] = field(default_factory=dict)
    qualify: str = ""

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
        for item in self.items:
            if not isinstance(item, (Constant, Define)) or item.value is None:
                continue
            text = self.values.get(item.value.start)
            if text is not None:
                yield self._edit(item.value.start, item.value.end, text)
            if isinstance(item, Constant):
                yield from self._kind(item, text or "")

    def _kind(self, item: Constant, value: str) -> Iterator[Edit]:
        head = self.scope.text_of(Span(item.span.start, item.name_span.start))
        new = head
        if self.target.facts != "constexpr":
            new = re.sub(r"\b(?:static\s+|inline\s+)?constexpr\s+(?:const\s+)?(?:auto\b)?", "const ", new, count=1)
            new = re.sub(r"^const (?!int|long|unsigned|short)", "const int ", new)
        if "." in value:
            new = re.sub(r"\b(?:unsigned\s+)?(?:int|long|short)\b|\bunsigned\b|\bauto\b", "double", new, count=1)
            if "constexpr" not in new:
                new = re.sub(r"\bconst\b", "constexpr", new, count=1)
        if new != head:
            yield self._edit(item.span.start, item.name_span.start, new)

    def _slots(self) -> Iterator[Edit]:
        same = (self.source.table, self.source.entry) == (self.target.table, self.target.entry)
        gone = f"{self.source.namespace}::" if self.source.namespace not in ("", self.target.namespace) else ""
        for item in self.items:
            if isinstance(item, Slots) and (not same or (gone and gone in self.scope.text_of(item.span))):
                yield self._edit(item.span.start, item.span.end, self._table(item))

    def _table_name(self, item: Slots) -> str:
        """The table's name, unless the target's own word for tables would hide behind it."""
        return "table" if re.search(rf"\b{re.escape(item.name)}<", self.target.table) else item.name

    def _table(self, item: Slots) -> str:
        entries = []
        for slot in item.slots:
            style = self.scope.text(slot.style)
            words = [self.scope.text(a).strip().strip('"') for a in slot.arguments]
            sounds = words[0] if words else style
            label = words[1] if len(words) > 1 else style
            entry = self._qualified(self.target.entry).replace("{style}", style).replace("{sounds}", sounds)
            entries.append("  " + entry.replace("{label}", label))
        body = self.newline + f",{self.newline}".join(entries)
        closing = "," if "{ {entries} }" in self.target.table else ""
        table = self._qualified(self.target.table).replace("{name}", self._table_name(item))
        return table.replace(" {entries} ", f"{body}{closing}{self.newline}")

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
