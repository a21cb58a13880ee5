"""A name that is declared twice: the last one counts, and what becomes of the first is told."""

from __future__ import annotations

from migrate.diagnostics import explain
from migrate.pipeline import Moved, Options, move
from migrate.source import SourceFile

HEAD = "#define WICK_GENERATION 2\n#include <wick2.h>\n"
FIRST = "using toll = power_sleeve<rgb<90, 0, 140>, 250, 250>;\n"
SECOND = "using toll = power_sleeve<rgb<90, 0, 141>, 250, 250>;\n"


def moved(body: str) -> Moved:
    return move(SourceFile("quay.h", (HEAD + body).encode()), Options("wick3", prove=False))


def test_the_first_of_two_styles_with_one_name_is_refused_by_name_and_line() -> None:
    out = moved(FIRST + SECOND)
    assert [(s.name, s.line, s.grade) for s in out.styles] == [("toll", 3, "refused"), ("toll", 4, "same")]
    (said,) = out.diagnostics
    assert explain(out.source, said) == (
        "quay.h:3:7: error [declared-again] `toll` is declared again on line 4: that one counts, "
        "and this one stays as it is\n"
        "  " + FIRST + " " * 8 + "^^^^\n  hint: take one out, or give one another name"
    )
    assert out.exit == 2


def test_the_first_stays_with_a_mark_of_what_it_is() -> None:
    text = moved(FIRST + SECOND).text.decode()
    assert "// rehilt: read as wick2\n" + FIRST in text
    assert "using toll = pile<" in text


def test_a_part_that_is_declared_twice_is_told_too() -> None:
    paints = "using low = dim<rgb<255, 0, 0>, 50>;\nusing low = dim<rgb<0, 255, 0>, 50>;\n"
    out = moved(paints + "using lamp = power_sleeve<low, 250, 250>;\n")
    assert [d.code for d in out.diagnostics] == ["declared-again"]
    assert "duty<0, 255, 0>" in out.text.decode()


def test_one_name_in_two_branches_is_no_double() -> None:
    out = moved("#ifdef MATINEE\n" + FIRST + "#else\n" + SECOND + "#endif\n")
    assert [s.grade for s in out.styles] == ["same", "same"]
    assert not out.diagnostics
