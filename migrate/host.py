"""What a config says besides its styles: the generation it declares, the blade, the slots; all names from packs."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from migrate.concrete.items import (
    Alias,
    Constant,
    Define,
    Include,
    Item,
    Slot,
    Slots,
    StyleMacro,
    UsingNamespace,
)
from migrate.ir.facts import Blade
from migrate.packs.model import Generation
from migrate.scope import NotANumber, Scope, number
from migrate.source import Span

_WRITTEN_OUT = ("application", "macro_call")


@dataclass(frozen=True)
class Host:
    """A config's own facts. `declared` is the generation that its header or its marker names, or None.

    `slots` is what stands as the style of each slot, by the slot's name.
    """

    declared: str | None
    blade: Blade
    includes: frozenset[str]
    namespaces: frozenset[str]
    in_slots: tuple[str, ...]
    slots: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class SlotStyle(StyleMacro):
    """A style written out in its slot: it goes by the slot's name, for nothing declares another. Its span is its own.

    `table` and `slot` are the spans of what it stands in, `word` what the slot begins with.
    """

    table: Span
    slot: Span
    word: str


def host_of(
    items: tuple[Item, ...], scope: Scope, generations: Mapping[str, Generation], own: int | None = None
) -> Host:
    """Reads the facts of a file; behind the offset `own` stand those of the files that it includes.

    The header counts before the marker: it is what the text compiles with. What included files say of themselves
    counts where the file itself says nothing.
    """
    mine = items if own is None else tuple(i for i in items if i.span.start < own)
    declared = declared_by(mine, scope, generations) or declared_by(items, scope, generations)
    numbers = _numbers(items, scope)
    includes = frozenset(path_of(item) for item in items if isinstance(item, Include))
    pixels = next((numbers[g.pixels] for g in generations.values() if g.pixels in numbers), None)
    pitch = next((numbers[g.pitch] for g in generations.values() if g.pitch in numbers), None)
    return Host(
        declared,
        Blade(pixels, pitch),
        includes,
        frozenset(item.name for item in items if isinstance(item, UsingNamespace)),
        tuple(scope.text(slot.style) for item in items if isinstance(item, Slots) for slot in item.slots),
        {name: scope.text(slot.style) for name, slot, _ in named_slots(items, scope)},
    )


def declared_by(items: Iterable[Item], scope: Scope, generations: Mapping[str, Generation]) -> str | None:
    """The generation whose header these items include, else that whose marker they set, else None."""
    names = {g.marker[0] for g in generations.values() if g.marker}
    found = [i for i in items if isinstance(i, Include) or (isinstance(i, (Constant, Define)) and i.name in names)]
    includes = {path_of(item) for item in found if isinstance(item, Include)}
    markers = _numbers(found, scope)
    by_header = next((g.name for g in generations.values() if g.header in includes), None)
    return by_header or next(
        (g.name for g in generations.values() if g.marker and markers.get(g.marker[0]) == g.marker[1]), None
    )


def _numbers(items: Iterable[Item], scope: Scope) -> dict[str, int]:
    """The whole numbers that constants and macros stand for, by name."""
    numbers: dict[str, int] = {}
    for item in items:
        if isinstance(item, (Constant, Define)) and item.value is not None:
            try:
                value = number(scope, item.value)
            except NotANumber:
                continue
            if isinstance(value, int):
                numbers[item.name] = value
    return numbers


def named_slots(items: Iterable[Item], scope: Scope) -> Iterator[tuple[str, Slot, Slots]]:
    """Every slot with its name: what its sounds, else its label say, and that it is a slot; the second of one name 2.

    Every form of a table has the sounds, so a move up or down leaves these names as they are.
    """
    seen: Counter[str] = Counter()
    for table in (item for item in items if isinstance(item, Slots)):
        for slot in table.slots:
            words = [said(scope.text(argument)) for argument in slot.arguments]
            word = next(filter(None, words), "unnamed")
            seen[word] += 1
            yield f"{word} (slot)" if seen[word] == 1 else f"{word} (slot {seen[word]})", slot, table


def slot_styles(items: Iterable[Item], scope: Scope) -> Iterator[SlotStyle]:
    """The styles that are written out in slots, in order."""
    for name, slot, table in named_slots(items, scope):
        if slot.style.kind in _WRITTEN_OUT:
            style = slot.style
            start, whole = Span(style.start, style.start), Span(style.start, style.end)
            yield SlotStyle("", name, start, style, whole, table.span, slot.span, slot_word(slot, scope))


def slot_word(slot: Slot, scope: Scope) -> str:
    """What a slot begins with, without namespaces."""
    head = scope.text_of(Span(slot.span.start, slot.style.start))
    found = re.search(r"(\w+)\s*[<(]", head)
    return found[1] if found else ""


def slot_words(generations: Mapping[str, Generation]) -> frozenset[str]:
    """What the slots of each generation begin with: other tables need not hold styles."""
    return frozenset(re.split(r"\W", g.entry)[0] for g in generations.values() if g.entry)


def said(literal: str) -> str:
    """What stands between the quotes of a plain string literal; any other as it is."""
    text = literal.strip()
    return text[1:-1] if len(text) > 1 and text[0] == text[-1] == '"' else text


def path_of(item: Include) -> str:
    """An include's path in angle brackets, as packs write it, whichever way the file writes it."""
    return f"<{item.path}>"


def named_values(items: tuple[Item, ...]) -> list[Alias | Define | StyleMacro]:
    """The definitions that may hold style expressions, in order."""
    return [i for i in items if isinstance(i, (Alias, Define, StyleMacro)) and i.value is not None]
