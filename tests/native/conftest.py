"""The compiler and the player of compiled styles; without a compiler, what asks for them is skipped by name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pytest
from native_bench import TEN, Frames, Play, Scene

from migrate.ir.facts import Blade
from migrate.native import GenerationBuild, Toolchain, compile_and_play


@pytest.fixture(scope="session")
def chain() -> Toolchain:
    """The compiler, or a skip that says why."""
    found = Toolchain.find()
    if found is None:
        pytest.skip("no C++ compiler (g++ or clang++) on the path: compiled styles cannot be tested")
    return found


@pytest.fixture(scope="session")
def play(chain: Toolchain) -> Play:
    """compile_and_play on a blade of ten pixels."""

    def run(
        config: str, names: Sequence[str], build: GenerationBuild, scene: Scene, blade: Blade = TEN
    ) -> Mapping[str, Frames]:
        return compile_and_play(config.encode(), names, build, scene, blade, toolchain=chain)

    return run
