"""The desk's page: one document, made of the same parts as the report; its script fills it."""

from __future__ import annotations

from pathlib import Path

from migrate.ir.nodes import HELD_EVENTS, INSTANT_EVENTS
from migrate.packs.library import library
from migrate.report.gallery import scene_names
from migrate.report.html.controls import caution, player
from migrate.report.html.elements import Markup, el

# A key for each event: the first letter of its name that no other has taken.
KEYS = {"ignite": "i", "retract": "r", "clash": "c", "blast": "b", "lock": "l", "drag": "d", "melt": "m"}


def page(packs: tuple[Path, ...] = ()) -> str:
    """The document."""
    head = el(
        "head",
        el("meta", charset="utf-8"),
        el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        el("title", "The desk: blade styles from one generation to another"),
        el("link", rel="icon", href="data:,"),
        el("link", rel="stylesheet", href="/desk.css"),
        el("script", "", src="/desk.js", defer=True),
    )
    main = el("main", _texts(), _told(), _bench(), id="main")
    body = el("body", el("a", "To the texts", href="#text", class_="skip"), _top(packs), main, _end())
    return "<!doctype html>\n" + el("html", head, body, lang="en")


def _top(packs: tuple[Path, ...]) -> Markup:
    generations = [(g.name, f"{g.name} “{g.title}”") for g in library(packs).values()]
    line = el(
        "div",
        el("label", "Read as ", _select("read-as", [("", "what it says it is"), *generations])),
        el("label", "Move to ", _select("to", generations, generations[-1][0])),
        el("label", "Pixels ", el("input", type="number", id="pixels", min=1, max=1000, placeholder="config")),
        el(
            "label",
            "Pixels a metre ",
            el("input", type="number", id="pitch", min=1, max=10000, step="any", placeholder="config"),
        ),
        el("button", "Move", type="button", class_="first", id="move"),
        class_="line",
    )
    title = el(
        "div",
        el("h1", "The desk"),
        el("p", "Old words on the left, new ones on the right, both blades below.", class_="soft"),
    )
    return el("header", title, line, class_="head")


def _select(name: str, pairs: list[tuple[str, str]], chosen: str = "") -> Markup:
    return el("select", [el("option", words, value=value, selected=value == chosen) for value, words in pairs], id=name)


def _texts() -> Markup:
    left_tools = [
        el(
            "label",
            "Open a file",
            el("input", type="file", id="open", class_="unseen", accept=".h,.hpp,.cpp,.txt,text/plain"),
            class_="button",
            for_="open",
        ),
        el("button", "Take the demo", type="button", id="demo"),
    ]
    right_tools = [
        el("button", words, type="button", id=f"get-{kind}", disabled=True)
        for kind, words in (("file", "Download file"), ("patch", "Patch"), ("report", "Report"))
    ]
    return el(
        "div",
        _side("text", "Your text", "Paste style code here, or drop a file.", left_tools,
              el("p", id="dated", class_="legend", role="status")),
        _side("moved", "Moved text", "The moved text comes here. Edit it and the comparison follows.", right_tools,
              el("p", id="summary", class_="legend", role="status")),
        class_="texts",
    )  # fmt: skip


def _side(name: str, title: str, hint: str, tools: list[Markup], below: Markup) -> Markup:
    head = el("div", el("h2", title, id=f"{name}-title"), el("div", tools, class_="tools"), class_="bar")
    editor = el(
        "div",
        el("pre", class_="behind", aria_hidden="true"),
        el("textarea", "", id=name, aria_labelledby=f"{name}-title", placeholder=hint, spellcheck="false", wrap="off",
           autocapitalize="off", autocomplete="off"),
        class_="editor",
        id=f"{name}-editor",
    )  # fmt: skip
    return el("section", head, editor, below, class_="side", aria_labelledby=f"{name}-title")


def _told() -> Markup:
    empty = el(
        "p",
        "Put the caret on a construct, in either text: here stands what it means and what it became.",
        class_="soft",
    )
    return el("section", el("h2", "Under the caret", id="told-title", class_="unseen"), el("div", empty, id="told"),
              class_="told", aria_labelledby="told-title")  # fmt: skip


def _bench() -> Markup:
    styles = el(
        "section",
        el("h2", "Styles", id="styles-title"),
        el("div", el("p", "None yet.", class_="soft"), id="styles", role="radiogroup", aria_labelledby="styles-title"),
        el("div", id="diagnostics"),
        class_="styles",
        aria_labelledby="styles-title",
    )
    buttons = [
        el("button", name, el("kbd", KEYS[name], aria_hidden="true"), type="button", data_event=name,
           data_held=name in HELD_EVENTS, aria_keyshortcuts=KEYS[name],
           aria_pressed="false" if name in HELD_EVENTS else None)
        for name in (*INSTANT_EVENTS, *HELD_EVENTS)
    ]  # fmt: skip
    place = el(
        "label",
        "Place ",
        el("input", type="range", id="place", min=0, max=100, value=50, aria_valuetext="50 % of the blade"),
    )
    events = el(
        "div",
        el("span", "Trigger", class_="soft"),
        buttons,
        place,
        el("button", "Take back", type="button", id="clear", disabled=True),
        class_="events",
        role="group",
        aria_label="Events: each happens at the time that the player shows",
    )
    names = ("before", "before"), ("after", "after")
    scenes = [(name, name) for name in sorted(scene_names(), reverse=True)]
    look = el(
        "section",
        el("div", el("h2", "Both blades", id="look-title"), el("span", id="verdict-grade"),
           el("p", id="verdict", role="status"), class_="bar"),
        el("div", el("div", player("the chosen style", names, scenes, [events, caution(None)]), id="stage"),
           el("div", id="plots", data_plots=True), class_="look"),
        class_="blades",
        aria_labelledby="look-title",
    )  # fmt: skip
    return el("div", styles, look, class_="bench", id="bench")


def _end() -> Markup:
    return el(
        "footer",
        el(
            "p",
            "This page talks to this machine alone and keeps nothing. A caution and no clearance: local codes, the "
            "venue and licensed practice decide.",
            class_="soft",
        ),
        class_="foot",
    )
