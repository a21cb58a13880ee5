"""Opens archives with care: one member at a time in memory, nothing unpacked to disk, every excess refused."""

from __future__ import annotations

import bz2
import gzip
import lzma
import stat
import tarfile
import zipfile
import zlib
from collections.abc import Iterator
from typing import IO, Any

from migrate.archive.model import Found, Limits, Refusal
from migrate.archive.names import TARS, ZIPS, checked, is_archive, is_style_file

_SMALL = 1 << 20  # below this, no ratio is a bomb
_CHUNK = 1 << 16
_EXTENSIONS = (
    tarfile.XHDTYPE, tarfile.XGLTYPE, tarfile.SOLARIS_XHDTYPE, tarfile.GNUTYPE_LONGNAME, tarfile.GNUTYPE_LONGLINK,
)  # fmt: skip
_DAMAGE = (zipfile.BadZipFile, tarfile.TarError, EOFError, zlib.error, lzma.LZMAError, NotImplementedError, ValueError)


class ExcessError(Exception):
    """The archive asks for more than the limits allow."""


def members(file: IO[bytes], name: str, out: str, limits: Limits) -> Iterator[Found]:
    """Every member of an archive that is open at its start; `out` is the folder its results go to."""
    low = name.lower()
    try:
        if low.endswith(ZIPS):
            yield from _zip(file, name, out, limits)
        elif low.endswith(TARS):
            yield from _tar(file, name, out, limits)
    except ExcessError as excess:
        yield Found(out, name, refusal=Refusal("bomb", f"{excess}; what follows in it was left alone"))
    except _DAMAGE as error:
        yield Found(out, name, refusal=Refusal("damaged", f"the archive is damaged: {_said(error)}"))
    except OSError as error:
        yield Found(out, name, refusal=Refusal("damaged", f"the archive cannot be read on: {_said(error)}"))


def _said(error: BaseException) -> str:
    return str(error) or type(error).__name__


def _named(name: str, archive: str, out: str) -> Found:
    """A member by its name alone: refused, passed over, or to be read (no field given yet)."""
    origin = f"{archive}!{name.encode('utf-8', 'backslashreplace').decode()}"
    path = checked(name)
    if isinstance(path, Refusal):
        return Found(f"{out}/-", origin, refusal=path)
    target = f"{out}/{path}"
    if is_archive(path):
        return Found(target, origin, refusal=Refusal("nested-archive", "an archive inside an archive is not opened"))
    return Found(target, origin, passed=not is_style_file(path))


# ---- zip ----------------------------------------------------------------------------------------


def _zip(file: IO[bytes], name: str, out: str, limits: Limits) -> Iterator[Found]:
    with zipfile.ZipFile(file) as archive:
        total = 0
        for info in archive.infolist():
            if info.is_dir():
                continue
            found = _named(info.orig_filename, name, out)
            if found.refusal is None:
                found = _zip_member(archive, info, found, limits)
            total += len(found.data or b"")
            if total > limits.total:
                raise ExcessError(f"the archive unpacks to more than {limits.total >> 20} MB")
            yield found


def _zip_member(archive: zipfile.ZipFile, info: zipfile.ZipInfo, found: Found, limits: Limits) -> Found:
    mode = info.external_attr >> 16
    kind = stat.S_IFMT(mode)
    if kind and not stat.S_ISREG(mode):
        return _not_a_file(found, stat.S_ISLNK(mode))
    if info.flag_bits & 1:
        return _refused(found, "encrypted", "it is encrypted")
    if found.passed:
        return found
    if info.file_size > limits.largest:
        return _refused(found, "too-large", f"it is larger than {limits.largest >> 20} MB")
    if info.file_size > _SMALL and info.file_size > limits.ratio * max(1, info.compress_size):
        return _refused(found, "bomb", f"it unpacks to more than {limits.ratio} times its packed size")
    try:
        with archive.open(info) as member:
            data = member.read(limits.largest + 1)
    except (*_DAMAGE, RuntimeError, OSError) as error:
        return _refused(found, "damaged", f"it is damaged: {_said(error)}")
    if len(data) > limits.largest or len(data) > info.file_size:
        return _refused(found, "bomb", "it unpacks to more than it says")
    return Found(found.out, found.origin, data=data)


def _refused(found: Found, code: str, reason: str) -> Found:
    return Found(found.out, found.origin, refusal=Refusal(code, reason))


def _not_a_file(found: Found, link: bool) -> Found:
    if link:
        return _refused(found, "link", "it is a link, which is not followed")
    return _refused(found, "not-a-file", "it is a device or a pipe")


# ---- tar ----------------------------------------------------------------------------------------


class _Counted:
    """A stream that stops a bomb: counts what comes out against the limits and against what went in."""

    def __init__(self, stream: IO[bytes], packed: IO[bytes], limits: Limits) -> None:
        self.stream, self.packed, self.limits = stream, packed, limits
        self.total = 0

    def read(self, size: int = -1) -> bytes:
        data = self.stream.read(min(size, _CHUNK * 16) if size >= 0 else _CHUNK)
        self.total += len(data)
        if self.total > self.limits.total:
            raise ExcessError(f"the archive unpacks to more than {self.limits.total >> 20} MB")
        packed = self.packed.tell() if self.stream is not self.packed else self.total
        if self.total > max(_SMALL, self.limits.ratio * packed):
            raise ExcessError(f"the archive unpacks to more than {self.limits.ratio} times its packed size")
        return data


class _Header(tarfile.TarInfo):
    """A member's header that may not bring megabytes of names and remarks with it, which tarfile reads whole."""

    def _proc_member(self, tar: tarfile.TarFile) -> Any:
        brings_more = self.type not in tarfile.SUPPORTED_TYPES or self.type in _EXTENSIONS
        if brings_more and self.size > _SMALL:
            raise ExcessError("a header of the archive is larger than 1 MB")
        return super()._proc_member(tar)  # type: ignore[misc]


def _opened(file: IO[bytes]) -> IO[bytes]:
    """The unpacked stream, by the first bytes of the packed one."""
    head = file.read(6)
    file.seek(0)
    if head[:2] == b"\x1f\x8b":
        return gzip.GzipFile(fileobj=file)  # type: ignore[return-value]
    if head[:3] == b"BZh":
        return bz2.BZ2File(file)
    return lzma.LZMAFile(file) if head == b"\xfd7zXZ\x00" else file


def _tar(file: IO[bytes], name: str, out: str, limits: Limits) -> Iterator[Found]:
    counted: Any = _Counted(_opened(file), file, limits)
    with tarfile.open(fileobj=counted, mode="r|", bufsize=_CHUNK, tarinfo=_Header) as archive:
        while (info := archive.next()) is not None:
            archive.members = []  # type: ignore[attr-defined]  # a stream is never read backwards, and the list would grow with the archive
            if info.isdir():
                continue
            found = _named(info.name, name, out)
            if found.refusal is None:
                found = _tar_member(archive, info, found, limits)
            yield found


def _tar_member(archive: tarfile.TarFile, info: tarfile.TarInfo, found: Found, limits: Limits) -> Found:
    if not info.isreg() or info.issparse():
        return _not_a_file(found, info.issym() or info.islnk())
    if found.passed:
        return found
    if info.size > limits.largest:
        return _refused(found, "too-large", f"it is larger than {limits.largest >> 20} MB")
    member = archive.extractfile(info)
    assert member is not None
    data = member.read()
    if len(data) != info.size:
        return _refused(found, "damaged", "it ends too early")
    return Found(found.out, found.origin, data=data)
