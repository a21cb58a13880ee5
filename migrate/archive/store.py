"""Where bytes come from and go to: the local file system, or through fsspec whatever a URL names."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

from migrate.atomic import write_atomically

_URL = re.compile(r"[a-z][a-z0-9+.-]+://", re.I)


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


def listed(url: str) -> Iterator[tuple[str, str]]:
    """The files at a URL, in order: the name relative to it (empty for the file itself) and its own URL."""
    fs, path = _file_system(url)
    if not fs.isdir(path):
        yield "", url
        return
    root = path.rstrip("/") + "/"
    for found in sorted(fs.find(path)):
        yield found.removeprefix(root), fs.unstrip_protocol(found)


def opened(url: str) -> IO[bytes]:
    """A URL open for reading; raises OSError."""
    fs, path = _file_system(url)
    stream: IO[bytes] = fs.open(path, "rb")
    return stream


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

    On an object store a put replaces the object whole, so none is renamed there.
    """
    path = local(root)
    if path is None:
        fs, base = _file_system(root)
        target = f"{base.rstrip('/')}/{relative}"
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
