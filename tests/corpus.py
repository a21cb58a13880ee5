"""The corpora as the tests read them: every file of a generation, once for each way its `#if` lines can go."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from migrate.pipeline import Options, Reading, read, style_names
from migrate.source import SourceFile

ROOT = Path(__file__).resolve().parents[1]
FOLDERS = ("wick1", "wick2", "wick3", "wick4", "demo")
_ASKED = re.compile(rb"^[ \t]*#[ \t]*(?:ifdef[ \t]+|if[ \t]+defined[ \t]*\(?[ \t]*)(\w+)", re.MULTILINE)
_LINE = re.compile(rb"[ \t]*#[ \t]*(\w+)")


@dataclass(frozen=True)
class Text:
    """A corpus file with its conditions decided: `path` from the root, `defined` the macro taken as defined, or ''."""

    path: str
    defined: str
    data: bytes

    def __str__(self) -> str:
        return self.path.removeprefix("corpora/") + (f" with {self.defined}" if self.defined else "")

    @property
    def source(self) -> SourceFile:
        return SourceFile(self.path, self.data)


def own_generation(path: str) -> str:
    """The generation that a corpus file is written in, by its folder."""
    folder = path.split("/")[-2]
    return "wick2" if folder == "demo" else folder


def texts(folders: tuple[str, ...] = FOLDERS) -> Iterator[Text]:
    """Every file of the folders, first without defines, then once for each macro that its conditions ask about."""
    for folder in folders:
        for path in sorted((ROOT / "corpora" / folder).glob("*.h")):
            data, name = path.read_bytes(), path.relative_to(ROOT).as_posix()
            for macro in ("", *macros_of(data)):
                yield Text(name, macro, decided(data, macro.encode()))


def macros_of(data: bytes) -> tuple[str, ...]:
    """The macros that the text's conditions ask about, each once."""
    return tuple(dict.fromkeys(found.decode() for found in _ASKED.findall(data)))


def decided(data: bytes, macro: bytes) -> bytes:
    """The text with every `#ifdef M` and `#if defined(M)` decided; dropped lines are left empty, so places stay.

    Include guards (`#ifndef`) and conditions of other forms stay as they are.
    """
    out: list[bytes] = []
    open_ifs: list[bool | None] = []  # None for one that stays
    for line in data.splitlines(keepends=True):
        end = line[len(line.rstrip(b"\r\n")) :]
        word = found[1] if (found := _LINE.match(line)) else b""
        kept = True
        if word in (b"if", b"ifdef", b"ifndef"):
            asked = _ASKED.match(line)
            open_ifs.append(asked[1] == macro if asked else None)
            kept = asked is None
        elif word == b"else" and open_ifs[-1] is not None:
            open_ifs[-1] = not open_ifs[-1]
            kept = False
        elif word == b"endif":
            kept = open_ifs.pop() is None
        assert word != b"elif" or open_ifs[-1] is None, "an #elif of a decided condition: teach it to `decided`"
        out.append(line if kept and False not in open_ifs else end)
    return b"".join(out)


def reading_of(text: Text, generation: str = "") -> Reading:
    """The text read as the generation that it declares, or as the given one."""
    found = read(text.source, Options(generation or "wick1", reading=generation or None))
    assert isinstance(found, Reading), f"{text}: {found}"
    return found


def styles_of(reading: Reading) -> list[str]:
    """The names of a reading's styles, in the order of the file."""
    chosen = style_names(reading)
    return [name for name in reading.lifted if name in chosen]
