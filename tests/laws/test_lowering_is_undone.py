"""Lower, print, parse, lift: where the covering says that nothing is lost, the same meaning comes back."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from budget import law
from generated_ir import styles as ir_styles
from generated_texts import PER_METRE, PIXELS, file_of, styles
from hypothesis import event, given

from migrate.concrete.nodes import Node
from migrate.diagnostics import Diagnostic
from migrate.ir import nodes as ir
from migrate.ir.colour import duty_codes
from migrate.ir.dump import dump, rounding
from migrate.ir.facts import Blade
from migrate.ir.normal import Normaliser
from migrate.ir.walk import rebuild
from migrate.lower.cost import Cover
from migrate.lower.cover import Coverer
from migrate.lower.vocabulary import Vocabulary
from migrate.lower.write import Layout, Origins, Writer
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.reading import STYLES, Lifted, Options, Reading, read
from migrate.source import SourceFile

BLADE = Blade(PIXELS, PER_METRE)
NAMES = tuple(library())
PAIRS = [(a, b) for a in NAMES for b in NAMES if a != b]
VOCABULARIES = {name: Vocabulary(generation) for name, generation in library().items()}


def printed(cover: Cover, generation: Generation) -> str:
    """The text of a cover that has no source."""
    writer = Writer(generation, Layout(spaced_close=generation.standard == "c++98"), Origins({}, lambda _: ""))
    return writer.write(cover.tree, Node("application", 0, 0, ()), 0, "")  # type: ignore[arg-type]


def lifted(data: bytes, name: str) -> Reading:
    reading = read(SourceFile("law.h", data), Options(name, reading=name))
    assert not isinstance(reading, Diagnostic)
    assert not reading.diagnostics, (reading.diagnostics, data.decode())
    return reading


def only(reading: Reading) -> Lifted:
    (one,) = reading.lifted.values()
    return one


def off(before: Any, after: Any, stepless: bool) -> Fraction | None:
    dumps = []
    for raw in (before, after):
        style = raw if isinstance(raw, ir.Style) else ir.Style(raw)
        dumps.append(dump(Normaliser(stepless=stepless)(style), BLADE))
    return rounding(*dumps)


def to_duties(part: Any) -> Any:
    """A part with each colour as the eight-bit duties that show it: two that differ by less are one there."""
    return ir.Colour("duty", duty_codes(part)) if isinstance(part, ir.Colour) else rebuild(part, to_duties)


def check(style: Any, generation: Generation) -> bool:
    """Whether the style has a cover without loss; if so, what it prints must mean the same."""
    normal = Normaliser(spread=False)(style)
    value = normal if isinstance(normal, ir.Style) else ir.Style(normal)
    cover = Coverer(VOCABULARIES[generation.name], BLADE).cover(value, STYLES)
    if cover is None:
        return False
    assert cover.cost.loss == 0
    text = printed(cover, generation)
    again = only(lifted(file_of(generation, [text]), generation.name)).raw
    stepless = generation.arithmetic.clock == "tick"
    found = off(style, again, stepless)
    if found is None:
        found = off(to_duties(style), to_duties(again), stepless)
    assert found is not None, f"the skeleton changed, or a number came from 0, or became 0:\n{style}\n{text}"
    assert found <= cover.cost.error or found == 0, f"off by {found}, the cover says {cover.cost.error}:\n{text}"
    return True


@pytest.mark.parametrize("name", NAMES)
@law(150)
@given(style=ir_styles())
def test_what_is_covered_without_loss_lifts_to_the_same_normal_form(name: str, style: ir.Style) -> None:
    event("covered" if check(style, library()[name]) else "no exact cover")


@pytest.mark.parametrize("name", NAMES)
def test_every_text_of_a_generation_is_covered_by_that_generation(name: str) -> None:
    @law(60)
    @given(styles(name))
    def run(text: str) -> None:
        generation = library()[name]
        assert check(only(lifted(file_of(generation, [text]), name)).raw, generation), text

    run()


@pytest.mark.parametrize(("old", "new"), PAIRS)
def test_what_another_generation_covers_without_loss_means_the_same_there(old: str, new: str) -> None:
    @law(25)
    @given(styles(old))
    def run(text: str) -> None:
        generation = library()[old]
        before = lifted(file_of(generation, [text]), old)
        event("covered" if check(only(before).raw, library()[new]) else "no exact cover")

    run()
