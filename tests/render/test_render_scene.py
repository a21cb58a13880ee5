from __future__ import annotations

import subprocess
import sys
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest

from migrate.diagnostics import Diagnostic, explain
from migrate.ir.facts import Blade
from migrate.ir.nodes import HELD_EVENTS, INSTANT_EVENTS
from migrate.render.scene import SENSORS, Occurrence, Scene, blade_for
from migrate.render.scene_reader import read_scene
from migrate.resources import grammar_path
from migrate.source import SourceFile

HEAD = "duration 1 s\nrat"


def shipped(name: str) -> Scene:
    read = read_scene(grammar_path("scenes", f"{name}.scene").read_text("utf-8"), name)
    assert isinstance(read, Scene)
    return read


def test_a_scene_reads_as_written() -> None:
    text = """// a test
duration 1.5 s  // and a half
rate 60/s
blade 100 pixels at 143.5/m
at 250 ms blast strength 0.5 place 0.25
at 0.1 s ignite
from 0.5 s to 700 ms lock place 0.4
swing: 0 s 0, 100 ms -45.5,
       200 ms 0
"""
    assert read_scene(text, "own") == Scene(
        "own",
        1_500_000,
        60,
        100,
        Fraction(287, 2),
        (
            Occurrence("ignite", 100_000, None, 0.0, 1.0),
            Occurrence("blast", 250_000, None, 0.25, 0.5),
            Occurrence("lock", 500_000, 700_000, 0.4, 1.0),
        ),
        {"swing": ((0, 0.0), (100_000, -45.5), (200_000, 0.0))},
    )


def test_crlf_and_no_final_newline_read_alike() -> None:
    text = "duration 1 s\nrate 50/s\nat 0 s clash"
    assert read_scene(text, "a") == read_scene(text.replace("\n", "\r\n"), "a") == read_scene(text + "\n", "a")


def test_frames_are_whole_divisions_of_a_second_and_end_before_the_duration() -> None:
    scene = Scene("a", 50_000, 60, None, None, (), {})
    assert scene.times.tolist() == [0, 16_666, 33_333]  # frame 3 would be at 50 000, which is not before the end
    assert Scene("a", 50_001, 60, None, None, (), {}).frames == 4


def test_a_configs_blade_comes_before_the_scenes_and_that_before_132_at_144() -> None:
    asked = Scene("a", 1, 1, 100, 60, (), {})
    free = Scene("a", 1, 1, None, None, (), {})
    assert blade_for(asked, Blade(90, 72)) == Blade(90, 72)
    assert blade_for(asked, Blade(None, None)) == Blade(100, 60)
    assert blade_for(free, Blade(None, 72)) == Blade(132, 72)
    assert blade_for(free, Blade()) == Blade(132, 144)


@pytest.mark.parametrize(
    ("text", "place", "expected"),
    [
        ("duration 3.6\nrate 250/s\n", "1:13", "a unit of time: s or ms"),
        ("duration 1 s\nrat 250/s\n", "2:1", "duration, rate, blade, at, from, or a sensor"),
        ("duration 1 s\nrate 9/s\nat 1 s bast place 0.3\n", "3:8", "an instant event: ignite, retract, clash or blast"),
        ("at 1 s blast plce 0.3\n", "1:14", "place or strength"),
        ("at 1 s blast place 0.3 0.4\n", "1:24", "place or strength"),
        ("from 1 s until 2 s lock\n", "1:10", "to"),
        ("from 1 s to 2 s clash\n", "1:17", "a held event: lock, drag or melt"),
        ("from 1 s to 2 s lock strength 1\n", "1:22", "place"),
        ("swing: 0 s 0, 3 x 3\n", "1:17", "a unit of time"),
        ("blade 132 at 144/m\n", "1:11", "pixels"),
        ("blade 132 pixels at 144\n", "1:24", "/m"),
        ("// ok\né\n", "2:1", "duration, rate"),
    ],
)
def test_what_cannot_be_read_is_named_by_line_column_and_what_was_expected(
    text: str, place: str, expected: str
) -> None:
    wrong = read_scene(text, "x")
    assert isinstance(wrong, Diagnostic)
    assert wrong.code == "scene-syntax"
    assert f"expected {expected}" in wrong.message
    assert explain(SourceFile("x.scene", text.encode()), wrong).startswith(f"x.scene:{place}: error")


@pytest.mark.parametrize(
    ("text", "code", "at"),
    [
        ("duration 1 s\nrate 9/s\nat 1 s blast place 3\n", "scene-range", "3"),
        ("duration 1 s\nrate 2.5/s\n", "scene-range", "2.5"),
        ("duration 0 s\nrate 2/s\n", "scene-range", "duration 0 s"),
        ("duration 700 s\nrate 2/s\n", "scene-range", "700 s"),
        ("sound: 0 s 1.5\n", "scene-range", "1.5"),
        ("at 1 s clash place 0 place 1\n", "scene-repeated", "place 1"),
        ("rate 9/s\nrate 9/s\n", "scene-repeated", "rate 9/s"),
        ("from 2 s to 2.000 s lock\n", "scene-order", "2.000 s"),
        ("tilt: 2 s 0, 1 s 0\n", "scene-order", "1 s"),
        ("rate 9/s // no duration\n", "scene-missing", ""),
        ("", "scene-missing", ""),
    ],
)
def test_what_means_nothing_is_refused_where_it_stands(text: str, code: str, at: str) -> None:
    wrong = read_scene(text, "x")
    assert isinstance(wrong, Diagnostic)
    assert (wrong.code, text.encode()[wrong.span.start : wrong.span.end].decode()) == (code, at)


@pytest.mark.parametrize(
    "text", ["\0", "\ufeffduration 1 s", "9" * 5000, "at " * 2000, "duration " + "9" * 9000 + " s", "\udc80"]
)
def test_no_text_makes_a_traceback(text: str) -> None:
    assert isinstance(read_scene(text, "x"), Diagnostic)


def test_a_scene_of_many_events_reads() -> None:
    text = "duration 100 s\nrate 9/s\n" + "".join(f"at {k} ms clash\n" for k in range(2000))
    read = read_scene(text, "x")
    assert isinstance(read, Scene) and len(read.events) == 2000


def test_the_probe_is_short_and_touches_every_event_and_every_sensor_and_its_ends() -> None:
    probe = shipped("probe")
    assert (probe.rate, probe.pixels) == (250, None)
    assert probe.duration <= 4_000_000
    assert {one.event for one in probe.events} == {*INSTANT_EVENTS, *HELD_EVENTS}
    assert set(probe.sensors) == set(SENSORS)
    values = {name: [value for _, value in curve] for name, curve in probe.sensors.items()}
    assert max(values["swing"]) > 450 and min(values["swing"]) < -450 and 0 in values["swing"]
    assert (min(values["tilt"]), max(values["tilt"])) == (-90, 90)
    assert (min(values["twist"]), max(values["twist"])) == (-180, 180)
    assert (min(values["sound"]), max(values["sound"])) == (0, 1)


def test_the_probe_restarts_a_clash_overlaps_two_blasts_and_turns_back_a_retraction() -> None:
    probe = shipped("probe")
    starts = {name: [one.start for one in probe.all(name)] for name in INSTANT_EVENTS}
    assert 0 < starts["clash"][1] - starts["clash"][0] < 60_000
    assert 0 < starts["blast"][1] - starts["blast"][0] < 300_000
    assert len({one.place for one in probe.all("blast")}) == 2
    assert len({one.strength for one in probe.events}) > 2
    assert starts["retract"][0] < starts["ignite"][1] < starts["retract"][1]


def test_the_probe_rests_between_what_is_held() -> None:
    probe = shipped("probe")
    held = [one for one in probe.events if one.end is not None]
    gaps = [b.start - (a.end or 0) for a, b in pairwise(held)]
    assert min(gaps) >= 100_000


def test_the_evening_is_for_showing() -> None:
    evening = shipped("evening")
    assert evening.duration >= 10_000_000
    assert {one.event for one in evening.events} == {*INSTANT_EVENTS, *HELD_EVENTS}


def test_importing_the_reader_loads_neither_parsimonious_nor_numpy() -> None:
    code = "import sys, migrate.render.scene_reader; print('parsimonious' in sys.modules, 'numpy' in sys.modules)"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.split() == ["False", "False"]


def test_times_are_sixty_four_bit_integers() -> None:
    assert shipped("probe").times.dtype == np.int64
