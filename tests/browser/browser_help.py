"""What the browser tests ask of a browser."""

from __future__ import annotations

import json
import time
from typing import Any


def errors(browser: Any) -> list[str]:
    """What the console has said since the last call."""
    return [entry["message"] for entry in browser.get_log("browser")]


def requests_of(browser: Any) -> list[str]:
    """Every address that the page has asked for since the last call, data URLs left out."""
    events = [json.loads(entry["message"])["message"] for entry in browser.get_log("performance")]
    urls = [e["params"]["request"]["url"] for e in events if e["method"] == "Network.requestWillBeSent"]
    return [url for url in urls if not url.startswith(("data:", "blob:", "chrome"))]


def until(browser: Any, script: str, *arguments: Any, seconds: float = 30) -> Any:
    """Waits for a script to give something true, and gives that."""
    end = time.monotonic() + seconds
    while True:
        found = browser.execute_script(script, *arguments)
        if found:
            return found
        assert time.monotonic() < end, f"never true: {script}"
        time.sleep(0.05)
