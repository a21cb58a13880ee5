"""Local includes: a file's definitions as they stand where another file includes it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from migrate.concrete.items import Include, Item
from migrate.concrete.parse import parse
from migrate.diagnostics import Diagnostic
from migrate.source import SourceFile, Span

_DEEPEST = 20
_LARGEST = 4_000_000
_NONE: Mapping[Path, bytes] = MappingProxyType({})


@dataclass(frozen=True)
class Part:
    """An included file: where its text starts in the joined source, and the include that brought it in."""

    path: Path
    start: int
    end: int
    include: Span


@dataclass(frozen=True)
class Joined:
    """A file with its local includes.

    `source` holds the file's own bytes and behind them, from `own` on, those of the included files; the items of
    an included file stand in `items` where its include does, with spans in the joined source. `together` are the
    files that are moved along.
    """

    source: SourceFile
    own: int
    items: tuple[Item, ...]
    parts: tuple[Part, ...] = ()
    diagnostics: tuple[Diagnostic, ...] = ()
    together: frozenset[Path] = frozenset()

    def part_at(self, offset: int) -> Part | None:
        """The included file that holds an offset, or None for the file itself."""
        return next((p for p in self.parts if p.start <= offset < p.end), None)

    def at_home(self, diagnostic: Diagnostic) -> Diagnostic:
        """The diagnostic with a span of the file itself: what lies in an included file is told at its include."""
        part = self.part_at(diagnostic.span.start)
        if part is None:
            return diagnostic
        inner = SourceFile(part.path.name, self.source.data[part.start : part.end])
        line, column = inner.place(diagnostic.span.start - part.start)
        message = f"in {part.path.name}:{line}:{column}: {diagnostic.message}"
        return Diagnostic(diagnostic.code, diagnostic.severity, part.include, message, diagnostic.hint)


@dataclass
class _Joiner:
    """Collects the included texts behind one another."""

    source: SourceFile
    known: frozenset[str]
    texts: Mapping[Path, bytes]
    data: bytearray = field(default_factory=bytearray)
    parts: list[Part] = field(default_factory=list)
    diagnostics: list[Diagnostic] = field(default_factory=list)
    seen: set[Path] = field(default_factory=set)

    def walk(self, items: Sequence[Item], folder: Path | None, place: Span | None, depth: int) -> Iterator[Item]:
        for item in items:
            yield item
            if isinstance(item, Include) and not item.angled and item.path not in self.known:
                yield from self._included(item, folder, place or item.span, depth)

    def _included(self, item: Include, folder: Path | None, place: Span, depth: int) -> Iterator[Item]:
        path = None if folder is None else folder / item.path
        data = None if path is None else self._read(path)
        if path is None or data is None or depth > _DEEPEST:
            message = f"`{item.path}` is not beside this file: names that it defines are unknown here"
            hint = "put the file there, or give the definitions in this file"
            self.diagnostics.append(Diagnostic("missing-include", "warning", place, message, hint))
            return
        resolved = path.resolve()
        if resolved in self.seen:
            return
        self.seen.add(resolved)
        text = SourceFile(str(path), data.removeprefix(b"\xef\xbb\xbf"))
        own = text.data.decode(text.encoding).encode(self.source.encoding, "replace")
        self.data += b"\n"
        start = len(self.data)
        self.data += own
        self.parts.append(Part(path, start, len(self.data), place))
        # Blanks before the text give every node its offset in the joined source.
        parsed = parse(SourceFile(str(path), b" " * start + own))
        yield from self.walk(parsed.items, path.parent, place, depth + 1)

    def _read(self, path: Path) -> bytes | None:
        try:
            if path.resolve() in self.texts:
                return self.texts[path.resolve()]
            return path.read_bytes() if path.stat().st_size <= _LARGEST else None
        except OSError:
            return None


def join(
    source: SourceFile, items: Sequence[Item], known: frozenset[str], together: frozenset[Path] = frozenset(),
    texts: Mapping[Path, bytes] = _NONE,
) -> Joined:  # fmt: skip
    """The file with what it includes from beside it; `known` are the paths of headers that nobody has to find.

    `together` are the files that are moved along; `texts` stand for what is on disk, by resolved path.
    """
    name = Path(source.name)
    folder = name.parent if name.exists() else None
    joiner = _Joiner(source, known, texts, bytearray(source.data))
    if folder is not None:
        joiner.seen.add(name.resolve())
    found = tuple(joiner.walk(items, folder, None, 0))
    whole = source if not joiner.parts else SourceFile(source.name, bytes(joiner.data))
    return Joined(whole, len(source.data), found, tuple(joiner.parts), tuple(joiner.diagnostics), together)


def included(source: SourceFile, known: frozenset[str]) -> frozenset[Path]:
    """The files that a file includes from beside it, and those that these include, by resolved path."""
    return frozenset(part.path.resolve() for part in join(source, parse(source).items, known).parts)
