"""Renderer against compiled styles: every corpus file and every construct of every generation, over the probe scene.

`python -m tests.agreement [GENERATION…]` prints the largest difference of each text and of each generation.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator

from migrate.native import NativeError
from migrate.packs.library import library
from migrate.packs.model import Generation
from migrate.pipeline import scene_named
from migrate.proof import MOST_STEPS, Agreement, agreement
from tests.corpus import Text, reading_of, styles_of, texts
from tests.examples import examples

BATCH = 40  # styles in a translation unit


def example_texts(generation: Generation) -> Iterator[tuple[Text, dict[str, str]]]:
    """The examples of a generation as configs of a batch each, and what each style of one shows."""
    found = examples(generation)
    for start in range(0, len(found), BATCH):
        shown = {f"example_{n}": one for n, one in enumerate(found[start : start + BATCH], start)}
        headers = dict.fromkeys((generation.header, *(t.through for t in generation.takes if t.through)))
        lines = [f"#define {' '.join(str(part) for part in generation.marker)}"] if generation.marker else []
        lines += [f"#include {header}" for header in headers]
        lines += [f"{generation.facts} int {name} = {value};" for name, value in _facts(generation)]
        lines += [f"using namespace {generation.namespace};"] if generation.namespace else []
        lines += [declared(generation, name, one.text) for name, one in shown.items()]
        text = Text(f"examples of {generation.name} from {start}", "", ("\n".join(lines) + "\n").encode())
        yield text, {name: f"{one.what}: {one.text}" for name, one in shown.items()}


def _facts(generation: Generation) -> tuple[tuple[str, int], ...]:
    return ((generation.pixels, 132), (generation.pitch, 144))


def declared(generation: Generation, name: str, value: str) -> str:
    """A style's declaration in the generation's form; C++98 keeps closing brackets apart."""
    if generation.declares == "typedef":
        return f"typedef {value.replace('>>', '> >').replace('>>', '> >')} {name};"
    return f"using {name} = {value};"


def of_text(text: Text, generation: str = "") -> list[Agreement]:
    """Every style of a text, drawn and compiled; raises NativeError, and AssertionError where it cannot be lifted."""
    reading = reading_of(text, generation)
    unread = [d.message for d in reading.diagnostics if d.severity == "error"]
    assert not unread, f"{text}: {unread}"
    styles = {name: reading.lifted[name].raw for name in styles_of(reading)}
    return agreement(text.data, styles, reading.generation, scene_named("probe"), reading.blade)


def largest(generation: str, *, quiet: bool = True) -> tuple[int, int, list[str]]:
    """A generation's largest difference over its corpus (and the demo), how many styles, and all that disagrees."""
    worst, count, wrong = 0, 0, []
    for text in texts((generation, "demo") if generation == "wick2" else (generation,)):
        begun = time.monotonic()
        try:
            found = of_text(text)
        except (NativeError, AssertionError) as error:
            wrong.append(f"{text}: {error}")
            continue
        worst = max((worst, *(one.largest for one in found)))
        count += len(found)
        wrong += [f"{text}: {one}" for one in found if not one.agrees]
        if not quiet:
            steps = max((one.largest for one in found), default=0)
            print(f"  {text}: {len(found)} styles, at most {steps} ({time.monotonic() - begun:.1f} s)", flush=True)
    return worst, count, wrong


def largest_of_examples(generation: Generation) -> tuple[int, int, list[str]]:
    """The same for the examples and equations of a generation's packs."""
    worst, count, wrong = 0, 0, []
    for text, shown in example_texts(generation):
        try:
            found = of_text(text, generation.name)
        except NativeError as error:
            wrong += [_placed(text, d.span.start, shown, d.message) for d in error.diagnostics]
            continue
        worst = max((worst, *(one.largest for one in found)))
        count += len(found)
        assert len(found) == len(shown), f"{text}: {sorted(set(shown) - {one.style for one in found})} are no styles"
        wrong += [f"{one} [{shown[one.style]}]" for one in found if not one.agrees]
    return worst, count, wrong


def _placed(text: Text, offset: int, shown: dict[str, str], message: str) -> str:
    line = text.data[text.data.rfind(b"\n", 0, offset) + 1 :].split(b"\n")[0].decode()
    return f"{message} [{line}]"


def main(wanted: list[str]) -> int:
    """Prints what was found; 1 where anything disagrees."""
    failed = 0
    for name, generation in library().items():
        if wanted and name not in wanted:
            continue
        begun = time.monotonic()
        for what, (worst, count, wrong) in (
            ("corpus styles", largest(name, quiet=False)),
            ("construct examples", largest_of_examples(generation)),
        ):
            print(f"{name}: {count} {what}, largest difference {worst} duty steps, {len(wrong)} wrong")
            for line in wrong:
                print(f"    {line}")
            failed += len(wrong)
        print(f"{name}: {time.monotonic() - begun:.0f} s", flush=True)
    print(f"allowed: {MOST_STEPS} duty step on any pixel of any frame")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
