"""A search that may lose only so much finds what the search without a bound finds, or nothing where that loses more."""

from __future__ import annotations

import pytest
from budget import law
from generated_ir import styles as ir_styles
from hypothesis import event, given
from test_lowering_is_undone import BLADE, NAMES, VOCABULARIES, printed

from migrate.ir import nodes as ir
from migrate.ir.normal import Normaliser
from migrate.lower.cost import Cover
from migrate.lower.cover import Coverer
from migrate.packs.library import library
from migrate.reading import STYLES


def searched(style: ir.Style, name: str, most: float) -> Cover | None:
    """The cover by a search of its own: nothing is kept from one to the next."""
    vocabulary = VOCABULARIES[name]
    return Coverer(vocabulary, BLADE, {}, Coverer(vocabulary, BLADE)).within(style, STYLES, most)


@pytest.mark.parametrize("name", NAMES)
@law(40)
@given(style=ir_styles())
def test_a_bound_hides_what_loses_more_and_changes_nothing_else(name: str, style: ir.Style) -> None:
    normal = Normaliser(spread=False)(style)
    value = normal if isinstance(normal, ir.Style) else ir.Style(normal)
    whole = searched(value, name, float("inf"))
    loss = 0 if whole is None else whole.cost.loss
    event(f"loses {'nothing' if not loss else 'up to 100' if loss <= 100 else 'more'}")
    for most in {0, 30, loss - 1, loss, loss + 50} - {-1}:
        found = searched(value, name, most)
        expected = None if whole is None or loss > most else whole
        assert (found is None) == (expected is None), (most, loss)
        if found is not None and expected is not None:
            assert (found.cost, found.losses) == (expected.cost, expected.losses)
            generation = library()[name]
            assert printed(found, generation) == printed(expected, generation)


def test_what_was_not_found_within_a_bound_is_sought_again_within_a_larger_one() -> None:
    style = ir.Style(ir.Colour("duty", (200, 10, 30)), (ir.Sheet("plus", ir.Colour("duty", (9, 9, 9)), ir.Const(1)),))
    vocabulary = VOCABULARIES[NAMES[0]]
    coverer = Coverer(vocabulary, BLADE, {}, Coverer(vocabulary, BLADE))
    assert coverer.within(style, STYLES, 0) is None
    assert coverer.within(style, STYLES, float("inf")) is not None
