"""Writes a draft pack from what headers say: signatures, notes and examples; meanings are left to the maker."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from fnmatch import fnmatchcase

from migrate.packs.learn.carry import Lines, OldPack
from migrate.packs.learn.facts import Headers, Template, TemplateParameter, Unread, Word

_NUMBER = re.compile(r"[-+]?(?:0[xX][\da-fA-F]+|\d+(?:\.\d+)?)[uUlL]*")
_INNER = re.compile(r"(?:\w+_)?(?:detail|details|impl|internal|aux|kit)_?|_\w*", re.IGNORECASE)
_RESERVED = ("generation", "unit", "sort", "takes", "loosen")
PART, WORD, PAINT = "part", "word", "paint"


@dataclass(frozen=True)
class Entry:
    """One construct of a draft: its sort, its name in the pack, its parameters as the pack writes them."""

    template: Template
    sort: str
    name: str
    parameters: tuple[tuple[str, str, str], ...]  # name, sort with its dots, default
    example: str = ""
    notes: tuple[str, ...] = ()

    @property
    def signature(self) -> str:
        """The parameters between their brackets."""
        return ", ".join(f"{n}: {s}{d}" for n, s, d in self.parameters)


@dataclass
class Draft:
    """A draft pack: its entries, the words that styles may name, the units by name with their uses."""

    name: str
    namespace: str
    entries: list[Entry] = field(default_factory=list)
    words: list[tuple[str, str, Word]] = field(default_factory=list)  # sort, name in the pack, the word
    units: dict[str, list[str]] = field(default_factory=dict)
    constants: dict[str, str] = field(default_factory=dict)
    unread: list[Unread] = field(default_factory=list)


def snake(name: str) -> str:
    """A C++ name as packs name parameters: `PerSecond` is `per_second`."""
    spaced = re.sub(r"(?<=[a-z0-9])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])", "_", name)
    return spaced.strip("_").lower() or "p"


def draft_of(headers: Headers, name: str, sorts: Mapping[str, str]) -> Draft:
    """The draft of a pack; `sorts` maps patterns of names to the sorts that the maker says they are."""
    namespace = _namespace(headers)
    draft = Draft(name, namespace, constants=_constants(headers), unread=list(headers.unread))
    _Writer(draft, headers, sorts).run()
    return draft


def _namespace(headers: Headers) -> str:
    counts = Counter("::".join(t.path) for t in headers.templates if not t.member and t.path)
    return counts.most_common(1)[0][0] if counts else ""


def _constants(headers: Headers) -> dict[str, str]:
    return {w.name: w.value for w in headers.words if w.form == "constant" and _NUMBER.fullmatch(w.value)}


class _Writer:
    def __init__(self, draft: Draft, headers: Headers, sorts: Mapping[str, str]) -> None:
        self.draft, self.headers, self.sorts = draft, headers, sorts
        self.enums = {w.of: snake(w.of) for w in headers.words if w.form == "enumerator" and w.of}

    def run(self) -> None:
        """Words first, then templates: those that need no other first, so that examples can be made of them."""
        for word in self.headers.words:
            self._word(word)
        for template in self.headers.merged():
            entry = self._entry(template)
            if entry is not None:
                self.draft.entries.append(entry)
        names = [name for sort, name, _ in self.draft.words if sort == WORD]
        self.draft.entries = with_examples(self.draft.entries, leaves_of(self.draft), set(self.draft.units), names)

    def _pack_name(self, path: Iterable[str], name: str) -> str:
        full = "::".join((*path, name))
        return full.removeprefix(f"{self.draft.namespace}::") if self.draft.namespace else full

    def _sort(self, name: str, plain: str) -> str:
        return next((sort for pattern, sort in self.sorts.items() if fnmatchcase(name, pattern)), plain)

    def _word(self, word: Word) -> None:
        if word.form == "constant" or not _nameable(word.path) or any(_INNER.fullmatch(p) for p in word.path):
            return
        name = self._pack_name(word.path, word.name)
        sort = self.enums[word.of] if word.form == "enumerator" and word.of else self._sort(name, WORD)
        if not any(known == name for _, known, _ in self.draft.words):
            self.draft.words.append((sort, name, word))

    # ---- one template ---------------------------------------------------------------------------

    def _entry(self, template: Template) -> Entry | None:
        why = _no_construct(template)
        if why:
            self.draft.unread.append(Unread(template.file, template.line, template.full, why))
            return None
        name = self._pack_name(template.path, template.name)
        rows: list[tuple[str, str, str]] = []
        used: set[str] = set()
        for at, parameter in enumerate(template.parameters):
            own = snake(parameter.name) if parameter.name else f"p{at + 1}"
            while own in used:
                own += "_"
            default = self._default(template, parameter, own, used)
            rows.append((own, self._parameter_sort(template, parameter, own), default))
            used.add(own)
        notes = list(template.notes)
        if template.deprecated is not None:
            notes.append(f"deprecated: {template.deprecated or 'the header says no more'}")
        return Entry(template, self._sort(name, PAINT), name, tuple(_settled(rows)), "", tuple(notes))

    def _parameter_sort(self, template: Template, parameter: TemplateParameter, name: str) -> str:
        dots = "..." if parameter.variadic else ""
        if parameter.kind == "type":
            return PART + dots
        enum = parameter.type_text.rpartition("::")[2]
        if parameter.kind in ("enum", "other") and enum in self.enums:
            return self.enums[enum] + dots
        taken = {PART, WORD, PAINT, *self.sorts.values(), *self.enums.values()}
        unit = f"{name}_number" if name in taken or name in _RESERVED else name
        self.draft.units.setdefault(unit, []).append(template.name)
        return unit + dots

    def _default(self, template: Template, parameter: TemplateParameter, name: str, before: set[str]) -> str:
        text = parameter.default
        if text is None or parameter.variadic:
            return ""
        text = self.draft.constants.get(text, text).strip()
        if parameter.kind != "type" and _NUMBER.fullmatch(text):
            return f" = {_plain(text)}"
        if parameter.kind == "type" and snake(text) in before:
            return f" = {snake(text)}"
        why = f"its default `{text}` cannot be said in a pack: it is marked as one that may be left out"
        self.draft.unread.append(Unread(template.file, template.line, f"{template.full}, {name}", why))
        return "?"


def leaves_of(draft: Draft) -> dict[str, str]:
    """The first word of each sort of words, which stands for that sort in examples."""
    out: dict[str, str] = {}
    for sort, name, _ in draft.words:
        if sort != WORD:
            out.setdefault(sort, name)
    return out


def with_examples(entries: list[Entry], leaves: dict[str, str], units: set[str], words: list[str]) -> list[Entry]:
    """The entries, each with an example of as few others as can be: what takes numbers alone comes first."""
    fillers = {sort: [text] for sort, text in leaves.items()}
    done: dict[int, str] = {}
    known = -1
    while known != len(done):
        known = len(done)
        for at, entry in enumerate(entries):
            text = done.get(at) or _example(entry, fillers, units, 0)
            if text is not None and at not in done:
                done[at] = text
                fillers.setdefault(entry.sort, [t for n in range(3) if (t := _example(entry, fillers, units, n))])
        if known == len(done) and PAINT not in fillers and words:
            fillers[PAINT] = fillers[PART] = words[:3]  # where no template takes numbers alone
            known = -1
        elif known == len(done) and PART not in fillers and fillers:
            fillers[PART] = fillers.get(PAINT) or next(iter(fillers.values()))
            known = -1
    return [replace(entry, example=done.get(at, "")) for at, entry in enumerate(entries)]


# Within most ranges, and far enough apart that what they do can be seen.
_NUMBERS = (90, 40, 200, 10, 150, 60, 220)


def _example(entry: Entry, fillers: Mapping[str, list[str]], units: set[str], turn: int) -> str | None:
    """An example whose numbers and parts differ from one another, and from those of another turn."""
    given: list[str] = []
    for at, (_, sort, default) in enumerate(entry.parameters):
        if default and not default.startswith(" = "):
            break
        names = re.findall(r"[A-Za-z_]\w*", sort)
        leaves = next((fillers[n] for n in names if fillers.get(n)), None)
        if names[0] in units:
            given.append(default[3:] if default.startswith(" = ") and default[3:].isdigit() else _number(3 * turn + at))
        elif leaves is not None:
            given.append(leaves[(turn + at) % len(leaves)])
        else:
            return None
    return f"{entry.name}<{', '.join(given)}>"


def _number(at: int) -> str:
    return str(_NUMBERS[at % len(_NUMBERS)])


def _settled(rows: list[tuple[str, str, str]]) -> list[tuple[str, str, str]]:
    """What stands before a parameter that must be given has no default that could be used."""
    out: list[tuple[str, str, str]] = []
    needed = False
    for name, sort, default in reversed(rows):
        needed = needed or (not default and not sort.endswith("..."))
        out.append((name, sort, "" if needed and default.startswith(" = ") else default))
    return list(reversed(out))


def _plain(text: str) -> str:
    text = text.rstrip("uUlL").lstrip("+")
    return text if text.lower().startswith("0x") or "." in text else str(int(text))


def _nameable(path: tuple[str, ...]) -> bool:
    return not any(p.startswith("(") or not re.fullmatch(r"\w+", p) for p in path)


def _no_construct(template: Template) -> str:
    """Why a template cannot stand in a style, or nothing."""
    if template.member:
        return "a member of a class, which a style does not name"
    if not _nameable(template.path):
        return "it stands in an anonymous namespace, or in a name that a macro makes"
    if any(_INNER.fullmatch(p) for p in template.path):
        return (
            f"it stands in `{next(p for p in template.path if _INNER.fullmatch(p))}`, which headers keep for themselves"
        )
    if not template.parameters:
        return "none of its parameters could be read"
    for parameter in template.parameters:
        if parameter.kind == "template":
            return "it takes a template as a parameter, which no style argument is"
        if parameter.kind == "other" and re.search(r"[(*&]|\benable_if\b", parameter.type_text):
            return f"its parameter `{parameter.name or parameter.type_text}` is a pointer, a reference or computed"
    lists = [p for p in template.parameters if p.variadic]
    if lists and (len(lists) > 1 or template.parameters[-1] is not lists[0]):
        return "a list of parameters that does not come last"
    return ""


# ---- text ------------------------------------------------------------------------------------------


def written(draft: Draft, header: str, standard: str, follows: str, lines: Mapping[str, Lines], known: OldPack) -> str:
    """The text of a draft pack; `lines` are what constructs bring from the release before, `known` its pack."""
    out = [f"-- Drafted from {header} and its neighbours; what no header says is marked `check`."]
    out += [f'generation {draft.name} "{draft.name}"']
    out += [f"  follows   {follows}"] if follows else []
    settings = {"standard": f"standard  {standard}", "clock": "clock     frame", "mixing": "mixing    real"}
    settings.update(known.settings)
    out += [f"  {settings.pop('standard')}", f"  header    <{header}>"]
    out += [f"  namespace {draft.namespace}"] if draft.namespace else []
    out += [f"  {line}" for line in settings.values()]
    out += ["", "-- check: clock, mixing, decimals, first_pixel, marker, table and entry are in no header."]
    taken = [_taken(entry, lines.get(entry.name)) for entry in draft.entries]
    if known.constructs:
        words = [name for sort, name, _ in draft.words if sort == WORD]
        taken = with_examples(taken, leaves_of(draft), {*draft.units, *known.units}, words)
    out += _units(draft, taken, known)
    out += [""] + [line for sort, name, word in draft.words for line in _word_lines(sort, name, word, draft)]
    for entry in sorted(taken, key=lambda e: (e.template.file, e.template.line)):
        brought = lines.get(entry.name)
        out += ["", f"{entry.sort} {entry.name}({entry.signature})", *(brought.lines if brought is not None else ())]
        out += [f'  note     "{note[:400]}"' for note in entry.notes]
        out += [f"  example  {entry.example}"] if entry.example else []
    return "\n".join(out) + "\n"


def _taken(entry: Entry, brought: Lines | None) -> Entry:
    """An entry with the sorts that its parameters have in the pack of the release before."""
    if brought is None or brought.old is None:
        return entry
    old = brought.old
    rows = tuple((n, old.parameters.get(n, s), d) for n, s, d in entry.parameters)
    return replace(entry, sort=old.sort, parameters=rows)


def _units(draft: Draft, entries: list[Entry], known: OldPack) -> list[str]:
    """The units: those of the release before, then those that only the headers name."""
    used = {s.rstrip(".") for e in entries for _, s, _ in e.parameters}
    old = [line for name, line in known.units.items()]
    out = ["", *old] if old else []
    new = sorted(u for u in draft.units if u in used and u not in known.units)
    if new:
        out += ["", "-- check: what each number counts. `plain` is a bare number without a unit."]
    for unit in new:
        uses = draft.units[unit]
        out += [
            f"unit {unit} is plain",
            f"-- {len(uses)} use{'s' if len(uses) != 1 else ''}: {', '.join(sorted(set(uses))[:6])}",
        ]
    enums = {s for s, _, w in draft.words if w.of}
    sorts = sorted({e.sort for e in entries} | {s for s, _, _ in draft.words if s not in enums}) or [PAINT]
    if PART in used and PART not in known.units:
        out += ["", "-- check: which of these each `part` really takes.", f"sort {PART} = {' | '.join(sorts)}"]
    return out


def _word_lines(sort: str, name: str, word: Word, draft: Draft) -> list[str]:
    taken = {s.rstrip(".") for e in draft.entries for _, s, _ in e.parameters}
    if sort not in taken and (PART not in taken or word.of):
        return []
    return [f"{sort} {name}"] + [f'  note     "{note[:400]}"' for note in word.notes]


def unread_text(draft: Draft) -> str:
    """The list of what was not read, with reasons."""
    rows = sorted(set(draft.unread))
    head = f"{len(rows)} things in the headers are not in the pack.\n"
    return head + "".join(f"{u.file}:{u.line}: {u.what}: {u.why}\n" for u in rows)
