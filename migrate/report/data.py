"""The machine-readable report of a move: one object, described by grammars/schemas/move.json."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from migrate.diagnostics import Diagnostic
from migrate.source import SourceFile

if TYPE_CHECKING:
    from migrate.pipeline import Moved, StyleMove


def move_report(moved: Moved) -> dict[str, Any]:
    """The object that `rehilt move --json` prints."""
    return {
        "to": moved.target,
        "styles": [_style(style) for style in moved.styles],
        "diagnostics": [diagnostic_entry(moved.source, d) for d in moved.diagnostics],
        "exit": moved.exit,
    }


def _style(style: StyleMove) -> dict[str, Any]:
    return {
        "name": style.name,
        "line": style.line,
        "from": style.origin,
        "grade": style.grade,
        "figures": _figures(style),
        "notes": list(style.notes),
    }


def _figures(style: StyleMove) -> dict[str, Any] | None:
    if style.grade == "refused":
        return None
    found: dict[str, Any] = {"rounding_percent": round(float(style.rounding) * 100, 4)}
    if style.figures is not None:
        found["scene"] = style.scene
        for key, value in asdict(style.figures).items():
            found[key] = round(value, 4) if isinstance(value, float) else value
    return found


def diagnostic_entry(source: SourceFile, diagnostic: Diagnostic) -> dict[str, Any]:
    """A diagnostic with its place in lines and columns."""
    line, column = source.place(diagnostic.span.start)
    return {
        "code": diagnostic.code,
        "severity": diagnostic.severity,
        "file": source.name,
        "line": line,
        "column": column,
        "message": diagnostic.message,
        "hint": diagnostic.hint,
    }
