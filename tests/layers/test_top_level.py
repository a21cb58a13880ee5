"""The top level of the tree, and that its pages say what is so."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from migrate.packs.checker import check
from migrate.pipeline import Options, move
from migrate.source import SourceFile

ROOT = Path(__file__).resolve().parents[2]
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "migrate", "grammars", "tests", "corpora"}


def test_the_top_level_is_exactly_this() -> None:
    command = ["git", "ls-files", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode != 0:
        pytest.skip("not a git checkout: what is built here cannot be told from what belongs")
    found = {line.split("/")[0].strip('"') for line in listed.stdout.splitlines()}
    assert {name for name in found if not name.startswith(".")} == TOP


def test_developers_page_names_tests_that_are_there() -> None:
    page = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    named = re.findall(r"`(tests/[\w/.]+?)(?:::(\w+))?`", page)
    assert len(named) > 10
    for path, function in named:
        assert (ROOT / path).exists(), path
        if function:
            assert f"def {function}(" in (ROOT / path).read_text("utf-8"), f"{path}::{function}"


def test_developers_page_has_a_line_for_every_folder_of_the_package() -> None:
    page = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    folders = [p.name for p in (ROOT / "migrate").iterdir() if p.is_dir() and (p / "__init__.py").exists()]
    modules = [p.name for p in (ROOT / "migrate").glob("*.py") if p.name != "__init__.py"]
    assert folders and [name for name in folders if f"`{name}/`" not in page] == []
    assert [name for name in modules if f"`{name}`" not in page] == []


def test_tests_page_has_a_line_for_every_folder() -> None:
    page = (ROOT / "tests" / "README.md").read_text("utf-8")
    folders = [p.name for p in (ROOT / "tests").iterdir() if p.is_dir() and any(p.glob("test_*.py"))]
    assert folders and [name for name in folders if f"{name}/" not in page] == []


def test_readme_runs_the_commands_that_are_there() -> None:
    page = (ROOT / "README.md").read_text("utf-8")
    assert "pip install -q -e '.[test]' && .venv/bin/rehilt demo" in page
    assert "python -m pytest -q" in page and 'python" -m pytest -q' in (ROOT / ".ci" / "run").read_text("utf-8")


def test_the_pack_on_the_developers_page_is_a_pack(tmp_path: Path) -> None:
    """It checks clean, and a config in it moves: a generation is added without a line of Python."""
    page = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    (pack,) = re.findall(r"```\n(generation .*?)```", page, re.DOTALL)
    (tmp_path / "lamp").mkdir()
    (tmp_path / "lamp" / "lamp.pack").write_text(pack, "utf-8")
    assert check((tmp_path / "lamp",)) == []
    config = (
        b"#include <lamp.h>\nconstexpr int blade_pixels = 100;\n"
        b"using tide = lamp<stripes<10, rgb<255, 0, 0>, rgb<0, 0, 9>>, beat<rgb<9, 9, 9>, 80>>;\n"
        b'lamp_table props = { row<tide>("tide", "Tide") };\n'
    )
    moved = move(SourceFile("a.h", config), Options("wick3", packs=(tmp_path / "lamp",)))
    assert [(s.name, s.origin, s.grade) for s in moved.styles] == [("tide", "lamp1", "same")]
    assert b"bands<100, 0," in moved.text, "10 of 100 pixels are 100 per mille"
