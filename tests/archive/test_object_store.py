"""Hauls from and to a real object store: a server that speaks the S3 protocol over HTTP, here moto's, and s3fs."""

from __future__ import annotations

import logging
import os
import signal
import subprocess
import sys
import time
import urllib.request
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from conftest import Haul, codes, config, tree

from migrate.archive import haul as module
from migrate.archive.command import haul as haul_command
from migrate.archive.model import Limits
from migrate.archive.sources import find
from migrate.archive.store import opened, remove, write_bytes, written

moto = pytest.importorskip("moto.server", reason="a server of the S3 protocol is not installed")
s3fs = pytest.importorskip("s3fs", reason="s3fs is not installed")

ROOT = Path(__file__).resolve().parents[2]
BUCKET = "quay"


@pytest.fixture(scope="module")
def server() -> Iterator[str]:
    """The address of a server on a free port of this machine."""
    logging.getLogger("werkzeug").setLevel(logging.ERROR)  # or each request is a line
    running = moto.ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    running.start()
    host, port = running.get_host_and_port()
    yield f"http://{host}:{port}"
    running.stop()


@pytest.fixture
def store(server: str, monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    """An empty bucket, reached as fsspec and the S3 client document it: through the environment alone."""
    ask(server, "reset")
    environment = {
        "AWS_ENDPOINT_URL": server,
        "AWS_ACCESS_KEY_ID": "quay",
        "AWS_SECRET_ACCESS_KEY": "lantern",
        "AWS_DEFAULT_REGION": "us-east-1",
        "AWS_EC2_METADATA_DISABLED": "true",
        "AWS_CONFIG_FILE": os.devnull,
        "AWS_SHARED_CREDENTIALS_FILE": os.devnull,
    }
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    s3fs.S3FileSystem.clear_instance_cache()
    fs = s3fs.S3FileSystem()
    fs.mkdir(BUCKET)
    yield fs
    ask(server, "reset-auth", b"inf")
    s3fs.S3FileSystem.clear_instance_cache()


def ask(server: str, what: str, data: bytes = b"") -> None:
    """Has the server forget everything (`reset`), or check credentials from its n-th request on (`reset-auth`)."""
    request = urllib.request.Request(f"{server}/moto-api/{what}", data, {"Content-Type": "text/plain"}, method="POST")
    urllib.request.urlopen(request).close()


def place(folder: Path, store: Any, names: dict[str, str]) -> None:
    """Puts the same files into a folder and into the bucket."""
    for name, text in names.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
        store.pipe_file(f"{BUCKET}/{name}", text.encode())


def shelf(folder: Path, store: Any) -> list[str]:
    """A folder for a pattern, one to go down into, and an archive; the three sources, relative to where they lie."""
    lamps = {f"old/lamp_{n}.h": config(f"lamp_{n}", 200 + n) for n in range(4)}
    others = {"old/notes.md": "no style", "old/.kept.h": config("kept"), "old/deep/far.h": config("far", 90)}
    # The order of a folder is not that of its keys: `a` comes before `a-b`, and with it all that it holds.
    trunk = {f"trunk/{name}/one.h": config(f"one_{n}", 40 + n) for n, name in enumerate(("a", "a-b", "a.h"))}
    place(folder, store, lamps | others | trunk | {"trunk/keys.txt": "the harbour office has them"})
    with zipfile.ZipFile(folder / "box.zip", "w") as archive:
        archive.writestr("in/bell.h", config("bell", 70))
        archive.writestr("../out.h", config("out", 71))
    store.put_file(str(folder / "box.zip"), f"{BUCKET}/box.zip")
    return ["old/*.h", "trunk", "box.zip"]


def stored(store: Any, folder: str = "new") -> dict[str, bytes]:
    """Everything below a folder of the bucket, by name."""
    store.invalidate_cache()
    root = f"{BUCKET}/{folder}/"
    return {name.removeprefix(root): store.cat_file(name) for name in store.find(root) if name.startswith(root)}


def command(*given: str, **environment: str) -> subprocess.Popen[str]:
    """`rehilt haul` in a process group of its own."""
    paths = os.pathsep.join((str(ROOT), *sys.path))
    return subprocess.Popen(
        [sys.executable, "-m", "migrate.cli", "haul", *given, "--to", "wick4", "--workers", "2"],
        cwd=ROOT, env={**os.environ, "PYTHONPATH": paths, **environment}, start_new_session=True, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip


def refused(*given: str, **environment: str) -> str:
    """What a haul says that ends with 2; whatever it is, it is no traceback."""
    child = command(*given, **environment)
    said, wrong = child.communicate(timeout=60)
    assert child.returncode == 2, said + wrong
    assert "Traceback" not in said + wrong
    return " ".join((said + wrong).split())


def test_a_bucket_gives_the_result_of_the_folder_byte_for_byte(store: Any, tmp_path: Path, run_haul: Haul) -> None:
    sources = shelf(tmp_path / "here", store)
    here = run_haul(*(tmp_path / "here" / s for s in sources), out=tmp_path / "local", workers=2)
    urls = [f"s3://{BUCKET}/{s}" for s in sources]
    target: dict[str, Any] = {"out": f"s3://{BUCKET}/new", "state": tmp_path / "state", "workers": 2}
    summary = run_haul(*urls, **target)
    assert summary["files"] == here["files"] == {"moved": 8, "passed": 1, "refused": 1}
    assert codes(summary) == codes(here) == {"no-styles": 1, "escaping-name": 1}
    # The summaries name the sources, which differ; all else is equal.
    local, far = tree(tmp_path / "local"), stored(store)
    assert {n for n in local.keys() | far.keys() if local.get(n) != far.get(n)} == {"haul.json", "haul.txt"}
    for name in ("haul.json", "haul.txt"):
        assert far[name].decode().replace(f"s3://{BUCKET}", str(tmp_path / "here")) == local[name].decode()
    # Again, after one of the results was damaged: that one is made anew, the others are left as they are.
    whole = store.info(f"{BUCKET}/new/old/lamp_1.h")["LastModified"]
    time.sleep(1.1)  # the store tells times in seconds
    store.pipe_file(f"{BUCKET}/new/old/lamp_0.h", far["old/lamp_0.h"][:40])
    assert run_haul(*urls, **target, resume=True) == summary
    assert stored(store) == far
    assert store.info(f"{BUCKET}/new/old/lamp_1.h")["LastModified"] == whole


def test_a_killed_haul_shows_whole_objects_only_and_goes_on(store: Any, tmp_path: Path, run_haul: Haul) -> None:
    place(tmp_path, store, {f"old/lamp_{n:02}.h": config(f"lamp_{n}", 60 + n) for n in range(20)})
    run_haul(tmp_path / "old", out=tmp_path / "local", workers=2)
    given = (f"s3://{BUCKET}/old", "--out", f"s3://{BUCKET}/new", "--state", str(tmp_path / "state"))
    child = command(*given)
    while len(visible := stored(store)) < 4:
        assert child.poll() is None, child.communicate()
        time.sleep(0.05)
    os.killpg(child.pid, signal.SIGKILL)
    child.communicate()
    visible |= stored(store)
    whole = tree(tmp_path / "local")
    assert 4 <= len(visible) < 40 and visible.items() <= whole.items()
    again = command(*given, "--resume")
    said, wrong = again.communicate(timeout=60)
    assert again.returncode == 0 and not wrong, said + wrong
    assert stored(store) == whole


@pytest.mark.slow
def test_two_workers_of_a_cluster_write_to_the_bucket(store: Any, tmp_path: Path, run_haul: Haul) -> None:
    distributed = pytest.importorskip("distributed", reason="the extra `cluster` is not installed")
    place(tmp_path, store, {f"old/lamp_{n}.h": config(f"lamp_{n}", 60 + n) for n in range(6)})
    run_haul(tmp_path / "old", out=tmp_path / "local")
    local = str(tmp_path / "dask")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, local_directory=local
    ) as cluster:
        target: dict[str, Any] = {"out": f"s3://{BUCKET}/new", "state": tmp_path / "state"}
        run_haul(f"s3://{BUCKET}/old", **target, scheduler=cluster.scheduler_address)
    assert stored(store) == tree(tmp_path / "local")


def test_a_bucket_that_is_not_there_is_a_reason_and_is_not_made(store: Any, tmp_path: Path, run_haul: Haul) -> None:
    for source in ("s3://nowhere/old", "s3://nowhere/old/*.h", "s3://nowhere/a.h", f"s3://{BUCKET}/old/lamp.h"):
        found = codes(run_haul(source, out=tmp_path / source.replace("/", "-")))
        assert found == {"vanished": 1}, source
    place(tmp_path, store, {"old/lamp.h": config()})
    state = ("--state", str(tmp_path / "state"))
    said = refused(f"s3://{BUCKET}/old", "--out", "s3://nowhere/new", *state)
    assert "[vanished] s3://nowhere/new: cannot write it: there is no bucket nowhere" in said
    with pytest.raises(FileNotFoundError, match="bucket does not exist"):
        write_bytes("s3://nowhere/new", "a/lamp.h", b"")
    assert store.ls("") == [BUCKET]


def test_what_credentials_do_not_open_is_a_reason(store: Any, server: str, tmp_path: Path) -> None:
    place(tmp_path, store, {"old/lamp.h": config()})
    ask(server, "reset-auth", b"0")
    source, target = f"s3://{BUCKET}/old", ("--out", f"s3://{BUCKET}/new", "--state", str(tmp_path / "state"))
    assert "[no-access] s3://quay/new: cannot write it: " in refused(str(tmp_path / "old"), *target)
    assert "no-access" in refused(source, "--out", str(tmp_path / "out"))
    said = refused(source, *target, AWS_ACCESS_KEY_ID="", AWS_SECRET_ACCESS_KEY="")
    assert "[no-access] s3://quay/new: cannot write it: Unable to locate credentials" in said
    ask(server, "reset-auth", b"inf")
    assert stored(store) == {}


def test_credentials_that_are_withdrawn_in_mid_haul_cost_what_is_left(
    store: Any, server: str, tmp_path: Path, run_haul: Haul, monkeypatch: pytest.MonkeyPatch
) -> None:
    place(tmp_path, store, {f"old/lamp_{n}.h": config(f"lamp_{n}", 60 + n) for n in range(4)})

    def then_denied(*given: Any) -> Iterator[Any]:
        for found in find(*given):
            if found.out == "old/lamp_2.h":
                ask(server, "reset-auth", b"0")
            yield found

    monkeypatch.setattr(module, "find", then_denied)
    target: dict[str, Any] = {"out": f"s3://{BUCKET}/new", "state": tmp_path / "state"}
    summary = run_haul(f"s3://{BUCKET}/old", **target)
    found = codes(summary)
    assert found["no-access"] >= 2 and summary["exit"] == 2  # the summary itself cannot be written either
    ask(server, "reset-auth", b"inf")
    monkeypatch.setattr(module, "find", find)
    here = run_haul(tmp_path / "old", out=tmp_path / "local")
    assert run_haul(f"s3://{BUCKET}/old", **target, resume=True) == here
    assert stored(store) == tree(tmp_path / "local")


def test_a_key_that_vanishes_in_mid_haul_costs_itself_alone(
    store: Any, tmp_path: Path, run_haul: Haul, monkeypatch: pytest.MonkeyPatch
) -> None:
    place(tmp_path, store, {f"old/lamp_{n}.h": config(f"lamp_{n}", 60 + n) for n in range(4)})
    store.pipe_file(f"{BUCKET}/old/lamp_1_box.zip", b"no archive")

    def then_gone(*given: Any) -> Iterator[Any]:
        for n, found in enumerate(find(*given)):
            if n == 0:
                store.rm_file(f"{BUCKET}/old/lamp_1_box.zip")
                store.rm_file(f"{BUCKET}/old/lamp_3.h")
            yield found

    monkeypatch.setattr(module, "find", then_gone)
    summary = run_haul(f"s3://{BUCKET}/old", out=tmp_path / "out", workers=2)
    assert summary["files"] == {"moved": 3, "passed": 0, "refused": 2}
    assert codes(summary) == {"vanished": 2}
    assert (tmp_path / "out/old/lamp_2.h").exists()


def test_a_store_that_does_not_answer_is_a_reason(store: Any, tmp_path: Path) -> None:
    """Here the endpoint comes by fsspec's own configuration, as does how often it is asked."""
    nobody = '{"endpoint_url": "http://127.0.0.1:1", "config_kwargs": {"retries": {"max_attempts": 0}}}'
    said = refused(f"s3://{BUCKET}/old", "--out", str(tmp_path / "out"), FSSPEC_S3=nobody)
    assert "input-output" in said and "Could not connect to the endpoint" in said


def test_a_target_in_the_source_or_in_use_is_refused(store: Any, tmp_path: Path) -> None:
    place(tmp_path, store, {"old/lamp.h": config(), "new/ours.h": config()})
    state = ("--state", str(tmp_path / "state"))

    def said(source: str, target: str, *more: str) -> str:
        given = (f"s3://{BUCKET}/{source}", "--out", f"s3://{BUCKET}/{target}", "--to", "wick4", *more)
        result = CliRunner().invoke(haul_command, given)
        assert result.exit_code == 2 and isinstance(result.exception, SystemExit)
        return result.output

    for source, target in (("old", ""), ("old", "old/new"), ("old/*.h", "old"), ("old/lamp.h", "old")):
        assert "[target-in-source]" in said(source, target, *state)
    assert "[not-empty]" in said("old", "new", *state)
    assert "[no-state]" in said("old", "other")
    assert stored(store, "old") | stored(store) == {"lamp.h": config().encode(), "ours.h": config().encode()}


def test_keys_that_are_no_names_are_refused_and_folder_marks_are_none(store: Any) -> None:
    for key in ("old/a.h", "old/", "old/../../b.h", "old/cc::d.h", "old/e*.h", "old/f g.h"):
        store.pipe_file(f"{BUCKET}/{key}", b"x")
    found = list(find([f"s3://{BUCKET}/old", f"s3://{BUCKET}/old/e*.h", f"s3://{BUCKET}/o*/a.h"], Limits()))
    assert [(f.out, f.refusal.code if f.refusal else None) for f in found] == [
        ("old/-", "escaping-name"), ("old/a.h", None), ("old/-", "bad-name"), ("old/e*.h", None), ("old/f g.h", None),
        ("e*.h", None), ("quay/old/a.h", None),
    ]  # fmt: skip


def test_bytes_are_read_by_pieces_and_removed(store: Any) -> None:
    data = os.urandom(3 << 20)
    write_bytes(f"s3://{BUCKET}/new", "a.bin", data)
    with opened(f"s3://{BUCKET}/new/a.bin") as stream:
        assert stream.seek(-5, os.SEEK_END) == len(data) - 5 and stream.read() == data[-5:]
        assert stream.seek(1 << 20) and stream.read(1 << 20) == data[1 << 20 : 2 << 20]
    remove(f"s3://{BUCKET}/new", "a.bin")
    assert written(f"s3://{BUCKET}/new", "a.bin") is None


def test_what_the_bucket_no_longer_holds_goes_with_its_result(store: Any, tmp_path: Path, run_haul: Haul) -> None:
    place(tmp_path, store, {f"old/lamp_{n}.h": config(f"lamp_{n}", 60 + n) for n in range(2)})
    target: dict[str, Any] = {"out": f"s3://{BUCKET}/new", "state": tmp_path / "state"}
    run_haul(f"s3://{BUCKET}/old", **target)
    store.rm_file(f"{BUCKET}/old/lamp_1.h")
    run_haul(f"s3://{BUCKET}/old", **target, resume=True)
    assert {n for n in stored(store) if "lamp" in n} == {"old/lamp_0.h", "old/lamp_0.h.move.json"}
