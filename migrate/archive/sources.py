"""Finds what a haul works on: files, folders, globs, archives and URLs, always in the same order, a piece at a time."""

from __future__ import annotations

import glob
import os
import stat
from collections.abc import Iterator, Sequence
from pathlib import Path

from migrate.archive.members import members
from migrate.archive.model import Found, Limits, Refusal, refusal_of
from migrate.archive.names import checked, is_archive, is_style_file
from migrate.archive.store import WILD, is_url, listed, opened


def find(sources: Sequence[str], limits: Limits) -> Iterator[Found]:
    """Everything in the sources, in their order, folders by name; nothing is raised, what fails is a refusal."""
    taken: dict[str, int] = {}
    for source in sources:
        if is_url(source):
            yield from _url(source, taken, limits)
        elif os.path.lexists(source):
            yield from _given(Path(source), _label(Path(source), taken), source, limits)
        elif WILD & set(source):
            yield from _glob(source, taken, limits)
        else:
            yield Found(_label(Path(source), taken), source, refusal=Refusal("vanished", "there is no such file"))


def _label(path: Path, taken: dict[str, int]) -> str:
    """The name that a source's results go under; a second source of one name gets a number."""
    name = path.name or path.resolve().name or "files"
    if name in (".", ".."):
        name = path.resolve().name or "files"
    safe = checked(name)
    name = safe if isinstance(safe, str) else "files"
    taken[name] = taken.get(name, 0) + 1
    return name if taken[name] == 1 else f"{name}-{taken[name]}"


def _given(path: Path, label: str, shown: str, limits: Limits) -> Iterator[Found]:
    """A source that the user named: a link there is followed once, since it was asked for."""
    try:
        mode = path.stat().st_mode
    except OSError as error:
        yield Found(label, shown, refusal=refusal_of(error, "read"))
        return
    if stat.S_ISDIR(mode):
        yield from _folder(path, label, shown, limits)
    else:
        yield from _file(path, mode, label, shown, limits)


def _folder(path: Path, out: str, shown: str, limits: Limits) -> Iterator[Found]:
    """A folder, depth first, names in order; links inside are not followed, so that no loop can form."""
    try:
        with os.scandir(path) as entries:
            names = sorted(entry.name for entry in entries)
    except OSError as error:
        yield Found(out, shown, refusal=refusal_of(error, "read"))
        return
    for name in names:
        inner, shown_inner = path / name, f"{shown.rstrip('/')}/{name.encode('utf-8', 'backslashreplace').decode()}"
        # Below a folder that exists, a name cannot escape; it can still be one that no report may hold.
        safe = checked(name)
        if isinstance(safe, Refusal) or "/" in safe:
            reason = safe if isinstance(safe, Refusal) else Refusal("bad-name", "the name holds a backslash")
            yield Found(f"{out}/-", shown_inner, refusal=reason)
            continue
        try:
            mode = inner.lstat().st_mode
        except OSError as error:
            yield Found(f"{out}/{name}", shown_inner, refusal=refusal_of(error, "read"))
            continue
        if stat.S_ISDIR(mode):
            yield from _folder(inner, f"{out}/{name}", shown_inner, limits)
        else:
            yield from _file(inner, mode, f"{out}/{name}", shown_inner, limits)


def _file(path: Path, mode: int, out: str, shown: str, limits: Limits) -> Iterator[Found]:
    if stat.S_ISLNK(mode):
        yield Found(out, shown, refusal=Refusal("link", "it is a link, which is not followed"))
    elif not stat.S_ISREG(mode):
        yield Found(out, shown, refusal=Refusal("not-a-file", "it is a device, a pipe or a socket"))
    elif is_archive(path.name):
        try:
            with path.open("rb") as file:
                yield from members(file, shown, out, limits)
        except OSError as error:
            yield Found(out, shown, refusal=refusal_of(error, "read"))
    elif not is_style_file(path.name):
        yield Found(out, shown, passed=True)
    else:
        yield Found(out, shown, path=str(path))


def _glob(pattern: str, taken: dict[str, int], limits: Limits) -> Iterator[Found]:
    """What a pattern matches, mirrored from the last folder that the pattern fixes; `**` goes down."""
    parts = Path(pattern).parts
    fixed = Path(*parts[: next(n for n, part in enumerate(parts) if WILD & set(part))])
    label = _label(fixed, taken)
    matches = sorted(glob.glob(pattern, recursive=True))
    if not matches:
        yield Found(label, pattern, refusal=Refusal("vanished", "the pattern matches nothing"))
    for match in matches:
        path = Path(match)
        if path.is_dir() and not path.is_symlink():
            continue
        try:
            mode = path.lstat().st_mode
        except OSError as error:
            yield Found(f"{label}/-", match, refusal=refusal_of(error, "read"))
            continue
        yield from _file(path, mode, f"{label}/{path.relative_to(fixed).as_posix()}", match, limits)


def _url(url: str, taken: dict[str, int], limits: Limits) -> Iterator[Found]:
    """A folder, a file, an archive or a pattern on a store that fsspec reaches."""
    try:
        fixed, files = listed(url)
    except OSError as error:
        yield Found(_url_label(url, taken), url, refusal=refusal_of(error, "read"))
        return
    label = _url_label(fixed, taken)
    if not files and WILD & set(url):
        yield Found(label, url, refusal=Refusal("vanished", "the pattern matches nothing"))
    for relative, one in files:
        safe = checked(relative) if relative else ""
        if not isinstance(safe, Refusal) and "::" in one:
            safe = Refusal("bad-name", "the name holds `::`, with which fsspec chains one store to another")
        if isinstance(safe, Refusal):
            yield Found(f"{label}/-", one, refusal=safe)
        else:
            yield from _stored(one, f"{label}/{safe}" if safe else label, limits)


def _url_label(url: str, taken: dict[str, int]) -> str:
    return _label(Path(url.rstrip("/").rpartition("/")[2] or "files"), taken)


def _stored(url: str, out: str, limits: Limits) -> Iterator[Found]:
    """One file of a store; an archive that cannot be opened costs nothing but itself."""
    if not is_archive(url):
        readable = is_style_file(url)
        yield Found(out, url, path=url if readable else None, passed=not readable)
        return
    try:
        with opened(url) as file:
            yield from members(file, url, out, limits)
    except OSError as error:
        yield Found(out, url, refusal=refusal_of(error, "read"))
