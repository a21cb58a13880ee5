"""Names that come out of archives: which may be written below a folder, and which hold style code."""

from __future__ import annotations

import os
import re
import unicodedata

from migrate.archive.model import Refusal

SUFFIXES = frozenset(
    [
        ".h",
        ".hh",
        ".hpp",
        ".hxx",
        ".h++",
        ".inc",
        ".inl",
        ".ipp",
        ".tpp",
        ".txt",
        ".text",
        ".c",
        ".cc",
        ".cpp",
        ".cxx",
        ".ino",
        ".style",
    ]
)
ZIPS = (".zip",)
TARS = (".tar", ".tar.gz", ".tgz", ".tar.bz2", ".tbz2", ".tar.xz", ".txz")

_DRIVE = re.compile(r"[A-Za-z]:")
_NOT_ON_WINDOWS = re.compile(r'[<>:"|?*]')
_DEVICES = re.compile(r"(?:con|prn|aux|nul|com[1-9]|lpt[1-9])(?:\..*)?", re.I)


def is_style_file(name: str) -> bool:
    """Whether a file of this name is worth reading: a C++ source or header, or plain text."""
    return os.path.splitext(name)[1].lower() in SUFFIXES


def is_archive(name: str) -> bool:
    """Whether the name says that a file is an archive that can be opened."""
    return name.lower().endswith((*ZIPS, *TARS))


def checked(name: str, windows: bool = os.name == "nt") -> str | Refusal:
    """The name as a relative path with `/`, or why it must not be written.

    >>> checked("shelf/../../x.h").code
    'escaping-name'
    """
    shown = ascii(name)
    if any(unicodedata.category(c) in ("Cc", "Cs") for c in name):
        return Refusal("bad-name", f"the name {shown} holds bytes that no file name should")
    path = name.replace("\\", "/")
    if path.startswith("/") or _DRIVE.match(path):
        return Refusal("absolute-name", f"the name {shown} is absolute")
    parts = [p for p in path.split("/") if p not in ("", ".")]
    if ".." in parts:
        return Refusal("escaping-name", f"the name {shown} leads out of the folder")
    if not parts:
        return Refusal("bad-name", "the name is empty")
    if any(len(os.fsencode(p)) > 200 for p in parts) or len(os.fsencode(path)) > 3000:
        return Refusal("bad-name", f"the name {shown[:60]}… is too long")
    if windows and any(_NOT_ON_WINDOWS.search(p) or _DEVICES.fullmatch(p) or p[-1] in ". " for p in parts):
        return Refusal("bad-name", f"the name {shown} is not valid on this system")
    return "/".join(parts)


def folded(name: str) -> str:
    """The name as a file system sees it that ignores case and the spelling of accents."""
    return unicodedata.normalize("NFC", name).casefold()
