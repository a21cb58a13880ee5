"""Comments that speak to the tool, in `spot` and in `move`."""

from __future__ import annotations

from pathlib import Path

import pytest

from migrate.pipeline import Options, move
from migrate.source import SourceFile
from migrate.spotting import SpotOptions, spot

MIXED = Path(__file__).resolve().parents[2] / "corpora" / "mixed"
READ_AS = SourceFile("config.h", (MIXED / "config_read_as_written.h").read_bytes())
LEAVE = SourceFile("config.h", (MIXED / "config_leave_alone.h").read_bytes())


@pytest.mark.parametrize("target", ["wick3", "wick4"])
def test_a_move_keeps_the_look_that_a_style_had_where_it_was_written(target: str) -> None:
    moved = move(READ_AS, Options(target))
    assert {s.name: (s.origin, s.grade) for s in moved.styles}["harbour_watch"] == ("wick2", "close")
    assert b"rehilt: read as" not in moved.text  # the look is in the code now


def test_the_same_words_without_the_comment_keep_todays_look() -> None:
    text = move(READ_AS, Options("wick3")).text
    pasted, here = text.split(b"using river_watch")
    assert b"bands<91, 364, duty<255, 120, 40>, duty<190, 80, 20>>" in pasted
    assert b"burst<80>" in pasted
    assert b"bands<91, 364, rgb<255, 120, 40>, rgb<190, 80, 20>>" in here
    assert b"burst<60>" in here


def test_moving_again_changes_nothing() -> None:
    once = move(READ_AS, Options("wick3")).text
    assert move(SourceFile("config.h", once), Options("wick3")).text == once


def test_what_is_to_be_left_alone_stays_byte_for_byte() -> None:
    moved = move(LEAVE, Options("wick3"))
    assert moved.text == LEAVE.data
    assert [d.code for d in moved.diagnostics] == ["left-alone"] * 3


def test_spot_does_not_speak_of_what_is_left_alone_and_tells_a_comment_that_leaves_nothing() -> None:
    spotted = spot(LEAVE, SpotOptions(measure=False))
    assert not any("harbour_watch" in d.message for d in spotted.diagnostics)
    (unused,) = [d for d in spotted.diagnostics if d.code == "unused-leave"]
    assert LEAVE.place(unused.span.start)[0] == 18


def test_a_comment_that_names_no_generation_is_an_error() -> None:
    text = READ_AS.data.replace(b"read as wick2", b"read as wick9")
    moved = move(SourceFile("config.h", text), Options("wick3"))
    assert "unknown-generation" in [d.code for d in moved.diagnostics]
    assert moved.exit == 2


def test_a_comment_behind_an_argument_speaks_of_that_argument_alone() -> None:
    spotted = spot(LEAVE, SpotOptions(measure=False))
    inside = [m for m in spotted.marks if m.inside]
    assert [LEAVE.text(m.target)[:6] for m in inside if m.target] == ["dapple"]
