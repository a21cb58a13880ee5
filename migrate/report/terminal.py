"""What the terminal shows of a move: the diff, the table of styles, the diagnostics, a summary."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from fractions import Fraction
from typing import TYPE_CHECKING

from rich.console import Console
from rich.table import Table
from rich.text import Text

from migrate.diagnostics import explain

if TYPE_CHECKING:
    from migrate.pipeline import Moved, StyleMove

GRADE_STYLES = {
    "same": "green",
    "close": "cyan",
    "changed": "yellow",
    "kept": "magenta",
    "refused": "red",
    "unmeasured": "blue",
}


# What a text holds of control characters is shown, not sent to the terminal.
_PICTURES = (
    {code: 0x2400 + code for code in range(0x20) if code != 9}
    | {0x7F: 0x2421}
    | dict.fromkeys(range(0x80, 0xA0), 0xFFFD)
)


def visible(text: str) -> str:
    """The text with control characters other than the tab as the signs that Unicode has for them.

    >>> visible("a\\x1b[2Jb")
    'a␛[2Jb'
    """
    return text.translate(_PICTURES)


def print_diff(console: Console, diff: bytes, encoding: str) -> None:
    """A unified diff, coloured by line, for a terminal: line ends and control characters are not kept."""
    for line in diff.decode(encoding, "replace").split("\n")[:-1]:
        style = "bold" if line.startswith(("---", "+++")) else ""
        style = style or {"-": "red", "+": "green", "@": "cyan", "\\": "dim"}.get(line[:1], "")
        console.print(Text(visible(line.removesuffix("\r")), style=style), soft_wrap=True)


def print_styles(console: Console, moved: Moved) -> None:
    """The table of styles with their grades and figures."""
    if not moved.styles:
        return
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("line", "style", "from", "grade", "what was measured"):
        table.add_column(heading, justify="right" if heading == "line" else "left", overflow="fold")
    for style in moved.styles:
        grade = Text(style.grade, style=GRADE_STYLES[style.grade])
        table.add_row(str(style.line), Text(style.name), style.origin, grade, Text(figures_in_words(style)))
    if console.is_terminal:
        console.print(table)
        return
    with console.capture() as captured:
        console.print(table)
    for line in captured.get().splitlines():  # what is piped has no blanks at its ends
        console.print(line.rstrip(), soft_wrap=True)


def figures_in_words(style: StyleMove) -> str:
    """The figures of one style in a line or two."""
    said = []
    if style.grade == "same":
        said.append("equal meaning")
    if style.rounding and style.figures is None:
        said.append(f"numbers rounded by {_share(style.rounding)}")
    figures = style.figures
    if figures is not None:
        said.append(
            f"ΔE 95 % {figures.p95:.2f}, largest {figures.largest:.2f} at {figures.where.time_ms / 1000:.3f} s, "
            f"pixel {figures.where.pixel}; event edges {figures.edge_ms:.0f} ms"
        )
        if style.grade == "changed" and figures.first is not None:
            said.append(f"first seen in scene {style.scene}, frame {figures.first.frame}")
    return "\n".join((*said, *style.notes))


def print_diagnostics(console: Console, moved: Moved) -> None:
    """Each diagnostic with its line and caret."""
    colours = {"error": "red", "warning": "yellow", "note": "cyan"}
    for diagnostic in moved.diagnostics:
        head, *rest = visible_lines(explain(moved.source, diagnostic))
        console.print(Text(head, style=colours[diagnostic.severity]), soft_wrap=True)
        for line in rest:
            console.print(Text(line), soft_wrap=True)


def visible_lines(text: str) -> list[str]:
    """The lines of a text, each made visible."""
    return [visible(line) for line in text.split("\n")]


def summary(styles: Iterable[StyleMove], origin: str | None, target: str) -> str:
    """One line: how many styles came out how."""
    counts = Counter(str(style.grade) for style in styles)
    told = ", ".join(f"{counts[g]} {g}" for g in GRADE_STYLES if counts[g])
    total = sum(counts.values())
    if not total:
        return f"no style{f' of {origin}' if origin else ''} to move to {target}"
    counted = f"{total} {'style' if total == 1 else 'styles'}"
    return f"{counted} from {origin or 'an unknown generation'} to {target}: {told or 'none'}"


def _share(rounding: Fraction) -> str:
    """A rounding in per cent, never told as nothing."""
    return "less than 0.01 %" if rounding < Fraction(1, 10_000) else f"at most {float(rounding):.2%}".replace("%", " %")
