"""What a move keeps beside the code: originals on the way down, their return on the way up, and notes for an eye."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from migrate.concrete.edits import Edit, apply_edits
from migrate.diagnostics import Diagnostic
from migrate.host import SlotStyle
from migrate.lower.beside import blocks, comment_for, find, note_line, stale_notes
from migrate.packs.model import Generation
from migrate.reading import Reading, line_of
from migrate.source import SourceFile, Span
from migrate.unread import of_another

if TYPE_CHECKING:
    from migrate.pipeline import StyleMove


@dataclass(frozen=True)
class Plan:
    """A file's edits, with the originals that are kept beside them or come back."""

    source: SourceFile
    edits: tuple[Edit, ...]
    kept: tuple[tuple[Span, bytes], ...]
    restored: tuple[Span, ...]
    diagnostics: tuple[Diagnostic, ...]

    def text(self, notes: Sequence[tuple[int, bytes]]) -> bytes:
        """The new text, with notes put in above the lines that hold these offsets."""
        return apply_edits(self.source.data, self.with_notes(notes))

    def with_notes(self, notes: Sequence[tuple[int, bytes]]) -> tuple[Edit, ...]:
        """The edits that make it."""
        above: dict[int, bytes] = {}  # what is kept beside comes above all that is put in there
        right_above: dict[int, bytes] = {}  # a note comes below it: it speaks of what begins next
        for offset, note in notes:
            if any(r.start <= offset < r.end for r in self.restored):
                continue  # an original says all that it ever said
            block = next((s for s, _ in self.kept if s.start <= offset < s.end), None)
            if block is not None:
                above[block.start] = above.get(block.start, b"") + note.lstrip(b" \t")
            else:
                start = self.source.data.rfind(b"\n", 0, offset) + 1
                right_above[start] = right_above.get(start, b"") + note
        for span, comment in self.kept:
            above[span.start] = above.get(span.start, b"") + comment
        kept, noted = ([Edit(at, at, new) for at, new in sorted(d.items())] for d in (above, right_above))
        edits = (*kept, *self.edits, *noted)
        first = 3 if self.source.has_bom else 0  # what comes above the first line comes after its byte order mark
        return tuple(Edit(max(e.start, first), max(e.end, first), e.text) for e in edits)


def ancestors(generation: Generation, generations: Mapping[str, Generation]) -> list[str]:
    """The generation and those it follows, newest first."""
    out = [generation.name]
    while generations[out[-1]].follows:
        out.append(generations[out[-1]].follows)
    return out


def put_beside(
    before: Reading, target: Generation, edits: Sequence[Edit], generations: Mapping[str, Generation],
    beside: bool = True,
) -> Plan:  # fmt: skip
    """Going down, keeps the originals beside what replaces them; going up, brings back those that nobody edited.

    Not `beside`: nothing is kept, where lines hold more than what is moved.
    """
    source = before.parsed.source
    units = [item.span for item in before.parsed.items]
    stale = stale_notes(source.data)
    if before.generation.name == target.name:  # what stays as it is keeps what an earlier move said of it
        stale = [n for n in stale if _rewritten_below(n, edits, units)]
    edits = [*edits, *stale]
    downward = before.generation.name != target.name and target.name in ancestors(before.generation, generations)
    if downward and not beside:
        return Plan(source, tuple(edits), (), (), ())
    if downward:
        units += [Span(b.comment.start, b.block.end) for b in find(source.data)]
        found = blocks(source, edits, units)
        name, newline = before.generation.name, source.newline
        kept = [(b.span, comment_for(name, source.data[b.span.start : b.span.end], b.text, newline)) for b in found]
        return Plan(source, tuple(edits), tuple(kept), (), ())
    restored: list[Span] = []
    diagnostics: list[Diagnostic] = []
    for original in find(source.data):
        whole = Span(original.comment.start, original.block.end)
        if original.generation == target.name and original.intact:
            edits = [e for e in edits if not (whole.start <= e.start and e.end <= whole.end)]
            edits.append(Edit(whole.start, whole.end, original.original))
            restored.append(whole)
        elif original.generation == target.name:
            edits.append(Edit(original.comment.start, original.comment.end, b""))
            message = f"this was edited since it came from {target.name}; the edit stands, the kept original goes"
            diagnostics.append(Diagnostic("edited-since", "note", original.block, message))
        else:
            inside = [e for e in edits if original.block.start <= e.start and e.end <= original.block.end]
            moved = [Edit(e.start - original.block.start, e.end - original.block.start, e.text) for e in inside]
            block = apply_edits(source.data[original.block.start : original.block.end], moved)
            comment = comment_for(original.generation, original.original, block, source.newline)
            if original.intact:
                edits.append(Edit(original.comment.start, original.comment.end, comment))
    return Plan(source, tuple(edits), (), tuple(restored), tuple(diagnostics))


def _rewritten_below(note: Edit, edits: Sequence[Edit], units: Sequence[Span]) -> bool:
    """Whether an edit changes what a note speaks of: the item that it stands in, or the next one."""
    end = min((u.end for u in units if u.end > note.start), default=note.end)
    return any(note.end <= e.start and e.end <= end for e in edits)


def notes_for(
    befores: Sequence[Reading], styles: Sequence[StyleMove], refused: Sequence[Iterable[str]], target: str
) -> list[tuple[int, bytes]]:
    """A note above each style that needs a human eye: what, why, how much, in which scene, from which frame.

    What is refused (styles, and by name for each reading, parts) stays as it was, in a file that moves on: a comment
    says which generation it is to be read as, if not the target, where its outermost name is one of that generation,
    or of none.
    """
    source, out = befores[0].parsed.source, []

    def reads_as(start: int, generation: str) -> tuple[int, bytes]:
        return start, note_line(f"read as {generation}", (), margin_at(start), source.newline, source.encoding)

    def margin_at(start: int) -> str:
        line = source.data[source.data.rfind(b"\n", 0, start) + 1 : start]
        return line[: len(line) - len(line.lstrip())].decode(source.encoding, "replace")

    every = [(b, i) for b in befores for i in (*(d.item for d in b.lifted.values()), *(i for i, _ in b.unread))]
    starts = {(i.name, line_of(b, i)): i.span.start for b, i in every}
    items = {i.span.start: i for _, i in every}
    marked = {start for b in befores for start in b.spoken.readings}
    marked |= {start for start, item in items.items() if isinstance(item, SlotStyle)}  # its mark stands in the table
    marked |= {item.span.start for b in befores for item, _ in b.unread if of_another(b, item)}
    for style in styles:
        start = starts.get((style.name, style.line))
        if style.grade in ("same", "close") or start is None:
            continue
        if style.grade != "refused":
            named = (style.name,) if isinstance(items[start], SlotStyle) else ()  # its line may stand far from it
            parts = (*named, *style.notes, *_measured(style))
            note = note_line(style.grade, parts, margin_at(start), source.newline, source.encoding)
            out.append((start, note))
        elif start not in marked and style.origin != target:
            marked.add(start)
            out.append(reads_as(start, style.origin))
    for before, names in zip(befores, refused, strict=True):
        for lifted in (before.lifted[name] for name in names):
            start, origin = lifted.item.span.start, (lifted.reading or before.generation).name
            if start not in marked and origin != target:
                marked.add(start)
                out.append(reads_as(start, origin))
    return out


def _measured(style: StyleMove) -> list[str]:
    figures = style.figures
    if figures is None:
        return []
    said = [f"dE 95 % {figures.p95:.2f} largest {figures.largest:.2f}, edges {figures.edge_ms:.0f} ms"]
    if figures.first is not None:
        first = figures.first
        said.append(f"scene {style.scene} from frame {first.frame} ({first.time_ms / 1000:.3f} s)")
    return said
