"""The little Markdown that grammars/reference.md uses, to HTML: headings, paragraphs, tables, lists, code, bold."""

from __future__ import annotations

import re
from collections.abc import Iterator

from migrate.report.html.elements import Markup, el, join

_INLINE = re.compile(r"`([^`]+)`|\*\*([^*]+)\*\*|\[([^\]]+)\]\(([^)\s]+)\)")


def slug(text: str) -> str:
    """A heading as an anchor: lower case, words joined by hyphens.

    >>> slug("Place and length")
    'place-and-length'
    """
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")


def inline(text: str) -> Markup:
    """Code, bold and links within a line; all else is escaped."""
    out: list[Markup | str] = []
    at = 0
    for found in _INLINE.finditer(text):
        out.append(text[at : found.start()])
        code, bold, words, target = found.groups()
        out.append(el("code", code) if code else el("strong", bold) if bold else el("a", words, href=target))
        at = found.end()
    return join(*out, text[at:])


def cells(row: str) -> list[str]:
    """The cells of a table's row; a bar within code, or after a backslash, is no boundary."""
    out, code, cell = [], False, ""
    body = row.strip().removeprefix("|").removesuffix("|")
    for index, letter in enumerate(body):
        code ^= letter == "`"
        if letter == "|" and not code and body[index - 1 : index] != "\\":
            out.append(cell)
            cell = ""
        elif letter != "\\" or body[index + 1 : index + 2] != "|":
            cell += letter
    return [c.strip() for c in (*out, cell)]


def to_html(text: str, prefix: str = "", deeper: int = 1) -> Markup:
    """The body of a document; anchors begin with `prefix`, and headings go `deeper` levels down."""
    return join(*(_block(block, prefix, deeper) for block in _blocks(text)))


def _blocks(text: str) -> Iterator[list[str]]:
    """Runs of lines that belong together: a blank line, or a change of kind, ends one."""
    block: list[str] = []
    for line in [*text.splitlines(), ""]:
        if block and (not line.strip() or (_kind(line) != _kind(block[0]) and not line.startswith("  "))):
            yield block
            block = []
        if line.strip():
            block.append(line)


def _kind(line: str) -> str:
    if line.startswith("#"):
        return line
    if line.startswith("|"):
        return "table"
    return "list" if re.match(r"[*-] ", line) else "text"


def _block(lines: list[str], prefix: str, deeper: int) -> Markup:
    kind = _kind(lines[0])
    if kind == "table":
        return _table(lines)
    if kind == "list":
        items: list[str] = []
        for line in lines:
            if re.match(r"[*-] ", line):
                items.append(line[2:])
            else:
                items[-1] += " " + line.strip()
        return el("ul", *(el("li", inline(item)) for item in items))
    if kind == "text":
        return el("p", inline(" ".join(line.strip() for line in lines)))
    level = len(lines[0]) - len(lines[0].lstrip("#"))
    words = lines[0].lstrip("#").strip()
    return el(f"h{min(6, level + deeper)}", inline(words), id=prefix + slug(words))


def _table(lines: list[str]) -> Markup:
    rows = [cells(line) for line in lines]
    ruled = len(rows) > 1 and all(re.fullmatch(r":?-+:?", c) for c in rows[1])
    body = rows[2:] if ruled else rows
    head = el("thead", el("tr", *(el("th", inline(c), scope="col") for c in rows[0]))) if ruled else None
    return el(
        "div",
        el("table", head, el("tbody", *(el("tr", *(el("td", inline(c)) for c in row)) for row in body))),
        class_="wide", tabindex="0", role="region", aria_label=" and ".join(rows[0]),
    )  # fmt: skip
