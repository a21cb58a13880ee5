"""What a check of a pack finds: values with a code, a place and a hint; and the texts that places point into."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from migrate.diagnostics import Severity


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One thing that is wrong with a pack. Lines and columns count from 1."""

    file: str
    line: int
    column: int
    code: str
    message: str
    hint: str = ""
    severity: Severity = "error"


@dataclass(frozen=True)
class Book:
    """The files of one pack, by their bare names: where each lies and its lines."""

    folder: Path
    lines: Mapping[str, tuple[str, ...]]

    def path(self, file: str) -> str:
        """The path of a file as it is printed."""
        return str(self.folder / file)

    def end(self, file: str, line: int) -> int:
        """The line behind the statement that begins at `line`."""
        lines = self.lines.get(file, ())
        at = line
        while at < len(lines) and (not lines[at].strip() or lines[at][0] in " \t" or lines[at].startswith("--")):
            at += 1
        return at + 1

    def find(self, file: str, line: int, column: int, word: str) -> tuple[int, int]:
        """The first place of a word at or behind a place, within its statement; else the place itself."""
        lines = self.lines.get(file, ())
        edges = (r"(?<!\w)", r"(?!\w)") if re.match(r"\w", word) else ("", "")
        wanted = re.compile(edges[0] + re.escape(word) + edges[1])
        for at in range(line, min(self.end(file, line), len(lines) + 1)):
            found = wanted.search(lines[at - 1], column - 1 if at == line else 0)
            if found is not None:
                return at, found.start() + 1
        return line, column

    def finding(
        self,
        code: str,
        place: tuple[str, int, int],
        word: str,
        message: str,
        hint: str = "",
        severity: Severity = "error",
    ) -> Finding:
        """A finding at a word behind a place."""
        line, column = self.find(*place, word) if word else place[1:]
        return Finding(self.path(place[0]), line, column, code, message, hint, severity)


def explain_finding(finding: Finding, line: str) -> str:
    """The printed form: place, severity, code and message, the line with a caret, the hint."""
    at = f"{finding.file}:{finding.line}:{finding.column}"
    out = [f"{at}: {finding.severity} [{finding.code}] {finding.message}"]
    if line.strip():
        out += [f"  {line}".replace("\t", " "), "  " + " " * (finding.column - 1) + "^"]
    if finding.hint:
        out.append(f"  hint: {finding.hint}")
    return "\n".join(out)
