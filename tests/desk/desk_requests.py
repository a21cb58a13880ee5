"""Requests that the desk tests share."""

from __future__ import annotations

from typing import Any

from migrate.resources import demo_path

TEXT = demo_path("lantern_quay.h").read_text("utf-8")
PORT = 8123
HOST = {"host": f"127.0.0.1:{PORT}"}


def body(**more: Any) -> dict[str, Any]:
    """A request about the demo config."""
    return {"name": "lantern_quay.h", "text": TEXT, "to": "wick3", **more}
