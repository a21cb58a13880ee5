"""The tutorial runs, command by command, and says what its page shows."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.packs.tutorial import FOLDER, commands, copied, matches, run

PAGE = (FOLDER / "tutorial.md").read_text("utf-8")


@pytest.mark.slow
def test_every_command_says_what_the_page_shows(tmp_path: Path) -> None:
    pytest.importorskip("tree_sitter_cpp", reason="reading C++ headers needs tree-sitter-cpp (the extra `learn`)")
    pytest.importorskip("clang.cindex", reason="the page shows what libclang adds (the extra `learn`)")
    if shutil.which("g++") is None and shutil.which("clang++") is None:
        pytest.skip("no C++ compiler, which `packs try` needs")
    folder = copied(tmp_path)
    for command in commands(PAGE):
        said = run(command, folder)
        assert matches(command.shown, said), f"$ {command.text}\nshown:\n{command.shown}\nsaid:\n{said}"


def test_the_page_has_every_command_of_a_first_pack() -> None:
    words = [tuple(c.text.split()[:3]) for c in commands(PAGE)]
    for wanted in (("rehilt", "packs", "learn"), ("rehilt", "packs", "check"), ("rehilt", "packs", "try")):
        assert wanted in words
    assert any(w[:2] == ("rehilt", "move") for w in words)


@pytest.mark.parametrize(
    ("shown", "said", "same"),
    [("a\nb", "a\nb", True), ("a\nb", "a\nc", False), ("a\n…\nd", "a\nb\nc\nd", True), ("a\n…\nd", "a\nb\nc", False)],
)
def test_shown_output_is_compared_line_by_line(shown: str, said: str, same: bool) -> None:
    assert matches(shown, said) is same
