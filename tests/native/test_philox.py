"""The noise of stage.h against the published known answer, and against numpy's Philox for other keys and counters."""

from __future__ import annotations

from native_bench import GRAMMARS, Scene, word

from migrate.ir.facts import Blade
from migrate.native import GenerationBuild, Toolchain, compile_and_play

# A performer that draws the eight bytes of a noise word, most significant first, as the first eight duties.
_PRELUDE = """
#include "stage.h"
template <int NUMBER, int STEP, int CELL> struct word_of { static uint64_t get() {
  return stage::noise_word(NUMBER, STEP, uint64_t(int64_t(CELL))); } };
template <class STYLE> class wick_performer {
 public:
  explicit wick_performer(const stage::Scene&) {}
  void draw(int64_t, unsigned char* rgb) {
    for (int byte = 0; byte < 9; ++byte) rgb[byte] = byte < 8 ? (unsigned char)(STYLE::get() >> (56 - 8 * byte)) : 0;
  }
};
"""
_BUILD = GenerationBuild((GRAMMARS / "stage",), "c++98", _PRELUDE)


def _words(chain: Toolchain, *of: tuple[int, int, int]) -> list[int]:
    names = [f"w{n}" for n in range(len(of))]
    config = "".join(f"typedef word_of<{a}, {b}, {c}> {name};\n" for name, (a, b, c) in zip(names, of, strict=True))
    played = compile_and_play(config.encode(), names, _BUILD, Scene(1000), Blade(3, 144), toolchain=chain)
    return [int.from_bytes(played[name].tobytes()[:8], "big") for name in names]


def test_known_answer_of_philox_for_the_zero_key_and_counter(chain: Toolchain) -> None:
    # Random123 known answers, philox4x64-10
    assert _words(chain, (0, 0, 0)) == [0x16554D9ECA36314C]


def test_key_step_and_cell_are_those_of_numpys_philox(chain: Toolchain) -> None:
    asked = [(1, 0, 0), (0, 1, 0), (0, 0, 1), (7, 1234, 131), (2, 0, -1)]
    expected = [word(number, step, cell % (1 << 64)) for number, step, cell in asked]
    assert _words(chain, *asked) == expected
