from __future__ import annotations

import pytest
from concrete_helpers import parsed, spell, value

from migrate.concrete.items import Alias, Bare
from migrate.concrete.nodes import arguments, text
from migrate.concrete.parse import parse_expression
from migrate.source import SourceFile, Span


@pytest.mark.parametrize(
    ("source", "tree"),
    [
        ("rgb<255, 28, 0>", "rgb<255 28 0>"),
        ("dim<rgb<1,2,3>,50>", "dim<rgb<1 2 3> 50>"),
        ("dim< rgb< 1 , 2 , 3 > > ", "dim<rgb<1 2 3>>"),
        ("::wick::v3::k<500>", "::wick::v3::k<500>"),
        ("a<css::navy, tilt<>>", "a<css::navy tilt<>>"),
        ("a<0xFF'00uL, 0b10'10, 0644, 1'000, 10zu>", "a<0xFF'00uL 0b10'10 0644 1'000 10zu>"),
        ("a<76.4, .5, 5., 1e-3, 12.5f>", "a<76.4 .5 5. 1e-3 12.5f>"),
        ("a<-66, +7, - 66>", "a<-66 +7 (- 66)>"),
        ("a<1+2*3, 1-2-3, 8/2/2, 7 % 4>", "a<(+ 1 (* 2 3)) (- (- 1 2) 3) (/ (/ 8 2) 2) (% 7 4)>"),
        ("a<(1+2)*3, ((9)), -(4), 2*-3, a - -b>", "a<(* (+ 1 2) 3) 9 (- 4) (* 2 -3) (- a (- b))>"),
        ("a<1 << 4 + 1, b << 2>", "a<(<< 1 (+ 4 1)) (<< b 2)>"),
        ("a<(255 >> 1), (2>1), (b<1>>>2)>", "a<(>> 255 1) (> 2 1) (>> b<1> 2)>"),
        ("a<HALF(255), MAX(1, b<2>), NOW()>", "a<HALF(255) MAX(1 b<2>) NOW()>"),
        ("a<HALF(255 >> 1) - 1>", "a<(- HALF((>> 255 1)) 1)>"),
        ('named<"floralwhite">', 'named<"floralwhite">'),
        ('label<"a \\"b\\" > , c">', 'label<"a \\"b\\" > , c">'),
        ('label<R"x(>)" )x">', 'label<R"x(>)" )x">'),
        ("pile<Layers...>", "pile<Layers>"),
        ("a</*1*/b/*2*/,//3\n/*4*/c/*5*/>", "a<b c>"),
        ("a<1 /* + 2 */ + 3>", "a<(+ 1 3)>"),
        ("LAMP_OIL", "LAMP_OIL"),
    ],
)
def test_expression(source: str, tree: str) -> None:
    assert value(source) == tree
    assert parsed(f"using x = {source};").diagnostics == ()


UNREADABLE = ["a<1''0>", "a<0x>", "a<12px>", "a<1 2>", "a<?>", "a<b &>", "a<1 *>", "a<()>", "a<(1, 2)>"]


@pytest.mark.parametrize("source", UNREADABLE)
def test_what_is_no_expression_is_told(source: str) -> None:
    assert parsed(f"using x = {source};").diagnostics != ()
    assert "!error" in value(source)


def test_arguments_leave_name_and_comments_out() -> None:
    found = parsed("using x = a</*c*/ 1, 2 /*d*/>;")
    item = found.items[0]
    assert isinstance(item, Alias)
    assert [child.kind for child in item.value.children] == ["name", "comment", "number", "number", "comment"]
    assert [child.kind for child in arguments(item.value)] == ["number", "number"]


def test_a_missing_bracket_is_a_node_where_it_should_stand() -> None:
    item = parsed("using x = a<b<1>, 2 ;").items[0]
    assert isinstance(item, Alias)
    assert (item.value.children[-1].kind, item.value.children[-1].start) == ("missing", 19)


def test_part_of_a_file_has_offsets_of_the_file() -> None:
    source = SourceFile("a.h", b"#define FOG dim<rgb<96, 104, 110>, \\\n  50>\n")
    found = parse_expression(source, Span(12, 42))
    assert spell(found.root, source.data) == "dim<rgb<96 104 110> 50>"
    assert text(found.root, source.data) == source.data[12:42]
    assert found.items == (Bare(found.root, Span(12, 42)),)
    assert found.diagnostics == ()


@pytest.mark.parametrize("part", ["", "a b", "using y = a<1>", "a<1>;", "}"])
def test_a_part_that_is_no_expression_is_told(part: str) -> None:
    source = SourceFile("a.h", b"// " + part.encode() + b"\n")
    found = parse_expression(source, Span(3, 3 + len(part)))
    assert found.items == () and found.root.kind == "error"
    assert [diagnostic.code for diagnostic in found.diagnostics] == ["unreadable"]
