"""What a pack says: units, constructs, their parameters and the equations of their meaning."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Union

from migrate.ir.facts import Arithmetic
from migrate.ir.nodes import Rational

# ---- expressions of an equation ----------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Var:
    """A parameter."""

    name: str


@dataclass(frozen=True, slots=True)
class Atom:
    """A word of the IR, such as an event, a wave or a mixing space."""

    name: str


@dataclass(frozen=True, slots=True)
class Measure:
    """A number, with the unit it is written in (empty for a bare number)."""

    value: Rational
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Scaled:
    """`factor * variable`."""

    factor: Rational
    variable: str


@dataclass(frozen=True, slots=True)
class Less:
    """`value - variable`."""

    value: Rational
    variable: str


@dataclass(frozen=True, slots=True)
class Call:
    """A form of the IR and its arguments."""

    form: str
    arguments: tuple[Expression, ...]


@dataclass(frozen=True, slots=True)
class Sum:
    """A style: a base, then layers in order."""

    parts: tuple[Expression, ...]


Expression = Union[Var, Atom, Measure, Scaled, Less, Call, Sum]


# ---- signatures ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Unit:
    """How a generation writes one sort of number.

    kind    time, rate, tempo, plain, weight, length, parts, speed, grain, packed_duty or css_name
    scale   time: microseconds; tempo: microseconds times beats; weight: the number that is 1;
            length, speed: IR units in one of these; parts: IR units on the whole blade
    length  the IR's unit of a length, speed or grain
    spelled the wrapper it is written in, or empty for a bare number
    whole   whether it takes whole numbers only, also where the generation has decimals
    """

    name: str
    kind: str
    scale: Rational = 1
    length: str = ""
    low: Rational | None = None
    high: Rational | None = None
    spelled: str = ""
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Parameter:
    """One parameter: what it takes, how it is written, and what it is when left out.

    tag       the wrappers it is named by, outermost first; empty for a positional one
    floating  recognised by its sort wherever it stands
    optional  given exactly where the equation that holds mentions it
    """

    name: str
    sorts: tuple[str, ...]
    tag: tuple[str, ...] = ()
    floating: bool = False
    variadic: bool = False
    optional: bool = False
    low: Rational | None = None
    high: Rational | None = None
    default: Expression | None = None
    place: tuple[int, int] = field(default=(0, 0), compare=False)


@dataclass(frozen=True, slots=True)
class Equation:
    """`meaning`, where the guard (a parameter and the value it must have) holds.

    `one_way` says why it is never read backwards; `place` is its line and column in the pack.
    """

    meaning: Expression
    guard: tuple[str, Expression] | None = None
    one_way: str = ""
    place: tuple[int, int] = field(default=(0, 0), compare=False)


@dataclass(frozen=True, slots=True)
class Construct:
    """One signature of a name. `brackets` is false for a bare word such as a wave or an event.

    `renames` is the name that the same thing had in the generation before; it serves what has no meaning yet, as do
    `identity`, the oldest generation and name of it, and `slots`, what its parameters were called there.
    """

    sort: str
    name: str
    parameters: tuple[Parameter, ...]
    equations: tuple[Equation, ...]
    brackets: bool
    examples: tuple[str, ...] = ()
    differs: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    origin: str = ""
    through: str = ""
    compat: bool = False
    place: tuple[str, int] = ("", 0)
    renames: str = ""
    identity: str = ""
    slots: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Takes:
    """Constructs of an older generation that this one still accepts.

    sort   what its paints are here, where they are no paints of this one
    apart  sorts of the older one that are not this one's sorts of that name: they fit older parameters alone
    """

    generation: str
    prefix: str
    sort: str
    through: str
    entries: tuple[tuple[str, tuple[tuple[str, Measure], ...]], ...]
    place: tuple[str, int] = ("", 0)
    apart: tuple[str, ...] = ()

    def sort_of(self, older: str) -> str:
        """What a sort of the older generation is here."""
        if older in self.apart:
            return f"{self.generation}.{older}"
        return self.sort if self.sort and older == "paint" else older


@dataclass(frozen=True, slots=True)
class Loosening:
    """A form that may stand for another, at a loss, where a target lacks the first."""

    before: Expression
    after: Expression
    loss: int
    what: str


@dataclass(frozen=True)
class Generation:
    """A generation, whole: its facts and every construct it accepts, its own and the taken ones."""

    name: str
    title: str
    follows: str
    standard: str
    header: str
    namespace: str
    arithmetic: Arithmetic
    decimals: int
    declares: str
    facts: str
    marker: tuple[str, int] | None
    pixels: str
    pitch: str
    table: str
    entry: str
    units: Mapping[str, Unit]
    sorts: Mapping[str, tuple[str, ...]]
    constructs: Mapping[str, tuple[Construct, ...]]
    takes: tuple[Takes, ...] = ()
    loosenings: tuple[Loosening, ...] = ()
    tags: frozenset[str] = field(default_factory=frozenset)
    first_pixel: str = "hilt"
    packs: tuple[Path, ...] = ()
    _spread: dict[tuple[str, ...], tuple[str, ...]] = field(default_factory=dict, init=False, repr=False, compare=False)

    def spread(self, sorts: tuple[str, ...]) -> tuple[str, ...]:
        """The sorts with each union written out, in order, without repeats; each answer is kept."""
        found = self._spread.get(sorts)
        if found is None:
            whole = (one for s in sorts for one in (self.spread(self.sorts[s]) if s in self.sorts else (s,)))
            found = self._spread[sorts] = tuple(dict.fromkeys(whole))
        return found


class PackError(Exception):
    """A pack that cannot be read: file, line and column, what was found and what was expected."""

    def __init__(self, file: str, line: int, column: int, message: str, code: str = "pack-unreadable") -> None:
        super().__init__(message)
        self.file, self.line, self.column, self.message, self.code = file, line, column, message, code

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}: error [{self.code}] {self.message}"
