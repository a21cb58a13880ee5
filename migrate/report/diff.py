"""Unified diffs that git and patch accept: any newline, and none at the end of the file."""

from __future__ import annotations

import os
from difflib import unified_diff

_NO_NEWLINE = b"\\ No newline at end of file\n"


def unified(name: str, before: bytes, after: bytes, context: int = 3) -> bytes:
    """The unified diff of two texts under `a/NAME` and `b/NAME`; empty where they are equal.

    Lines keep their own endings, so a CRLF file gives a diff with CR inside its lines, as `git diff` does.
    """
    if before == after:
        return b""
    # latin-1 maps every byte to one character, so difflib can work on any encoding.
    old, new = (text.decode("latin-1").split("\n") for text in (before, after))
    old_lines, new_lines = (_with_ends(lines) for lines in (old, new))
    out = [b"--- " + _quoted(f"a/{name}") + b"\n", b"+++ " + _quoted(f"b/{name}") + b"\n"]
    head, *hunks = list(unified_diff(old_lines, new_lines, n=context, lineterm="\n"))[1:]
    assert head.startswith("+++")
    for line in hunks:
        raw = line.encode("latin-1")
        out.append(raw if raw.endswith(b"\n") else raw + b"\n" + _NO_NEWLINE)
    return b"".join(out)


def path_in_diff(path: str) -> str:
    """The path that a diff names: from here where it lies below, else from the root, as `patch -p1 -d /` takes it.

    >>> path_in_diff("./props/../quay.h")
    'quay.h'
    """
    whole = os.path.abspath(path)
    here = os.path.relpath(whole)
    return (os.path.splitdrive(whole)[1].lstrip(os.sep) if here.startswith(os.pardir) else here).replace(os.sep, "/")


def _quoted(path: str) -> bytes:
    """A path as git writes it in a diff: quoted with escapes where it needs them, before a tab where it has blanks."""
    raw = path.encode("utf-8", "surrogateescape")
    if any(byte < 0x20 or byte in b'"\\\x7f' for byte in raw):
        return b'"' + b"".join(b"\\%03o" % b if b < 0x20 or b in b'"\\\x7f' else bytes((b,)) for b in raw) + b'"'
    return raw + b"\t" if b" " in raw else raw


def _with_ends(lines: list[str]) -> list[str]:
    out = [line + "\n" for line in lines[:-1]]
    return [*out, lines[-1]] if lines[-1] else out
