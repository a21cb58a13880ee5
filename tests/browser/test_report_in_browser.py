"""The report, opened from disk in a real browser."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from migrate.pipeline import Options, frames_of, move, read, scene_named
from migrate.report.gallery import seen
from migrate.report.html.report import report_page
from migrate.report.pictures import srgb_codes
from migrate.source import SourceFile
from tests.browser.browser_help import errors, requests_of, until
from tests.report.report_files import HOSTILE, demo_moved, demo_page, hostile_source

GALE = "[...document.querySelectorAll('article')].find((a) => a.querySelector('h3').textContent === 'gale_lantern')"


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("report") / "report.html"
    path.write_text(demo_page(), "utf-8")
    return path.as_uri()


def opened(browser: Any, url: str) -> Any:
    errors(browser), requests_of(browser)
    browser.get(url)
    return browser


def near(browser: Any) -> None:
    """Scrolls to a style and waits until its player has its frames."""
    browser.execute_script(f"{GALE}.scrollIntoView()")
    until(browser, f"return Number({GALE}.querySelector('[data-time]').max) > 100")


@pytest.mark.parametrize("width", ["wide", "narrow"])
def test_it_opens_without_an_error_or_a_request_and_fits(width: str, page: str, request: pytest.FixtureRequest) -> None:
    browser = opened(request.getfixturevalue(width), page)
    near(browser)
    assert errors(browser) == []
    assert requests_of(browser) == [page]
    assert browser.execute_script("return document.documentElement.scrollWidth <= innerWidth")


def test_nothing_moves_until_the_reader_starts_it_and_both_blades_keep_step(wide: Any, page: str) -> None:
    opened(wide, page)
    near(wide)
    clock = f"return {GALE}.querySelector('[data-clock]').value"
    still = wide.execute_async_script(
        f"const c = {GALE}.querySelector('canvas'), one = c.toDataURL(), done = arguments[0];"
        "setTimeout(() => done(one === c.toDataURL()), 400)"
    )
    assert still and wide.execute_script(clock) == "0.00 s"
    wide.execute_script(f"{GALE}.querySelector('[data-play]').click()")
    until(wide, clock.replace("return ", "return parseFloat(") + ") > 0.3")
    wide.execute_script(f"{GALE}.querySelector('[data-play]').click()")
    assert wide.execute_script(f"return {GALE}.querySelector('[data-play]').textContent") == "Play"
    stopped = wide.execute_script(clock)
    assert (
        wide.execute_async_script(f"setTimeout(() => arguments[0]({GALE}.querySelector('[data-clock]').value), 300)")
        == stopped
    )


def test_the_blade_on_the_canvas_is_the_light_of_the_frame(wide: Any, page: str) -> None:
    opened(wide, page)
    near(wide)
    moved, options = demo_moved()
    reading = read(moved.source, options)
    scene = scene_named("probe")
    frames = seen(frames_of(reading.lifted["gale_lantern"], reading, scene), scene.rate)  # type: ignore[union-attr]
    for frame in (0, 25, 80):
        wide.execute_script(
            f"const b = {GALE}.querySelector('[data-time]'); b.value = arguments[0];"
            "b.dispatchEvent(new Event('input'))",
            frame,
        )
        shown = wide.execute_script(
            f"const c = {GALE}.querySelector('canvas'), long = c.width - 92 + 4 - 18, at = 88 + long * arguments[0];"
            "return [...c.getContext('2d').getImageData(Math.round(at), c.height / 2, 1, 1).data].slice(0, 3)",
            100.5 / 132,
        )
        assert shown == srgb_codes(frames[frame, 100] / 255.0).tolist()


def test_event_buttons_go_to_their_event_and_the_scene_can_be_changed(wide: Any, page: str) -> None:
    opened(wide, page)
    near(wide)
    wide.execute_script(
        f"[...{GALE}.querySelectorAll('[data-jump]')].find((b) => b.textContent.startsWith('lock')).click()"
    )
    assert wide.execute_script(f"return {GALE}.querySelector('[data-clock]').value") == "1.30 s"
    wide.execute_script(
        f"const s = {GALE}.querySelector('[data-scene-choice]'); s.value = 'evening';"
        "s.dispatchEvent(new Event('change'))"
    )
    until(wide, f"return {GALE}.querySelector('[data-time]').max === '599'")
    shown = wide.execute_script(
        f"return [...{GALE}.querySelectorAll('img')].filter((i) => i.offsetParent).map((i) => i.naturalHeight)"
    )
    assert shown == [600, 600, 600]


def test_reduced_motion_starts_slow(start_browser: Callable[..., Any], page: str) -> None:
    browser = start_browser(900, reduced_motion=True)
    opened(browser, page)
    assert browser.execute_script(f"return {GALE}.querySelector('[data-speed]').value") == "0.25"


def test_the_keyboard_alone_reaches_and_works_everything(wide: Any, page: str) -> None:
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    opened(wide, page)
    keys = ActionChains(wide)
    keys.send_keys(Keys.TAB).perform()
    assert wide.execute_script("return document.activeElement.className") == "skip"
    keys.send_keys(Keys.ENTER).perform()
    near(wide)
    wide.execute_script(f"{GALE}.querySelector('[data-play]').focus()")
    keys.send_keys(Keys.TAB).send_keys(Keys.ARROW_RIGHT * 5).perform()
    assert wide.execute_script("return document.activeElement.getAttribute('aria-valuetext')") == "0.10 s"
    reached = wide.execute_script(
        "return [...document.querySelectorAll('button, input, select, a, summary, .scroll')]"
        ".filter((e) => e.tabIndex < 0).length"
    )
    assert reached == 0
    outline = wide.execute_script("return getComputedStyle(document.activeElement).outlineStyle")
    assert outline == "solid"


@pytest.mark.parametrize("width", ["wide", "narrow"])
def test_axe_finds_no_violation(
    width: str, page: str, axe: Callable[[Any], list[str]], request: pytest.FixtureRequest
) -> None:
    browser = opened(request.getfixturevalue(width), page)
    near(browser)
    browser.execute_script("for (const d of document.querySelectorAll('details')) d.open = true")
    assert axe(browser) == []


def test_axe_finds_no_violation_where_everything_went_wrong(
    wide: Any, tmp_path: Path, axe: Callable[[Any], list[str]]
) -> None:
    moved, options = demo_moved()
    grades = ("same", "close", "unmeasured", "changed", "kept", "refused") * 3
    styles = tuple(replace(s, grade=g, notes=("a note",)) for s, g in zip(moved.styles, grades, strict=False))  # type: ignore[arg-type]
    broken = move(SourceFile("torn.h", b'#include "wick2.h"\nusing a = sway<rgb<1, 2, 3>;\n'), options)
    path = tmp_path / "report.html"
    path.write_text(report_page(replace(moved, styles=styles, diagnostics=broken.diagnostics), options), "utf-8")
    opened(wide, path.as_uri())
    assert axe(wide) == []


def test_a_name_that_is_markup_stays_text(wide: Any, tmp_path: Path) -> None:
    options = Options("wick3")
    moved = move(hostile_source(), options)
    styles = tuple(replace(s, name=HOSTILE) for s in moved.styles)
    path = tmp_path / "report.html"
    path.write_text(report_page(replace(moved, styles=styles), options), "utf-8")
    opened(wide, path.as_uri())
    assert wide.execute_script("return document.querySelector('h3').textContent") == HOSTILE
    assert wide.execute_script("return document.querySelectorAll('[onerror]').length") == 0
    assert errors(wide) == [] and requests_of(wide) == [path.as_uri()]


def test_it_prints_on_white_with_the_players_left_out(wide: Any, page: str) -> None:
    opened(wide, page)
    wide.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    try:
        ground, shown = wide.execute_script(
            "return [getComputedStyle(document.body).backgroundColor,"
            f"{GALE}.querySelector('[data-player]').offsetParent !== null]"
        )
        assert ground == "rgb(255, 255, 255)" and not shown
        assert len(wide.execute_cdp_cmd("Page.printToPDF", {"printBackground": True})["data"]) > 50_000
    finally:
        wide.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
