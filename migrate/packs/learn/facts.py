"""What headers say: templates with their parameters, words, constants, enums; and what was not read, with reasons."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

Kind = Literal["type", "integer", "decimal", "bool", "enum", "template", "other"]


@dataclass(frozen=True)
class TemplateParameter:
    """One parameter of a template: `type_text` is what a value parameter is declared as."""

    name: str
    kind: Kind
    variadic: bool = False
    default: str | None = None
    type_text: str = ""


@dataclass(frozen=True)
class Template:
    """A class template or an alias template; `path` holds its namespaces and classes, outermost first.

    `guarded` where it stands in a branch of `#if`, so that not every build has it; `body` is empty for a declaration.
    """

    name: str
    form: Literal["class", "alias"]
    path: tuple[str, ...]
    parameters: tuple[TemplateParameter, ...]
    file: str
    line: int
    member: bool = False
    body: str = ""
    notes: tuple[str, ...] = ()
    deprecated: str | None = None
    guarded: bool = False

    @property
    def full(self) -> str:
        """The name with all that it stands in."""
        return "::".join((*self.path, self.name))


@dataclass(frozen=True)
class Word:
    """A class without parameters, an enumerator or a constant that a style may name; `value` of a constant."""

    name: str
    form: Literal["class", "enumerator", "constant"]
    path: tuple[str, ...]
    file: str
    line: int
    of: str = ""
    value: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, order=True)
class Unread:
    """What was not read, and why."""

    file: str
    line: int
    what: str
    why: str


@dataclass
class Headers:
    """All that a set of headers says, in the order of reading."""

    templates: list[Template] = field(default_factory=list)
    words: list[Word] = field(default_factory=list)
    unread: list[Unread] = field(default_factory=list)
    texts: dict[str, set[str]] = field(default_factory=dict)

    def distinct(self, form: str) -> set[str]:
        """The full names of the class or alias templates."""
        return {t.full for t in self.templates if t.form == form}

    def merged(self) -> Iterator[Template]:
        """Each template once: its definition, with the defaults that any declaration of it gives."""
        groups: dict[str, list[Template]] = {}
        for template in self.templates:
            groups.setdefault(template.full, []).append(template)
        for group in groups.values():
            best = max(group, key=lambda t: len(t.body))
            rows = [t.parameters for t in group if len(t.parameters) == len(best.parameters)]
            parameters = tuple(_joined(column) for column in zip(best.parameters, *rows, strict=True))
            notes = best.notes or next((t.notes for t in group if t.notes), ())
            yield Template(
                best.name, best.form, best.path, parameters, best.file, best.line, best.member, best.body, notes,
                next((t.deprecated for t in group if t.deprecated is not None), None), all(t.guarded for t in group),
            )  # fmt: skip


def _joined(column: tuple[TemplateParameter, ...]) -> TemplateParameter:
    first = column[0]
    default = next((p.default for p in column if p.default is not None), None)
    name = first.name or next((p.name for p in column if p.name), "")
    return TemplateParameter(name, first.kind, first.variadic, default, first.type_text)


_TOKENS = re.compile(r"//[^\n]*|/\*.*?\*/|\"(?:\\.|[^\"\\])*\"|[A-Za-z_]\w*|0[xX][\da-fA-F]+|[\d.]+\w*|\S", re.DOTALL)


def tokens(text: str) -> list[str]:
    """A text's tokens without comments."""
    return [t for t in _TOKENS.findall(text) if not t.startswith(("//", "/*"))]
