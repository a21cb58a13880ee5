"""What a written pack of one release lends to the draft of the next: units, settings, and equations that still hold."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from migrate.packs.library import homes

if TYPE_CHECKING:
    from migrate.packs.learn.compare import Pair

_HEAD = re.compile(r"(\w+)\s+([\w:*]+)\s*(?:\((.*)\))?", re.DOTALL)
_PARAMETER = re.compile(r"\s*(\w+)(@[\w.]+)?\s*:\s*(.*?)\s*(\?)?\s*(?:=\s*(.*))?", re.DOTALL)
_KEPT = (
    "clock",
    "mixing",
    "decimals",
    "declares",
    "facts",
    "pixels",
    "pitch",
    "first_pixel",
    "table",
    "entry",
    "standard",
)


@dataclass(frozen=True)
class OldConstruct:
    """A construct of a written pack: its sort, what each parameter takes, and its lines."""

    sort: str
    parameters: Mapping[str, str]
    lines: tuple[str, ...]


@dataclass(frozen=True)
class OldPack:
    """A written pack, as text."""

    settings: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    units: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    constructs: Mapping[str, OldConstruct] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True)
class Lines:
    """What a draft's construct takes over: lines, and where its equations hold still, its sort and its parameters'."""

    lines: tuple[str, ...] = ()
    old: OldConstruct | None = None


def old_pack(folder: Path | None) -> OldPack:
    """A written pack by its statements; an empty one where there is none."""
    settings: dict[str, str] = {}
    units: dict[str, str] = {}
    constructs: dict[str, OldConstruct] = {}
    for path in (p for home in homes(folder) for p in sorted(home.glob("*.pack"))) if folder is not None else ():
        for head, lines in _statements(path.read_text("utf-8")):
            word = head.split()[0]
            if word == "generation":
                settings.update({x.split()[0]: x.strip() for x in lines})
            elif word in ("unit", "sort"):
                units[head.split()[1]] = head
            elif word not in ("takes", "loosen") and (found := _HEAD.fullmatch(head)) is not None:
                constructs[found[2]] = OldConstruct(found[1], _parameters(found[3] or ""), tuple(lines))
    kept = {key: line for key, line in settings.items() if key in _KEPT}
    return OldPack(kept, units, constructs)


def _statements(text: str) -> list[tuple[str, list[str]]]:
    """Each statement's head (with the lines that its brackets go on over) and the lines below it."""
    out: list[tuple[str, list[str]]] = []
    for line in text.split("\n"):
        if not line.strip() or line.strip().startswith("--"):
            continue
        if line[0] not in " \t":
            out.append((line, []))
        elif out and out[-1][0].count("(") > out[-1][0].count(")"):
            out[-1] = (f"{out[-1][0]} {line.strip()}", out[-1][1])
        elif out:
            out[-1][1].append(line)
    return out


def _parameters(text: str) -> dict[str, str]:
    found = (_PARAMETER.fullmatch(part) for part in text.split(","))
    return {p[1]: p[3] for p in found if p is not None}


def means_of(lines: tuple[str, ...]) -> tuple[str, ...]:
    """The `means` lines, with the lines that go on with them."""
    out: list[str] = []
    inside = False
    for line in lines:
        word = line.split()[0]
        inside = word == "means" or (inside and word not in ("example", "note", "differs", "renames"))
        out += [line] if inside else []
    return tuple(out)


def carried(pair: Pair, known: OldPack) -> Lines:
    """What a construct brings from the release before: its equations where nothing of it has changed."""
    old = known.constructs.get(pair.old.name)
    means = means_of(old.lines) if old is not None else ()
    if old is not None and means and pair.justified:
        return Lines(means, old)
    same = len(pair.old.parameters) == len(pair.new.parameters)
    lines = [f"  renames  {pair.old.name}"] if pair.renamed and same and not means else []
    if means:
        lines += [f"  -- by hand: {pair.why_not}; it was", *(f"  -- {line.strip()}" for line in means)]
    return Lines(tuple(lines), old if old is not None and same and not means else None)
