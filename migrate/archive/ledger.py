"""What a haul has done so far, on disk: an SQLite file, so that a stop at any moment loses no more than a moment.

A row is a claim, not a proof: `--resume` hashes source, text and report again before it believes one.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from migrate.archive.model import Done, Found, Known
from migrate.archive.names import folded

_TABLES = """
create table if not exists meta (key text primary key, value text not null);
create table if not exists item (
  run integer, number integer, out text, origin text, state text, code text, reason text,
  source_hash text, text_hash text, report_hash text, exit integer, seconds real,
  primary key (run, number));
create index if not exists item_out on item (out);
create table if not exists style (
  run integer, number integer, place integer, name text, line integer, origin text, grade text, rounding real,
  p95 real, largest real, scene text, digest text, note text,
  primary key (run, number, place));
create index if not exists style_digest on style (digest);
create temp table taken (folded text primary key);
"""
_EVERY = 0.5  # seconds between commits


class Ledger:
    """The rows of one haul; those of runs before this one stay until they are confirmed or the run ends."""

    def __init__(self, path: Path) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        self.database = sqlite3.connect(path, isolation_level=None)
        self._committed = time.monotonic()
        try:
            self.database.executescript("pragma journal_mode = delete; pragma temp_store = file;" + _TABLES)
            self.run = 1 + (self.one("select max(run) from item") or 0)
            self.database.execute("begin")
        except sqlite3.Error:
            self.database.close()
            raise

    def one(self, query: str, *values: Any) -> Any:
        """The first column of the first row, or None."""
        row = self.database.execute(query, values).fetchone()
        return row[0] if row else None

    def rows(self, query: str, *values: Any) -> Iterator[tuple[Any, ...]]:
        """The rows of a query, one at a time."""
        yield from self.database.execute(query, values)

    def meta(self, key: str) -> str | None:
        found = self.one("select value from meta where key = ?", key)
        return None if found is None else str(found)

    def set_meta(self, key: str, value: str) -> None:
        self.database.execute("insert or replace into meta values (?, ?)", (key, value))
        self.commit()

    def take(self, *names: str) -> bool:
        """Claims names for this run; False where one is taken, also by a name that differs only in case."""
        for name in names:
            added = self.database.execute("insert or ignore into taken values (?)", (folded(name),))
            if added.rowcount == 0:
                return False
        return True

    def known(self, found: Found) -> Known | None:
        """The hashes of the latest earlier result for the same place."""
        row = self.database.execute(
            "select source_hash, text_hash, report_hash from item "
            "where out = ? and origin = ? and text_hash != '' and run < ? order by run desc limit 1",
            (found.out, found.origin, self.run),
        ).fetchone()
        return Known(*row) if row else None

    def enter(self, found: Found, done: Done) -> None:
        """Notes what became of one thing."""
        if done.reused:
            self._confirm(found, done)
        else:
            code, reason = (done.refusal.code, done.refusal.reason) if done.refusal else ("", "")
            hashes = done.hashes or Known("", "", "")
            self.database.execute(
                f"insert or replace into item values ({', '.join('?' * 12)})",
                (self.run, done.number, found.out, found.origin, done.state, code, reason, hashes.source, hashes.text,
                 hashes.report, done.exit, done.seconds),
            )  # fmt: skip
            self.database.executemany(
                f"insert or replace into style values ({', '.join('?' * 13)})",
                [
                    (self.run, done.number, place, s.name, s.line, s.origin, s.grade, s.rounding, s.p95, s.largest,
                     s.scene, s.digest, s.note)
                    for place, s in enumerate(done.styles)
                ],
            )  # fmt: skip
        if time.monotonic() - self._committed > _EVERY:
            self.commit()

    def _confirm(self, found: Found, done: Done) -> None:
        """Carries the rows of an earlier run over to this one."""
        old = self.database.execute(
            "select run, number from item where out = ? and origin = ? and text_hash != '' and run < ? "
            "order by run desc limit 1",
            (found.out, found.origin, self.run),
        ).fetchone()
        for table in ("item", "style"):
            self.database.execute(
                f"update {table} set run = ?, number = ? where run = ? and number = ?", (self.run, done.number, *old)
            )

    def commit(self) -> None:
        """Puts everything so far on disk."""
        self.database.execute("commit")
        self.database.execute("begin")
        self._committed = time.monotonic()

    def forgotten(self) -> list[str]:
        """The places that only earlier runs wrote: what the sources no longer hold."""
        query = (
            "select distinct out from item where run < ? and text_hash != '' "
            "and out not in (select out from item where run = ?)"
        )
        return [out for (out,) in self.rows(query, self.run, self.run)]

    def forget(self) -> None:
        """Drops the rows of earlier runs."""
        for table in ("item", "style"):
            self.database.execute(f"delete from {table} where run < ?", (self.run,))
        self.commit()

    def close(self) -> None:
        try:
            self.database.execute("commit")
        finally:
            self.database.close()
