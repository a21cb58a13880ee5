"""A short scene on a short blade, with every event and every sensor, for laws that render hundreds of styles."""

from __future__ import annotations

from migrate.diagnostics import Diagnostic
from migrate.ir.facts import Blade
from migrate.render.scene import Scene
from migrate.render.scene_reader import read_scene

BLADE = Blade(24, 60)
_TEXT = """
duration 1.2 s
rate 50/s
at 40 ms ignite place 0 strength 1
at 260 ms clash place 0.5 strength 0.8
at 300 ms clash place 0.3 strength 0.4
at 420 ms blast place 0.35 strength 1
from 500 ms to 620 ms lock place 0.4
from 640 ms to 760 ms drag place 1
from 780 ms to 900 ms melt place 0.95
at 940 ms retract place 0 strength 1
at 1000 ms ignite place 0 strength 0.5
at 1080 ms retract place 0 strength 0.5
swing: 0 s 0, 300 ms 520, 600 ms -90
tilt:  0 s -40, 500 ms 85, 900 ms 20
twist: 0 s 0, 500 ms 170, 501 ms -170, 1 s 0
sound: 0 s 0, 60 ms 0.9, 400 ms 0.35, 401 ms 1, 900 ms 0.1
"""


def small_scene() -> Scene:
    """The scene; 60 frames."""
    scene = read_scene(_TEXT, "small")
    assert not isinstance(scene, Diagnostic), scene
    return scene
