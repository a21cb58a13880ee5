"""A move to the generation that a file has: what needs no move keeps its layout, whatever becomes of the others."""

from __future__ import annotations

from tests.definitions.moving import codes, grades, is_stable, moved, text_of

FINE = (
    "using fine = pile<css::navy,\n   /* two */ on<ev::clash,css::white,burst<80>>,\n\tpower<wipe<300>, wipe<300>>>;\n"
)
OLD = "using old = power_sleeve<clash_sleeve<flip<rgb<9, 9, 9>, css::teal, 500>, css::white, 80>, 300, 450>;\n"
COMPAT = "#include <wick/compat2.h>\n"


def test_a_style_without_older_constructs_keeps_its_layout() -> None:
    result = moved("wick3", "wick3", COMPAT + FINE + OLD)
    assert FINE in text_of(result) and "power_sleeve" not in text_of(result) and COMPAT not in text_of(result)
    assert grades(result) == {"fine": "same", "old": "same"}


def test_a_file_whose_older_styles_are_refused_stays_byte_for_byte() -> None:
    body = COMPAT + FINE + "// rehilt: read as wick2\nusing old = power_sleeve<rgb<300, 0, 0>, 1, 1>;\n"
    result = moved("wick3", "wick3", body)
    assert text_of(result).endswith(body) and not result.edits
    assert grades(result) == {"fine": "same", "old": "refused"} and codes(result) == ["out-of-range"]


def test_what_is_built_on_an_older_part_moves_with_it() -> None:
    part = "using base = flip<rgb<9, 9, 9>, css::teal, 500>;\n"
    user = "using user = pile<base,  power<wipe<300>,wipe<300>>>;\n"
    result = moved("wick3", "wick3", COMPAT + part + user + FINE)
    assert "flip<" not in text_of(result) and FINE in text_of(result)
    assert grades(result) == {"user": "same", "fine": "same"}
    assert is_stable(result, "wick3")


def test_a_template_without_older_constructs_stays_and_one_with_them_moves() -> None:
    fine = "template <class P> using lit = on<ev::clash,P,burst<80>>;\n"
    older = "template <class P> using warm = flip<P,  css::teal, 500>;\n"
    body = (
        fine
        + older
        + "using a = pile<warm<css::red>,  lit<css::white>>;\nusing b = pile<css::red,  lit<css::white>>;\n"
    )
    result = moved("wick3", "wick3", COMPAT + body)
    text = text_of(result)
    assert fine in text and "using b = pile<css::red,  lit<css::white>>;" in text
    assert "flip<" not in text and "definition-dropped" not in codes(result)
    assert grades(result) == {"a": "same", "b": "same"}


def test_an_older_word_alone_makes_a_style_move() -> None:
    style = 'score<ground<named<"red">>, cue<when<ev::clash>, paint<named<"white">>, shape<burst<ms<80>>>>>'
    body = f"#include <wick/compat3.h>\nusing a = {style};\n"
    result = moved("wick4", "wick4", body)
    assert "ev::clash" not in text_of(result) and "compat3" not in text_of(result)
