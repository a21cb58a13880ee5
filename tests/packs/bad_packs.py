"""The wrong packs of tests/packs_bad: each a pack that is sound but for one fault, and beside it what is said of it."""

from __future__ import annotations

from pathlib import Path

from migrate.packs.checker import check
from migrate.packs.findings import explain_finding

FOLDER = Path(__file__).resolve().parent.parent / "packs_bad"
PACKS = sorted(FOLDER.glob("*.pack"))


def said(pack: Path, where: Path) -> str:
    """What a check says of one wrong pack, copied alone into a folder; its path without that folder."""
    where.mkdir(parents=True, exist_ok=True)
    copy = where / "blade.pack"
    copy.write_bytes(pack.read_bytes())
    lines = copy.read_text("utf-8").split("\n")
    out = [explain_finding(f, lines[f.line - 1]).replace(f"{where}/", "") for f in check((where,))]
    return "\n".join(out) + "\n"
