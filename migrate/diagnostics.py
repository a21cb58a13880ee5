"""Diagnostics are values: a code, a severity, a span, a message and a hint; one printer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from migrate.source import SourceFile, Span

Severity = Literal["error", "warning", "note"]


@dataclass(frozen=True, slots=True)
class Diagnostic:
    """`code` is a stable lower-case word group such as `missing-close`; `hint` says what to type, or nothing."""

    code: str
    severity: Severity
    span: Span
    message: str
    hint: str = ""


def explain(source: SourceFile, diagnostic: Diagnostic) -> str:
    """The printed form: place, severity, code and message, the line with a caret run, the hint.

    >>> print(explain(SourceFile("a.h", b"x = dye<1;"), Diagnostic("missing-close", "error", Span(9, 9), "no >")))
    a.h:1:10: error [missing-close] no >
      x = dye<1;
               ^
    """
    line, column = source.place(diagnostic.span.start)
    text = source.line_text(line).replace("\t", " ")
    end_line, end_column = source.place(diagnostic.span.end)
    width = end_column - column if end_line == line else len(text) - column + 1
    out = [f"{source.name}:{line}:{column}: {diagnostic.severity} [{diagnostic.code}] {diagnostic.message}"]
    if text.strip():
        out.extend(_pointed(text, column - 1, max(1, width)))
    if diagnostic.hint:
        out.append(f"  hint: {diagnostic.hint}")
    return "\n".join(out)


_WIDEST = 160  # characters of a line that are shown; of a longer one, those round the caret


def _pointed(text: str, start: int, width: int) -> tuple[str, str]:
    """A line and its caret run, both cut to what is near the caret where the line is very long."""
    if len(text) > _WIDEST:
        first = max(0, min(start - _WIDEST // 4, len(text) - _WIDEST))
        cut = text[first : first + _WIDEST]
        head, tail = "…" if first else "", "…" if first + _WIDEST < len(text) else ""
        text, start = f"{head}{cut}{tail}", start - first + len(head)
        width = max(1, min(width, len(head) + len(cut) - start))
    return "  " + text, "  " + " " * start + "^" * width
