"""The renderer draws what the generation's own C++ draws: every corpus style, every construct, to one duty step.

What is compared on both sides comes from the same text and nothing else: read through packs and drawn by numpy here,
compiled with headers that were written from the family page there. `python -m tests.agreement` prints the figures.
"""

from __future__ import annotations

import pytest

from migrate.native import Toolchain
from migrate.packs.library import library
from migrate.proof import Agreement
from tests.agreement import example_texts, of_text
from tests.corpus import Text, reading_of, styles_of, texts

CORPUS = list(texts())
EXAMPLES = [
    pytest.param(text, shown, name, id=text.path) for name, g in library().items() for text, shown in example_texts(g)
]


def _apart(found: list[Agreement]) -> list[str]:
    return [str(one) for one in found if not one.agrees]


@pytest.mark.parametrize("text", CORPUS, ids=str)
def test_corpus_styles_are_drawn_as_they_compile(text: Text, chain: Toolchain) -> None:
    found = of_text(text)
    assert [one.style for one in found] == styles_of(reading_of(text)) and found
    assert _apart(found) == []


@pytest.mark.parametrize(("text", "shown", "generation"), EXAMPLES)
def test_constructs_are_drawn_as_they_compile(
    text: Text, shown: dict[str, str], generation: str, chain: Toolchain
) -> None:
    found = of_text(text, generation)
    assert [one.style for one in found] == list(shown)
    assert [f"{line} [{shown[line.split(':')[0]]}]" for line in _apart(found)] == []


@pytest.mark.parametrize("name", library())
def test_every_construct_of_a_generation_is_among_the_examples(name: str) -> None:
    """A construct without an example or a place to stand would otherwise go unseen."""
    generation = library()[name]
    seen = {line.partition(",")[0] for _, shown in example_texts(generation) for line in shown.values()}
    used = " ".join(line for _, shown in example_texts(generation) for line in shown.values())
    unseen = [c for c in generation.constructs if c not in seen and c not in used]
    assert unseen == []
