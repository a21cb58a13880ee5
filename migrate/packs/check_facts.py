"""Checks what a pack says beside its constructs: the generation's settings, units, sorts, what it takes, loosenings."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches

from migrate.ir.nodes import Rational
from migrate.packs.equations import variables
from migrate.packs.findings import Book, Finding
from migrate.packs.library import NEEDED
from migrate.packs.model import Construct, Takes, Unit
from migrate.packs.reader import Draft

CHOICES: Mapping[str, tuple[str, ...]] = {
    "clock": ("tick", "frame"),
    "mixing": ("eight_floor", "eight_round", "sixteen", "real"),
    "declares": ("typedef", "using"),
    "facts": ("const", "constexpr"),
    "first_pixel": ("hilt", "tip"),
    "standard": ("c++98", "c++03", "c++11", "c++14", "c++17", "c++20", "c++23"),
}
_SHAPES: Mapping[str, tuple[str, str]] = {
    "decimals": (r"[0-9]", "a number of decimals, 0 to 9"),
    "header": (r"<[^<>\s]+>|\"[^\"\s]+\"", "the header as an include writes it, such as `<blade.h>`"),
    "marker": (r"[A-Za-z_]\w* -?\d+", "a macro and its number, such as `BLADE_RELEASE 2`"),
    "namespace": (r"\w+(::\w+)*", "the name of a namespace"),
    "pixels": (r"[A-Za-z_]\w*", "the name of a constant"),
    "pitch": (r"[A-Za-z_]\w*", "the name of a constant"),
}
_HOLES = {"table": ("{name}", "{entries}"), "entry": ("{style}",)}
Statements = list[tuple[str, int, Draft]]


def near(word: str, known: object) -> str:
    """A hint that names what comes nearest to a wrong word, or nothing."""
    found = get_close_matches(word, [str(k) for k in known], 2)  # type: ignore[attr-defined]
    return f"did you mean {' or '.join(f'`{n}`' for n in found)}?" if found else ""


def check_header(book: Book, statements: Statements, known: Mapping[str, Draft]) -> Iterator[Finding]:
    """The `generation` statement: that there is one, and that each setting says something that is known."""
    stated = [(file, line, draft.header) for file, line, draft in statements if draft.header]
    if not stated and any(line.startswith("generation") for lines in book.lines.values() for line in lines):
        return  # it could not be read, which is told
    if not stated:
        first = sorted(book.lines)[0] if book.lines else ""
        yield Finding(
            book.path(first) if first else str(book.folder), 1, 1, "pack-no-generation",
            "no `generation` statement in this folder", 'begin with `generation NAME "title"` and its settings',
        )  # fmt: skip
        return
    for file, line, header in stated[1:]:
        message = f"a folder states one generation; `{stated[0][2]['name']}` is stated already"
        yield book.finding(
            "pack-doubled-generation", (file, line, 1), header["name"], message, "move it to a folder of its own"
        )
    file, line, header = stated[0]
    for key in NEEDED:
        if key not in header:
            choices = f"one of {', '.join(CHOICES[key])}" if key in CHOICES else _SHAPES[key][1]
            message = f"the generation does not say its `{key}`"
            yield book.finding("pack-missing-setting", (file, line, 1), "", message, f"add `{key}`: {choices}")
    yield from _values(book, file, line, header)
    yield from _doubled(book, file, line, header)
    follows = header.get("follows", "").strip()
    others = [name for name in known if name != header["name"]]
    if follows == header["name"]:
        yield book.finding("pack-follows-itself", (file, line + 1, 1), follows, f"`{follows}` cannot follow itself")
    elif follows and follows not in known:
        message = f"`{follows}` is no generation at hand"
        yield book.finding("pack-unknown-generation", (file, line + 1, 1), follows, message, near(follows, others))


def check_taken(book: Book, statements: Statements, others: Sequence[Mapping[str, str]]) -> Iterator[Finding]:
    """What tells this generation from the others at hand and is another's already: its name, and its marker."""
    stated = ((file, line, draft.header) for file, line, draft in statements if draft.header)
    for file, line, header in stated:
        if any(other.get("name") == header["name"] for other in others):
            message = f"another pack at hand states the generation `{header['name']}`"
            hint = "give this one a name of its own"
            yield book.finding("pack-taken", (file, line, 1), header["name"], message, hint)
            continue
        marker = header.get("marker", "").split()
        owner = next((o["name"] for o in others if marker and o.get("marker", "").split() == marker), None)
        if owner is not None:
            message = f"`{' '.join(marker)}` says that a file is of `{owner}` already"
            hint = "a marker names one generation: give it another macro, or another number"
            yield book.finding("pack-taken", (file, line, 1), "marker", message, hint)


def _values(book: Book, file: str, line: int, header: Mapping[str, str]) -> Iterator[Finding]:
    for key, value in header.items():
        value = value.strip()
        if key in CHOICES and value not in CHOICES[key]:
            message = f"`{key}` is `{value}`; it is one of {', '.join(CHOICES[key])}"
            yield book.finding("pack-setting-value", (file, line, 1), value, message, near(value, CHOICES[key]))
        elif key in _SHAPES and not re.fullmatch(_SHAPES[key][0], value):
            yield book.finding(
                "pack-setting-value", (file, line, 1), value, f"`{key}` is `{value}`; it is {_SHAPES[key][1]}"
            )
        for hole in _HOLES.get(key, ()):
            if hole not in value:
                message = f"`{key}` does not say where its `{hole}` stands"
                yield book.finding(
                    "pack-no-hole", (file, line, 1), key, message, f"put `{hole}` where the config has it"
                )


def _doubled(book: Book, file: str, line: int, header: Mapping[str, str]) -> Iterator[Finding]:
    seen: set[str] = set()
    for at in range(line + 1, book.end(file, line)):
        words = book.lines[file][at - 1].split()
        if words and words[0] in header and words[0] != "name" and words[0] in seen:
            message = f"`{words[0]}` is set already"
            yield book.finding("pack-doubled-setting", (file, at, 1), words[0], message, "leave one out")
        seen.update(words[:1])


# ---- units and sorts ------------------------------------------------------------------------------


def check_units(book: Book, statements: Statements) -> Iterator[Finding]:
    """Units and sorts by name: nothing twice, ranges that hold a number, no sort made of itself."""
    units: dict[str, Unit] = {}
    sorts: dict[str, tuple[str, ...]] = {}
    for file, line, draft in statements:
        for unit in draft.units:
            place = (file, line, len("unit ") + 1)
            if unit.name in units or unit.name in sorts:
                message = f"`{unit.name}` is {'a unit' if unit.name in units else 'a sort'} already"
                yield book.finding("pack-doubled-name", place, unit.name, message, "give one of them another name")
            units[unit.name] = unit
            yield from _unit(book, place, unit)
        for name, members in draft.unions.items():
            place = (file, line, len("sort ") + 1)
            if name in units or name in sorts:
                message = f"`{name}` is {'a unit' if name in units else 'a sort'} already"
                yield book.finding("pack-doubled-name", place, name, message, "give one of them another name")
            sorts[name] = members
    for file, line, draft in statements:
        for name in draft.unions:
            if _circular(name, sorts):
                message = f"the sort `{name}` is made of itself"
                yield book.finding(
                    "pack-sort-circle", (file, line, 6), name, message, "leave itself out of its members"
                )


def _unit(book: Book, place: tuple[str, int, int], unit: Unit) -> Iterator[Finding]:
    if empty(unit.low, unit.high):
        message = f"no number lies in the range {_range(unit.low, unit.high)}"
        yield book.finding("pack-empty-range", place, _range(unit.low, unit.high), message, "put the smaller end first")
    if unit.kind == "css_name" and (unit.low is not None or unit.high is not None):
        yield book.finding("pack-range-of-words", place, unit.name, f"`{unit.name}` holds names, which have no range")
    if unit.kind in ("tempo", "parts") and (unit.low is None or unit.low <= 0):
        what = "beats" if unit.kind == "tempo" else "parts"
        message = f"`{unit.name}` counts {what}, of which 0 has no meaning: its range must begin above 0"
        yield book.finding("pack-range-holds-zero", place, unit.name, message, "give it a range, such as `1..1000`")


def empty(low: Rational | None, high: Rational | None) -> bool:
    """Whether no number lies in a range."""
    return low is not None and high is not None and low > high


def _range(low: Rational | None, high: Rational | None) -> str:
    return f"{'' if low is None else low}..{'' if high is None else high}"


def _circular(name: str, sorts: Mapping[str, tuple[str, ...]]) -> bool:
    open_, seen = list(sorts.get(name, ())), set()
    while open_:
        one = open_.pop()
        if one == name:
            return True
        if one not in seen:
            seen.add(one)
            open_ += sorts.get(one, ())
    return False


def check_sort_names(book: Book, statements: Statements, known: frozenset[str]) -> Iterator[Finding]:
    """That every sort named by a union or a parameter is a unit, a sort, or what some construct is."""
    for file, line, draft in statements:
        named = [(name, ("", 0), members) for name, members in draft.unions.items()]
        named += [(p.name, ("", p.place[1]), p.sorts) for c in draft.constructs for p in c.parameters]
        places = [(line, 1)] * len(draft.unions) + [p.place for c in draft.constructs for p in c.parameters]
        for (_, _, members), place in zip(named, places, strict=True):
            for member in members:
                if member not in known:
                    message = f"`{member}` is no unit, no sort, and no construct is one"
                    yield book.finding(
                        "pack-unknown-sort", (file, *place), member, message, near(member, sorted(known))
                    )


# ---- what is taken ---------------------------------------------------------------------------------


def check_takes(book: Book, file: str, takes: Takes, own: str, known: Mapping[str, Draft]) -> Iterator[Finding]:
    """What a generation still accepts of an older one: that this is there, and each thing once."""
    place = (file, takes.place[1], len("takes ") + 1)
    if takes.generation == own:
        yield book.finding("pack-takes-itself", place, own, f"`{own}` cannot take from itself")
        return
    if takes.generation not in known:
        message = f"`{takes.generation}` is no generation at hand"
        yield book.finding(
            "pack-unknown-generation",
            place,
            takes.generation,
            message,
            near(takes.generation, [k for k in known if k != own]),
        )
        return
    older = known[takes.generation].constructs
    seen: set[str] = set()
    behind = (file, takes.place[1], place[2] + len(takes.generation))
    for name, changes in takes.entries:
        found = [c for c in older if c.name == name]
        if not found:
            message = f"`{takes.generation}` has no construct `{name}`"
            yield book.finding("pack-unknown-construct", behind, name, message, near(name, [c.name for c in older]))
        if name in seen:
            yield book.finding("pack-doubled-name", behind, name, f"`{name}` is taken already", "leave one out")
        seen.add(name)
        yield from _changes(book, behind, name, dict(changes), found)


def _changes(
    book: Book, place: tuple[str, int, int], name: str, changes: Mapping[str, object], found: list[Construct]
) -> Iterator[Finding]:
    names = [p.name for c in found for p in c.parameters if p.default is not None]
    for changed in changes:
        if found and changed not in names:
            at = (place[0], *book.find(*place, name))
            message = f"`{name}` has no default for `{changed}`"
            yield book.finding("pack-unknown-parameter", at, changed, message, near(changed, names))


def check_loosenings(book: Book, statements: Statements) -> Iterator[Finding]:
    """Stand-ins: the second form is built from the first, at a loss, and is another."""
    for file, line, draft in statements:
        for rule in draft.loosenings:
            place = (file, line, len("loosen ") + 1)
            for name in sorted(variables(rule.after) - variables(rule.before)):
                message = f"`{name}` is in the second form and not in the first, so nothing says what it is"
                yield book.finding("pack-loosen-unbound", place, name, message)
            if rule.before == rule.after:
                yield book.finding("pack-loosen-nothing", place, "", "both forms are the same")
            elif rule.loss <= 0:
                message = f"a stand-in costs at least 1, this one {rule.loss}"
                yield book.finding("pack-loosen-loss", place, "loss", message, "say `loss 1` or more")
