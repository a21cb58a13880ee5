"""What the page sends, checked: every field's type, range and length. Raises BadRequestError in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path, PurePath
from typing import Any

from migrate.ir.facts import Blade
from migrate.ir.nodes import HELD_EVENTS
from migrate.packs.library import library
from migrate.pipeline import Options, scene_named
from migrate.render.scene import EVENTS, Occurrence, Scene
from migrate.report.gallery import scene_names

MOST_TEXT = 256_000  # characters of one text
MOST_EVENTS = 64
MOST_PIXELS = 1000


class BadRequestError(Exception):
    """What is wrong with a request."""


@dataclass(frozen=True)
class Form:
    """How the file was written, so that a download is written alike."""

    crlf: bool = False
    bom: bool = False
    encoding: str = "utf-8"

    def bytes(self, text: str) -> bytes:
        """The text in this form; a character that Latin-1 lacks makes it UTF-8."""
        whole = text.replace("\n", "\r\n") if self.crlf else text
        if self.encoding == "latin-1":
            try:
                return whole.encode("latin-1")
            except UnicodeEncodeError:
                return whole.encode("utf-8")
        return (b"\xef\xbb\xbf" if self.bom else b"") + whole.encode("utf-8")


@dataclass(frozen=True)
class Asked:
    """One request: both texts, the target, and what is to be shown."""

    name: str
    text: str
    moved: str
    options: Options
    style: str
    scene: Scene
    offset: int
    side: str
    full: bool
    form: Form = field(default_factory=Form)


def asked(body: Any, packs: tuple[Path, ...] = ()) -> Asked:
    """A request from its JSON; what is missing takes a harmless value. `packs` are folders of the user's own."""
    if not isinstance(body, dict):
        raise BadRequestError("the request must be a JSON object")
    known = library(packs)
    to, read_as = _word(body, "to", ""), _word(body, "read_as", "")
    for name in (to, read_as):
        if name and name not in known:
            raise BadRequestError(f"no generation {name!r}")
    pixels = _number(body, "pixels", 1, MOST_PIXELS)
    pitch = _number(body, "pitch", 1, 10_000)
    per_metre = None if pitch is None else Fraction(pitch).limit_denominator(1000)
    options = Options(to, read_as or None, Blade(None if pixels is None else int(pixels), per_metre), packs=packs)
    form = body.get("form") or {}
    if not isinstance(form, dict):
        raise BadRequestError("`form` must be an object")
    encoding = "latin-1" if form.get("encoding") == "latin-1" else "utf-8"
    return Asked(
        PurePath(_word(body, "name", "")[:200].replace("\\", "/")).name or "pasted.h",
        _text(body, "text"),
        _text(body, "moved"),
        options,
        _word(body, "style", ""),
        _scene(body),
        int(_number(body, "offset", 0, MOST_TEXT) or 0),
        "moved" if body.get("side") == "moved" else "text",
        body.get("full") is True,
        Form(form.get("crlf") is True, form.get("bom") is True, encoding),
    )


def _word(body: Mapping[str, Any], key: str, default: str) -> str:
    value = body.get(key, default)
    if not isinstance(value, str) or len(value) > 400:
        raise BadRequestError(f"`{key}` must be a short text")
    return value


def _text(body: Mapping[str, Any], key: str) -> str:
    value = body.get(key, "")
    if not isinstance(value, str):
        raise BadRequestError(f"`{key}` must be a text")
    if len(value) > MOST_TEXT:
        raise BadRequestError(
            f"`{key}` has {len(value)} characters; the desk takes {MOST_TEXT}, the command line takes more"
        )
    # A lone surrogate can come through JSON and has no UTF-8.
    return value.encode("utf-8", "replace").decode("utf-8")


def _number(body: Mapping[str, Any], key: str, low: float, high: float) -> float | None:
    value = body.get(key)
    if value is None or value == "":
        return None
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not low <= value <= high:
        raise BadRequestError(f"`{key}` must be a number from {low:g} to {high:g}")
    return value


def _scene(body: Mapping[str, Any]) -> Scene:
    """A scene that ships (never a path), with the events that the user added."""
    name = _word(body, "scene", "probe")
    if name not in scene_names():
        raise BadRequestError(f"no scene {name!r}")
    scene = scene_named(name)
    added = body.get("events") or []
    if not isinstance(added, list) or len(added) > MOST_EVENTS:
        raise BadRequestError(f"`events` must be a list of at most {MOST_EVENTS}")
    if not added:
        return scene
    events = sorted((*scene.events, *(_event(one, scene) for one in added)), key=lambda e: e.start)
    return replace(scene, name=f"{name} and added events", events=tuple(events))


def _event(one: Any, scene: Scene) -> Occurrence:
    if not isinstance(one, dict) or one.get("event") not in EVENTS:
        raise BadRequestError(f"an event must be one of {', '.join(EVENTS)}")
    event, start = str(one["event"]), _number(one, "start", 0, scene.duration - 1)
    if start is None:
        raise BadRequestError("an event needs its start in microseconds")
    end = None
    if event in HELD_EVENTS:
        end = int(_number(one, "end", start + 1, scene.duration) or scene.duration)
    place, strength = (_number(one, key, 0, 1) for key in ("place", "strength"))
    return Occurrence(
        event, int(start), end, 0.5 if place is None else place, 1.0 if strength is None else strength
    )  # fmt: skip
