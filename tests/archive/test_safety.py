"""Whatever an archive, a folder or a disk comes with: a coded reason, and the rest goes on."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import tarfile
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import Haul, codes, config, tree

from migrate.archive.haul import HaulError
from migrate.archive.members import members
from migrate.archive.model import Found, Limits, Refusal
from migrate.archive.names import checked

SMALL = Limits(largest=1 << 20, total=4 << 20, ratio=50)


def zipped(*entries: tuple[str | zipfile.ZipInfo, bytes]) -> io.BytesIO:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in entries:
            archive.writestr(name, data)
    file.seek(0)
    return file


def tarred(*infos: tarfile.TarInfo, packed: str = "") -> io.BytesIO:
    file = io.BytesIO()
    with tarfile.open(fileobj=file, mode=f"w:{packed}") as archive:  # type: ignore[call-overload]
        for info in infos:
            archive.addfile(info, io.BytesIO(b"x" * info.size))
    file.seek(0)
    return file


def info(name: str, kind: bytes = tarfile.REGTYPE, size: int = 0, link: str = "") -> tarfile.TarInfo:
    made = tarfile.TarInfo(name)
    made.type, made.size, made.linkname = kind, size, link
    return made


def refusals(found: list[Found]) -> list[str]:
    return [f.refusal.code if f.refusal else "" for f in found]


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("../../x.h", "escaping-name"),
        ("a/../../x.h", "escaping-name"),
        ("..\\..\\x.h", "escaping-name"),
        ("/etc/x.h", "absolute-name"),
        ("\\\\server\\x.h", "absolute-name"),
        ("C:\\x.h", "absolute-name"),
        ("a\0.h", "bad-name"),
        ("a\n.h", "bad-name"),
        ("\udc80.h", "bad-name"),
        ("", "bad-name"),
        ("./", "bad-name"),
        ("a" * 300 + ".h", "bad-name"),
    ],
)
def test_a_name_that_must_not_be_written_is_refused(name: str, code: str) -> None:
    found = checked(name)
    assert isinstance(found, Refusal) and found.code == code


@pytest.mark.parametrize("name", ["con.h", "a/NUL", "a?.h", "x./y.h", "lamp .h ", "b|c.h"])
def test_names_that_windows_cannot_hold_are_refused_there_alone(name: str) -> None:
    assert isinstance(checked(name, windows=True), Refusal)
    assert checked(name, windows=False) == name


def test_plain_names_come_out_normal() -> None:
    assert checked("./a//b\\c.h") == "a/b/c.h"
    assert checked("..lamp..h") == "..lamp..h"


def test_zip_members_that_escape_link_or_lie_are_refused_and_the_rest_is_read() -> None:
    link = zipfile.ZipInfo("link.h")
    link.external_attr = 0o120777 << 16
    device = zipfile.ZipInfo("device.h")
    device.external_attr = 0o020666 << 16
    file = zipped(
        ("../../x.h", b"a"), ("/x.h", b"a"), (link, b"/etc/passwd"), (device, b""), ("bomb.h", b"\0" * (1 << 21)),
        ("inner.zip", b"PK"), ("good.h", b"good"),
    )  # fmt: skip
    found = list(members(file, "x.zip", "x.zip", Limits(ratio=50)))
    expected = ["escaping-name", "absolute-name", "link", "not-a-file", "bomb", "nested-archive", ""]
    assert refusals(found) == expected
    assert found[-1].data == b"good"


def test_a_zip_member_that_unpacks_to_more_than_it_says_is_refused() -> None:
    file = zipped(("a.h", b"\0" * 5000), ("b.h", b"good"))
    data = bytearray(file.getvalue())
    at = data.find(b"PK\1\2") + 24  # the size in the central directory
    data[at : at + 4] = (10).to_bytes(4, "little")
    found = list(members(io.BytesIO(bytes(data)), "x.zip", "x", SMALL))
    assert refusals(found)[0] in ("bomb", "damaged")
    assert found[1].data == b"good"


def test_an_archive_that_unpacks_to_too_much_is_stopped() -> None:
    noise = os.urandom(1 << 19)
    file = zipped(*((f"{n}.h", noise) for n in range(20)))
    found = list(members(file, "x.zip", "x", SMALL))
    assert refusals(found)[-1] == "bomb"
    assert len(found) < 12


@pytest.mark.parametrize("packed", ["gz", "bz2", "xz"])
def test_a_tar_bomb_is_stopped_while_it_unpacks(packed: str) -> None:
    file = tarred(info("first.h", size=3), info("zeros.bin", size=64 << 20), info("last.h", size=3), packed=packed)
    found = list(members(file, f"x.tar.{packed}", "x", SMALL))
    assert found[0].data == b"xxx"
    assert refusals(found)[-1] == "bomb"
    assert all(f.data is None for f in found[1:])


def test_tar_members_that_are_no_files_are_refused_and_the_rest_is_read() -> None:
    file = tarred(
        info("soft.h", tarfile.SYMTYPE, link="/etc/passwd"), info("hard.h", tarfile.LNKTYPE, link="good.h"),
        info("pipe.h", tarfile.FIFOTYPE), info("disk.h", tarfile.BLKTYPE), info("/abs.h", size=1),
        info("../up.h", size=1), info("good.h", size=4),
    )  # fmt: skip
    found = list(members(file, "x.tar", "x", SMALL))
    assert refusals(found) == ["link", "link", "not-a-file", "not-a-file", "absolute-name", "escaping-name", ""]
    assert found[-1].data == b"xxxx"


def test_a_tar_header_that_brings_megabytes_is_refused_before_it_is_read() -> None:
    file = tarred(info("good.h", size=4))
    long = info("././@LongLink", tarfile.GNUTYPE_LONGNAME, size=3 << 20)
    data = file.getvalue()[:1024] + long.tobuf(tarfile.GNU_FORMAT) + b"a" * (3 << 20) + b"\0" * 1024
    assert refusals(list(members(io.BytesIO(data), "x.tar", "x", SMALL))) == ["", "bomb"]


@pytest.mark.parametrize("cut", [10, 200, -700, -30])
@pytest.mark.parametrize("kind", ["x.zip", "x.tar.gz", "x.tar"])
def test_a_damaged_archive_has_a_reason(kind: str, cut: int) -> None:
    noise = tarfile.TarInfo("a.h")
    data = zipped(("a.h", os.urandom(900))).getvalue()
    if "tar" in kind:
        file = io.BytesIO()
        with tarfile.open(fileobj=file, mode="w:gz" if kind.endswith("gz") else "w") as archive:
            noise.size = 900
            archive.addfile(noise, io.BytesIO(os.urandom(900)))
        data = file.getvalue()
        data = data[:1500] if kind == "x.tar" and cut < 0 else data
    found = list(members(io.BytesIO(data[:cut]), kind, "x", SMALL))
    assert "damaged" in refusals(found) or "bomb" in refusals(found)


def test_doubled_names_are_refused_also_by_case(tmp_path: Path, run_haul: Haul) -> None:
    with pytest.warns(UserWarning, match="Duplicate"):
        file = zipped(
            ("a.h", config("first").encode()), ("a.h", config("second").encode()), ("A.H", config("third").encode())
        )
    (tmp_path / "x.zip").write_bytes(file.getvalue())
    summary = run_haul(tmp_path / "x.zip")
    assert codes(summary)["doubled-name"] == 2
    assert b"first" in (tmp_path / "out" / "x.zip" / "a.h").read_bytes()
    assert summary["exit"] == 2


def test_a_member_that_would_take_a_report_s_place_is_refused(tmp_path: Path, run_haul: Haul) -> None:
    file = zipped(("a.h", config().encode()), ("a.h.move.json", b"{}"), ("a.h.move.json.h", config("b").encode()))
    (tmp_path / "x.zip").write_bytes(file.getvalue())
    summary = run_haul(tmp_path / "x.zip")
    assert summary["files"] == {"moved": 2, "passed": 1, "refused": 0}


def test_links_loops_pipes_and_the_unreadable_in_a_folder(tmp_path: Path, run_haul: Haul) -> None:
    folder = tmp_path / "odd"
    (folder / "inner").mkdir(parents=True)
    (folder / "inner" / "loop").symlink_to(folder)
    (folder / "self.h").symlink_to("self.h")
    (folder / "out.h").symlink_to("/etc/hostname")
    os.mkfifo(folder / "pipe.h")
    (folder / os.fsdecode(b"\xff.h")).write_text(config())
    (folder / "good.h").write_text(config())
    summary = run_haul(folder)
    assert codes(summary) == {"link": 3, "not-a-file": 1, "bad-name": 1}
    assert summary["files"] == {"moved": 1, "passed": 0, "refused": 5}
    assert summary["exit"] == 2


def test_a_gigabyte_of_zeros_is_refused_unread(tmp_path: Path, run_haul: Haul) -> None:
    folder = tmp_path / "big"
    folder.mkdir()
    with (folder / "zeros.h").open("wb") as file:
        file.truncate(1 << 30)
    (folder / "few.h").write_bytes(b"\0" * 5000)
    (folder / "good.h").write_text(config())
    summary = run_haul(folder)
    assert codes(summary) == {"too-large": 1, "not-text": 1}
    assert summary["files"]["moved"] == 1


def test_a_file_that_vanishes_or_turns_into_a_pipe_is_refused(tmp_path: Path) -> None:
    from migrate.archive.model import Job, Task
    from migrate.archive.work import handle
    from migrate.pipeline import Options

    job = Job(Options("wick4"), str(tmp_path / "out"))
    os.mkfifo(tmp_path / "pipe.h")
    gone = handle(Task(0, Found("a.h", "a.h", str(tmp_path / "gone.h"))), job)
    pipe = handle(Task(1, Found("b.h", "b.h", str(tmp_path / "pipe.h"))), job)
    assert gone.refusal is not None and gone.refusal.code == "vanished"
    assert pipe.state != "moved"


@pytest.mark.skipif(os.geteuid() == 0, reason="root reads everything")
def test_what_may_not_be_read_is_refused(tmp_path: Path, run_haul: Haul) -> None:
    folder = tmp_path / "locked"
    folder.mkdir()
    (folder / "a.h").write_text(config())
    (folder / "a.h").chmod(0)
    assert codes(run_haul(folder)) == {"no-access": 1}


def test_a_folder_where_a_file_should_go_is_a_reason(tmp_path: Path, run_haul: Haul) -> None:
    """The finder's names are safe, and still the target may refuse: here it is a file where a folder must be."""
    folder = tmp_path / "props"
    folder.mkdir()
    (folder / "a.h").write_text(config("one"))
    run_haul(folder)
    target = tmp_path / "out" / "props"
    (target / "a.h").unlink()
    (target / "a.h").mkdir()
    (target / "a.h" / "inner").write_text("")
    summary = run_haul(folder, resume=True)
    assert codes(summary) == {"not-a-file": 1}
    assert summary["exit"] == 2


# ---- disks --------------------------------------------------------------------------------------


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 300 kB; skipped where this user may not mount one."""
    place = tmp_path / "disk"
    place.mkdir()
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=300k", "tmpfs", str(place)], capture_output=True)
    if made.returncode:
        pytest.skip("a tmpfs cannot be mounted here")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_full_disk_loses_nothing_and_the_haul_goes_on_where_there_is_room(
    small_disk: Path, tmp_path: Path, run_haul: Haul
) -> None:
    folder = tmp_path / "many"
    folder.mkdir()
    for n in range(60):
        (folder / f"{n:02}.h").write_text(config(f"lamp_{n}") + "// " + "quay " * 1500 + "\n")
    summary = run_haul(folder, out=small_disk / "out", state=tmp_path / "state")
    assert 0 < codes(summary)["no-space"] < 60
    assert summary["exit"] == 2
    for path in small_disk.rglob("*.h"):
        assert path.read_text().endswith("\n"), "a truncated file"
    assert not list(small_disk.rglob("*.part"))
    subprocess.run(["mount", "-o", "remount,size=4m", str(small_disk)], check=True)
    resumed = run_haul(folder, out=small_disk / "out", state=tmp_path / "state", resume=True)
    assert resumed["files"]["moved"] == 60
    run_haul(folder, out=tmp_path / "fresh")
    assert tree(small_disk / "out") == tree(tmp_path / "fresh")


def test_a_full_disk_under_the_ledger_stops_the_haul_with_a_reason(
    small_disk: Path, tmp_path: Path, run_haul: Haul
) -> None:
    (small_disk / "filler").write_bytes(b"x" * (300 * 1024 - 4096))
    folder = tmp_path / "many"
    folder.mkdir()
    (folder / "a.h").write_text(config())
    with pytest.raises(HaulError) as raised:
        run_haul(folder, out=tmp_path / "out", state=small_disk / "state")
    assert raised.value.code == "no-ledger"


def test_a_read_only_target_is_a_reason(small_disk: Path, tmp_path: Path, run_haul: Haul) -> None:
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    folder = tmp_path / "few"
    folder.mkdir()
    (folder / "a.h").write_text(config())
    with pytest.raises(HaulError) as raised:
        run_haul(folder, out=small_disk / "out")
    assert raised.value.code == "read-only"
    summary = run_haul(folder, out=small_disk, state=tmp_path / "state")
    assert codes(summary) == {"read-only": 2}, "the file, and the summary itself"
    assert summary["exit"] == 2


def test_a_quota_on_file_size_is_a_reason(tmp_path: Path) -> None:
    """Without a tmpfs: a limit on the size of any file written stands for a full disk."""
    folder = tmp_path / "few"
    folder.mkdir()
    (folder / "large.h").write_text(config() + "// " + "quay " * 60_000 + "\n")
    (folder / "small.h").write_text(config())
    script = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000));"
        "from migrate.cli import main; main()"
    )
    command = [
        sys.executable,
        "-c",
        script,
        "haul",
        str(folder),
        "--to",
        "wick4",
        "--out",
        str(tmp_path / "out"),
        "--workers",
        "1",
    ]
    done = subprocess.run(
        command, capture_output=True, text=True, env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    )
    assert done.returncode == 2, done.stderr
    assert "[no-space]" in done.stdout
    assert not (tmp_path / "out" / "few" / "large.h").exists()
    assert (tmp_path / "out" / "few" / "small.h").exists()
    assert "Traceback" not in done.stderr + done.stdout
