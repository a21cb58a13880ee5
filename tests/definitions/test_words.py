"""Where one of a few words is wanted, a wrong one is answered with those, the likeliest first."""

from __future__ import annotations

import pytest

from migrate.diagnostics import explain
from migrate.pipeline import Options, move
from migrate.source import SourceFile

HEADS = {
    "wick3": "#include <wick/pile.h>\nusing namespace wick;\n",
    "wick4": "#include <wick/score.h>\nusing namespace wick;\n",
}
PAINTS = "duty<64, 0, 0>, duty<255, 32, 0>"
WAVES = "`sine`, `triangle`, `saw` or `square`"
EVENTS = "`ev::ignite`, `ev::retract`, `ev::lock`, `ev::drag` or `ev::melt`"
CASES = [
    ("wick3", f"pile<blend<{PAINTS}, lfo<@triangel@, 900>>>", "unknown-name",
     "`triangel` is no construct of wick3 and no name of this file", "write `triangle`, `sine`, `saw` or `square`"),
    ("wick3", f"pile<blend<{PAINTS}, lfo<@up@, 900>>>", "unknown-name",
     "`up` is no construct of wick3 and no name of this file", f"write {WAVES}"),
    ("wick3", f"pile<blend<{PAINTS}, lfo<@300@, 900>>>", "wrong-sort",
     "`300` stands where a wave is expected", f"write {WAVES}"),
    ("wick3", f"pile<blend<{PAINTS}, lfo<@css::red@, 900>>>", "wrong-sort",
     "`css::red` is a paint; a wave is expected here", f"write {WAVES}"),
    ("wick3", f"pile<blend<{PAINTS}, held_noise<90, @hole@>>>", "not-a-number",
     "`cell` of `held_noise` must be a number: `hole` is no number and no constant of this file",
     "write a number, `whole` or `each`"),
    ("wick3", "pile<css::red, on<@blast@, css::white, burst<80>>>", "unknown-name",
     "`blast` is of wick4; wick3 has no construct of that name", f"write `ev::blast`, `ev::clash`, {EVENTS}"),
    ("wick4", "score<ground<bands<paints<srgb<1, 2, 3>, srgb<4, 5, 6>>, width<mm<60>>, speed<mm_s<-90>>, "
     "edges<@sofft@>>>>", "unknown-name",
     "`sofft` is no construct of wick4 and no name of this file", "write `soft` or `hard`"),
]  # fmt: skip


@pytest.mark.parametrize(("generation", "style", "code", "message", "hint"), CASES, ids=lambda v: None)
def test_the_words_that_may_stand_there_are_told(
    generation: str, style: str, code: str, message: str, hint: str
) -> None:
    before, word, after = style.split("@")
    line = f"using lamp = {before}{word}{after};"
    source = SourceFile("quay.h", f"{HEADS[generation]}{line}\n".encode())
    column = len("using lamp = " + before) + 1
    moved = move(source, Options("wick4" if generation == "wick3" else "wick3", reading=generation))
    assert [explain(source, d) for d in moved.diagnostics if d.severity == "error"] == [
        f"quay.h:3:{column}: error [{code}] {message}\n  {line}\n{' ' * (column + 1)}{'^' * len(word)}\n  hint: {hint}"
    ]


def test_where_more_than_words_may_stand_the_nearest_names_are_told_as_ever() -> None:
    source = SourceFile("quay.h", f"{HEADS['wick3']}using lamp = pile<blnd<{PAINTS}, lfo<sine, 900>>>;\n".encode())
    (found,) = (d for d in move(source, Options("wick4")).diagnostics if d.severity == "error")
    assert found.hint == "did you mean `blend` or `bands`?"
