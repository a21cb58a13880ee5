"""The generations that are at hand: every folder of grammars/ that holds *.pack files, and the user's own."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import MappingProxyType

from migrate.ir.facts import Arithmetic
from migrate.packs.model import Construct, Generation, Loosening, PackError, Parameter, Takes, Unit
from migrate.packs.reader import Draft, read_file
from migrate.resources import grammar_path

NEEDED = ("standard", "header", "clock", "mixing")
_STATED = re.compile(r"^generation\s+(\w+)", re.MULTILINE)


def pack_folders(extra: tuple[Path, ...] = ()) -> tuple[Path, ...]:
    """The folders that hold packs: the built-in ones, then the user's."""
    built_in = sorted(p.parent for p in grammar_path().glob("*/generation.pack"))
    return (*built_in, *(home for folder in extra for home in homes(folder)))


def homes(folder: Path) -> tuple[Path, ...]:
    """The folders of packs that a folder stands for: itself where it holds *.pack files, else those in it that do."""
    if any(folder.glob("*.pack")):
        return (folder,)
    return tuple(sorted({p.parent for p in folder.glob("*/*.pack")})) or (folder,)


@cache
def pack_folder(name: str, extra: tuple[Path, ...] = ()) -> Path:
    """The folder that states a generation; its C++ headers, where it has any, lie in include/ there.

    Raises KeyError where no folder states it.
    """
    for folder in pack_folders(extra):
        for path in sorted(folder.glob("*.pack")):
            found = _STATED.search(path.read_text("utf-8"))
            if found is not None and found[1] == name:
                return folder
    raise KeyError(name)


@cache
def library(extra: tuple[Path, ...] = ()) -> Mapping[str, Generation]:
    """Every generation by name, oldest first; raises PackError."""
    drafts = drafts_of(pack_folders(extra))
    return MappingProxyType({name: replace(finish(name, drafts), packs=extra) for name in _by_age(drafts)})


def drafts_of(folders: tuple[Path, ...]) -> dict[str, Draft]:
    """What each of these folders says, by the name of its generation; raises PackError."""
    drafts: dict[str, Draft] = {}
    for folder in folders:
        draft = Draft()
        for path in sorted(folder.glob("*.pack")):
            read_file(draft, path)
        if "name" not in draft.header:
            raise PackError(str(folder), 1, 1, "no `generation` statement in this folder", "pack-no-generation")
        missing = [key for key in NEEDED if key not in draft.header]
        if missing:
            raise PackError(str(folder), 1, 1, f"the generation lacks `{missing[0]}`", "pack-missing-setting")
        drafts[draft.header["name"]] = draft
    return drafts


@cache
def shared_loosenings() -> tuple[Loosening, ...]:
    """What may stand for what in any generation, at a loss (grammars/nearest.pack)."""
    draft = Draft()
    read_file(draft, grammar_path("nearest.pack"))
    return tuple(draft.loosenings)


def _by_age(drafts: Mapping[str, Draft]) -> list[str]:
    """Names so that each comes after the one it follows; families in the order of their names."""
    out: list[str] = []
    waiting = sorted(drafts)
    while waiting:
        ready = [n for n in waiting if drafts[n].header.get("follows", "") in ("", *out)]
        if not ready:
            message = f"`{waiting[0]}` follows an unknown generation"
            raise PackError(waiting[0], 1, 1, message, "pack-unknown-generation")
        out.append(ready[0])
        waiting.remove(ready[0])
    return out


def finish(name: str, drafts: Mapping[str, Draft]) -> Generation:
    """A generation from its draft and those that it takes from; raises PackError."""
    draft = drafts[name]
    own = [_identified(replace(c, origin=name), name, drafts) for c in draft.constructs]
    taken = [c for takes in draft.takes for c in _take(takes, drafts)]
    constructs: dict[str, list[Construct]] = {}
    for construct in (*own, *taken):
        constructs.setdefault(construct.name, []).append(construct)
    header = {key: value.strip() for key, value in draft.header.items()}
    older = {takes.generation: _units(drafts[takes.generation]) for takes in draft.takes}
    units = {u.name: u for taken_units in older.values() for u in taken_units}
    units.update({f"{before}.{u.name}": u for before, taken_units in older.items() for u in taken_units})
    units.update({u.name: u for u in _units(draft)})
    unions: dict[str, tuple[str, ...]] = {}
    for takes in draft.takes:
        unions.update(drafts[takes.generation].unions)
    unions.update(draft.unions)
    tags = frozenset(tag for group in constructs.values() for c in group for p in c.parameters for tag in p.tag)
    return Generation(
        name,
        header["title"],
        header.get("follows", ""),
        header["standard"],
        header["header"],
        header.get("namespace", ""),
        Arithmetic(header["clock"], header["mixing"]),  # type: ignore[arg-type]
        int(header.get("decimals", "0")),
        header.get("declares", "using"),
        header.get("facts", "constexpr"),
        _marker(header.get("marker", "")),
        header.get("pixels", ""),
        header.get("pitch", ""),
        header.get("table", ""),
        header.get("entry", ""),
        MappingProxyType(units),
        MappingProxyType(unions),
        MappingProxyType({k: tuple(v) for k, v in constructs.items()}),
        tuple(draft.takes),
        (*draft.loosenings, *shared_loosenings()),
        tags,
        header.get("first_pixel", "hilt"),
    )


def _units(draft: Draft) -> tuple[Unit, ...]:
    """Its units: without decimals, all take whole numbers, also where a generation that has them takes them over."""
    none = int(draft.header.get("decimals", "0")) == 0
    return tuple(replace(u, whole=u.whole or none) for u in draft.units)


def _identified(construct: Construct, name: str, drafts: Mapping[str, Draft]) -> Construct:
    """A construct without a meaning, with what it was called in the oldest generation that has it."""
    if construct.equations:
        return construct
    names = tuple(p.name for p in construct.parameters)
    before = drafts[name].header.get("follows", "").strip()
    older = drafts[before].constructs if before in drafts else []
    wanted = construct.renames or construct.name
    for found in (c for c in older if c.name == wanted and not c.equations and len(c.parameters) == len(names)):
        known = _identified(found, before, drafts)
        theirs = [p.name for p in found.parameters]
        slots = dict(zip(names if set(names) == set(theirs) else theirs, names, strict=True))
        ours = {mine: slot for slot, mine in slots.items()}
        place = dict(zip(theirs, known.slots, strict=True))
        return replace(construct, identity=known.identity, slots=tuple(place[ours[n]] for n in names))
    return replace(construct, identity=f"{name}:{construct.name}", slots=names)


def _marker(text: str) -> tuple[str, int] | None:
    name, _, value = text.partition(" ")
    return (name, int(value)) if name else None


def _take(takes: Takes, drafts: Mapping[str, Draft]) -> list[Construct]:
    """The constructs that come from an older generation, under their prefix, with their changed defaults."""
    if takes.generation not in drafts:
        message = f"takes from `{takes.generation}`, which is no generation at hand"
        raise PackError(*takes.place, 1, message, "pack-unknown-generation")
    older = drafts[takes.generation]
    units = {u.name for u in older.units}
    out = []
    for name, changes in takes.entries:
        found = [c for c in older.constructs if c.name == name]
        if not found:
            message = f"`{takes.generation}` has no construct `{name}`"
            raise PackError(*takes.place, 1, message, "pack-unknown-construct")
        for construct in found:
            parameters = tuple(_taken(p, takes, dict(changes), units) for p in construct.parameters)
            sort = takes.sort_of(construct.sort)
            out.append(
                replace(
                    construct, name=takes.prefix + name, sort=sort, parameters=parameters,
                    origin=takes.generation, through=takes.through, compat=bool(takes.through),
                )
            )  # fmt: skip
    return out


def _taken(parameter: Parameter, takes: Takes, changes: Mapping[str, object], units: set[str]) -> Parameter:
    sorts = tuple(f"{takes.generation}.{s}" if s in units else takes.sort_of(s) for s in parameter.sorts)
    default = changes.get(parameter.name, parameter.default)
    return replace(parameter, sorts=sorts, default=default)  # type: ignore[arg-type]
