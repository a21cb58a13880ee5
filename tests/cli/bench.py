"""Runs the command as a user does, in a folder of its own."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from click.testing import CliRunner

from migrate.cli import main

ROOT = Path(__file__).resolve().parents[2]
DEMO = (ROOT / "corpora" / "demo" / "lantern_quay.h").read_bytes()

SMALL = b"""#include <wick2.h>
constexpr int blade_pixels = 100;
using tide = power_sleeve<collar_sleeve<rgb<0, 70, 200>, rgb<210, 240, 255>, 8>, 300, 450>;
wick_slots slots = { slot<tide>("tide", "Tide") };
"""
NO_PIXELS = b"\n".join(line for line in SMALL.split(b"\n") if b"blade_pixels" not in line)
UNREADABLE = b"using tide = power_sleeve<rgb<0, 70, 200>, 300, 450;\n"


@dataclass(frozen=True)
class Done:
    """How a run ended: its status and both streams as bytes."""

    status: int
    out: bytes
    err: bytes

    @property
    def said(self) -> str:
        return self.out.decode("utf-8", "replace")

    @property
    def complained(self) -> str:
        return self.err.decode("utf-8", "replace")


def rehilt(*args: str, cwd: Path, stdin: bytes = b"") -> Done:
    """Runs `rehilt ARGS` in a folder, in this process; no run may end in an exception."""
    with contextlib.chdir(cwd):
        done = CliRunner().invoke(main, list(args), input=stdin, prog_name="rehilt")
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exc_info
    return Done(done.exit_code, done.stdout_bytes, done.stderr_bytes)


def process(*args: str, cwd: Path, stdin: bytes = b"", **environment: str) -> Done:
    """The same in a process of its own, where terminals, encodings and bytes matter; no run may end in a traceback."""
    inherited = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "FORCE_COLOR", "NO_COLOR", "PYTHONPATH")}
    done = subprocess.run(
        [sys.executable, "-m", "migrate.cli", *args], cwd=cwd, input=stdin, capture_output=True, timeout=120,
        check=False, env=inherited | {"PYTHONPATH": str(ROOT)} | environment,
    )  # fmt: skip
    assert b"Traceback" not in done.stderr, done.stderr.decode("utf-8", "replace")
    return Done(done.returncode, done.stdout, done.stderr)
