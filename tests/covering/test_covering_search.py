"""A deterministic sample of the search for what the covering missed; all of it: `python -m tests.covering_search`."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from migrate.compare.colour import ciede2000, lab_of_light
from migrate.ir import nodes as ir
from migrate.packs.library import library
from migrate.render.draw import render
from tests.covering_batches import Flat, Heads, whole_of
from tests.covering_search import Search, examine
from tests.covering_sight import SCENE, Drawer, box
from tests.covering_sources import config, sources, styles_of
from tests.covering_terms import Pool, Terms
from tests.laws.small_scene import BLADE

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
    "pile<sway<rgb<255, 120, 40>, rgb<128, 40, 10>, 1200>, power<wipe<300, 40>, wipe<450>>>",
    "pile<rgb<255, 0, 0>, gleam<rgb<0, 0, 255>, k<500>>, power<wipe<300>, wipe<450>>>",
)


# The same of the other pairs.
_MIXED = "blend<srgb<255, 0, 0>, srgb<0, 0, 255>, by"
_KEYS = "keys<at<ms<120>, k<pct<100>>>, at<ms<120>, k<pct<100>>>, easing<curve::ease_out>>"
_POWER = "power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<450>>>>>"
ONCE_MISSED_ELSEWHERE = (
    (1, 0, "power_sleeve<dim<rgb<255, 28, 0>, 50>, 300, 450>"),
    (3, 2, f"score<ground<{_MIXED}<k<pct<25>>>, in<srgb>>>, {_POWER}>"),
    (3, 2, f"score<ground<{_MIXED}<k<pct<25>>>, in<oklab>>>, {_POWER}>"),
    (3, 2, f"score<ground<{_MIXED}<upon<blast, {_KEYS}>>, in<linear>>>, {_POWER}>"),
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


@pytest.mark.parametrize(("old", "new", "text"), ONCE_MISSED_ELSEWHERE)
def test_what_was_once_missed_between_other_generations_is_now_taken(old: int, new: int, text: str) -> None:
    outcome = examine(text, NAMES[old], NAMES[new])
    assert outcome is not None and outcome.close, outcome


@pytest.mark.parametrize(("old", "new", "text"), ONCE_MISSED_ELSEWHERE)
def test_the_search_still_finds_what_it_once_found(old: int, new: int, text: str) -> None:
    style = styles_of(config(text, NAMES[old]), NAMES[old])
    assert style is not None
    search = Search(style, library()[NAMES[old]], library()[NAMES[new]])
    assert search.run() is not None and search.finished


@pytest.mark.parametrize("rise", ["wipe<300, 40>", "dissolve<300>", "iris<300, 500>", "rest<300>"])
def test_of_power_the_half_that_can_be_said_stays(rise: str) -> None:
    outcome = examine(f"pile<rgb<255, 0, 0>, power<{rise}, wipe<450>>>", OLD, NEW)
    assert outcome is not None and outcome.moved.endswith(", 300, 450>;"), outcome


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


POOL = Pool(
    [ir.Colour("duty", (255, 0, 0)), ir.Colour("duty", (0, 40, 255))],
    [300_000],
    [],
    [ir.Length(5, "px")],
    [],
    [Fraction(1, 4)],
)


def test_the_searchs_drawing_is_the_renderers() -> None:
    generation = library()[NEW]
    drawer = Drawer(generation, SCENE, None)
    terms = Terms(generation, POOL).of("paint", 1)
    assert len(terms) > 20
    for term in terms:
        frames = render(ir.Style(term.value), generation.arithmetic, SCENE, BLADE)
        assert (drawer.draw(term.value, ()) == frames).all(), term.text


@pytest.mark.parametrize("name", NAMES[:3])
def test_a_batch_in_a_few_cells_is_what_each_of_its_styles_draws_there(name: str) -> None:
    """Grounds and layers of every size, noises numbered through: a sample of the fillings, drawn one by one."""
    generation, rng = library()[name], np.random.default_rng(7)
    heads, seen = Heads(generation, POOL), 0
    cells = np.sort(rng.choice(SCENE.frames * 24, 40, replace=False))
    flat, drawer = Flat(whole_of(generation, None), cells), Drawer(generation, SCENE, None)
    stacks = [[b] for size in (0, 1, 2, 3) for b in heads.paints("paint", size)[:40]]
    stacks += [[g, a] for g in heads.paints("paint", 1) for size in (1, 2, 3) for a in heads.layers(size)[:12]]
    stacks += [[g, a, b] for g in heads.paints("paint", 0) for a in heads.layers(1) for b in heads.layers(1)]
    for stack in stacks:
        some = [rng.integers(0, b.count, 3) for b in stack]
        duties = np.broadcast_to(flat.duties(stack[0], stack[1:], some, ()), (3, 3, len(cells)))
        for k in range(3):
            ground, *layers = [b.term(heads, int(i[k])) for b, i in zip(stack, some, strict=True)]
            frames = drawer.draw(ground.value, tuple(s for layer in layers for s in layer.value))
            assert (frames.reshape(-1, 3)[cells] == duties[:, k].T).all(), (ground.text, [x.text for x in layers])
            seen += 1
    assert seen > 30


def test_all_small_expressions_are_in_the_bundles() -> None:
    """The bundles of holes against the expressions written out, one size that can be."""
    generation = library()[NEW]
    heads, plain = Heads(generation, POOL), Terms(generation, POOL)
    found = {b.term(heads, k).value for b in heads.paints("paint", 2) for k in range(b.count)}
    assert found == {t.value for t in plain.of("paint", 2)} and len(found) > 500


@pytest.mark.parametrize("far", [True, False])
def test_what_is_within_tolerance_lies_in_the_box(far: bool) -> None:
    """Colours of chance round colours of chance, and round the corners of the cube."""
    rng = np.random.default_rng(3)
    corners = np.array([[r, g, b] for r in (0, 255) for g in (0, 255) for b in (0, 255)])
    seen = 0
    for colour in [*corners.tolist(), *rng.integers(0, 256, (60, 3)).tolist()]:
        low, high = (np.array(side) for side in box(tuple(colour), far))
        width = rng.choice([2, 6, 20, 60, 255], (4000, 1))
        others = np.clip(np.array(colour) + rng.integers(-255, 256, (4000, 3)) * width // 255, 0, 255)
        apart = ciede2000(lab_of_light(np.array([colour]) / 255.0), lab_of_light(others / 255.0))
        near = others[apart <= (5.0 if far else 1.0)]
        assert ((near >= low) & (near <= high)).all(), (colour, low, high)
        seen += len(near)
    assert seen > 1000
