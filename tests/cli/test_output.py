"""What stands on the screen, in a pipe and in JSON."""

from __future__ import annotations

import json
import re
from pathlib import Path

import jsonschema
import pytest

from migrate.resources import grammar_path
from tests.cli.bench import DEMO, SMALL, process, rehilt

SCHEMA = json.loads(grammar_path("schemas", "move.json").read_text("utf-8"))
CHECKER = jsonschema.Draft202012Validator(SCHEMA)
ESCAPE = re.compile(rb"\x1b\[")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "quay.h").write_bytes(SMALL)
    (tmp_path / "demo.h").write_bytes(DEMO)
    return tmp_path


def report(*args: str, cwd: Path, stdin: bytes = b"") -> tuple[int, dict[str, object]]:
    done = rehilt("move", *args, "--to", "wick3", "--json", cwd=cwd, stdin=stdin)
    found = json.loads(done.out)
    CHECKER.validate(found)
    assert found["exit"] == done.status
    return done.status, found


def test_the_schema_is_a_schema_and_refuses_what_is_not_listed() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    good = {"to": "wick3", "styles": [], "diagnostics": [], "exit": 0}
    assert CHECKER.is_valid(good)
    assert not CHECKER.is_valid(good | {"extra": 1})
    assert not CHECKER.is_valid(good | {"exit": 3})


def test_json_of_the_demo(folder: Path) -> None:
    status, found = report("demo.h", cwd=folder)
    assert status == 0
    assert [s["grade"] in ("same", "close") for s in found["styles"]] == [True] * 14
    assert found["styles"][0] == {
        "name": "harbour_watch", "line": 33, "from": "wick2", "grade": "close",
        "figures": {"rounding_percent": 0.2667}, "notes": [],
    }  # fmt: skip


def test_json_of_a_style_that_needs_figures(tmp_path: Path) -> None:
    """Every field of the figures is in the schema: a text that loses something is measured."""
    (tmp_path / "sound.h").write_bytes(
        b"#include <wick/pile.h>\nconstexpr int blade_pixels = 100;\n"
        b"using tide = wick::pile<wick::blend<wick::duty<9, 9, 9>, wick::duty<200, 0, 0>, wick::tilt<>>>;\n"
        b'wick_slots slots = { slot<tide>("tide", "Tide") };\n'
    )
    done = rehilt("move", "sound.h", "--to", "wick2", "--json", cwd=tmp_path)
    found = json.loads(done.out)
    CHECKER.validate(found)
    assert done.status == found["exit"] == 1
    (style,) = found["styles"]
    assert style["figures"]["largest"] > 5 and style["figures"]["first"]["frame"] >= 0 and style["notes"]


@pytest.mark.parametrize("name", ["gone.h", "."])
def test_json_of_a_file_that_cannot_be_read(folder: Path, name: str) -> None:
    status, found = report(name, cwd=folder)
    assert status == 2 and found["styles"] == []
    (said,) = found["diagnostics"]
    assert (said["code"], said["severity"], said["file"]) == ("cannot-read", "error", name)


def test_json_of_a_file_that_is_damaged(folder: Path) -> None:
    (folder / "quay.h").write_bytes(SMALL.replace(b"300, 450>", b"300, 450"))
    status, found = report("quay.h", cwd=folder)
    assert status == 2
    assert "missing-close" in [d["code"] for d in found["diagnostics"]]


def test_json_says_what_could_not_be_written(folder: Path) -> None:
    (folder / "new").write_bytes(b"a file, not a folder")
    status, found = report("quay.h", "--out", "new/deeper", cwd=folder)
    assert status == 2
    assert found["diagnostics"][-1]["code"] == "cannot-write"


def test_json_is_utf_8_whatever_the_terminal_is(folder: Path) -> None:
    (folder / "gerüst.h").write_bytes(SMALL)
    done = process("move", "gerüst.h", "gone.h", "--to", "wick3", cwd=folder, PYTHONIOENCODING="ascii")
    assert done.status == 2
    done = process("move", "gerüst-fehlt.h", "--to", "wick3", "--json", cwd=folder, PYTHONIOENCODING="ascii")
    assert "gerüst-fehlt.h" in json.loads(done.out)["diagnostics"][0]["file"]


def test_a_terminal_without_the_letters_gets_no_traceback(folder: Path) -> None:
    (folder / "other.h").write_bytes(SMALL.replace(b"0, 70, 200", b"200, 70, 0"))
    done = process("compare", "quay.h", "other.h", cwd=folder, PYTHONIOENCODING="ascii")
    assert done.status == 1 and b"?E 95 %" in done.out


def test_piped_output_has_no_colours_and_is_not_folded(folder: Path) -> None:
    (folder / "other.h").write_bytes(SMALL.replace(b"0, 70, 200", b"200, 70, 0"))
    done = rehilt("compare", "quay.h", "other.h", cwd=folder)
    assert not ESCAPE.search(done.out)
    lines = done.said.splitlines()
    assert any("event edges" in line and "changed" in line for line in lines), "one line for a style"
    assert [line for line in lines if line != line.rstrip()] == []


def test_colours_where_they_are_asked_for(folder: Path) -> None:
    done = process("move", "quay.h", "--to", "wick3", cwd=folder, FORCE_COLOR="1", TERM="xterm-256color", COLUMNS="80")
    assert b"\x1b[31m-#include <wick2.h>" in done.out and b"\x1b[32m+#include <wick/pile.h>" in done.out


def test_control_characters_of_a_text_do_not_reach_the_terminal(folder: Path) -> None:
    (folder / "quay.h").write_bytes(SMALL.replace(b"#include <wick2.h>", b"#include <wick2.h> // \x1b[2J"))
    done = process("move", "quay.h", "--to", "wick3", cwd=folder, FORCE_COLOR="1", TERM="xterm-256color")
    assert b"\x1b[2J" not in done.out and "␛[2J" in done.said


def test_a_line_of_a_megabyte_is_shown_round_its_caret(folder: Path) -> None:
    deep = b"dim<" * 100_000 + b"rgb<1, 2, 3>" + b", 99>" * 100_000
    (folder / "quay.h").write_bytes(b"#include <wick2.h>\nusing tide = " + deep + b";\n")
    done = rehilt("move", "quay.h", "--to", "wick3", cwd=folder)
    assert done.status == 2 and "error [" in done.said
    assert max(map(len, done.said.splitlines())) < 300


def test_preview_says_that_nothing_is_written(folder: Path) -> None:
    before = {path: path.read_bytes() for path in folder.iterdir()}
    done = rehilt("move", "quay.h", "--to", "wick3", cwd=folder)
    assert "nothing is written; --write replaces the file" in done.complained
    assert {path: path.read_bytes() for path in folder.iterdir()} == before


@pytest.mark.parametrize("args", [(), ("move",), ("compare",), ("show",), ("demo",), ("packs",), ("packs", "list")])
def test_help_of_every_command(tmp_path: Path, args: tuple[str, ...]) -> None:
    long, short = rehilt(*args, "--help", cwd=tmp_path), rehilt(*args, "-h", cwd=tmp_path)
    assert long.status == 0 and long.out == short.out and long.err == b""
    assert "…" not in long.said and "..." not in re.sub(r"(FILE|ARGS|NAME)\]?\.\.\.", "", long.said), "a cut sentence"
    assert max(map(len, long.said.splitlines())) <= 100


def test_help_lists_every_command_and_the_exit_status(tmp_path: Path) -> None:
    said = rehilt("--help", cwd=tmp_path).said
    assert all(f"\n  {name} " in said for name in ("move", "compare", "show", "demo", "packs"))
    assert "Exit status: 0" in said


def test_the_version(tmp_path: Path) -> None:
    import tomllib

    from tests.cli.bench import ROOT

    version = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["version"]
    assert rehilt("--version", cwd=tmp_path).said == f"rehilt, version {version}\n"
