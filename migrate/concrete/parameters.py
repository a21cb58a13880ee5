"""The parameters of an alias template, from the text of its head."""

from __future__ import annotations

import re
from collections.abc import Iterator

from migrate.concrete.items import Parameter

_PARAMETER = re.compile(
    rb"\s*([\w:\x7f]+(?:\s+[\w:\x7f]+)*?)\s*(\.\.\.)?\s*\b([A-Za-z_\x7f][\w\x7f]*)?\s*(?:=.*)?$", re.DOTALL
)


def parameters(head: bytes) -> tuple[Parameter, ...]:
    """The parameters that ``template <class T, int N>`` declares; what is none of them is left out."""
    inside = head[head.find(b"<") + 1 : head.rfind(b">")]
    found = (_PARAMETER.match(part) for part in _split_commas(inside))
    return tuple(
        Parameter(match[1].decode(), (match[3] or b"").decode(), match[2] is not None) for match in found if match
    )


def _split_commas(inside: bytes) -> Iterator[bytes]:
    """The parts between commas that stand outside of brackets."""
    angles, rounds, start = 0, 0, 0
    for at, byte in enumerate(inside):
        if byte in b"([{":
            rounds += 1
        elif byte in b")]}":
            rounds -= 1
        elif byte in b"<>" and not rounds:
            angles += 1 if byte == ord("<") else -1
        elif byte == ord(",") and not angles and not rounds:
            yield inside[start:at]
            start = at + 1
    if inside[start:].strip():
        yield inside[start:]
