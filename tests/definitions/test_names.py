from __future__ import annotations

from migrate.diagnostics import explain
from migrate.source import SourceFile
from tests.definitions.moving import codes, config, grades, moved, reading_of, text_of

CIRCLE = "using low_tide = dim<high_tide, 50>;\nusing high_tide = dim<low_tide, 20>;\n"


def told(generation: str, body: str) -> list[str]:
    text = config(generation, body)
    return [explain(SourceFile("a.h", text.encode()), d) for d in reading_of(text, generation)]


def test_a_circle_of_aliases_is_told_at_each_alias_with_the_chain() -> None:
    assert told("wick2", CIRCLE) == [
        "a.h:5:22: error [cyclic-definition] `high_tide` is defined by itself: high_tide → low_tide → high_tide\n"
        "  using low_tide = dim<high_tide, 50>;\n" + " " * 23 + "^^^^^^^^^\n"
        "  hint: break the circle at one of these definitions",
        "a.h:6:23: error [cyclic-definition] `low_tide` is defined by itself: low_tide → high_tide → low_tide\n"
        "  using high_tide = dim<low_tide, 20>;\n" + " " * 24 + "^^^^^^^^\n"
        "  hint: break the circle at one of these definitions",
    ]


def test_a_template_that_uses_itself_is_a_circle() -> None:
    body = "template <class P> using deep = dim<deep<P>, 50>;\nusing a = power_sleeve<deep<rgb<1, 2, 3>>, 1, 1>;\n"
    found = reading_of(config("wick2", body), "wick2")
    assert [(d.code, d.message) for d in found] == [("cyclic-definition", "`deep` is defined by itself: deep → deep")]


def test_a_constant_that_is_defined_by_itself_is_no_number() -> None:
    body = "constexpr int a = b + 1;\nconstexpr int b = a;\nusing s = power_sleeve<rgb<1, 2, 3>, a, 300>;\n"
    found = reading_of(config("wick2", body), "wick2")
    assert [(d.code, d.message) for d in found] == [
        ("not-a-number", "`up` of `power_sleeve` must be a number: `a` is defined by itself")
    ]


def test_an_unknown_name_is_told_with_the_nearest_known_ones() -> None:
    assert told("wick2", "using eel = power_sleeve<clash_sleev<rgb<1, 2, 3>, rgb<4, 5, 6>>, 1, 1>;\n") == [
        "a.h:5:26: error [unknown-name] `clash_sleev` is no construct of wick2 and no name of this file\n"
        "  using eel = power_sleeve<clash_sleev<rgb<1, 2, 3>, rgb<4, 5, 6>>, 1, 1>;\n" + " " * 27 + "^^^^^^^^^^^\n"
        "  hint: did you mean `clash_sleeve` or `blast_sleeve` or `collar_sleeve`?"
    ]


def test_an_unknown_style_in_a_slot_is_told_with_the_nearest_known_ones() -> None:
    body = 'using eel = power_sleeve<rgb<1, 2, 3>, 1, 1>;\nwick_slots slots = { slot<eels>("eel", "Eel") };\n'
    found = reading_of(config("wick2", body), "wick2")
    assert [(d.code, d.severity, d.message, d.hint) for d in found] == [
        ("unknown-style", "warning", "no style `eels` in this file", "did you mean `eel`?"),
        ("style-without-slot", "note", "no slot uses the style `eel`", "give it a slot, or take it out"),
    ]


def test_the_other_styles_go_through_and_the_unreadable_ones_stay() -> None:
    result = moved("wick2", "wick3", CIRCLE + "using fine = power_sleeve<rgb<1, 2, 3>, 160, 400>;\n")
    assert {n: g for n, g in grades(result).items() if g != "refused"} == {"fine": "same"} and result.exit == 2
    assert codes(result) == ["cyclic-definition", "cyclic-definition"]
    assert CIRCLE in text_of(result)


def test_names_may_be_qualified_or_not() -> None:
    head = "#define WICK_GENERATION 3\n#include <wick/pile.h>\nconstexpr int blade_pixels = 132;\n"
    body = "using a = ::wick::pile<wick::css::navy, wick::power<wick::wipe<300>, wick::wipe<300>>>;\n"
    assert reading_of(head + body, "wick3") == []


def test_a_name_of_ones_own_that_the_target_has_too_makes_the_target_names_qualified() -> None:
    body = "const int rise = 30;\ntypedef tape<plain<0xFF9A1E>, 0xFFFFFF, 0xFFFFFF, 0xFF9A1E, rise, rise> lamp;\n"
    result = moved("wick1", "wick4", body)
    text = text_of(result)
    assert "using namespace" not in text and "wick::rise<wick::wipe<wick::over<wick::ms<rise>>>>" in text
    assert codes(result) == ["constant-converted"]


def test_a_name_of_ones_own_that_nothing_can_tell_apart_is_a_warning() -> None:
    body = "constexpr int rise = 300;\nusing a = pile<css::navy, power<wipe<rise>, wipe<300>>>;\n"
    result = moved("wick3", "wick4", body)
    found = [(d.message, d.hint) for d in result.diagnostics if d.code == "name-collision"]
    assert found == [("`rise` is a name of wick4 too: it would not compile", "give it another name")]
