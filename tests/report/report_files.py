"""Moves that the report tests share."""

from __future__ import annotations

from functools import cache

from migrate.pipeline import Moved, Options, move
from migrate.report.demo import demo_job
from migrate.report.html.report import report_page
from migrate.resources import demo_path
from migrate.source import SourceFile

HOSTILE = "<img src=x onerror=alert(1)>"


@cache
def demo_moved() -> tuple[Moved, Options]:
    """The demo config, moved as the demo moves it."""
    job = demo_job()
    source = SourceFile(job.config, demo_path(job.config).read_bytes())
    options = Options(job.to)
    return move(source, options), options


@cache
def demo_page() -> str:
    """Its report."""
    return report_page(*demo_moved())


def hostile_source() -> SourceFile:
    """A config whose file name, label and comment all try to be markup."""
    text = (
        '#define WICK_GENERATION 2\n#include "wick2.h"\nconstexpr int blade_pixels = 24;\n'
        f"// {HOSTILE} </script><script>alert(2)</script>\n"
        "using quay_light = power_sleeve<rgb<255, 120, 40>, 300, 450>;\n"
        f'wick_slots slots = {{\n  slot<quay_light>("quay", "{HOSTILE}"),\n}};\n'
    )
    return SourceFile(f"{HOSTILE}.h", text.encode())
