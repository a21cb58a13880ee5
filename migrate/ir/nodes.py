"""The nodes of the neutral IR, each declared once, with its types and its meaning in one sentence.

Conventions
-----------
* Time is an exact integer of microseconds; a rate is an exact integer of millihertz.
* A length or a speed keeps the unit that it was written in (`Length`, `Speed`) until it must convert.
* A number of sort `Rational` is exact; as a weight it lies in 0 to 1.
* Light is linear; a paint is opaque, and alpha lives in the weight of a sheet.
* A noise node has no number of its own: it is numbered by its place in the walk of the style
  (children first, in field order), which is the source order of every generation.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, Union

Rational = Union[int, Fraction]
LengthUnit = Literal["px", "mil", "mm"]
Encoding = Literal["duty", "srgb", "oklch"]
Space = Literal["linear", "srgb", "oklab"]
Edges = Literal["hard", "soft"]
Wave = Literal["sine", "triangle", "saw", "square"]
NoiseKind = Literal["hold", "soft", "drift"]
Operator = Literal["over", "plus"]
INSTANT_EVENTS = ("ignite", "retract", "clash", "blast")
HELD_EVENTS = ("lock", "drag", "melt")


# ---- quantities -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Length:
    """A length along the blade: pixels, per mille of the blade, or millimetres."""

    value: Rational
    unit: LengthUnit


@dataclass(frozen=True, slots=True)
class Speed:
    """A speed along the blade, in `unit` a second; positive is toward the tip."""

    value: Rational
    unit: LengthUnit


@dataclass(frozen=True, slots=True)
class Grain:
    """The cell of a noise: `whole` blade, `each` pixel, or cells of `length` from the hilt."""

    kind: Literal["whole", "each", "length"]
    length: Length | None = None


# ---- paints: (t, x) -> linear light -----------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Colour:
    """One colour: `duty` and `srgb` hold codes 0 to 255; `oklch` holds L 0 to 1, C, and H in degrees.

    `name` is the CSS name it was spelled with, or empty; it carries no meaning of its own.
    """

    encoding: Encoding
    values: tuple[Rational, Rational, Rational]
    name: str = ""


@dataclass(frozen=True, slots=True)
class Blend:
    """From paint `a` to paint `b` by the signal `weight`, mixed in `space`."""

    a: Paint
    b: Paint
    weight: Signal
    space: Space = "linear"


@dataclass(frozen=True, slots=True)
class Bands:
    """Bands `width` long that repeat `paints` from the hilt and travel with `speed`."""

    width: Length
    speed: Speed
    paints: tuple[Paint, ...]
    edges: Edges = "hard"


@dataclass(frozen=True, slots=True)
class Stop:
    """A paint at a position 0 to 1 of a ramp."""

    position: Rational
    paint: Paint


@dataclass(frozen=True, slots=True)
class Ramp:
    """Paints at stops along the blade, mixed between them in `space`."""

    stops: tuple[Stop, ...]
    space: Space = "linear"


@dataclass(frozen=True, slots=True)
class Hearth:
    """Slow fire: value noise of cell `grain` that rises with `speed`, squared, mixing `a` to `b`."""

    a: Paint
    b: Paint
    grain: Length
    speed: Speed


@dataclass(frozen=True, slots=True)
class Shade:
    """The light of `paint` scaled by `weight`."""

    paint: Paint
    weight: Signal


@dataclass(frozen=True, slots=True)
class Mirror:
    """The hilt half of `paint`, reflected onto the tip half."""

    paint: Paint


@dataclass(frozen=True, slots=True)
class Stepped:
    """`paint` on the 20 ms clock and with the floored eight-bit mixing of the tick generation."""

    paint: Paint


@dataclass(frozen=True, slots=True)
class Opaque:
    """Something of a firmware whose meaning no pack states, known by `identity` alone; it is never drawn.

    `arguments` stand beside their names in `slots`; a list of arguments is an Opaque without identity.
    """

    identity: str
    slots: tuple[str, ...]
    arguments: tuple[object, ...]


Paint = Union[Colour, Blend, Bands, Ramp, Hearth, Shade, Mirror, Stepped]


# ---- signals: (t, x) -> 0 to 1 ----------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Const:
    """A constant weight."""

    value: Rational


@dataclass(frozen=True, slots=True)
class Lfo:
    """A low-frequency oscillator; `period` in microseconds, `phase` in turns from the scene's start."""

    wave: Wave
    period: int
    phase: Rational = 0


@dataclass(frozen=True, slots=True)
class Noise:
    """Counter-based noise: held, interpolated in time, or a bounded walk; `rate` in millihertz."""

    kind: NoiseKind
    rate: int
    grain: Grain


@dataclass(frozen=True, slots=True)
class Sound:
    """The sound level, `lag` microseconds ago."""

    lag: int = 0


@dataclass(frozen=True, slots=True)
class Swing:
    """The speed of the swing as a share of `full` degrees a second."""

    full: Rational


@dataclass(frozen=True, slots=True)
class Tilt:
    """The tilt, -90 to 90 degrees as 0 to 1."""


@dataclass(frozen=True, slots=True)
class Twist:
    """The twist, -180 to 180 degrees as 0 to 1."""


@dataclass(frozen=True, slots=True)
class Near:
    """A raised cosine `width` wide round the place that `centre` gives."""

    centre: Signal
    width: Length


@dataclass(frozen=True, slots=True)
class Hilt:
    """A linear fall from 1 at the hilt to 0 at `length`."""

    length: Length


@dataclass(frozen=True, slots=True)
class Tip:
    """A linear fall from 1 at the tip to 0 at `length` from it."""

    length: Length


@dataclass(frozen=True, slots=True)
class Tail:
    """1 on the last `length` of the blade, 0 elsewhere."""

    length: Length


@dataclass(frozen=True, slots=True)
class Along:
    """The place itself, 0 at the hilt and 1 at the tip."""


@dataclass(frozen=True, slots=True)
class EdgeBand:
    """1 on the `width` of lit blade that ends at the moving edge of the power transition."""

    width: Length


@dataclass(frozen=True, slots=True)
class Upon:
    """The envelope `shape`, started by the latest `event`."""

    event: str
    shape: Shape


@dataclass(frozen=True, slots=True)
class PlaceOf:
    """The place of the latest `event`, 0 before the first."""

    event: str


@dataclass(frozen=True, slots=True)
class StrengthOf:
    """The strength of the latest `event`: 0 before the first, 1 for a held one."""

    event: str


@dataclass(frozen=True, slots=True)
class Since:
    """The time since the latest `event`, reaching 1 in `duration` microseconds; 1 before the first."""

    event: str
    duration: int


@dataclass(frozen=True, slots=True)
class Product:
    """The product of the signals."""

    signals: tuple[Signal, ...]


@dataclass(frozen=True, slots=True)
class Inverse:
    """1 less the signal."""

    signal: Signal


@dataclass(frozen=True, slots=True)
class Most:
    """The greatest of the signals."""

    signals: tuple[Signal, ...]


@dataclass(frozen=True, slots=True)
class Least:
    """The least of the signals."""

    signals: tuple[Signal, ...]


@dataclass(frozen=True, slots=True)
class Past:
    """1 where the signal is at least `level`, else 0."""

    signal: Signal
    level: Rational


@dataclass(frozen=True, slots=True)
class Ease:
    """The signal through a CSS easing function."""

    signal: Signal
    curve: Curve


@dataclass(frozen=True, slots=True)
class Slew:
    """The signal with its rate limited: `up` and `down` are microseconds for the full range."""

    signal: Signal
    up: int
    down: int


@dataclass(frozen=True, slots=True)
class Trail:
    """The signal with a memory in each pixel that halves in `half_life` microseconds."""

    signal: Signal
    half_life: int


@dataclass(frozen=True, slots=True)
class Scatter:
    """`count` one-pixel sparks thrown from the place of `event`, `reach` to either side."""

    event: str
    shape: Shape
    count: int
    reach: Length


Signal = Union[
    Const, Lfo, Noise, Sound, Swing, Tilt, Twist, Near, Hilt, Tip, Tail, Along, EdgeBand, Upon, PlaceOf,
    StrengthOf, Since, Product, Inverse, Most, Least, Past, Ease, Slew, Trail, Scatter,
]  # fmt: skip


# ---- easing curves ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class NamedCurve:
    """A CSS easing keyword, with underscores: linear, ease, ease_in, ease_out, ease_in_out, step_start, step_end."""

    name: str


@dataclass(frozen=True, slots=True)
class CubicBezier:
    """cubic-bezier(x1, y1, x2, y2) of CSS Easing Level 2."""

    x1: Rational
    y1: Rational
    x2: Rational
    y2: Rational


@dataclass(frozen=True, slots=True)
class Steps:
    """steps(count, jump) of CSS Easing Level 2; jump is jump_start, jump_end, jump_none or jump_both."""

    count: int
    jump: str


Curve = Union[NamedCurve, CubicBezier, Steps]


# ---- shapes of an event's envelope (durations in microseconds) --------------------------------


@dataclass(frozen=True, slots=True)
class Burst:
    """Full for `duration`, then gone."""

    duration: int


@dataclass(frozen=True, slots=True)
class Hit:
    """Linear up in `attack`, linear down in `decay`."""

    attack: int
    decay: int


@dataclass(frozen=True, slots=True)
class Held:
    """Linear up in `attack`, full while the event lasts, linear down in `release` from the level reached."""

    attack: int
    release: int


@dataclass(frozen=True, slots=True)
class Key:
    """A signal's value at `time` microseconds after the event."""

    time: int
    signal: Signal


@dataclass(frozen=True, slots=True)
class Keys:
    """Keyframes since the event, eased in each interval."""

    keys: tuple[Key, ...]
    curve: Curve = NamedCurve("linear")


Shape = Union[Burst, Hit, Held, Keys]


# ---- transitions (durations in microseconds) ---------------------------------------------------


@dataclass(frozen=True, slots=True)
class Cut:
    """At once."""


@dataclass(frozen=True, slots=True)
class Wipe:
    """An edge that travels from the hilt, `soft` long."""

    duration: int
    soft: Length = Length(0, "mil")


@dataclass(frozen=True, slots=True)
class Dissolve:
    """The whole blade at once, by alpha."""

    duration: int


@dataclass(frozen=True, slots=True)
class Iris:
    """Two edges that open from `position`, 0 to 1."""

    duration: int
    position: Rational


@dataclass(frozen=True, slots=True)
class Rest:
    """Keeps the old picture for `duration`, then cuts."""

    duration: int


@dataclass(frozen=True, slots=True)
class Chain:
    """Transitions played one after the other; `paints[k]` shows between steps k and k + 1."""

    steps: tuple[Transition, ...]
    paints: tuple[Paint, ...]


Transition = Union[Cut, Wipe, Dissolve, Iris, Rest, Chain]


# ---- style --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Sheet:
    """`paint` laid on what is below with alpha `weight`: source-over, or W3C plus-lighter."""

    operator: Operator
    paint: Paint
    weight: Signal


@dataclass(frozen=True, slots=True)
class Power:
    """What ignition and retraction play."""

    rise: Transition
    fall: Transition


@dataclass(frozen=True, slots=True)
class Style:
    """A ground, sheets over it from first to last, and the power that cuts all of it; no power is always lit."""

    ground: Paint
    sheets: tuple[Sheet, ...] = ()
    power: Power | None = None


Node = Union[Paint, Signal, Shape, Transition, Curve, Stop, Key, Sheet, Power, Style, Length, Speed, Grain, Opaque]
