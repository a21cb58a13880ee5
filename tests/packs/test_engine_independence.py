"""The engine knows no firmware: no file under migrate/ names a generation or a construct of one.

What is looked for, in every string (docstrings too, comments not) and every identifier of the syntax trees:

* a generation's name, its marker, its header or its namespace, as a whole word, anywhere;
* a construct's name where code could act on it: a string that is that name and nothing else (what a comparison, a
  look-up or a `case` needs), or a string in which the name stands before `<` or `::`, as generated text would have it;
* a construct's name of several words (`clash_sleeve`) as an identifier.

A construct may share its name with a form, a field, a word or a sort of the IR and the pack language (`bands`, `ramp`,
`power`): those the engine must know, whatever firmware uses them. They are computed from the IR, not listed. What is
left over and still is plain English elsewhere is listed in EXEMPT by file, each with its reason; an entry that is no
longer needed fails too.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path

import pytest

import migrate
from migrate.ir import nodes
from migrate.ir.css_colours import CSS_COLOURS
from migrate.ir.forms import COLOUR_FORMS, FORMS, LIST_FORMS, NUMBER_FORMS, WORDS
from migrate.packs.kinds import CURVES, JUMPS, WORD_KINDS
from migrate.packs.library import library
from migrate.packs.reader import UNIT_KINDS

ROOT = Path(migrate.__file__).parent
FILES = sorted(ROOT.rglob("*.py"))
SORTS = {"style", "sleeve", "paint", "signal", "layer", "shape", "held_shape", "transition", "stop"}
EXEMPT: dict[tuple[str, str], str] = {
    ("cli.py", "spot"): "the name of a command",
    ("render/scene_reader.py", "at"): "a word of the scene language",
    ("report/spot.py", "dim"): "how a terminal draws a margin",
    ("report/terminal.py", "dim"): "how a terminal draws a margin",
}


def ir_words() -> set[str]:
    """Every name that the IR and the pack language have of themselves."""
    classes = [c for c in vars(nodes).values() if isinstance(c, type) and is_dataclass(c)]
    names = {c.__name__.lower() for c in classes} | {f.name for c in classes for f in fields(c)}
    forms = {*FORMS, *COLOUR_FORMS, *LIST_FORMS, *NUMBER_FORMS}
    return names | forms | {*WORDS, *CURVES, *JUMPS, *WORD_KINDS, *SORTS, *CSS_COLOURS, *UNIT_KINDS}


def generation_words() -> set[str]:
    """What names a generation of a firmware from outside."""
    out: set[str] = set()
    for g in library().values():
        out |= {g.name, g.header.strip('<>"'), g.namespace, g.marker[0] if g.marker else ""}
        out |= {t.through.strip("<>") for t in g.takes}
    return out - {""}


def construct_words() -> set[str]:
    """The names of constructs that are no words of the IR; of `v3::bands` the whole."""
    names = {name for g in library().values() for name in g.constructs}
    tags = {tag for g in library().values() for tag in g.tags if "_" in tag}
    return {n for n in names | tags if n not in ir_words()}


@cache
def _patterns() -> tuple[re.Pattern[str], re.Pattern[str], set[str]]:
    """What to look for: generations, constructs before a bracket, constructs alone."""
    constructs = construct_words()
    known = "|".join(map(re.escape, sorted(generation_words(), key=len, reverse=True)))
    whole = re.compile(rf"(?<![\w.])(?:{known})(?!\w)")
    plain = sorted((n.removesuffix("::*") for n in constructs), key=len, reverse=True)
    written = re.compile(rf"(?<![\w:.])({'|'.join(map(re.escape, plain))})(?=<|::\w)")
    return whole, written, constructs


def findings(source: str, file: str = "") -> Iterator[tuple[int, str]]:
    """The line and the name of each special case in a source text."""
    whole, written, constructs = _patterns()
    for node in ast.walk(ast.parse(source, file)):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
            yield from ((node.lineno, found[0]) for found in whole.finditer(text))
            yield from ((node.lineno, found[1]) for found in written.finditer(text))
            if text in constructs:
                yield node.lineno, text
        for name in identifiers(node):
            if whole.fullmatch(name) or (name in constructs and "_" in name):
                yield getattr(node, "lineno", 0), name


def identifiers(node: ast.AST) -> Iterator[str]:
    """The names that a node gives or uses."""
    for attribute in ("id", "attr", "name", "arg"):
        value = getattr(node, attribute, None)
        if isinstance(value, str):
            yield value


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_no_file_of_the_engine_names_a_generation_or_a_construct(path: Path) -> None:
    file = path.relative_to(ROOT).as_posix()
    found = [(line, name) for line, name in findings(path.read_text("utf-8"), file) if (file, name) not in EXEMPT]
    assert found == []


def test_every_exemption_is_needed() -> None:
    used = {(p.relative_to(ROOT).as_posix(), name) for p in FILES for _, name in findings(p.read_text("utf-8"))}
    assert set(EXEMPT) <= used


@pytest.mark.parametrize(
    ("special_case", "caught"),
    [
        ('if generation.name == "wick3":\n    pass', "wick3"),
        ('"""Only for wick2."""', "wick2"),
        ('lines.append("#define WICK_GENERATION 3")', "WICK_GENERATION"),
        ('HEADER = "wick/pile.h"', "wick/pile.h"),
        ('if construct.name == "clash_sleeve":\n    pass', "clash_sleeve"),
        ('match name:\n    case "sway":\n        pass', "sway"),
        ('SPECIAL = {"veil": 1}', "veil"),
        ('text = f"rgb<{red}, {green}, {blue}>"', "rgb"),
        ("def from_tape(x):\n    return x", "from_tape"),
        ("held_noise = 1", "held_noise"),
        ('name.startswith("css::red")', "css"),
    ],
)
def test_a_special_case_would_be_caught(special_case: str, caught: str) -> None:
    assert caught in {name for _, name in findings(special_case)}


@pytest.mark.parametrize("innocent", ['x = "bands"', '"""A band on the edge of a spot."""', "power = 1", "dim = 2"])
def test_words_of_the_ir_and_plain_english_pass(innocent: str) -> None:
    assert list(findings(innocent)) == []
