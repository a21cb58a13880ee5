"""Learning from headers: what is found, what is not and why; and on headers that nobody wrote for this."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("tree_sitter_cpp", reason="reading C++ headers needs tree-sitter-cpp (the extra `learn`)")

from migrate.packs.checker import check
from migrate.packs.learn import clang
from migrate.packs.learn.command import run
from migrate.packs.learn.compare import compare
from migrate.packs.learn.cpp import header_files, read_headers
from migrate.packs.learn.draft import draft_of, snake
from tests.packs.tutorial import FOLDER

INCLUDE = Path("/usr/include")
SETS: dict[str, tuple[Path, str, tuple[Path, ...], str]] = {
    "boost mp11": (INCLUDE / "boost/mp11", "libboost-dev", (), "*.hpp"),
    "eigen core": (INCLUDE / "eigen3/Eigen/src/Core", "libeigen3-dev", (INCLUDE / "eigen3",), "*.h"),
    "json": (INCLUDE / "nlohmann", "nlohmann-json3-dev", (), "*.hpp"),
}
# What a grammar alone finds of what libclang sees; the rest is made by macros.
ALONE = {"boost mp11": 0.99, "eigen core": 0.80, "json": 0.93}


def learned(tmp_path: Path, text: str, name: str = "blade.h") -> Any:
    path = tmp_path / name
    path.write_text(text, "utf-8")
    return read_headers((path,))


def headers_of(name: str) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
    folder, package, include, pattern = SETS[name]
    if not folder.is_dir():
        pytest.skip(f"the headers of {name} are not there: apt-get install {package}")
    files = tuple(sorted(folder.rglob(pattern)))
    if name == "eigen core":
        files = (INCLUDE / "eigen3/Eigen/Core", *sorted(folder.glob("*.h")))
    return files, include


@pytest.mark.parametrize("name", SETS)
def test_counts_of_templates_agree_with_libclang_and_what_is_not_read_is_listed(name: str) -> None:
    files, include = headers_of(name)
    try:
        seen = clang.seen(files, include)
    except clang.NoClangError as error:
        pytest.skip(f"libclang is not there: {error}")
    found = read_headers(files)
    places = {(str(Path(t.file).resolve()), t.line, t.name) for t in found.templates}
    alone = [s for s in seen if (s.file, s.line, s.name) in places]
    assert len(alone) / len(seen) >= ALONE[name]
    clang.refined(found, seen)
    for form in ("class", "alias"):
        ours = {t.full for t in found.templates if t.form == form and not t.guarded}
        theirs = {s.full for s in seen if s.form == form}
        assert ours == theirs
        assert len(theirs) > 20
    # Nothing that the compiler's own parser sees goes missing in silence: it is read, or listed with a reason.
    told = {t.full for t in found.templates} | {u.what for u in found.unread}
    assert {s.full for s in seen} <= told


@pytest.mark.parametrize("name", SETS)
def test_headers_that_nobody_wrote_for_this_give_a_pack_that_checks_clean(name: str, tmp_path: Path) -> None:
    files, include = headers_of(name)
    options: dict[str, Any] = {"then": (), "then_name": None, "packs_of": None, "sorts": (), "include_dirs": include}
    lines = list(run(files, "learned", out=tmp_path / "pack", **options))
    assert any("can stand in a style" in line for line in lines)
    unread = (tmp_path / "pack" / "unread.txt").read_text("utf-8").split("\n")
    assert all(line.count(": ") >= 2 for line in unread[1:] if line)
    assert [f for f in check((tmp_path / "pack",)) if f.severity == "error"] == []


def test_parameters_come_with_kinds_defaults_notes_and_marks(tmp_path: Path) -> None:
    text = """
namespace lamp {
enum class Mode { Soft, Hard };
constexpr int kBeat = 120;
// Glows, then
// goes out.
template <class A, typename B = A, int Bpm = kBeat, Mode How = Mode::Soft, class... Rest>
struct [[deprecated("use Shine")]] Glow {};
template <int Level> using Half = Glow<int, int, Level>;
struct Still {};
struct Pair { int a; };
template <template <class> class F, class A> struct Apply {};
template <class A> struct Outer { template <class B> struct Inner {}; };
namespace detail { template <class A> struct Hidden {}; }
}
"""
    draft = draft_of(learned(tmp_path, text), "lamp", {})
    entries = {e.name: e for e in draft.entries}
    assert entries["Glow"].signature == "a: part, b: part = a, bpm: bpm = 120, how: mode?, rest: part..."
    assert entries["Glow"].notes == ("Glows, then goes out.", "deprecated: use Shine")
    assert entries["Half"].signature == "level: level"
    assert [(sort, name) for sort, name, _ in draft.words] == [
        ("mode", "Mode::Soft"),
        ("mode", "Mode::Hard"),
        ("word", "Still"),
    ]
    why = {u.what: u.why for u in draft.unread}
    assert why["lamp::Apply"].startswith("it takes a template as a parameter")
    assert why["lamp::Outer::Inner"].startswith("a member of a class")
    assert why["lamp::detail::Hidden"].startswith("it stands in `detail`")
    assert why["Pair"].startswith("a class that holds values")
    assert set(entries) == {"Glow", "Half", "Outer"}


@pytest.mark.parametrize(
    "text",
    ["", "\0\0\0", "template <", "template <class A> struct", "}}}}", "#if 1\n", "namespace a { " * 3000, "(" * 50_000,
     "template <class A> struct X<A*> {};", "\xff\xfe"],
)  # fmt: skip
def test_no_header_makes_a_traceback(text: str, tmp_path: Path) -> None:
    path = tmp_path / "odd.h"
    path.write_bytes(text.encode("latin-1"))
    draft_of(read_headers((path, tmp_path / "missing.h")), "odd", {})


def test_two_releases_are_compared() -> None:
    before, after = (read_headers((FOLDER / name,)) for name in ("marram1", "marram2"))
    found = compare(draft_of(before, "one", {}), draft_of(after, "two", {}), before, after)
    pairs = {p.new.name: p for p in found.pairs}
    assert {(p.old.name, p.new.name) for p in found.pairs if p.renamed and p.score == 1} == {
        ("Breathe", "Swell"),
        ("Shimmer", "Glimmer"),
    }
    assert pairs["Swell"].justified and pairs["Blink"].justified and pairs["OnStruck"].justified
    assert pairs["Blink"].changes == ("order: bpm, a, b became a, b, bpm",)
    assert "default of `bpm`: none became 750" in pairs["OnStruck"].changes
    assert (pairs["Dimmed"].justified, pairs["Dimmed"].why_not) == (False, "its body changed")
    assert {e.name for e in found.removed} == {"Rolled"}


def test_a_helper_that_changed_makes_no_equation_justified(tmp_path: Path) -> None:
    text = (
        "inline int level(int a) { return a / 100; }\ntemplate <int A> struct Glow { int at() { return level(A); } };\n"
    )
    before = learned(tmp_path, text, "one.h")
    after = learned(tmp_path, text.replace("100", "255"), "two.h")
    (pair,) = compare(draft_of(before, "one", {}), draft_of(after, "two", {}), before, after).pairs
    assert (pair.justified, pair.why_not) == (False, "`level`, on which it is built, changed")


def test_a_draft_never_replaces_what_was_written(tmp_path: Path) -> None:
    options: dict[str, Any] = {"then": (), "then_name": None, "packs_of": None, "sorts": (), "include_dirs": ()}
    list(run((FOLDER / "marram1",), "marram1", out=tmp_path, **options))
    with pytest.raises(ValueError, match="is there already"):
        list(run((FOLDER / "marram1",), "marram1", out=tmp_path, **options))


@pytest.mark.parametrize(
    ("name", "there"), [("PerSecond", "per_second"), ("A", "a"), ("RGBLevel", "rgb_level"), ("_", "p")]
)
def test_names_of_parameters_are_spelled_as_packs_spell_them(name: str, there: str) -> None:
    assert snake(name) == there


def test_folders_are_read_whole_and_in_order(tmp_path: Path) -> None:
    for name in ("b.h", "a.hpp", "notes.txt", "sub/c.h"):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text("")
    assert [p.name for p in header_files((tmp_path,))] == ["a.hpp", "b.h", "c.h"]
