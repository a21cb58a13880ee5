"""A missing bracket is told at one place, whichever command is asked, with the command that shows the repair."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from migrate.cli import main
from migrate.concrete.parse import parse
from migrate.dating.placing import placed
from migrate.packs.library import library
from migrate.source import SourceFile

HEAD = (
    "#define WICK_GENERATION 2\n#include <wick2.h>\n"
    "constexpr int blade_pixels = 132;\nconstexpr int pixels_per_metre = 144;\n"
)
GATE = "using gate = power_sleeve<clash_sleeve<rgb<90, 0, 140>, rgb<210, 240, 255>, 100, 250, 250>;\n"
TOLL = "using toll = power_sleeve<clash_sleeve<rgb<90, 0, 140>, rgb<230, 200, 255>, 100>, 250, 250>;\n"


def run(*arguments: str, text: str | None = None) -> Result:
    return CliRunner().invoke(main, list(arguments), input=text)


def config(folder: Path, text: str) -> str:
    path = folder / "pier.h"
    path.write_text(HEAD + text)
    return str(path)


def test_a_move_points_where_the_repair_would_put_the_bracket(tmp_path: Path) -> None:
    path = config(tmp_path, GATE + TOLL)
    shown = run("move", path, "--to", "wick3")
    assert (
        f"{path}:5:80: error [missing-close] no closing >\n"
        f"  {GATE}"
        f"{' ' * 81}^\n"
        f"  hint: put > here; `rehilt spot --repair {path}` shows it\n"
    ) in shown.stdout
    assert shown.stdout.count("[missing-close]") == 1
    assert " 5  gate   wick2  refused  no closing >\n" in shown.stdout
    assert f"{path}:5:80: error [missing-close] no closing >\n" in run("spot", path).stdout
    assert "+" + GATE.replace("100, 250", "100>, 250") in run("spot", "--repair", path).stdout


def test_json_and_the_page_say_the_same(tmp_path: Path) -> None:
    path, page = config(tmp_path, GATE + TOLL), tmp_path / "page.html"
    report = json.loads(run("move", path, "--to", "wick3", "--json").stdout)
    torn = [d for d in report["diagnostics"] if d["code"] == "missing-close"]
    assert [(d["line"], d["column"]) for d in torn] == [(5, 80)]
    run("move", path, "--to", "wick3", "--report", str(page))
    told = f"line 5: no closing &gt; (put &gt; here; `rehilt spot --repair {path}` shows it)"
    assert page.read_text().count(told) == 1


def test_standard_input_is_named_as_it_is_asked_for() -> None:
    shown = run("move", "-", "--to", "wick3", text=HEAD + GATE + TOLL)
    assert "  hint: put > here; `rehilt spot --repair -` shows it\n" in shown.stdout


def test_a_name_with_a_blank_is_quoted_as_a_shell_takes_it(tmp_path: Path) -> None:
    folder = tmp_path / "the pier"
    folder.mkdir()
    path = config(folder, GATE)
    assert f"`rehilt spot --repair '{path}'` shows it" in run("move", path, "--to", "wick3").stdout


@pytest.mark.parametrize("text", [TOLL, GATE.replace("100", "?")], ids=["whole", "nobody-can-know"])
def test_what_no_repair_is_known_for_is_told_as_before(text: str) -> None:
    source = SourceFile("pier.h", (HEAD + text).encode())
    said = parse(source).diagnostics
    found = placed(source, said, library(), "wick2", "rehilt spot --repair pier.h")
    assert found.diagnostics == said and found.now == {}


@pytest.mark.parametrize("at", [0, 1], ids=["first", "second"])
def test_a_slot_with_a_bracket_missing_is_told_and_costs_no_silence(tmp_path: Path, at: int) -> None:
    """It used to take its whole table along, without a word."""
    slots = [
        f'  slot<power_sleeve<rgb<1, 2, {n}>, 300, 450>>("{name}", "{name}"),' for n, name in ((3, "eel"), (4, "tide"))
    ]
    slots[at] = slots[at].replace(">>(", ">(")
    path = config(tmp_path, "wick_slots slots = {\n" + "\n".join(slots) + "\n};\n")
    place = f"{path}:{6 + at}:{slots[at].index('>(') + 2}: error [missing-close] no closing >\n  {slots[at]}\n"
    moved = run("move", path, "--to", "wick3")
    assert place in moved.stdout and moved.exit_code == 2
    assert place in run("spot", path).stdout
    pieces = json.loads(run("spot", "--json", "--no-measure", path).stdout)["pieces"]
    assert [p["name"] for p in pieces] == ["eel (slot)", "tide (slot)"]
    assert "+" + slots[at].replace(">(", ">>(") in run("spot", "--repair", path).stdout
