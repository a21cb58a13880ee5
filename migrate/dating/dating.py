"""Dates a file: which generations accept its expressions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from migrate.concrete.parse import Parsed
from migrate.diagnostics import Diagnostic
from migrate.packs.model import Generation
from migrate.scope import Scope
from migrate.source import Span


@dataclass(frozen=True)
class Dating:
    """The generation that a file is read as."""

    generation: str


def date(parsed: Parsed, scope: Scope, generations: Mapping[str, Generation]) -> Dating | Diagnostic:
    """Without a declared generation a file cannot be read yet."""
    hint = f"give --from {' or '.join(generations)}, or add the generation's include"
    return Diagnostic("undeclared-generation", "error", Span(0, 0), "nothing says which generation this is", hint)
