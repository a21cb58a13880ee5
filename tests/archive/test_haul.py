"""Hauls of folders, globs and archives: what is mirrored, what is summed up, what stays the same."""

from __future__ import annotations

import io
import json
import tarfile
import zipfile
from pathlib import Path

import pytest
from click.testing import CliRunner
from conftest import Haul, config, tree

from migrate.archive.haul import HaulError
from migrate.cli import main
from migrate.pipeline import Options, move
from migrate.source import SourceFile


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    folder = tmp_path / "shelf"
    (folder / "spring").mkdir(parents=True)
    for n in range(6):
        (folder / "spring" / f"lamp_{n}.h").write_text(config(f"lamp_{n}", 200 + n % 3))
    (folder / "notes.txt").write_text("Paint the quay steps before the matinee.\n")
    (folder / "bell.wav").write_bytes(b"RIFF\0\0\0\0WAVE")
    return folder


def test_a_folder_is_mirrored_and_its_texts_are_those_of_move(shelf: Path, tmp_path: Path, run_haul: Haul) -> None:
    summary = run_haul(shelf)
    source = shelf / "spring" / "lamp_1.h"
    expected = move(SourceFile("lamp_1.h", source.read_bytes()), Options("wick4")).text
    assert (tmp_path / "out" / "shelf" / "spring" / "lamp_1.h").read_bytes() == expected
    assert summary["files"] == {"moved": 6, "passed": 2, "refused": 0}
    report = json.loads((tmp_path / "out" / "shelf" / "spring" / "lamp_1.h.move.json").read_text("utf-8"))
    assert report["styles"][0]["name"] == "lamp_1"
    assert report["diagnostics"] == []


def test_originals_are_untouched(shelf: Path, run_haul: Haul) -> None:
    before = tree(shelf)
    run_haul(shelf)
    assert tree(shelf) == before


def test_folder_zip_and_tar_give_the_same_texts(shelf: Path, tmp_path: Path, run_haul: Haul) -> None:
    zipped, tarred = tmp_path / "shelf.zip", tmp_path / "shelf.tar.gz"
    with zipfile.ZipFile(zipped, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(shelf.rglob("*.h")):
            archive.write(path, path.relative_to(shelf))
    with tarfile.open(tarred, "w:gz") as tar:
        tar.add(shelf, ".")
    run_haul(shelf, zipped, tarred)
    out = tmp_path / "out"
    texts = [
        {
            name.removeprefix(f"{top}/"): data
            for name, data in tree(out).items()
            if name.startswith(f"{top}/") and name.endswith(".h")
        }
        for top in ("shelf", "shelf.zip", "shelf.tar.gz")
    ]
    assert len(texts[0]) == 6
    assert texts[0] == texts[1] == texts[2]


def test_a_glob_takes_what_it_matches(shelf: Path, tmp_path: Path, run_haul: Haul) -> None:
    assert run_haul(f"{shelf}/**/lamp_[12].h")["files"]["moved"] == 2
    assert (tmp_path / "out" / "shelf" / "spring" / "lamp_2.h").exists()


def test_equal_meanings_are_found_across_layouts_and_archives(tmp_path: Path, run_haul: Haul) -> None:
    folder = tmp_path / "copies"
    folder.mkdir()
    (folder / "a.h").write_text(config("quay", 250))
    (folder / "b.h").write_text(config("pier", 250).replace(", ", ",\n   ").replace("clash", "/* old */ clash"))
    (folder / "c.h").write_text(config("mole", 251))
    with zipfile.ZipFile(folder / "d.zip", "w") as archive:
        archive.writestr("d.h", config("jetty", 250))
    summary = run_haul(folder)
    assert summary["duplicates"] == {"groups": 1, "styles": 3, "distinct": 2}
    (line,) = (tmp_path / "out" / "duplicates.jsonl").read_text().splitlines()
    assert [s["style"] for s in json.loads(line)["styles"]] == ["quay", "pier", "jetty"]


def test_the_number_of_workers_changes_nothing(shelf: Path, tmp_path: Path, run_haul: Haul) -> None:
    run_haul(shelf, out=tmp_path / "one", workers=1)
    run_haul(shelf, out=tmp_path / "three", workers=3)
    assert tree(tmp_path / "one") == tree(tmp_path / "three")


def test_a_second_haul_into_one_folder_needs_resume(shelf: Path, run_haul: Haul) -> None:
    run_haul(shelf)
    with pytest.raises(HaulError, match="--resume") as raised:
        run_haul(shelf)
    assert raised.value.code == "begun"
    run_haul(shelf, resume=True)


def test_resume_redoes_what_was_tampered_with_and_drops_what_is_gone(
    shelf: Path, tmp_path: Path, run_haul: Haul
) -> None:
    run_haul(shelf)
    out = tmp_path / "out"
    done = tree(out)
    (out / "shelf" / "spring" / "lamp_3.h").write_bytes(b"half a li")
    (out / "shelf" / "spring" / "lamp_4.h.move.json").unlink()
    (out / "shelf" / "spring" / ".lamp_5.h.abcd1234.part").write_bytes(b"half")
    untouched = (out / "shelf" / "spring" / "lamp_0.h").stat().st_mtime_ns
    run_haul(shelf, resume=True)
    assert tree(out) == done
    assert (out / "shelf" / "spring" / "lamp_0.h").stat().st_mtime_ns == untouched
    (shelf / "spring" / "lamp_5.h").unlink()
    run_haul(shelf, resume=True)
    run_haul(shelf, out=tmp_path / "fresh")
    assert tree(out) == tree(tmp_path / "fresh")


def test_resume_with_other_options_is_refused(shelf: Path, tmp_path: Path, run_haul: Haul) -> None:
    run_haul(shelf)
    arguments = ["haul", str(shelf), "--to", "wick3", "--out", str(tmp_path / "out"), "--resume"]
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 2
    assert "[other-options]" in result.output


def test_target_and_source_must_lie_apart(shelf: Path, run_haul: Haul) -> None:
    for out in (shelf, shelf / "new", shelf.parent):
        with pytest.raises(HaulError) as raised:
            run_haul(shelf, out=out)
        assert raised.value.code == "target-in-source"


def test_two_sources_of_one_name_do_not_mix(tmp_path: Path, run_haul: Haul) -> None:
    for part in ("east", "west"):
        (tmp_path / part / "props").mkdir(parents=True)
        (tmp_path / part / "props" / "a.h").write_text(config(part))
    run_haul(tmp_path / "east" / "props", tmp_path / "west" / "props")
    assert b"east" in (tmp_path / "out" / "props" / "a.h").read_bytes()
    assert b"west" in (tmp_path / "out" / "props-2" / "a.h").read_bytes()


def test_the_command_is_quiet_where_no_terminal_is(shelf: Path, tmp_path: Path) -> None:
    arguments = ["haul", str(shelf), "--to", "wick4", "--out", str(tmp_path / "o"), "--workers", "1"]
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code in (0, 1)
    assert "\x1b" not in result.output and "\r" not in result.output
    assert "6 styles to wick4" in result.output
    assert (tmp_path / "o" / "haul.txt").read_text() in result.output


def test_a_tar_is_read_as_a_stream_and_keeps_no_list(tmp_path: Path) -> None:
    from migrate.archive.members import members
    from migrate.archive.model import Limits

    packed = io.BytesIO()
    with tarfile.open(fileobj=packed, mode="w") as tar:
        for n in range(300):
            info = tarfile.TarInfo(f"deep/{n:03}.h")
            info.size = 5
            tar.addfile(info, io.BytesIO(b"a = b"))
    packed.seek(0)
    found = list(members(packed, "x.tar", "x.tar", Limits()))
    assert [f.out for f in found] == [f"x.tar/deep/{n:03}.h" for n in range(300)]
    assert all(f.data == b"a = b" for f in found)


def test_the_summary_is_what_its_schema_says(shelf: Path, tmp_path: Path, run_haul: Haul) -> None:
    jsonschema = pytest.importorskip("jsonschema", reason="jsonschema is not installed")
    from migrate.resources import grammar_path

    (shelf / "odd.h").write_text("using a = sway<no_such<1>>;\n")
    run_haul(shelf)
    schema = json.loads(grammar_path("schemas", "haul.json").read_text("utf-8"))
    jsonschema.validate(json.loads((tmp_path / "out" / "haul.json").read_text("utf-8")), schema)
