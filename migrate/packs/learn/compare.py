"""Two releases of the same headers: what came, went, was renamed or changed; and which equations still hold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher

from migrate.packs.learn.draft import Draft, Entry
from migrate.packs.learn.facts import Headers, tokens

LIKE = 0.8  # a name that went and one that came are one thing renamed where they are so much alike


@dataclass(frozen=True)
class Pair:
    """A construct of the old release and what it is in the new one; `score` is 1 where the name stayed."""

    old: Entry
    new: Entry
    score: float
    changes: tuple[str, ...]
    justified: bool
    why_not: str = ""

    @property
    def renamed(self) -> bool:
        """Whether it goes by another name."""
        return self.old.name != self.new.name


@dataclass(frozen=True)
class Comparison:
    """All that differs between two releases."""

    pairs: tuple[Pair, ...]
    added: tuple[Entry, ...]
    removed: tuple[Entry, ...]


def compare(old: Draft, new: Draft, before: Headers, after: Headers) -> Comparison:
    """Pairs by name first, then by likeness of signature and body, the likest first."""
    ours = {e.name: e for e in old.entries}
    theirs = {e.name: e for e in new.entries}
    same = [(ours[n], theirs[n], 1.0) for n in ours if n in theirs]
    gone = [e for e in old.entries if e.name not in theirs]
    come = [e for e in new.entries if e.name not in ours]
    scored = sorted(
        ((likeness(a, b), a.name, b.name, a, b) for a in gone for b in come), key=lambda s: (-s[0], s[1], s[2])
    )
    renamed: list[tuple[Entry, Entry, float]] = []
    used: set[str] = set()
    for score, a, b, first, second in scored:
        if score >= LIKE and f"old {a}" not in used and f"new {b}" not in used:
            used |= {f"old {a}", f"new {b}"}
            renamed.append((first, second, score))
    names = {a.template.name: b.template.name for a, b, _ in renamed}
    world = _World(before.texts, after.texts, names)
    pairs = tuple(_pair(a, b, score, world) for a, b, score in (*same, *renamed))
    added = tuple(e for e in come if f"new {e.name}" not in used)
    return Comparison(pairs, added, tuple(e for e in gone if f"old {e.name}" not in used))


def likeness(old: Entry, new: Entry) -> float:
    """0 to 1: half how alike the signatures are, half how alike the bodies, parameters and own names aside."""
    a = [(p.kind, p.variadic) for p in old.template.parameters]
    b = [(p.kind, p.variadic) for p in new.template.parameters]
    signature = SequenceMatcher(None, [str(x) for x in sorted(a)], [str(x) for x in sorted(b)], False).ratio()
    body = SequenceMatcher(None, _neutral(old), _neutral(new), False).ratio()
    return 0.5 * signature + 0.5 * body


def _neutral(entry: Entry) -> list[str]:
    names = {p.name: f"${i}" for i, p in enumerate(sorted(entry.template.parameters, key=lambda p: (p.kind, p.name)))}
    names[entry.template.name] = "$"
    return [names.get(t, t) for t in tokens(entry.template.body)]


def _pair(old: Entry, new: Entry, score: float, world: _World) -> Pair:
    changes = tuple(_changes(old, new))
    if not old.template.body or not new.template.body:
        return Pair(old, new, score, changes, False, "its body is not in these headers")
    names = [p.name for p in old.template.parameters]
    if set(names) != {p.name for p in new.template.parameters}:
        return Pair(old, new, score, changes, False, "its parameters are other ones")
    if any("kind" in c for c in changes):
        return Pair(old, new, score, changes, False, "the kind of a parameter changed")
    if _own(old, new.template.name) != tokens(new.template.body):
        return Pair(old, new, score, changes, False, "its body changed")
    moved = world.moved(new.template.body, {new.template.name, *names})
    why = f"`{moved}`, on which it is built, changed" if moved else ""
    return Pair(old, new, score, changes, not moved, why)


def _own(entry: Entry, name: str) -> list[str]:
    """The body's tokens with the construct's own name as the other release has it."""
    return [name if t == entry.template.name else t for t in tokens(entry.template.body)]


def _changes(old: Entry, new: Entry) -> Iterator[str]:
    a = {n: (s, d) for n, s, d in old.parameters}
    b = {n: (s, d) for n, s, d in new.parameters}
    if len(a) != len(b):
        yield f"{len(a)} parameters became {len(b)}"
    for name in (n for n in b if n not in a):
        yield f"parameter `{name}` is new"
    for name in (n for n in a if n not in b):
        yield f"parameter `{name}` is gone"
    if set(a) == set(b) and list(a) != list(b):
        yield f"order: {', '.join(a)} became {', '.join(b)}"
    for name in (n for n in a if n in b):
        if a[name][0] != b[name][0]:
            yield f"kind of `{name}`: {a[name][0]} became {b[name][0]}"
        if a[name][1] != b[name][1]:
            yield f"default of `{name}`: {_said(a[name][1])} became {_said(b[name][1])}"


def _said(default: str) -> str:
    return default.removeprefix(" = ") or "none"


class _World:
    """What the headers define, to tell whether anything that a body is built on has changed."""

    def __init__(
        self, before: Mapping[str, set[str]], after: Mapping[str, set[str]], renamed: Mapping[str, str]
    ) -> None:
        self.before, self.after = before, after
        self.back = {new: old for old, new in renamed.items()}

    def moved(self, body: str, own: set[str]) -> str:
        """The first name that a body leads to whose definition differs between the releases, or nothing."""
        seen = set(own)
        open_ = [t for t in tokens(body) if t in self.after]
        while open_:
            name = open_.pop()
            if name in seen:
                continue
            seen.add(name)
            old = {self._forward(text) for text in self.before.get(self.back.get(name, name), set())}
            if old != self.after[name]:
                return name
            open_ += [t for text in self.after[name] for t in text.split() if t in self.after]
        return ""

    def _forward(self, text: str) -> str:
        forward = {old: new for new, old in self.back.items()}
        return " ".join(forward.get(t, t) for t in text.split())
