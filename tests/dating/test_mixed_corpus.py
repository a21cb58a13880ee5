"""Every file of corpora/mixed against the report beside it: `NAME.expected.json`, rewritten only by --update-golden."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from migrate.report.spot import spot_report
from migrate.source import SourceFile
from migrate.spotting import SpotOptions, spot

MIXED = Path(__file__).resolve().parents[2] / "corpora" / "mixed"
SUFFIX = ".expected.json"
INPUTS = sorted(p for p in MIXED.iterdir() if not p.name.endswith(SUFFIX))


def brief(report: dict[str, Any]) -> dict[str, Any]:
    """The report with one line for each construct, and figures to a tenth: what a person can check against the text."""
    out = {key: report[key] for key in ("skipped", "declared", "read_as", "mixed", "repair", "exit")}
    out["pieces"] = [
        {
            **{key: piece[key] for key in ("name", "kind", "line", "whole", "read_as", "because", "left_alone")},
            "conflict": [f"{c['line']}:{c['column']} {c['name']}" for c in piece["conflict"]],
            "constructs": [
                f"{c['line']}:{c['column']} {c['name']}: {c['dated'] or 'not dated'}, {c['certainty']}"
                for c in piece["constructs"]
            ],
        }
        for piece in report["pieces"]
    ]
    out["readings"] = [
        {
            **{key: reading[key] for key in ("name", "line", "today", "against", "supports", "verdict")},
            "others": [_other(other) for other in reading["others"]],
        }
        for reading in report["readings"]
    ]
    out["diagnostics"] = [
        f"{d['line']}:{d['column']} {d['severity']} {d['code']}: {d['message']}"
        for d in report["diagnostics"]
        if d["code"] not in ("false-friend", "other-reading")  # their figures are above
    ]
    return out


def _other(other: dict[str, Any]) -> str:
    figures = other["figures"]
    if figures is None:
        return f"{other['generation']}: {'equal' if other['equal'] else 'not measured'}"
    first = figures["first"]
    seen = f", first at frame {first['frame']}" if first else ""
    return f"{other['generation']}: largest {figures['largest']:.1f}, {'close' if other['close'] else 'apart'}{seen}"


@pytest.mark.parametrize("path", INPUTS, ids=lambda p: p.name)
def test_report_is_the_one_beside_the_input(path: Path, update_golden: bool) -> None:
    source = SourceFile(path.name, path.read_bytes())
    if path.suffix == ".h" and b'#include "' in source.data:
        source = SourceFile(str(path), source.data)  # its local includes stand beside it
    found = brief(spot_report(spot(source, SpotOptions())))
    found["repair"] = found["repair"].replace(str(path), path.name)
    beside = path.with_name(path.name + SUFFIX)
    if update_golden:
        beside.write_text(json.dumps(found, ensure_ascii=False, indent=1) + "\n", "utf-8")
    assert beside.exists(), f"no expected report for {path.name}: look at the new one, then run with --update-golden"
    assert found == json.loads(beside.read_text("utf-8"))


def test_every_expected_report_has_its_input() -> None:
    names = {p.name for p in INPUTS}
    orphans = [p.name for p in MIXED.glob("*" + SUFFIX) if p.name.removesuffix(SUFFIX) not in names]
    assert not orphans


def test_the_corpus_is_as_large_as_it_has_to_be() -> None:
    kinds = [p.name.split("_")[0] for p in INPUTS]
    assert len(INPUTS) >= 60
    assert kinds.count("fragment") >= 20
    assert kinds.count("damaged") >= 20
