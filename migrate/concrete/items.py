"""What a host file holds, in order: declarations, directives, slot tables, pasted fragments."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, Union

from migrate.concrete.nodes import Node
from migrate.source import Span


@dataclass(frozen=True, slots=True)
class Parameter:
    """A parameter of an alias template: `kind` as written (`class`, `typename`, `int`, `auto` …)."""

    kind: str
    name: str
    pack: bool = False


@dataclass(frozen=True, slots=True)
class Alias:
    """``using NAME = VALUE;``, ``typedef VALUE NAME;`` or ``template <…> using NAME = VALUE;``."""

    name: str
    name_span: Span
    value: Node
    params: tuple[Parameter, ...]
    form: Literal["using", "typedef", "template"]
    span: Span


@dataclass(frozen=True, slots=True)
class Constant:
    """``constexpr int NAME = VALUE;`` or ``const int NAME = VALUE;``, with or without ``static`` and the like."""

    name: str
    name_span: Span
    value: Node
    span: Span


@dataclass(frozen=True, slots=True)
class Define:
    """``#define NAME BODY``; `params` is None for a macro that takes none, `value` where the body is an expression.

    `declares` is the alias where the body declares one, as in ``#define STICK(name, c) typedef foam<c> name``;
    `values` are the expressions where it lists several, parted by commas.
    """

    name: str
    params: tuple[str, ...] | None
    value: Node | None
    body: Span
    span: Span
    declares: Alias | None = None
    values: tuple[Node, ...] = ()


@dataclass(frozen=True, slots=True)
class Include:
    """``#include <PATH>`` or ``#include "PATH"``; `path_span` is the path without its brackets."""

    path: str
    angled: bool
    path_span: Span
    span: Span


@dataclass(frozen=True, slots=True)
class Conditional:
    """``#if`` and its kin; `kind` is the word behind the ``#``."""

    kind: str
    condition: Span
    span: Span


@dataclass(frozen=True, slots=True)
class UsingNamespace:
    """``using namespace NAME;``."""

    name: str
    span: Span


@dataclass(frozen=True, slots=True)
class StyleMacro:
    """``MACRO(NAME, VALUE)`` at top level, with or without ``;``."""

    macro: str
    name: str
    name_span: Span
    value: Node
    span: Span


@dataclass(frozen=True, slots=True)
class Slot:
    """One entry of a slot table: a style and its strings (sound folder, label), as nodes."""

    style: Node
    arguments: tuple[Node, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class Slots:
    """A slot table: ``T NAME = {…};`` (braced), ``T NAME[] = {…};`` (array) or ``using NAME = …<…>;`` (template)."""

    form: Literal["braced", "array", "template"]
    name: str
    slots: tuple[Slot, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class Bare:
    """An application or a macro call that stands by itself at top level: a pasted fragment, a macro's use.

    Any ``name<…>`` in plain C++ outside of function bodies counts too (``vector<int> x;``): whoever reads
    fragments asks the packs whether they know the name.
    """

    value: Node
    span: Span


@dataclass(frozen=True, slots=True)
class Other:
    """Anything else: left alone."""

    span: Span


Item = Union[Alias, Constant, Define, Include, Conditional, UsingNamespace, StyleMacro, Slots, Bare, Other]
