"""Several files in one run of `move`: those that include one another are written all or none."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.bench import rehilt

SHARED = b"using tide = rgb<0, 70, 200>;\nusing foam = rgb<210, 240, 255>;\n"
LAMP = b"""#define WICK_GENERATION 2
#include <wick2.h>
#include "quay.h"
using lamp = power_sleeve<clash_sleeve<tide, foam>, 300, 450>;
"""
BANDS = b"using tide = bands<12, 24, rgb<0, 70, 200>, rgb<210, 240, 255>>;\nusing foam = rgb<210, 240, 255>;\n"

APART = b"#include <wick2.h>\nusing lull = power_sleeve<rgb<0, 70, 200>, 300, 450>;\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "lamp.h").write_bytes(LAMP)
    (tmp_path / "quay.h").write_bytes(SHARED)
    return tmp_path


def texts(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize("files", [("lamp.h", "quay.h"), ("quay.h", "lamp.h")])
def test_the_order_of_the_files_does_not_matter(folder: Path, files: tuple[str, str]) -> None:
    done = rehilt("move", *files, "--to", "wick3", "--write", cwd=folder)
    assert done.status == 0 and "1 style from wick2 to wick3: 1 same" in done.said
    assert [line for line in done.complained.split("\n") if line] == [f"written: {name}" for name in files]
    moved = texts(folder)
    assert b"pile<tide, on<ev::clash, foam, burst<80>>, power<wipe<300>, wipe<450>>>" in moved["lamp.h"]
    assert moved["quay.h"] == b"using tide = wick::duty<0, 70, 200>;\nusing foam = wick::duty<210, 240, 255>;\n"
    again = rehilt("move", *files, "--to", "wick3", "--write", cwd=folder)
    assert again.status == 0 and texts(folder) == moved


def test_where_one_cannot_be_moved_none_is_written(folder: Path) -> None:
    (folder / "quay.h").write_bytes(BANDS)  # the blade's pixels are nowhere said
    (folder / "apart.h").write_bytes(APART)
    before = texts(folder)
    done = rehilt("move", "lamp.h", "apart.h", "quay.h", "--to", "wick4", "--write", cwd=folder)
    assert done.status == 2
    message = "not written: lamp.h and quay.h, which hang together by their includes; quay.h could not be moved"
    assert f"Error: {message}\n" in done.complained and "written: apart.h" in done.complained
    assert "[missing-pixel-count]" in done.said
    after = texts(folder)
    assert after["lamp.h"] == LAMP and after["quay.h"] == BANDS and after["apart.h"] != before["apart.h"]
    other = rehilt("move", "lamp.h", "quay.h", "--to", "wick4", "--out", "new", cwd=folder)
    assert other.status == 2 and f"Error: {message}\n" in other.complained and not (folder / "new").exists()


def test_a_failure_to_write_the_last_puts_back_the_first(folder: Path) -> None:
    (folder / "quay.h").chmod(0o444)
    done = rehilt("move", "lamp.h", "quay.h", "--to", "wick3", "--write", cwd=folder)
    assert done.status == 2 and "written" not in done.complained
    assert "Error: cannot write quay.h: the file is read-only; the old file stands" in done.complained
    assert texts(folder) == {"lamp.h": LAMP, "quay.h": SHARED}


def test_a_failure_in_a_new_folder_leaves_nothing_of_it(folder: Path) -> None:
    (folder / "new").mkdir()
    (folder / "new" / "quay.h").mkdir()
    done = rehilt("move", "lamp.h", "quay.h", "--to", "wick3", "--out", "new", cwd=folder)
    assert done.status == 2 and "Error: cannot write new/quay.h: " in done.complained
    assert [path.name for path in (folder / "new").iterdir()] == ["quay.h"]


def test_the_hint_is_the_command_that_moves_both(folder: Path) -> None:
    alone = rehilt("move", "lamp.h", "--to", "wick3", cwd=folder)
    assert (
        "lamp.h:3:1: warning [included-definition] quay.h goes on being wick2, which does not compile here\n"
        '  #include "quay.h"\n  ^^^^^^^^^^^^^^^^^\n  hint: move both, `rehilt move lamp.h quay.h --to wick3`\n'
    ) in alone.said
    assert rehilt("move", "lamp.h", "quay.h", "--to", "wick3", cwd=folder).status == 0


def test_a_new_place_that_cannot_be_read_is_told_and_nothing_is_written(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (folder / "new").mkdir()
    (folder / "new" / "quay.h").write_bytes(b"// held\n")
    read_bytes = Path.read_bytes

    def closed(path: Path) -> bytes:
        if path.parent.name == "new":
            raise PermissionError(13, "Permission denied")
        return read_bytes(path)

    monkeypatch.setattr(Path, "read_bytes", closed)
    done = rehilt("move", "lamp.h", "quay.h", "--to", "wick3", "--out", "new", cwd=folder)
    monkeypatch.undo()
    assert done.status == 2 and "Error: cannot read new/quay.h: Permission denied\n" in done.complained
    assert texts(folder / "new") == {"quay.h": b"// held\n"}
