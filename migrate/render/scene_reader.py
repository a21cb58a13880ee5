"""Reads the scene language (grammars/scene.peg) into a Scene, or says what is wrong with it and where."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Any

from migrate.diagnostics import Diagnostic
from migrate.ir.nodes import Rational
from migrate.render.scene import EVENTS, Curve, Occurrence, Scene
from migrate.resources import grammar_path
from migrate.source import Span

if TYPE_CHECKING:
    from parsimonious.grammar import Grammar
    from parsimonious.nodes import Node

MOST_MICROSECONDS = 600_000_000
MOST_RATE = 1000
MOST_PIXELS = 4096

_FORMS = {
    "duration": "duration 3.6 s",
    "rate": "rate 250/s",
    "blade": "blade 132 pixels at 144/m",
    "at": "at 1.2 s blast place 0.3 strength 0.8",
    "from": "from 1.6 s to 1.9 s lock place 0.4",
    "swing": "swing: 0 s 0, 400 ms 500",
    "twist": "twist: 0 s -180, 2 s 180",
    "tilt": "tilt: 0 s 0, 1 s 90",
    "sound": "sound: 0 s 0, 300 ms 1",
}
_EXPECTED = {
    "statement": "duration, rate, blade, at, from, or a sensor: swing, twist, tilt, sound",
    "end": "duration, rate, blade, at, from, or a sensor: swing, twist, tilt, sound",
    "time": "a time with its unit, such as 250 ms or 1.2 s",
    "unit": "a unit of time: s or ms",
    "number": "a number",
    "integer": "a whole number",
    "instant_event": "an instant event: ignite, retract, clash or blast",
    "held_event": "a held event: lock, drag or melt",
    "per_metre": "/m",
    "until": "to",
    "quality": "place or strength",
    "place": "place",
    "line_end": "the end of the line",
    "pixels": "pixels",
    "sp": "more after a space",
}


class _MeaningError(Exception):
    """A meaning that the grammar cannot refuse; carries the characters that are at fault."""

    def __init__(self, code: str, node: Node, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.code, self.start, self.end, self.message, self.hint = code, node.start, node.end, message, hint


@dataclass
class _Draft:
    duration: int | None = None
    rate: int | None = None
    pixels: int | None = None
    per_metre: Rational | None = None
    events: list[Occurrence] = field(default_factory=list)
    sensors: dict[str, Curve] = field(default_factory=dict)
    seen: set[str] = field(default_factory=set)

    def once(self, what: str, node: Node) -> None:
        if what in self.seen:
            raise _MeaningError("scene-repeated", node, f"a second `{what}`", "keep one of them")
        self.seen.add(what)


def read_scene(text: str, name: str) -> Scene | Diagnostic:
    """The scene that `text` writes, or one diagnostic whose span counts the bytes of the text in UTF-8.

    `name` becomes the scene's name. Events come out in order of their start, ties in the order of EVENTS.
    """
    from parsimonious.exceptions import ParseError  # loaded only where a scene is read

    try:
        tree = _grammar().parse(text)
    except ParseError as error:
        return _syntax(text, error.pos, getattr(error.expr, "name", ""))
    except RecursionError:
        return _diagnostic(text, "scene-too-long", 0, 0, "the scene is too long to read", "")
    draft = _Draft()
    try:
        for statement in _named(tree, set(_STATEMENTS)):
            _STATEMENTS[statement.expr_name](draft, statement)
    except _MeaningError as wrong:
        return _diagnostic(text, wrong.code, wrong.start, wrong.end, wrong.message, wrong.hint)
    return _finish(draft, text, name)


@cache
def _grammar() -> Grammar:
    from parsimonious.grammar import Grammar

    return Grammar(grammar_path("scene.peg").read_text("utf-8"))


def _finish(draft: _Draft, text: str, name: str) -> Scene | Diagnostic:
    for what in ("duration", "rate"):
        if what not in draft.seen:
            end = len(text)
            return _diagnostic(text, "scene-missing", end, end, f"the scene has no `{what}`", f"add: {_FORMS[what]}")
    assert draft.duration is not None and draft.rate is not None
    events = tuple(sorted(draft.events, key=lambda one: (one.start, EVENTS.index(one.event))))
    return Scene(name, draft.duration, draft.rate, draft.pixels, draft.per_metre, events, draft.sensors)


# ---- errors ---------------------------------------------------------------------------------------


def _diagnostic(text: str, code: str, start: int, end: int, message: str, hint: str) -> Diagnostic:
    first = len(text[:start].encode("utf-8", "surrogatepass"))
    last = first + len(text[start:end].encode("utf-8", "surrogatepass"))
    return Diagnostic(code, "error", Span(first, last), message, hint)


def _syntax(text: str, at: int, rule: str) -> Diagnostic:
    line = text[text.rfind("\n", 0, at) + 1 : at] + text[at:].partition("\n")[0]
    words = line.replace(":", " ").split()
    form = _FORMS.get(words[0], "") if words else ""
    expected = _EXPECTED.get(rule, form and "the rest of the line") or _EXPECTED["statement"]
    end = at
    while end < len(text) and not text[end].isspace():
        end += 1
    found = f"`{text[at:end]}`" if end > at else "the end of the line" if at < len(text) else "the end of the scene"
    hint = f"such as: {form}" if form else ""
    return _diagnostic(text, "scene-syntax", at, end, f"expected {expected}, found {found}", hint)


# ---- reading --------------------------------------------------------------------------------------


def _named(node: Node, names: set[str]) -> list[Node]:
    """The outermost nodes of these rules under `node`, in order."""
    if node.expr_name in names:
        return [node]
    return [found for child in node.children for found in _named(child, names)]


def _one(node: Node, name: str) -> Node:
    return next(found for child in node.children for found in _named(child, {name}))


def _number(node: Node, least: float, most: float, what: str) -> Fraction:
    value = Fraction(node.text)
    if not least <= value <= most:
        raise _MeaningError("scene-range", node, f"{what} is {node.text}; it goes from {least:g} to {most:g}")
    return value


def _time(node: Node) -> int:
    """Microseconds; decimals beyond them round half up."""
    scale = 1000 if _one(node, "unit").text == "ms" else 1_000_000
    time = int((Fraction(_one(node, "number").text) * scale + Fraction(1, 2)) // 1)
    if not 0 <= time <= MOST_MICROSECONDS:
        raise _MeaningError("scene-range", node, f"the time is {node.text}; times go from 0 s to 600 s")
    return time


def _duration(draft: _Draft, node: Node) -> None:
    draft.once("duration", node)
    draft.duration = _time(_one(node, "time"))
    if draft.duration == 0:
        raise _MeaningError("scene-range", node, "a scene of no duration shows nothing")


def _rate(draft: _Draft, node: Node) -> None:
    draft.once("rate", node)
    number = _one(node, "number")
    rate = _number(number, 1, MOST_RATE, "the rate")
    if rate.denominator != 1:
        raise _MeaningError("scene-range", number, "the rate is a whole number of frames a second")
    draft.rate = int(rate)


def _blade(draft: _Draft, node: Node) -> None:
    draft.once("blade", node)
    draft.pixels = int(_number(_one(node, "integer"), 1, MOST_PIXELS, "the pixel count"))
    for density in _named(node, {"density"}):
        value = _number(_one(density, "number"), 1, 10_000, "the pixels a metre")
        draft.per_metre = int(value) if value.denominator == 1 else value


def _instant(draft: _Draft, node: Node) -> None:
    start = _time(_one(node, "time"))
    values = {"place": 0.0, "strength": 1.0}
    given: set[str] = set()
    for quality in _named(node, {"place", "strength"}):
        if quality.expr_name in given:
            raise _MeaningError("scene-repeated", quality, f"a second {quality.expr_name}", "keep one of them")
        given.add(quality.expr_name)
        values[quality.expr_name] = float(_number(_one(quality, "number"), 0, 1, f"the {quality.expr_name}"))
    event = _one(node, "instant_event").text
    draft.events.append(Occurrence(event, start, None, values["place"], values["strength"]))


def _held(draft: _Draft, node: Node) -> None:
    start, end = (_time(time) for time in _named_under(node, "time"))
    if end <= start:
        raise _MeaningError(
            "scene-order", _named_under(node, "time")[1], "the event ends before it has lasted any time"
        )
    places = _named_under(node, "place")
    place = float(_number(_one(places[0], "number"), 0, 1, "the place")) if places else 0.0
    draft.events.append(Occurrence(_one(node, "held_event").text, start, end, place, 1.0))


def _curve(draft: _Draft, node: Node) -> None:
    sensor = _one(node, "sensor").text
    draft.once(sensor, node)
    knots: list[tuple[int, float]] = []
    for point in _named_under(node, "point"):
        time_node = _one(point, "time")
        time = _time(time_node)
        if knots and time < knots[-1][0]:
            raise _MeaningError("scene-order", time_node, "the times of a curve may not fall")
        number = next(n for child in point.children[1:] for n in _named(child, {"number"}))
        least, most = (0.0, 1.0) if sensor == "sound" else (-36_000.0, 36_000.0)
        knots.append((time, float(_number(number, least, most, f"the {sensor}"))))
    draft.sensors[sensor] = tuple(knots)


def _named_under(node: Node, name: str) -> list[Node]:
    return [found for child in node.children for found in _named(child, {name})]


_STATEMENTS: dict[str, Any] = {
    "duration": _duration,
    "rate": _rate,
    "blade": _blade,
    "instant": _instant,
    "held": _held,
    "curve": _curve,
}
