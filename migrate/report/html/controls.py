"""The parts that report and desk share: the grade with its mark, the caution, the player, pictures with their axes."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path

from migrate.compare.flash import LIMIT, Flashes
from migrate.report.gallery import EYE_RATE
from migrate.report.html.elements import Child, Markup, el, join
from migrate.report.html.facts import Played
from migrate.report.pictures import SCALE, Mark

TALL = 340  # of a picture's axes, in their own units
_APART = 15  # the least distance of two labels

# Each grade's mark differs in shape, so that it is told without colour too.
_MARKS = {
    "same": "M1 5h14v2.5H1zM1 9.5h14V12H1z",
    "close": "M1 5.5C4 2.5 6 2.5 8 4.5s4 2 7-1v2.8c-3 3-5 3-7 1s-4-2-7 1z"
    "M1 11c3-3 5-3 7-1s4 2 7-1v2.8c-3 3-5 3-7 1s-4-2-7 1z",
    "unmeasured": "M8 1a7 7 0 1 0 0 14A7 7 0 0 0 8 1zm0 2.2a4.8 4.8 0 1 1 0 9.6 4.8 4.8 0 0 1 0-9.6z",
    "changed": "M8 1l7.5 14H.5z",
    "kept": "M2 2h12v12H2zm2.5 2.5v7h7v-7z",
    "refused": "M3 1l5 5 5-5 2 2-5 5 5 5-2 2-5-5-5 5-2-2 5-5-5-5z",
}


@cache
def asset(name: str) -> str:
    """A style sheet or a script that lies beside this module."""
    return Path(__file__).with_name(name).read_text("utf-8")


def grade(name: str) -> Markup:
    """A grade: its mark and its word."""
    mark = el("svg", el("path", d=_MARKS.get(name, "")), viewBox="0 0 16 16", aria_hidden="true")
    return el("span", mark, name, class_=f"grade {name}")


def caution(flashing: Flashes | None) -> Markup:
    """The words that stand beside a play button; `flashing` is the worst count of what it plays."""
    sign = el("svg", el("path", d="M12 2L1 22h22zm-1.2 7h2.4l-.4 6.5h-1.6zm1.2 8a1.5 1.5 0 1 1 0 3 1.5 1.5 0 0 1 0-3z"),
              viewBox="0 0 24 24", aria_hidden="true")  # fmt: skip
    over = flashing is not None and not flashing.passes
    words = el(
        "p", el("strong", "Flashing light."), " ", el("span", flash_words(flashing), data_flashes=True), " ", _REST
    )
    return el("div", sign, words, class_="caution over" if over else "caution", role="note", data_caution=True)


_REST = (
    "Flashing light can bring on seizures in people with photosensitive epilepsy. On a real blade, LED current and "
    "lithium cells bring risks of their own. Local codes, the venue and licensed practice come before anything said "
    "here."
)


def flash_words(flashing: Flashes | None) -> str:
    """The flash count in a sentence, against the limit of WCAG 2.2, SC 2.3.1."""
    if flashing is None:
        return ""
    counts = f"up to {flashing.general} general and {flashing.red} red flashes in any one second"
    verdict = "within" if flashing.passes else "over"
    where = "if a quarter of the blade fills enough of the view"
    return f"Counted here: {counts}, {verdict} the {LIMIT} of WCAG 2.2 (SC 2.3.1) {where}."


def player(name: str, sides: Sequence[tuple[str, str]], scenes: Sequence[tuple[str, str]], below: Child) -> Markup:
    """A player for `sides` (key and caption), hidden until its script runs; `below` stands under its controls."""
    blades = [
        el(
            "figure",
            el("figcaption", el("b", caption)),
            el("canvas", data_side=side, role="img", aria_label=f"Blade {caption} of {name}, hilt left"),
            class_="blade",
        )
        for side, caption in sides
    ]
    speeds = [("0.1", "⅒"), ("0.25", "¼"), ("0.5", "½"), ("1", "1")]
    lights = [("0.5", "½"), ("1", "1"), ("2", "2"), ("4", "4")]
    transport = el(
        "div",
        el("button", "Play", type="button", class_="first", data_play=True),
        el(
            "div",
            el("input", type="range", min=0, max=0, value=0, step=1, aria_label=f"Time in {name}", data_time=True),
            el("output", "0.00 s", data_clock=True),
            class_="time",
        ),
        el("label", "Scene ", el("select", _options(scenes, ""), data_scene_choice=True)),
        el("label", "Speed ", el("select", _options(speeds, "1"), data_speed=True)),
        el("label", "Exposure ", el("select", _options(lights, "1"), data_light=True)),
        el("label", el("input", type="checkbox", data_loop=True), " Repeat"),
        class_="transport",
    )
    return el("div", blades, transport, below, class_="player", hidden=True, data_player=True, role="group",
              aria_label=f"Player of {name}")  # fmt: skip


def _options(pairs: Sequence[tuple[str, str]], chosen: str) -> list[Markup]:
    return [el("option", words, value=value, selected=value == chosen) for value, words in pairs]


def jumps(played: Played, hidden: bool) -> Markup:
    """Buttons that go to a scene's events, a fifth of a second early, so that each is seen to begin."""
    buttons = [
        el("button", f"{name} {start / 1e6:.2f} s", type="button", data_jump=max(0, start // 20_000 - EYE_RATE // 5))
        for name, start, _ in played.marks
    ]
    return el("div", el("span", "Go to", class_="soft"), buttons, class_="events", role="group",
              aria_label=f"Events of scene {played.scene}", hidden=hidden, data_scene=played.scene)  # fmt: skip


def plots(name: str, played: Played, captions: dict[str, str], hidden: bool) -> Markup:
    """A scene's pictures side by side, time down, with seconds to their left and events to their right."""
    figures = [
        el(
            "figure",
            el("figcaption", captions[plot.side]),
            el("div", el("span", "hilt"), el("span", "tip"), class_="ends"),
            el("img", src=plot.url, alt=_alternative(name, played, captions[plot.side]), data_side=plot.side),
        )
        for plot in played.plots
    ]
    kind = {1: "plots one", 2: "plots two"}.get(len(figures), "plots")
    body = el("div", seconds_axis(played.seconds), figures, events_axis(played.seconds, played.marks), class_=kind)
    scale = delta_scale() if any(p.side == "difference" for p in played.plots) else None
    return el("div", body, scale, hidden=hidden, data_scene=played.scene)


def _alternative(name: str, played: Played, caption: str) -> str:
    return f"{caption} of {name} over scene {played.scene}: time runs down {played.seconds:g} s, hilt left, tip right"


def seconds_axis(seconds: float) -> Markup:
    """Seconds down the left side."""
    step = next(s for s in (0.25, 0.5, 1, 2, 5, 10, 20, 60, 120) if seconds / s <= 9)
    parts: list[Markup] = []
    for k in range(int(seconds / step + 1e-9) + 1):
        y = f"{k * step / seconds * 100:.2f}%"
        parts.append(el("line", x1="88%", x2="100%", y1=y, y2=y))
        words = f"{k * step:g}" + (" s" if k == 0 else "")
        parts.append(el("text", words, x="80%", y=y, text_anchor="end", dominant_baseline="middle"))
    return el("svg", parts, aria_hidden="true")


def events_axis(seconds: float, marks: Sequence[Mark]) -> Markup:
    """Events down the right side: a notch where one starts, a bar while one lasts, its name beside it."""
    parts: list[Markup] = []
    ordered = sorted(marks, key=lambda mark: mark[1])
    starts = [start / 1e6 / seconds * TALL for _, start, _ in ordered]
    for (name, start, end), y, label in zip(ordered, starts, _spread(starts), strict=True):
        at, high = f"{start / 1e4 / seconds:.2f}%", f"{y / TALL * 100:.2f}%"
        if end is None:
            parts.append(el("rect", x=0, y=at, width=9, height=3, class_="notch"))
        else:
            parts.append(el("rect", x=0, y=at, width=5, height=f"{(end - start) / 1e4 / seconds:.2f}%", class_="bar"))
        where = f"{label / TALL * 100:.2f}%"
        parts.append(el("line", x1=11, x2=22, y1=high, y2=where))
        parts.append(el("text", name, x=26, y=where, dominant_baseline="middle", class_="name"))
    words = "; ".join(f"{n} at {s / 1e6:.2f} s" + (f" to {e / 1e6:.2f} s" if e else "") for n, s, e in ordered)
    return el("svg", el("title", f"Events: {words}"), parts, role="img")


def _spread(heights: Sequence[float]) -> list[float]:
    """Heights of labels, in order, moved apart and kept within the axis."""
    out: list[float] = []
    for y in heights:
        out.append(max(y, out[-1] + _APART if out else 6))
    limit = float(TALL - 4)
    for k in range(len(out) - 1, -1, -1):
        out[k] = min(out[k], limit)
        limit = out[k] - _APART
    return out


def delta_scale() -> Markup:
    """What the inks of a difference mean."""
    words = ("none", "an eye just tells", "the most that is close", "plain", "as far as can be")
    items = []
    for (value, ink), word in zip(SCALE, words, strict=True):
        swatch = el("svg", el("rect", width=16, height=16, fill="#{:02x}{:02x}{:02x}".format(*ink)),
                    viewBox="0 0 16 16", aria_hidden="true")  # fmt: skip
        items.append(el("li", swatch, f"{value:g} {word}"))
    return join(el("ul", el("li", "Difference, ΔE00:"), items, class_="scale"))
