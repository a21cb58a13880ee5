"""The pages that explain diagnostic codes: grammars/why/CODE.md, each with a bad and a good example."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from types import MappingProxyType

from migrate.resources import grammar_path

_SECTION = re.compile(r"^## (\w+)\s*$", re.MULTILINE)
_FENCE = re.compile(r"```[\w+]*\n(.*?)```", re.DOTALL)


@dataclass(frozen=True)
class Page:
    """One code's page.

    about   where the code comes from: `text` (a style, a config), `pack`, `scene` or `run` (a machine's limits)
    text    what it means and what to do
    bad     an example that gets the code
    good    the same, put right
    """

    code: str
    about: str
    text: str
    bad: str
    good: str

    @property
    def markdown(self) -> str:
        """The page as `rehilt why` prints it."""
        return f"{self.text}\n\nBad:\n\n{_indented(self.bad)}\n\nGood:\n\n{_indented(self.good)}\n"


def _indented(text: str) -> str:
    return "\n".join(f"    {line}".rstrip() for line in text.rstrip("\n").split("\n"))


class PageError(Exception):
    """A page that lacks a part: its file and what is missing."""


@cache
def pages() -> Mapping[str, Page]:
    """Every page by its code, in the order of the alphabet; raises PageError."""
    folder = grammar_path("why")
    found = {path.stem: path.read_text("utf-8") for path in sorted(folder.glob("*.md"))}
    return MappingProxyType({code: read_page(code, text) for code, text in found.items()})


def read_page(code: str, text: str) -> Page:
    """One page from its Markdown: `# code`, `about: …`, the text, `## Bad`, `## Good`; raises PageError."""
    head, *rest = _SECTION.split(text)
    parts = {name.lower(): body for name, body in zip(rest[0::2], rest[1::2], strict=True)}
    lines = head.strip().split("\n")
    if not lines[0].startswith(f"# {code}"):
        raise PageError(f"{code}.md must begin with `# {code}`")
    about = next((line.removeprefix("about:").strip() for line in lines if line.startswith("about:")), "")
    if not about:
        raise PageError(f"{code}.md has no `about:` line")
    said = "\n".join(line for line in lines[1:] if not line.startswith("about:")).strip()
    examples = []
    for name in ("bad", "good"):
        fence = _FENCE.search(parts.get(name, ""))
        if fence is None:
            raise PageError(f"{code}.md has no fenced example under `## {name.title()}`")
        examples.append(fence.group(1))
    return Page(code, about, said, examples[0], examples[1])


def nearest(code: str) -> list[str]:
    """The known codes that are most like an unknown one."""
    return get_close_matches(code, pages(), 3)
