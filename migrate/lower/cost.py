"""What a cover costs: lost meaning, then rounding, then size."""

from __future__ import annotations

from typing import NamedTuple

from migrate.ir.nodes import Rational
from migrate.lower.nearest import Step
from migrate.lower.target import TargetValue, name_of


class Cost(NamedTuple):
    """What a cover gives up: lost meaning, then the largest relative rounding, then constructs used."""

    loss: int = 0
    error: Rational = 0
    size: int = 0

    def __add__(self, other: Cost) -> Cost:  # type: ignore[override]  # costs add up, they are not joined
        error = self.error if not other.error else max(self.error, other.error)
        return Cost(self.loss + other.loss, error, self.size + other.size)


FREE = Cost()


class Cover(NamedTuple):
    """A target tree (or a run of them) and its cost; `losses` says in words what is lost."""

    cost: Cost
    tree: TargetValue
    losses: tuple[str, ...] = ()


def lost(cover: Cover, step: Step) -> Cover:
    """A cover of a stand-in, with what standing in costs."""
    what = (step.what, *cover.losses) if step.what else cover.losses
    return Cover(cover.cost + Cost(loss=step.loss), cover.tree, what)


def better(one: Cover | None, other: Cover | None) -> Cover | None:
    """The cheaper of two covers; a tie goes to the name that sorts first, then to the first given."""
    if one is None or other is None:
        return one or other
    if one.cost != other.cost:
        return one if one.cost < other.cost else other
    return one if name_of(one.tree) <= name_of(other.tree) else other
