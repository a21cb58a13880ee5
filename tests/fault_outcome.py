"""What the three checks say of one corpus file: run in a process of its own with REHILT_GRAMMARS on a changed copy.

`python -m tests.fault_outcome measured|compiled|drawn FILE TARGET [STYLE…]` prints a JSON object: each style that the
check finds wrong, with what it has to say.

measured   the move's own proof: both texts lifted through the packs and drawn; the styles graded `changed`
compiled   source and output compiled, each with its own headers; the styles that are out of tolerance
drawn      lifted and drawn against compiled, for the source (TARGET is not used); the styles more than a step apart
"""

from __future__ import annotations

import json
import sys
from typing import Any

from migrate.compare.figures import Figures, Tolerance, within
from migrate.packs.library import library
from migrate.pipeline import Options, move, scene_named
from migrate.proof import agreement, build_of, compiled_figures
from tests.corpus import ROOT, Text, reading_of, styles_of


def outcome(check: str, path: str, target: str, styles: list[str]) -> dict[str, Any]:
    """The styles that the check finds wrong; all of the file where none are named."""
    text = Text(path, "", (ROOT / path).read_bytes())
    return {"measured": measured, "compiled": compiled, "drawn": drawn}[check](text, target, styles)


def measured(text: Text, target: str, styles: list[str]) -> dict[str, Any]:
    moved = move(text.source, Options(target))
    chosen = [s for s in moved.styles if not styles or s.name in styles]
    assert not [s for s in chosen if s.grade == "refused"], [s.notes for s in chosen]
    return {s.name: _place(s.figures, s.scene) for s in chosen if s.grade == "changed" and s.figures is not None}


def compiled(text: Text, target: str, styles: list[str]) -> dict[str, Any]:
    moved = move(text.source, Options(target, prove=False))
    reading = reading_of(text)
    before, after = (text.data, build_of(reading.generation)), (moved.text, build_of(library()[target]))
    names = styles or styles_of(reading)
    found = compiled_figures(before, after, names, scene_named("probe"), reading.blade)
    return {name: _place(one, "probe") for name, one in found.items() if not within(one, Tolerance())}


def drawn(text: Text, target: str, styles: list[str]) -> dict[str, Any]:
    reading = reading_of(text)
    raw = {name: reading.lifted[name].raw for name in styles or styles_of(reading)}
    found = agreement(text.data, raw, reading.generation, scene_named("probe"), reading.blade)
    return {one.style: {"steps": one.largest, "ms": one.time / 1000} for one in found if not one.agrees}


def _place(figures: Figures, scene: str) -> dict[str, Any]:
    first = figures.first
    frame = None if first is None else first.frame
    return {"scene": scene, "frame": frame, "p95": figures.p95, "largest": figures.largest}


if __name__ == "__main__":
    print(json.dumps(outcome(sys.argv[1], sys.argv[2], sys.argv[3], sys.argv[4:])))
