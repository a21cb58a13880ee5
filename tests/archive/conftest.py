"""What the tests of hauls share: small sources, and one way to run a haul."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from migrate.archive.haul import Plan, haul
from migrate.archive.model import Job, Limits
from migrate.pipeline import Options

WICK2 = """#define WICK_GENERATION 2
#include <wick2.h>
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;
using {name} = clash_sleeve<sway<rgb<{red}, 120, 40>, rgb<128, 40, 10>, 1200>, rgb<255, 255, 255>>;
"""

Haul = Callable[..., dict[str, Any]]


def config(name: str = "harbour_watch", red: int = 255) -> str:
    """A config of one style."""
    return WICK2.format(name=name, red=red)


@pytest.fixture
def run_haul(tmp_path: Path) -> Haul:
    def run(*sources: Path | str, out: Path | str = tmp_path / "out", **given: Any) -> dict[str, Any]:
        job = Job(Options("wick4"), str(out), given.pop("limits", Limits()))
        return haul(Plan(tuple(map(str, sources)), job, given.pop("workers", 1), **given))

    return run


def codes(summary: dict[str, Any]) -> dict[str, int]:
    """How many files each reason held for."""
    found: dict[str, int] = {}
    for one in summary["reasons"]:
        if one["of"] == "file":
            found[one["code"]] = found.get(one["code"], 0) + one["count"]
    return found


def tree(folder: Path) -> dict[str, bytes]:
    """Every file of a result by name, without the ledger's folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and ".haul" not in path.relative_to(folder).parts
    }
