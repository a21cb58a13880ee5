from __future__ import annotations

import pytest
from concrete_helpers import parsed, spell

from migrate.concrete.items import (
    Alias,
    Bare,
    Conditional,
    Constant,
    Define,
    Include,
    Item,
    Other,
    Parameter,
    Slots,
    StyleMacro,
    UsingNamespace,
)
from migrate.concrete.nodes import Node
from migrate.source import Span


def only(text: str) -> Item:
    found = parsed(text)
    assert found.diagnostics == ()
    (item,) = found.items
    return item


def show(node: Node | None, text: str) -> str:
    return "" if node is None else spell(node, text.encode())


def cut(span: Span, text: str) -> str:
    return text.encode()[span.start : span.end].decode()


@pytest.mark.parametrize(
    ("text", "form", "span"),
    [
        ("/*a*/ using tide = rgb<1, 2, 3>; // b", "using", "using tide = rgb<1, 2, 3>;"),
        ("typedef rgb<1, 2, 3> tide ;", "typedef", "typedef rgb<1, 2, 3> tide ;"),
        ("template <class T> using tide = rgb<1, 2, 3>;", "template", "template <class T> using tide = rgb<1, 2, 3>;"),
    ],
)
def test_alias(text: str, form: str, span: str) -> None:
    item = only(text) if "template" not in text else parsed(text).items[0]
    assert isinstance(item, Alias)
    assert (item.name, item.form, cut(item.span, text)) == ("tide", form, span)
    assert cut(item.name_span, text) == "tide"
    assert show(item.value, text) == "rgb<1 2 3>"


def test_template_parameters() -> None:
    text = "template <class A, typename B = rgb<0, 0, 0>, int MS = (3 > 2), class... R> using crowd = dim<A, MS>;"
    (item,) = parsed(text).items
    assert isinstance(item, Alias)
    assert item.params == (
        Parameter("class", "A"),
        Parameter("typename", "B"),
        Parameter("int", "MS"),
        Parameter("class", "R", True),
    )


@pytest.mark.parametrize(
    "text",
    [
        "constexpr int n = 132;",
        "const int n = 132;",
        "static constexpr int n = 132;",
        "inline constexpr auto n = 132;",
        "constexpr unsigned int n = 132;",
        "static const uint8_t n = 132;",
    ],
)
def test_constant(text: str) -> None:
    item = only(text)
    assert isinstance(item, Constant)
    assert (item.name, cut(item.name_span, text), show(item.value, text)) == ("n", "n", "132")


def test_several_constants_in_one_declaration() -> None:
    text = "constexpr int blade_pixels = 132, pixels_per_metre = 12 * 12;"
    found = parsed(text).items
    assert all(isinstance(item, Constant) for item in found)
    assert [(item.name, show(item.value, text)) for item in found if isinstance(item, Constant)] == [
        ("blade_pixels", "132"),
        ("pixels_per_metre", "(* 12 12)"),
    ]


@pytest.mark.parametrize(
    ("text", "params", "tree", "body"),
    [
        ("#define A", None, "", ""),
        ("#define A // nothing", None, "", ""),
        ("#define A rgb<255, 28, 0>  // oil", None, "rgb<255 28 0>", "rgb<255, 28, 0>"),
        ("#  define A /* why */ 60 /* so */", None, "60", "60"),
        ("#define A(x) ((x) / 2)", ("x",), "(/ x 2)", "((x) / 2)"),
        ("#define A() 3", (), "3", "3"),
        ("#define A (3)", None, "3", "(3)"),
        ("#define A \\\n  dim<b, \\\n 50>", None, "dim<b 50>", "dim<b, \\\n 50>"),
        ("#define A for (;;)", None, "", "for (;;)"),
    ],
)
def test_define(text: str, params: tuple[str, ...] | None, tree: str, body: str) -> None:
    item = only(text)
    assert isinstance(item, Define)
    assert (item.name, item.params, show(item.value, text), cut(item.body, text)) == ("A", params, tree, body)


def test_define_that_declares() -> None:
    text = "#define STICK(name, c) \\\n  typedef tape<plain<c>, c> name"
    item = only(text)
    assert isinstance(item, Define) and item.value is None and item.declares is not None
    assert (item.declares.name, item.declares.form) == ("name", "typedef")
    assert show(item.declares.value, text) == "tape<plain<c> c>"


def test_includes() -> None:
    angled, quoted = parsed('#include <wick/pile.h>\n#include "house.h" // local\n').items
    assert isinstance(angled, Include) and (angled.path, angled.angled) == ("wick/pile.h", True)
    assert isinstance(quoted, Include) and (quoted.path, quoted.angled, quoted.path_span) == (
        "house.h",
        False,
        Span(33, 40),
    )


def test_conditionals() -> None:
    text = "#if A > 1 // x\n#elif defined(B) && \\\n  C\n#else\n#endif\n"
    found = [item for item in parsed(text).items if isinstance(item, Conditional)]
    assert [(item.kind, cut(item.condition, text)) for item in found] == [
        ("if", "A > 1"),
        ("elif", "defined(B) && \\\n  C"),
        ("else", ""),
        ("endif", ""),
    ]


def test_using_namespace() -> None:
    item = only("using namespace wick;")
    assert item == UsingNamespace("wick", Span(0, 21))


@pytest.mark.parametrize("end", ["", ";", "\n"])
def test_style_macro(end: str) -> None:
    text = "PROP_STYLE(ferry, power_sleeve<rgb<0, 35, 100>, 300, 450>)" + end
    item = only(text)
    assert isinstance(item, StyleMacro)
    assert (item.macro, item.name, show(item.value, text)) == (
        "PROP_STYLE",
        "ferry",
        "power_sleeve<rgb<0 35 100> 300 450>",
    )


@pytest.mark.parametrize(
    ("text", "form", "slots"),
    [
        (
            'wick_slots slots = { slot<a>("f", "l"), slot<b<1>>("g", "m"), };',
            "braced",
            [("a", ['"f"', '"l"']), ("b<1>", ['"g"', '"m"'])],
        ),
        ('wick_slot slots[] = { SLOT(a, "f"), SLOT(b<1>, "g") };', "array", [("a", ['"f"']), ("b<1>", ['"g"'])]),
        (
            'using slots = slots<slot<style<a>, sounds<"f">, label<"l">>, slot<style<b<1>>, sounds<"g">, label<"m">>>;',
            "template",
            [("a", ['"f"', '"l"']), ("b<1>", ['"g"', '"m"'])],
        ),
    ],
)
def test_slot_tables(text: str, form: str, slots: list[tuple[str, list[str]]]) -> None:
    item = only(text)
    assert isinstance(item, Slots)
    assert (item.form, item.name, item.span) == (form, "slots", Span(0, len(text)))
    assert [(show(slot.style, text), [show(a, text) for a in slot.arguments]) for slot in item.slots] == slots


def test_a_style_of_stops_is_no_slot_table() -> None:
    assert isinstance(only('using x = ramp<stop<at<pct<0>>, named<"black">>, stop<at<pct<9>>, named<"red">>>;'), Alias)


def test_a_damaged_slot_leaves_the_others() -> None:
    found = parsed('wick_slots slots = { slot<a>("f", 3), slot<b>("g", "m") };')
    (item,) = found.items
    assert isinstance(item, Slots) and len(item.slots) == 1
    assert [diagnostic.code for diagnostic in found.diagnostics] == ["unreadable"]


def test_fragments() -> None:
    text = "try this\n  dim<rgb<1, 2, 3>, 50>\nor flutter<a, b> and if x < 3 or y > 2 then not\n"
    found = parsed(text)
    assert [show(item.value, text) for item in found.items if isinstance(item, Bare)] == [
        "dim<rgb<1 2 3> 50>",
        "flutter<a b>",
    ]
    assert found.diagnostics == ()


@pytest.mark.parametrize(
    "text",
    [
        "void f() { for (int i = 0; i<n; ++i) g(i, n); h<3>; }",
        "struct a { static const int N = 3; bool operator<(a) const; };",
        "int x = a < b ? 1 : 2;",
        "int xs[] = { 1, 2, 3 };",
        "using callback = void (*)(int);",
        "using wide = unsigned long;",
        "typedef unsigned long long ull;",
        "typedef struct { int x; } pair_t;",
        'Thing t = { make("a", 3) };',
        'const char* names[] = { "a", "b" };',
        "enum { A = 1 << 3 };",
        "template <class T> struct s { T t; };",
        "using std::swap;",
    ],
)
def test_plain_code_is_left_alone_in_silence(text: str) -> None:
    found = parsed(text)
    assert found.diagnostics == ()
    assert {type(item) for item in found.items} == {Other}


def test_declarations_in_namespaces_count() -> None:
    found = parsed("namespace a { namespace b::c {\nconstexpr int n = 3;\nusing x = rgb<1>;\n} }\nPROP(y, x)")
    kinds = [type(item).__name__ for item in found.items if not isinstance(item, Other)]
    assert kinds == ["Constant", "Alias", "StyleMacro"]
