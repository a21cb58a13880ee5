"""One cursor pass over the tree-sitter tree: it makes the nodes and notes what is wrong, without recursion."""

from __future__ import annotations

import re
from typing import cast

from tree_sitter import Tree

from migrate import _style
from migrate.collector import collector_rests
from migrate.concrete.language import LANGUAGE
from migrate.concrete.nodes import EXPRESSIONS, MAX_NESTING, Node
from migrate.diagnostics import Diagnostic
from migrate.source import Span

_PLAIN = ("name", "number", "string", "comment")
_LEAVES = (
    "unterminated_string",
    "unterminated_comment",
    "conditional",
    "directive",
    "stray",
    "open",
    "close",
    "dimension",
    "template_head",
)
_ERRORS = frozenset({"dangling", "junk", "tail", "ERROR"})
_UNCLOSED = {
    "unclosed": ("application", ">"),
    "unclosed_call": ("macro_call", ")"),
    "unclosed_paren": ("paren", ")"),
    "unclosed_entry": ("entry", ")"),
}
_BLANKS = re.compile(rb"(?:[ \t\r\n\f\v]|//[^\n]*|/\*.*?\*/)*", re.DOTALL)
_WORD_BEFORE = re.compile(rb"[\w.'\x7f]+$")
_CLOSERS = re.compile(rb">(?:[ \t\r\n]*>)*")
_ERROR_ID = 0xFFFF
_MOST = MAX_NESTING + 1  # and the declaration round it


def _last_solid(data: bytes, at: int) -> int:
    """The end of the last byte before `at` that is no blank."""
    while at > 0 and data[at - 1] in b" \t\r\n\f\v":
        at -= 1
    return at


def _kind_tables() -> tuple[list[str | bool | None], dict[int, str]]:
    """By a kind's number: its name where it is a plain leaf (or the application), True for a leaf that needs a
    second look, None for what has children; and the names of all."""
    table: list[str | bool | None] = []
    names = {_ERROR_ID: "ERROR"}
    for number in range(LANGUAGE.node_kind_count):
        name = LANGUAGE.node_kind_for_id(number) or ""
        keyword = not LANGUAGE.node_kind_is_named(number)
        names[number] = "" if keyword else name
        if keyword or name in _LEAVES:
            table.append(True)
        else:
            table.append(name if name in _PLAIN or name == "application" else None)
    return table, names


_TABLE, _NAMES = _kind_tables()
_APPLICATION = _TABLE.index("application")


class Builder:
    """Turns one tree into nodes; `problems` fills in the order of their discovery."""

    def __init__(self, masked: bytes, base: int) -> None:
        self.masked = masked
        self.base = base
        self.problems: list[Diagnostic] = []

    def problem(self, code: str, start: int, end: int, message: str, hint: str = "") -> None:
        """Notes an error at local offsets."""
        self.problems.append(Diagnostic(code, "error", Span(start + self.base, end + self.base), message, hint))

    @collector_rests()
    def build(self, tree: Tree) -> Node:
        """The root node, of kind `file`."""
        children = cast("list[Node]", _style.walk(tree.walk(), Node, _TABLE, _APPLICATION, self, self.base, _MOST))
        return Node("file", self.base, self.base + len(self.masked), tuple(children))

    # ---- called from the walk, with offsets in the file

    def too_deep(self, start: int, end: int) -> Node:
        """The node that stands for a subtree below the limit."""
        self.problem(
            "nested-too-deep",
            start - self.base,
            start - self.base + 1,
            f"nested more than {MAX_NESTING} deep",
            "give the inner part a name of its own",
        )
        return Node("error", start, end, ())

    def leaf(self, number: int, start: int, end: int, siblings: list[Node], above: int | None) -> None:
        """Adds a leaf to its siblings, or leaves it out."""
        kind = _NAMES[number]
        local = start - self.base
        if kind == "":  # a keyword
            return
        if kind == "stray":
            kind = "error"
            if above is not None and _NAMES[above] == "table" and self._next_byte(local + 1) == b"}":
                return  # a comma before a closing brace is good C++
            self._stray(local)
        elif kind == "unterminated_string":
            kind = "error"
            self.problem("unterminated-string", local, end - self.base, "the string has no closing quote on its line")
        elif kind == "unterminated_comment":
            kind = "error"
            self.problem("unterminated-comment", local, local + 2, "the comment is never closed", "close it with */")
        elif kind == "conditional":
            kind = "directive"
            if above is not None:
                kind = "error"
                self.problem(
                    "unreadable",
                    local,
                    end - self.base,
                    "a directive inside a declaration",
                    "put the whole declaration into each branch",
                )
        siblings.append(Node(kind, start, end, ()))

    def close(self, number: int, start: int, end: int, children: list[Node]) -> Node:
        """The node of an inner kind; notes what its kind says is wrong."""
        return self._close(_NAMES[number], start - self.base, end - self.base, children)

    def _next_byte(self, at: int) -> bytes:
        found = _BLANKS.match(self.masked, at)
        return self.masked[found.end() : found.end() + 1] if found else b""

    def _stray(self, start: int) -> None:
        found = _BLANKS.match(self.masked, start + 1)
        after = found.end() if found else start + 1
        if self.masked[after : after + 1] == b",":
            self.problem(
                "empty-argument",
                after,
                after + 1,
                "no argument before this comma",
                "write the argument or take the comma out",
            )
        else:
            self.problem("stray-comma", start, start + 1, "a comma with nothing to part", "take the comma out")

    def _close(self, kind: str, start: int, end: int, children: list[Node]) -> Node:
        base = self.base
        if kind in _UNCLOSED:
            kind, bracket = _UNCLOSED[kind]
            if children:
                end = max(end, children[-1].end - base)
            children.append(Node("missing", end + base, end + base, ()))
            self._missing(bracket, end)
        elif kind in _ERRORS:
            self._error(kind, start, end, children)
            kind = "error"
        if (
            kind == "arithmetic"
            and len(children) == 1
            and children[0].kind == "number"
            and children[0].start == start + base + 1
            and self.masked[start + 1 : start + 2] not in b"+-"
        ):
            return Node("number", start + base, end + base, ())
        if kind == "paren":
            kind = self._paren(start, end, children)
        return Node(kind, start + base, end + base, tuple(children))

    def _missing(self, bracket: str, end: int) -> None:
        last = self.problems[-1] if self.problems else None
        greater = self.masked[end - 1 : end] == b">"
        if last and bracket == ")" and last.code == "extra-close" and last.span.end == end + self.base:
            # `a<F(1, 2>`: the > is not too many, it closes what the missing ) keeps open
            self.problems.pop()
            end -= 1
        elif (
            last
            and bracket == ">"
            and greater
            and last.code == "missing-close"
            and last.span.end == end + self.base - 1
        ):
            return  # the same case, seen from outside
        self.problem("missing-close", end, end, f"no closing {bracket}", f"put {bracket} here")

    def _paren(self, start: int, end: int, children: list[Node]) -> str:
        inside = [child for child in children if child.kind not in ("comment", "missing")]
        if len(inside) == 1:
            return "arithmetic"
        if not self._told(start):
            self.problem("unreadable", start, end, "parentheses hold one number here")
        return "error"

    def _told(self, start: int) -> bool:
        """Whether a problem at or behind this offset is noted already: then it is the cause, and enough."""
        return bool(self.problems) and self.problems[-1].span.start >= start + self.base

    def _error(self, kind: str, start: int, end: int, children: list[Node]) -> None:
        if self._told(start):
            return
        if kind == "dangling":
            self._dangling(start, end, children)
        elif (
            kind == "junk"
            and children
            and children[0].start == start + self.base
            and children[0].kind in EXPRESSIONS
            and len(children) == 1
        ):
            self._two_in_one(start, end)
        elif kind == "tail" and self.masked[start : start + 1] == b">":
            closers = _CLOSERS.match(self.masked, start)
            self.problem(
                "extra-close",
                start,
                closers.end() if closers else start + 1,
                "a closing > that nothing opened",
                "take it out",
            )
        elif kind == "tail" and self.masked[start : start + 1] == b",":
            # `a<b<1>>, 2>`: the bracket too many is the one before the comma
            before = _last_solid(self.masked, start)
            rest = self.masked[start:end]
            if rest.count(b">") > rest.count(b"<"):
                self.problem("extra-close", before - 1, before, "a > too many: it closes the whole", "take it out")
            else:
                self.problem("stray-comma", start, start + 1, "a comma behind the whole", "take it out")
        else:
            self.problem("unreadable", start, end, "this is not part of a style")

    def _two_in_one(self, start: int, end: int) -> None:
        before = _last_solid(self.masked, start)
        if before == start:  # `7O`, `6oo`: one word to the eye
            word = _WORD_BEFORE.search(self.masked, max(0, start - 80), start)
            self.problem("unreadable", word.start() if word else start, end, "this is neither a number nor a name")
        else:
            self.problem("missing-comma", before, before, "no comma between two arguments", "put a comma here")

    def _dangling(self, start: int, end: int, children: list[Node]) -> None:
        if self.masked[end - 1 : end] == b">" and children:
            self.problem("extra-close", end - 1, end, "a closing > that nothing opened", "take it out")
        else:
            self.problem("unreadable", end - 1, end, "nothing behind the operator")
