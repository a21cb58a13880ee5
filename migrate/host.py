"""What a config says besides its styles: the generation it declares, the blade, the slots; all names from packs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from migrate.concrete.items import Alias, Constant, Define, Include, Item, Slots, StyleMacro, UsingNamespace
from migrate.ir.facts import Blade
from migrate.packs.model import Generation
from migrate.scope import NotANumber, Scope, number


@dataclass(frozen=True)
class Host:
    """A config's own facts. `declared` is the generation that its marker or its header names, or None."""

    declared: str | None
    by_header: str | None
    blade: Blade
    includes: frozenset[str]
    namespaces: frozenset[str]
    in_slots: tuple[str, ...]


def host_of(items: tuple[Item, ...], scope: Scope, generations: Mapping[str, Generation]) -> Host:
    """Reads the facts of a file. The header counts before the marker: it is what the text compiles with."""
    numbers: dict[str, int] = {}
    for item in items:
        if isinstance(item, (Constant, Define)) and item.value is not None:
            try:
                value = number(scope, item.value)
            except NotANumber:
                continue
            if isinstance(value, int):
                numbers[item.name] = value
    includes = frozenset(path_of(item) for item in items if isinstance(item, Include))
    by_marker = next(
        (g.name for g in generations.values() if g.marker and numbers.get(g.marker[0]) == g.marker[1]), None
    )
    by_header = next((g.name for g in generations.values() if g.header in includes), None)
    pixels = next((numbers[g.pixels] for g in generations.values() if g.pixels in numbers), None)
    pitch = next((numbers[g.pitch] for g in generations.values() if g.pitch in numbers), None)
    return Host(
        by_header or by_marker,
        by_header,
        Blade(pixels, pitch),
        includes,
        frozenset(item.name for item in items if isinstance(item, UsingNamespace)),
        tuple(scope.text(slot.style) for item in items if isinstance(item, Slots) for slot in item.slots),
    )


def path_of(item: Include) -> str:
    """An include's path in angle brackets, as packs write it, whichever way the file writes it."""
    return f"<{item.path}>"


def named_values(items: tuple[Item, ...]) -> list[Alias | Define | StyleMacro]:
    """The definitions that may hold style expressions, in order."""
    return [i for i in items if isinstance(i, (Alias, Define, StyleMacro)) and i.value is not None]
