"""Reads a folder of *.pack files (grammars/pack.peg, parsimonious) into drafts of what they say."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

from parsimonious.exceptions import ParseError
from parsimonious.grammar import Grammar
from parsimonious.nodes import Node

from migrate.ir.forms import COLOUR_FORMS, FORMS, LIST_FORMS, NUMBER_FORMS, WORDS
from migrate.ir.nodes import Rational
from migrate.packs.model import (
    Atom,
    Call,
    Construct,
    Equation,
    Expression,
    Less,
    Loosening,
    Measure,
    PackError,
    Parameter,
    Scaled,
    Sum,
    Takes,
    Unit,
    Var,
)  # fmt: skip
from migrate.packs.units import plain
from migrate.resources import grammar_path

UNIT_KINDS: dict[str, tuple[str, Rational, str]] = {
    "time": ("time", 1, ""),
    "rate": ("rate", 1000, ""),
    "tempo": ("tempo", 60_000_000, ""),
    "plain": ("plain", 1, ""),
    "weight": ("weight", 1, ""),
    "parts": ("parts", 1000, "mil"),
    "packed_duty": ("packed_duty", 1, ""),
    "css_name": ("css_name", 1, ""),
    **{f"weight_{whole}": ("weight", whole, "") for whole in (100, 255, 1000, 10000)},
    **{f"{kind}_{unit}": (kind, 1, unit) for kind in ("length", "speed", "grain") for unit in ("px", "mil", "mm")},
}
_LINES = ("means", "differs", "example", "note", "renames")
_KNOWN_FORMS = frozenset((*FORMS, *COLOUR_FORMS, *LIST_FORMS, *NUMBER_FORMS))


def rational(text: str) -> Rational:
    """A number of a pack, exact; hexadecimal with 0x."""
    if text.lower().startswith("0x"):
        return int(text, 16)
    above, _, below = text.partition("/")
    value = Fraction(above) / Fraction(below or 1)
    return value.numerator if value.denominator == 1 else value


@dataclass
class Draft:
    """What the files of one pack have said so far, in the order of reading."""

    header: dict[str, str] = field(default_factory=dict)
    units: list[Unit] = field(default_factory=list)
    unions: dict[str, tuple[str, ...]] = field(default_factory=dict)
    takes: list[Takes] = field(default_factory=list)
    constructs: list[Construct] = field(default_factory=list)
    loosenings: list[Loosening] = field(default_factory=list)


@cache
def _grammar() -> Grammar:
    return Grammar(grammar_path("pack.peg").read_text("utf-8"))


def read_file(draft: Draft, path: Path) -> None:
    """Adds one file to the draft; raises PackError with file, line and column."""
    read_text(draft, path.read_text("utf-8"), path.name)


def read_text(draft: Draft, text: str, file: str) -> None:
    """Adds the statements of a text to the draft; raises PackError with file, line and column."""
    text = text if text.endswith("\n") else text + "\n"
    try:
        tree = _grammar().parse(text)
    except ParseError as error:
        found = error.text[error.pos :].split("\n", 1)[0].strip()
        expected = "a statement at the margin, or a line of the statement above"
        message = f"cannot read `{found[:40]}` here; expected {expected}"
        raise PackError(file, error.line(), error.column(), message) from None
    statements = _Statements(draft, file, text)
    for statement in _all(tree, "statement"):
        statements.add(statement)


def _all(node: Node, *names: str) -> Iterator[Node]:
    """The nearest descendants with one of the names, in order, not looking inside them."""
    waiting = node.children[::-1]
    while waiting:
        child = waiting.pop()
        if child.expr_name in names:
            yield child
        elif child.children:
            waiting += child.children[::-1]


def _first(node: Node, *names: str) -> Node | None:
    return next(_all(node, *names), None)


def _text(node: Node, *names: str) -> str:
    found = _first(node, *names)
    return str(found.text) if found is not None else ""


def _last(node: Node, name: str) -> str:
    return str([n.text for n in node.children if n.expr_name == name][-1])


def _string(node: Node) -> str:
    return _text(node, "string")[1:-1]


def _range(node: Node) -> tuple[Rational | None, Rational | None]:
    text = _text(node, "range")
    if not text:
        return None, None
    low, high = text.split("..", 1)
    return (rational(low) if low else None), (rational(high) if high else None)


class _Statements:
    """Turns the parse tree of one file into entries of the draft."""

    def __init__(self, draft: Draft, file: str, source: str) -> None:
        self.draft, self.file, self.source = draft, file, source
        self.variables: frozenset[str] = frozenset()

    def add(self, statement: Node) -> None:
        node = statement.children[0]
        getattr(self, f"_add_{node.expr_name}")(node)

    def _place(self, node: Node) -> tuple[int, int]:
        before = self.source[: node.start]
        return before.count("\n") + 1, node.start - before.rfind("\n")

    def _fail(self, node: Node, message: str, code: str) -> PackError:
        return PackError(self.file, *self._place(node), message, code)

    def _add_generation(self, node: Node) -> None:
        self.draft.header.update(name=_text(node, "word"), title=_string(node))
        for setting in _all(node, "setting"):
            self.draft.header[_text(setting, "key")] = _text(setting, "setting_value")

    def _add_unit(self, node: Node) -> None:
        kind = _first(node, "kind")
        assert kind is not None
        if kind.text not in UNIT_KINDS:
            message = f"unknown kind of unit `{kind.text}`; known: {', '.join(UNIT_KINDS)}"
            raise self._fail(kind, message, "pack-unit-kind")
        base, whole, length = UNIT_KINDS[kind.text]
        scale, spelled = _first(node, "scale"), _first(node, "spelled")
        factor = self._scale(scale) if scale else 1
        wrapper = _text(spelled, "word") if spelled else ""
        name, ones = _text(node, "word"), _first(node, "whole") is not None
        self.draft.units.append(Unit(name, base, plain(whole * factor), length, *_range(node), wrapper, ones))

    def _scale(self, node: Node) -> Rational:
        try:
            factor = rational(_text(node, "ratio"))
        except ZeroDivisionError:
            factor = 0
        if factor <= 0:
            raise self._fail(node, "a unit's scale must be above 0", "pack-scale")
        return factor

    def _add_union(self, node: Node) -> None:
        self.draft.unions[_text(node, "word")] = self._sorts(node)

    @staticmethod
    def _sorts(node: Node) -> tuple[str, ...]:
        return tuple(word.strip() for word in _text(node, "sorts").split("|"))

    def _add_takes(self, node: Node) -> None:
        prefix, into, apart, through = (_first(node, name) for name in ("prefix", "into", "apart", "through"))
        entries = []
        for entry in _all(node, "entry"):
            change = _first(entry, "change")
            changes = ((_text(change, "word"), Measure(rational(_text(change, "number")))),) if change else ()
            entries.append((_text(entry, "name"), changes))
        self.draft.takes.append(
            Takes(
                _text(node, "word"),
                prefix.text.split()[-1] if prefix else "",
                _text(into, "word") if into else "",
                through.text.split()[-1] if through else "",
                tuple(entries),
                (self.file, self._place(node)[0]),
                self._sorts(apart) if apart else (),
            )
        )

    def _add_loosen(self, node: Node) -> None:
        self.variables = frozenset(n.text for e in _all(node, "expression") for n in _identifiers(e)) - WORDS
        before, after = (self.expression(e) for e in _all(node, "expression"))
        self.draft.loosenings.append(Loosening(before, after, int(_last(node, "number")), _string(node)))

    def _add_construct(self, node: Node) -> None:
        group = _first(node, "parameters")
        nodes = list(_all(group, "parameter")) if group else []
        self.variables = frozenset(_text(p, "word") for p in nodes)
        lines = [line for found in _all(node, "line") for line in _all(found, *_LINES)]
        of = {name: [x for x in lines if x.expr_name == name] for name in _LINES}
        name = _text(node, "name")
        self.draft.constructs.append(
            Construct(
                _text(node, "word"),
                name,
                tuple(self._parameter(p) for p in nodes),
                tuple(self._equation(m) for m in of["means"]),
                group is not None,
                tuple(e.text.split(None, 1)[1].strip() for e in of["example"]),
                tuple((_text(d, "word"), _string(d)) for d in of["differs"]),
                tuple(_string(n) for n in of["note"]),
                place=(self.file, self._place(node)[0]),
                renames=_text(of["renames"][-1], "name") if of["renames"] else "",
            )
        )

    def _parameter(self, node: Node) -> Parameter:
        default = _first(node, "default")
        return Parameter(
            _text(node, "word"),
            self._sorts(node),
            tuple(_text(node, "tag")[1:].split(".")) if _first(node, "tag") else (),
            _first(node, "floating") is not None,
            _first(node, "variadic") is not None,
            _first(node, "optional") is not None,
            *_range(node),
            self.expression(default.children[-1]) if default else None,
            self._place(node),
        )

    def _equation(self, node: Node) -> Equation:
        guard, one_way = _first(node, "guard"), _first(node, "oneway")
        expression = _first(node, "expression")
        assert expression is not None
        held = None
        if guard is not None:
            value = _first(guard, "expression")
            assert value is not None
            held = (_text(guard, "word"), self.expression(value))
        why = _string(one_way).strip() if one_way else ""
        if one_way is not None and not why:
            raise self._fail(one_way, "`one way:` needs its reason", "pack-no-reason")
        return Equation(self.expression(expression), held, why, self._place(expression))

    def expression(self, node: Node) -> Expression:
        """The AST of an `expression` node."""
        parts = tuple(self._affine(child.children[0]) for child in _all(node, "affine"))
        return parts[0] if len(parts) == 1 else Sum(parts)

    def _affine(self, node: Node) -> Expression:
        if node.expr_name in ("scaled", "less"):
            word = _first(node, "word")
            assert word is not None
            if word.text not in self.variables:
                raise self._fail(word, f"`{word.text}` is no parameter of this construct", "pack-unknown-parameter")
            number = rational(_text(node, "number"))
            return Scaled(number, word.text) if node.expr_name == "scaled" else Less(number, word.text)
        inner = node.children[0]
        if inner.expr_name == "measure":
            return Measure(rational(_text(inner, "number")), _text(inner, "unitword"))
        if inner.expr_name == "call":
            return self._call(inner)
        return Var(inner.text) if inner.text in self.variables or inner.text == "*" else Atom(inner.text)

    def _call(self, node: Node) -> Call:
        form = _text(node, "word")
        if form not in _KNOWN_FORMS:
            raise self._fail(node, f"the IR has no form `{form}`", "pack-unknown-form")
        return Call(form, tuple(self.expression(e) for e in _all(node, "expression")))


def _identifiers(node: Node) -> Iterator[Any]:
    for child in node.children:
        if child.expr_name == "identifier":
            yield child
        else:
            yield from _identifiers(child)
