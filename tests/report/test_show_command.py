"""`show` and `move --report --pictures` from the command line."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from migrate.cli import main
from migrate.pipeline import Options, frames_of, read, scene_named
from migrate.report.pictures import srgb_codes, timeline_grid
from migrate.resources import demo_path
from migrate.source import SourceFile

DEMO = str(demo_path("lantern_quay.h"))


def run(*arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, list(arguments))
    return result.exit_code, result.output


def test_a_still_picture_shows_the_frames_at_an_exposure(tmp_path: Path) -> None:
    path = tmp_path / "x.png"
    code, said = run("show", DEMO, "wings_marker", "-o", str(path), "--exposure", "4")
    assert code == 0 and "900 frames of 132 pixels" in said
    reading = read(SourceFile(DEMO, Path(DEMO).read_bytes()), Options(""))
    frames = frames_of(reading.lifted["wings_marker"], reading, scene_named("probe"))  # type: ignore[union-attr]
    x, y = timeline_grid(900, 132).point(450, 70)
    drawn = np.asarray(Image.open(path))[y, x].tolist()
    assert drawn == srgb_codes(frames[450, 70] / 255.0 * 4).tolist() and drawn[1] > 100


def test_before_and_after_tell_their_difference(tmp_path: Path) -> None:
    path = tmp_path / "x.png"
    code, said = run("show", DEMO, "foghorn", "--to", "wick3", "-o", str(path))
    assert code == 0 and "wick2 against wick3: ΔE 95 % 0." in said
    assert Image.open(path).width > 1400


@pytest.mark.parametrize("ending", ["gif", "apng", "webp"])
def test_the_ending_picks_a_moving_picture(tmp_path: Path, ending: str) -> None:
    scene = tmp_path / "short.scene"
    scene.write_text("duration 200 ms\nrate 50/s\nblade 12 pixels at 144/m\nat 0 ms ignite\n")
    path = tmp_path / f"x.{ending}"
    code, said = run("show", DEMO, "foghorn", "--scene", str(scene), "-o", str(path))
    assert code == 0, said
    with Image.open(path) as moving:
        assert getattr(moving, "n_frames", 1) > 1 and moving.info["loop"] == 0


def test_a_strip_in_plain_characters_when_there_is_no_terminal() -> None:
    code, said = run("show", DEMO, "foghorn", "--strip")
    assert code == 0 and "\x1b" not in said and "ignite" in said and len(said.splitlines()) > 20


def test_two_files_beside_each_other_must_both_have_the_style(tmp_path: Path) -> None:
    other = tmp_path / "other.h"
    other.write_text("#include <wick2.h>\nusing only = rgb<1, 2, 3>;\n")
    code, said = run("show", DEMO, "foghorn", "--beside", str(other), "-o", str(tmp_path / "x.png"))
    assert code != 0 and "no style `foghorn` to set beside it" in said


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("nobody",), "no style `nobody`"),
        (("foghorn", "--scene", "nowhere"), "these ship: evening, probe"),
        (("foghorn", "-o", "x.jpg"), "no picture ends in `.jpg`"),
        (("foghorn", "--to", "wick3", "--beside", "y.h"), "exclude each other"),
        (("foghorn", "--to", "wick9"), "no generation `wick9`"),
    ],
)
def test_wrong_use_is_told_in_words(arguments: tuple[str, ...], said: str) -> None:
    code, output = run("show", DEMO, *arguments)
    assert code != 0 and said in output and "Traceback" not in output


def test_move_writes_a_report_and_pictures(tmp_path: Path) -> None:
    small = tmp_path / "small.h"
    small.write_text(
        '#define WICK_GENERATION 2\n#include "wick2.h"\nconstexpr int blade_pixels = 24;\n'
        "using quay = power_sleeve<rgb<255, 120, 40>, 300, 450>;\n"
    )
    report, pictures = tmp_path / "r.html", tmp_path / "pictures"
    code, said = run("move", str(small), "--to", "wick3", "--report", str(report), "--pictures", str(pictures))
    assert code == 0, said
    assert ">quay</h3>" in report.read_text("utf-8")
    assert [p.name for p in pictures.iterdir()] == ["quay.png"]
