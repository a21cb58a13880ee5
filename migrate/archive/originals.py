"""Care for a file that `move --write` is about to replace: unsaved work under git, and a copy of the old text."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

from migrate.atomic import write_atomically


def uncommitted(path: Path) -> str | None:
    """Why replacing the file could lose work that git does not hold, or None.

    A file that git tracks is safe when it equals what is committed; outside of git, or untracked, git has no say.
    """
    git = shutil.which("git")
    if git is None or not path.exists():
        return None
    # No hooks, no prompts, no locks; the folder's own configuration cannot start a program for `status`.
    command = [git, "-c", "core.fsmonitor=false", "--no-optional-locks", "status", "--porcelain", "--", path.name]
    environment = {**os.environ, "GIT_TERMINAL_PROMPT": "0", "LC_ALL": "C"}
    try:
        done = subprocess.run(
            command, cwd=path.resolve().parent, env=environment, capture_output=True, timeout=20, check=False
        )
    except (OSError, subprocess.TimeoutExpired):
        return None
    state = done.stdout[:2].decode("ascii", "replace") if done.returncode == 0 else ""
    if not state.strip() or state == "!!":
        return None
    return "it is new to git, which holds no copy" if state == "??" else "it has changes that are not committed"


def back_up(path: Path) -> Path:
    """Copies a file beside itself, as NAME.before, or NAME.before-2 and so on where that exists; raises OSError."""
    number = 1
    while (target := path.with_name(f"{path.name}.before{f'-{number}' if number > 1 else ''}")).exists():
        number += 1
    write_atomically(target, path.read_bytes())
    shutil.copymode(path, target)
    return target
