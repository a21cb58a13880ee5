"""The same haul on a Dask cluster and through fsspec: the same result, also where a worker dies in mid-run."""

from __future__ import annotations

import os
import signal
import threading
import time
from pathlib import Path
from typing import Any

import pytest
from conftest import Haul, codes, config, tree

from migrate.archive.haul import HaulError
from migrate.archive.model import Limits
from migrate.archive.sources import find
from migrate.archive.store import is_url, local, written

fsspec = pytest.importorskip("fsspec", reason="the extra `cluster` is not installed")


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    folder = tmp_path / "shelf"
    folder.mkdir()
    for n in range(24):
        (folder / f"lamp_{n:02}.h").write_text(config(f"lamp_{n}", 200 + n))
    return folder


def test_two_workers_and_one_of_them_killed_give_the_local_result(shelf: Path, tmp_path: Path, run_haul: Haul) -> None:
    distributed = pytest.importorskip("distributed", reason="the extra `cluster` is not installed")
    run_haul(shelf, out=tmp_path / "local", workers=2)
    with distributed.LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        dashboard_address=None,
        local_directory=str(tmp_path / "dask"),
    ) as cluster:
        victim = next(iter(cluster.workers.values())).pid
        killer = threading.Thread(target=_kill_when_half_done, args=(victim, tmp_path / "far" / "shelf"))
        killer.start()
        summary = run_haul(shelf, out=tmp_path / "far", scheduler=cluster.scheduler_address)
        killer.join()
    assert summary["files"] == {"moved": 24, "passed": 0, "refused": 0}
    assert tree(tmp_path / "far") == tree(tmp_path / "local")


def test_a_cluster_that_does_not_answer_is_a_reason_of_its_own(
    shelf: Path, tmp_path: Path, run_haul: Haul, monkeypatch: pytest.MonkeyPatch
) -> None:
    distributed = pytest.importorskip("distributed", reason="the extra `cluster` is not installed")

    def refused(address: str, **_: Any) -> None:
        raise OSError(f"Timed out trying to connect to {address} after 20 s")

    monkeypatch.setattr(distributed, "Client", refused)
    with pytest.raises(HaulError) as raised:
        run_haul(shelf, out=tmp_path / "far", scheduler="tcp://127.0.0.1:9")
    assert raised.value.code == "no-cluster"
    assert str(raised.value) == (
        "the cluster at tcp://127.0.0.1:9 does not answer: Timed out trying to connect to tcp://127.0.0.1:9 after 20 s"
    )


def _kill_when_half_done(pid: int, folder: Path) -> None:
    """Kills a worker as soon as some of the results are there; fails the test where it never comes to that."""
    for _ in range(1200):
        if folder.is_dir() and 4 <= len(list(folder.glob("*.move.json"))) < 20:
            os.kill(pid, signal.SIGKILL)
            return
        time.sleep(0.05)
    raise AssertionError("the haul was over before a worker could be killed")


def test_a_store_behind_a_url_gives_the_result_of_the_folder(
    shelf: Path, tmp_path: Path, run_haul: Haul, monkeypatch: pytest.MonkeyPatch
) -> None:
    """fsspec's store in memory lives in one process: the worker is called in it."""
    from migrate.archive import haul as module
    from migrate.archive.model import Done, Job, Task
    from migrate.archive.work import handle

    def here(tasks: Any, job: Job, workers: int) -> Any:
        for task in tasks:
            yield task if isinstance(task, Done) else handle(task, job) if isinstance(task, Task) else None

    run_haul(shelf, out=tmp_path / "local")
    store = fsspec.filesystem("memory")
    for path in sorted(shelf.iterdir()):
        store.pipe_file(f"/quay/shelf/{path.name}", path.read_bytes())
    monkeypatch.setattr(module.pool, "run", here)
    summary = run_haul("memory://quay/shelf", out="memory://quay/result", state=tmp_path / "state")
    assert summary["files"]["moved"] == 24
    found = {name: written("memory://quay/result", name) for name in tree(tmp_path / "local")}
    assert found == tree(tmp_path / "local")
    again = run_haul("memory://quay/shelf", out="memory://quay/result", state=tmp_path / "state", resume=True)
    assert again == summary


def test_a_file_url_is_the_file_and_an_unknown_store_is_a_reason(shelf: Path) -> None:
    assert local(f"file://{shelf}") == str(shelf)
    assert is_url("s3://quay/shelf") and not is_url("C:\\quay") and not is_url("quay:/x")
    found = list(find([f"file://{shelf}"], Limits()))
    assert [f.out for f in found][:2] == ["shelf/lamp_00.h", "shelf/lamp_01.h"]


def test_what_a_store_does_not_hold_is_refused(tmp_path: Path, run_haul: Haul) -> None:
    assert codes(run_haul("memory://quay/nowhere/a.h")) == {"vanished": 1}
