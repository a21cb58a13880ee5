"""What is written, where, and that a failure leaves the old file."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from click.testing import CliRunner

from migrate import atomic
from migrate.cli import main
from tests.cli.bench import SMALL, rehilt


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "quay.h").write_bytes(SMALL)
    return tmp_path


def moved_text(folder: Path, data: bytes = SMALL) -> bytes:
    return rehilt("move", "-", "--to", "wick3", "--write", cwd=folder, stdin=data).out


def test_standard_input_with_write_gives_the_text_alone(folder: Path) -> None:
    done = rehilt("move", "-", "--to", "wick3", "--write", cwd=folder, stdin=SMALL)
    assert done.status == 0
    assert done.out.startswith(b"#define WICK_GENERATION 3\n") and done.out.endswith(b'"Tide") };\n')
    assert "1 style from wick2 to wick3: 1 same" in done.complained


def test_standard_input_is_shown_as_a_diff(folder: Path) -> None:
    done = rehilt("move", "-", "--to", "wick3", cwd=folder, stdin=SMALL)
    assert done.status == 0 and b"\n+#include <wick/pile.h>\n" in done.out


def test_standard_input_with_write_and_json_is_refused(folder: Path) -> None:
    done = rehilt("move", "-", "--to", "wick3", "--write", "--json", cwd=folder, stdin=SMALL)
    assert (done.status, done.out) == (2, b"")


def test_write_replaces_the_file_and_keeps_its_permissions(folder: Path) -> None:
    (folder / "quay.h").chmod(0o640)
    done = rehilt("move", "quay.h", "--to", "wick3", "--write", cwd=folder)
    assert done.status == 0 and "written: quay.h" in done.complained
    assert (folder / "quay.h").read_bytes() == moved_text(folder)
    assert stat.S_IMODE((folder / "quay.h").stat().st_mode) == 0o640
    assert [path.name for path in folder.iterdir()] == ["quay.h"]


def test_write_a_second_time_changes_nothing(folder: Path) -> None:
    rehilt("move", "quay.h", "--to", "wick3", "--write", cwd=folder)
    first = (folder / "quay.h").stat()
    done = rehilt("move", "quay.h", "--to", "wick3", "--write", cwd=folder)
    assert done.status == 0 and "unchanged: quay.h" in done.complained
    assert (folder / "quay.h").stat().st_ino == first.st_ino, "the file was not even replaced"


def test_write_through_a_link_replaces_what_it_points_to(folder: Path) -> None:
    (folder / "link.h").symlink_to("quay.h")
    rehilt("move", "link.h", "--to", "wick3", "--write", cwd=folder)
    assert (folder / "link.h").is_symlink()
    assert (folder / "quay.h").read_bytes() == moved_text(folder)


def test_a_read_only_file_is_not_replaced(folder: Path) -> None:
    (folder / "quay.h").chmod(0o444)
    done = rehilt("move", "quay.h", "--to", "wick3", "--write", cwd=folder)
    assert done.status == 2
    assert "cannot write quay.h: the file is read-only; the old file stands" in done.complained
    assert (folder / "quay.h").read_bytes() == SMALL


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root writes into any folder")
def test_a_read_only_folder_leaves_the_old_file(folder: Path) -> None:
    folder.chmod(0o555)
    try:
        done = rehilt("move", "quay.h", "--to", "wick3", "--write", cwd=folder)
    finally:
        folder.chmod(0o755)
    assert done.status == 2 and "the old file stands" in done.complained
    assert (folder / "quay.h").read_bytes() == SMALL


@pytest.mark.parametrize("step", ["replace", "fsync", "chmod"])
def test_a_failure_at_any_step_leaves_the_old_file_and_no_litter(
    folder: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(atomic.os, step, full)
    done = CliRunner().invoke(main, ["move", str(folder / "quay.h"), "--to", "wick3", "--write"])
    assert done.exit_code == 2
    assert "No space left on device; the old file stands" in done.stderr
    assert [path.name for path in folder.iterdir()] == ["quay.h"]
    assert (folder / "quay.h").read_bytes() == SMALL


def test_out_makes_the_folder_and_leaves_the_source(folder: Path) -> None:
    done = rehilt("move", "quay.h", "--to", "wick3", "--out", "a/b", cwd=folder)
    assert done.status == 0 and "written: a/b/quay.h" in done.complained
    assert (folder / "a" / "b" / "quay.h").read_bytes() == moved_text(folder)
    assert (folder / "quay.h").read_bytes() == SMALL


def test_out_refuses_two_files_of_one_name(folder: Path) -> None:
    (folder / "old").mkdir()
    (folder / "old" / "quay.h").write_bytes(SMALL)
    done = rehilt("move", "quay.h", "old/quay.h", "--to", "wick3", "--out", "new", cwd=folder)
    assert done.status == 2 and "two files would become new/quay.h" in done.complained
    assert not (folder / "new").exists()


def test_out_below_a_file_is_refused(folder: Path) -> None:
    done = rehilt("move", "quay.h", "--to", "wick3", "--out", "quay.h/new", cwd=folder)
    assert done.status == 2 and "cannot make the folder quay.h/new: Not a directory" in done.complained


def test_what_could_not_be_read_is_not_written(folder: Path) -> None:
    (folder / "plain.h").write_bytes(b"int main() {}\n")
    done = rehilt("move", "plain.h", "--to", "wick3", "--out", "new", cwd=folder)
    assert done.status == 2 and "not written: plain.h" in done.complained
    assert not (folder / "new").exists()


def test_report_and_pictures_that_cannot_be_written(folder: Path) -> None:
    done = rehilt("move", "quay.h", "--to", "wick3", "--pictures", "quay.h/new", cwd=folder)
    assert done.status == 2 and "cannot write into quay.h/new" in done.complained
    done = rehilt("show", "quay.h", "tide", "-o", "gone/tide.png", cwd=folder)
    assert done.status == 2 and "cannot write gone/tide.png" in done.complained
    done = rehilt("demo", "--out", "quay.h/new", cwd=folder)
    assert done.status == 2 and "cannot write into quay.h/new" in done.complained
