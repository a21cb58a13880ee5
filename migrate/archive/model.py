"""The values that pass between the finder, the workers and the ledger."""

from __future__ import annotations

import errno
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from migrate.pipeline import Options

State = Literal["moved", "passed", "refused"]
MEGABYTE = 1 << 20


@dataclass(frozen=True, slots=True)
class Limits:
    """Bounds on what an archive may ask for: bytes a file, bytes in all, unpacked to packed, seconds a file."""

    largest: int = 64 * MEGABYTE
    total: int = 4096 * MEGABYTE
    ratio: int = 200
    seconds: float = 600.0


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why something was left alone: a stable code and a sentence."""

    code: str
    reason: str


@dataclass(frozen=True, slots=True)
class Found:
    """One thing in a source: where its result goes below DIR, how it is called, and where its bytes are.

    Exactly one of `path` (a file, or a URL), `data` (a member, already read) and `refusal` is given; `passed` marks
    what is no style code by its name.
    """

    out: str
    origin: str
    path: str | None = None
    data: bytes | None = None
    refusal: Refusal | None = None
    passed: bool = False


@dataclass(frozen=True, slots=True)
class Known:
    """The hashes of an earlier run's source, text and report, to be trusted only after hashing again."""

    source: str
    text: str
    report: str


@dataclass(frozen=True, slots=True)
class Task:
    """One file to move, by its number in the order of the sources."""

    number: int
    found: Found
    known: Known | None = None


@dataclass(frozen=True, slots=True)
class Job:
    """What is the same for every task: the options, the target folder, the limits."""

    options: Options
    out: str
    limits: Limits = field(default_factory=Limits)


@dataclass(frozen=True, slots=True)
class StyleRow:
    """What the ledger keeps of one style. `digest` names its meaning: equal digests, equal normal forms."""

    name: str
    line: int
    origin: str
    grade: str
    rounding: float
    p95: float | None
    largest: float | None
    scene: str
    digest: str
    note: str


@dataclass(frozen=True, slots=True)
class Done:
    """What became of one task. `reused` where an earlier run's result still stands."""

    number: int
    state: State
    refusal: Refusal | None = None
    hashes: Known | None = None
    styles: tuple[StyleRow, ...] = ()
    exit: int = 0
    seconds: float = 0.0
    reused: bool = False


_CODES = {
    errno.ENOSPC: "no-space",
    errno.EDQUOT: "no-space",
    errno.EFBIG: "no-space",
    errno.EROFS: "read-only",
    errno.EACCES: "no-access",
    errno.EPERM: "no-access",
    errno.ENOENT: "vanished",
    errno.ELOOP: "link",
    errno.ENAMETOOLONG: "bad-name",
    errno.EISDIR: "not-a-file",
    errno.ENOTDIR: "not-a-file",
    errno.EINVAL: "bad-name",
}


def refusal_of(error: OSError, doing: str) -> Refusal:
    """An OSError as a refusal; `doing` says at what: "read", "write"."""
    missing = isinstance(error, FileNotFoundError)  # a store behind a URL gives no number
    code = "vanished" if missing else _CODES.get(error.errno or 0, "input-output")
    return Refusal(code, f"cannot {doing} it: {error.strerror or str(error) or type(error).__name__}")
