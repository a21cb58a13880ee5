"""Every diagnostic code has a page, every page a code, and the examples do what the page says."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from migrate.cli import main
from migrate.codes import Page, PageError, pages, read_page
from migrate.diagnostics import Diagnostic
from migrate.packs.checker import check
from migrate.pipeline import Options, move, read
from migrate.render.scene_reader import read_scene
from migrate.source import SourceFile
from migrate.spotting import SpotOptions, spot

SOURCES = Path(__file__).resolve().parents[2] / "migrate"
CODE = re.compile(r"[a-z]+(-[a-z]+)*")
PLAIN = {"Refusal", "_refused", "HaulError", "Diagnostic", "problem", "_add_problem"}
# The calls whose first text argument is a code, or in which a code is the argument of that name.
MAKERS = {
    "Diagnostic": 0, "Refusal": 0, "HaulError": 0, "Meaningless": 0, "_MeaningError": 0, "_failure": 0, "_fail": 0,
    "problem": 0, "_add_problem": 0, "_one": 0, "Step": 0, "Finding": 3, "finding": 0, "_at": -1, "_of": -1,
    "_refused": 1, "_without": 2, "_diagnostic": 1, "PackError": -1, "at": -1,
}  # fmt: skip
PACK_BASE = """generation blade1 "first"
  standard  c++17
  header    <blade.h>
  clock     frame
  mixing    real

unit ms is time of 1000    0..60000

unit mil is length_mil      0..1000

unit mil_s is speed_mil       -1000..1000

unit code is plain           0..255

unit share is weight_1000     0..1000

paint ink(red: code, green: code, blue: code)
  means    duty(red, green, blue)
  example  ink<255, 120, 40>

signal amount(w: share)
  means    constant(w)
  example  amount<500>

layer lay(p: paint, w: signal)
  means    over(p, w)
  example  lay<ink<1, 2, 3>, amount<20>>

style blade(ground: paint, layers: layer...?)
  means    ground + layers
  example  blade<ink<1, 2, 3>>
"""


def codes_in(tree: ast.AST) -> set[str]:
    """The codes that a module makes: the text arguments of the calls that make diagnostics, and tables of codes."""
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            where = MAKERS.get(name)
            named = [k.value for k in node.keywords if k.arg == "code"]
            given = [] if where is None else node.args if where < 0 else node.args[where : where + 1]
            arguments = [*named, *given]
            found.update(w for a in arguments for w in _words(a, strict=name not in PLAIN))
        elif isinstance(node, ast.Dict) and any("errno" in ast.unparse(k) for k in node.keys if k is not None):
            found.update(w for v in node.values for w in _words(v, strict=False))
        elif isinstance(node, (ast.Return, ast.Assign)) and isinstance(node.value, ast.Tuple):
            first = node.value.elts[0] if node.value.elts else None  # a code with its message, and one of two codes
            found.update(w for w in _words(first, strict=True) if w not in ("light-dark",))
        elif isinstance(node, ast.Assign) and any(ast.unparse(t).endswith("code") for t in node.targets):
            found.update(_words(node.value, strict=True))
    return found


def _words(node: ast.AST | None, strict: bool) -> set[str]:
    """The texts in an expression that can be codes; `strict` asks for a hyphen."""
    # What is compared with, or given to another call, is no code of this one.
    inner = [n for n in ast.walk(node) if isinstance(n, (ast.Compare, ast.Call))] if node else []
    beside = {c for n in inner for c in ast.walk(n)}
    parts = [n for n in ast.walk(node) if n not in beside] if node else []
    texts = {n.value for n in parts if isinstance(n, ast.Constant) and isinstance(n.value, str)}
    return {t for t in texts if CODE.fullmatch(t) and (not strict or "-" in t)}


def made() -> dict[str, set[str]]:
    """Every code with the modules that make it."""
    found: dict[str, set[str]] = {}
    for path in SOURCES.rglob("*.py"):
        for code in codes_in(ast.parse(path.read_text("utf-8"))):
            found.setdefault(code, set()).add(path.name)
    return found


def test_every_code_has_a_page() -> None:
    assert {c: m for c, m in made().items() if c not in pages()} == {}


def test_every_page_has_a_code() -> None:
    texts = [p.read_text("utf-8") for p in SOURCES.rglob("*.py")]
    assert [c for c in pages() if not any(f'"{c}"' in t for t in texts)] == []


def told_by_text(text: str) -> set[str]:
    """The codes that reading a text gives, by either command."""
    source = SourceFile("example.h", text.encode())
    found = {d.code for d in spot(source, SpotOptions()).diagnostics}
    reading = read(source, Options("wick4"))
    return found | ({reading.code} if isinstance(reading, Diagnostic) else {d.code for d in reading.diagnostics})


def told_by_move(text: str, target: str) -> set[str]:
    return {d.code for d in move(SourceFile("example.h", text.encode()), Options(target, prove=False)).diagnostics}


def told_by_scene(text: str) -> set[str]:
    found = read_scene(text, "example")
    return {found.code} if isinstance(found, Diagnostic) else set()


def told_by_pack(text: str, folder: Path) -> set[str]:
    folder.mkdir()
    (folder / "blade.pack").write_text(merged(text), "utf-8")
    return {f.code for f in check((folder,))}


def merged(text: str) -> str:
    """A small sound pack with the example's statements in place of its own of the same name."""
    if text.startswith("-- whole file\n"):
        return text.removeprefix("-- whole file\n").replace("@BASE@\n", PACK_BASE)
    given = [s for s in re.split(r"\n(?=\S)", text) if s.strip()]
    keys = {" ".join(s.split()[:2]).split("(")[0] if not s.startswith("generation") else "generation" for s in given}
    kept = [s for s in re.split(r"\n(?=\S)", PACK_BASE) if " ".join(s.split()[:2]).split("(")[0] not in keys]
    kept = [s for s in kept if "generation" not in keys or not s.startswith("generation")]
    return "\n".join([*given, *kept]) if "generation" in keys else "\n".join([*kept, *given])


def told(page: Page, text: str, folder: Path) -> set[str]:
    if page.about == "text":
        return told_by_text(text)
    if page.about == "spot --no-measure":
        return {d.code for d in spot(SourceFile("example.h", text.encode()), SpotOptions(measure=False)).diagnostics}
    if page.about.startswith("move "):
        return told_by_move(text, page.about.removeprefix("move "))
    return told_by_scene(text) if page.about == "scene" else told_by_pack(text, folder)


SHOWN = [p for p in pages().values() if p.about not in ("run", "moving")]


@pytest.mark.parametrize("page", SHOWN, ids=lambda p: p.code)
def test_the_examples_do_what_the_page_says(page: Page, tmp_path: Path) -> None:
    assert page.code in told(page, page.bad, tmp_path / "bad")
    assert page.code not in told(page, page.good, tmp_path / "good")


def test_a_page_that_lacks_a_part_is_an_error() -> None:
    with pytest.raises(PageError, match="Good"):
        read_page("x-y", "# x-y\n\nabout: text\n\nIt is so.\n\n## Bad\n\n```\nx\n```\n\n## Good\n\nnothing\n")


def test_why_prints_a_page_and_suggests_near_codes() -> None:
    shown = CliRunner().invoke(main, ["why", "missing-close"])
    assert shown.exit_code == 0
    assert "Bad:" in shown.output and "Good:" in shown.output
    wrong = CliRunner().invoke(main, ["why", "missing-clse"])
    assert wrong.exit_code != 0
    assert "missing-close" in wrong.output


def test_why_lists_every_code() -> None:
    shown = CliRunner().invoke(main, ["why"]).output.splitlines()
    assert [line.split()[0] for line in shown] == list(pages())
