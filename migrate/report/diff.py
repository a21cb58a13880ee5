"""Unified diffs that git and patch accept: any newline, and none at the end of the file."""

from __future__ import annotations

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
    out: list[bytes] = []
    for line in unified_diff(old_lines, new_lines, f"a/{name}", f"b/{name}", n=context, lineterm="\n"):
        raw = line.encode("utf-8" if line.startswith(("---", "+++")) else "latin-1")
        out.append(raw if raw.endswith(b"\n") else raw + b"\n" + _NO_NEWLINE)
    return b"".join(out)


def _with_ends(lines: list[str]) -> list[str]:
    out = [line + "\n" for line in lines[:-1]]
    return [*out, lines[-1]] if lines[-1] else out
