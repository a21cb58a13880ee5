"""What a move says of a config's slot table: slots without a style, styles without a slot."""

from __future__ import annotations

import pytest

from migrate.diagnostics import explain
from migrate.pipeline import Options, move
from migrate.source import SourceFile

HEAD = "#define WICK_GENERATION 2\n#include <wick2.h>\n"
BELL = "using bell = power_sleeve<rgb<180, 150, 60>, 150, 1000>;\n"
FERRY = "using ferry = power_sleeve<rgb<0, 35, 100>, 300, 450>;\n"
CODES = ("style-without-slot", "unknown-style")


def said(body: str, target: str = "wick3") -> list[str]:
    source = SourceFile("quay.h", (HEAD + body).encode())
    moved = move(source, Options(target, prove=False))
    return [explain(source, d) for d in moved.diagnostics if d.code in CODES]


def test_a_style_that_no_slot_uses_is_told_at_its_name() -> None:
    assert said(BELL + FERRY + 'wick_slots slots = { slot<bell>("bell", "Bell") };\n') == [
        "quay.h:4:7: note [style-without-slot] no slot uses the style `ferry`\n"
        "  using ferry = power_sleeve<rgb<0, 35, 100>, 300, 450>;\n" + " " * 8 + "^^^^^\n"
        "  hint: give it a slot, or take it out"
    ]


def test_a_slot_whose_style_is_missing_is_told_beside_it() -> None:
    assert said(BELL + 'wick_slots slots = { slot<bel>("bell", "Bell") };\n') == [
        "quay.h:3:7: note [style-without-slot] no slot uses the style `bell`\n"
        "  using bell = power_sleeve<rgb<180, 150, 60>, 150, 1000>;\n" + " " * 8 + "^^^^\n"
        "  hint: give it a slot, or take it out",
        "quay.h:4:27: warning [unknown-style] no style `bel` in this file\n"
        '  wick_slots slots = { slot<bel>("bell", "Bell") };\n' + " " * 28 + "^^^\n"
        "  hint: did you mean `bell`?",
    ]


SILENT = {
    "no table": BELL + FERRY,
    "every style has its slot": BELL + 'wick_slots slots = { slot<bell>("bell", "Bell") };\n',
    "a style is built on it": "using core = clash_sleeve<rgb<0, 35, 100>, rgb<9, 9, 9>>;\n"
    "using ferry = power_sleeve<core, 300, 450>;\nusing toll = ferry;\n"
    'wick_slots slots = { slot<toll>("toll", "Toll") };\n',
    "a slot holds it in an expression": "using core = clash_sleeve<rgb<0, 35, 100>, rgb<9, 9, 9>>;\n"
    'wick_slots slots = { slot<power_sleeve<core, 300, 450>>("toll", "Toll") };\n',
    "a paint is no style": "using dusk = sway<rgb<0, 35, 100>, rgb<9, 9, 9>, 400>;\n"
    + BELL + 'wick_slots slots = { slot<bell>("bell", "Bell") };\n',
    "the slot stands in another branch": BELL + FERRY + "#ifdef MATINEE\n"
    'wick_slots slots = { slot<ferry>("ferry", "Ferry") };\n#else\n'
    'wick_slots slots = { slot<bell>("bell", "Bell") };\n#endif\n',
    "plain code names it": BELL + FERRY + "Sheet programme = printed<ferry>();\n"
    'wick_slots slots = { slot<bell>("bell", "Bell") };\n',
    "an unknown macro declares it": BELL + "PROP_STYLE(ferry, power_sleeve<rgb<0, 35, 100>, 300, 450>)\n"
    'wick_slots slots = { slot<bell>("bell", "Bell") };\n',
    "an include is missing": BELL + FERRY + '#include "no_such_shelf.h"\n'
    'wick_slots slots = { slot<bell>("bell", "Bell") };\n',
}  # fmt: skip


@pytest.mark.parametrize("body", SILENT.values(), ids=SILENT)
def test_nothing_is_told_of_a_style_that_may_be_used(body: str) -> None:
    assert said(body) == []


def test_a_comment_about_a_style_is_no_use_of_it() -> None:
    body = "// ferry: the lamp of the last act\n" + BELL + FERRY + 'wick_slots slots = { slot<bell>("b", "B") };\n'
    assert len(said(body)) == 1


def test_a_declaring_macro_of_the_file_makes_styles_like_any_other() -> None:
    macro = "#define PROP(NAME, STYLE) using NAME = STYLE;\nPROP(ferry, power_sleeve<rgb<0, 35, 100>, 300, 450>)\n"
    assert len(said(macro + BELL + 'wick_slots slots = { slot<bell>("b", "B") };\n')) == 1


def test_a_note_does_not_change_the_status_nor_the_text() -> None:
    table = 'wick_slots slots = { slot<bell>("bell", "Bell") };\n'
    whole = table.replace("slot<bell>", 'slot<ferry>("f", "F"), slot<bell>')
    bodies = (BELL + FERRY + table, BELL + FERRY + whole)
    moved = [move(SourceFile("a.h", (HEAD + b).encode()), Options("wick3", prove=False)) for b in bodies]
    assert moved[0].exit == moved[1].exit == 0
    assert moved[0].text.count(b"style-without") == 0


def test_a_file_already_at_the_target_is_told_too() -> None:
    assert len(said(BELL + FERRY + 'wick_slots slots = { slot<bell>("b", "B") };\n', "wick2")) == 1
