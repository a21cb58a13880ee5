"""Every style of a text has a row: also those that cannot be read, whatever is wrong with them."""

from __future__ import annotations

import pytest

from tests.definitions.moving import codes, grades, moved, said, text_of

FINE = "using fine = power_sleeve<rgb<9, 9, 9>, 300, 300>;\n"


@pytest.mark.parametrize(
    ("body", "name", "code"),
    [
        ("using bell = Power_Sleeve<rgb<9, 9, 9>, 300, 300>;\n", "bell", "unknown-name"),
        ("using bell = power_sleve<rgb<9, 9, 9>, 300, 300>;\n", "bell", "unknown-name"),
        ("using bell = power_sleeve<rgb<9, 9, 9>, 300, 300>>;\n", "bell", "extra-close"),
        ("using bell = /* low */ power_sleeve<rgb<9, 9, 9>, 1 ? 300 : 100, 300>;\n", "bell", "unreadable"),
        ("typedef tape<jitter<0xff9020, 0xff6000>, 0xffffd0> bell;\n", "bell", "unknown-name"),
        ("typedef power_sleeve<rgb<9, 9, 9>; 300> bell; // low > high;\n", "bell", "missing-close"),
    ],
)
def test_a_style_that_cannot_be_read_is_told_as_refused(body: str, name: str, code: str) -> None:
    result = moved("wick2", "wick3", body + FINE)
    assert grades(result) == {name: "refused", "fine": "same"}
    assert code in codes(result) and result.exit == 2


def test_a_declaration_of_two_styles_is_two_refused_rows() -> None:
    result = moved("wick2", "wick3", FINE + "typedef power_sleeve<rgb<9, 9, 9>, 300, 300> one, two;\n")
    assert grades(result) == {"fine": "same", "one": "refused", "two": "refused"}
    assert [s.line for s in result.styles] == [5, 6, 6]


def test_a_part_or_another_type_that_cannot_be_read_is_no_style() -> None:
    result = moved("wick2", "wick3", "using red = rgb<300, 0, 0>;\nusing list = std::vector<int>;\n" + FINE)
    assert grades(result) == {"fine": "same"}


def test_a_style_of_another_generation_gets_no_comment_that_says_it_is_of_this_one() -> None:
    body = "typedef tape<jitter<0xff9020, 0xff6000>, 0xffffd0> bell;\nusing low = power_sleeve<rgb<300, 0, 0>, 1, 1>;\n"
    text = text_of(moved("wick2", "wick3", body + FINE))
    assert text.count("// rehilt: read as wick2\n") == 1
    assert "// rehilt: read as wick2\nusing low" in text


def test_a_name_of_other_generations_is_told_with_the_options_that_move_it() -> None:
    body = "using gale = power_sleeve<blend<rgb<9, 9, 9>, rgb<90, 9, 9>, held_noise<90, whole>>, 300, 300>;\n"
    result = moved("wick2", "wick4", body + FINE)
    message = "`blend` is of wick3 and wick4; wick2 has no construct of that name"
    assert said(result, "unknown-name") == [(5, message)]
    assert [d.hint for d in result.diagnostics] == ["`--read-as wick3 --style gale` moves it by itself"]


def test_no_options_are_told_where_no_other_generation_reads_the_whole_style() -> None:
    result = moved("wick3", "wick4", "using bell = pile<ground<css::red>, power<wipe<300>, wipe<450>>>;\n")
    assert said(result, "unknown-name") == [(6, "`ground` is of wick4; wick3 has no construct of that name")]
    assert [d.hint for d in result.diagnostics] == [""]


def test_a_near_name_is_told_where_no_generation_has_it() -> None:
    result = moved("wick2", "wick3", "using bell = power_sleve<rgb<9, 9, 9>, 300, 300>;\n")
    assert result.diagnostics[0].hint.startswith("did you mean `power_sleeve`")


@pytest.mark.parametrize(
    ("body", "message"),
    [
        ("using bell = pile<bell, power<wipe<300>, wipe<450>>>;\n", "`bell` is defined by itself: bell → bell"),
        (
            "using low = pile<high>;\nusing high = pile</* low */ low>;\n",
            "`low` is defined by itself: low → high → low",
        ),
    ],
)
def test_a_style_made_of_itself_is_told_as_a_circle(body: str, message: str) -> None:
    found = [m for _, m in said(moved("wick3", "wick4", body), "cyclic-definition")]
    assert found[0] == message


def test_one_argument_is_no_arguments() -> None:
    result = moved("wick3", "wick4", "using bell = pile<>;\n")
    assert [m for _, m in said(result, "wrong-argument-count")] == ["`pile` takes at least 1 argument, 0 given"]
