"""The surface names of the IR's nodes, as the pack language spells them.

A form says which node class a name builds and which fields its arguments fill, in order; an argument
left out stands for the field's default. Reading an equation forwards builds nodes through this table,
reading it backwards matches them.
"""

from __future__ import annotations

from dataclasses import MISSING, dataclass, fields
from typing import Any, get_args

from migrate.ir import nodes as ir


@dataclass(frozen=True, slots=True)
class Form:
    """A node class, the fields that the arguments fill, and the fields that the name itself fixes."""

    cls: type[Any]
    fields: tuple[str, ...]
    fixed: tuple[tuple[str, Any], ...] = ()

    def build(self, arguments: list[Any]) -> Any:
        """The node; arguments beyond the form's fields are an error of the pack."""
        return self.cls(**dict(self.fixed), **dict(zip(self.fields, arguments, strict=False)))


def _plain(cls: type[Any]) -> Form:
    return Form(cls, tuple(f.name for f in fields(cls)))


FORMS: dict[str, Form] = {
    "blend": _plain(ir.Blend),
    "bands": _plain(ir.Bands),
    "ramp": _plain(ir.Ramp),
    "stop": _plain(ir.Stop),
    "hearth": _plain(ir.Hearth),
    "shade": _plain(ir.Shade),
    "mirror": _plain(ir.Mirror),
    "stepped": _plain(ir.Stepped),
    "constant": _plain(ir.Const),
    "lfo": _plain(ir.Lfo),
    "noise": _plain(ir.Noise),
    "sound": _plain(ir.Sound),
    "swing": _plain(ir.Swing),
    "tilt": _plain(ir.Tilt),
    "twist": _plain(ir.Twist),
    "near": _plain(ir.Near),
    "hilt": _plain(ir.Hilt),
    "tip": _plain(ir.Tip),
    "tail": _plain(ir.Tail),
    "along": _plain(ir.Along),
    "edge": _plain(ir.EdgeBand),
    "upon": _plain(ir.Upon),
    "place": _plain(ir.PlaceOf),
    "strength": _plain(ir.StrengthOf),
    "since": _plain(ir.Since),
    "product": _plain(ir.Product),
    "inverse": _plain(ir.Inverse),
    "most": _plain(ir.Most),
    "least": _plain(ir.Least),
    "past": _plain(ir.Past),
    "ease": _plain(ir.Ease),
    "slew": _plain(ir.Slew),
    "trail": _plain(ir.Trail),
    "scatter": _plain(ir.Scatter),
    "curve": _plain(ir.NamedCurve),
    "bezier": _plain(ir.CubicBezier),
    "steps": _plain(ir.Steps),
    "burst": _plain(ir.Burst),
    "hit": _plain(ir.Hit),
    "held": _plain(ir.Held),
    "keys": _plain(ir.Keys),
    "key": _plain(ir.Key),
    "cut": _plain(ir.Cut),
    "wipe": _plain(ir.Wipe),
    "dissolve": _plain(ir.Dissolve),
    "iris": _plain(ir.Iris),
    "rest": _plain(ir.Rest),
    "over": Form(ir.Sheet, ("paint", "weight"), (("operator", "over"),)),
    "plus": Form(ir.Sheet, ("paint", "weight"), (("operator", "plus"),)),
    "power": _plain(ir.Power),
}

# Calls that are no node of their own: the reader of equations gives them their meaning.
COLOUR_FORMS = ("duty", "srgb", "oklch", "css")
LIST_FORMS = ("list", "even", "chain", "reversed")
NUMBER_FORMS = ("beyond",)
VARIADIC_FIELDS = {"product": "signals", "most": "signals", "least": "signals"}

GRAINS = {"whole": ir.Grain("whole"), "each": ir.Grain("each")}


_DEFAULTS: dict[type[Any], dict[str, Any]] = {}


def defaults(cls: type[Any]) -> dict[str, Any]:
    """The default of each field that has one."""
    found = _DEFAULTS.get(cls)
    if found is None:
        found = _DEFAULTS[cls] = {f.name: f.default for f in fields(cls) if f.default is not MISSING}
    return found


# Every bare word that a field of a node can hold.
WORDS = frozenset(word for kind in (ir.Space, ir.Edges, ir.Wave, ir.NoiseKind) for word in get_args(kind)) | frozenset(
    (*ir.INSTANT_EVENTS, *ir.HELD_EVENTS, *GRAINS)
)
