"""Exit status 0, 1 and 2, and what a wrong use is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.bench import DEMO, NO_PIXELS, SMALL, UNREADABLE, rehilt


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "quay.h").write_bytes(SMALL)
    (tmp_path / "held").mkdir()
    (tmp_path / "held" / "gone.h").write_bytes(SMALL)
    return tmp_path


def test_all_same_or_close_is_0(folder: Path) -> None:
    done = rehilt("move", "quay.h", "--to", "wick3", cwd=folder)
    assert done.status == 0
    assert "1 style from wick2 to wick3: 1 same" in done.said


def test_something_that_changes_is_1(folder: Path) -> None:
    """Two texts whose colour differs: nothing is refused, and an eye sees it."""
    (folder / "other.h").write_bytes(SMALL.replace(b"0, 70, 200", b"200, 70, 0"))
    done = rehilt("compare", "quay.h", "other.h", cwd=folder)
    assert done.status == 1
    assert "1 changed" in done.said and "first seen in scene probe, frame" in done.said


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (("move", "gone.h", "--to", "wick3"), "cannot read gone.h: No such file or directory"),
        (("move", ".", "--to", "wick3"), "cannot read .: it is a folder; `rehilt haul` moves folders"),
        (("move", "gone.h", "--to", "wick3", "--out", "held"), "cannot read gone.h: No such file or directory"),
        (("move", "quay.h"), "Missing option '--to'"),
        (("move", "--to", "wick3"), "Missing argument 'FILE...'"),
        (("move", "quay.h", "--to", "wick9"), "no generation `wick9`; known: wick1, wick2, wick3, wick4"),
        (("move", "quay.h", "--to", "wick3", "--read-as", "wick0"), "no generation `wick0`"),
        (("move", "quay.h", "--to", "wick3", "--scene", "storm"), "no scene `storm`; these ship: evening, probe"),
        (("move", "quay.h", "--to", "wick3", "--scene", "gone.scene"), "no scene `gone.scene`"),
        (("move", "quay.h", "--to", "wick3", "--pixels", "0"), "Invalid value for '--pixels'"),
        (("move", "quay.h", "--to", "wick3", "--pitch", "nan"), "Invalid value for '--pitch'"),
        (("move", "quay.h", "--to", "wick3", "--pitch", "-1"), "Invalid value for '--pitch'"),
        (("move", "quay.h", "--to", "wick3", "--write", "--out", "new"), "--write and --out exclude each other"),
        (("move", "quay.h", "--to", "wick3", "--out", "."), "would be overwritten by its own move"),
        (("compare", "quay.h", "gone.h"), "cannot read gone.h"),
        (("show", "gone.h", "tide"), "cannot read gone.h"),
        (("show", "quay.h", "toll"), "no style `toll` in quay.h; it has: tide"),
        (("show", "quay.h", "tide", "-o", "tide.bmp"), "no picture ends in `.bmp`"),
        (("show", "quay.h", "tide", "--scene", "storm"), "no scene `storm`"),
        (("show", "quay.h", "tide", "--to", "wick3", "--beside", "quay.h"), "--to and --beside exclude each other"),
        (("dance",), "No such command 'dance'"),
    ],
)
def test_wrong_use_is_2_and_says_why(folder: Path, args: tuple[str, ...], told: str) -> None:
    done = rehilt(*args, cwd=folder)
    assert (done.status, done.out) == (2, b"")
    assert told in " ".join(done.complained.split())


def test_a_scene_that_cannot_be_read_is_2(folder: Path) -> None:
    (folder / "odd.scene").write_text("duration soon\n", "utf-8")
    done = rehilt("move", "quay.h", "--to", "wick3", "--scene", "odd.scene", cwd=folder)
    assert done.status == 2
    assert "the scene odd.scene cannot be read" in done.complained


def test_a_file_that_cannot_be_read_does_not_stop_the_others(folder: Path) -> None:
    done = rehilt("move", "gone.h", "quay.h", "--to", "wick3", "--write", cwd=folder)
    assert done.status == 2
    assert "cannot read gone.h" in done.complained and "written: quay.h" in done.complained
    assert b"wick/pile.h" in (folder / "quay.h").read_bytes()


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "undeclared-generation"),
        (b"int main() { return 0; }\n", "undeclared-generation"),
        (NO_PIXELS, "missing-pixel-count"),
        (b"#include <wick2.h>\n" + UNREADABLE, "missing-close"),
    ],
)
def test_what_is_refused_is_2_with_a_code_and_left_alone(tmp_path: Path, data: bytes, code: str) -> None:
    (tmp_path / "quay.h").write_bytes(data)
    done = rehilt("move", "quay.h", "--to", "wick3", "--write", cwd=tmp_path)
    assert done.status == 2
    assert f"error [{code}]" in done.said
    assert (tmp_path / "quay.h").read_bytes() == data


def test_a_missing_pixel_count_is_asked_for_and_taken(tmp_path: Path) -> None:
    (tmp_path / "quay.h").write_bytes(NO_PIXELS)
    asked = rehilt("move", "quay.h", "--to", "wick3", cwd=tmp_path)
    assert "hint: add `constexpr int blade_pixels = …;` to the config, or give --pixels" in asked.said
    given = rehilt("move", "quay.h", "--to", "wick3", "--pixels", "100", cwd=tmp_path)
    assert given.status == 0 and "hilt<80>" in given.said  # 8 of 100 pixels are 80 per mille


def test_a_text_without_styles_says_so(tmp_path: Path) -> None:
    (tmp_path / "quay.h").write_bytes(b"#include <wick2.h>\nint lamps;\n")
    assert "no style of wick2 to move to wick3" in rehilt("move", "quay.h", "--to", "wick3", cwd=tmp_path).said


def test_styles_that_only_one_text_has_are_named(tmp_path: Path) -> None:
    (tmp_path / "one.h").write_bytes(DEMO)
    (tmp_path / "two.h").write_bytes(SMALL)
    done = rehilt("compare", "one.h", "two.h", cwd=tmp_path)
    assert done.status == 2 and "no style `harbour_watch` in the other text" in done.said
