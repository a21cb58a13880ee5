"""`move --write` and the user's own work: git is asked first, a copy is kept where told to."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner
from conftest import config

from migrate.cli import main

pytestmark = pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")


def git(folder: Path, *words: str) -> None:
    settings = ["-c", "user.name=Quay", "-c", "user.email=quay@example.org", "-c", "init.defaultBranch=main"]
    subprocess.run(["git", *settings, *words], cwd=folder, check=True, capture_output=True)


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A config that is committed."""
    folder = tmp_path / "props"
    folder.mkdir()
    path = folder / "lamps.h"
    path.write_text(config())
    git(folder, "init")
    git(folder, "add", "lamps.h")
    git(folder, "commit", "-m", "lamps")
    return path


def write(path: Path, *more: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["move", str(path), "--to", "wick4", "--write", *more])
    return result.exit_code, result.output


def test_a_committed_file_is_written(kept: Path) -> None:
    status, said = write(kept)
    assert status == 0 and "written" in said
    assert "wick/score.h" in kept.read_text()


def test_uncommitted_changes_stop_the_write_where_nobody_can_be_asked(kept: Path) -> None:
    kept.write_text(kept.read_text() + "// tonight\n")
    before = kept.read_bytes()
    status, said = write(kept)
    assert status == 2 and "not committed" in said and "--force" in said
    assert kept.read_bytes() == before
    assert write(kept, "--force")[0] == 0
    assert kept.read_bytes() != before


def test_a_file_that_git_does_not_know_in_a_repository_is_asked_for_too(kept: Path) -> None:
    new = kept.with_name("new.h")
    new.write_text(config())
    assert write(new)[0] == 2
    assert new.read_text() == config()


def test_outside_of_git_nothing_is_asked(tmp_path: Path) -> None:
    path = tmp_path / "lamps.h"
    path.write_text(config())
    assert write(path)[0] == 0


def test_backups_keep_every_old_text(kept: Path) -> None:
    kept.write_text(config("tonight"))
    assert write(kept, "--backup")[0] == 0
    assert kept.with_name("lamps.h.before").read_text() == config("tonight")
    kept.write_text(config("tomorrow"))
    assert write(kept, "--backup")[0] == 0
    assert kept.with_name("lamps.h.before").read_text() == config("tonight")
    assert kept.with_name("lamps.h.before-2").read_text() == config("tomorrow")


def test_backup_without_write_is_wrong_use(kept: Path) -> None:
    assert CliRunner().invoke(main, ["move", str(kept), "--to", "wick4", "--backup"]).exit_code == 2
