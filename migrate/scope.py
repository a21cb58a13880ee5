"""The names that a file defines: aliases, alias templates, constants and macros; and what a number comes to."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from migrate.arithmetic import NotANumber, evaluated, literal, tokens_of
from migrate.concrete.items import Alias, Constant, Define, Item, StyleMacro
from migrate.concrete.nodes import Node
from migrate.ir.nodes import Rational
from migrate.source import SourceFile, Span

__all__ = ["TOP", "Definition", "Environment", "NotANumber", "Scope", "literal", "number", "scope_of"]


@dataclass(frozen=True)
class Definition:
    """A name with its value; `parameters` are those of an alias template or a function-like macro."""

    name: str
    value: Node
    form: str
    span: Span
    parameters: tuple[str, ...] = ()

    @property
    def textual(self) -> bool:
        """Whether its text stands in for the name before C++ reads any expression."""
        return self.form == "define"


@dataclass(frozen=True)
class Environment:
    """What the parameters of the definitions now open stand for, each in the environment of its use.

    `textual` where they are a macro's: their text goes in without brackets of its own.
    """

    bound: Mapping[str, tuple[Node, Environment]] = field(default_factory=lambda: MappingProxyType({}))
    open: tuple[str, ...] = ()
    textual: bool = False


TOP = Environment()


@dataclass(frozen=True)
class Scope:
    """The definitions of one file by name; of two with one name the later counts.

    `lists` are the macros that stand for several arguments at once, `declaring` those whose use declares a style.
    `source` may go on behind the file's own `end` with the text of local includes.
    """

    source: SourceFile
    definitions: Mapping[str, Definition]
    lists: Mapping[str, tuple[Node, ...]] = field(default_factory=lambda: MappingProxyType({}))
    declaring: Mapping[str, Define] = field(default_factory=lambda: MappingProxyType({}))

    def text_of(self, span: Span) -> str:
        """The text of a span."""
        return self.source.text(span)

    def text(self, node: Node) -> str:
        """The text of a node."""
        return self.source.slice(node.start, node.end)


def scope_of(source: SourceFile, items: Iterable[Item]) -> Scope:
    """Collects the definitions of a file."""
    found: dict[str, Definition] = {}
    lists: dict[str, tuple[Node, ...]] = {}
    declaring: dict[str, Define] = {}
    for item in items:
        match item:
            case Alias():
                parameters = tuple(p.name for p in item.params)
                found[item.name] = Definition(item.name, item.value, item.form, item.span, parameters)
            case Constant():
                found[item.name] = Definition(item.name, item.value, "constant", item.span)
            case Define() if item.value is not None:
                found[item.name] = Definition(item.name, item.value, "define", item.span, item.params or ())
            case Define() if item.values and item.params is None:
                lists[item.name] = item.values
            case Define() if item.declares is not None:
                declaring[item.name] = item
            case StyleMacro():
                found[item.name] = Definition(item.name, item.value, "macro", item.span)
            case _:
                pass
    return Scope(source, MappingProxyType(found), MappingProxyType(lists), MappingProxyType(declaring))


# ---- numbers ------------------------------------------------------------------------------------


def number(scope: Scope, node: Node, environment: Environment = TOP) -> Rational:
    """The value of a number argument: a literal, a constant's name, arithmetic; raises NotANumber."""
    text = scope.text(node)
    if node.kind == "number":
        value = literal(text)
        if value is not None:
            return value
    tokens = _Expansion(scope).of(tokens_of(text), environment)
    return evaluated(tokens, text.strip())


_MOST_TOKENS = 10_000
_NAME = re.compile(r"[A-Za-z_]")


class _Expansion:
    """Replaces names by what they stand for, token by token, as the preprocessor and then C++ do.

    What a macro stands for goes in as it is, so `1 + 2` in a macro may be torn apart by its neighbours; a
    constant or a template's argument goes in whole.
    """

    def __init__(self, scope: Scope, values: Mapping[str, Rational] = MappingProxyType({})) -> None:
        self.scope, self.values = scope, values
        self.count = 0

    def of(self, tokens: list[str], env: Environment) -> list[str]:
        """The tokens with every name replaced; raises NotANumber for a name that stands for no number."""
        out: list[str] = []
        at = 0
        while at < len(tokens):
            token = tokens[at]
            at += 1
            if not _NAME.match(token):
                out.append(token)
                continue
            if token in self.values:
                out += ["(", *_digits(self.values[token]), ")"]
                continue
            if token in env.bound:
                node, outer = env.bound[token]
                inner = self.of(tokens_of(self.scope.text(node)), outer)
                out += inner if env.textual else ["(", *inner, ")"]
                continue
            used, inner = self._name(token, tokens, at, env)
            at += used
            out += inner
        self.count += len(out)
        if self.count > _MOST_TOKENS:
            raise NotANumber("this arithmetic grows beyond reading")
        return out

    def _name(self, name: str, tokens: list[str], at: int, env: Environment) -> tuple[int, list[str]]:
        """How many tokens behind the name belong to it, and what they stand for together."""
        definition = self.scope.definitions.get(name.split("::")[-1])
        if definition is None:
            raise NotANumber(f"`{name}` is no number and no constant of this file")
        if name in env.open:
            raise NotANumber(f"`{name}` is defined by itself")
        inner = Environment(open=(*env.open, name))
        body = tokens_of(self.scope.text(definition.value))
        used = 0
        if definition.parameters and at < len(tokens) and tokens[at] == "(":
            given, used = _call(tokens, at)
            if len(given) != len(definition.parameters):
                raise NotANumber(f"`{name}` takes {len(definition.parameters)} arguments, {len(given)} given")
            filled = dict(zip(definition.parameters, (self.of(g, env) for g in given), strict=True))
            body = [t for token in body for t in filled.get(token, [token])]
        expanded = self.of(body, inner)
        return used, expanded if definition.textual else ["(", *expanded, ")"]


def _digits(value: Rational) -> list[str]:
    """A number as tokens; a fraction as one token, `a/b`, which no source can write."""
    return ["-", str(-value)] if value < 0 else [str(value)]


def _call(tokens: list[str], at: int) -> tuple[list[list[str]], int]:
    """The arguments of a call whose `(` stands at `at`, and how many tokens it takes with its brackets."""
    out: list[list[str]] = [[]]
    depth = 0
    for index in range(at, len(tokens)):
        token = tokens[index]
        depth += (token == "(") - (token == ")")
        if depth == 0:
            return out, index + 1 - at
        if token == "," and depth == 1:
            out.append([])
        elif index > at:
            out[-1].append(token)
    raise NotANumber(f"`{''.join(tokens)}` lacks a `)`")


def value_of(scope: Scope, text: str, values: Mapping[str, Rational]) -> Rational:
    """What a text comes to outside of all definitions, with some names given other values; raises NotANumber."""
    tokens = _Expansion(scope, values).of(tokens_of(text), TOP)
    return evaluated(tokens, text.strip())
