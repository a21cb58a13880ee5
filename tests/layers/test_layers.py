"""The invariants on who imports whom, read off every import of every module; and what a start of the command loads."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
MODULES = sorted((ROOT / "migrate").rglob("*.py"))
STANDARD = sys.stdlib_module_names | {"__future__"}


def imports_of(path: Path) -> Iterator[str]:
    """Every module that a file imports, wherever in it (also in functions and for types alone), by its full name."""
    package = ["migrate", *path.relative_to(ROOT / "migrate").parts[:-1]]
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = ".".join([*package[: len(package) - node.level + 1], *filter(None, [node.module])])
            base = base if node.level else node.module or ""
            yield from (f"{base}.{name.name}" for name in node.names)


def below(folder: str) -> list[Path]:
    """The modules of a folder, or the one module of that name."""
    found = [p for p in MODULES if p.relative_to(ROOT / "migrate").parts[0] in (folder, f"{folder}.py")]
    assert found, f"no module of {folder}/: the rule would hold of nothing"
    return found


def within(name: str, packages: tuple[str, ...]) -> bool:
    return any(name == package or name.startswith(f"{package}.") for package in packages)


def breaches(folder: str, *, only: tuple[str, ...] = (), never: tuple[str, ...] = ()) -> list[str]:
    """What the modules of a folder import beyond `only` (own modules) or out of `never`, as `file: module`."""
    return [
        f"{path.relative_to(ROOT)}: {name}"
        for path in below(folder)
        for name in imports_of(path)
        if within(name, never) or (only and within(name, ("migrate",)) and not within(name, only))
    ]


def third_parties(folder: str) -> set[str]:
    names = {name.split(".")[0] for path in below(folder) for name in imports_of(path)}
    return names - STANDARD - {"migrate"}


STAGES = (
    "migrate.lift",
    "migrate.lower",
    "migrate.packs",
    "migrate.lowering",
    "migrate.writing",
    "migrate.reading",
    "migrate.pipeline",
)


def test_the_scan_sees_imports_of_every_form() -> None:
    seen = set(imports_of(ROOT / "migrate" / "move_command.py"))
    assert "migrate.source.SourceFile" in seen, "an import in a function"
    assert "migrate.pipeline.Moved" in seen, "an import for types"
    assert "json" in seen and "click" in seen


def test_source_and_diagnostics_stand_alone() -> None:
    assert breaches("source", only=("migrate.source",)) == []
    assert breaches("diagnostics", only=("migrate.source",)) == []
    assert third_parties("source") == third_parties("diagnostics") == set()


def test_concrete_knows_nothing_but_text() -> None:
    own = ("migrate.concrete", "migrate.source", "migrate.diagnostics", "migrate.collector", "migrate._style")
    assert breaches("concrete", only=own) == []
    assert third_parties("concrete") == {"tree_sitter"}


def test_the_ir_knows_nothing_but_itself() -> None:
    assert breaches("ir", only=("migrate.ir",)) == []
    assert third_parties("ir") == set()


def test_render_knows_no_text_and_no_packs() -> None:
    assert breaches("render", never=(*STAGES, "migrate.concrete", "migrate.scope")) == []
    assert third_parties("render") <= {"numpy", "parsimonious", "scipy"}


def test_compare_imports_numpy_alone() -> None:
    assert breaches("compare", only=("migrate.compare",)) == []
    assert third_parties("compare") == {"numpy"}


def test_packs_do_not_know_the_stages() -> None:
    """What the road takes of packs/, and all that this builds on. The checker and the trials beside it use the road."""
    road = [path for folder in ("lift", "lower", "lowering", "reading", "pipeline") for path in below(folder)]
    waiting = {name for path in road for name in imports_of(path) if within(name, ("migrate.packs",))}
    seen: set[Path] = set()
    while waiting:
        parts = waiting.pop().split(".")
        path = ROOT / "migrate" / "packs" / f"{parts[2]}.py"
        if path not in seen and path.exists():
            seen.add(path)
            waiting |= {name for name in imports_of(path) if within(name, ("migrate.packs",))}
    assert {path.name for path in seen} >= {"model.py", "reader.py", "library.py", "equations.py", "units.py"}
    stages = (
        "migrate.lift",
        "migrate.lower",
        "migrate.lowering",
        "migrate.writing",
        "migrate.reading",
        "migrate.pipeline",
    )
    assert [f"{p.name}: {n}" for p in sorted(seen) for n in imports_of(p) if within(n, stages)] == []


def test_lower_knows_neither_lift_nor_the_pipeline() -> None:
    assert (
        breaches(
            "lower",
            never=("migrate.lift", "migrate.pipeline", "migrate.reading", "migrate.lowering", "migrate.writing"),
        )
        == []
    )


def test_lift_knows_neither_lower_nor_render() -> None:
    assert (
        breaches(
            "lift", never=("migrate.lower", "migrate.lowering", "migrate.writing", "migrate.render", "migrate.pipeline")
        )
        == []
    )


def test_no_stage_reports() -> None:
    """What is shown is made of results; no stage imports report/."""
    for folder in ("concrete", "packs", "dating", "ir", "lift", "lower", "render", "compare", "pipeline"):
        assert breaches(folder, never=("migrate.report",)) == [], folder


def test_nothing_imports_the_command_line() -> None:
    found = [f"{p.relative_to(ROOT)}: {n}" for p in MODULES for n in imports_of(p) if within(n, ("migrate.cli",))]
    assert found == []


def test_imports_are_of_declared_packages() -> None:
    """A package that only a developer has would break an installed wheel; some commands have an extra of their own."""
    import tomllib

    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    extras = [lines for name, lines in project["optional-dependencies"].items() if name not in ("test", "browser")]
    stated = [*project["dependencies"], *(line for lines in extras for line in lines)]
    names = {"pillow": "PIL", "libclang": "clang"}
    declared = {re.split(r"[^\w-]", line)[0].lower() for line in stated}
    allowed = {names.get(name, name.replace("-", "_")) for name in declared}
    used = {name.split(".")[0] for path in MODULES for name in imports_of(path)} - STANDARD - {"migrate"}
    assert used <= allowed, used - allowed


def test_a_generation_is_data() -> None:
    """No file of the package names a generation that ships; adding one touches grammars/ alone."""
    from migrate.packs.library import library

    names = re.compile(rf"\b(?:{'|'.join(library())})\b")
    texts = [p for p in (ROOT / "migrate").rglob("*") if p.suffix in (".py", ".js", ".css", ".html")]
    found = [f"{p.relative_to(ROOT)}: {m[0]}" for p in texts for m in names.finditer(p.read_text("utf-8"))]
    assert found == []


HEAVY = ("numpy", "rich", "tree_sitter", "parsimonious", "scipy", "PIL", "starlette", "migrate.pipeline")


@pytest.mark.parametrize("args", [["--version"], ["--help"], ["move", "--help"]])
def test_a_start_loads_nothing_heavy(args: list[str]) -> None:
    script = (
        "import sys\nfrom migrate.cli import main\n"
        f"try: main({args!r})\nexcept SystemExit as end: assert end.code in (0, None)\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules])"
    )
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    done = subprocess.run([sys.executable, "-c", script], env=environment, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
