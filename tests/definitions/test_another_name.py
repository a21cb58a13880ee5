"""Another name of a style stays another name of it: it is moved with what it names, and not written out again."""

from __future__ import annotations

import pytest

from migrate.pipeline import Options, move
from migrate.source import SourceFile

HEAD = (
    "#define WICK_GENERATION 2\n#include <wick2.h>\n"
    "constexpr int blade_pixels = 132;\nconstexpr int pixels_per_metre = 144;\n"
)
POLE = "using pole = power_sleeve<clash_sleeve<rgb<0, 70, 200>, rgb<255, 255, 255>>, 300, 450>;\n"
NAMES = "using pole2 = pole;\ntypedef pole pole3;\nusing pole4 = pole2;\n"


def source(text: str) -> SourceFile:
    return SourceFile("quay.h", (HEAD + text).encode())


@pytest.mark.parametrize("target", ["wick3", "wick4"])
def test_up_not_a_byte_of_it_changes(target: str) -> None:
    moved = move(source(POLE + NAMES), Options(target))
    assert moved.text.decode().endswith("\n" + NAMES)
    assert [(s.name, s.grade) for s in moved.styles] == [(n, "same") for n in ("pole", "pole2", "pole3", "pole4")]


def test_down_it_is_declared_as_the_target_declares_and_comes_back() -> None:
    moved = move(source(POLE + NAMES), Options("wick1"))
    code = [ln for ln in moved.text.decode().splitlines() if not ln.startswith("//")]
    assert code[-3:] == ["typedef pole pole2;", "typedef pole pole3;", "typedef pole2 pole4;"]
    assert {s.grade for s in moved.styles} == {moved.styles[0].grade}
    back = move(SourceFile("quay.h", moved.text), Options("wick2"))
    assert back.text.decode() == HEAD + POLE + NAMES


def test_what_stood_unchanged_comes_back_with_the_style_that_it_names() -> None:
    text = HEAD.replace("2\n", "3\n", 1).replace("<wick2.h>", "<wick/pile.h>\nusing namespace wick;")
    text += "using pole = pile<css::navy, edge<css::white, 45>, power<wipe<300>, iris<450, 500>>>;\n"
    text += "using pole2 = pole;\n"
    down = move(SourceFile("quay.h", text.encode()), Options("wick2"))
    assert [s.grade for s in down.styles] == ["changed", "changed"]
    back = move(SourceFile("quay.h", down.text), Options("wick3"))
    assert back.text.decode() == text
    assert {s.notes for s in back.styles} == {("restored from the original beside it",)}


def test_where_the_style_is_refused_its_other_name_stays() -> None:
    moved = move(source("using pole = power_sleeve<moonbeam<3>, 300, 450>;\nusing pole2 = pole;\n"), Options("wick3"))
    assert ("pole", "refused") in [(s.name, s.grade) for s in moved.styles]
    assert b"using pole2 = pole;\n" in moved.text


def test_in_each_branch_it_names_what_that_branch_declares() -> None:
    other = POLE.replace("200>", "90>", 1)
    moved = move(source(f"#ifdef MATINEE\n{other}#else\n{POLE}#endif\nusing pole2 = pole;\n"), Options("wick3"))
    assert moved.text.decode().endswith("#endif\nusing pole2 = pole;\n")
    assert {s.grade for s in moved.styles} == {"same"}
