"""What the page says of the text under the caret: the dating of a file, a construct, its meaning, its counterpart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import is_dataclass
from pathlib import Path
from typing import Any

from migrate.concrete.parse import parse
from migrate.dating.dating import survey
from migrate.desk.requests import Asked
from migrate.desk.work import Desk, Units
from migrate.diagnostics import Diagnostic
from migrate.ir import nodes as ir
from migrate.ir.dump import Dump, dump, rounding
from migrate.lift import Applied
from migrate.packs.library import library, pack_folder
from migrate.packs.model import Construct
from migrate.pipeline import CLOSE_ROUNDING, Reading
from migrate.scope import scope_of
from migrate.source import SourceFile

Span = tuple[int, int]


def dating(one: Asked) -> dict[str, Any]:
    """Each construct of the text with the generation that it is dated as, and how sure that is."""
    source = SourceFile(one.name, one.text.encode("utf-8"))
    parsed = parse(source)
    found = survey(parsed, scope_of(source, parsed.items), library(one.options.packs), one.options.reading)
    units = Units(source)
    marks = []
    for ruling in found.rulings:
        head = ruling.site.head
        reasons = [d.message for d in ruling.site.rejects.values()] if ruling.certainty == "accepted by none" else []
        marks.append({
            "start": units.out(head.start), "end": units.out(head.end), "name": ruling.site.name,
            "generation": ruling.generation, "certainty": ruling.certainty, "why": reasons[:1],
        })  # fmt: skip
    counts = Counter(r.generation or r.certainty for r in found.rulings)
    return {
        "marks": marks, "counts": dict(counts), "generation": found.generation if found.pieces else None,
        "mixed": list(found.origins), "settled": found.settled,
    }  # fmt: skip


def construct(desk: Desk, one: Asked) -> dict[str, Any]:
    """The construct at an offset of either text: what its pack says of it, and where its like stands in the other."""
    before = desk.before(one)
    if isinstance(before, Diagnostic):
        return {}
    after = desk.after(one, before) if one.moved else None
    other = after if isinstance(after, Reading) else None
    here, there = (before, other) if one.side == "text" else (other, before)
    if here is None:
        return {}
    units = Units(here.parsed.source)
    raw_id, applied = _at(here, units.into(one.offset))
    if applied is None:
        return {}
    told = applied.construct
    return {
        "name": told.name,
        "sort": told.sort.replace("_", " "),
        "generation": told.origin,
        "pack": pack_text(told),
        "differs": [f"{generation}: {text}" for generation, text in told.differs],
        "notes": list(told.notes),
        "through": told.through if told.compat else "",
        "span": [units.out(applied.node.start), units.out(applied.node.end)],
        "counterparts": [] if there is None else _told(there, list(_like(here, raw_id, applied, there))),
    }


def _at(reading: Reading, offset: int) -> tuple[int, Applied | None]:
    """The innermost application round an offset, and the id of its value."""
    best: tuple[int, Applied | None] = (0, None)
    least = -1
    for raw_id, found in reading.lifter.applied.items():
        for applied in found:
            node = applied.node
            if node.start <= offset <= node.end and (least < 0 or node.end - node.start < least):
                best, least = (raw_id, applied), node.end - node.start
    return best


def _style_around(reading: Reading, offset: int) -> str | None:
    for name, lifted in reading.lifted.items():
        if lifted.item.span.start <= offset <= lifted.item.span.end:
            return name
    return None


def _like(here: Reading, raw_id: int, applied: Applied, there: Reading) -> Iterator[Applied]:
    """Applications of the other text, within the same definition, whose meaning is alike but for rounding."""
    name = _style_around(here, applied.node.start)
    home = there.lifted.get(name) if name is not None else None
    if home is None:
        return
    wanted = _meanings(here, raw_id)
    for other_id, found in there.lifter.applied.items():
        inside = [a for a in found if home.item.span.start <= a.node.start < home.item.span.end]
        if inside and any(_alike(a, b) for a in wanted for b in _meanings(there, other_id)):
            yield from inside


def _meanings(reading: Reading, raw_id: int) -> list[Dump]:
    """The dumps that a value goes by: its own; for a wrapper only that of the sheet or the power that it adds."""
    raw = next((value for value in reading.lifter.keep if id(value) == raw_id), None)
    if isinstance(raw, ir.Style) and raw.power is not None:
        raw = raw.power
    elif isinstance(raw, ir.Style) and raw.sheets:
        raw = raw.sheets[-1]
    if not is_dataclass(raw):
        return []
    return [dump(reading.normal(raw), reading.blade)]


def _alike(one: Dump, other: Dump) -> bool:
    off = rounding(one, other)
    return off is not None and off <= CLOSE_ROUNDING


def _told(there: Reading, found: list[Applied]) -> list[dict[str, Any]]:
    units, out = Units(there.parsed.source), []
    seen: set[Span] = set()
    # The widest first: where a whole definition and a part of it mean the same, the whole is the counterpart.
    for applied in sorted(found, key=lambda a: (a.node.start, a.node.start - a.node.end)):
        span = (applied.node.start, applied.node.end)
        if any(a <= span[0] and span[1] <= b for a, b in seen):
            continue
        seen.add(span)
        out.append({
            "name": applied.construct.name, "text": there.scope.text(applied.node)[:400],
            "span": [units.out(span[0]), units.out(span[1])],
            "pack": pack_text(applied.construct, there.generation.packs),
        })  # fmt: skip
    return out[:8]


def pack_text(told: Construct, packs: tuple[Path, ...] = ()) -> str:
    """The lines of the pack that state a construct: its signature, meaning and example; what differs is told apart."""
    name, line = told.place
    path = pack_folder(told.origin, packs) / name
    if not name or not path.is_file():
        return ""
    lines = path.read_text("utf-8").splitlines()[line - 1 :]
    end = next((k for k, text in enumerate(lines) if k and not text.strip()), len(lines))
    return "\n".join(text for text in lines[: min(end, 20)] if text.split()[:1] not in (["differs"], ["note"]))
