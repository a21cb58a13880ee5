from __future__ import annotations

from migrate.concrete.nodes import Node
from migrate.concrete.parse import parse
from migrate.scope import number, scope_of
from migrate.source import SourceFile
from tests.definitions.moving import codes, config, grades, is_stable, moved, reading_of, said, text_of

COIN = """#define COIN(dull, shine) whirl<dull, shine, 300>
using gold = rgb<255, 200, 40>;
using dull_gold = dim<gold, 30>;
using tossed = power_sleeve<clash_sleeve<COIN(dull_gold, gold), rgb<255, 255, 255>>, 0, 0>;
"""
STICK = """#define STICK(name, dark, light) \\
  typedef tape<barber<dark, light, 11, 1>, 0xFFFFFF, 0xFFFFFF, light, 12, 12> name
STICK(red_stick, 0x600000, 0xFF2020);
STICK(green_stick, 0x005000, 0x20FF40);
"""
SHEETS = """#define HOUSE_SHEETS \\
    on<ev::clash, css::white, burst<80>>, \\
    spot<ev::blast, css::white, 100, hit<0, 300>>
using one = pile<css::navy, HOUSE_SHEETS, power<wipe<300>, wipe<400>>>;
using two = pile<css::teal, veil<css::black, hilt<120>>, HOUSE_SHEETS>;
"""
UNDERSTUDY = """#define UNDERSTUDY(NAME, DARK, LIGHT, MS) \\
    using NAME = pile<blend<DARK, LIGHT, lfo<sine, MS>>, power<wipe<300>, wipe<400>>>
using rust  = rgb<150, 70, 20>;
using amber = rgb<255, 170, 40>;
UNDERSTUDY(clerk, rust, amber, 1100);
UNDERSTUDY(widow, amber, rust, 2200);
"""


def value_of_constant(text: str, name: str) -> object:
    source = SourceFile("a.h", text.encode())
    scope = scope_of(source, parse(source).items)
    node: Node = scope.definitions[name].value
    return number(scope, node)


def test_an_expression_macro_stays_with_its_arguments() -> None:
    result = moved("wick2", "wick3", COIN)
    assert "#define COIN(dull, shine) blend<dull, shine, swing<300>>" in text_of(result)
    assert "COIN(dull_gold, gold)" in text_of(result)
    assert grades(result) == {"tossed": "same"}
    assert is_stable(result, "wick3")


def test_a_macro_argument_that_would_hold_a_comma_is_written_out() -> None:
    result = moved("wick1", "wick3", STICK)
    text = text_of(result)
    assert "// #define STICK(name, dark, light)\n//   typedef tape<" in text
    assert "using red_stick = pile<\n  bands<83, 379, duty<96, 0, 0>, duty<255, 32, 32>>," in text
    assert grades(result) == {"red_stick": "close", "green_stick": "close"}
    message = "`STICK` cannot be said in the target as one definition; every use of it was written out"
    assert said(result, "definition-dropped") == [(4, message)]
    assert is_stable(result, "wick3")


def test_each_style_that_a_macro_declares_is_a_style_of_its_own() -> None:
    result = moved("wick3", "wick4", UNDERSTUDY)
    text = text_of(result)
    assert grades(result) == {"clerk": "same", "widow": "same"}
    assert "UNDERSTUDY(clerk, rust, amber, 1100);\nUNDERSTUDY(widow, amber, rust, 2200);" in text
    assert "period<ms<MS>>" in text and "power<rise<wipe<over<ms<300>>>>" in text
    body = text[text.index("#define UNDERSTUDY") : text.index("using rust")]
    assert all(line.endswith("\\") for line in body.strip().split("\n")[:-1])
    assert is_stable(result, "wick4")


def test_a_macro_that_lists_layers_stays_where_they_stand_side_by_side() -> None:
    result = moved("wick3", "wick4", SHEETS)
    text = text_of(result)
    assert text.count("HOUSE_SHEETS") == 3
    assert '    cue<when<clash>, paint<named<"white">>, shape<burst<ms<80>>>>, \\\n    cue<when<blast>' in text
    assert set(grades(result).values()) <= {"same", "close"}
    assert is_stable(result, "wick4")


def test_a_macro_that_lists_layers_is_written_out_where_the_target_wraps_them() -> None:
    result = moved("wick3", "wick2", SHEETS)
    text = text_of(result)
    code = [line for line in text.split("\n") if not line.lstrip().startswith("//")]
    assert not any("HOUSE_SHEETS" in line for line in code)
    assert "clash_sleeve" in text and "blast_sleeve" in text
    assert is_stable(result, "wick2")


def test_a_list_that_lists_itself_is_a_circle() -> None:
    body = "#define A B, css::red\n#define B A, css::blue\nusing x = pile<css::navy, A>;\n"
    found = [d for d in reading_of(config("wick3", body), "wick3") if d.code == "cyclic-definition"]
    assert [d.message for d in found] == ["`A` is defined by itself: A → B → A"]


def test_macros_with_numbers_are_read_as_the_preprocessor_does() -> None:
    text = "#define TORN 1 + 2\n#define TWICE(x) x * 2\nconst int a = TORN * 2;\nconst int b = TWICE(1 + 2);\n"
    assert value_of_constant(text, "a") == 5
    assert value_of_constant(text, "b") == 5
    assert value_of_constant("constexpr int whole = 1 + 2;\nconst int a = whole * 2;\n", "a") == 6


def test_a_number_macro_in_another_unit_is_written_out() -> None:
    body = (
        "#define SECONDS(s) ((s) * 50)  /* ticks */\n"
        "typedef tape<plain<0xFF9A1E>, 0xFFFFFF, 0xFFFFFF, 0xFF9A1E, SECONDS(1), SECONDS(2)> lamp;\n"
    )
    result = moved("wick1", "wick2", body)
    assert "1000, 2000>" in " ".join(text_of(result).split())
    assert "#define SECONDS(s) ((s) * 50)  /* ticks */" in text_of(result)
    assert grades(result) == {"lamp": "same"}


def test_a_macro_with_too_few_arguments_says_so() -> None:
    body = STICK.replace("STICK(red_stick, 0x600000, 0xFF2020)", "STICK(red_stick, 0x600000)")
    found = reading_of(config("wick1", body), "wick1")
    assert [(d.code, d.message) for d in found] == [("wrong-argument-count", "`STICK` takes 3 arguments, 2 given")]


def test_the_uses_of_a_macro_in_its_own_generation_say_nothing() -> None:
    assert codes(moved("wick3", "wick3", UNDERSTUDY)) == []
    assert text_of(moved("wick3", "wick3", UNDERSTUDY)) == config("wick3", UNDERSTUDY)
