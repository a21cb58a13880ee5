"""Which constructs have no meaning yet, and how many styles of an archive that blocks, most wanted first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from migrate.diagnostics import Diagnostic
from migrate.ir.walk import opaque_parts
from migrate.packs.library import drafts_of, homes, library
from migrate.packs.model import Generation
from migrate.reading import Options, Reading, read, style_names
from migrate.resources import grammar_path
from migrate.source import SourceFile

_TEXTS = (".h", ".hpp", ".hh", ".txt", ".ino", ".cpp")


@dataclass
class Blocked:
    """What an archive's styles meet: how many there are, and how many each construct without meaning is in."""

    files: int = 0
    styles: int = 0
    free: int = 0
    by: Counter[str] = field(default_factory=Counter)
    unread: Counter[str] = field(default_factory=Counter)


def coverage(folders: tuple[Path, ...], archive: Path | None, beside: tuple[Path, ...] = ()) -> Iterator[str]:
    """Lines that say it, for each generation that these folders state."""
    packs = tuple(dict.fromkeys((*beside, *folders)))
    names = list(drafts_of(tuple(h for folder in folders for h in homes(folder))))
    extra = tuple(p for p in packs if not _is_shipped(p))
    generations = library(extra)
    for name in names:
        yield from _of(generations[name], archive, extra)


def _is_shipped(folder: Path) -> bool:
    return grammar_path().resolve() in (folder.resolve(), *folder.resolve().parents)


def _of(generation: Generation, archive: Path | None, packs: tuple[Path, ...]) -> Iterator[str]:
    own = [c for group in generation.constructs.values() for c in group if c.origin == generation.name]
    without = sorted({c.name for c in own if not c.equations})
    named = len({c.name for c in own})
    yield f"{generation.name}: {named} constructs, {named - len(without)} with a meaning, {len(without)} without"
    if archive is None:
        if without:
            yield f"  without: {', '.join(without)}"
        return
    blocked = _blocked(generation, archive, packs)
    yield (
        f"  {archive}: {blocked.files} files, {blocked.styles} styles of {generation.name}, "
        f"{blocked.free} with nothing in their way"
    )
    rows = [(count, name, "no meaning") for name, count in blocked.by.items()]
    rows += [(count, name, "not in the pack") for name, count in blocked.unread.items()]
    for count, name, why in sorted(rows, key=lambda r: (-r[0], r[1])):
        yield f"  {count:5} {'styles' if count != 1 else 'style '}  {name}  ({why})"
    for name in without:
        if name not in blocked.by:
            yield f"      0 styles  {name}  (no meaning)"


def _blocked(generation: Generation, archive: Path, packs: tuple[Path, ...]) -> Blocked:
    out = Blocked()
    for path in sorted(p for p in archive.rglob("*") if p.suffix in _TEXTS and p.is_file()):
        found = read(SourceFile(str(path), path.read_bytes()), Options(generation.name, packs=packs))
        if isinstance(found, Diagnostic) or found.generation.name != generation.name:
            continue
        out.files += 1
        _count(found, out)
    return out


def _count(reading: Reading, out: Blocked) -> None:
    for name in style_names(reading):
        out.styles += 1
        lifted = reading.lifted[name].raw
        unknown = {part.identity.partition(":")[2] for part in opaque_parts(lifted)}
        out.by.update(_names_here(reading.generation, unknown))
        out.free += not unknown
    for diagnostic in reading.diagnostics:
        if diagnostic.code == "unknown-name":
            out.styles += 1
            out.unread[reading.scope.text_of(diagnostic.span)] += 1


def _names_here(generation: Generation, unknown: set[str]) -> set[str]:
    """What identities are called in this generation."""
    here = {
        c.identity.partition(":")[2]: c.name for group in generation.constructs.values() for c in group if c.identity
    }
    return {here.get(name, name) for name in unknown}
