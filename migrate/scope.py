"""The names that a file defines: aliases, alias templates, constants and macros; and what a number comes to."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from types import MappingProxyType

from migrate.concrete.items import Alias, Constant, Define, Item, StyleMacro
from migrate.concrete.nodes import Node
from migrate.ir.nodes import Rational
from migrate.packs.units import plain
from migrate.source import SourceFile, Span


@dataclass(frozen=True)
class Definition:
    """A name with its value; `parameters` are those of an alias template or a function-like macro."""

    name: str
    value: Node
    form: str
    span: Span
    parameters: tuple[str, ...] = ()


@dataclass(frozen=True)
class Environment:
    """What the parameters of the definitions now open stand for, each in the environment of its use."""

    bound: Mapping[str, tuple[Node, Environment]] = field(default_factory=lambda: MappingProxyType({}))
    open: tuple[str, ...] = ()


TOP = Environment()


@dataclass(frozen=True)
class Scope:
    """The definitions of one file by name; of two with one name the later counts."""

    source: SourceFile
    definitions: Mapping[str, Definition]

    def text_of(self, span: Span) -> str:
        """The text of a span."""
        return self.source.text(span)

    def text(self, node: Node) -> str:
        """The text of a node."""
        return self.source.text(Span(node.start, node.end))


def scope_of(source: SourceFile, items: Iterable[Item]) -> Scope:
    """Collects the definitions of a file."""
    found: dict[str, Definition] = {}
    for item in items:
        match item:
            case Alias():
                parameters = tuple(p.name for p in item.params)
                found[item.name] = Definition(item.name, item.value, item.form, item.span, parameters)
            case Constant():
                found[item.name] = Definition(item.name, item.value, "constant", item.span)
            case Define() if item.value is not None:
                found[item.name] = Definition(item.name, item.value, "define", item.span, item.params or ())
            case StyleMacro():
                found[item.name] = Definition(item.name, item.value, "macro", item.span)
            case _:
                pass
    return Scope(source, MappingProxyType(found))


class NotANumber(Exception):
    """An argument that comes to no number: what stands there, and why it cannot be read."""


_TOKEN = re.compile(
    r"\s*(?:(//[^\n]*|/\*.*?\*/)|(0[xX][\da-fA-F']+|0[bB][01']+|\d[\d']*\.\d+|\d[\d']*)[uUlLfF]*|([A-Za-z_][\w:]*)"
    r"|(<<|>>|[-+*/%()~&|^,]))",
    re.S,
)
_LEVELS = (("|",), ("^",), ("&",), ("<<", ">>"), ("+", "-"), ("*", "/", "%"))
_DEEPEST = 60


def literal(text: str) -> Rational | None:
    """A C++ number literal: decimal, hexadecimal, octal, binary, digit separators, decimals."""
    text = text.replace("'", "").rstrip("uUlL") if not text.lower().startswith("0x") else text.replace("'", "").rstrip("uUlL")
    low = text.lower()
    try:
        if low.startswith("0x"):
            return int(low, 16)
        if low.startswith("0b"):
            return int(low, 2)
        if "." in low:
            return plain(Fraction(low.rstrip("f")))
        if len(low) > 1 and low.startswith("0") and low.isdigit():
            return int(low, 8)
        return int(low)
    except ValueError:
        return None


def number(scope: Scope, node: Node, environment: Environment = TOP) -> Rational:
    """The value of a number argument: a literal, a constant's name, arithmetic; raises NotANumber."""
    text = scope.text(node)
    if node.kind == "number":
        value = literal(text)
        if value is not None:
            return value
    return _Arithmetic(scope, text, environment).value()


class _Arithmetic:
    """C++ integer arithmetic over literals and names, by precedence; `/` and `%` as in C++."""

    def __init__(self, scope: Scope, text: str, environment: Environment) -> None:
        self.scope, self.text, self.environment = scope, text, environment
        self.tokens: list[str] = []
        at = 0
        while at < len(text.rstrip()):
            found = _TOKEN.match(text, at)
            if found is None:
                raise NotANumber(f"`{text.strip()}` is not a number")
            if not found.group(1):
                self.tokens.append(found.group(0).strip())
            at = found.end()
        self.at = 0
        self.depth = 0

    def value(self) -> Rational:
        result = self._level(0)
        if self.at != len(self.tokens):
            raise NotANumber(f"`{self.text.strip()}` is not a number")
        return result

    def _peek(self) -> str:
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def _level(self, level: int) -> Rational:
        if level == len(_LEVELS):
            return self._unary()
        left = self._level(level + 1)
        while self._peek() in _LEVELS[level]:
            operator = self.tokens[self.at]
            self.at += 1
            left = self._apply(operator, left, self._level(level + 1))
        return left

    def _apply(self, operator: str, a: Rational, b: Rational) -> Rational:
        if operator in "+-*":
            return plain({"+": a + b, "-": a - b, "*": a * b}[operator])
        if isinstance(a, Fraction) or isinstance(b, Fraction):
            if operator == "/" and b:
                return plain(Fraction(a) / b)
            raise NotANumber(f"`{self.text.strip()}` mixes decimals with integer arithmetic")
        if operator in "/%":
            if b == 0:
                raise NotANumber(f"`{self.text.strip()}` divides by zero")
            quotient = abs(a) // abs(b) * (1 if (a < 0) == (b < 0) else -1)
            return quotient if operator == "/" else a - quotient * b
        if operator in ("<<", ">>"):
            if not 0 <= b < 32:
                raise NotANumber(f"`{self.text.strip()}` shifts out of range")
            return a << b if operator == "<<" else a >> b
        return {"|": a | b, "^": a ^ b, "&": a & b}[operator]

    def _unary(self) -> Rational:
        self.depth += 1
        if self.depth > _DEEPEST:
            raise NotANumber(f"arithmetic nested deeper than {_DEEPEST}")
        token = self._peek()
        self.at += 1
        try:
            if token in ("-", "+", "~"):
                inner = self._unary()
                if token == "~":
                    if isinstance(inner, Fraction):
                        raise NotANumber(f"`{self.text.strip()}` mixes decimals with integer arithmetic")
                    return ~inner
                return -inner if token == "-" else inner
            if token == "(":
                inner = self._level(0)
                if self._peek() != ")":
                    raise NotANumber(f"`{self.text.strip()}` lacks a `)`")
                self.at += 1
                return inner
            value = literal(token) if token[:1].isdigit() else self._name(token)
        finally:
            self.depth -= 1
        if value is None:
            raise NotANumber(f"`{self.text.strip()}` is not a number")
        return value

    def _arguments(self) -> list[str]:
        """The texts of a call's arguments, after its opening bracket."""
        out, depth, start = [], 0, self.at
        while self.at < len(self.tokens):
            token = self.tokens[self.at]
            if token == ")" and depth == 0:
                out.append(" ".join(self.tokens[start : self.at]))
                self.at += 1
                return out
            if token == "," and depth == 0:
                out.append(" ".join(self.tokens[start : self.at]))
                start = self.at + 1
            depth += (token == "(") - (token == ")")
            self.at += 1
        raise NotANumber(f"`{self.text.strip()}` lacks a `)`")

    def _name(self, name: str) -> Rational:
        if name in self.environment.bound:
            node, outer = self.environment.bound[name]
            return number(self.scope, node, outer)
        definition = self.scope.definitions.get(name.split("::")[-1])
        if definition is None or not name:
            raise NotANumber(f"`{name or self.text.strip()}` is no number and no constant of this file")
        if name in self.environment.open:
            raise NotANumber(f"`{name}` is defined by itself")
        inner = Environment(open=(*self.environment.open, name))
        if definition.parameters and self._peek() == "(":
            self.at += 1
            values = [_Arithmetic(self.scope, text, self.environment).value() for text in self._arguments()]
            if len(values) != len(definition.parameters):
                raise NotANumber(f"`{name}` takes {len(definition.parameters)} arguments, {len(values)} given")
            return _with_values(self.scope, definition, values, inner)
        return number(self.scope, definition.value, inner)


def _with_values(scope: Scope, definition: Definition, values: list[Rational], inner: Environment) -> Rational:
    """A function-like macro's value: its parameters replaced by the numbers, in brackets as C++ would not add."""
    text = scope.text(definition.value)
    for name, value in zip(definition.parameters, values, strict=True):
        text = re.sub(rf"\b{re.escape(name)}\b", str(value), text)
    return _Arithmetic(scope, text, inner).value()
