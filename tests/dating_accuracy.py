"""`python -m tests.dating_accuracy`: how well the labelled corpora are dated, per construct and per file.

The labels come from the corpora themselves: a file is of its folder's generation, and a construct in it of the
generation whose pack holds the signature by which the folder's generation accepts it (its own, or an older one's
through a compat header or a prefix). Every file is dated twice: as it is, and with its marker and its includes
blanked out, so that only the code speaks.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from migrate.concrete.parse import parse
from migrate.dating.dating import Dating, survey
from migrate.packs.library import library
from migrate.scope import scope_of
from migrate.source import SourceFile

CORPORA = Path(__file__).resolve().parents[1] / "corpora"
_SAYS = re.compile(rb"^[ \t]*#[ \t]*(?:include|define[ \t]+WICK_GENERATION)[^\r\n]*", re.MULTILINE)


@dataclass
class Tally:
    """Counts of verdicts; `wrong` lists what was dated with confidence and wrongly."""

    constructs: Counter[str] = field(default_factory=Counter)
    files: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)


def dated(data: bytes, name: str) -> Dating:
    """The dating of a text, all of its branches at once."""
    source = SourceFile(name, data)
    parsed = parse(source)
    return survey(parsed, scope_of(source, parsed.items), library())


def undeclared(data: bytes) -> bytes:
    """The text without what it says of its generation, every other byte in its place."""
    return _SAYS.sub(lambda m: b" " * len(m[0]), data)


def count(data: bytes, label: str, name: str, tally: Tally) -> None:
    """Adds one file's verdicts."""
    found = dated(data, name)
    for ruling in found.rulings:
        site = ruling.site
        if label not in site.accepts:
            tally.constructs["unknown name" if not site.known else "not accepted"] += 1
            if site.known:
                tally.wrong.append(f"{name}: {site.name} is not accepted by {label}")
            continue
        right = site.accepts[label].origin
        kind = "one reading" if len(site.origins) == 1 else "several readings"
        verdict = "ambiguous" if ruling.generation is None else "right" if ruling.generation == right else "wrong"
        tally.constructs[f"{kind}, {verdict}"] += 1
        if verdict == "wrong":
            tally.wrong.append(f"{name}: {site.name} is dated {ruling.generation}, it is of {right}")
    if not found.settled:
        tally.files["ambiguous"] += 1
    else:
        tally.files["right" if found.generation == label else "wrong"] += 1
        if found.generation != label:
            tally.wrong.append(f"{name}: the file is dated {found.generation}")


def labelled() -> list[tuple[Path, str]]:
    """The files with their labels: each generation's folder, and the demo, which is of the second."""
    names = list(library())
    folders = [(CORPORA / name, name) for name in names] + [(CORPORA / "demo", names[1])]
    return [(path, label) for folder, label in folders for path in sorted(folder.glob("*.h"))]


def measure(strip: bool) -> Tally:
    """The tally over all labelled files, declared as they are or stripped."""
    tally = Tally()
    for path, label in labelled():
        data = path.read_bytes()
        count(undeclared(data) if strip else data, label, f"{path.parent.name}/{path.name}", tally)
    return tally


def main() -> int:
    """Prints both tables; exit status 1 where anything was dated wrongly with confidence."""
    sys.setrecursionlimit(10_000)
    failed = False
    for strip, title in ((False, "as they are"), (True, "with marker and includes blanked")):
        tally = measure(strip)
        total, files = sum(tally.constructs.values()), sum(tally.files.values())
        print(f"{title}: {total} constructs in {files} files")
        for verdict, n in sorted(tally.constructs.items()):
            print(f"  constructs, {verdict:<28} {n:>6}  {n / total:7.2%}")
        for verdict, n in sorted(tally.files.items()):
            print(f"  files, {verdict:<33} {n:>6}  {n / files:7.2%}")
        for line in tally.wrong:
            print(f"  wrong: {line}")
        failed = failed or bool(tally.wrong)
    return int(failed)


if __name__ == "__main__":
    sys.exit(main())
