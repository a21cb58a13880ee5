"""Where bytes come from and go to: the local file system, or through fsspec whatever a URL names."""

from __future__ import annotations

import errno
import io
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from migrate.atomic import write_atomically

WILD = frozenset("*?[")
_URL = re.compile(r"[a-z][a-z0-9+.-]+://", re.I)
_DENIED = re.compile("credential|auth|token", re.I)
_NUMBERS = {
    FileNotFoundError: errno.ENOENT,
    PermissionError: errno.EACCES,
    IsADirectoryError: errno.EISDIR,
    NotADirectoryError: errno.ENOTDIR,
    TimeoutError: errno.ETIMEDOUT,
    ConnectionError: errno.ECONNREFUSED,
}


class MissingExtraError(Exception):
    """A URL or a scheduler was given without the packages that it needs."""


def is_url(name: str) -> bool:
    """Whether a source or a target is a URL rather than a path."""
    return _URL.match(name) is not None


def local(name: str) -> str | None:
    """The path that a name stands for on this machine, or None where it is elsewhere."""
    if not is_url(name):
        return name
    return name[7:] if name.startswith("file:///") else None


def _file_system(url: str) -> tuple[Any, str]:
    try:
        from fsspec.core import url_to_fs  # type: ignore[import-untyped, unused-ignore]
    except ModuleNotFoundError:
        raise MissingExtraError("URLs need the extra: pip install 'rehilt[cluster]'") from None
    try:
        fs, path = url_to_fs(url)
    except (ImportError, ValueError) as error:
        raise MissingExtraError(f"{url}: {error}") from None
    return fs, path


@contextmanager
def _spoken_to(path: str) -> Iterator[None]:
    """Whatever a store's client raises, as an OSError with a number and a sentence: each has errors of its own."""
    try:
        yield
    except Exception as error:
        if isinstance(error, OSError) and error.errno is not None and error.strerror:
            raise
        raise _as_os_error(error, path) from error


def _as_os_error(error: Exception, path: str) -> OSError:
    number = next((n for kind, n in _NUMBERS.items() if isinstance(error, kind)), errno.EIO)
    if number == errno.EIO and _DENIED.search(type(error).__name__):
        number = errno.EACCES
    said = " ".join(str(error).split())
    if said.strip("/") in ("", path.strip("/")):  # the name alone says nothing
        said = os.strerror(number) if isinstance(error, OSError) else type(error).__name__
    return OSError(number, said)


def listed(url: str) -> tuple[str, list[tuple[str, str]]]:
    """The files of a URL, in order: the folder, file or fixed part of a pattern that they are relative to, then for
    each its name relative to that (empty for the file itself) and its own URL. Raises OSError.
    """
    fs, path = _file_system(url)
    with _spoken_to(path):
        fs.invalidate_cache()  # what an earlier haul of this process saw may be gone
        if WILD & set(path) and not fs.exists(path):
            return _matched(fs, path)
        if not fs.isdir(path):
            fs.info(path)  # raises where there is no such thing
            return url, [("", url)]
        root = path.rstrip("/") + "/"
        inside = sorted((found.removeprefix(root), found) for found in fs.find(path) if found.startswith(root))
    inside.sort(key=lambda one: one[0].split("/"))  # as a folder is walked: `a` with all in it before `a.h`
    return url, [(relative, fs.unstrip_protocol(found)) for relative, found in inside if relative.strip("/")]


def _matched(fs: Any, pattern: str) -> tuple[str, list[tuple[str, str]]]:
    """What a pattern matches. As in a folder, a name with a dot in front is matched only by a dot."""
    fixed = _fixed(pattern)
    wild = pattern[len(fixed) :].lstrip("/")
    hidden = wild.startswith(".") or "/." in wild
    out = []
    for found, facts in sorted(fs.glob(pattern, detail=True).items()):
        relative = found.removeprefix(fixed).lstrip("/")
        if facts["type"] == "file" and (hidden or not any(part.startswith(".") for part in relative.split("/"))):
            out.append((relative, fs.unstrip_protocol(found)))
    return fixed, out


def _fixed(pattern: str) -> str:
    """The last folder that a pattern fixes."""
    parts = pattern.split("/")
    return "/".join(parts[: next((n for n, part in enumerate(parts) if WILD & set(part)), len(parts))])


def within_one_another(one: str, other: str) -> bool:
    """Whether of two URLs one names the other, or a folder around it; a pattern counts from its fixed part."""
    if local(one) is not None or local(other) is not None:
        return False
    (fs, path), (other_fs, other_path) = _file_system(one), _file_system(other)
    place, other_place = (f"{_fixed(p).strip('/')}/" for p in (path, other_path))
    return bool(fs == other_fs) and (place.startswith(other_place) or other_place.startswith(place))


def occupied(url: str) -> bool:
    """Whether anything is below a URL that is to be written to; raises OSError where it cannot be reached, or where
    there is no such bucket: none is ever made.
    """
    fs, path = _file_system(url)
    with _spoken_to(path):
        fs.invalidate_cache()
        try:
            found = fs.ls(path, detail=False)
        except FileNotFoundError:
            found = []
        if not found and not _may_make_folders(fs, path):
            raise FileNotFoundError(errno.ENOENT, f"there is no bucket {path.partition('/')[0]}")
        return any(name.strip("/") != path.strip("/") for name in found)


def _may_make_folders(fs: Any, path: str) -> bool:
    """Whether a path is below folders, or in a bucket that exists: to make a folder in none would make the bucket."""
    return path.startswith("/") or _URL.match(path) is not None or bool(fs.exists(path.partition("/")[0]))


class _Stream(io.RawIOBase):
    """A store's stream, whose errors are OSErrors."""

    def __init__(self, stream: Any, path: str) -> None:
        self._stream, self._path = stream, path

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return bool(self._stream.seekable())

    def readinto(self, buffer: Any) -> int:
        with _spoken_to(self._path):
            data = self._stream.read(len(buffer))
        buffer[: len(data)] = data
        return len(data)

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        with _spoken_to(self._path):
            return int(self._stream.seek(offset, whence))

    def tell(self) -> int:
        return int(self._stream.tell())

    def close(self) -> None:
        if not self.closed:
            self._stream.close()
        super().close()


def opened(url: str) -> IO[bytes]:
    """A URL open for reading; opening and reading raise OSError."""
    fs, path = _file_system(url)
    with _spoken_to(path):
        return io.BufferedReader(_Stream(fs.open(path, "rb"), path), 1 << 16)


def read_bytes(name: str, most: int) -> bytes | None:
    """The bytes of a file or a URL, or None where there are more than `most`; raises OSError.

    Reads no more than `most` bytes into memory, also where the size is a lie or the file grows.
    """
    path = local(name)
    if path is None:
        with opened(name) as stream:
            data = stream.read(most + 1)
    else:
        # Not a pipe or a device that took the place of the file: opening one would wait for ever.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0))
        with os.fdopen(handle, "rb") as stream:
            if os.fstat(handle).st_size > most:
                return None
            data = stream.read(most + 1)
    return None if len(data) > most else data


def write_bytes(root: str, relative: str, data: bytes) -> None:
    """Writes a file below the target, whole or not at all; raises OSError.

    On an object store a put replaces the object whole, so none is renamed there. Folders are made where a store has
    them and they are missing; a bucket never.
    """
    path = local(root)
    if path is None:
        fs, base = _file_system(root)
        target = f"{base.rstrip('/')}/{relative}"
        with _spoken_to(target):
            try:
                fs.pipe_file(target, data)
            except FileNotFoundError:
                if not _may_make_folders(fs, target):
                    raise
                fs.makedirs(target.rpartition("/")[0], exist_ok=True)
                fs.pipe_file(target, data)
        return
    file = Path(path, relative)
    file.parent.mkdir(parents=True, exist_ok=True)
    write_atomically(file, data)


def written(root: str, relative: str) -> bytes | None:
    """What stands at a place below the target, or None where nothing can be read there."""
    path = local(root)
    try:
        if path is not None:
            return Path(path, relative).read_bytes()
        with opened(f"{root.rstrip('/')}/{relative}") as stream:
            return stream.read()
    except OSError:
        return None


def remove(root: str, relative: str) -> None:
    """Removes a file below the target; raises OSError."""
    path = local(root)
    if path is not None:
        Path(path, relative).unlink()
        return
    fs, base = _file_system(root)
    target = f"{base.rstrip('/')}/{relative}"
    with _spoken_to(target):
        fs.rm_file(target)
