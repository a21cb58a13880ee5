"""A haul that is killed goes on to the very same end; `python -m tests.kill_resume` does it fifty times."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from kill_resume import trial


def test_kill_and_resume_give_the_undisturbed_result(tmp_path: Path) -> None:
    assert trial(3, 7, tmp_path).startswith("3 kills")
