"""What is said of damage, word for word, and where."""

from __future__ import annotations

import pytest
from concrete_helpers import parsed, told

from migrate.diagnostics import explain


def printed(text: str) -> str:
    found = parsed(text)
    return "\n".join(explain(found.source, diagnostic) for diagnostic in found.diagnostics)


def test_missing_close_in_full() -> None:
    assert printed("using tide = dim<rgb<0, 70, 200>, 50;\nusing foam = rgb<1, 2, 3>;\n") == (
        "a.h:1:37: error [missing-close] no closing >\n"
        "  using tide = dim<rgb<0, 70, 200>, 50;\n"
        "                                      ^\n"
        "  hint: put > here"
    )


def test_several_missing_at_one_place_are_one_diagnostic() -> None:
    assert printed("using x = a<b<c<1;") == (
        "a.h:1:18: error [missing-close] no closing >>>\n"
        "  using x = a<b<c<1;\n"
        "                   ^\n"
        "  hint: put >>> here"
    )


def test_stray_comma_in_full() -> None:
    assert printed("using x = rgb<1, 2, 3,>;") == (
        "a.h:1:22: error [stray-comma] a comma with nothing to part\n"
        "  using x = rgb<1, 2, 3,>;\n"
        "                       ^\n"
        "  hint: take the comma out"
    )


def test_empty_argument_in_full() -> None:
    assert printed("using x = rgb<1, , 3>;") == (
        "a.h:1:18: error [empty-argument] no argument before this comma\n"
        "  using x = rgb<1, , 3>;\n"
        "                   ^\n"
        "  hint: write the argument or take the comma out"
    )


def test_extra_close_in_full() -> None:
    assert printed("using x = rgb<1, 2, 3>> >;") == (
        "a.h:1:23: error [extra-close] a closing > that nothing opened\n"
        "  using x = rgb<1, 2, 3>> >;\n"
        "                        ^^^\n"
        "  hint: take it out"
    )


def test_unterminated_comment_is_the_only_news() -> None:
    assert printed("using x = rgb<1, /* two, 3>;\nusing y = rgb<1, 2, 3>;\n") == (
        "a.h:1:18: error [unterminated-comment] the comment is never closed\n"
        "  using x = rgb<1, /* two, 3>;\n"
        "                   ^^\n"
        "  hint: close it with */"
    )


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("using x = rgb<1, 2, 3", ["1:22 missing-close"]),
        ("using x = rgb<1, 2, 3\n// why\n\nusing y = rgb<1>;", ["1:22 missing-close"]),
        ("using x = rgb<1, 2\n#define Y 3\n", ["1:19 missing-close"]),
        ("using x = a<1\nconstexpr int n = 3;", ["1:14 missing-close"]),
        ("using x = a<1\ntypedef a<1> y;", ["1:14 missing-close"]),
        ("using x = a<1\ntemplate <class T> using y = T;", ["1:14 missing-close"]),
        ("typedef a<b<1>, 2 y;", ["1:18 missing-close"]),
        ("typedef a<b<c<1, 2 /* two */ y;", ["1:19 missing-close"]),
        ("using x = a<F(1, 2>;", ["1:19 missing-close"]),
        ("PROP(x, a<1, b<2>)", ["1:18 missing-close"]),
        ("#define X a<b<1>, 2", ["1:20 missing-close"]),
        ('wick_slots s = { slot<a>("f", "l")', ["1:35 missing-close"]),
        ('wick_slots s = { slot<a("f", "l") };', ["1:34 missing-close"]),
        ("a<b<1>", ["1:7 missing-close"]),
        ("using x = a<,1>;", ["1:13 stray-comma"]),
        ("using x = a<1>,;", ["1:15 stray-comma"]),
        ("using x = a<1,,,2>;", ["1:15 empty-argument", "1:16 empty-argument"]),
        ("using x = a<b<1>>, 2>;", ["1:17 extra-close"]),
        ("PROP(x, a<1>>)", ["1:13 extra-close"]),
        ("a<1>>", ["1:5 extra-close"]),
        ("using x = a<1 b>;", ["1:14 missing-comma"]),
        ("using x = a<b<1> c<2>>;", ["1:17 missing-comma"]),
        ("using x = a<7O>;", ["1:13 unreadable"]),
        ("using x = a<@>;", ["1:13 unreadable"]),
        ("using x = a<1 + >;", ["1:15 unreadable"]),
        ("using x = a<\n#if B\n1,\n#endif\n2>;", ["2:1 unreadable", "4:1 unreadable"]),
        ("using x = ;", ["1:10 unreadable"]),
        ("using x = a<1> b<2>;", ["1:16 unreadable"]),
        ('using x = a<"b>;\nusing y = a<1>;', ["1:13 unterminated-string"]),
        ('using x = a<R"q(b>;\nusing y = a<1>;', ["1:13 unterminated-string"]),
        ("#define X 3 /* three\nusing y = a<1>;", ["1:13 unterminated-comment"]),
        ('#define X "/*" /* */\nusing y = a<1>;', []),
        ("using x = a<1>\nusing y = a<1>;", ["1:15 missing-semicolon"]),
        ("using x = a<1> // c\n", ["1:15 missing-semicolon"]),
        ("constexpr int n = 3\nusing y = a<n>;", ["1:20 missing-semicolon"]),
        ("using x =\u00a0a<1,\u00a02>; // \u00a0", ["1:10 odd-blank"]),
    ],
)
def test_place_and_code(text: str, expected: list[str]) -> None:
    assert told(text) == expected


def test_latin1_odd_blanks_are_found_and_letters_are_not() -> None:
    assert told(b"using x =\xa0a<1>; // \xa0\n") == ["1:10 odd-blank"]
    assert told("using x = a<1>; // \u00e0\nusing \u00e0\u0420 = a<2>;\n".encode()) == []


def test_damage_in_plain_code_is_none_of_our_business() -> None:
    assert told("int f(int a { return a < 3,; }\n") == []
