"""Meanings are tried against frames: the firmware's own, compiled, and recorded ones. A wrong meaning is found out."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest

from migrate.packs.trial import TrialError, read_frames, run
from tests.packs.tutorial import FOLDER

NO_COMPILER = shutil.which("g++") is None and shutil.which("clang++") is None
PLAYED = {"scene": "probe", "pixels": 132, "pitch": 144, "rate": None, "frames": None, "style": None}
MARRAM = {**PLAYED, "include_dirs": (FOLDER / "marram1",), "adapter": FOLDER / "adapter.h"}
RECORDED = "Wield<200, 150, Guard<60, Dye<255, 255, 255>, Dye<40, 120, 255>>>"


def tried(*constructs: str, packs: Path = FOLDER / "packs", **more: object) -> list[tuple[str, int]]:
    return list(run("marram1", constructs, packs=(packs,), **{**MARRAM, **more}))  # type: ignore[arg-type]


def spoilt(where: Path, before: str, after: str) -> Path:
    """The pack with one meaning made wrong."""
    folder = where / "marram1"
    folder.mkdir()
    text = (FOLDER / "packs" / "marram1" / "marram1.pack").read_text("utf-8")
    assert text.count(before) == 1
    (folder / "marram1.pack").write_text(text.replace(before, after), "utf-8")
    return where


@pytest.mark.skipif(NO_COMPILER, reason="no C++ compiler")
def test_meanings_agree_with_the_firmware_and_what_has_none_is_unmeasured() -> None:
    lines = tried("Breathe", "OnDeflected", "Stripes", "Wield", "Shimmer")
    assert [status for _, status in lines] == [0] * 5
    assert sum(": agrees, at most " in line for line, _ in lines) == 4
    assert sum(": unmeasured, " in line for line, _ in lines) == 1


@pytest.mark.skipif(NO_COMPILER, reason="no C++ compiler")
@pytest.mark.parametrize(
    ("construct", "before", "after"),
    [
        ("Guard", "over(colour, hilt(degrees))", "over(colour, tip(degrees))"),
        ("Stripes", "list(b, a), hard)", "list(a, b), hard)"),
        ("Breathe", "lfo(sine, bpm)", "lfo(triangle, bpm)"),
        ("Breathe", "first_pixel tip", "first_pixel hilt"),
    ],
)
def test_a_wrong_meaning_is_found_out(construct: str, before: str, after: str, tmp_path: Path) -> None:
    wanted = "Guard" if "first_pixel" in before else construct
    ((line, status),) = tried(wanted, packs=spoilt(tmp_path, before, after))
    assert status == 1
    assert ": differs, dE " in line and "the meaning [" in line


@pytest.mark.skipif(NO_COMPILER, reason="no C++ compiler")
def test_what_does_not_compile_is_said_in_the_compilers_words() -> None:
    with pytest.raises(TrialError, match="does-not-compile"):
        tried("Breathe", include_dirs=())


def test_recorded_frames_agree_and_wrong_ones_do_not(tmp_path: Path) -> None:
    path = FOLDER / "recorded" / "guard_12_pixels.csv"
    ((line, status),) = tried(frames=path, style=RECORDED, rate=50)
    assert (status, ": agrees, " in line) == (0, True)
    frames = read_frames(path)
    np.save(tmp_path / "turned.npy", frames[:, ::-1])
    ((line, status),) = tried(frames=tmp_path / "turned.npy", style=RECORDED, rate=50)
    assert (status, ": differs, " in line) == (1, True)


@pytest.mark.parametrize("text", ["", "1,2\n", "1,2,x\n", "1,2,300\n"])
def test_files_that_hold_no_frames_are_refused(text: str, tmp_path: Path) -> None:
    (tmp_path / "frames.csv").write_text(text)
    with pytest.raises(TrialError):
        tried(frames=tmp_path / "frames.csv", style=RECORDED)


@pytest.mark.parametrize("style", ["Wield<200,", "1; }", "Nothing<1>", "Dye<1, 2, 3>; using x = Dye<1, 2, 3>"])
def test_only_what_reads_as_one_style_is_ever_compiled(style: str) -> None:
    with pytest.raises(TrialError):
        tried(style=style)
