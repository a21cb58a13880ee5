"""Diagnostics are values: a code, a severity, a span, a message and a hint; one printer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from migrate.source import SourceFile, Span

Severity = Literal["error", "warning", "note"]


@dataclass(frozen=True, slots=True)
class Diagnostic:
    """`code` is a stable lower-case word group such as `missing-close`; `hint` says what to type instead, or is empty."""

    code: str
    severity: Severity
    span: Span
    message: str
    hint: str = ""


def explain(source: SourceFile, diagnostic: Diagnostic) -> str:
    """The printed form: place, severity, code and message, the line with a caret run, the hint.

    >>> print(explain(SourceFile("a.h", b"x = rgb<1;"), Diagnostic("missing-close", "error", Span(9, 9), "no >")))
    a.h:1:10: error [missing-close] no >
      x = rgb<1;
               ^
    """
    line, column = source.place(diagnostic.span.start)
    text = source.line_text(line).replace("\t", " ")
    end_line, end_column = source.place(diagnostic.span.end)
    width = end_column - column if end_line == line else len(text) - column + 1
    out = [
        f"{source.name}:{line}:{column}: {diagnostic.severity} [{diagnostic.code}] {diagnostic.message}",
        f"  {text}",
        "  " + " " * (column - 1) + "^" * max(1, width),
    ]
    if diagnostic.hint:
        out.append(f"  hint: {diagnostic.hint}")
    return "\n".join(out)
