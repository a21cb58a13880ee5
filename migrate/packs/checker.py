"""Checks packs as a compiler would: every error with a code, a place and a hint, none hidden by another.

Packs are read statement by statement, so that one that cannot be read leaves the others to be checked.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path

from migrate.packs.check_examples import check_examples
from migrate.packs.check_facts import (
    Statements,
    check_header,
    check_loosenings,
    check_sort_names,
    check_taken,
    check_takes,
    check_units,
    empty,
    near,
)  # fmt: skip
from migrate.packs.check_meanings import Meanings
from migrate.packs.check_signatures import TOP_SORTS, Signatures
from migrate.packs.findings import Book, Finding
from migrate.packs.kinds import Inference
from migrate.packs.library import drafts_of, finish, homes, pack_folders
from migrate.packs.model import Construct, Generation, PackError, Unit
from migrate.packs.reader import Draft, read_text
from migrate.resources import grammar_path

_LINES = ("means", "differs", "example", "note", "renames")
_SETTINGS = (
    "follows", "standard", "header", "namespace", "clock", "mixing", "decimals", "declares", "facts", "marker",
    "pixels", "pitch", "table", "entry", "first_pixel",
)  # fmt: skip
_STATEMENTS = ("generation", "unit", "sort", "takes", "loosen")
_FATAL = frozenset({"pack-unknown-generation", "pack-unknown-construct", "pack-takes-itself", "pack-sort-circle"})


def check(folders: tuple[Path, ...], beside: tuple[Path, ...] = ()) -> list[Finding]:
    """Everything that is wrong with the packs in these folders; `beside` are others that they may build on."""
    wanted = tuple(dict.fromkeys(home for folder in folders for home in homes(folder)))
    known = _known(tuple(h for h in (*pack_folders(beside),) if h.resolve() not in {w.resolve() for w in wanted}))
    read = [_read(home) for home in wanted]
    for _, draft, _, _ in read:
        if "name" in draft.header:
            known.setdefault(draft.header["name"], draft)
    out: list[Finding] = []
    for book, draft, statements, _ in read:
        others = (d.header for d in (*known.values(), *(r[1] for r in read)) if d is not draft)
        out += check_taken(book, statements, list(others))
    for book, draft, statements, unread in read:
        out += unread if unread and not statements else [*unread, *_check_one(book, draft, statements, known)]
    return sorted(dict.fromkeys(out))


@cache
def _shipped(folder: Path) -> dict[str, Draft]:
    """A shipped pack, which does not change while the program runs."""
    return drafts_of((folder,))


def _known(folders: tuple[Path, ...]) -> dict[str, Draft]:
    found: dict[str, Draft] = {}
    for folder in folders:
        try:
            found.update(_shipped(folder) if folder.parent == grammar_path() else drafts_of((folder,)))
        except (PackError, OSError, UnicodeDecodeError):
            continue  # what is wrong there is told when that folder is checked
    return found


# ---- reading, statement by statement ------------------------------------------------------------------


def _read(home: Path) -> tuple[Book, Draft, Statements, list[Finding]]:
    texts: dict[str, tuple[str, ...]] = {}
    unread: list[Finding] = []
    paths = sorted(home.glob("*.pack"))
    if not paths:
        hint = "a pack is a folder with files that end in .pack"
        unread.append(Finding(str(home), 1, 1, "pack-no-files", "no *.pack file in this folder", hint))
    for path in paths:
        try:
            texts[path.name] = tuple(path.read_text("utf-8").split("\n"))
        except UnicodeDecodeError as error:
            line = path.read_bytes()[: error.start].count(b"\n") + 1
            unread.append(Finding(str(path), line, 1, "pack-not-text", "this file is not UTF-8 text"))
    book = Book(home, texts)
    statements: Statements = []
    whole = Draft()
    for file in sorted(texts):
        for line, text in _statements(texts[file]):
            draft = Draft()
            try:
                read_text(draft, "\n" * (line - 1) + text, file)
            except PackError as error:
                unread.append(_refined(book, file, line, error))
                _stand_in(whole, text)
                continue
            statements.append((file, line, draft))
            _add(whole, draft)
    return book, whole, statements, unread


def _statements(lines: tuple[str, ...]) -> Iterator[tuple[int, str]]:
    """Each statement with the line it begins in: what stands at the margin, and what is indented below it."""
    begin: int | None = None
    for at, line in enumerate((*lines, "end"), 1):
        if line.strip() and line[0] not in " \t" and not line.startswith("--"):
            if begin is not None:
                yield begin, "\n".join(lines[begin - 1 : at - 1]) + "\n"
            begin = at
        elif line.strip() and not line.strip().startswith("--") and begin is None:
            begin = at
    return


def _stand_in(whole: Draft, text: str) -> None:
    """A unit that cannot be read stands for any sort of number, so that its uses are no errors too."""
    words = text.split()
    if words[0] == "unit" and len(words) > 1:
        whole.units.append(Unit(words[1], "unknown"))


def _add(whole: Draft, part: Draft) -> None:
    whole.header.update({k: v for k, v in part.header.items() if k not in whole.header})
    whole.units += part.units
    whole.unions.update(part.unions)
    whole.takes += part.takes
    whole.constructs += part.constructs
    whole.loosenings += part.loosenings


def _refined(book: Book, file: str, line: int, error: PackError) -> Finding:
    """What exactly cannot be read: an open string, an open bracket, an unknown word at the start of a line."""
    if error.code != "pack-unreadable":
        return Finding(book.path(file), error.line, error.column, error.code, error.message)
    lines = [(at, book.lines[file][at - 1].split("--")[0]) for at in range(line, book.end(file, line))]
    lines = [(at, text) for at, text in lines if text.strip()]
    for at, text in lines:
        if text.count('"') % 2 and text.split()[0] != "example":
            column = text.rindex('"') + 1
            return Finding(book.path(file), at, column, "pack-open-string", 'this `"` is never closed')
    bracket = _open_bracket([(at, text) for at, text in lines if text.split()[0] != "example"])
    if bracket is not None:
        at, column, sign = bracket
        what = "is never closed" if sign == "(" else "closes nothing"
        return Finding(book.path(file), at, column, "pack-open-bracket", f"this `{sign}` {what}")
    if line <= len(book.lines[file]) and book.lines[file][line - 1][:1] in " \t":
        message = "an indented line with no statement above it"
        first = book.lines[file][line - 1]
        column = len(first) - len(first.lstrip()) + 1
        return Finding(
            book.path(file), line, column, "pack-no-statement", message, "begin the statement at the left margin"
        )
    return _unknown_word(book, file, line, error)


def _open_bracket(lines: list[tuple[int, str]]) -> tuple[int, int, str] | None:
    open_: list[tuple[int, int]] = []
    for at, text in lines:
        quoted = False
        for column, sign in enumerate(text, 1):
            quoted ^= sign == '"'
            if sign == "(" and not quoted:
                open_.append((at, column))
            elif sign == ")" and not quoted:
                if not open_:
                    return at, column, ")"
                open_.pop()
    return (*open_[-1], "(") if open_ else None


def _unknown_word(book: Book, file: str, line: int, error: PackError) -> Finding:
    kind = re.split(r"[^\w]", book.lines[file][line - 1])[0]
    known = {"generation": _SETTINGS}.get(kind, () if kind in _STATEMENTS else _LINES)
    text = book.lines[file][error.line - 1] if error.line <= len(book.lines[file]) else ""
    at = error.line
    if at == line and kind not in _STATEMENTS and book.end(file, line) > line + 1 and error.column > len(text):
        at, text = line + 1, book.lines[file][line]
    words = text.split()
    word = words[0] if words else ""
    if known and at > line and word and word not in known:
        code, what = (
            ("pack-unknown-setting", "setting")
            if kind == "generation"
            else ("pack-unknown-line", "line of a construct")
        )
        column = text.index(word) + 1
        message = f"`{word}` is no {what}"
        return Finding(book.path(file), at, column, code, message, near(word, known) or f"known: {', '.join(known)}")
    return Finding(book.path(file), error.line, error.column, error.code, error.message)


# ---- one pack --------------------------------------------------------------------------------------------


def _check_one(book: Book, draft: Draft, statements: Statements, known: Mapping[str, Draft]) -> list[Finding]:
    out = [*check_header(book, statements, known), *check_units(book, statements), *check_loosenings(book, statements)]
    if "name" not in draft.header:
        return out
    # What is wrong with a unit is told once, not again at each of its uses.
    units = [replace(u, low=None, high=None) if empty(u.low, u.high) else u for u in draft.units]
    names = {u.name for u in units}
    unions = {name: sorts for name, sorts in draft.unions.items() if name not in names}
    good = Draft(dict(draft.header), units, unions, [], draft.constructs, draft.loosenings)
    for file, _, part in statements:
        for takes in part.takes:
            found = list(check_takes(book, file, takes, draft.header["name"], known))
            out += found
            if not any(f.code in _FATAL for f in found):
                good.takes.append(takes)
    if any(f.code in ("pack-sort-circle", "pack-missing-setting") for f in out):
        return out
    good.header["decimals"] = good.header.get("decimals", "0") if good.header.get("decimals", "0").isdigit() else "0"
    if any(f.code == "pack-setting-value" and "`marker`" in f.message for f in out):
        good.header.pop("marker", None)
    generation = finish(draft.header["name"], {**known, draft.header["name"]: good})
    return [*out, *_check_constructs(book, generation, statements, known)]


def _check_constructs(
    book: Book, generation: Generation, statements: Statements, known: Mapping[str, Draft]
) -> list[Finding]:
    own = [replace(c, origin=generation.name) for _, _, part in statements for c in part.constructs]
    every = [c for group in generation.constructs.values() for c in group]
    sorts = frozenset((*generation.units, *generation.sorts, *(c.sort for c in every), *TOP_SORTS))
    out = list(check_sort_names(book, statements, sorts))
    inference = Inference(generation)
    out += Signatures(book, generation, inference).check(own, frozenset({*known, generation.name}))
    out += Meanings(book, inference).check(own)
    out += _renames(book, generation, own, known)
    spoilt = {(f.file, _owner(f.line, own, book, f.file)) for f in out}
    sound = [c for c in own if (book.path(c.place[0]), c.place[1]) not in spoilt]
    broken_sorts = any(f.code == "pack-unknown-sort" for f in out)
    return [*out, *(() if broken_sorts else check_examples(book, generation, sound))]


def _owner(line: int, own: list[Construct], book: Book, path: str) -> int:
    """The line that the construct holding a line begins in."""
    starts = [c.place[1] for c in own if book.path(c.place[0]) == path and c.place[1] <= line]
    return max(starts, default=0)


def _renames(book: Book, generation: Generation, own: list[Construct], known: Mapping[str, Draft]) -> Iterator[Finding]:
    older = {c.name for c in known[generation.follows].constructs} if generation.follows in known else set()
    for construct in own:
        place = (*construct.place, 1)
        if construct.renames and not generation.follows:
            message = f"`{construct.name}` renames `{construct.renames}`, but this generation follows none"
            yield book.finding(
                "pack-renames-nothing", place, construct.renames, message, "add `follows` to the generation"
            )
        elif construct.renames and construct.renames not in older:
            message = f"`{generation.follows}` has no construct `{construct.renames}`"
            yield book.finding(
                "pack-unknown-construct", place, construct.renames, message, near(construct.renames, older)
            )
