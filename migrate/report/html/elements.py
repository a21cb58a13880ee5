"""HTML that cannot be broken by what it holds: every text is escaped, only elements made here are markup."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from typing import Union

VOID = frozenset(("br", "hr", "img", "input", "link", "meta"))


class Markup(str):
    """Text that is markup already, because an element function made it."""

    __slots__ = ()


Child = Union[Markup, str, int, None, Iterable["Child"]]


def el(name: str, /, *children: Child, **attributes: str | int | bool | None) -> Markup:
    """An element. An attribute's name loses a final `_`, its other `_` become `-`; None and False leave it out.

    >>> el("p", "a < b", class_="note", hidden=True)
    '<p class="note" hidden>a &lt; b</p>'
    """
    words = [name]
    for key, value in attributes.items():
        if value is None or value is False:
            continue
        key = key.removesuffix("_").replace("_", "-")
        words.append(key if value is True else f'{key}="{escape(str(value), quote=True)}"')
    if name in VOID:
        return Markup(f"<{' '.join(words)}>")
    return Markup(f"<{' '.join(words)}>{join(*children)}</{name}>")


def join(*children: Child) -> Markup:
    """Children in a row: markup as it is, anything else escaped, None left out.

    >>> join("<", el("br"), None, 3)
    '&lt;<br>3'
    """
    return Markup("".join(_text(child) for child in children))


def _text(child: Child) -> str:
    if isinstance(child, Markup):
        return child
    if child is None:
        return ""
    if isinstance(child, (str, int)):
        return escape(str(child), quote=False)
    return join(*child)


def verbatim(name: str, text: str) -> Markup:
    """A `style` or `script` element around text of ours. Raises ValueError where the text would end it early."""
    if f"</{name}" in text.lower() or "<!--" in text:
        raise ValueError(f"the text would close its <{name}>")
    return Markup(f"<{name}>{text}</{name}>")
