"""Runs a tutorial: every command of its `console` blocks, in order, in a copy of its folder.

`python -m tests.packs.tutorial` puts what the commands say today into the page, to be read before it is kept.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
FOLDER = ROOT / "corpora" / "second_family"
_BLOCK = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class Command:
    """A command of the tutorial, and the output that the page shows below it; `…` alone in a line is any lines."""

    text: str
    shown: str


def commands(page: str) -> list[Command]:
    """The commands of a page: a line after `$ `, with the lines that `> ` goes on with."""
    out: list[Command] = []
    for block in _BLOCK.findall(page):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            lines = part.split("\n")
            length = 1
            while length < len(lines) and lines[length].startswith("> "):
                length += 1
            text = "\n".join([lines[0], *(line[2:] for line in lines[1:length])])
            out.append(Command(text, "\n".join(lines[length:]).rstrip("\n")))
    return out


def copied(where: Path) -> Path:
    """A copy of the tutorial's folder to work in."""
    return Path(shutil.copytree(FOLDER, where / "family"))


def run(command: Command, folder: Path) -> str:
    """What a command says, errors and all, as a shell would show it."""
    shell = 'rehilt() { "$PYTHON" -m migrate.cli "$@"; }\n' + command.text
    environment = {**os.environ, "PYTHON": sys.executable, "PYTHONPATH": str(ROOT), "COLUMNS": "100"}
    done = subprocess.run(
        ["bash", "-c", shell], cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        text=True, timeout=180, check=False,
    )  # fmt: skip
    assert done.returncode in (0, 1, 2), done.stdout
    return done.stdout.rstrip("\n")


def matches(shown: str, said: str) -> bool:
    """Whether what was said is what the page shows."""
    parts = [re.escape(part) for part in re.split(r"^…$\n?", shown, flags=re.MULTILINE)]
    return (
        re.fullmatch(
            r"(?:.*\n)*?".join(parts) if len(parts) > 1 else parts[0],
            said + ("\n" if shown.endswith("…") else ""),
            re.DOTALL,
        )
        is not None
    )


def refreshed(page: str, folder: Path) -> str:
    """The page with what its commands say today, to be read before it is kept."""

    def block(found: re.Match[str]) -> str:
        parts = []
        for command in commands(found[0]):
            said = run(command, folder)
            parts.append("$ " + command.text.replace("\n", "\n> ") + "\n" + (said + "\n" if said else ""))
        return f"```console\n{''.join(parts)}```"

    return _BLOCK.sub(block, page)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as where:
        path = FOLDER / "tutorial.md"
        path.write_text(refreshed(path.read_text("utf-8"), copied(Path(where))), "utf-8")
