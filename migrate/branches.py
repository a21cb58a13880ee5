"""The branches of a file: what each build, by the macros that it defines, would get to read."""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from migrate.arithmetic import NotANumber, evaluated, tokens_of
from migrate.concrete.items import Conditional, Define, Item
from migrate.source import SourceFile

MOST_BUILDS = 32
_MOST_RUNS = 256
_DEFINED = re.compile(r"\bdefined\s*(?:\(\s*(\w+)\s*\)|(\w+))")
_NAME = re.compile(r"[A-Za-z_]\w*")
_COMPARED = re.compile(r"\b([A-Za-z_]\w*)\s*(?:[=!<>]=|<|>)\s*(\d+)")


@dataclass(frozen=True)
class Build:
    """One way to compile a file: the macros defined from outside, and which items are then read.

    `taken` holds for each `#if` group the number of the branch that is read, or -1 for none.
    """

    defined: Mapping[str, int]
    active: tuple[bool, ...]
    taken: tuple[int, ...]

    def items(self, items: Sequence[Item]) -> tuple[Item, ...]:
        """The items that this build reads."""
        return tuple(i for i, on in zip(items, self.active, strict=True) if on)

    def said(self) -> str:
        """The definitions as a compiler's options say them, or empty."""
        return " ".join(f"-D {name}={value}" for name, value in sorted(self.defined.items()))


@dataclass
class _Run:
    """One pass over the items with some macros given; notes which others were asked for."""

    source: SourceFile
    items: Sequence[Item]
    given: Mapping[str, int]
    pinned: Mapping[str, int]
    asked: dict[str, set[int]] = field(default_factory=dict)
    table: dict[str, str] = field(default_factory=dict)
    active: list[bool] = field(default_factory=list)
    taken: list[int] = field(default_factory=list)
    # For each open group: its number, whether it is read at all, whether a branch was taken, the branch now read.
    open: list[list[int]] = field(default_factory=list)

    def go(self) -> Build:
        self.table = {name: str(value) for name, value in self.given.items()}
        for index, item in enumerate(self.items):
            if isinstance(item, Conditional):
                self._conditional(item, index)
            self.active.append(self._reads())
            if isinstance(item, Define) and self._reads():
                self.table[item.name] = self.source.text(item.body)
        return Build(MappingProxyType(dict(self.given)), tuple(self.active), tuple(self.taken))

    def _reads(self) -> bool:
        return all(group[1] and group[3] for group in self.open)

    def _conditional(self, item: Conditional, index: int) -> None:
        if item.kind in ("if", "ifdef", "ifndef"):
            outside = self._reads()
            self.open.append([len(self.taken), int(outside), 0, 0, 0])
            self.taken.append(-1)
            self._branch(outside and self._holds(item, index))
        elif item.kind == "endif":
            if self.open:
                self.open.pop()
        elif self.open:
            group = self.open[-1]
            group[4] += 1
            group[3] = 0
            free = bool(group[1]) and not group[2]
            self._branch(free and (item.kind == "else" or self._holds(item, index)))

    def _branch(self, holds: bool) -> None:
        if holds:
            group = self.open[-1]
            group[2] = group[3] = 1
            self.taken[group[0]] = group[4]

    def _holds(self, item: Conditional, index: int) -> bool:
        text = self.source.text(item.condition)
        if item.kind in ("ifdef", "ifndef", "elifdef", "elifndef"):
            wanted = item.kind.endswith("ndef")
            if item.kind == "ifndef" and self._is_guard(text, index):
                return text not in self.table
            return self._is_defined(text) != wanted
        return self._true(text)

    def _is_guard(self, name: str, index: int) -> bool:
        """Whether `#ifndef NAME` is followed by its empty `#define`: the usual guard of a header."""
        following = self.items[index + 1] if index + 1 < len(self.items) else None
        return isinstance(following, Define) and following.name == name and following.body.start == following.body.end

    def _is_defined(self, name: str) -> bool:
        if name not in self.table:
            self.asked.setdefault(name, set()).add(1)
        return name in self.table

    def _true(self, text: str) -> bool:
        for name, value in _COMPARED.findall(text):
            if name not in self.table:
                number = int(value)
                self.asked.setdefault(name, set()).update((max(0, number - 1), number, number + 1))
        told = _DEFINED.sub(lambda m: str(int(self._is_defined(m[1] or m[2]))), text)
        try:
            return bool(evaluated(self._expanded(told, ()), text))
        except NotANumber:
            return self._is_defined(f"({text})")

    def _expanded(self, text: str, open_: tuple[str, ...]) -> list[str]:
        out: list[str] = []
        for token in tokens_of(text):
            if not _NAME.match(token):
                out.append(token)
            elif token in self.pinned:
                out.append(str(self.pinned[token]))
            elif token in self.table and token not in open_:
                out += self._expanded(self.table[token] or "0", (*open_, token))
            else:
                if token not in self.table:
                    self.asked.setdefault(token, set()).add(1)
                out.append("0")
        return out


def builds(
    source: SourceFile,
    items: Sequence[Item],
    given: Mapping[str, int] = MappingProxyType({}),
    pinned: Mapping[str, int] = MappingProxyType({}),
) -> list[Build]:
    """Every build that reads the file in a way of its own, that with the fewest definitions first.

    `given` are the definitions that hold in any case; `pinned` gives names a value in conditions whatever the file
    defines them as. At most `MOST_BUILDS` are listed.
    """
    waiting: deque[dict[str, int]] = deque([dict(given)])
    seen: set[tuple[tuple[str, int], ...]] = set()
    found: dict[tuple[int, ...], Build] = {}
    while waiting and len(seen) < _MOST_RUNS and len(found) < MOST_BUILDS:
        now = waiting.popleft()
        key = tuple(sorted(now.items()))
        if key in seen:
            continue
        seen.add(key)
        run = _Run(source, items, now, pinned)
        build = run.go()
        found.setdefault(build.taken, build)
        for name in sorted(run.asked):
            waiting.extend({**now, name: value} for value in sorted(run.asked[name], key=lambda v: v != 1))
    return list(found.values())


def build_of(source: SourceFile, items: Sequence[Item], given: Mapping[str, int], pinned: Mapping[str, int]) -> Build:
    """The one build with these definitions and no others."""
    return _Run(source, items, given, pinned).go()


def branch_conditions(source: SourceFile, items: Sequence[Item]) -> list[list[str]]:
    """For each `#if` group the conditions of its branches, each as text behind `#if`."""
    groups: list[list[str]] = []
    open_: list[int] = []
    for item in items:
        if not isinstance(item, Conditional):
            continue
        text = source.text(item.condition)
        if item.kind in ("if", "ifdef", "ifndef"):
            open_.append(len(groups))
            groups.append([])
        elif item.kind == "endif":
            if open_:
                open_.pop()
            continue
        if not open_:
            continue
        said = {"ifdef": f"defined({text})", "elifdef": f"defined({text})", "ifndef": f"!defined({text})",
                "elifndef": f"!defined({text})", "else": ""}.get(item.kind, text)  # fmt: skip
        groups[open_[-1]].append(said)
    return groups
