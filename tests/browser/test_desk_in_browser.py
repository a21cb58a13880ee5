"""The desk, used in a real browser."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from migrate.pipeline import Options, move
from migrate.resources import demo_path
from migrate.source import SourceFile
from tests.browser.browser_help import errors, requests_of, until
from tests.report.report_files import HOSTILE, hostile_source

TEXT = demo_path("lantern_quay.h").read_text("utf-8")
READY = "return !document.querySelector('[data-player]').hidden && document.getElementById('verdict').textContent"


def opened(browser: Any, url: str) -> Any:
    browser.get(url)
    errors(browser), requests_of(browser)
    return browser


def put(browser: Any, place: str, text: str) -> None:
    """Puts a text in as a paste does: the value, then the event of an input."""
    browser.execute_script(
        "const t = document.getElementById(arguments[0]); t.value = arguments[1];"
        "t.dispatchEvent(new Event('input', { bubbles: true }))",
        place, text,
    )  # fmt: skip


def with_demo(browser: Any, url: str) -> Any:
    opened(browser, url)
    browser.execute_script("document.getElementById('demo').click()")
    until(browser, READY)
    return browser


def choose(browser: Any, style: str) -> None:
    browser.execute_script("document.querySelector(`input[value=${arguments[0]}]`).click()", style)
    until(browser, "return document.getElementById('verdict').textContent.startsWith(arguments[0])", style)


@pytest.mark.parametrize("width", ["wide", "narrow"])
def test_a_paste_is_dated_and_moved_and_its_blades_play(
    width: str, desk_url: str, request: pytest.FixtureRequest
) -> None:
    browser = opened(request.getfixturevalue(width), desk_url)
    browser.execute_script("const s = document.getElementById('to'); s.value = 'wick3'")
    put(browser, "text", TEXT)
    until(browser, READY)
    until(browser, "return document.getElementById('dated').textContent.startsWith('Read as wick2')")
    marked = browser.execute_script(
        "return [...document.querySelectorAll('#text-editor mark.g1')].map((m) => m.textContent)"
    )
    assert {"power_sleeve", "clash_sleeve", "dim"} <= set(marked)
    expected = move(SourceFile("pasted.h", TEXT.encode()), Options("wick3")).text.decode()
    assert browser.execute_script("return document.getElementById('moved').value") == expected
    grades = browser.execute_script("return [...document.querySelectorAll('#styles .grade')].map((g) => g.textContent)")
    assert len(grades) == 14 and set(grades) <= {"same", "close"}
    browser.execute_script("document.querySelector('[data-play]').click()")
    until(browser, "return parseFloat(document.querySelector('[data-clock]').value) > 0.2")
    browser.execute_script("document.querySelector('[data-play]').click()")
    assert browser.execute_script("return document.documentElement.scrollWidth <= innerWidth")
    assert errors(browser) == []
    assert all(url.startswith(desk_url) for url in requests_of(browser))


def test_an_edit_changes_the_comparison_and_then_the_grade(wide: Any, desk_url: str) -> None:
    with_demo(wide, desk_url)
    choose(wide, "ninth_lamp")
    text = wide.execute_script("return document.getElementById('moved').value")
    assert "sway<LAMP_OIL, duty<255, 90, 0>" in text
    put(wide, "moved", text.replace("sway<LAMP_OIL, duty<255, 90, 0>", "sway<LAMP_OIL, duty<255, 220, 0>"))
    until(wide, "return document.getElementById('verdict').textContent.includes('cell against cell')")
    until(wide, "return document.getElementById('verdict-grade').textContent === 'changed'")
    put(wide, "moved", text)
    until(wide, "return document.getElementById('verdict-grade').textContent === 'close'")
    assert errors(wide) == []


def test_a_construct_under_the_caret_is_explained_with_its_counterpart(wide: Any, desk_url: str) -> None:
    with_demo(wide, desk_url)
    wide.execute_script(
        "const t = document.getElementById('text');"
        "const at = t.value.indexOf('clash_sleeve', t.value.indexOf('using ninth_lamp')) + 2;"
        "t.focus(); t.setSelectionRange(at, at); t.click()"
    )
    told = until(wide, "const t = document.getElementById('told').textContent; return t.includes('clash_sleeve') && t")
    assert "is a sleeve of wick2" in told and "on<ev::clash, duty<255, 255, 255>, burst<80>>" in told
    lit = wide.execute_script(
        "return [...document.querySelectorAll('#moved-editor mark.like')].map((m) => m.textContent).join('')"
    )
    assert lit == "on<ev::clash, duty<255, 255, 255>, burst<80>>"


def test_events_come_by_button_and_by_key_and_can_be_taken_back(wide: Any, desk_url: str) -> None:
    from selenium.webdriver.common.action_chains import ActionChains

    with_demo(wide, desk_url)
    choose(wide, "ninth_lamp")
    count = "return document.querySelectorAll('#plots svg .name').length"
    before = wide.execute_script(count)
    wide.execute_script(
        "const b = document.querySelector('[data-time]'); b.value = 100; b.dispatchEvent(new Event('input'))"
    )
    wide.execute_script("document.querySelector('[data-event=clash]').click()")
    until(wide, f"{count} === {before + 1}")
    wide.execute_script("document.querySelector('[data-play]').focus()")
    ActionChains(wide).send_keys("b").perform()
    until(wide, f"{count} === {before + 2}")
    ActionChains(wide).key_down("l").perform()
    until(wide, "return document.querySelector('[data-event=lock]').getAttribute('aria-pressed') === 'true'")
    ActionChains(wide).key_up("l").perform()
    until(wide, "return document.querySelector('[data-event=lock]').getAttribute('aria-pressed') === 'false'")
    wide.execute_script("document.getElementById('clear').click()")
    until(wide, f"{count} === {before}")
    # In a text field the same keys are letters.
    wide.execute_script("document.getElementById('text').focus()")
    ActionChains(wide).send_keys("c").perform()
    assert wide.execute_script("return document.getElementById('clear').disabled")


def test_files_come_in_by_the_dialog_and_go_out_by_download(wide: Any, desk_url: str, tmp_path: Path) -> None:
    source = b'#define WICK_GENERATION 2\r\n#include "wick2.h"\r\n'
    source += b"using quay = power_sleeve<rgb<255, 120, 40>, 300, 450>;\r\n"
    path = tmp_path / "quay.h"
    path.write_bytes(source)
    opened(wide, desk_url)
    wide.execute_script("document.getElementById('to').value = 'wick3'")
    wide.find_element("id", "open").send_keys(str(path))
    until(wide, READY)
    expected = move(SourceFile("quay.h", source), Options("wick3")).text
    for kind, name in (("file", "quay.h"), ("patch", "quay.patch"), ("report", "quay.html")):
        wide.find_element("id", f"get-{kind}").click()  # a real click: one without a hand behind it may not save twice
        got = wide.downloads / name
        end = time.monotonic() + 20
        while not got.is_file() and time.monotonic() < end:
            time.sleep(0.05)
        assert got.is_file(), name
    assert (wide.downloads / "quay.h").read_bytes() == expected
    assert (wide.downloads / "quay.patch").read_bytes().startswith(b"--- a/quay.h\n")
    assert "</html>" in (wide.downloads / "quay.html").read_text("utf-8")


def test_markup_in_a_text_stays_text(wide: Any, desk_url: str) -> None:
    opened(wide, desk_url)
    put(wide, "text", hostile_source().data.decode())
    until(wide, READY)
    labels = wide.execute_script("return document.getElementById('styles').textContent")
    assert HOSTILE in labels
    assert wide.execute_script("return document.querySelectorAll('[onerror], #styles img').length") == 0
    assert errors(wide) == []


def test_another_page_cannot_ask_the_desk(wide: Any, desk_url: str, tmp_path: Path) -> None:
    other = tmp_path / "other.html"
    other.write_text("<!doctype html><title>x</title>")
    wide.get(other.as_uri())
    told = wide.execute_async_script(
        "const done = arguments[1], headers = { 'Content-Type': 'application/json' };"
        "fetch(arguments[0] + 'move', { method: 'POST', headers, body: '{}' })"
        ".then((r) => done('answered ' + r.status), () => done('refused'))",
        desk_url,
    )
    assert told == "refused"
    wide.get_log("browser")
    wide.get(desk_url.replace("127.0.0.1", "localhost"))
    assert wide.execute_script("return document.querySelector('h1').textContent") == "The desk"


def test_the_keyboard_alone_does_the_whole_job(wide: Any, desk_url: str) -> None:
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    opened(wide, desk_url)
    focus = (
        "return document.activeElement.id || document.activeElement.dataset.event || document.activeElement.textContent"
    )
    reached: list[str] = []
    for _ in range(40):
        ActionChains(wide).send_keys(Keys.TAB).perform()
        reached.append(wide.execute_script(focus))
        if reached[-1] == "demo":
            ActionChains(wide).send_keys(Keys.ENTER).perform()
            until(wide, READY)
        if reached[-1] == "Play":
            break
    assert {"read-as", "to", "pixels", "pitch", "move", "text", "moved", "get-file", "get-patch", "get-report"} <= set(
        reached
    )
    assert reached[-1] == "Play"
    ActionChains(wide).send_keys(Keys.SPACE).perform()
    until(wide, "return parseFloat(document.querySelector('[data-clock]').value) > 0.1")
    ActionChains(wide).send_keys(Keys.SPACE).perform()
    until(wide, "return document.querySelector('[data-play]').textContent === 'Play'")


@pytest.mark.parametrize("width", ["wide", "narrow"])
def test_axe_finds_no_violation(
    width: str, desk_url: str, axe: Callable[[Any], list[str]], request: pytest.FixtureRequest
) -> None:
    browser = opened(request.getfixturevalue(width), desk_url)
    assert axe(browser) == []
    with_demo(browser, desk_url)
    browser.execute_script(
        "const t = document.getElementById('text'), at = t.value.indexOf('clash_sleeve') + 2;"
        "t.focus(); t.setSelectionRange(at, at); t.click()"
    )
    until(browser, "return document.getElementById('told').textContent.includes('is a sleeve')")
    assert axe(browser) == []
