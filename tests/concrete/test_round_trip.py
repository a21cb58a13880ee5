"""text(parse(s)) == s, for every input; and what each ugly file of corpora/roundtrip is read as."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from concrete_helpers import CORPORA
from hypothesis import given, settings
from hypothesis import strategies as st

from migrate.concrete.language import mask, read
from migrate.concrete.nodes import Node, text
from migrate.concrete.parse import Parsed, parse
from migrate.source import SourceFile

# file: items by kind (Other left out), diagnostics as line:column code
UGLY: dict[str, tuple[dict[str, int], list[str]]] = {
    "alias_templates.h": ({"Alias": 3}, []),
    "bom_from_a_word_processor.h": ({"Alias": 1}, []),
    "brackets_98.h": ({"Include": 1, "Alias": 2, "Slots": 1}, []),
    "comments_everywhere.h": ({"Alias": 3}, []),
    "crlf_from_the_office.h": ({"Define": 2, "Include": 1, "Alias": 2}, []),
    "directive_inside.h": ({"Alias": 2}, ["2:1 unreadable", "4:1 unreadable", "6:1 unreadable"]),
    "empty.h": ({}, []),
    "extra_close.h": ({"Alias": 3, "StyleMacro": 1}, ["1:29 extra-close", "2:36 extra-close", "4:58 extra-close"]),
    "latin1_from_marit.h": ({"Alias": 1}, []),
    "lone_carriage_returns.h": ({"Alias": 2}, []),
    "long_directives.h": ({"Define": 7, "Include": 2, "Conditional": 3, "Bare": 2}, []),
    "missing_close.h": (
        {"Alias": 4, "Define": 1, "Constant": 1, "StyleMacro": 1, "Slots": 1},
        [
            "1:37 missing-close",
            "2:31 missing-close",
            "4:37 missing-close",
            "5:38 missing-close",
            "6:29 missing-close",
            "7:57 missing-close",
            "8:75 missing-close",
        ],
    ),
    "mixed_line_ends.h": ({"Alias": 3}, []),
    "no_final_newline.h": ({"Alias": 2}, ["2:32 missing-semicolon"]),
    "no_final_newline_in_directive.h": ({"Alias": 1, "Define": 1}, []),
    "no_semicolons.h": (
        {"Alias": 3, "Constant": 1, "Define": 1},
        ["1:29 missing-semicolon", "2:32 missing-semicolon", "3:25 missing-semicolon", "4:36 missing-semicolon"],
    ),
    "nul_in_the_middle.h": ({"Alias": 2}, []),
    "numbers_in_all_forms.h": ({"Constant": 4, "Alias": 2}, []),
    "only_a_comment.h": ({}, []),
    "only_blanks.h": ({}, []),
    "pasted_from_the_web.h": ({"Alias": 2}, ["1:13 odd-blank"]),
    "plain_code_between.h": ({"Include": 1, "Alias": 2, "Constant": 1, "Bare": 3, "UsingNamespace": 1}, []),
    "raw_strings.h": ({"Slots": 1, "Alias": 1}, []),
    "slot_tables_of_all_kinds.h": ({"Slots": 3, "Alias": 1, "StyleMacro": 2}, []),
    "stray_commas.h": (
        {"Alias": 6},
        [
            "1:28 stray-comma",
            "2:18 stray-comma",
            "3:22 empty-argument",
            "4:34 empty-argument",
            "5:28 stray-comma",
            "6:20 missing-comma",
        ],
    ),
    "too_deep.h": ({"Alias": 2}, ["1:1038 nested-too-deep"]),
    "unterminated_comment.h": ({"Alias": 2}, ["2:38 unterminated-comment"]),
    "unterminated_string.h": ({"Slots": 1, "Alias": 1}, ["2:26 unterminated-string"]),
    "utf16_by_mistake.h": ({}, []),
    "words_and_styles.txt": ({"Bare": 3}, []),
}

WORDS = r"""
using typedef template namespace const constexpr static inline tide rgb css::navy ::a 1 0x2F 7.5 1'0
"s" "open R"x(y)x" R"(open u8"q" < > << >> , ; ( ) { } [ ] = + - * / % & | : :: . ... \ ' @ 'c' /*c*/ /*open ä
"""
TOKENS = [*WORDS.split(), "\n", "\r\n", "\n#if x\n", "\n#define Q a<1>\n", "// c\n", "\\\n", "\0", " ", "\u00a0"]
soups = st.lists(st.sampled_from(TOKENS), max_size=40).map(" ".join)


def read_bytes(data: bytes) -> Parsed:
    return parse(SourceFile("a.h", data))


def check_spans(root: Node) -> None:
    """Children lie inside their parent, in order and without overlap."""
    stack = [root]
    while stack:
        node = stack.pop()
        at = node.start
        for child in node.children:
            assert at <= child.start <= child.end <= node.end
            at = child.end
        stack.extend(node.children)


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_come_back(data: bytes) -> None:
    found = read_bytes(data)
    assert text(found.root, data) == data
    check_spans(found.root)


@settings(max_examples=500, deadline=None)
@given(soups)
def test_any_soup_of_tokens_comes_back(soup: str) -> None:
    data = soup.encode()
    found = read_bytes(data)
    assert text(found.root, data) == data
    check_spans(found.root)
    for item in found.items:
        assert 0 <= item.span.start <= item.span.end <= len(data)
    for diagnostic in found.diagnostics:
        assert 0 <= diagnostic.span.start <= diagnostic.span.end <= len(data)


@settings(max_examples=500, deadline=None)
@given(soups)
def test_the_grammar_is_total(soup: str) -> None:
    """tree-sitter's own error recovery, which may swallow anything, is never needed."""
    assert not read(mask(SourceFile("a.h", soup.encode()))).root_node.has_error


@settings(max_examples=200, deadline=None)
@given(soups.filter(lambda soup: "open" not in soup))
def test_no_damage_swallows_the_next_declaration(soup: str) -> None:
    damaged = soup.encode().rstrip(b"\\ \r\n")
    found = read_bytes(damaged + b"\nusing after = rgb<1, 2, 3>;\n")
    assert any(getattr(item, "name", "") == "after" for item in found.items)


@pytest.mark.parametrize("name", sorted(UGLY))
def test_ugly_file(name: str) -> None:
    data = (CORPORA / "roundtrip" / name).read_bytes()
    found = parse(SourceFile(name, data))
    assert text(found.root, data) == data
    check_spans(found.root)
    items, diagnostics = UGLY[name]
    assert Counter(type(item).__name__ for item in found.items if type(item).__name__ != "Other") == items
    assert ["{}:{} {}".format(*found.source.place(d.span.start), d.code) for d in found.diagnostics] == diagnostics


def test_no_ugly_file_is_an_orphan() -> None:
    assert {path.name for path in (CORPORA / "roundtrip").iterdir()} == set(UGLY)


def every_corpus_file() -> list[Path]:
    return sorted(path for path in CORPORA.rglob("*") if path.is_file())


@pytest.mark.parametrize("path", every_corpus_file(), ids=lambda path: f"{path.parent.name}/{path.name}")
def test_every_file_of_the_corpora_comes_back(path: Path) -> None:
    data = path.read_bytes()
    assert text(read_bytes(data).root, data) == data


@pytest.mark.parametrize("folder", ["demo", "wick1", "wick2", "wick3", "wick4"])
def test_sound_configs_are_read_without_complaint(folder: str) -> None:
    for path in sorted((CORPORA / folder).iterdir()):
        assert read_bytes(path.read_bytes()).diagnostics == (), path.name
