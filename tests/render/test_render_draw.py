from __future__ import annotations

import ast
import typing
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import migrate.render
from migrate.ir import nodes as ir
from migrate.ir.facts import Arithmetic, Blade
from migrate.render import dispatch, draw
from migrate.render.context import Context
from migrate.render.power import play
from migrate.render.scene_reader import read_scene
from migrate.resources import grammar_path


def grey(code: int) -> ir.Colour:
    return ir.Colour("duty", (code, code, code))


def layered() -> ir.Style:
    """A dozen layers that use time, place, events, sensors, noise and memory."""

    def mil(value: int) -> ir.Length:
        return ir.Length(value, "mil")

    ground = ir.Bands(mil(100), ir.Speed(200, "mil"), (grey(200), grey(30), ir.Colour("srgb", (0, 40, 200))))
    weights: tuple[ir.Signal, ...] = (
        ir.Product((ir.Const(Fraction(1, 2)), ir.Lfo("sine", 1_200_000))),
        ir.Hilt(mil(120)),
        ir.Noise("soft", 50_000, ir.Grain("whole")),
        ir.Swing(450),
        ir.Product((ir.Upon("lock", ir.Held(0, 100_000)), ir.Near(ir.PlaceOf("lock"), mil(300)))),
        ir.Upon("clash", ir.Burst(80_000)),
        ir.Product((ir.Upon("blast", ir.Hit(0, 300_000)), ir.Near(ir.PlaceOf("blast"), mil(70)))),
        ir.Product((ir.Upon("drag", ir.Held(0, 0)), ir.Tail(mil(100)))),
        ir.Trail(ir.Upon("melt", ir.Hit(0, 90_000)), 200_000),
        ir.EdgeBand(mil(40)),
        ir.Slew(ir.Sound(), 100_000, 300_000),
        ir.Scatter("blast", ir.Hit(0, 300_000), 9, mil(200)),
    )
    paints = [ir.Colour("srgb", (255 - 9 * k, 20 * k, 100)) for k in range(len(weights))]
    sheets = tuple(
        ir.Sheet("plus" if k == 2 else "over", p, w) for k, (p, w) in enumerate(zip(paints, weights, strict=True))
    )
    return ir.Style(ground, sheets, ir.Power(ir.Wipe(300_000), ir.Wipe(450_000)))


def probe() -> Any:
    return read_scene(grammar_path("scenes", "probe.scene").read_text("utf-8"), "probe")


ARITHMETICS = [
    Arithmetic("tick", "eight_floor"),
    Arithmetic("frame", "eight_round"),
    Arithmetic("frame", "sixteen"),
    Arithmetic("frame", "real"),
]


@pytest.mark.parametrize("arithmetic", ARITHMETICS, ids=lambda a: a.mixing)
def test_frames_are_duties_of_the_blade_and_the_same_every_time(arithmetic: Arithmetic) -> None:
    one = draw.render(layered(), arithmetic, probe(), Blade())
    assert one.shape == (900, 132, 3) and one.dtype == np.uint8 and one.flags.c_contiguous
    assert one.any()
    assert (one == draw.render(layered(), arithmetic, probe(), Blade())).all()


def plainly(style: ir.Style, arithmetic: Arithmetic, scene: Any, blade: Blade) -> Any:
    """The frames, with everything evaluated in every frame, seen or not, and laid on all frames at once."""
    ctx = Context(scene, blade, arithmetic, style.power)
    picture = ctx.paint(style.ground)
    for sheet in style.sheets:
        light, weight = ctx.paint(sheet.paint), ctx.signal(sheet.weight)
        mix = ctx.mixing.mix if sheet.operator == "over" else ctx.mixing.plus
        picture = mix(picture, light, weight, sheet.weight)
    if style.power is not None:
        picture = play(ctx, style.power, picture)
    duties = np.broadcast_to(ctx.mixing.duties(picture), (3, len(ctx.t), ctx.pixels))
    return np.moveaxis(duties, 0, 2)


def seldom_seen() -> ir.Style:
    """Noises and memories in paints that events show, in a ground that blends, and in a chain."""
    mil = ir.Length(80, "mil")
    each = ir.Noise("hold", 50_000, ir.Grain("each"))
    fire = ir.Hearth(grey(0), ir.Colour("srgb", (255, 90, 0)), mil, ir.Speed(300, "mil"))
    tired = ir.Blend(grey(10), grey(240), ir.Slew(ir.Product((each, ir.Along())), 90_000, 400_000))
    trailing = ir.Blend(
        fire, grey(60), ir.Trail(ir.Past(ir.Noise("drift", 20_000, ir.Grain("whole")), Fraction(1, 2)), 70_000)
    )
    never = ir.Upon("blast", ir.Burst(0))
    sheets = (
        ir.Sheet("over", fire, ir.Product((ir.Upon("clash", ir.Hit(0, 90_000)), each))),
        ir.Sheet("over", ir.Blend(fire, tired, each), ir.Product((never, each))),
        ir.Sheet("plus", tired, ir.Upon("lock", ir.Keys((ir.Key(0, each), ir.Key(200_000, ir.Const(0)))))),
        ir.Sheet("over", ir.Stepped(trailing), ir.Product((ir.Upon("drag", ir.Held(0, 90_000)), ir.Hilt(mil)))),
        ir.Sheet("plus", fire, ir.Scatter("blast", ir.Hit(0, 300_000), 9, mil)),
        ir.Sheet("over", grey(200), ir.EdgeBand(mil)),
    )
    rise = ir.Chain((ir.Rest(60_000), ir.Wipe(90_000), ir.Dissolve(50_000)), (tired, fire))
    return ir.Style(ir.Blend(fire, tired, ir.Lfo("square", 300_000)), sheets, ir.Power(rise, ir.Iris(200_000, 0)))


def hidden() -> ir.Style:
    """The same, and dark until it is lit."""
    return replace(seldom_seen(), power=ir.Power(ir.Rest(400_000), ir.Rest(90_000)))


@pytest.mark.parametrize("style", [layered, seldom_seen, hidden])
@pytest.mark.parametrize("arithmetic", ARITHMETICS, ids=lambda a: a.mixing)
def test_leaving_out_what_is_not_seen_changes_nothing(style: Callable[[], ir.Style], arithmetic: Arithmetic) -> None:
    frames = draw.render(style(), arithmetic, probe(), Blade(24))
    assert frames.any() and (frames == plainly(style(), arithmetic, probe(), Blade(24))).all()


def test_a_part_of_a_scene_is_the_start_of_the_whole(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    events = [("ignite", 5), ("blast", 20, 0.5)]
    short, long = scene(60, events=events), scene(90, events=events)
    assert (frames(layered(), long, 9)[:60] == frames(layered(), short, 9)).all()


def test_a_sheet_does_not_change_the_paint_of_another(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    fade = ir.Blend(grey(0), grey(200), ir.Product((ir.Along(), ir.Lfo("saw", 80_000))))
    flash = ir.Sheet("over", grey(255), ir.Upon("clash", ir.Burst(5_000)))
    again = ir.Sheet("over", fade, ir.Const(1))
    over = scene(80, events=[("clash", 10)])
    assert (frames(ir.Style(fade, (flash, flash, again)), over) == frames(ir.Style(fade), over)).all()


def test_the_order_of_sheets_is_the_order_of_painting(scene: Callable[..., Any], frames: Callable[..., Any]) -> None:
    sheets = (ir.Sheet("over", grey(9), ir.Const(1)), ir.Sheet("over", grey(8), ir.Const(Fraction(1, 2))))
    assert frames(ir.Style(grey(1), sheets), scene(1), 1)[0, 0, 0] == 9  # 8.5, half up
    assert frames(ir.Style(grey(1), sheets[::-1]), scene(1), 1)[0, 0, 0] == 9
    assert frames(ir.Style(grey(1), (sheets[1],)), scene(1), 1)[0, 0, 0] == 5  # 4.5


def test_equal_subtrees_without_noise_are_evaluated_once(
    scene: Callable[..., Any], frames: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    calls = {"lfo": 0, "noise": 0}

    def counting(name: str, kind: type) -> None:
        plain = dispatch.SIGNALS[kind]

        def function(ctx: Any, node: Any) -> Any:
            calls[name] += 1
            return plain(ctx, node)

        monkeypatch.setitem(dispatch.SIGNALS, kind, function)

    counting("lfo", ir.Lfo)
    counting("noise", ir.Noise)

    def sway() -> ir.Paint:
        return ir.Blend(grey(1), grey(9), ir.Lfo("sine", 90_000))

    noise = ir.Noise("hold", 50_000, ir.Grain("each"))
    sheets = tuple(ir.Sheet("over", sway(), noise) for _ in range(3))
    frames(ir.Style(sway(), sheets), scene(9))
    assert calls == {"lfo": 1, "noise": 3}


@pytest.mark.parametrize(
    ("table", "sort"),
    [(dispatch.PAINTS, ir.Paint), (dispatch.SIGNALS, ir.Signal), (dispatch.SHAPES, ir.Shape)],
    ids=["paints", "signals", "shapes"],
)
def test_every_node_of_every_sort_has_its_function(table: dict[type, Any], sort: Any) -> None:
    assert set(table) == set(typing.get_args(sort))


def test_render_imports_neither_lift_nor_lower_nor_packs() -> None:
    folder = Path(migrate.render.__file__ or "").parent
    allowed = ("migrate.render", "migrate.ir", "migrate.diagnostics", "migrate.source", "migrate.resources")
    seen = set()
    for path in folder.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("migrate"):
                seen.add(node.module)
            elif isinstance(node, ast.Import):
                seen.update(name.name for name in node.names if name.name.startswith("migrate"))
    assert seen and all(module.startswith(allowed) for module in seen if module is not None)


def test_thirty_six_inches_at_144_a_metre_are_132_pixels(scene: Callable[..., Any]) -> None:
    """Common practice, no source: 914.4 mm * 144 / 1000 = 131.7."""
    frames = draw.render(ir.Style(grey(1)), ARITHMETICS[3], scene(1), Blade())
    assert frames.shape[1] == 132 == round(36 * 25.4 * 144 / 1000)
