"""Seeded faults: one line of a pack or a header is broken in a copy of grammars/, and the check that must see it does.

A pack is read in both directions, so that an error in it that loses nothing is undone when the new text is read back:
the move's own proof (`measured`) cannot see it, by construction. What is compiled with headers that know no pack can:
`compiled` plays source and output as both controllers would, `drawn` holds the renderer against the source's own
controller. An error that loses something is seen by `measured` alone. See tests/fault_outcome.py.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from migrate.native import Toolchain

ROOT = Path(__file__).resolve().parents[2]
DEMO = "corpora/demo/lantern_quay.h"


@dataclass(frozen=True)
class Fault:
    """One line broken, the check that must see it, and the styles that must come out wrong."""

    name: str
    file: str
    right: str
    wrong: str
    check: str
    styles: tuple[str, ...]
    path: str = DEMO
    target: str = "wick3"

    def __str__(self) -> str:
        return f"{self.name}, seen by {self.check}"


FAULTS = (
    # An equation or a unit that is wrong and loses nothing: the output is wrong, and reads back as what was meant.
    Fault("pixels read as per mille", "wick2/generation.pack", "is length_px      0..65535", "is length_mil 0..65535",
          "compiled", ("harbour_watch",)),
    Fault("pixels a second read as per mille", "wick2/generation.pack", "is speed_px ", "is speed_mil ",
          "compiled", ("harbour_watch",)),
    Fault("duty read as sRGB-coded", "wick2/paints.pack", "means    duty(red", "means    srgb(red",
          "compiled", ("toll_stick",)),
    Fault("bands that travel the wrong way", "wick3/paints.pack", "means    bands(width, speed, paints, hard)",
          "means    bands(width, -1 * speed, paints, hard)", "compiled", ("harbour_watch",)),
    Fault("sway as a triangle", "wick2/paints.pack", "lfo(sine, period)", "lfo(triangle, period)",
          "compiled", ("foghorn",)),
    Fault("the fade of a blast as a burst", "wick2/styles.pack", "upon(blast, hit(0 ms, fade))",
          "upon(blast, burst(fade))", "compiled", ("ferrymans_blade",)),
    Fault("the collar at the tip", "wick2/styles.pack", "over(colour, hilt(reach))", "over(colour, tip(reach))",
          "compiled", ("fog_bank",)),
    Fault("the weight of dim inverted", "wick2/paints.pack", "shade(inner, constant(level))",
          "shade(inner, inverse(constant(level)))", "compiled", ("wings_marker",)),
    Fault("up and down of power exchanged", "wick3/sheets.pack", "means    power(rise, fall)",
          "means    power(fall, rise)", "compiled", ("drowned_bell",)),
    Fault("a flicker for each pixel", "wick2/paints.pack", "noise(hold, rate, whole)", "noise(hold, rate, each)",
          "compiled", ("low_wick",)),
    # The same, where it is the source's own drawing that is held against its controller.
    Fault("a clash that holds for 60 ms", "wick2/styles.pack", "hold: ms = 80", "hold: ms = 60",
          "drawn", ("low_wick",)),
    Fault("ticks of 10 ms", "wick1/generation.pack", "is time of 20000", "is time of 10000",
          "drawn", ("bell_rope",), "corpora/wick1/bell_tower.h"),
    Fault("a tick generation drawn at every frame", "wick1/generation.pack", "clock     tick", "clock     frame",
          "drawn", ("bell_rope",), "corpora/wick1/bell_tower.h"),
    Fault("linear light drawn with eight bits", "wick3/generation.pack", "mixing    sixteen", "mixing    eight_round",
          "drawn", (), "corpora/wick3/lamp_room.h"),
    Fault("added light laid over", "wick3/sheets.pack", "means    plus(p, w)", "means    over(p, w)",
          "drawn", (), "corpora/wick3/lamp_room.h"),
    Fault("a ramp that mixes in linear light", "wick4/paints.pack", "ramp(paints: paint..., space@in: space = oklab)",
          "ramp(paints: paint..., space@in: space = linear)", "drawn", (), "corpora/wick4/lamps.h"),
    Fault("a soft noise that is held", "wick4/signals.pack", "kind soft\n  means    soft", "kind soft\n  means    hold",
          "drawn", (), "corpora/wick4/lamps.h"),
    # A header that is wrong, against packs that are right.
    Fault("a header whose clash holds for 60 ms", "wick2/include/wick2_sleeves.h", "class C, long long MS = 80>",
          "class C, long long MS = 60>", "drawn", ("low_wick",)),
    Fault("a header whose bands stand still", "wick2/include/wick2_paints.h", "int(sizeof...(P)), PX, PXS);",
          "int(sizeof...(P)), PX, 0);", "compiled", ("harbour_watch",)),
    Fault("a header that decodes sRGB with 2.2", "wick3/include/wick/bench.h", "1.055, 2.4)", "1.055, 2.2)",
          "drawn", (), "corpora/wick3/lamp_room.h"),
    # An equation or a range that loses something: the target can no longer say it, and the move's own proof shows it.
    Fault("every burst lasts 80 ms", "wick3/signals.pack", "means    burst(duration)", "means    burst(80 ms)",
          "measured", ("toll_stick",)),
    Fault("a fall that takes as long as the rise", "wick3/sheets.pack", "means    power(rise, fall)",
          "means    power(rise, rise)", "measured", ("drowned_bell",)),
    Fault("a wipe that dissolves", "wick3/transitions.pack", "means    wipe(duration, soft)",
          "means    dissolve(duration)", "measured", ("toll_stick",)),
    Fault("no noise above 60 Hz", "wick3/generation.pack", "1..1000", "1..60", "measured", ("gale_lantern",)),
)  # fmt: skip


def _run(fault: Fault, grammars: Path) -> dict[str, Any]:
    command = [sys.executable, "-m", "tests.fault_outcome", fault.check, fault.path, fault.target, *fault.styles]
    environment = {**os.environ, "REHILT_GRAMMARS": str(grammars), "PYTHONPATH": str(ROOT)}
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def _copy(to: Path) -> Path:
    return Path(shutil.copytree(ROOT / "grammars", to / "grammars", ignore=shutil.ignore_patterns("style")))


@pytest.mark.parametrize("fault", FAULTS, ids=str)
def test_a_seeded_fault_is_seen(fault: Fault, tmp_path: Path) -> None:
    if fault.check != "measured" and Toolchain.find() is None:
        pytest.skip("no C++ compiler (g++ or clang++) on the path: compiled styles cannot be tested")
    grammars = _copy(tmp_path)
    broken = grammars / fault.file
    text = broken.read_text("utf-8")
    assert fault.right in text, f"{fault.file} no longer says {fault.right!r}"
    broken.write_text(text.replace(fault.right, fault.wrong), "utf-8")
    found = _run(fault, grammars)
    assert found, "nothing came out wrong"
    assert set(fault.styles) <= set(found)
    for seen in found.values():
        if fault.check == "drawn":
            assert seen["steps"] > 1
        else:
            assert seen["scene"] == "probe" and seen["frame"] is not None


@pytest.mark.parametrize("check", ["measured", "compiled", "drawn"])
def test_without_a_fault_the_checks_see_nothing(check: str, tmp_path: Path) -> None:
    """The same checks over the same copy, unbroken: else the tests above would show nothing."""
    if check != "measured" and Toolchain.find() is None:
        pytest.skip("no C++ compiler (g++ or clang++) on the path: compiled styles cannot be tested")
    seen = {(f.path, f.target) for f in FAULTS if f.check == check}
    for path, target in sorted(seen):
        assert _run(Fault("nothing", "", "", "", check, (), path, target), _copy(tmp_path / path)) == {}
