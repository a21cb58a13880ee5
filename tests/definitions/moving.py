"""Moves short configs and says what became of them."""

from __future__ import annotations

from pathlib import Path

from migrate.diagnostics import Diagnostic
from migrate.pipeline import Moved, Options, move, read
from migrate.source import SourceFile
from migrate.together import move_together

HEADS = {
    "wick1": "#include <wick1.h>\nconst int blade_pixels = 132;\nconst int pixels_per_metre = 144;\n",
    "wick2": "#define WICK_GENERATION 2\n#include <wick2.h>\n",
    "wick3": "#define WICK_GENERATION 3\n#include <wick/pile.h>\nusing namespace wick;\n",
    "wick4": "#define WICK_GENERATION 4\n#include <wick/score.h>\nusing namespace wick;\n",
}
FACTS = "constexpr int blade_pixels = 132;\nconstexpr int pixels_per_metre = 144;\n"


def config(generation: str, body: str) -> str:
    """A whole config with these definitions."""
    return HEADS[generation] + ("" if generation == "wick1" else FACTS) + body


def moved(
    generation: str, target: str, body: str, defines: tuple[tuple[str, int], ...] = (), path: Path | None = None,
    together: frozenset[Path] = frozenset(),
) -> Moved:  # fmt: skip
    """The move of a config with these definitions; the file is written where `path` says, if it does.

    The files of `together` are moved in the same run.
    """
    text = config(generation, body)
    if path is not None:
        path.write_text(text, "utf-8")
    source = SourceFile(str(path or "staffs.h"), text.encode())
    others = [SourceFile(str(other), other.read_bytes()) for other in sorted(together)]
    return move_together([source, *others], Options(target, prove=False, defines=defines))[0].moved


def text_of(result: Moved) -> str:
    """The new text."""
    return result.text.decode()


def codes(result: Moved) -> list[str]:
    """The codes of what there is to say, in the order of the text."""
    return [d.code for d in result.diagnostics]


def said(result: Moved, code: str) -> list[tuple[int, str]]:
    """Line and message of each diagnostic of a code."""
    return [(result.source.place(d.span.start)[0], d.message) for d in result.diagnostics if d.code == code]


def grades(result: Moved) -> dict[str, str]:
    """The grade of each style."""
    return {s.name: s.grade for s in result.styles}


def is_stable(result: Moved, target: str, path: Path | None = None) -> bool:
    """Whether moving the result again changes nothing."""
    again = move(SourceFile(str(path or "staffs.h"), result.text), Options(target, prove=False))
    return again.text == result.text


def reading_of(text: str, generation: str) -> list[Diagnostic]:
    """What there is to say about a text of a generation."""
    found = read(SourceFile("staffs.h", text.encode()), Options(generation))
    return [found] if isinstance(found, Diagnostic) else list(found.diagnostics)
