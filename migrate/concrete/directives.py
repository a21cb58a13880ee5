"""Directives: one line of the host file, read into an item."""

from __future__ import annotations

import re
from collections.abc import Iterator

from migrate.concrete.build import Builder
from migrate.concrete.items import Alias, Conditional, Define, Include, Item, Other
from migrate.concrete.language import read
from migrate.concrete.nodes import EXPRESSIONS, Node, arguments
from migrate.diagnostics import Diagnostic
from migrate.source import SourceFile, Span

_WORD = re.compile(rb"#(?:[ \t]|/\*.*?\*/|\\\r?\n)*([a-z]+)", re.DOTALL)
_DEFINE = re.compile(rb"(?:[ \t]|\\\r?\n)*([A-Za-z_\x7f][\w\x7f]*)(\([^()]*\))?")
_INCLUDE = re.compile(rb"[ \t]*(?:<([^>\r\n]*)>|\"([^\"\r\n]*)\")")
_CONTINUATION = re.compile(rb"\\\r?\n")
_LEAD = re.compile(rb"(?:[ \t\r\n\f\v]|\\\r?\n|/\*.*?\*/)*", re.DOTALL)
_BLANK = b" \t\r\n\f\v"
_CONDITIONALS = frozenset({b"if", b"ifdef", b"ifndef", b"elif", b"elifdef", b"elifndef", b"else", b"endif"})
_PREFIX = b"using _="


def read_directive(source: SourceFile, masked: bytes, node: Node, told: list[Diagnostic]) -> Item:
    """The item of one directive; Other for those that mean nothing here. Problems are added to `told`."""
    span = Span(node.start, node.end)
    told.extend(_open_comment(masked, span))
    word = _WORD.match(masked, node.start, node.end)
    if word is None:
        return Other(span)
    if word[1] in _CONDITIONALS:
        return Conditional(word[1].decode(), _body(masked, word.end(), node.end), span)
    if word[1] == b"define":
        return _define(source, masked, word.end(), span, told)
    if word[1] == b"include":
        path = _INCLUDE.match(masked, word.end(), node.end)
        if path is not None:
            which = 1 if path[1] is not None else 2
            inside = Span(*path.span(which))
            return Include(source.text(inside), which == 1, inside, span)
    return Other(span)


def _define(source: SourceFile, masked: bytes, at: int, span: Span, told: list[Diagnostic]) -> Item:
    head = _DEFINE.match(masked, at, span.end)
    if head is None:
        return Other(span)
    params = None
    if head[2] is not None:
        params = tuple(part.strip().decode() for part in head[2][1:-1].split(b",") if part.strip())
    body = _body(masked, head.end(), span.end)
    name = source.text(Span(*head.span(1)))
    found = parse_part(masked[body.start : body.end], body.start)
    value = None
    if found is not None and not found[1].problems:
        value = found[0]
    elif found is not None and found[0].kind == "application" and masked[found[0].children[0].end] == ord("<"):
        told.extend(found[1].problems)
    declares = None if value is not None or body.start == body.end else _declaration(source, masked, body)
    values = _listed(masked, body) if value is None and declares is None and body.start != body.end else ()
    return Define(name, params, value, body, span, declares, values)


def _body(masked: bytes, start: int, end: int) -> Span:
    """A directive's text without the blanks and comments round it."""
    cut = _comment_start(masked, start, end)
    while cut > start and (masked[cut - 1] in _BLANK or masked[cut - 1 : cut] == b"\\"):
        cut -= 1
    lead = _LEAD.match(masked, start, cut)
    start = lead.end() if lead else start
    return Span(min(start, cut), cut)


_PIECE = re.compile(rb"\"(?:[^\"\\]|\\.)*\"|//(?:[^\n\\]|\\.)*|/\*.*?\*/|/\*.*|.", re.DOTALL)


def _comment_start(masked: bytes, start: int, end: int) -> int:
    """Where the comments begin that nothing but blanks follows, or the end."""
    cut = end
    trailing = False
    for piece in _PIECE.finditer(masked, start, end):
        token = piece[0]
        if token.startswith((b"//", b"/*")) and len(token) > 1:
            if not trailing:
                cut, trailing = piece.start(), True
        elif not token.isspace() and token != b"\\":
            cut, trailing = end, False
    return cut


def _open_comment(masked: bytes, span: Span) -> Iterator[Diagnostic]:
    """A comment that begins in a directive and never ends: it swallows the rest of the file."""
    if masked.find(b"/*", span.start, span.end) < 0:
        return
    for piece in _PIECE.finditer(masked, span.start, span.end):
        token = piece[0]
        if token.startswith(b"/*") and (len(token) < 4 or not token.endswith(b"*/")):
            yield Diagnostic(
                "unterminated-comment",
                "error",
                Span(piece.start(), piece.start() + 2),
                "the comment is never closed",
                "close it with */",
            )


def expression(masked: bytes, span: Span) -> Node | None:
    """The expression that a span holds, with offsets in the file; None where it holds anything else."""
    found = parse_part(masked[span.start : span.end], span.start)
    return None if found is None or found[1].problems else found[0]


def parse_part(part: bytes, base: int) -> tuple[Node, Builder] | None:
    """The value and the problems of masked bytes that start at offset `base` of a file; None if no expression."""
    if not part.strip():
        return None
    builder = Builder(_PREFIX + _unfold(part), base - len(_PREFIX))
    root = builder.build(read(builder.masked))
    whole = [child for child in root.children if child.kind != "comment"]
    if len(whole) != 1 or whole[0].kind != "alias":
        return None
    values = [child for child in whole[0].children if child.kind != "comment"][1:]
    if len(values) != 1 or values[0].kind not in EXPRESSIONS or whole[0].end > values[0].end:
        return None
    return values[0], builder


def _listed(masked: bytes, span: Span) -> tuple[Node, ...]:
    """The expressions of a body that is a list, as in ``#define BOTH left<1>, right<2>``; none for any other."""
    before = _PREFIX + b"_<"
    builder = Builder(before + _unfold(masked[span.start : span.end]) + b">", span.start - len(before))
    root = builder.build(read(builder.masked))
    whole = [child for child in root.children if child.kind != "comment"]
    if builder.problems or len(whole) != 1 or whole[0].kind != "alias":
        return ()
    values = [child for child in whole[0].children if child.kind != "comment"][1:]
    if len(values) != 1 or values[0].kind != "application" or values[0].end != span.end + 1:
        return ()
    inside = arguments(values[0])
    return inside if all(child.kind in EXPRESSIONS for child in inside) else ()


def _unfold(part: bytes) -> bytes:
    """The same length, with blanks for the backslash and newline that continue a directive."""
    return _CONTINUATION.sub(lambda match: b" " * len(match[0]), part)


def _declaration(source: SourceFile, masked: bytes, span: Span) -> Alias | None:
    """The alias that a macro's body declares, without parameters of its own."""
    part = _unfold(masked[span.start : span.end])
    builder = Builder(part, span.start)
    root = builder.build(read(part))
    nodes = [child for child in root.children if child.kind != "comment"]
    if len(nodes) != 1 or nodes[0].kind not in ("alias", "typedef") or builder.problems:
        return None
    parts = [child for child in nodes[0].children if child.kind != "comment"]
    if len(parts) != 2 or {parts[0].kind, parts[1].kind} & {"error"}:
        return None
    using = nodes[0].kind == "alias"
    name, value = (parts[0], parts[1]) if using else (parts[1], parts[0])
    if name.kind != "name":
        return None
    named = Span(name.start, name.end)
    return Alias(source.text(named), named, value, (), "using" if using else "typedef", span)
