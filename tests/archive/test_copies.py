"""Copies cost little: a proof is made once for all of them, a source is read once, and neither changes a result."""

from __future__ import annotations

import pickle
from pathlib import Path
from typing import Any

import pytest
from conftest import tree

from migrate import measuring, pipeline
from migrate.archive import pool
from migrate.archive.haul import Plan, haul
from migrate.archive.model import Found, Job, Task
from migrate.archive.work import handle
from migrate.pipeline import Options, move
from migrate.recent import Recent
from migrate.render import draw
from migrate.source import SourceFile

# Wick 3 mixes no Oklab, so that a move down has to be rendered.
COPY = (
    "#define WICK_GENERATION 4\n#include <wick/score.h>\nusing namespace wick;\nconstexpr int blade_pixels = 132;\n"
    "constexpr int pixels_per_metre = 144;\nusing {name} = score<ground<blend<srgb<{red}, 20, 60>, srgb<0, 90, 200>,"
    "{gap}by<lfo<sine, period<ms<900>>>>, in<oklab>>>, power<rise<wipe<over<ms<300>>>>, fall<wipe<over<ms<300>>>>>>;\n"
)


def text(name: str, red: int = 250, gap: str = " ") -> SourceFile:
    return SourceFile(f"{name}.h", COPY.format(name=name, red=red, gap=gap).encode())


@pytest.fixture
def renders(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """A cold memory of proofs, and what is rendered from now on."""
    seen: list[Any] = []
    real = draw.render

    def counted(*given: Any) -> Any:
        seen.append(given)
        return real(*given)

    monkeypatch.setattr(measuring, "_PROOFS", Recent(8))
    monkeypatch.setattr(draw, "render", counted)
    return seen


def test_a_copy_with_another_name_and_layout_is_not_rendered_again(renders: list[Any]) -> None:
    first = move(text("quay"), Options("wick3"))
    assert first.styles[0].figures is not None and len(renders) == 2
    second = move(text("pier", gap="\n    /* as in the spring run */ "), Options("wick3"))
    assert len(renders) == 2
    assert second.styles[0].figures == first.styles[0].figures
    assert second.styles[0].digest == first.styles[0].digest


def test_what_one_process_measured_another_need_not(renders: list[Any], monkeypatch: pytest.MonkeyPatch) -> None:
    measuring.news()
    first = move(text("quay"), Options("wick3"))
    told = pickle.loads(pickle.dumps(measuring.news()))
    assert len(told) == 1 and measuring.news() == ()
    monkeypatch.setattr(measuring, "_PROOFS", Recent(8))  # as in a process that has measured nothing
    measuring.learn(told)
    second = move(text("pier"), Options("wick3"))
    assert len(renders) == 2 and second.styles[0].figures == first.styles[0].figures


def test_workers_are_told_what_others_measured(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    told: list[int] = []
    real = pool._Worker.give

    def counted(worker: pool._Worker, task: Task, tries: int = 1) -> None:
        told.append(len(worker.untold))
        real(worker, task, tries)

    monkeypatch.setattr(pool._Worker, "give", counted)
    for n in range(6):
        (tmp_path / f"{n}.h").write_bytes(text(f"quay_{n}", red=40 * n).data)
    files = [Found(f"{n}.h", "", str(tmp_path / f"{n}.h")) for n in range(6)]
    job = Job(Options("wick3"), str(tmp_path / "out"))
    done = list(pool.run((Task(n, found) for n, found in enumerate(files)), job, 2))
    assert sorted(d.number for d in done) == list(range(6)) and all(d.state == "moved" for d in done)
    assert told[:2] == [0, 0] and sum(told) >= 2  # the last answers come when nothing is left to give


def test_what_differs_by_one_number_is_rendered(renders: list[Any]) -> None:
    first, second = (move(text("quay", red), Options("wick3")).styles[0] for red in (250, 20))
    assert len(renders) == 4
    assert first.digest != second.digest


def test_another_scene_is_rendered(renders: list[Any]) -> None:
    move(text("quay"), Options("wick3"))
    move(text("quay"), Options("wick3", scenes=("probe", "probe")))
    assert len(renders) == 2


def test_a_memory_forgets_what_was_used_longest_ago() -> None:
    kept: Recent[str, int] = Recent(2)
    for key in ("bell", "quay", "bell", "lamp"):
        kept.get(key, lambda: 1)
    assert kept.get("bell", lambda: 2) == 1
    assert kept.get("quay", lambda: 2) == 2


def test_copies_spread_over_workers_come_out_as_from_one(tmp_path: Path) -> None:
    folder = tmp_path / "copies"
    folder.mkdir()
    for n in range(8):
        name = f"lamp_{n}"
        (folder / f"{name}.h").write_bytes(text(name, 250 - n % 2, " " if n % 3 else "\n").data)
    for workers in (1, 3):
        job = Job(Options("wick3"), str(tmp_path / f"by_{workers}"))
        summary = haul(Plan((str(folder),), job, workers))
        assert summary["duplicates"] == {"groups": 2, "styles": 8, "distinct": 2}
        assert len(summary["worst"]) == 8
    assert tree(tmp_path / "by_1") == tree(tmp_path / "by_3")


def test_a_haul_reads_each_source_only_as_often_as_a_move(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    seen: list[str] = []
    real = pipeline.read

    def counted(source: SourceFile, *given: Any, **more: Any) -> Any:
        seen.append(source.name)
        return real(source, *given, **more)

    monkeypatch.setattr(pipeline, "read", counted)
    move(text("quay"), Options("wick3", prove=False))
    moved, seen[:] = len(seen), []
    job = Job(Options("wick3", prove=False), str(tmp_path / "out"))
    done = handle(Task(0, Found("quay.h", "quay.h", data=text("quay").data)), job)
    assert done.styles[0].digest
    assert len(seen) == moved
