"""C++ integer arithmetic over tokens: number literals, operators by precedence, `/` and `%` as C++ has them."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

from migrate.ir.nodes import Rational
from migrate.packs.units import plain


class NotANumber(Exception):
    """An argument that comes to no number: what stands there, and why it cannot be read."""


_TOKEN = re.compile(
    r"(?:\s|\\\r?\n)*(?:(//[^\n]*|/\*.*?\*/)|(0[xX][\da-fA-F']+|0[bB][01']+|\d[\d']*\.\d+|\d[\d']*)[uUlLfF]*"
    r"|((?:::\s*)?[A-Za-z_][\w:]*)|(<<|>>|&&|\|\||[=!<>]=|[-+*/%()~&|^,!<>?:]))",
    re.S,
)
_LEVELS = (
    ("||",), ("&&",), ("|",), ("^",), ("&",), ("==", "!="), ("<", ">", "<=", ">="), ("<<", ">>"), ("+", "-"),
    ("*", "/", "%"),
)  # fmt: skip
_COMPARE: dict[str, Callable[[Rational, Rational], bool]] = {
    "||": lambda a, b: bool(a) or bool(b),
    "&&": lambda a, b: bool(a) and bool(b),
    "==": lambda a, b: a == b,
    "!=": lambda a, b: a != b,
    "<": lambda a, b: a < b,
    ">": lambda a, b: a > b,
    "<=": lambda a, b: a <= b,
    ">=": lambda a, b: a >= b,
}
_DEEPEST = 60


def literal(text: str) -> Rational | None:
    """A C++ number literal: decimal, hexadecimal, octal, binary, digit separators, decimals."""
    text = text.replace("'", "").rstrip("uUlL")
    low = text.lower()
    try:
        if low.startswith("0x"):
            return int(low, 16)
        if low.startswith("0b"):
            return int(low, 2)
        if "." in low or "/" in low:
            return plain(Fraction(low.rstrip("f")))
        if len(low) > 1 and low.startswith("0") and low.isdigit():
            return int(low, 8)
        return int(low)
    except ValueError:
        return None


def tokens_of(text: str) -> list[str]:
    """The tokens of an expression, without comments; raises NotANumber where it holds anything else."""
    out: list[str] = []
    at, end = 0, len(text.rstrip())
    while at < end:
        found = _TOKEN.match(text, at)
        if found is None:
            raise NotANumber(f"`{text.strip()}` is not a number")
        if not found.group(1):
            out.append(found.group(2) or found.group(3) or found.group(4))
        at = found.end()
    return out


def evaluated(tokens: list[str], text: str) -> Rational:
    """What tokens without names come to; `text` is what messages quote. Raises NotANumber."""
    return _Evaluator(tokens, text).value()


class _Evaluator:
    """One expression, read from left to right by precedence."""

    def __init__(self, tokens: list[str], text: str) -> None:
        self.tokens, self.text = tokens, text
        self.at = self.depth = 0

    def value(self) -> Rational:
        result = self._choice()
        if self.at != len(self.tokens):
            raise self._no("is not a number")
        return result

    def _no(self, why: str) -> NotANumber:
        return NotANumber(f"`{self.text}` {why}")

    def _peek(self) -> str:
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def _choice(self) -> Rational:
        condition = self._level(0)
        if self._peek() != "?":
            return condition
        self.at += 1
        yes = self._choice()
        if self._peek() != ":":
            raise self._no("is not a number")
        self.at += 1
        no = self._choice()
        return yes if condition else no

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
        if operator in _COMPARE:
            return int(_COMPARE[operator](a, b))
        if operator in "+-*":
            return plain({"+": a + b, "-": a - b, "*": a * b}[operator])
        if isinstance(a, Fraction) or isinstance(b, Fraction):
            if operator == "/" and b:
                return plain(Fraction(a) / b)
            raise self._no("mixes decimals with integer arithmetic")
        if operator in "/%":
            if b == 0:
                raise self._no("divides by zero")
            quotient = abs(a) // abs(b) * (1 if (a < 0) == (b < 0) else -1)
            return quotient if operator == "/" else a - quotient * b
        if operator in ("<<", ">>"):
            if not 0 <= b < 32:
                raise self._no("shifts out of range")
            return a << b if operator == "<<" else a >> b
        return {"|": a | b, "^": a ^ b, "&": a & b}[operator]

    def _unary(self) -> Rational:
        self.depth += 1
        if self.depth > _DEEPEST:
            raise NotANumber(f"arithmetic nested deeper than {_DEEPEST}")
        token = self._peek()
        self.at += 1
        try:
            if token in ("-", "+", "~", "!"):
                return self._signed(token, self._unary())
            if token == "(":
                inner = self._choice()
                if self._peek() != ")":
                    raise self._no("lacks a `)`")
                self.at += 1
                return inner
        finally:
            self.depth -= 1
        value = literal(token) if token[:1].isdigit() else None
        if value is None:
            raise self._no("is not a number")
        return value

    def _signed(self, sign: str, inner: Rational) -> Rational:
        if sign == "!":
            return int(not inner)
        if sign == "~":
            if isinstance(inner, Fraction):
                raise self._no("mixes decimals with integer arithmetic")
            return ~inner
        return -inner if sign == "-" else inner
