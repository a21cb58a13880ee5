"""What a haul comes to, read from its ledger: nothing here grows with the archive."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from migrate.archive.ledger import Ledger

GRADES = ("same", "close", "changed", "kept", "refused", "unmeasured")
_SHOWN, _WORST = 20, 10


def summarise(ledger: Ledger, target: str) -> dict[str, Any]:
    """The summary, as grammars/schemas/haul.json describes it. Equal results give equal summaries."""
    run = ledger.run
    states = dict(ledger.rows("select state, count(*) from item where run = ? group by state", run))
    return {
        "to": target,
        "files": {state: states.get(state, 0) for state in ("moved", "passed", "refused")},
        "styles": dict(
            ledger.rows("select grade, count(*) from style where run = ? group by grade order by grade", run)
        ),
        "pairs": _pairs(ledger, target),
        "reasons": _reasons(ledger),
        "worst": _worst(ledger),
        "duplicates": _repeats(ledger),
        "exit": ledger.one("select max(exit) from item where run = ?", run) or 0,
    }


def _pairs(ledger: Ledger, target: str) -> list[dict[str, Any]]:
    pairs: dict[str, dict[str, Any]] = {}
    query = "select origin, grade, count(*) from style where run = ? group by origin, grade order by origin, grade"
    for origin, grade, count in ledger.rows(query, ledger.run):
        pair = pairs.setdefault(origin, {"from": origin, "to": target, "styles": 0, "grades": {}})
        pair["styles"] += count
        pair["grades"][grade] = count
    return list(pairs.values())


def _reasons(ledger: Ledger) -> list[dict[str, Any]]:
    """Why files were refused or passed over, and why styles fell short: the most frequent first."""
    files = (
        "select state, code, count(*), min(origin), min(reason) from item where run = ? and code != '' "
        "group by state, code"
    )
    out = [
        {"of": "file", "state": state, "code": code, "count": count, "first": first, "reason": reason}
        for state, code, count, first, reason in ledger.rows(files, ledger.run)
    ]
    styles = (
        "select s.grade, s.note, count(*), min(i.origin || ' ' || s.name) from style s join item i using (run, number) "
        f"where s.run = ? and s.note != '' group by s.grade, s.note order by 3 desc, 1, 2 limit {_SHOWN}"
    )
    out += [
        {"of": "style", "state": grade, "code": "", "count": count, "first": first, "reason": note}
        for grade, note, count, first in ledger.rows(styles, ledger.run)
    ]
    return sorted(out, key=lambda r: (-r["count"], r["of"], r["state"], r["code"], r["reason"]))


def _worst(ledger: Ledger) -> list[dict[str, Any]]:
    query = (
        "select i.out, s.name, s.line, s.origin, s.grade, s.p95, s.largest, s.scene from style s "
        "join item i using (run, number) where s.run = ? and s.p95 is not null "
        f"order by s.p95 desc, s.largest desc, s.number, s.place limit {_WORST}"
    )
    keys = ("file", "style", "line", "from", "grade", "p95", "largest", "scene")
    found = [dict(zip(keys, row, strict=True)) for row in ledger.rows(query, ledger.run)]
    return [{k: round(v, 4) if isinstance(v, float) else v for k, v in one.items()} for one in found]


def _repeats(ledger: Ledger) -> dict[str, Any]:
    grouped = "select count(*) as n from style where run = ? and digest != '' group by digest having n > 1"
    groups, styles = next(ledger.rows(f"select count(*), coalesce(sum(n), 0) from ({grouped})", ledger.run))
    total = ledger.one("select count(*) from style where run = ?", ledger.run)
    return {"groups": groups, "styles": styles, "distinct": total - styles + groups}


def duplicates(ledger: Ledger) -> Iterator[str]:
    """A line of JSON for each meaning that several styles have: the styles, in the order of the sources."""
    query = (
        "select s.digest, i.out, s.name, s.line from style s join item i using (run, number) "
        "join (select digest, min(number * 1000000 + place) as first from style where run = ?1 and digest != '' "
        "group by digest having count(*) > 1) g on g.digest = s.digest "
        "where s.run = ?1 order by g.first, s.number, s.place"
    )
    digest, group = "", list[dict[str, Any]]()
    for found, out, name, line in ledger.rows(query, ledger.run):
        if found != digest and group:
            yield _line(digest, group)
            group = []
        digest = found
        group.append({"file": out, "style": name, "line": line})
    if group:
        yield _line(digest, group)


def _line(digest: str, group: list[dict[str, Any]]) -> str:
    return json.dumps({"meaning": digest[:16], "styles": group}, ensure_ascii=False) + "\n"
