"""native.py itself: what it refuses, what it bounds, where it points, and that it leaves nothing behind."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import pytest
from native_bench import GRAMMARS, TEN, WICK2, Event, Play, Scene

from migrate.ir.facts import Blade
from migrate.native import (
    GenerationBuild,
    Limits,
    NativeError,
    Toolchain,
    check_syntax,
    compile_and_play,
    read_messages,
)
from migrate.source import SourceFile, Span

# A generation of three styles: one that tells the time, one that never ends, one that takes all memory.
_PRELUDE = """
#include "stage.h"
struct clock_style {}; struct endless {}; struct greedy {};
namespace inner { struct clock_style {}; struct only_here {}; }
template <class STYLE> class wick_performer {
 public:
  explicit wick_performer(const stage::Scene& s) : scene(&s) {}
  void draw(int64_t t, unsigned char* rgb) {
    for (int byte = 0; byte < 6; ++byte) rgb[byte] = (unsigned char)(t >> (40 - 8 * byte));
  }
  const stage::Scene* scene;
};
template <> class wick_performer<endless> {
 public:
  explicit wick_performer(const stage::Scene&) {}
  void draw(int64_t, unsigned char* rgb) { for (volatile int n = 0; n >= 0; n = 1) rgb[0] = 1; }
};
template <> class wick_performer<greedy> {
 public:
  explicit wick_performer(const stage::Scene&) {}
  void draw(int64_t, unsigned char*) { for (;;) memset(kept.insert(kept.end(), new char[1 << 20])[0], 1, 1 << 20); }
  std::vector<char*> kept;
};
using namespace inner;
"""
_OWN = GenerationBuild((GRAMMARS / "stage",), "c++98", _PRELUDE)
_RGB = b"#include <wick2.h>\nusing lamp = rgb<1, 2, 3>;\n"


def _codes(raised: pytest.ExceptionInfo[NativeError]) -> list[str]:
    return [one.code for one in raised.value.diagnostics]


def test_frames_are_at_floored_microseconds(chain: Toolchain) -> None:
    played = compile_and_play(b"", ["clock_style"], _OWN, Scene(2_000_001, rate=3), Blade(2, 144), toolchain=chain)
    times = [int.from_bytes(row.tobytes(), "big") for row in played["clock_style"]]
    assert times == [0, 333_333, 666_666, 1_000_000, 1_333_333, 1_666_666, 2_000_000]


def test_a_style_named_like_one_of_a_used_namespace_is_found(chain: Toolchain) -> None:
    names = ["clock_style", "inner::clock_style", "only_here"]
    played = compile_and_play(b"", names, _OWN, Scene(1000), Blade(2, 144), toolchain=chain)
    assert list(played) == names and played["only_here"].shape == (1, 2, 3)


def test_events_and_sensors_reach_the_style(play: Play) -> None:
    scene = Scene(400_000, rate=10, events=(Event("blast", 100_000, None, 0.25, 0.5),), sensors={"sound": ((0, 0.5),)})
    config = (
        "#include <wick2.h>\nusing spot = blast_sleeve<hark<rgb<0, 0, 0>, rgb<0, 0, 255>>, rgb<255, 0, 0>, 2, 65535>;\n"
    )
    frames = play(config, ["spot"], WICK2, scene, Blade(10, 144))["spot"]
    assert frames[0].tolist() == [[0, 0, 128]] * 10
    assert frames[1, 2].tolist() == [255, 0, 0] and frames[1, 5].tolist() == [0, 0, 128]


@pytest.mark.parametrize("name", ["lamp>(s, p); evil<int", "", "1lamp", "lamp lamp", "::lamp", "lamp\n"])
def test_a_name_that_is_none_is_refused_before_compiling(name: str) -> None:
    with pytest.raises(NativeError) as raised:
        compile_and_play(_RGB, [name], WICK2, Scene(1000), TEN)
    assert _codes(raised) == ["style-name"]


def test_a_blade_that_nobody_states_is_refused() -> None:
    with pytest.raises(NativeError) as raised:
        compile_and_play(_RGB, ["lamp"], WICK2, Scene(1000), Blade())
    assert _codes(raised) == ["no-blade"]


def test_more_frames_than_allowed_are_refused() -> None:
    with pytest.raises(NativeError) as raised:
        compile_and_play(_RGB, ["lamp"], WICK2, Scene(10**12, rate=1000), TEN)
    assert _codes(raised) == ["too-many-frames"]


def test_without_a_compiler_it_says_so(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    Toolchain.find.cache_clear()
    try:
        assert Toolchain.find() is None
        with pytest.raises(NativeError) as raised:
            compile_and_play(_RGB, ["lamp"], WICK2, Scene(1000), TEN)
        with pytest.raises(NativeError) as checked:
            check_syntax(_RGB, WICK2)
    finally:
        Toolchain.find.cache_clear()
    assert _codes(raised) == _codes(checked) == ["no-compiler"]


def test_an_error_points_at_its_bytes(chain: Toolchain) -> None:
    text = "#include <wick2.h>\n/* é */ using lamp = nothing<3>;\nusing b = rgb<1, 2, 300>;\n".encode()
    for failing in (check_syntax(text, WICK2, toolchain=chain), _errors(text, chain)):
        assert {one.code for one in failing} == {"does-not-compile"}
        assert SourceFile("c", text).text(Span(failing[0].span.start, failing[0].span.start + 7)) == "nothing"
        assert [one.message for one in failing if "rgb" in one.message] == ["rgb: B must be 0 to 255"]
        assert SourceFile("c", text).place(failing[-1].span.start)[0] == 3


def _errors(text: bytes, chain: Toolchain) -> list:  # type: ignore[type-arg]
    with pytest.raises(NativeError) as raised:
        compile_and_play(text, ["b"], WICK2, Scene(1000), TEN, toolchain=chain)
    return list(raised.value.diagnostics)


def test_a_warning_of_the_config_is_a_warning(chain: Toolchain) -> None:
    found = check_syntax(
        b"#include <wick2.h>\ninline int f(int a) { if (a = 3) return 1; return a; }\n", WICK2, toolchain=chain
    )
    assert [(one.code, one.severity) for one in found] == [("compiler-warning", "warning")]


def test_a_style_that_does_not_exist_is_an_error(chain: Toolchain) -> None:
    with pytest.raises(NativeError) as raised:
        compile_and_play(_RGB, ["lantern"], WICK2, Scene(1000), TEN, toolchain=chain)
    assert "does-not-compile" in _codes(raised)


def test_an_endless_style_is_stopped(chain: Toolchain) -> None:
    begun = time.monotonic()
    with pytest.raises(NativeError) as raised:
        compile_and_play(b"", ["endless"], _OWN, Scene(1000), TEN, toolchain=chain, limits=Limits(play_seconds=1))
    assert _codes(raised)[0] in ("play-limit", "play-failed")  # by the wall clock, or by the processor's
    assert time.monotonic() - begun < 30


def test_a_style_that_takes_all_memory_is_stopped(chain: Toolchain) -> None:
    limits = Limits(memory_mb=512)
    with pytest.raises(NativeError) as raised:
        compile_and_play(b"", ["greedy"], _OWN, Scene(1000), TEN, toolchain=chain, limits=limits)
    assert _codes(raised) == ["play-failed"]


def test_the_depth_of_templates_is_bounded(chain: Toolchain) -> None:
    deep = (
        b"template <int N> struct deep { typedef typename deep<N - 1>::type type; };\ntypedef deep<9999>::type end;\n"
    )
    found = check_syntax(deep, _OWN, toolchain=chain, limits=Limits(template_depth=64))
    assert any("depth" in one.message for one in found)


def test_the_compiler_is_stopped_at_its_limit(chain: Toolchain) -> None:
    with pytest.raises(NativeError) as raised:
        check_syntax(_RGB, WICK2, toolchain=chain, limits=Limits(memory_mb=24))
    assert _codes(raised) == ["compiler-limit"]


def test_nothing_is_left_in_the_temporary_folder(
    chain: Toolchain, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    check_syntax(_RGB, WICK2, toolchain=chain)
    with pytest.raises(NativeError):
        compile_and_play(b"nonsense", ["x"], WICK2, Scene(1000), TEN, toolchain=chain)
    with pytest.raises(NativeError):
        compile_and_play(b"", ["endless"], _OWN, Scene(1000), TEN, toolchain=chain, limits=Limits(play_seconds=1))
    left = [found for found in tmp_path.rglob("*") if "programs-" not in str(found)]
    assert left == []


def test_a_changed_header_is_compiled_anew(chain: Toolchain, tmp_path: Path) -> None:
    own = GenerationBuild((GRAMMARS / "stage", tmp_path), "c++98", _PRELUDE.replace("t >> (40 - 8 * byte)", "SHOWN"))
    shown = []
    for value in (7, 9):
        (tmp_path / "shown.h").write_text(f"#define SHOWN {value}\n")
        own = GenerationBuild(own.include_dirs, own.standard, '#include "shown.h"\n' + own.prelude.split("\n", 1)[1])
        played = compile_and_play(b"", ["clock_style"], own, Scene(1000), Blade(2, 144), toolchain=chain)
        shown.append(int(played["clock_style"][0, 0, 0]))
    assert shown == [7, 9]


def test_a_scene_without_frames_or_a_list_without_names_needs_no_compiler() -> None:
    assert compile_and_play(_RGB, [], WICK2, Scene(1000), TEN) == {}
    assert compile_and_play(_RGB, ["lamp"], WICK2, Scene(0), TEN)["lamp"].shape == (0, 10, 3)


def test_messages_of_clang_are_placed_by_the_note_that_follows() -> None:
    text = b"line one\nusing x = y;\n"
    said = (
        "In file included from main.cpp:2:\n"
        "/some/header.h:7:3: error: static_assert failed due to requirement 'within(300LL)' \"R must be 0 to 255\"\n"
        "./config.h:2:11: note: in instantiation of template class 'r<300>' requested here\n"
        "1 error generated.\n"
    )
    (one,) = read_messages(said, text)
    assert one.message == "R must be 0 to 255" and one.span == Span(19, 20)
