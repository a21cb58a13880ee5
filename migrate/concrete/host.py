"""From the nodes of a host file to its items, and which of the problems found are worth telling.

Plain C++ is none of our business: a problem inside an item that turns out to be no style is dropped, and nothing
in the body of a function or a class is taken for a style.
"""

from __future__ import annotations

import re
from dataclasses import replace

from migrate.concrete import directives
from migrate.concrete.items import (
    Alias,
    Bare,
    Constant,
    Item,
    Other,
    StyleMacro,
    UsingNamespace,
)
from migrate.concrete.nodes import Node
from migrate.concrete.parameters import parameters
from migrate.concrete.repair import lift_name
from migrate.concrete.tables import braced_table, template_table
from migrate.diagnostics import Diagnostic
from migrate.source import SourceFile, Span

# Always told, whatever they stand in: they change how the rest of the line or the file is read.
_LEXICAL = frozenset({"unterminated-string", "unterminated-comment", "nested-too-deep"})
_DECLARATIONS = frozenset({"alias", "typedef", "constant", "table", "template_head", "using_namespace", "directive"})
_CONSTANT = re.compile(rb"\b(?:const|constexpr)\b")
_DECLARATOR = re.compile(rb",\s*([A-Za-z_\x7f][\w\x7f]*)\s*=([^,;={]+)")
_STYLISH_TAIL = re.compile(rb"[\d>,]")


def present(node: Node) -> list[Node]:
    """The children without comments."""
    return [child for child in node.children if child.kind != "comment"]


class HostReader:
    """Reads the children of a root node into `items`; `kept` are the problems worth telling."""

    def __init__(self, source: SourceFile, masked: bytes, problems: list[Diagnostic]) -> None:
        self.source = source
        self.masked = masked
        self.items: list[Item] = []
        self.kept: list[Diagnostic] = []
        self._problems = sorted(problems, key=lambda d: (d.span.start, d.span.end))
        self._at = 0
        self._braces: list[bool] = []
        self._bodies = 0
        self._head: Node | None = None
        self._before: Node | None = None

    # ---- the walk

    def read(self, root: Node) -> None:
        """Goes over the file once, item by item."""
        nodes = [child for child in root.children if child.kind != "comment"]
        for index, node in enumerate(nodes):
            following = nodes[index + 1] if index + 1 < len(nodes) else None
            self._pass_problems(node.start)
            self._item(node, following)
            self._pass_problems(node.end)
            self._head = node if node.kind == "template_head" else None
            self._before = node
        self._pass_problems(len(self.masked) + 1)
        self._drop_echoes()

    def _drop_echoes(self) -> None:
        """Drops what is missed only because a comment that never ends swallows it."""
        for comment in [problem for problem in self.kept if problem.code == "unterminated-comment"]:
            at = comment.span.start
            self.kept = [
                problem
                for problem in self.kept
                if problem.code in _LEXICAL
                or problem.span.start > at
                or self.masked[problem.span.start : at].strip(b" \t\r\n,>);")
            ]

    def _pass_problems(self, end: int) -> None:
        """Tells, of the problems before `end` that no item has claimed, those that count everywhere."""
        self.kept.extend(found for found in self._claim(end) if found.code in _LEXICAL)

    def _claim(self, end: int) -> list[Diagnostic]:
        start = self._at
        while self._at < len(self._problems) and self._problems[self._at].span.start < end:
            self._at += 1
        return self._problems[start : self._at]

    def _claim_all(self, node: Node) -> list[Diagnostic]:
        # a bracket is missed at the very end of an item, where its span is empty
        found = self._claim(node.end)
        while self._at < len(self._problems) and self._problems[self._at].span == Span(node.end, node.end):
            found.append(self._problems[self._at])
            self._at += 1
        return found

    def _tell(self, node: Node) -> None:
        """Tells all problems of an item, brackets that are missed at one place as one."""
        found = self._claim_all(node)
        if any(problem.code in _LEXICAL for problem in found):
            # what follows from a string or comment that never ends is no news
            found = [problem for problem in found if problem.code in _LEXICAL]
        for problem in found:
            last = self.kept[-1] if self.kept else None
            if last and problem.code == last.code == "missing-close" and problem.span == last.span:
                self.kept[-1] = _one_more(last, problem)
            else:
                self.kept.append(problem)

    def _add_problem(self, code: str, span: Span, message: str, hint: str = "") -> None:
        self.kept.append(Diagnostic(code, "error", span, message, hint))

    def _item(self, node: Node, following: Node | None) -> None:
        kind = node.kind
        if kind == "open":
            before = self._before
            body = before is None or not self._transparent(before)
            self._braces.append(body)
            self._bodies += body
        elif kind == "close":
            if self._braces:
                self._bodies -= self._braces.pop()
        elif kind == "alias":
            self._alias(node, following)
        elif kind == "directive":
            self.items.append(directives.read_directive(self.source, self.masked, node, self.kept))
        elif kind == "typedef":
            self._typedef(node, following)
        elif kind == "using_namespace":
            names = [child for child in node.children if child.kind == "name"]
            item = UsingNamespace(self._text(names[0]), _span(node)) if names else Other(_span(node))
            self.items.append(item)
        elif kind == "using_other":
            self._using(node, following)
        elif self._bodies:  # of functions and classes
            self.items.append(Other(_span(node)))
        elif kind == "constant":
            self._constant(node, following)
        elif kind == "bare":
            self._bare(node)
        elif kind == "table":
            self._table(node)
        else:
            self._other(node)

    def _transparent(self, node: Node) -> bool:
        return node.kind == "namespace" or self.masked.startswith(b"extern", node.start)

    def _text(self, node: Node) -> str:
        return self.source.text(_span(node))

    # ---- declarations

    def _alias(self, node: Node, following: Node | None) -> None:
        parts = present(node)
        name, values = parts[0], parts[1:]
        if not values:
            self._tell(node)
            end = node.start + len(self.masked[node.start : node.end].rstrip(b"; \t\r\n"))
            self._add_problem("unreadable", Span(end, end), "the alias stands for nothing", "put a style and ; here")
            self.items.append(Other(_span(node)))
            return
        value = self._value(node, values, following)
        if value is None:
            self.items.append(Other(_span(node)))
            return
        head = self._head
        span = Span(head.start if head else node.start, node.end)
        params = parameters(self.masked[head.start : head.end]) if head else ()
        self._tell(node)
        table = None if head else template_table(self.source, self._text(name), value, span)
        self.items.append(
            table or Alias(self._text(name), _span(name), value, params, "template" if head else "using", span)
        )
        self._semicolon(node, following)

    def _using(self, node: Node, following: Node | None) -> None:
        """``using NAME`` without ``=``: told where a style follows, or the line ends and a declaration follows."""
        self.items.append(Other(_span(node)))
        parts = present(node)
        if following is None or self._ended(node) or len(parts) != 1 or parts[0].kind != "name":
            return
        end = parts[0].end
        gap = self.masked[end : following.start]
        if following.kind == "bare" and not gap.strip() and b"\n" not in gap:
            self._add_problem("unreadable", Span(end, end), "no = behind the name", "put = here")
        elif following.kind in _DECLARATIONS and self._alone(node):
            self._add_problem("unreadable", Span(end, end), "no = and no style behind the name", "put = STYLE; here")

    def _alone(self, node: Node) -> bool:
        """Whether nothing else stands on the line of a node; else it may be a word in prose."""
        first = self.masked.rfind(b"\n", 0, node.start) + 1
        last = self.masked.find(b"\n", node.end)
        return self.masked[first : last if last >= 0 else None].strip() == self.masked[node.start : node.end].strip()

    def _value(self, node: Node, values: list[Node], following: Node | None) -> Node | None:
        """The value of a declaration; an error node where more stands behind it; None where it is no style."""
        value = values[0]
        beside = following is not None and self._beside(node, following)
        if len(values) == 1 and not beside:
            return value if value.kind != "error" else None
        stylish = value.kind == "application"
        if not stylish and (beside or not _STYLISH_TAIL.match(self.masked, values[-1].start)):
            return None
        if beside and following is not None:
            self._add_problem(
                "unreadable",
                Span(following.start, following.start + 1),
                "this is not part of a style",
                "is a ; missing before it?",
            )
        return Node("error", value.start, values[-1].end, tuple(values))

    def _beside(self, node: Node, following: Node) -> bool:
        """Whether a declaration without its `;` runs on, on the same line, in what was read as another item."""
        if self._ended(node) or following.kind in ("directive", "close", "alias", "typedef", "constant", "error"):
            return False
        return b"\n" not in self.masked[node.end : following.start]

    def _ended(self, node: Node) -> bool:
        return self.masked[node.end - 1 : node.end] == b";"

    def _semicolon(self, node: Node, following: Node | None) -> None:
        if not self._ended(node) and not (following is not None and self._beside(node, following)):
            last = present(node)[-1].end
            told = self.kept[-1] if self.kept and self.kept[-1].span.start >= node.start else None
            if told is None:
                self._add_problem("missing-semicolon", Span(last, last), "no ; behind the declaration", "put ; here")
            elif told.code == "missing-close" and told.span.start == last:
                closers = told.message.removeprefix("no closing ")
                self.kept[-1] = replace(told, hint=f"put {closers}; here")

    def _typedef(self, node: Node, following: Node | None) -> None:
        parts = present(node)
        if len(parts) == 1 and parts[0].kind == "application":
            value, name = lift_name(parts[0])
            if name is not None:
                found = [p for p in self._claim_all(node) if p.code != "missing-close" and p.span.start < value.end]
                self.kept.extend(found)
                missing = _count_missing(value)
                closers = ">" * missing
                self._add_problem(
                    "missing-close", Span(value.end, value.end), f"no closing {closers}", f"put {closers} here"
                )
                parts = [value, name]
        if len(parts) != 2 or parts[1].kind != "name" or (following is not None and self._beside(node, following)):
            if parts and parts[0].kind == "application":
                self._tell(node)
                end = parts[-1].end
                told = self.kept[-1] if self.kept and self.kept[-1].span.start >= node.start else None
                if told is not None and told.code == "missing-close" and told.span.start == end:
                    closers = told.message.removeprefix("no closing ")
                    self.kept[-1] = replace(told, hint=f"put {closers}, a name and ; here")
                elif told is None:
                    message = "the typedef has no plain name at its end"
                    self._add_problem("unreadable", Span(end, end), message, "put a name and ; here")
            self.items.append(Other(_span(node)))
            return
        value, name = parts
        self._tell(node)
        self.items.append(Alias(self._text(name), _span(name), value, (), "typedef", _span(node)))
        self._semicolon(node, following)

    def _constant(self, node: Node, following: Node | None) -> None:
        parts = present(node)
        at = next((i for i in range(1, len(parts)) if b"=" in self.masked[parts[i - 1].end : parts[i].start]), 0)
        if not at or parts[at].kind == "error" or not _CONSTANT.search(self.masked, node.start, parts[at - 1].start):
            self.items.append(Other(_span(node)))
            return
        name, value, rest = parts[at - 1], parts[at], parts[at + 1 :]
        if rest and self.masked[rest[0].start : rest[0].start + 1] != b",":
            self.items.append(Other(_span(node)))
            return
        if not rest:
            self._tell(node)
            self._semicolon(node, following)
        self.items.append(Constant(self._text(name), _span(name), value, _span(node)))
        for match in _DECLARATOR.finditer(self.masked, rest[0].start, node.end) if rest else ():
            further = directives.expression(self.masked, Span(*match.span(2)))
            if further is not None:
                named = Span(*match.span(1))
                self.items.append(Constant(self.source.text(named), named, further, Span(*match.span())))

    # ---- what stands by itself

    def _bare(self, node: Node) -> None:
        parts = present(node)
        value = parts[0]
        if value.kind == "macro_call":
            self._call(node, value)
            return
        if self._spaced(value) and value.children[-1].kind == "missing":
            self.items.append(Other(_span(node)))  # a comparison in prose or plain C++
            return
        extra = len(parts) > 1 and self.masked[parts[1].start : parts[1].start + 1] != b">"
        found = self._claim_all(value if extra else node)
        self.kept.extend(found)
        self.items.append(Bare(value, Span(value.start, value.end if extra else node.end)))
        for tail in parts[1:]:
            self._fragments(tail)

    def _call(self, node: Node, call: Node) -> None:
        inside = [child for child in call.children[1:] if child.kind not in ("comment", "missing")]
        if (
            len(inside) == 2
            and inside[0].kind == "name"
            and inside[1].kind in ("application", "name", "macro_call", "error")
        ):
            self._tell(node)
            self.items.append(
                StyleMacro(
                    self._text(call.children[0]), self._text(inside[0]), _span(inside[0]), inside[1], _span(node)
                )
            )
        elif call.children[-1].kind != "missing" and all(child.kind != "error" for child in inside):
            self.items.append(Bare(call, _span(node)))
        else:
            self.items.append(Other(_span(node)))

    def _table(self, node: Node) -> None:
        table, odd = braced_table(self.source, node)
        if table is None:
            self.items.append(Other(_span(node)))
            return
        told = len(self.kept)
        self._tell(node)
        for entry in odd:
            if not any(entry.start <= problem.span.start <= entry.end for problem in self.kept[told:]):
                self._add_problem("unreadable", _span(entry), "this is not a slot: it needs one style and a string")
        if not any(child.kind == "close" for child in node.children):
            self._add_problem("missing-close", Span(node.end, node.end), "no closing }", "put }; here")
        self.items.append(table)

    def _other(self, node: Node) -> None:
        if node.kind == "template_head":
            return
        before = len(self.items)
        for child in node.children:
            if child.kind == "error":
                self._fragments(child)
        if len(self.items) == before:
            self.items.append(Other(_span(node)))

    def _fragments(self, tail: Node) -> None:
        """Applications that stand whole in other text are fragments."""
        for child in tail.children:
            if child.kind != "application" or self._spaced(child):
                continue
            self._pass_problems(child.start)
            found = self._claim(child.end)
            self.kept.extend(problem for problem in found if problem.code in _LEXICAL)
            if not found:
                self.items.append(Bare(child, _span(child)))

    def _spaced(self, application: Node) -> bool:
        """Whether a blank parts the name from its `<`: that is how a comparison is written, not a style."""
        at = application.children[0].end
        return self.masked[at : at + 1] != b"<"


def _span(node: Node) -> Span:
    return Span(node.start, node.end)


def _count_missing(node: Node) -> int:
    count = 0
    while node.children and node.children[-1].kind == "missing":
        count += 1
        inner = [child for child in node.children[:-1] if child.kind != "comment"]
        node = inner[-1]
    return count


def _one_more(first: Diagnostic, second: Diagnostic) -> Diagnostic:
    closers = first.message.removeprefix("no closing ") + second.message.removeprefix("no closing ")
    return Diagnostic(first.code, first.severity, first.span, f"no closing {closers}", f"put {closers} here")
