"""Repairs on offer: shown as diffs that git and patch accept, never made, and none for a sound text."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner

from migrate.cli import main
from migrate.concrete.edits import apply_edits
from migrate.concrete.parse import parse
from migrate.dating.repair import offer
from migrate.packs.library import library
from migrate.report.diff import unified
from migrate.source import SourceFile

CORPORA = Path(__file__).resolve().parents[2] / "corpora"
DAMAGED = sorted(p for p in (CORPORA / "mixed").glob("damaged_*") if not p.name.endswith(".json"))
SOUND = [*sorted(CORPORA.glob("wick?/*.h")), *sorted(CORPORA.glob("demo/*.h"))]
# What nobody can mend: the comment swallowed the rest, or nothing is wrong by the packs.
NOT_MENDED = {"damaged_unclosed_comment.h", "damaged_closing_brackets_98.h"}


def repaired(path: Path) -> tuple[bytes, bytes]:
    source = SourceFile(path.name, path.read_bytes())
    return source.data, offer(source, library()).after.data


@pytest.mark.parametrize("path", DAMAGED, ids=lambda p: p.name)
def test_readable_damage_has_a_repair(path: Path) -> None:
    before, after = repaired(path)
    assert (before != after) == (path.name not in NOT_MENDED)


@pytest.mark.parametrize("path", SOUND, ids=lambda p: f"{p.parent.name}/{p.name}")
def test_a_sound_text_has_none(path: Path) -> None:
    before, after = repaired(path)
    assert before == after


@pytest.mark.parametrize("ending", ["lf", "crlf", "no final newline"])
@pytest.mark.parametrize("path", [p for p in DAMAGED if p.name not in NOT_MENDED], ids=lambda p: p.name)
def test_git_and_patch_accept_the_diff(path: Path, ending: str, tmp_path: Path) -> None:
    data = path.read_bytes().replace(b"\r\n", b"\n").rstrip(b"\n")
    data = data if ending == "no final newline" else data + b"\n"
    data = data.replace(b"\n", b"\r\n") if ending == "crlf" else data
    after = offer(SourceFile(path.name, data), library()).after.data
    diff = unified(path.name, data, after)
    (tmp_path / path.name).write_bytes(data)
    (tmp_path / "repair.diff").write_bytes(diff)
    by_git = ["git", "apply", "--check", "repair.diff"]
    by_patch = ["patch", "-p1", "--dry-run", "--binary", "-i", "repair.diff"]
    for command in (by_git, by_patch):
        if shutil.which(command[0]) is None:
            pytest.skip(f"{command[0]} is not installed")
        done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, timeout=30, check=False)
        assert done.returncode == 0, f"{command[0]}: {done.stdout}{done.stderr}"


@pytest.mark.parametrize("path", DAMAGED, ids=lambda p: p.name)
def test_the_edits_make_the_repaired_text(path: Path) -> None:
    source = SourceFile(path.name, path.read_bytes())
    made = offer(source, library())
    assert apply_edits(source.data, made.edits()) == made.after.data


def test_repair_prints_a_diff_and_writes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "config.h"
    path.write_bytes((CORPORA / "mixed" / "damaged_missing_close.h").read_bytes())
    before = path.read_bytes()
    shown = CliRunner().invoke(main, ["spot", "--repair", str(path)])
    assert "rgb<0, 35, 100>>, rgb<210, 240, 255>, 14>," in shown.output
    assert shown.exit_code == 2
    assert path.read_bytes() == before


def test_the_missing_bracket_is_told_where_it_belongs_and_not_where_the_parser_gives_up() -> None:
    source = SourceFile("x.h", (CORPORA / "mixed" / "damaged_missing_close.h").read_bytes())
    (parser_says,) = parse(source).diagnostics
    (told,) = offer(source, library()).diagnostics
    assert source.place(parser_says.span.start)[0] == 10
    assert source.place(told.span.start) == (8, 66)


def test_other_styles_of_a_damaged_file_go_through() -> None:
    text = (CORPORA / "mixed" / "damaged_unclosed_comment.h").read_bytes()
    sound = b"using bell = power_sleeve<rgb<1, 2, 3>, 300, 300>;\n"
    at = text.index(b"using tide_staff")
    shown = CliRunner().invoke(main, ["spot", "--json", "-"], input=text[:at] + sound + text[at:])
    assert '"name": "bell"' in shown.output
    assert '"because": "declared"' in shown.output
