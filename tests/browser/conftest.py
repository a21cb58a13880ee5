"""A real browser for the pages: Debian's chromium, headless. Where it, its driver or selenium lacks, tests skip."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tarfile
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
    "--force-device-scale-factor=1",
)
AXE = "axe-core@4.14.1"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture(scope="session")
def start_browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., Any]]:
    """Starts a browser of a given width; all are ended with the session."""
    pytest.importorskip("selenium", reason="selenium is not installed: pip install 'rehilt[browser]'")
    chromium, driver = shutil.which("chromium"), shutil.which("chromedriver")
    if chromium is None or driver is None:
        pytest.skip("no browser: apt-get install -y chromium chromium-driver")
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    started: list[Any] = []

    def start(width: int = 1600, height: int = 1000, reduced_motion: bool = False) -> Any:
        options = webdriver.ChromeOptions()
        options.binary_location = chromium
        downloads = tmp_path_factory.mktemp("downloads")
        for flag in (*FLAGS, f"--user-data-dir={tmp_path_factory.mktemp('profile')}"):
            options.add_argument(flag)
        options.add_experimental_option("prefs", {"download.default_directory": str(downloads)})
        options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
        browser = webdriver.Chrome(options=options, service=Service(driver))
        started.append(browser)
        metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
        if reduced_motion:
            features = [{"name": "prefers-reduced-motion", "value": "reduce"}]
            browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": features})
        browser.downloads = downloads
        return browser

    yield start
    for browser in started:
        browser.quit()


@pytest.fixture(scope="session")
def wide(start_browser: Callable[..., Any]) -> Any:
    """1600 pixels wide."""
    return start_browser(1600)


@pytest.fixture(scope="session")
def narrow(start_browser: Callable[..., Any]) -> Any:
    """400 pixels wide."""
    return start_browser(400)


@pytest.fixture(scope="session")
def axe(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Any], list[str]]:
    """Runs axe-core, from npm, on the page that a browser shows; gives its violations in words."""
    script = _axe_script(tmp_path_factory)

    def run(browser: Any) -> list[str]:
        browser.execute_script(script)
        found = browser.execute_async_script(
            "const done = arguments[arguments.length - 1];"
            "axe.run(document, { runOnly: arguments[0] })"
            ".then((r) => done(r.violations), (e) => done([{ id: String(e), nodes: [] }]))",
            RULES,
        )
        return [
            f"{v['id']}: {node['html'][:140]} {node['failureSummary'][:200]}" for v in found for node in v["nodes"][:3]
        ] + [v["id"] for v in found if not v["nodes"]]

    return run


def _axe_script(tmp_path_factory: pytest.TempPathFactory) -> str:
    kept = Path(os.environ.get("XDG_CACHE_HOME", Path.home() / ".cache")) / "rehilt-tests" / "axe-4.14.1.min.js"
    if not kept.is_file():
        npm = shutil.which("npm")
        if npm is None:
            pytest.skip("no npm to get axe-core with")
        folder = tmp_path_factory.mktemp("axe")
        done = subprocess.run([npm, "pack", AXE], cwd=folder, capture_output=True, text=True, timeout=120, check=False)
        packed = next(folder.glob("axe-core-*.tgz"), None)
        if packed is None:
            pytest.skip(f"npm pack {AXE} failed: {done.stderr.strip().splitlines()[-1:]}")
        with tarfile.open(packed) as archive:
            member = archive.extractfile("package/axe.min.js")
            assert member is not None
            kept.parent.mkdir(parents=True, exist_ok=True)
            kept.write_bytes(member.read())
    return kept.read_text("utf-8")


@pytest.fixture(scope="session")
def desk_url() -> Iterator[str]:
    """The desk, served by its own command."""
    pytest.importorskip("uvicorn", reason="the desk's extra is not installed: pip install 'rehilt[desk]'")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "migrate.cli", "desk", "--no-browser", "--port", str(port)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    url = f"http://127.0.0.1:{port}/"
    try:
        for _ in range(150):
            try:
                urllib.request.urlopen(url, timeout=1).close()
                break
            except OSError:
                assert process.poll() is None, process.stdout.read() if process.stdout else ""
                time.sleep(0.2)
        yield url
    finally:
        process.terminate()
        process.wait(10)
