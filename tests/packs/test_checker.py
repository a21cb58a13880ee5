"""Wrong packs are told what is wrong with them, once, in exact words; sound packs are told nothing."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from migrate.packs.checker import check
from migrate.resources import grammar_path
from tests.packs.bad_packs import FOLDER, PACKS, said


@pytest.mark.parametrize("pack", PACKS, ids=lambda p: p.stem)
def test_a_wrong_pack_is_told_exactly_what_is_wrong(pack: Path, tmp_path: Path) -> None:
    assert said(pack, tmp_path) == pack.with_suffix(".txt").read_text("utf-8")


@pytest.mark.parametrize("pack", PACKS, ids=lambda p: p.stem)
def test_one_fault_is_told_once(pack: Path) -> None:
    assert (
        len(re.findall(r"^blade\.pack:\d+:\d+: error \[pack-", pack.with_suffix(".txt").read_text("utf-8"), re.M)) == 1
    )


def test_there_are_at_least_forty_and_none_is_an_orphan() -> None:
    assert len(PACKS) >= 40
    assert {p.stem for p in FOLDER.iterdir()} == {p.stem for p in PACKS}


@pytest.mark.parametrize("folder", sorted({p.parent for p in grammar_path().glob("*/*.pack")}), ids=lambda p: p.name)
def test_shipped_packs_check_clean(folder: Path) -> None:
    assert check((folder,)) == []


def test_a_folder_without_packs_and_a_file_that_is_no_text(tmp_path: Path) -> None:
    (found,) = check((tmp_path,))
    assert found.code == "pack-no-files"
    (tmp_path / "blade.pack").write_bytes(b"generation \xff\n")
    assert [f.code for f in check((tmp_path,))][:1] == ["pack-no-generation"] or check((tmp_path,))[
        0
    ].code == "pack-not-text"


def test_faults_in_several_statements_are_all_told(tmp_path: Path) -> None:
    text = (FOLDER / "unknown_name.pack").read_text("utf-8").replace("means    shade(p, w)", "meens    shade(p, w)")
    (tmp_path / "blade.pack").write_text(text, "utf-8")
    assert [f.code for f in check((tmp_path,))] == ["pack-unknown-name", "pack-unknown-line"]


def test_packs_that_build_on_one_another_are_checked_together(tmp_path: Path) -> None:
    base = (FOLDER / "example_missing.pack").read_text("utf-8") + "  example  dimmed<ink<1, 2, 3>, amount<20>>\n"
    for name, follows in (("blade1", ""), ("blade2", "  follows   blade1\n")):
        folder = tmp_path / name
        folder.mkdir()
        text = base.replace("generation blade1", f"generation {name}").replace("  standard", f"{follows}  standard", 1)
        (folder / "blade.pack").write_text(text, "utf-8")
    codes = {f.code for f in check((tmp_path,))}
    assert "pack-unknown-generation" not in codes
    assert {f.code for f in check((tmp_path / "blade2",))} >= {"pack-unknown-generation"}


def test_a_name_or_a_marker_of_another_pack_at_hand_is_taken(tmp_path: Path) -> None:
    means = "  means    shade(p, w)\n"
    base = (FOLDER / "example_missing.pack").read_text("utf-8")
    base = base.replace(means, f"{means}  example  dimmed<ink<1, 2, 3>, amount<20>>\n")
    pack = tmp_path / "blade.pack"
    pack.write_text(base.replace("generation blade1", "generation wick2"), "utf-8")
    (found,) = check((tmp_path,))
    assert (found.code, found.message) == ("pack-taken", "another pack at hand states the generation `wick2`")
    assert found.hint == "give this one a name of its own"
    marked = base.replace("  standard", "  marker    WICK_GENERATION 2\n  standard", 1)
    pack.write_text(marked, "utf-8")
    (found,) = check((tmp_path,))
    assert (found.code, found.message) == ("pack-taken", "`WICK_GENERATION 2` says that a file is of `wick2` already")
    assert found.hint == "a marker names one generation: give it another macro, or another number"
    pack.write_text(marked.replace("WICK_GENERATION 2", "WICK_GENERATION 22"), "utf-8")
    assert check((tmp_path,)) == []
