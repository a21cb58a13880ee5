"""A move of some styles alone: what they hang on moves with them, and every other byte of the file stays."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from migrate.concrete.edits import Edit, apply_edits
from migrate.concrete.items import Alias, Constant, Define, Item, StyleMacro
from migrate.diagnostics import Diagnostic, explain
from migrate.host import SlotStyle
from migrate.pipeline import Moved, Options, move
from migrate.reading import Reading, counterpart, names_in, read, told_names, unread_styles
from migrate.source import SourceFile, Span

Named = (Alias, Constant, Define, StyleMacro)


class PickError(Exception):
    """Why some styles cannot be moved alone, in words for the user."""


@dataclass(frozen=True)
class Picked:
    """`moved` speaks of the styles that were asked for, and its text is the file's with only these rewritten.

    Where the file is of one generation it cannot hold them moved: then its text is as it was, and `alone` is what they
    are in the target, with what they hang on. `rest` are the styles that keep the file as it is.
    """

    moved: Moved
    alone: str = ""
    rest: tuple[str, ...] = ()


def pick(source: SourceFile, options: Options, names: Sequence[str]) -> Picked:
    """Moves the styles of these names, and nothing else. Raises PickError."""
    before = read(source, replace(options, fragments=True))
    if isinstance(before, Diagnostic):
        raise PickError(f"{explain(source, before)}\n--style needs a text that is read as one; say --read-as")
    known = [*told_names(before), *(item.name for item, _ in unread_styles(before))]
    for name in names:
        if name not in known:
            raise PickError(f"no style `{name}` in {source.name}; it has: {', '.join(sorted(known)) or 'none'}")
    moved = move(source, options)
    rest = tuple(s.name for s in moved.styles if s.name not in names)
    told = tuple(s for s in moved.styles if s.name in names)
    refused = next((s for s in told if s.grade == "refused"), None)
    if not rest or refused is not None:
        whole = moved if not rest else replace(moved, text=source.data, edits=(), styles=told)
        return Picked(whole)
    hanging = _Hanging(before, names)
    spans = [item.span for item in hanging.within]
    said = tuple(d for d in moved.diagnostics if any(s.start <= d.span.start <= s.end for s in spans))
    if before.host.declared not in (None, options.target):
        kept = replace(moved, text=source.data, edits=(), styles=told, diagnostics=said)
        return Picked(kept, _alone(moved, before, hanging, options), rest)
    edits = tuple(hanging.kept(moved.edits))
    text = apply_edits(source.data, edits)
    return Picked(replace(moved, text=text, edits=edits, styles=told, diagnostics=said), "", rest)


class _Hanging:
    """What the picked styles hang on: every definition of the file that they use, however far down."""

    def __init__(self, before: Reading, names: Sequence[str]) -> None:
        self.before, self.source = before, before.parsed.source
        every: list[Item] = [i for i in before.items if before.own(i.span.start)]
        unread = {item.name: item for item, _ in before.unread}
        picked: list[Item] = [before.lifted[n].item if n in before.lifted else unread[n] for n in names]
        by_name: dict[str, list[Item]] = {}
        for item in every:
            if isinstance(item, Named):
                by_name.setdefault(item.name, []).append(item)
        found: dict[Span, Item] = {}
        open_items = list(picked)
        while open_items:
            item = open_items.pop()
            if item.span not in found:
                found[item.span] = item
                open_items += (i for n in set(self._names(item)) for i in by_name.get(n, ()))
        self.within = sorted(found.values(), key=lambda i: i.span.start)
        self.outside = [i for i in every if i.span not in found]
        self.picked = {i.span for i in picked}

    def _names(self, item: Item) -> Iterator[str]:
        yield from names_in(item, self.before.scope)
        if isinstance(item, StyleMacro) and item.macro:
            yield item.macro

    def kept(self, edits: Sequence[Edit]) -> Iterator[Edit]:
        """The edits of what moves. Raises PickError where something that stays needs what one of them changes."""
        for item in self.within:
            block = self._block(item)
            own = [e for e in edits if block.start <= e.start and e.end <= block.end]
            if own and item.span not in self.picked:
                self._alone_uses(item)
            yield from own

    def _alone_uses(self, item: Item) -> None:
        assert isinstance(item, Named)
        for other in self.outside:
            if isinstance(other, Named) and item.name in set(self._names(other)):
                raise PickError(
                    f"`{item.name}` would change, and `{other.name}` uses it too; "
                    f"give --style {other.name} as well, or a copy of `{item.name}` to each"
                )

    def _block(self, item: Item) -> Span:
        """The lines that hold an item; a slot's style has its own text alone."""
        if isinstance(item, SlotStyle):
            return item.span
        data = self.source.data
        start, end = data.rfind(b"\n", 0, item.span.start) + 1, data.find(b"\n", item.span.end)
        block = Span(start, len(data) if end < 0 else end)
        for other in self.outside:
            if other.span.start < block.end and block.start < other.span.end and other.span.end > other.span.start:
                raise PickError(f"`{getattr(item, 'name', '')}` shares a line with what is to stay; give it its own")
        return block


def _alone(moved: Moved, before: Reading, hanging: _Hanging, options: Options) -> str:
    """The declarations of the moved text that stand for what the picked styles are and hang on, in its order."""
    source = SourceFile(moved.source.name, moved.text)
    after = read(source, replace(options, reading=moved.target, blade=before.blade))
    if isinstance(after, Diagnostic):
        raise PickError(explain(source, after))
    names = [item.name for item in hanging.within if isinstance(item, Named)]
    found: dict[int, str] = {}
    for name in names:
        one = counterpart(name, before, after)
        if one is not None:
            found[one.item.span.start] = source.text(one.item.span)
    for item in after.items:
        if isinstance(item, (Constant, Define, Alias)) and item.name in names and after.own(item.span.start):
            found.setdefault(item.span.start, source.text(item.span))
    return source.newline.join(text.rstrip("\r\n") for _, text in sorted(found.items())) + source.newline
