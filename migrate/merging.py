"""The edits of a file's builds as one: what they share once, what they differ in behind an `#if`."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from migrate.branches import MOST_BUILDS, Build, branch_conditions
from migrate.concrete.edits import Edit, apply_edits
from migrate.concrete.items import Alias, Conditional, Define, Item, StyleMacro
from migrate.diagnostics import Diagnostic
from migrate.includes import Joined
from migrate.packs.model import Generation
from migrate.reading import Reading
from migrate.source import Span


@dataclass(frozen=True)
class _Owned:
    """The edits that each build makes to one item; None where a build does not read it."""

    item: Item
    edits: tuple[tuple[Edit, ...] | None, ...]


def merge(
    joined: Joined, builds: Sequence[Build], edits: Sequence[Sequence[Edit]]
) -> tuple[list[Edit], list[Diagnostic]]:
    """The edits of all builds together, and a note for each definition that had to be split."""
    if len(builds) == 1:
        return list(edits[0]), []
    own = [i for i, item in enumerate(joined.items) if item.span.start < joined.own]
    owned, rest = _shared_out([(joined.items[i], i) for i in own], builds, edits)
    out, notes = list(dict.fromkeys(rest)), []
    for one in owned:
        distinct = list(dict.fromkeys(e for e in one.edits if e is not None))
        if len(distinct) == 1:
            out.extend(distinct[0])
            continue
        block = _line_block(joined, one.item)
        out.append(_split(joined, builds, one, block))
        message = "this means different things in different branches: it was split by an `#if`"
        notes.append(Diagnostic("definition-split", "note", one.item.span, message))
    return sorted(set(out)), notes


def _shared_out(
    items: Sequence[tuple[Item, int]], builds: Sequence[Build], edits: Sequence[Sequence[Edit]]
) -> tuple[list[_Owned], list[Edit]]:
    """The edits by the item that they change; those that only put something in between stand alone."""
    owned: list[_Owned] = []
    taken: set[Edit] = set()
    for item, index in items:
        if isinstance(item, Conditional):
            continue
        per_build: list[tuple[Edit, ...] | None] = []
        for build, made in zip(builds, edits, strict=True):
            found = tuple(e for e in made if _changes(e, item.span))
            taken.update(found)
            per_build.append(found if build.active[index] else None)
        if any(per_build):
            owned.append(_Owned(item, tuple(per_build)))
    return owned, [e for made in edits for e in made if e not in taken]


def _changes(edit: Edit, span: Span) -> bool:
    if edit.start == edit.end:
        return span.start < edit.start <= span.end
    return edit.start < span.end and edit.end > span.start


def _line_block(joined: Joined, item: Item) -> Span:
    """The whole lines that an item stands on."""
    data = joined.source.data[: joined.own]
    start = data.rfind(b"\n", 0, item.span.start) + 1
    end = data.find(b"\n", item.span.end - 1)
    return Span(start, len(data) if end < 0 else end + 1)


def _split(joined: Joined, builds: Sequence[Build], one: _Owned, block: Span) -> Edit:
    """The lines of an item once for each branch, behind the condition that tells the builds apart."""
    newline = joined.source.newline
    data = joined.source.data
    texts: list[bytes | None] = []
    for edits in one.edits:
        if edits is None:
            texts.append(None)
            continue
        local = [Edit(max(e.start, block.start) - block.start, min(e.end, block.end) - block.start, e.text)
                 for e in edits]  # fmt: skip
        text = apply_edits(data[block.start : block.end], local)
        texts.append(text if text.endswith(b"\n") or not text else text + newline.encode())
    lines: list[bytes] = []
    for index, (condition, text) in enumerate(_told_apart(joined, builds, texts)):
        word = "#else" if not condition else f"#if {condition}" if index == 0 else f"#elif {condition}"
        lines += [word.encode() + newline.encode(), text]
    return Edit(block.start, block.end, b"".join((*lines, b"#endif" + newline.encode())))


def _told_apart(joined: Joined, builds: Sequence[Build], texts: Sequence[bytes | None]) -> Iterator[tuple[str, bytes]]:
    """Conditions with the text that holds under each, the last one without a condition."""
    spelled = branch_conditions(joined.source, joined.items)
    groups = [[" ".join(c.replace("\\", " ").split()) for c in group] for group in spelled]
    for number, conditions in enumerate(groups):
        by_branch: dict[int, set[bytes]] = {}
        for build, text in zip(builds, texts, strict=True):
            if text is not None:
                by_branch.setdefault(build.taken[number], set()).add(text)
        if len(by_branch) > 1 and all(len(found) == 1 for found in by_branch.values()):
            last_of = len(conditions)
            order = sorted(by_branch, key=lambda k: k if k >= 0 and conditions[k] else last_of)
            for index, branch in enumerate(order):
                last = index == len(order) - 1
                yield "" if last else conditions[branch], next(iter(by_branch[branch]))
            return
    yield from _one_by_one(groups, builds, texts)


def _one_by_one(
    groups: Sequence[Sequence[str]], builds: Sequence[Build], texts: Sequence[bytes | None]
) -> Iterator[tuple[str, bytes]]:
    """Where no single `#if` tells the builds apart: each by all of its branches."""
    told = [(b, t) for b, t in zip(builds, texts, strict=True) if t is not None]
    for index, (build, text) in enumerate(told):
        parts = [_branch(g, k) for g, k in zip(groups, build.taken, strict=True)]
        yield "" if index == len(told) - 1 else " && ".join(p for p in parts if p), text


def _branch(conditions: Sequence[str], taken: int) -> str:
    """The condition under which one branch of a group is read."""
    before = conditions if taken < 0 else conditions[:taken]
    parts = [f"!({c})" for c in before if c]
    if taken >= 0 and conditions[taken]:
        parts.append(f"({conditions[taken]})")
    return " && ".join(parts)


# ---- what there is to say about branches -----------------------------------------------------------


def pinned_of(before: Reading, generations: Mapping[str, Generation]) -> dict[str, int]:
    """The generations' marker as this build had it, for conditions that ask for it after the move."""
    own = before.generation.marker
    markers = {g.marker[0] for g in generations.values() if g.marker}
    given = before.build.defined
    return {name: own[1] if own is not None and own[0] == name else given.get(name, 0) for name in markers}


def branch_notes(
    befores: Sequence[Reading], moving: Sequence[Reading], generations: Mapping[str, Generation]
) -> Iterator[Diagnostic]:
    """Branches that nobody reads, conditions that the move turns, and more branches than are looked at."""
    joined = befores[0].joined
    own = [(item, i) for i, item in enumerate(joined.items) if item.span.start < joined.own]
    markers = {g.marker[0] for g in generations.values() if g.marker}
    said: set[Span] = set()
    opened = Span(0, 0)
    for item, index in own:
        if isinstance(item, Conditional):
            opened = item.span
            words = set(re.findall(r"\w+", joined.source.text(item.condition)))
            if moving and words & markers:
                name = min(words & markers)
                message = f"this branch depends on `{name}`, which the move changes: afterwards another branch is built"
                hint = "keep one branch, or ask for another macro"
                yield Diagnostic("branch-on-generation", "warning", item.span, message, hint)
            continue
        told = opened in said or not isinstance(item, (Alias, Define, StyleMacro)) or item.value is None
        if not told and not any(b.build.active[index] for b in befores):
            said.add(opened)
            message = "no build that was asked for reads this branch: it was left alone"
            yield Diagnostic("branch-not-read", "note", opened, message)
    if len(befores) >= MOST_BUILDS:
        message = f"more than {MOST_BUILDS} ways to build this file: only the first {MOST_BUILDS} were looked at"
        yield Diagnostic("too-many-branches", "warning", Span(0, 0), message, "pick some with -D NAME=VALUE")
