"""Names that a file declares more than once: only the last declaration is what the others of the file mean by it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from migrate.concrete.items import Alias, Item
from migrate.diagnostics import Diagnostic
from migrate.source import SourceFile, Span


def declared_again(items: Iterable[Item], source: SourceFile) -> Mapping[Span, Diagnostic]:
    """The aliases of one build whose name is declared again behind them, by their span, each with what to say of it."""
    aliases = [i for i in items if isinstance(i, Alias) and not i.params and i.value is not None]
    last = {i.name: i for i in aliases}
    return {i.span: _said(i, last[i.name], source) for i in aliases if last[i.name] is not i}


def _said(item: Alias, later: Alias, source: SourceFile) -> Diagnostic:
    line = source.place(later.name_span.start)[0]
    message = f"`{item.name}` is declared again on line {line}: that one counts, and this one stays as it is"
    return Diagnostic("declared-again", "error", item.name_span, message, "take one out, or give one another name")
