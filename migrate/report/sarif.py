"""Diagnostics as SARIF 2.1.0 (OASIS), for editors and code hosts. Columns count Unicode code points."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from migrate.concrete.edits import Edit
from migrate.diagnostics import Diagnostic
from migrate.source import SourceFile, Span

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"


@dataclass(frozen=True)
class FileResults:
    """One file's diagnostics and, where there is one, the edits of the repair on offer."""

    source: SourceFile
    diagnostics: Sequence[Diagnostic]
    repair: Sequence[Edit] = ()
    repair_codes: frozenset[str] = frozenset()


def sarif(files: Iterable[FileResults], version: str, help_texts: Mapping[str, str]) -> dict[str, Any]:
    """The log object. `help_texts` holds the page of each code, in Markdown."""
    every = list(files)
    codes = sorted({d.code for f in every for d in f.diagnostics})
    return {
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [
            {
                "tool": {
                    "driver": {"name": "rehilt", "version": version, "rules": [_rule(c, help_texts) for c in codes]}
                },
                "columnKind": "unicodeCodePoints",
                "artifacts": [{"location": {"uri": _uri(f.source.name)}, "encoding": f.source.encoding} for f in every],
                "results": [_result(f, d, codes) for f in every for d in f.diagnostics],
            }
        ],
    }


def _rule(code: str, help_texts: Mapping[str, str]) -> dict[str, Any]:
    rule: dict[str, Any] = {"id": code}
    page = help_texts.get(code, "")
    if page:
        first = page.split("\n\n")[0].strip()
        rule["shortDescription"] = {"text": first}
        rule["help"] = {"text": page, "markdown": page}
    return rule


def _result(file: FileResults, found: Diagnostic, codes: list[str]) -> dict[str, Any]:
    text = f"{found.message}. {found.hint}" if found.hint else found.message
    result: dict[str, Any] = {
        "ruleId": found.code,
        "ruleIndex": codes.index(found.code),
        "level": found.severity,
        "message": {"text": text},
        "locations": [
            {
                "physicalLocation": {
                    "artifactLocation": {"uri": _uri(file.source.name)},
                    "region": region(file.source, found.span),
                }
            }
        ],
    }
    if file.repair and found.code in file.repair_codes:
        result["fixes"] = [_fix(file)]
    return result


def region(source: SourceFile, span: Span) -> dict[str, int]:
    """Lines and columns from 1, the end column behind the last character."""
    line, column = source.place(span.start)
    end_line, end_column = source.place(max(span.end, span.start))
    return {"startLine": line, "startColumn": column, "endLine": end_line, "endColumn": end_column}


def _fix(file: FileResults) -> dict[str, Any]:
    replacements = [
        {
            "deletedRegion": region(file.source, Span(edit.start, edit.end)),
            "insertedContent": {"text": edit.text.decode(file.source.encoding, "replace")},
        }
        for edit in file.repair
    ]
    change = {"artifactLocation": {"uri": _uri(file.source.name)}, "replacements": replacements}
    return {"description": {"text": "the repair that --repair shows"}, "artifactChanges": [change]}


def _uri(name: str) -> str:
    return quote(name.replace("\\", "/"), safe="/:._-~")
