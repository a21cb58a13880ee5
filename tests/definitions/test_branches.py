from __future__ import annotations

from migrate.branches import builds
from migrate.concrete.parse import parse
from migrate.source import SourceFile
from tests.definitions.moving import codes, config, grades, is_stable, moved, said, text_of

REHEARSAL = """#ifdef REHEARSAL
#define STRIKE rgb<64, 64, 64>
#else
#define STRIKE rgb<255, 255, 255>
#endif
using bell = power_sleeve<clash_sleeve<rgb<180, 150, 60>, STRIKE>, 160, 1000>;
#if defined(REHEARSAL)
using clapper = clash_sleeve<rgb<90, 75, 30>, STRIKE>;
#else
using clapper = power_sleeve<sway<rgb<180, 150, 60>, STRIKE, 600>, 300, 300>;
#endif
"""
LENGTHS = """#ifdef SHORT
constexpr int mark = 20;
#else
constexpr int mark = 40;
#endif
using staff = pile<css::navy, edge<css::white, mark>>;
"""
TWO_BOXES = """#if defined(NEW_BOX) && NEW_BOX
#define WICK_GENERATION 3
#include <wick/pile.h>
using namespace wick;
#else
#define WICK_GENERATION 2
#include <wick2.h>
#endif
constexpr int blade_pixels = 132;
constexpr int pixels_per_metre = 144;
#if WICK_GENERATION >= 3
using tide = pile<bands<250, 758, duty<0, 70, 200>, duty<0, 35, 100>>, power<wipe<300>, wipe<300>>>;
#else
using tide = power_sleeve<bands<33, 100, rgb<0, 70, 200>, rgb<0, 35, 100>>, 300, 300>;
#endif
"""


def ways(text: str, **given: int) -> list[str]:
    source = SourceFile("a.h", text.encode())
    return [b.said() for b in builds(source, parse(source).items, given)]


def test_conditions_that_ask_the_same_go_together() -> None:
    assert ways(config("wick2", REHEARSAL)) == ["", "-D REHEARSAL=1"]


def test_a_guard_is_no_branch() -> None:
    assert ways("#ifndef LQP_A_H\n#define LQP_A_H\nusing a = int;\n#endif\n") == [""]


def test_a_comparison_is_tried_on_both_sides() -> None:
    assert ways("#if SPEED > 2\n#define A 1\n#elif SPEED == 1\n#define A 2\n#else\n#define A 3\n#endif\n") == [
        "", "-D SPEED=1", "-D SPEED=3",
    ]  # fmt: skip


def test_what_the_file_defines_itself_is_not_guessed() -> None:
    assert ways("#define SHOW 1\n#if SHOW\n#define A 1\n#else\n#define A 2\n#endif\n") == [""]


def test_branches_inside_branches_and_unreadable_conditions() -> None:
    text = "#ifdef A\n#if __has_include(<x.h>)\n#define P 1\n#else\n#define P 2\n#endif\n#else\n#define P 3\n#endif\n"
    assert ways(text) == ["", "-D A=1", "-D (__has_include(<x.h>))=1 -D A=1"]


def test_each_branch_is_moved_on_its_own() -> None:
    result = moved("wick2", "wick3", REHEARSAL)
    text = text_of(result)
    assert "#define STRIKE duty<64, 64, 64>\n#else\n#define STRIKE duty<255, 255, 255>\n" in text
    assert "using clapper = pile<duty<90, 75, 30>, on<ev::clash, STRIKE, burst<80>>>;" in text
    assert "on<ev::clash, STRIKE, burst<80>>" in text.split("using bell")[1].split(";")[0]
    assert [(s.name, s.line, s.grade) for s in result.styles] == [
        ("bell", 10, "same"), ("clapper", 12, "same"), ("clapper", 14, "same"),
    ]  # fmt: skip
    assert codes(result) == []
    assert is_stable(result, "wick3")


def test_a_definition_on_the_command_line_picks_the_branch() -> None:
    result = moved("wick2", "wick3", REHEARSAL, defines=(("REHEARSAL", 1),))
    text = text_of(result)
    assert "using clapper = power_sleeve<sway<rgb<180, 150, 60>, STRIKE, 600>, 300, 300>;" in text
    assert "#define STRIKE rgb<255, 255, 255>" in text
    assert [(s.name, s.line) for s in result.styles] == [("bell", 10), ("clapper", 12)]
    message = "no build that was asked for reads this branch: it was left alone"
    assert said(result, "branch-not-read") == [(7, message), (13, message)]


def test_a_constant_with_two_values_changes_in_each_branch() -> None:
    result = moved("wick3", "wick4", LENGTHS)
    text = text_of(result)
    assert "constexpr double mark = 18.333;\n#else\nconstexpr double mark = 36.667;\n" in text
    assert "width<mm<mark>>" in text
    assert is_stable(result, "wick4")


def test_a_definition_that_means_two_things_is_split() -> None:
    body = (
        "#ifdef SHORT\nconstexpr int width = 20;\n#else\nconstexpr int width = 30;\n#endif\n"
        "int lit() { return width; }\nusing staff = pile<css::navy, edge<css::white, width>>;\n"
    )
    result = moved("wick3", "wick4", body)
    text = text_of(result)
    assert "#if defined(SHORT)\nusing staff = score<" in text
    first, second = text.split("#if defined(SHORT)\n")[1].split("#else\n")
    assert "mm<18.333>" in first and "mm<27.5>" in second and second.count("#endif") == 1
    assert said(result, "definition-split") == [
        (12, "this means different things in different branches: it was split by an `#if`")
    ]
    assert is_stable(result, "wick4")


def test_branches_of_two_generations_are_each_read_as_their_own() -> None:
    from migrate.pipeline import Options, move

    result = move(SourceFile("two.h", TWO_BOXES.encode()), Options("wick3", prove=False))
    text = text_of(result)
    assert text.count("#define WICK_GENERATION 3") == 2 and text.count("#include <wick/pile.h>") == 2
    first = "using tide = pile<bands<250, 758, duty<0, 70, 200>, duty<0, 35, 100>>, power<wipe<300>, wipe<300>>>;"
    assert f"{first}\n#else" in text
    assert "power_sleeve" not in text
    assert [(s.line, s.grade, s.origin) for s in result.styles] == [(12, "same", "wick3"), (14, "close", "wick2")]
    assert said(result, "branch-on-generation") == [
        (11, "this branch depends on `WICK_GENERATION`, which the move changes: afterwards another branch is built")
    ]
    assert is_stable(result, "wick3")


def test_the_first_build_counts_for_what_looks_at_one() -> None:
    assert set(grades(moved("wick2", "wick3", REHEARSAL))) == {"bell", "clapper"}
