"""The styles of a file that cannot be read: told like the others, so that no count leaves one out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from difflib import get_close_matches
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from migrate.concrete.items import Alias, Define, Other, StyleMacro
from migrate.concrete.nodes import Node
from migrate.diagnostics import Diagnostic
from migrate.lift import Lifter, generations_of
from migrate.packs.library import library
from migrate.source import Span
from migrate.uses import NAMES

if TYPE_CHECKING:
    from migrate.reading import Reading

STYLES = ("style", "sleeve")
Unread = tuple[Alias | Define | StyleMacro, Diagnostic]
_HEAD = re.compile(r"\s*(?:(?:/\*.*?\*/|//[^\n]*\n)\s*)*((?:::\s*)?\w+(?:\s*::\s*\w+)*)\s*<", re.S)
_USING = re.compile(r"using\s+(\w+)\s*=(.*)", re.S)
_TYPEDEF = re.compile(r"typedef\b(.*)", re.S)
# Of a typedef on one line: what stands behind its last `>`, up to the `;`.
_DECLARED = re.compile(r".*>([^;>]*);", re.S)
_COMMENT = re.compile(r"//.*|/\*.*?\*/")
# One letter too few or too many in a word of four or five letters is near, another word is not.
_NEAR = 0.8


def unread_styles(reading: Reading) -> list[Unread]:
    """The file's own definitions that cannot be read and would be styles.

    So says a slot, or their outermost name: a style of any generation, or one letter off. What is no declaration any
    more, for what is missing in it, counts where such a name begins it.
    """
    out = []
    for item, diagnostic in reading.unread:
        bare = isinstance(item, StyleMacro) and not item.macro
        told = bare or item.name in reading.host.in_slots or _is_style(_head(reading, item), reading.generation.packs)
        if told and reading.own(item.span.start):
            out.append((item, reading.joined.at_home(diagnostic)))
    return sorted((*out, *_broken(reading)), key=lambda one: one[0].span.start)


def with_command(one: Unread, lifter: Lifter) -> Unread:
    """The same, with the options that move it by itself, where a generation that has the unknown name reads it."""
    item, said = one
    if said.code != "unknown-name" or said.hint or not isinstance(item, Alias) or item.params:
        return one
    name = lifter.scope.text_of(said.span)
    known = {g for brackets in (True, False) for g in generations_of(name, brackets, lifter.generation)}
    for other in library(lifter.generation.packs).values():
        if other.name not in known:
            continue
        if not isinstance(Lifter(lifter.scope, other, lifter.blade).lift(item.value, STYLES), Diagnostic):
            return item, replace(said, hint=f"`--read-as {other.name} --style {item.name}` moves it by itself")
    return one


def of_another(reading: Reading, item: Alias | Define | StyleMacro) -> bool:
    """Whether the outermost name of a definition is a style of other generations alone."""
    name = _head(reading, item)
    return name not in reading.generation.constructs and name in _styles(reading.generation.packs)


@cache
def _styles(packs: tuple[Path, ...]) -> frozenset[str]:
    """The names of styles in all generations."""
    groups = (pair for g in library(packs).values() for pair in g.constructs.items())
    return frozenset(name for name, group in groups if any(c.sort in STYLES for c in group))


def _head(reading: Reading, item: Alias | Define | StyleMacro) -> str:
    """The outermost name of what a definition says, without namespaces; it may be broken behind that."""
    if item.value is None:
        return ""
    if item.value.kind in ("application", "macro_call"):
        return reading.scope.text(item.value.children[0]).rpartition(":")[2].strip()
    return _outermost(reading.scope.text(item.value))


def _outermost(text: str) -> str:
    found = _HEAD.match(text)
    return found[1].rpartition(":")[2].strip() if found else ""


@lru_cache(4096)
def _is_style(name: str, packs: tuple[Path, ...]) -> bool:
    """Whether a name is a style of any generation, or near one."""
    known = {style.lower() for style in _styles(packs)}
    return name.lower() in known or bool(get_close_matches(name.lower(), known, 1, _NEAR))


def _broken(reading: Reading) -> Iterator[Unread]:
    """What begins as the declaration of a style and does not end as one."""
    errors = [d for d in reading.parsed.diagnostics if d.severity == "error"]
    for item in reading.items if errors else ():
        if not isinstance(item, Other) or not reading.own(item.span.start):
            continue
        error = next((d for d in errors if item.span.start <= d.span.start <= item.span.end), None)
        if error is not None:
            yield from ((alias, error) for alias in _begun(reading, item.span))


def _begun(reading: Reading, span: Span) -> Iterator[Alias]:
    """The names that such a declaration gives, with the rest of its last line."""
    text = reading.scope.text_of(span)
    using, typedef = _USING.match(text), _TYPEDEF.match(text)
    value = using[2] if using else typedef[1] if typedef else ""
    head = _outermost(value)
    if not head or not _is_style(head, reading.generation.packs):
        return
    whole = Node("error", span.start, span.end, ())
    if using:
        at = Span(span.start + using.start(1), span.start + using.end(1))
        yield Alias(using[1], at, whole, (), "using", span)
        return
    data = reading.scope.source.data
    end = data.find(b"\n", span.end)
    line = reading.scope.text_of(Span(span.start, len(data) if end < 0 else end))
    declared = _DECLARED.match(_COMMENT.sub("", line).partition("typedef")[2])
    for name in (declared and NAMES.findall(declared[1])) or [head]:
        yield Alias(name, Span(span.start, span.start), whole, (), "typedef", span)
