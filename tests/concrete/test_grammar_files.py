"""The committed parser is the one that grammar.js describes."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
from pathlib import Path

import pytest

from migrate.concrete.language import LANGUAGE
from migrate.resources import grammar_path

STYLE = grammar_path("style")
CACHED = Path.home() / ".cache" / "tree-sitter-cli" / "tree-sitter"


def command() -> str | None:
    """The tree-sitter command of this machine, if it has one and the node that it needs."""
    found = shutil.which("tree-sitter") or (str(CACHED) if CACHED.exists() else None)
    return found if found and shutil.which("node") else None


def made_from() -> dict[str, str]:
    return json.loads((STYLE / "src" / "made_from.json").read_text())  # type: ignore[no-any-return]


def test_parser_was_made_from_this_grammar_js() -> None:
    digest = hashlib.sha256((STYLE / "grammar.js").read_bytes()).hexdigest()
    assert made_from()["grammar.js"] == digest, "grammar.js has changed: run grammars/style/regenerate"


@pytest.mark.skipif(command() is None, reason="no tree-sitter command: the recorded checksum stands for it")
def test_generated_files_match(tmp_path: Path) -> None:
    tool = command()
    assert tool is not None
    shutil.copy(STYLE / "grammar.js", tmp_path)
    shutil.copy(STYLE / "tree-sitter.json", tmp_path)
    subprocess.run([tool, "generate"], cwd=tmp_path, check=True, capture_output=True)
    version = subprocess.run([tool, "--version"], check=True, capture_output=True, text=True).stdout.split()[1]
    names = ["grammar.json", "node-types.json"] + (["parser.c"] if version == made_from()["tree-sitter"] else [])
    for name in names:
        assert (tmp_path / "src" / name).read_bytes() == (STYLE / "src" / name).read_bytes(), name


def test_built_extension_knows_every_visible_kind() -> None:
    """An extension built from an older parser.c would lack some."""
    named = {entry["type"] for entry in json.loads((STYLE / "src" / "node-types.json").read_text()) if entry["named"]}
    assert named, "node-types.json is empty"
    assert [kind for kind in sorted(named) if LANGUAGE.id_for_node_kind(kind, True) is None] == []
