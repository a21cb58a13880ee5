"""One cursor pass over the tree-sitter tree: it makes the nodes and notes what is wrong, without recursion."""

from __future__ import annotations

import gc
import re
from collections.abc import Callable

from tree_sitter import Tree

from migrate.concrete.language import LANGUAGE
from migrate.concrete.nodes import EXPRESSIONS, MAX_NESTING, Node
from migrate.diagnostics import Diagnostic
from migrate.source import Span

_LEAVES = ("name", "number", "string", "comment", "unterminated_string", "unterminated_comment", "conditional",
           "directive", "stray", "open", "close", "dimension", "template_head")
_ERRORS = frozenset({"dangling", "junk", "tail", "unterminated_string", "unterminated_comment", "ERROR"})
_UNCLOSED = {"unclosed": ("application", ">"), "unclosed_call": ("macro_call", ")"),
             "unclosed_paren": ("paren", ")"), "unclosed_entry": ("entry", ")")}
_BLANKS = re.compile(rb"(?:[ \t\r\n\f\v]|//[^\n]*|/\*.*?\*/)*", re.DOTALL)
_ERROR_ID = 0xFFFF


def _kind_tables() -> tuple[dict[int, str], dict[int, str]]:
    """Of the visible kinds: the leaves by number (empty string: a keyword, no node), and all others."""
    leaves: dict[int, str] = {}
    inner: dict[int, str] = {_ERROR_ID: "ERROR"}
    for number in range(LANGUAGE.node_kind_count):
        name = LANGUAGE.node_kind_for_id(number) or ""
        if not LANGUAGE.node_kind_is_named(number):
            leaves[number] = ""
        elif name in _LEAVES:
            leaves[number] = name
        else:
            inner[number] = name
    return leaves, inner


_LEAF_KINDS, _INNER_KINDS = _kind_tables()
# leaves that need no second look
_PLAIN = {number: name for number, name in _LEAF_KINDS.items() if name in ("name", "number", "string", "comment")}


class Builder:
    """Turns one tree into nodes; `problems` fills in the order of their discovery."""

    def __init__(self, masked: bytes, base: int) -> None:
        self.masked = masked
        self.base = base
        self.problems: list[Diagnostic] = []

    def problem(self, code: str, start: int, end: int, message: str, hint: str = "") -> None:
        """Notes an error at local offsets."""
        self.problems.append(
            Diagnostic(code, "error", Span(start + self.base, end + self.base), message, hint))

    def build(self, tree: Tree) -> Node:
        """The root node, of kind `file`. The cycle collector rests meanwhile: nodes cannot form cycles."""
        resting = gc.isenabled()
        gc.disable()
        try:
            children = self._walk(tree)
        finally:
            if resting:
                gc.enable()
        return Node("file", self.base, self.base + len(self.masked), tuple(children))

    def _walk(self, tree: Tree) -> list[Node]:
        cursor = tree.walk()
        descend, advance, ascend = cursor.goto_first_child, cursor.goto_next_sibling, cursor.goto_parent
        plain, special, base = _PLAIN.get, self._leaf, self.base
        make: Callable[[type[Node], tuple[str, int, int, tuple[Node, ...]]], Node] = tuple.__new__
        nothing: tuple[Node, ...] = ()
        children: list[Node] = []
        add = children.append
        stack: list[tuple[int, int, int, list[Node]]] = []
        if not descend():
            return children
        while True:
            here = cursor.node
            assert here is not None
            number = here.kind_id
            kind = plain(number)
            if kind is not None:
                add(make(Node, (kind, here.start_byte + base, here.end_byte + base, nothing)))
            elif number in _LEAF_KINDS:
                special(number, here.start_byte, here.end_byte, children, stack)
            elif len(stack) > MAX_NESTING:
                add(self._too_deep(here.start_byte, here.end_byte))
            elif descend():
                stack.append((number, here.start_byte, here.end_byte, children))
                children = []
                add = children.append
                continue
            else:
                add(self._close(number, here.start_byte, here.end_byte, []))
            while not advance():
                if not stack:
                    return children
                ascend()
                number, start, end, above = stack.pop()
                above.append(self._close(number, start, end, children))
                children = above
                add = children.append

    def _too_deep(self, start: int, end: int) -> Node:
        self.problem("nested-too-deep", start, start + 1, f"nested more than {MAX_NESTING} deep",
                     "give the inner part a name of its own")
        return Node("error", start + self.base, end + self.base, ())

    def _leaf(self, number: int, start: int, end: int, siblings: list[Node],
              stack: list[tuple[int, int, int, list[Node]]]) -> None:
        kind = _LEAF_KINDS[number]
        if kind == "":  # a keyword
            return
        above = _INNER_KINDS[stack[-1][0]] if stack else "file"
        if kind == "stray":
            kind = "error"
            if above == "table" and self._next_byte(end) == b"}":
                return  # a comma before a closing brace is good C++
            self._stray(start, end)
        elif kind == "unterminated_string":
            kind = "error"
            self.problem("unterminated-string", start, end, "the string has no closing quote on its line")
        elif kind == "unterminated_comment":
            kind = "error"
            self.problem("unterminated-comment", start, min(start + 2, end), "the comment is never closed",
                         "close it with */")
        elif kind == "conditional":
            kind = "directive"
            if above != "file":
                kind = "error"
                self.problem("unreadable", start, end, "a directive inside a declaration",
                             "put the whole declaration into each branch")
        siblings.append(Node(kind, start + self.base, end + self.base, ()))

    def _next_byte(self, at: int) -> bytes:
        found = _BLANKS.match(self.masked, at)
        return self.masked[found.end() : found.end() + 1] if found else b""

    def _stray(self, start: int, end: int) -> None:
        found = _BLANKS.match(self.masked, end)
        after = found.end() if found else end
        if self.masked[after : after + 1] == b",":
            self.problem("empty-argument", after, after + 1, "no argument before this comma",
                         "write the argument or take the comma out")
        else:
            self.problem("stray-comma", start, end, "a comma with nothing to part", "take the comma out")

    def _close(self, number: int, start: int, end: int, children: list[Node]) -> Node:
        """The node of an inner kind, at local offsets; notes what its kind says is wrong."""
        base = self.base
        kind = _INNER_KINDS[number]
        if kind == "application":
            return tuple.__new__(Node, (kind, start + base, end + base, tuple(children)))
        if kind in _UNCLOSED:
            kind, bracket = _UNCLOSED[kind]
            if children:
                end = max(end, children[-1].end - base)
            children.append(Node("missing", end + base, end + base, ()))
            self.problem("missing-close", end, end, f"no closing {bracket}", f"put {bracket} here")
        elif kind in _ERRORS:
            self._error(kind, start, end, children)
            kind = "error"
        if kind == "arithmetic" and len(children) == 1 and children[0].kind == "number" \
                and children[0].start == start + base + 1 and self.masked[start + 1 : start + 2] not in b"+-":
            return Node("number", start + base, end + base, ())
        if kind == "paren":
            kind = self._paren(start, end, children)
        return Node(kind, start + base, end + base, tuple(children))

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
        elif kind == "junk" and children and children[0].start == start + self.base \
                and children[0].kind in EXPRESSIONS and len(children) == 1:
            at = len(self.masked[:start].rstrip())
            self.problem("missing-comma", at, at, "no comma between two arguments", "put a comma here")
        elif kind == "tail" and self.masked[start : start + 1] == b">":
            closers = re.compile(rb"[> \t\r\n]*").match(self.masked, start)
            stop = closers.end() if closers else start + 1
            stop = start + len(self.masked[start:stop].rstrip())
            self.problem("extra-close", start, stop, "a closing > that nothing opened", "take it out")
        elif kind == "tail" and self.masked[start : start + 1] == b",":
            self.problem("stray-comma", start, start + 1, "a comma behind the whole", "take it out")
        else:
            self.problem("unreadable", start, end, "this is not part of a style")

    def _dangling(self, start: int, end: int, children: list[Node]) -> None:
        if self.masked[end - 1 : end] == b">" and children:
            self.problem("extra-close", end - 1, end, "a closing > that nothing opened", "take it out")
        else:
            self.problem("unreadable", end - 1, end, "nothing behind the operator")
