"""Diffs that `git apply --check` and `patch --dry-run` accept, of any newline and encoding, and what they come to."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from migrate.report.diff import path_in_diff, unified
from tests.cli.bench import DEMO, SMALL, rehilt

LATIN1 = SMALL.replace(b"#include <wick2.h>", "#include <wick2.h>  // für Grünau, 1 µs".encode("latin-1"))
TEXTS = {
    "plain": SMALL,
    "the demo": DEMO,
    "crlf": SMALL.replace(b"\n", b"\r\n"),
    "demo with crlf": DEMO.replace(b"\n", b"\r\n"),
    "latin-1": LATIN1,
    "no final newline": SMALL[:-1],
    "crlf, no final newline": SMALL[:-1].replace(b"\n", b"\r\n"),
    "the change on the last line": SMALL.split(b"wick_slots")[0][:-1],
    "byte order mark": b"\xef\xbb\xbf" + SMALL,
    "a lone carriage return": SMALL.replace(b"// ", b"//\r ").replace(b"constexpr", b"/* a\rb */ constexpr"),
}


def git(*args: str, cwd: Path) -> None:
    plain = ["git", "-c", "core.autocrlf=false", "-c", "core.safecrlf=false"]
    subprocess.run([*plain, *args], cwd=cwd, check=True, capture_output=True)


def takes(folder: Path, diff: bytes, name: str, after: bytes) -> None:
    """Both programs accept the diff in the folder, and what they make of the file is `after`."""
    before = (folder / name).read_bytes()
    (folder / "x.diff").write_bytes(diff)
    git("init", "-q", ".", cwd=folder)
    git("apply", "--check", "x.diff", cwd=folder)
    git("apply", "--whitespace=nowarn", "x.diff", cwd=folder)
    assert (folder / name).read_bytes() == after
    (folder / name).write_bytes(before)
    if shutil.which("patch") is None:
        pytest.skip("no patch command on this machine; git took the diff")
    for dry in (["--dry-run"], []):
        subprocess.run(["patch", "-p1", "--binary", *dry, "-i", "x.diff"], cwd=folder, check=True, capture_output=True)
    assert (folder / name).read_bytes() == after


@pytest.mark.parametrize("data", TEXTS.values(), ids=TEXTS.keys())
def test_what_move_prints_is_a_patch(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "quay.h").write_bytes(data)
    done = rehilt("move", "quay.h", "--to", "wick3", cwd=tmp_path)
    assert done.status == 0
    after = rehilt("move", "-", "--to", "wick3", "--write", cwd=tmp_path, stdin=data).out
    assert after != data
    takes(tmp_path, done.out, "quay.h", after)


@pytest.mark.parametrize("data", TEXTS.values(), ids=TEXTS.keys())
def test_a_move_keeps_newlines_and_encoding(tmp_path: Path, data: bytes) -> None:
    after = rehilt("move", "-", "--to", "wick3", "--write", cwd=tmp_path, stdin=data).out
    assert after.endswith(b"\n") == data.endswith(b"\n")
    assert after.startswith(b"\xef\xbb\xbf") == data.startswith(b"\xef\xbb\xbf")
    if b"\r\n" in data:
        assert after.count(b"\n") == after.count(b"\r\n"), "a bare newline in a CRLF file"
    else:
        assert b"\r\n" not in after
    if data is LATIN1:
        assert "für Grünau, 1 µs".encode("latin-1") in after


@pytest.mark.parametrize("name", ["two words.h", "gerüst.h", 'q"uo\\te.h', "props/deep/quay.h"])
def test_names_that_need_care(tmp_path: Path, name: str) -> None:
    (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
    (tmp_path / name).write_bytes(SMALL)
    done = rehilt("move", name, "--to", "wick3", cwd=tmp_path)
    after = rehilt("move", "-", "--to", "wick3", "--write", cwd=tmp_path, stdin=SMALL).out
    takes(tmp_path, done.out, name, after)


def test_a_path_elsewhere_is_named_from_the_root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    assert path_in_diff(str(tmp_path / "here" / "a.h")) == "a.h"
    assert path_in_diff("../a.h") == str(tmp_path / "a.h").lstrip("/")


lines = st.lists(st.sampled_from([b"", b"a", b"b", b"\r", b"a\r", b"\xe9", b"\\ x", b"--- a", b"\x0c"]), max_size=12)


@settings(max_examples=40)
@given(before=lines, after=lines, ends=st.tuples(st.booleans(), st.booleans()))
def test_any_two_texts(tmp_path_factory: pytest.TempPathFactory, before: list[bytes], after: list[bytes],
                       ends: tuple[bool, bool]) -> None:  # fmt: skip
    old, new = (b"\n".join(part) + b"\n" * end for part, end in zip((before, after), ends, strict=True))
    diff = unified("a.h", old, new)
    if old == new:
        assert diff == b""
        return
    folder = tmp_path_factory.mktemp("any")
    (folder / "a.h").write_bytes(old)
    git("init", "-q", ".", cwd=folder)
    (folder / "x.diff").write_bytes(diff)
    git("apply", "--whitespace=nowarn", "x.diff", cwd=folder)
    # git takes a file that a diff empties away
    assert ((folder / "a.h").read_bytes() if (folder / "a.h").exists() else b"") == new
