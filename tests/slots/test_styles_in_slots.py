"""A style written out in its slot moves like a declared one, in all four forms of a table, up and down and back."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest

from migrate.diagnostics import explain
from migrate.pipeline import Moved, Options, move
from migrate.proof import check_compiled
from migrate.source import SourceFile
from tests.outputs_compile import Output, said

BLADE = "constexpr int blade_pixels = 132;\nconstexpr int pixels_per_metre = 144;\n"
HEADS = {
    "wick1": "#include <wick1.h>\n" + BLADE.replace("constexpr", "const"),
    "wick2": "#define WICK_GENERATION 2\n#include <wick2.h>\n" + BLADE,
    "wick3": "#define WICK_GENERATION 3\n#include <wick/pile.h>\nusing namespace wick;\n" + BLADE,
    "wick4": "#define WICK_GENERATION 4\n#include <wick/score.h>\nusing namespace wick;\n" + BLADE,
}
BODIES = {
    # In C++98 no comma may stand in a macro's argument, so this is the only whole style that a slot can hold there.
    "wick1": "typedef tape<plain<0xFF3005>, 0xFFFFFF> lamp;\nwick_slot slots[] = {\n"
    '  // act one\n  SLOT(tape<plain<0xFF0000> >, "harbour"),\n  SLOT(lamp, "lampoil"), // act two\n};\n',
    "wick2": "using lamp = power_sleeve<rgb<255, 48, 5>, 300, 450>;\nwick_slots slots = {\n"
    '  // act one\n  slot<power_sleeve<rgb<255, 0, 0>, 300, 450>>("harbour", "Harbour watch"),\n'
    '  slot<lamp>("lampoil", "Lamp oil"), // act two\n};\n',
    "wick3": "using lamp = pile<rgb<255, 120, 40>, power<wipe<300>, wipe<450>>>;\nwick_slots slots = {\n"
    '  // act one\n  slot<pile<rgb<255,0,0>, power<wipe<300>, wipe<450>>>>("harbour", "Harbour watch"),\n'
    '  slot<lamp>("lampoil", "Lamp oil"), // act two\n};\n',
    "wick4": "using lamp = score<ground<srgb<255, 120, 40>>, power<rise<cut<>>, fall<cut<>>>>;\nusing table = slots<\n"
    "  // act one\n  slot<style<score<ground<srgb<255, 0, 0>>, power<rise<wipe<over<ms<300>>>>, fall<cut<>>>>>, "
    'sounds<"harbour">, label<"Harbour watch">>,\n'
    '  slot<style<lamp>, sounds<"lampoil">, label<"Lamp oil">> // act two\n>;\n',
}
WAYS = list(permutations(HEADS, 2))


def moved(text: str, target: str, name: str = "quay.h", prove: bool = False) -> Moved:
    return move(SourceFile(name, text.encode()), Options(target, prove=prove))


def code_of(text: bytes) -> str:
    """The text without the originals and the notes that a move keeps beside it."""
    return "".join(ln for ln in text.decode().splitlines(True) if not ln.lstrip().startswith(("//|", "// rehilt:")))


@pytest.mark.parametrize(("origin", "target"), WAYS)
def test_it_is_moved_and_graded_under_the_name_of_its_sounds(origin: str, target: str) -> None:
    found = moved(HEADS[origin] + BODIES[origin], target)
    assert [style.name for style in found.styles] == ["lamp", "harbour (slot)"]
    assert "refused" not in {style.grade for style in found.styles}
    assert not [d for d in found.diagnostics if d.severity == "error"]
    words = {w for w in ("tape<", "power_sleeve<", "pile<", "score<") if w in code_of(found.text)}
    assert words == {{"wick1": "tape<", "wick2": "power_sleeve<", "wick3": "pile<", "wick4": "score<"}[target]}
    assert "// act one" in code_of(found.text) and "// act two" in code_of(found.text)


@pytest.mark.parametrize(("origin", "target"), [w for w in WAYS if w[0] > w[1]])
def test_down_and_up_again_gives_the_file_back_byte_for_byte(origin: str, target: str) -> None:
    text = HEADS[origin] + BODIES[origin]
    down = moved(text, target)
    up = moved(down.text.decode(), origin)
    assert up.text == text.encode()
    assert {style.grade for style in up.styles} == {"same"}


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_the_table_is_rewritten_round_it_and_keeps_its_lines_and_comments(newline: str) -> None:
    text = (
        HEADS["wick3"] + "wick_slots slots = {\n\n  // act one\n"
        '\tslot<pile<rgb<255, 0, 0>>>( /* folder */ "harbour", "Harbour // watch" )\n\t,\n  /* last */\n};\n'
    ).replace("\n", newline)
    found = moved(text, "wick4").text.decode()
    assert found[found.index("using table") :] == (
        "using table = slots<\n\n  // act one\n"
        '\tslot<style<score<ground<srgb<255, 0, 0>>>>, sounds<"harbour">, label<"Harbour // watch">> /* folder */\n'
        "\t\n  /* last */\n>;\n"
    ).replace("\n", newline)


def test_a_table_on_one_line_goes_over_several() -> None:
    text = HEADS["wick4"] + 'using table = slots<slot<style<score<ground<srgb<9, 9, 9>>>>, sounds<"a">, label<"A">>>;\n'
    found = code_of(moved(text, "wick3").text)
    assert found[found.index("wick_slots") :] == 'wick_slots table = {\n  slot<pile<rgb<9, 9, 9>>>("a", "A"),\n};\n'


def test_where_slots_hold_names_alone_it_becomes_a_declaration_above_the_table_with_a_free_name() -> None:
    text = (
        HEADS["wick3"] + "using harbour = pile<rgb<9, 0, 0>>;\nusing act_2_style = pile<rgb<0, 9, 0>>;\n"
        "#define act_2 1\nwick_slots slots = {\n"
        '  slot<harbour>("eel", "Eel"), slot<pile<rgb<1, 0, 0>>>("harbour", "H"),\n'
        '  slot<pile<rgb<2, 0, 0>>>("act 2", "A"), slot<pile<rgb<3, 0, 0>>>("7/union", "U"),\n'
        '  slot<pile<rgb<4, 0, 0>>>("union", "V"), slot<pile<rgb<5, 0, 0>>>("harbour", "W"),\n'
        '  slot<act_2_style>("tide", "T"),\n};\n'
    )
    found = moved(text, "wick1")
    code = code_of(found.text)
    declared = [ln.rpartition(" ")[2] for ln in code.splitlines() if ln.startswith("typedef")]
    assert declared[2:] == ["harbour_style;", "act_2_style2;", "style_7_union;", "union_style;", "harbour_style2;"]
    assert code[code.index("wick_slot ") :] == (
        'wick_slot slots[] = {\n  SLOT(harbour, "eel"), SLOT(harbour_style, "harbour"),\n'
        '  SLOT(act_2_style2, "act 2"), SLOT(style_7_union, "7/union"),\n'
        '  SLOT(union_style, "union"), SLOT(harbour_style2, "harbour"),\n  SLOT(act_2_style, "tide"),\n};\n'
    )
    names = [style.name for style in found.styles]
    assert names[2:] == ["harbour (slot)", "act 2 (slot)", "7/union (slot)", "union (slot)", "harbour (slot 2)"]
    assert {style.grade for style in found.styles} <= {"same", "close", "unmeasured"}


UNREADABLE = '  slot<lamp>("a", "A"),\n  slot<pile<moonbeam<3>>>("odd", "Odd"),\n'


def test_one_that_cannot_be_read_is_refused_and_its_entry_stays_readable() -> None:
    text = HEADS["wick3"] + "using lamp = pile<rgb<9, 0, 0>>;\nwick_slots slots = {\n" + UNREADABLE + "};\n"
    source = SourceFile("quay.h", text.encode())
    found = moved(text, "wick4")
    assert [(s.name, s.grade) for s in found.styles] == [("lamp", "same"), ("odd (slot)", "refused")]
    assert [explain(source, d) for d in found.diagnostics] == [
        "quay.h:9:13: error [unknown-name] `moonbeam` is no construct of wick3 and no name of this file\n"
        '    slot<pile<moonbeam<3>>>("odd", "Odd"),\n' + " " * 14 + "^^^^^^^^"
    ]
    assert found.exit == 2
    table = found.text.decode()[found.text.index(b"using table") :]
    assert table == (
        'using table = slots<\n  slot<style<lamp>, sounds<"a">, label<"A">>,\n  // rehilt: read as wick3\n'
        '  slot<style<pile<moonbeam<3>>>, sounds<"odd">, label<"Odd">>\n>;\n'
    )


@pytest.mark.parametrize("target", ["wick4", "wick2", "wick1"])
def test_an_entry_left_behind_is_moved_later_once_it_can_be_read(target: str) -> None:
    text = HEADS["wick3"] + "using lamp = pile<rgb<9, 0, 0>>;\nwick_slots slots = {\n" + UNREADABLE + "};\n"
    left = moved(text, target).text.decode()
    mended = left.replace("moonbeam<3>", "rgb<90, 0, 0>", 1) if target == "wick4" else "".join(
        ln if ln.startswith("//|") else ln.replace("moonbeam<3>", "rgb<90, 0, 0>") for ln in left.splitlines(True)
    )  # fmt: skip
    found = moved(mended, target)
    assert {"odd (slot)": "wick3"}.items() <= {s.name: s.origin for s in found.styles}.items()
    assert "refused" not in {s.grade for s in found.styles}
    assert "pile<" not in code_of(found.text) and "read as" not in found.text.decode()


def test_a_comment_above_a_slot_leaves_it_alone() -> None:
    text = (
        HEADS["wick3"] + "wick_slots slots = {\n  // rehilt: leave\n"
        '  slot<pile<rgb<1, 0, 0>>>("a", "A"),\n  slot<pile<rgb<2, 0, 0>>>("b", "B"), // rehilt: leave\n'
        '  slot<pile<rgb<3, 0, 0>>>("c", "C"),\n};\n'
    )
    found = moved(text, "wick4")
    assert [s.name for s in found.styles] == ["c (slot)"]
    assert found.text.count(b"pile<") == 2


def test_a_style_in_a_slot_is_told_by_its_sounds_where_no_label_is() -> None:
    found = moved(HEADS["wick1"] + BODIES["wick1"], "wick2").text.decode()
    assert '("harbour", "harbour")' in found and 'slot<lamp>("lampoil", "lamp")' in found


def test_a_label_keeps_its_escaped_quotes() -> None:
    text = HEADS["wick3"] + 'wick_slots slots = {\n  slot<pile<rgb<1, 0, 0>>>("a", "Quay, \\"low\\""),\n};\n'
    assert 'label<"Quay, \\"low\\"">' in moved(text, "wick4").text.decode()


def test_a_note_stands_above_the_slot_that_changed() -> None:
    text = HEADS["wick4"] + (
        "using table = slots<\n  slot<style<score<ground<srgb<255, 0, 0>>, cue<when<blast>, "
        "paint<srgb<255, 255, 255>>, shape<decay<ms<300>>>, reach<mm<60>>, trail<half_life<ms<400>>>>>>, "
        'sounds<"a">, label<"A">>\n>;\n'
    )
    found = moved(text, "wick3", prove=True)
    assert [(s.name, s.grade) for s in found.styles] == [("a (slot)", "changed")]
    assert "\n// rehilt: changed; a (slot); " in found.text.decode()  # above the kept lines of the whole table
    table = 'wick_slots slots = {\n  slot<from_tape<tape1::whirl<255, 65280>>>("a", "A"),\n};\n'
    up = moved(HEADS["wick2"] + table, "wick3")
    assert "\n  // rehilt: unmeasured; a (slot)" in up.text.decode()


def test_any_other_list_of_templates_and_strings_is_no_table_of_styles() -> None:
    text = HEADS["wick3"] + 'Props props = { prop<box<3>>("a", "A") };\nusing lamp = pile<rgb<9, 0, 0>>;\n'
    found = moved(text, "wick2")
    assert [s.name for s in found.styles] == ["lamp"]
    assert code_of(found.text).splitlines()[4] == 'Props props = { prop<box<3>>("a", "A") };'


def test_a_table_of_a_macro_of_ones_own_is_a_table() -> None:
    text = HEADS["wick3"] + (
        "#define ROW(style, folder) slot<style>(folder, folder)\n"
        'wick_slots slots = {\n  ROW(pile<rgb<1 COMMA 0>>, "a"),\n};\n'
    ).replace("rgb<1 COMMA 0>", "css::red")
    found = moved(text, "wick4")
    assert [(s.name, s.grade) for s in found.styles] == [("a (slot)", "same")]
    assert 'slot<style<score<ground<named<"red">>>>, sounds<"a">, label<"a">>' in found.text.decode()


@pytest.mark.slow
@pytest.mark.parametrize(("origin", "target"), [("wick2", "wick4"), ("wick3", "wick1"), ("wick3", "wick4")])
def test_it_is_compared_as_compiled(origin: str, target: str) -> None:
    options = Options(target)
    found = move(SourceFile("quay.h", (HEADS[origin] + BODIES[origin]).encode()), options)
    held = check_compiled(found, options)
    assert [(s.name, s.grade) for s in held.styles] == [(s.name, s.grade) for s in found.styles]
    whole = replace(found, styles=tuple(replace(s, grade="same") for s in found.styles))
    torn = replace(whole, text=whole.text.replace(b"<255, 0, 0>", b"<0, 0, 255>").replace(b"0xFF0000", b"0x0000FF"))
    assert ("harbour (slot)", "changed") in [(s.name, s.grade) for s in check_compiled(torn, options).styles]


@pytest.mark.slow
@pytest.mark.parametrize(("origin", "target"), WAYS)
def test_what_comes_out_compiles(origin: str, target: str) -> None:
    found = moved(HEADS[origin] + BODIES[origin], target)
    assert said(Output("quay.h", target, "", found.text)) == []


def test_what_is_missing_in_both_texts_is_told_once_and_at_its_place() -> None:
    lamp = "using lamp = power_sleeve<rgb<255, 48, 5>, 300, 450>\n"
    source = SourceFile("quay.h", (HEADS["wick2"] + lamp + 'wick_slots slots = { slot<lamp>("a", "A") };\n').encode())
    found = move(source, Options("wick4", prove=False))
    assert [(d.code, source.place(d.span.start)) for d in found.diagnostics] == [("missing-semicolon", (5, 53))]


def test_a_comment_on_how_to_read_a_style_stands_right_above_it() -> None:
    text = "#define WICK_GENERATION 2\n#include <wick2.h>\nusing eel = power_sleeve<moonbeam<3>, 300, 450>;\n"
    found = moved(text + "using lamp = power_sleeve<rgb<9, 0, 0>, 300, 450>;\n", "wick3").text.decode()
    assert "using namespace wick;\n// rehilt: read as wick2\nusing eel = " in found
    mended = moved(found.replace("moonbeam<3>", "rgb<9, 9, 9>"), "wick3")
    assert [(s.name, s.origin, s.grade) for s in mended.styles] == [("eel", "wick2", "same"), ("lamp", "wick3", "same")]
