"""Writes a file whole or not at all: a temporary file in the same folder, fsync, rename."""

from __future__ import annotations

import errno
import os
import tempfile
from pathlib import Path


def write_atomically(path: Path, data: bytes) -> None:
    """Replaces `path` with `data`; on any failure the old file stands. Keeps the old file's permissions.

    Of a link, what it points to is replaced. Raises OSError, also for a file that nobody may write.
    """
    path = path.resolve()
    if path.exists() and not path.stat().st_mode & 0o222:
        raise PermissionError(errno.EACCES, "the file is read-only", str(path))
    mode = path.stat().st_mode & 0o7777 if path.exists() else 0o666 & ~_umask()
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        os.chmod(name, mode)
        os.replace(name, path)
    except BaseException:
        os.unlink(name)
        raise
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
