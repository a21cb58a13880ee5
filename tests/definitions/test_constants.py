from __future__ import annotations

import pytest

from migrate.lower.constants import plain_numbers
from tests.definitions.moving import codes, grades, is_stable, moved, said, text_of

STAFF = "using staff = pile<css::navy, edge<css::white, mark>, power<wipe<300, mark>, wipe<300>>>;\n"


def test_a_constant_whose_uses_all_convert_alike_changes_at_its_place_with_its_comment() -> None:
    result = moved(
        "wick4",
        "wick3",
        "constexpr int mark = (6 * 11);  // 66 mm, as on the drawing\n"
        + 'using staff = score<ground<named<"navy">>, edge<named<"white">, width<mm<mark>>>>;\n',
    )
    assert "constexpr int mark = 72;  // 66 mm, as on the drawing\n" in text_of(result)
    assert "edge<css::white, mark>" in text_of(result)
    message = "`mark` is 72 instead of 66: every use of it converts to that number"
    assert said(result, "constant-converted") == [(6, message)]
    assert is_stable(result, "wick3")


def test_a_constant_that_gets_decimals_is_a_double() -> None:
    result = moved("wick3", "wick4", "constexpr int mark = 20;\n" + STAFF)
    assert "constexpr double mark = 18.333;\n" in text_of(result)
    assert text_of(result).count("mm<mark>") == 2
    assert is_stable(result, "wick4")


def test_one_constant_in_two_units_keeps_its_number_and_is_written_out_where_that_differs() -> None:
    body = (
        "#include <wick/compat2.h>\nconstexpr int mark = 20;\n"
        "using old = power_sleeve<collar_sleeve<bands<mark, mark * 4, css::navy, css::teal>, "
        "css::black, mark>, 1, 1>;\n"
    )
    result = moved("wick3", "wick3", body)
    text = text_of(result)
    assert "constexpr int mark = 20;\n" in text
    assert "bands<mark, mark * 4, css::navy, css::teal>" in text
    assert "hilt<152>" in text
    message = (
        "`mark` stays 20, since its uses come to different numbers; its uses in styles come to 20 and 152, "
        "written out where that differs"
    )
    assert said(result, "constant-written-out") == [(7, message)]
    assert is_stable(result, "wick3")


@pytest.mark.parametrize(
    "elsewhere",
    [
        "int lit() { return mark + 1; }\n",
        "constexpr int twice = mark * 2;\n",
        "#if mark > 3\n#endif\n",
    ],
)
def test_a_constant_that_is_used_elsewhere_too_keeps_its_number(elsewhere: str) -> None:
    result = moved("wick3", "wick4", "constexpr int mark = 20;\n" + STAFF + elsewhere)
    assert "constexpr int mark = 20;\n" in text_of(result) and elsewhere in text_of(result)
    assert "mm<18.333>" in text_of(result)
    message = (
        "`mark` stays 20, since it is used elsewhere too; its uses in styles come to 18.333, "
        "written out where that differs"
    )
    assert said(result, "constant-written-out") == [(6, message)]


def test_a_name_in_a_comment_or_a_string_is_no_use() -> None:
    body = "constexpr int mark = 20;  // the mark\n/* mark */\n" + STAFF + 'char w[] = "mark";\n'
    result = moved("wick3", "wick4", body)
    assert codes(result) == ["constant-converted"]


def test_arithmetic_over_a_converted_constant_stays_where_it_still_comes_to_the_number() -> None:
    body = """constexpr int wide = 66;
using a = score<ground<named<"navy">>, edge<named<"white">, width<mm<wide>>>,
  cue<when<lock>, paint<named<"white">>, reach<mm<(wide * 4)>>, shape<attack<ms<50>>, release<ms<150>>>>,
  cue<when<blast>, paint<named<"white">>, reach<mm<(wide / 4)>>, shape<attack<ms<50>>, decay<ms<150>>>>>;
"""
    text = text_of(moved("wick4", "wick3", body))
    assert "constexpr int wide = 72;" in text
    assert "spot<ev::lock, css::white, (wide * 4), held<50, 150>>" in text
    assert "(wide / 4)" not in text.split("\nusing a = ")[1]


def test_a_constant_in_the_same_unit_stays_as_it_was_written() -> None:
    body = "constexpr int rise = 0x12C;   // 300\nusing a = power_sleeve<rgb<9, 9, 9>, rise, rise>;\n"
    result = moved("wick2", "wick3", body)
    assert "constexpr int rise = 0x12C;   // 300\n" in text_of(result)
    assert "power<wipe<rise>, wipe<rise>>" in text_of(result)
    assert codes(result) == []


def test_a_packed_colour_by_name_becomes_a_colour_by_name() -> None:
    body = (
        "#define AMBER 0xFFA028\nconst int salmon = 16744512;  // on paper\n"
        "typedef tape<throb<AMBER, salmon, 30>, AMBER> lamp;\n"
    )
    result = moved("wick1", "wick3", body)
    text = text_of(result)
    assert "#define AMBER duty<255, 160, 40>\nusing salmon = duty<255, 128, 64>;  // on paper\n" in text
    assert "on<ev::clash, AMBER, burst<80>>" in text
    assert is_stable(result, "wick3")


def test_a_config_fact_never_changes() -> None:
    body = 'using a = score<ground<named<"navy">>, edge<named<"white">, width<mm<blade_pixels>>>>;\n'
    result = moved("wick4", "wick3", body)
    assert "constexpr int blade_pixels = 132;\n" in text_of(result)
    assert "edge<css::white, 144>" in text_of(result)


def test_several_constants_in_one_declaration_change_one_by_one() -> None:
    result = moved(
        "wick3",
        "wick4",
        "constexpr int mark = 20, hold = 80;  // both\n"
        "using a = pile<css::navy, edge<css::white, mark>, on<ev::clash, css::white, burst<hold>>>;\n",
    )
    assert "mark = 18.333, hold = 80;  // both" in text_of(result)
    assert set(grades(result).values()) == {"close"}


@pytest.mark.parametrize(
    ("text", "standard", "expected"),
    [
        ("1'100", "c++11", "1100"),
        ("(9 * 1'000)", "c++98", "(9 * 1000)"),
        ("0b101 + 0x1'F", "c++11", "5 + 0x1F"),
        ("1'100", "c++14", "1'100"),
        ("300", "c++98", "300"),
    ],
)
def test_an_old_standard_gets_numbers_that_it_can_read(text: str, standard: str, expected: str) -> None:
    assert plain_numbers(text, standard) == expected


def test_a_constant_with_separators_is_plain_in_an_old_standard() -> None:
    body = "constexpr int call = 1'100;   // ms\nusing a = pile<css::navy, power<wipe<call>, wipe<(call / 0b10)>>>;\n"
    result = moved("wick3", "wick2", body)
    code = [line for line in text_of(result).split("\n") if not line.startswith("//")]
    assert "constexpr int call = 1100;   // ms" in code
    assert not any("1'100" in line or "0b10" in line for line in code)


WIDE = """using a = score<ground<bands<speed<mm_s<250>>, paints<named<"navy">, named<"teal">>, width<mm<wide>>>>>;
"""


@pytest.mark.parametrize(
    ("declared", "target", "expected"),
    [
        ("constexpr double wide = 60.5;", "wick3", "constexpr int wide = 66;"),
        ("constexpr double wide = 60.5;", "wick2", "constexpr int wide = 9;"),
        ("static constexpr float wide = 60.5;", "wick1", "const int wide = 9;"),
        ("constexpr auto wide = 60.5;", "wick1", "const int wide = 9;"),
    ],
)
def test_a_number_with_decimals_is_whole_where_the_target_has_none(declared: str, target: str, expected: str) -> None:
    result = moved("wick4", target, declared + "  // a hand\n" + WIDE)
    assert f"{expected}  // a hand" in text_of(result).split("\n")
    assert is_stable(result, target)


def test_a_note_says_the_old_number_with_its_decimals() -> None:
    result = moved("wick4", "wick3", "constexpr double wide = 60.5;\n" + WIDE)
    message = "`wide` is 66 instead of 60.5: every use of it converts to that number"
    assert said(result, "constant-converted") == [(6, message)]


def test_a_number_that_stays_is_whole_too_where_a_style_says_it() -> None:
    body = """constexpr double up = 300.0, down = half * 2;
constexpr double half = 200;
using a = score<ground<named<"navy">>, power<rise<wipe<over<ms<up>>>>, fall<wipe<over<ms<down>>>>>>;
"""
    text = text_of(moved("wick4", "wick3", body))
    code = text.split("\n")
    assert "constexpr int up = 300, down = half * 2;" in code and "constexpr int half = 200;" in code
    assert "power<wipe<up>, wipe<down>>" in text


@pytest.mark.parametrize(
    ("declared", "expected"),
    [
        ("constexpr double pi = 3.14159;", "const double pi = 3.14159;"),
        ("constexpr bool loud = true;", "const bool loud = true;"),
        ("constexpr auto gain = 1.5;", "const double gain = 1.5;"),
        ("constexpr static auto rest = 50;", "const static int rest = 50;"),
    ],
)
def test_a_constant_that_no_style_says_keeps_its_kind(declared: str, expected: str) -> None:
    body = declared + '\nusing a = score<ground<named<"navy">>>;\n'
    assert expected in text_of(moved("wick4", "wick1", body)).split("\n")
