"""The package as installed: every folder in it, and a wheel that works from anywhere."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

from migrate.resources import grammar_path

ROOT = Path(__file__).resolve().parents[2]

SCRIPT = """
from migrate.concrete.nodes import text
from migrate.concrete.parse import parse
from migrate.resources import grammar_path
from migrate.source import SourceFile
import migrate
data = b"using tide = rgb<0, 70, 200>;"
found = parse(SourceFile("a.h", data))
assert text(found.root, data) == data and found.items[0].name == "tide"
assert grammar_path("pack.peg").read_text() and list(grammar_path("scenes").iterdir())
assert grammar_path("stage", "stage.h").is_file()
print(migrate.__file__)
"""


def settings() -> dict[str, object]:
    return tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["setuptools"]  # type: ignore[no-any-return]


def test_every_package_is_listed() -> None:
    folders = {path.parent.relative_to(ROOT) for path in (ROOT / "migrate").rglob("*.py")}
    expected = {".".join(folder.parts) for folder in folders} | {"migrate.grammars", "migrate.demo"}
    assert set(settings()["packages"]) == expected  # type: ignore[call-overload]


def test_grammars_are_found_in_the_source_tree() -> None:
    assert grammar_path("style", "grammar.js").is_file()
    assert grammar_path() == ROOT / "grammars"


@pytest.mark.slow
def test_installed_wheel_works_from_any_folder(tmp_path: Path) -> None:
    tree, wheels, target, elsewhere = (tmp_path / name for name in ("tree", "wheels", "target", "elsewhere"))
    elsewhere.mkdir()
    for name in ("migrate", "grammars", "corpora/demo"):
        shutil.copytree(ROOT / name, tree / name, ignore=shutil.ignore_patterns("*.so", "__pycache__"))
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(ROOT / name, tree)
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "-q"]
    subprocess.run([*pip, "wheel", "--no-deps", "--no-build-isolation", "-w", str(wheels), str(tree)], check=True)
    (wheel,) = wheels.iterdir()
    assert "-cp311-abi3-" in wheel.name
    names = zipfile.ZipFile(wheel).namelist()
    for path in (ROOT / "grammars").rglob("*"):
        if path.is_file():
            assert f"migrate/grammars/{path.relative_to(ROOT / 'grammars').as_posix()}" in names
    for path in (ROOT / "corpora" / "demo").iterdir():
        assert f"migrate/demo/{path.name}" in names
    subprocess.run([*pip, "install", "--no-deps", "--target", str(target), str(wheel)], check=True)
    environment = {key: text for key, text in os.environ.items() if key != "PYTHONPATH"} | {"PYTHONPATH": str(target)}
    done = subprocess.run(
        [sys.executable, "-P", "-c", SCRIPT], cwd=elsewhere, env=environment, check=True, capture_output=True, text=True
    )
    assert done.stdout.strip() == str(target / "migrate" / "__init__.py")
    demo = subprocess.run(
        [str(target / "bin" / "rehilt"), "demo"],
        cwd=elsewhere,
        env=environment,
        check=True,
        capture_output=True,
        text=True,
    )
    assert "14 styles from wick2 to wick3" in demo.stdout and demo.stderr == ""
    assert (elsewhere / "rehilt-demo" / "after" / "lantern_quay.h").is_file()
    assert list((elsewhere / "rehilt-demo").glob("*.png"))
