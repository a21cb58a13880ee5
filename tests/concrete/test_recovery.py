"""One declaration that is not closed costs one style: what follows is read as if nothing were wrong before it."""

from __future__ import annotations

from itertools import product
from time import process_time

import pytest
from concrete_helpers import parsed, told
from hypothesis import given, settings
from hypothesis import strategies as st

from migrate.concrete.items import Alias, Other, Slots, StyleMacro
from migrate.concrete.nodes import text
from migrate.diagnostics import explain
from migrate.pipeline import Options, move
from migrate.source import SourceFile

TABLE = 'wick_slots quay = {\n  slot<tide>("t", "T"),\n  slot<foam>("f", "F"),\n};\n'

# what may stand behind a declaration that is left open: its text, and the items that it is read as
FOLLOWING = {
    "using": ("using foam = rgb<1, 2, 3>;\n", ["Alias foam"]),
    "typedef": ("typedef rgb<1, 2, 3> foam;\n", ["Alias foam"]),
    "template": ("template <class T>\nusing foam = dim<T, 3>;\n", ["Alias foam"]),
    "constant": ("constexpr int foam = 3;\n", ["Constant foam"]),
    "define": ("#define FOAM rgb<1, 2, 3>\n", ["Define FOAM"]),
    "include": ("#include <foam.h>\n", ["Include"]),
    "if": ("#if FOAM\nusing foam = rgb<1, 2, 3>;\n#endif\n", ["Conditional", "Alias foam", "Conditional"]),
    "namespace": ("namespace quay {\nusing foam = rgb<1, 2, 3>;\n}\n", ["Alias foam"]),
    "braced table": (TABLE, ["Slots quay"]),
    "array table": ('row quay[] = {\n  ROW(foam, "f"),\n};\n', ["Slots quay"]),
    "indented table": ("  " + TABLE, ["Slots quay"]),
    "macro": ("PROP(foam, rgb<1, 2, 3>)\n", ["StyleMacro foam"]),
    "function": ("void setup() {\n  start();\n}\nusing foam = rgb<1, 2, 3>;\n", ["Alias foam"]),
    "struct": ("struct Lamp { int pin; };\nusing foam = rgb<1, 2, 3>;\n", ["Alias foam"]),
    "extern": ("extern int pin;\nusing foam = rgb<1, 2, 3>;\n", ["Alias foam"]),
}

# declarations that are left open: the text, its items, and what is told of it
OPEN = {
    "no mark": ("using gust = dim<tide, 50>", ["Alias gust"], ["1:27 missing-semicolon"]),
    "no bracket": ("using gust = dim<tide, 50", ["Alias gust"], ["1:26 missing-close"]),
    "two brackets": ("using gust = dim<rgb<1, 2, 3", ["Alias gust"], ["1:29 missing-close"]),
    "a comma": ("using gust = dim<tide,", ["Alias gust"], ["1:22 stray-comma", "1:23 missing-close"]),
    "a comment": ("using gust = dim<tide, 50 // half", ["Alias gust"], ["1:26 missing-close"]),
    "a macro": ("PROP(gust, dim<tide, 50>", ["StyleMacro gust"], ["1:25 missing-close"]),
    "a typedef without a name": ("typedef dim<tide, 50>", [], ["1:22 unreadable"]),
    "an empty alias": ("using gust =", [], ["1:13 unreadable"]),
}
# a macro's call behind a comma or a = may be an argument or a value
EITHER_WAY = {("a comma", "macro"), ("an empty alias", "macro")}


def items(source: str) -> list[str]:
    return [
        f"{type(item).__name__} {getattr(item, 'name', '')}".strip()
        for item in parsed(source).items
        if not isinstance(item, Other)
    ]


@pytest.mark.parametrize(("left_open", "following"), [p for p in product(OPEN, FOLLOWING) if p not in EITHER_WAY])
def test_what_follows_a_declaration_that_is_left_open_is_read(left_open: str, following: str) -> None:
    broken, own, wrong = OPEN[left_open]
    after, others = FOLLOWING[following]
    source = f"{broken}\n{after}using last = rgb<4, 5, 6>;\n"
    assert items(source) == [*own, *others, "Alias last"]
    assert told(source) == wrong


def test_the_fault_is_told_in_full() -> None:
    found = parsed(f"using gust = dim<rgb<0, 70, 200>, 50\n{TABLE}")
    assert [explain(found.source, one) for one in found.diagnostics] == [
        "a.h:1:37: error [missing-close] no closing >\n"
        "  using gust = dim<rgb<0, 70, 200>, 50\n"
        "                                      ^\n"
        "  hint: put >; here"
    ]


@pytest.mark.parametrize(
    ("source", "message", "hint"),
    [
        ("using gust dim<tide, 50>;\n", "no = behind the name", "put = here"),
        ("using gust\nusing foam = rgb<1, 2, 3>;\n", "no = and no style behind the name", "put = STYLE; here"),
        ("using gust =\nusing foam = rgb<1, 2, 3>;\n", "the alias stands for nothing", "put a style and ; here"),
        ("typedef dim<tide, 50>\n", "the typedef has no plain name at its end", "put a name and ; here"),
        ("typedef dim<tide, 50\n", "no closing >", "put >, a name and ; here"),
        ("PROP(gust, dim<tide, 50>\n", "no closing )", "put ) here"),
    ],
)
def test_a_style_that_breaks_off_is_told_with_what_to_type(source: str, message: str, hint: str) -> None:
    assert [(d.message, d.hint) for d in parsed(source).diagnostics] == [(message, hint)]


@pytest.mark.parametrize(
    "source",
    [
        "using base::pitch;\n",
        "using namespace quay;\n",
        "we were\nusing wood\nfor the floor\n",
        "using it, and so on\n",
    ],
)
def test_other_uses_of_the_word_are_none_of_our_business(source: str) -> None:
    assert told(source) == []


def test_arguments_at_the_margin_stay_arguments() -> None:
    broken = "using gust = pile<\nrgb<1, 2, 3>,\nMIX(tide, dim<foam, 3>),\ndim<\ntide, 50>;\n"
    assert items(broken) == ["Alias gust"] and told(broken) == ["5:10 missing-close"]
    whole = broken.replace("50>", "50>>")
    assert items(whole) == ["Alias gust"] and told(whole) == []


def test_a_table_that_is_not_closed_ends_before_the_next() -> None:
    first = TABLE.replace("};\n", "")
    source = first + TABLE.replace("quay", "pier")
    assert items(source) == ["Slots quay", "Slots pier"]
    assert [len(i.slots) for i in parsed(source).items if isinstance(i, Slots)] == [2, 2]


def test_every_one_of_many_open_declarations_is_told_by_itself() -> None:
    source = "".join(f"PROP(lamp_{n}, dim<tide, {n}>\n" for n in range(300))
    assert items(source) == [f"StyleMacro lamp_{n}" for n in range(300)]
    assert [place.split(":")[0] for place in told(source)] == [str(n + 1) for n in range(300)]


def test_the_time_grows_with_the_length_of_what_is_open_and_not_faster() -> None:
    def taken(count: int) -> float:
        source = "using gust = dim<" + "rgb<1, 2, 3>, " * count + "\n" + TABLE
        start = process_time()
        assert items(source) == ["Alias gust", "Slots quay"]
        return process_time() - start

    taken(100)
    assert taken(32_000) < 4 * 4 * max(taken(8_000), 0.01)


DECLARATIONS = st.sampled_from([
    "using {} = dim<rgb<1, 2, 3>, 50>;\n",
    "typedef dim<rgb<1, 2, 3>, 50> {};\n",
    "PROP({}, dim<rgb<1, 2, 3>, 50>)\n",
    'wick_slots {} = {{\n  slot<tide>("t", "T"),\n}};\n',
])  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.lists(DECLARATIONS, min_size=2, max_size=6), st.data())
def test_a_bracket_and_the_mark_behind_it_cost_one_declaration_at_most(forms: list[str], data: st.DataObject) -> None:
    made = [form.format(f"lamp_{n}") for n, form in enumerate(forms)]
    at = data.draw(st.integers(0, len(made) - 1))
    if made[at].startswith("wick_slots"):
        return
    made[at] = made[at].replace("50>;", "50").replace("50>)", "50").replace("50> ", "50 ").replace(";", "")
    found = parsed("".join(made))
    assert text(found.root, found.source.data) == found.source.data
    read = [i.name for i in found.items if isinstance(i, (Alias, Slots, StyleMacro))]
    others = [f"lamp_{n}" for n in range(len(made)) if n != at]
    assert [name for name in read if name != f"lamp_{at}"] == others
    lines = {found.source.place(d.span.start)[0] for d in found.diagnostics}
    assert lines == {sum(one.count("\n") for one in made[:at]) + 1}


def test_the_other_styles_are_moved() -> None:
    style = "power_sleeve<rgb<255, 0, 0>, 300, 450>"
    head = "#include <wick2.h>\nconstexpr int blade_pixels = 132;\nconstexpr int pixels_per_metre = 144;\n"
    table = TABLE.replace('  slot<foam>("f", "F"),\n', "")
    source = f"{head}using tide = {style};\nusing gust = {style[:-1]}\n{table}using foam = {style};\n"
    moved = move(SourceFile("a.h", source.encode()), Options("wick3", prove=False))
    assert [(s.name, s.line, s.grade) for s in moved.styles] == [
        ("tide", 4, "same"), ("gust", 5, "refused"), ("foam", 9, "same"),
    ]  # fmt: skip
    assert moved.exit == 2 and moved.text.count(b"power<") == 2
    assert f"using gust = {style[:-1]}\n".encode() in moved.text
