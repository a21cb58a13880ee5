"""A deterministic sample of the search for what the covering missed; all of it: `python -m tests.covering_search`."""

from __future__ import annotations

import pytest

from migrate.ir import nodes as ir
from migrate.packs.library import library
from migrate.render.draw import render
from tests.covering_search import BLADE, SCENE, Drawer, Pool, Search, Terms, config, examine, sources, styles_of

NAMES = list(library())
OLD, NEW = NAMES[2], NAMES[1]
SAMPLE = sources(OLD)[3::30]
# What the search once found and the covering now takes.
ONCE_MISSED = (
    "pile<blend<rgb<255, 0, 0>, rgb<0, 0, 255>, product<sound<>, hilt<300>>>, power<wipe<300>, wipe<450>>>",
    "pile<rgb<255, 0, 0>, veil<rgb<0, 0, 255>, product<sound<>, hilt<300>>>, power<wipe<300>, wipe<450>>>",
    "pile<blend<rgb<255, 0, 0>, rgb<0, 0, 255>, k<250>>, power<wipe<300>, wipe<450>>>",
    "pile<sway<rgb<255, 120, 40>, rgb<128, 40, 10>, 600>, veil<rgb<0, 0, 255>, k<500>>, power<wipe<300>, wipe<450>>>",
    "pile<rgb<255, 0, 0>, veil<rgb<0, 0, 255>, past<along<>, 750>>, power<wipe<300>, wipe<450>>>",
    "pile<rgb<255, 0, 0>, veil<rgb<0, 0, 255>, along<>>, power<wipe<300>, wipe<450>>>",
    "pile<rgb<255, 0, 0>, veil<rgb<0, 0, 255>, inverse<sound<>>>, power<wipe<300>, wipe<450>>>",
    "pile<rgb<255, 0, 0>, veil<rgb<0, 0, 255>, upon<ev::drag, held<0, 0>>>, power<wipe<300>, wipe<450>>>",
    "pile<blend<rgb<255, 0, 0>, rgb<0, 0, 255>, upon<ev::drag, held<0, 0>>>, power<wipe<300>, wipe<450>>>",
    "pile<blend<rgb<255, 0, 0>, rgb<0, 0, 255>, ease<sound<>, curve::step_start>>, power<wipe<300>, wipe<450>>>",
)


@pytest.mark.parametrize("text", SAMPLE)
def test_the_search_finds_nothing_that_the_covering_missed(text: str) -> None:
    outcome = examine(text, OLD, NEW)
    assert outcome is not None
    assert outcome.close or outcome.found is None, outcome


@pytest.mark.parametrize("text", ONCE_MISSED)
def test_what_the_search_once_found_is_now_what_the_covering_takes(text: str) -> None:
    outcome = examine(text, OLD, NEW)
    assert outcome is not None and outcome.close, outcome


def test_there_are_at_least_fifty_short_styles_to_search() -> None:
    assert len(sources(OLD)) >= 50


def test_the_search_finds_what_is_there() -> None:
    """The search itself at work: on a style that the target can say, it comes upon it."""
    text = "pile<rgb<255, 0, 0>, veil<rgb<0, 0, 255>, hilt<250>>, power<wipe<300>, wipe<450>>>"
    style = styles_of(config(text, OLD), OLD)
    assert style is not None
    found = Search(style, library()[OLD], library()[NEW]).run()
    assert found is not None
    again = styles_of(config(found.text, NEW), NEW)
    assert again is not None and len(again.sheets) == 1


def test_the_searchs_drawing_is_the_renderers() -> None:
    generation = library()[NEW]
    pool = Pool([ir.Colour("duty", (255, 0, 0)), ir.Colour("duty", (0, 0, 255))], [300_000], [], [ir.Length(5, "px")])
    drawer = Drawer(generation, SCENE, None)
    terms = Terms(generation, pool).of("paint", 1)
    assert len(terms) > 20
    for term in terms:
        frames = render(ir.Style(term.value), generation.arithmetic, SCENE, BLADE)
        assert (drawer.draw(term.value, ()) == frames).all(), term.text
