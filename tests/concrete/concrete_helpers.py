"""What the tests of the concrete tree share."""

from __future__ import annotations

from pathlib import Path

from migrate.concrete.nodes import Node, operator
from migrate.concrete.parse import Parsed, parse
from migrate.source import SourceFile

CORPORA = Path(__file__).resolve().parents[2] / "corpora"


def parsed(text: str | bytes) -> Parsed:
    return parse(SourceFile("a.h", text.encode() if isinstance(text, str) else text))


def told(text: str | bytes) -> list[str]:
    """The diagnostics as `line:column code`."""
    found = parsed(text)
    return ["{}:{} {}".format(*found.source.place(d.span.start), d.code) for d in found.diagnostics]


def spell(node: Node, data: bytes) -> str:
    """The tree in brackets: `application(rgb, 1, 2)` as `rgb<1 2>`, arithmetic as `(+ 1 2)`."""
    inside = [spell(child, data) for child in node.children if child.kind != "comment"]
    if node.kind == "application":
        return f"{inside[0]}<{' '.join(inside[1:])}>"
    if node.kind == "macro_call":
        return f"{inside[0]}({' '.join(inside[1:])})"
    if node.kind == "arithmetic":
        sign = operator(node, data)
        return inside[0] if sign == "(" else f"({sign} {' '.join(inside)})"
    if node.kind in ("error", "missing"):
        return f"!{node.kind}"
    return data[node.start : node.end].decode()


def value(text: str) -> str:
    """The value of `using x = TEXT;`, spelled."""
    found = parsed(f"using x = {text};")
    item = found.items[0]
    return spell(item.value, found.source.data)  # type: ignore[union-attr]
