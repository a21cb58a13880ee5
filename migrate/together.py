"""Files that include one another, moved in one run: an included file first, so that the rest is proved on its new text.

What an included file does not say of itself, its generation and the blade, it has from the files that include it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from migrate.concrete.parse import parse
from migrate.diagnostics import Diagnostic
from migrate.host import declared_by
from migrate.includes import included
from migrate.packs.library import library
from migrate.pipeline import Moved, move
from migrate.reading import Options, Reading, headers_of, read
from migrate.scope import scope_of
from migrate.source import SourceFile


@dataclass(frozen=True)
class Turn:
    """One file's move in a run of several, and the options that it was moved with."""

    moved: Moved
    options: Options

    @property
    def stuck(self) -> bool:
        """Whether the file cannot go along: nothing of it can be read or moved, or not all that others may use."""
        moved = self.moved
        whole = self.options.inner or moved.text == moved.source.data
        return moved.origin is None or (moved.origin != moved.target and moved.exit == 2 and whole)


def bundles(sources: Sequence[SourceFile], options: Options) -> list[list[int]]:
    """The sources by number, those together that hang on one another by their includes; in the order of the first."""
    if len(sources) == 1:
        return [[0]]
    files = [_File(source, options) for source in sources]
    found: list[list[int]] = []
    for number, file in enumerate(files):
        near = [b for b in found if any(file.hangs_on(files[n]) or files[n].hangs_on(file) for n in b)]
        whole = sorted([*(n for b in near for n in b), number])
        found = sorted([*(b for b in found if b not in near), whole])
    return found


def move_together(sources: Sequence[SourceFile], options: Options) -> list[Turn]:
    """Moves every source, in the order of what includes what; the answers are in that of the sources."""
    if len(sources) == 1:
        return [Turn(move(sources[0], options), options)]
    files = [_File(source, options) for source in sources]
    # Whatever a file includes, it includes with all that this includes, so it has the longer list.
    order = sorted(range(len(files)), key=lambda n: len(files[n].includes))
    texts: dict[Path, bytes] = {}
    turns: dict[int, Turn] = {}
    for number in order:
        file = files[number]
        along = {path: text for path, text in texts.items() if path in file.includes}
        own = replace(_as_included(file, files, options), together=along)
        turn = turns[number] = Turn(move(file.source, own), own)
        if not turn.stuck:
            texts[file.path] = turn.moved.text
    return [turns[number] for number in range(len(files))]


class _File:
    """A source with where it lies and what it includes."""

    def __init__(self, source: SourceFile, options: Options) -> None:
        self.source, self.path = source, Path(source.name).resolve()
        self.includes = included(source, headers_of(library(options.packs)))

    def hangs_on(self, other: _File) -> bool:
        """Whether this file includes the other, directly or through others."""
        return other.path in self.includes


def _as_included(file: _File, files: Sequence[_File], options: Options) -> Options:
    """The options with what is known of a file through those that include it, where they agree.

    Asked are those that nobody here includes: what lies between declares no more than the file itself.
    """
    if any(f.hangs_on(file) for f in files):
        options = replace(options, inner=True)
    users = [f for f in files if f.hangs_on(file) and not any(g.hangs_on(f) for g in files)]
    readings = list(_readings(users, options))
    names = {r.generation.name for r in readings}
    blades = {r.blade for r in readings}
    if len(blades) == 1:
        options = replace(options, blade=blades.pop())
    if options.reading is None and len(names) == 1 and not _declares(file.source, options):
        options = replace(options, reading=names.pop())
    return options


def _declares(source: SourceFile, options: Options) -> bool:
    """Whether a text says by itself which generation it is."""
    items = parse(source).items
    return declared_by(items, scope_of(source, items), library(options.packs)) is not None


def _readings(users: Sequence[_File], options: Options) -> Iterator[Reading]:
    for user in users:
        found = read(user.source, options)
        if not isinstance(found, Diagnostic):
            yield found
