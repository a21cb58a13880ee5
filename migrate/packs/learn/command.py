"""What `packs learn` does: reads headers, writes a draft, or compares two releases."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from migrate.packs.learn import clang
from migrate.packs.learn.carry import Lines, OldPack, carried, means_of, old_pack
from migrate.packs.learn.compare import Comparison, compare
from migrate.packs.learn.cpp import header_files, read_headers
from migrate.packs.learn.draft import Draft, draft_of, unread_text, written
from migrate.packs.learn.facts import Headers

STANDARD = "c++17"


def run(
    headers: tuple[Path, ...], name: str | None, then: tuple[Path, ...], then_name: str | None, packs_of: Path | None,
    sorts: tuple[str, ...], include_dirs: tuple[Path, ...], out: Path | None,
) -> Iterator[str]:  # fmt: skip
    """Lines that say what was learned; writes the pack where `out` says. Raises ValueError on wrong use."""
    patterns = _patterns(sorts)
    for given in filter(None, (name, then_name)):
        if not re.fullmatch(r"[A-Za-z_]\w*", given):
            raise ValueError(f"`{given}` is no name: letters, digits and `_`, a letter first")
    first = name or _stem(headers)
    before, looked = _read(headers, include_dirs)
    old = draft_of(before, first, patterns)
    yield from _told(old, before, looked)
    if not then:
        if out is not None:
            yield from _write(out, old, headers, "", {})
        return
    second = then_name or _stem(then)
    if second == first:
        raise ValueError("the two releases need two names: give --name and --then-name")
    after, looked = _read(then, include_dirs)
    new = draft_of(after, second, patterns)
    yield from _told(new, after, looked)
    found = compare(old, new, before, after)
    known = old_pack(packs_of)
    yield from _compared(found, known)
    if out is not None:
        yield from _write(out, new, then, first, {p.new.name: carried(p, known) for p in found.pairs}, known)


def _stem(paths: tuple[Path, ...]) -> str:
    return re.sub(r"\W", "_", paths[0].stem) or "firmware"


def _patterns(sorts: tuple[str, ...]) -> dict[str, str]:
    out = {}
    for one in sorts:
        sort, sign, pattern = one.partition("=")
        if not sign or not re.fullmatch(r"[a-z_]\w*", sort):
            raise ValueError(f"`{one}` is not SORT=GLOB, such as `style=Wield*`")
        out.update(dict.fromkeys(pattern.split(","), sort))
    return out


def _read(paths: tuple[Path, ...], include_dirs: tuple[Path, ...]) -> tuple[Headers, str]:
    """The headers, with what libclang adds where it is there; and a word on that."""
    found = read_headers(paths)
    try:
        clang.refined(found, clang.seen(tuple(header_files(paths)), include_dirs, STANDARD))
    except clang.NoClangError as error:
        return found, f"without libclang ({error})"
    return found, "names looked up with libclang"


def _told(draft: Draft, headers: Headers, looked: str) -> Iterator[str]:
    classes, aliases = len(headers.distinct("class")), len(headers.distinct("alias"))
    yield f"{draft.name}: {classes} class templates, {aliases} alias templates, {looked}"
    yield (
        f"  {len(draft.entries)} can stand in a style, {len(draft.words)} words, {len(draft.units)} kinds of number; "
        f"{len(set(draft.unread))} things not read"
    )


def _write(
    out: Path, draft: Draft, paths: tuple[Path, ...], follows: str, lines: Mapping[str, Lines],
    known: OldPack = OldPack(),  # noqa: B008  # a frozen value
) -> Iterator[str]:  # fmt: skip
    out.mkdir(parents=True, exist_ok=True)
    pack, unread = out / f"{draft.name}.pack", out / "unread.txt"
    if pack.exists():
        raise ValueError(f"{pack} is there already; a draft never replaces it: name another folder")
    first = header_files(paths)[0]
    home = next((p for p in paths if p.is_dir() and p in first.parents), first.parent)
    header = first.relative_to(home).as_posix()
    pack.write_text(written(draft, header, STANDARD, follows, lines, known), "utf-8")
    unread.write_text(unread_text(draft), "utf-8")
    yield f"  {pack}: the draft; {unread}: what is not in it, and why"


# ---- two releases ------------------------------------------------------------------------------------


def _compared(found: Comparison, known: OldPack) -> Iterator[str]:
    for entry in found.removed:
        yield f"  removed  {entry.name}"
    for entry in found.added:
        yield f"  added    {entry.name}({entry.signature})"
    for pair in found.pairs:
        if pair.renamed:
            yield f"  renamed  {pair.old.name} to {pair.new.name} (likeness {pair.score:.2f})"
        for change in pair.changes:
            yield f"  changed  {pair.new.name}: {change}"
        meant = pair.old.name in known.constructs and bool(means_of(known.constructs[pair.old.name].lines))
        if not pair.justified:
            yield f"  by hand  {pair.new.name}: {pair.why_not}"
        elif meant:
            yield f"  carried  {pair.new.name}: body and all that it is built on are the same"
