"""The table of false friends: one name, two meanings, in two generations.

For each: what the older text looks like when it is taken for the newer one's, as somebody does who copies it and sees
that it compiles. The render must catch it, a `differs` line in the packs must warn of it, and the move must not fall
into it.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from migrate.compare.figures import Tolerance, compare, within
from migrate.diagnostics import Diagnostic
from migrate.ir.dump import rounding
from migrate.packs.library import library
from migrate.pipeline import CLOSE_ROUNDING, Options, Reading, frames_of, meaning, move, read, scene_named
from migrate.source import SourceFile

HEAD = "constexpr int blade_pixels = 132;\nconstexpr int pixels_per_metre = 144;\n"


@dataclass(frozen=True)
class Friend:
    """`text` in the older generation; `naive` is how the newer one is misled (the same text, where it reads both).

    `at_least` is a figure measured here that the naive reading must show: the largest aligned CIEDE2000, or with
    `by="edge_ms"` the error of an event's edge; with `by="plain"` the largest difference cell against cell.
    """

    name: str
    older: str
    newer: str
    text: str
    naive: str = ""
    by: str = "largest"
    at_least: float = 5.0


FRIENDS = (
    Friend("rgb", "wick2", "wick3", "rgb<140, 70, 20>"),
    Friend("bands", "wick2", "wick3", "bands<12, 48, rgb<255, 0, 0>, rgb<255, 255, 255>>"),
    Friend("ramp", "wick3", "wick4", "ramp<rgb<255, 0, 0>, rgb<0, 0, 255>>"),
    Friend("ramp", "wick2", "wick4", "ramp<rgb<255, 0, 0>, rgb<0, 0, 255>>"),
    Friend("blend", "wick3", "wick4", "blend<rgb<255, 0, 0>, rgb<0, 0, 255>, lfo<sine, 900>>",
           "blend<rgb<255, 0, 0>, rgb<0, 0, 255>, by<lfo<sine, period<ms<900>>>>>"),
    Friend("flip", "wick1", "wick2", "flip<0xFF0000, 0x0000FF, 25>", "flip<rgb<255, 0, 0>, rgb<0, 0, 255>, 25>"),
    Friend("hearth", "wick2", "wick3", "hearth<rgb<255, 0, 0>, rgb<255, 255, 0>, 20>"),
    Friend("clash_sleeve", "wick2", "wick3", "clash_sleeve<rgb<255, 0, 0>, rgb<255, 255, 255>>", by="plain"),
)  # fmt: skip
IDS = [f"{f.name}, {f.older} read as {f.newer}" for f in FRIENDS]


def reading(text: str, name: str) -> Reading:
    source = SourceFile("friend.h", f"{HEAD}using friend_ = {text};\n".encode())
    found = read(source, Options(name, reading=name))
    assert not isinstance(found, Diagnostic) and not found.diagnostics, found
    return found


@pytest.mark.parametrize("friend", FRIENDS, ids=IDS)
def test_the_naive_reading_is_seen(friend: Friend) -> None:
    scene = scene_named("probe")
    frames = [
        frames_of(r.lifted["friend_"], r, scene)
        for r in (reading(friend.text, friend.older), reading(friend.naive or friend.text, friend.newer))
    ]
    figures = compare(frames[0], frames[1], scene.rate, [(e.event, e.start) for e in scene.events])
    measured = {"largest": figures.largest, "edge_ms": figures.edge_ms, "plain": figures.plain_largest}[friend.by]
    assert measured > friend.at_least, figures
    # 60 ms against 80 ms is just what the tolerance forgives: only cell against cell shows it, and the meaning.
    assert friend.by == "plain" or not within(figures, Tolerance())


@pytest.mark.parametrize("friend", FRIENDS, ids=IDS)
def test_the_meanings_of_the_two_readings_are_not_alike(friend: Friend) -> None:
    forms = [
        meaning(r.lifted["friend_"].raw, r.blade, False)
        for r in (reading(friend.text, friend.older), reading(friend.naive or friend.text, friend.newer))
    ]
    off = rounding(forms[0], forms[1])
    assert off is None or off > CLOSE_ROUNDING


@pytest.mark.parametrize("friend", FRIENDS, ids=IDS)
def test_the_move_does_not_fall_into_the_trap(friend: Friend) -> None:
    before = reading(friend.text, friend.older)
    moved = move(before.parsed.source, Options(friend.newer, reading=friend.older, prove=False))
    after = read(SourceFile("friend.h", moved.text), Options(friend.newer, reading=friend.newer))
    assert not isinstance(after, Diagnostic) and not after.diagnostics, moved.text.decode()
    stepless = "tick" in (before.generation.arithmetic.clock, after.generation.arithmetic.clock)
    forms = [meaning(r.lifted["friend_"].raw, r.blade, stepless) for r in (before, after)]
    off = rounding(forms[0], forms[1])
    assert off is not None and off <= CLOSE_ROUNDING, moved.text.decode()


def test_an_argument_that_the_other_generation_does_not_have_is_refused() -> None:
    """The one friend that no wrong picture can come of: wick 1's hearth has no grain to give."""
    text = "hearth<0xFF3000, 0xFFB040, 20>"
    found = read(SourceFile("friend.h", f"typedef {text} friend_;\n".encode()), Options("wick1", reading="wick1"))
    assert not isinstance(found, Diagnostic)
    assert [d.code for d in found.diagnostics] == ["wrong-argument-count"]


def warnings() -> set[tuple[str, frozenset[str]]]:
    """Every `differs` line of the packs: the construct's name and the two generations."""
    return {
        (construct.name, frozenset((generation.name, other)))
        for generation in library().values()
        for group in generation.constructs.values()
        for construct in group
        if construct.origin == generation.name
        for other, _ in construct.differs
    }


@pytest.mark.parametrize("friend", FRIENDS, ids=IDS)
def test_the_packs_warn_of_the_friend(friend: Friend) -> None:
    assert (friend.name, frozenset((friend.older, friend.newer))) in warnings()


def test_every_warning_of_the_packs_is_in_the_table() -> None:
    table = {(f.name, frozenset((f.older, f.newer))) for f in FRIENDS}
    refused = {("hearth", frozenset(("wick1", "wick2")))}
    assert warnings() == table | refused
