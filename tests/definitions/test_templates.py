from __future__ import annotations

from tests.definitions.moving import codes, config, grades, is_stable, moved, reading_of, said, text_of

STICKS = """template <class CORE> using stick =
  power_sleeve<clash_sleeve<CORE, rgb<255, 255, 255>>, 240, 240>;
using red = stick<bands<11, 50, rgb<96, 0, 0>, rgb<255, 32, 32>>>;
using green = stick<rgb<0, 80, 0>>;
using captain = stick<collar_sleeve<rgb<90, 0, 140>, rgb<255, 215, 0>, 22>>;
"""
LIBRARY = """template <class P, auto MM>
using house_blast = cue<when<blast>, paint<P>, reach<mm<MM>>, shape<attack<ms<10>>, decay<ms<300>>>>;
template <auto UP, auto DOWN> using house_power = power<rise<wipe<over<ms<UP>>>>, fall<wipe<over<ms<DOWN>>>>>;
using hook = score<ground<srgb<10, 20, 30>>, house_blast<named<"white">, 110>, house_power<260, 300>>;
using crate = score<ground<srgb<30, 20, 10>>, house_blast<named<"gold">, 55>, house_power<100, 100>>;
"""
SOFT = """template <int MIL> using soft_wipe = power<wipe<300, MIL>, wipe<400, MIL>>;
using a = pile<css::navy, soft_wipe<80>>;
using b = pile<css::teal, soft_wipe<120>>;
"""


def test_a_template_is_rewritten_once_and_its_uses_keep_its_name() -> None:
    result = moved("wick2", "wick3", STICKS)
    text = text_of(result)
    assert "template <class CORE> using stick =\n  pile<CORE, on<ev::clash, duty<255, 255, 255>, burst<80>>" in text
    assert "using red = stick<bands<83, 379, duty<96, 0, 0>, duty<255, 32, 32>>>;" in text
    assert "using green = stick<duty<0, 80, 0>>;" in text
    assert is_stable(result, "wick3")


def test_a_use_that_needs_another_body_is_written_out_and_the_note_says_which() -> None:
    result = moved("wick2", "wick3", STICKS)
    message = "`stick` is written out here: what it stands for differs from its other uses"
    assert said(result, "definition-written-out") == [(9, message)]
    captain = text_of(result).split("using captain = ")[1]
    assert captain.startswith("pile<") and "stick" not in captain
    assert grades(result) == {"red": "close", "green": "same", "captain": "close"}


def test_a_number_argument_converts_at_the_use_where_the_body_names_it() -> None:
    result = moved("wick4", "wick3", LIBRARY)
    text = text_of(result)
    assert "template <class P, int MM>\nusing house_blast = spot<ev::blast, P, MM, hit<10, 300>>;" in text
    assert "template <int UP, int DOWN> using house_power = power<wipe<UP>, wipe<DOWN>>;" in text
    assert "house_blast<css::white, 120>, house_power<260, 300>" in text
    assert "house_blast<css::gold, 60>, house_power<100, 100>" in text
    assert grades(result) == {"hook": "same", "crate": "same"}
    assert is_stable(result, "wick3")


def test_a_parameter_that_gets_decimals_is_of_any_kind() -> None:
    result = moved("wick3", "wick4", SOFT)
    text = text_of(result)
    assert "template <auto MIL> using soft_wipe" in text and "soft<mm<MIL>>" in text
    assert "soft_wipe<73.333>" in text and "soft_wipe<110>" in text
    assert grades(result) == {"a": "close", "b": "same"}
    assert is_stable(result, "wick4")


def test_a_template_inside_a_template_keeps_both_names() -> None:
    body = """template <class A, class B, int MS> using breathing = blend<A, B, lfo<sine, MS>>;
template <class A, int MS> using slow = breathing<A, css::black, (MS * 2)>;
using one = pile<slow<css::navy, 700>>;
using two = pile<slow<css::teal, 900>>;
"""
    result = moved("wick3", "wick4", body)
    text = " ".join(text_of(result).split())
    assert 'using slow = breathing<A, named<"black">, (MS * 2)>;' in text
    assert 'ground<slow<named<"navy">, 700>>' in text and 'ground<slow<named<"teal">, 900>>' in text
    assert grades(result) == {"one": "same", "two": "same"}
    assert is_stable(result, "wick4")


def test_a_standard_without_alias_templates_gets_the_uses_written_out() -> None:
    result = moved("wick2", "wick1", STICKS)
    code = [line for line in text_of(result).split("\n") if not line.startswith("//")]
    assert not any("template" in line or "using" in line for line in code)
    assert sum(line.startswith("typedef tape<") for line in code) == 3
    message = "`stick` cannot be said in the target as one definition; every use of it was written out"
    assert said(result, "definition-dropped") == [(5, message)]
    assert is_stable(result, "wick1")


def test_a_template_that_nothing_uses_and_the_target_cannot_read_becomes_a_comment() -> None:
    body = (
        "template <class P> using gripped = collar_sleeve<P, rgb<0, 0, 0>, 4>;\n"
        "using a = power_sleeve<rgb<9, 9, 9>, 1, 1>;\n"
    )
    result = moved("wick2", "wick3", body)
    assert "// template <class P> using gripped = collar_sleeve<P, rgb<0, 0, 0>, 4>;\n" in text_of(result)
    message = "`gripped` cannot be said in the target as one definition; nothing in this file uses it"
    assert said(result, "definition-dropped") == [(5, message)]


def test_a_template_stays_as_it_is_where_a_style_that_uses_it_cannot_be_read() -> None:
    body = STICKS + "using broken = stick<no_such_thing>;\n"
    result = moved("wick2", "wick3", body)
    assert "unknown-name" in codes(result)
    assert "using broken = stick<no_such_thing>;" in text_of(result)
    assert "template <class CORE> using stick =" in text_of(result)


def test_a_wrong_number_of_template_arguments_is_told_with_both_numbers() -> None:
    found = reading_of(config("wick2", STICKS.replace("stick<rgb<0, 80, 0>>", "stick<rgb<0, 80, 0>, 3>")), "wick2")
    assert [(d.code, d.message) for d in found] == [("wrong-argument-count", "`stick` takes 1 argument, 2 given")]
