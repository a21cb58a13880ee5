"""Covers a style: a ground and a run of layers, by wrappers from the end, by a list, or by a record of slots."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from migrate.ir import nodes as ir
from migrate.ir.normal import blended, spread_ground
from migrate.ir.walk import holds_noise
from migrate.lower.cost import Cost, Cover, better
from migrate.lower.match import START, Match
from migrate.lower.nearest import Step, brightened, representative
from migrate.lower.target import Target
from migrate.lower.vocabulary import LayerForm, Pattern
from migrate.packs.model import Parameter
from migrate.packs.units import MissingFact

if TYPE_CHECKING:
    from migrate.lower.cover import Coverer

_DROPPED_SHEET, _DROPPED_POWER, _FILLED_SLOT = 100, 150, 60
_FOLDS = 6
_BEAM = 4


@dataclass(frozen=True, slots=True)
class _Laid:
    """A record's layers laid on some of a style's: what they bind, what is lost in words, and what that costs."""

    match: Match
    losses: tuple[str, ...]
    loss: int


class Layers:
    """Covers a style: a ground and a run of layers, taken from the end by wrappers, or whole by a list or a record."""

    def __init__(self, coverer: Coverer, style: ir.Style) -> None:
        self.coverer, self.style = coverer, style
        ground, first = spread_ground(style)
        self.sheets = (*first, *style.sheets)
        self.layers: tuple[Any, ...] = (*self.sheets, *((style.power,) if style.power else ()))
        # Covers with the bound up to which there is no cheaper one.
        self._memo: dict[tuple[int, tuple[str, ...]], tuple[Cover | None, float]] = {}
        # The ground with none, one, two … of the first sheets in it; as the source had it, the same object.
        self._folds: list[Any] = [ground]
        self._as_written = len(first)
        self._parted: dict[int, list[Step]] = {}
        self._words: dict[int, str] = {}

    def cover(self, sorts: tuple[str, ...], most: float) -> Cover | None:
        """The cheapest cover of the whole style in one of the sorts that loses no more than `most`."""
        return self._prefix(len(self.layers), sorts, most)

    def _prefix(self, count: int, sorts: Sequence[str], most: float) -> Cover | None:
        """The ground with the first `count` layers."""
        sorts = self.coverer.generation.spread(tuple(sorts))
        key = (count, sorts)
        found, searched = self._memo.get(key, (None, -1.0))
        if found is None and searched < most:
            self._memo[key] = None, math.inf
            found = self._search(count, sorts, most)
            self._memo[key] = found, most
        return found if found is not None and found.cost.loss <= most else None

    def _search(self, count: int, sorts: tuple[str, ...], most: float) -> Cover | None:
        best = self._ground(count, sorts, most)
        patterns = [p for sort in sorts for p in self.coverer.vocabulary.layered.get(sort, ())]
        if self.coverer.nearest is None:
            for pattern in patterns:
                best = better(best, self._layered(pattern, count, most))
            return best
        # A loss that can be had for sure: what loses more than that need not be looked into.
        least = most if best is None else min(most, best.cost.loss)
        for pattern in patterns:
            least = self._as_it_is(pattern, count, least)
        without = self._without_last(count, sorts, least)
        least = least if without is None else min(least, without.cost.loss)
        for pattern in patterns:
            best = better(best, self._layered(pattern, count, least))
            least = least if best is None else min(least, best.cost.loss)
        return better(best, without)

    def _ground(self, count: int, sorts: tuple[str, ...], most: float) -> Cover | None:
        """The first `count` layers in the ground; a sheet is not to vanish in a ground that stands for another."""
        coverer = self.coverer
        ground = self._folded(count)
        if ground is None:
            return None
        plain = tuple(s for s in sorts if s not in coverer.vocabulary.layered)
        best = coverer.within(ground, plain, most if count <= self._as_written else 0) if plain else None
        return better(best, coverer.within(ground, sorts, most)) if isinstance(ground, ir.Opaque) else best

    def _without_last(self, count: int, sorts: tuple[str, ...], most: float) -> Cover | None:
        """The last layer left out."""
        if not count:
            return None
        layer = self.layers[count - 1]
        inner = self._prefix(count - 1, sorts, most - _lost_with(layer))
        if inner is None:
            return None
        losses = (*inner.losses, f"left out: {self._described(layer)}")
        return Cover(inner.cost + Cost(loss=_lost_with(layer)), inner.tree, losses)

    def _as_it_is(self, pattern: Pattern, count: int, least: float) -> float:
        """What is lost where a construct's own layers are just the last ones, if that is less than `least`."""
        start = count - len(pattern.layers)
        if pattern.base is None or pattern.run is not None or start < 0:
            return least
        laid = next(self._fitted(pattern, start), None)
        cover = None if laid is None else self._wrapped(pattern, pattern.base, start, laid, least)
        return least if cover is None else min(least, cover.cost.loss)

    def _fitted(self, pattern: Pattern, start: int) -> Iterator[_Laid]:
        """A construct's layers laid one for one on the style's from `start` on, with nothing lost."""
        layers = self.layers[start : start + len(pattern.layers)]
        for form, layer in zip(pattern.layers, layers, strict=True):
            if not form.possible(layer):
                return
        found = [_Laid(START, (), 0)]
        for form, layer in zip(pattern.layers, layers, strict=True):
            found = [further for laid in found for further in self._matched(form, layer, laid)]
        yield from found

    def _described(self, layer: Any) -> str:
        if id(layer) not in self._words:
            self._words[id(layer)] = self.coverer.describe(layer)
        return self._words[id(layer)]

    def _folded(self, count: int) -> Any:
        """The ground with its first `count` sheets folded into it as blends, or None where they are no plain sheets."""
        if count == self._as_written:
            return self.style.ground
        if count > self._as_written + _FOLDS or count > len(self.sheets):
            return None
        while len(self._folds) <= count:
            sheet = self.sheets[len(self._folds) - 1]
            below = self._folds[-1]
            plain_over = below is not None and sheet.operator == "over"
            fold = ir.Blend(below, sheet.paint, sheet.weight) if plain_over else None
            # Where nothing says the sheets as they are, their sum in normal form: by the place, it is a ramp.
            lossy = self.coverer.nearest is not None
            said: Any = blended(fold) if fold is not None and lossy else fold
            self._folds.append(brightened(below, sheet) if said is None and lossy else said)
        return self._folds[count]

    def _layered(self, pattern: Pattern, count: int, least: float) -> Cover | None:
        base = pattern.base
        if base is None:
            return None
        if pattern.run is not None:
            return self._list(pattern, count, base, pattern.run, least)
        best: Cover | None = None
        for start in self._starts(pattern, count, least):
            if self.coverer.nearest is None:
                laid_ones: Iterable[_Laid] = self._fitted(pattern, start)
            else:
                # What is lost below is lost; no more than the rest may be lost here.
                inner = self._prefix(start, base.sorts, least)
                if inner is None:
                    continue
                laid_ones = self._aligned(pattern, self.layers[start:count], least - inner.cost.loss)
            for laid in laid_ones:
                best = better(best, self._wrapped(pattern, base, start, laid, least))
        return best

    def _starts(self, pattern: Pattern, count: int, least: float) -> Iterable[int]:
        """Where a construct's own layers may begin among the first `count`: elsewhere only by skipping some."""
        own = len(pattern.layers)
        if self.coverer.nearest is None or least < min(_FILLED_SLOT, _DROPPED_SHEET):
            return (count - own,) if count >= own else ()
        return range(max(0, count - 2 * own), count + 1)

    def _list(self, pattern: Pattern, count: int, base: Parameter, layer: Parameter, most: float) -> Cover | None:
        """A ground and a list: the layers one by one; the first of them may be folded into the ground."""
        best: Cover | None = None
        # On a tie the first found stays: what the source held in its ground stays there.
        for start in sorted(range(count + 1), key=lambda n: (n != self._as_written, n)):
            least = most if best is None else min(most, best.cost.loss)
            rest = self._rest(self.layers[start:count], layer, least)
            lost = None if rest is None else sum(c.cost.loss for c in rest)
            ground = None if lost is None else self._prefix(start, base.sorts, least - lost)
            if ground is None or rest is None:
                continue
            cost, losses = ground.cost + Cost(size=1), list(ground.losses)
            trees = []
            for one in rest:
                cost += one.cost
                losses.extend(one.losses)
                if one.tree:
                    trees.append(one.tree)
            if trees or layer.optional:
                rest_of = ((layer, tuple(trees)),) if trees else ()
                tree = Target(pattern.construct, ((base, ground.tree), *rest_of), self.style)
                best = better(best, Cover(cost, tree, tuple(losses)))
        return best

    def _rest(self, layers: Sequence[Any], parameter: Parameter, most: float) -> list[Cover] | None:
        """The covers of the layers of a list; None where one has none, or they lose more than `most` together."""
        out: list[Cover] = []
        for layer in reversed(layers):
            one = self._layer(layer, parameter, most)
            if one is None:
                return None
            most -= one.cost.loss
            out.append(one)
        return out[::-1]

    def _layer(self, value: Any, parameter: Parameter, most: float) -> Cover | None:
        found = self.coverer.within(value, parameter.sorts, most)
        if found is None and self.coverer.nearest is not None and _lost_with(value) <= most:
            return Cover(Cost(loss=_lost_with(value)), (), (f"left out: {self._described(value)}",))
        return found

    def _aligned(self, pattern: Pattern, run: Sequence[Any], least: float) -> list[_Laid]:
        """The best ways to lay a record's layers on a run, where loss is allowed: either side may skip.

        An alignment by dynamic programming: `cells[p, i]` lays the first p of the record on the first i of the run
        and keeps only the few best, of those that can still come to no more than the loss `least`.
        """
        layers = pattern.layers
        if _for_skipping(len(layers) - len(run)) > least:
            return []
        cells: dict[tuple[int, int], list[_Laid]] = {(0, 0): [_Laid(START, (), 0)]}
        for p in range(len(layers) + 1):
            for i in range(len(run) + 1):
                most = least - _for_skipping(len(layers) - p - (len(run) - i))
                kept = [laid for laid in cells.get((p, i), ()) if laid.loss <= most]
                kept = cells[p, i] = sorted(kept, key=lambda laid: laid.loss)[:_BEAM]
                for laid in kept:
                    if p < len(layers) and i < len(run):
                        cells.setdefault((p + 1, i + 1), []).extend(self._matched(layers[p], run[i], laid, least))
                    if i < len(run) and laid.loss + _DROPPED_SHEET <= least:
                        cells.setdefault((p, i + 1), []).append(self._dropped(run[i], laid))
                    if p < len(layers) and laid.loss + _FILLED_SLOT <= least:
                        cells.setdefault((p + 1, i), []).append(self._added(layers[p], laid, pattern))
        return cells[len(layers), len(run)]

    def _matched(self, form: LayerForm, layer: Any, laid: _Laid, most: float = -1) -> Iterator[_Laid]:
        """A layer laid by a form; if it cannot be as it is, what stands for it, where no more than `most` is lost."""
        matcher = self.coverer.matcher
        exact = False
        try:
            for found in form.goes_on(layer, matcher, *laid.match) if form.possible(layer) else ():
                exact = True
                yield _Laid(found, laid.losses, laid.loss)
            for step in () if exact or most < 0 else self._stood_in(layer, most - laid.loss):
                good = form.possible(step.value)
                for found in form.goes_on(step.value, matcher, *laid.match) if good else ():
                    said = (*laid.losses, step.what) if step.what else laid.losses
                    yield _Laid(found, said, laid.loss + step.loss)
        except MissingFact as error:
            self.coverer.missing.add(error.fact)

    def _dropped(self, layer: Any, laid: _Laid) -> _Laid:
        return _Laid(laid.match, (*laid.losses, f"left out: {self._described(layer)}"), laid.loss + _lost_with(layer))

    def _added(self, form: LayerForm, laid: _Laid, owner: Pattern) -> _Laid:
        what = f"added, since every {owner.construct.name} has it: {form.event}"
        return _Laid(self._filled(form, laid.match), (*laid.losses, what), laid.loss + _FILLED_SLOT)

    def _stood_in(self, layer: Any, most: float) -> Iterator[Step]:
        """The stand-ins of a layer, and theirs, that lose no more than `most`."""
        nearest = self.coverer.nearest
        if nearest is None:
            return
        if id(layer) not in self._parted:
            self._parted[id(layer)] = list(self._divided(layer))
        first = (*self._parted[id(layer)], *nearest.of(layer, most))
        yield from first
        for step in first:
            for further in nearest.of(step.value, most - step.loss):
                said = "; ".join(filter(None, (step.what, further.what)))
                yield Step(further.value, step.loss + further.loss, said)

    def _divided(self, layer: Any) -> Iterator[Step]:
        """A sheet by a product of signals is, over a known ground, their blend by one of them laid by the others.

        With G below: G + v·w·(p - G) = G + v·((G + w·(p - G)) - G), so nothing is lost where G holds no noise.
        """
        if not isinstance(layer, ir.Sheet) or layer.operator != "over" or not isinstance(layer.weight, ir.Product):
            return
        below = self._folded(next(k for k, one in enumerate(self.layers) if one is layer))
        if below is None or isinstance(below, ir.Opaque) or holds_noise(below) or holds_noise(layer):
            return
        signals = layer.weight.signals
        for k, signal in enumerate(signals):
            rest = (*signals[:k], *signals[k + 1 :])
            weight = rest[0] if len(rest) == 1 else ir.Product(rest)
            yield Step(ir.Sheet("over", blended(ir.Blend(below, layer.paint, signal)), weight), 0, "")

    def _filled(self, form: LayerForm, match: Match) -> Match:
        """Bindings for a slot that the style does not have: as little to be seen as can be."""
        values = dict(match.values)
        for slot in form.slots:
            kind = slot.unit.kind if slot.unit is not None else ""
            if slot.name in values or kind in ("length", "speed", "rate", "weight"):
                continue  # how long what is not seen is, a layer to come may say
            if kind == "time":
                values[slot.name] = 0
            else:
                ground = self._folds[0]
                bare = "paint" in slot.words and not holds_noise(ground)
                values[slot.name] = ground if bare else self._plain_ground
        return Match(values, match.error)

    @cached_property
    def _plain_ground(self) -> ir.Colour:
        return representative(self._folds[0])

    def _wrapped(self, pattern: Pattern, base: Parameter, start: int, laid: _Laid, least: float) -> Cover | None:
        """The construct round what is below its own layers."""
        inner = self._prefix(start, base.sorts, least - laid.loss)
        if inner is None:
            return None
        below = Match({**laid.match.values, base.name: None}, laid.match.error)
        try:
            outer = self.coverer.finish(pattern, below, self.style, least - laid.loss, {base.name: inner})
        except MissingFact as error:
            self.coverer.missing.add(error.fact)
            return None
        if outer is None:
            return None
        return Cover(outer.cost + Cost(loss=laid.loss), outer.tree, (*outer.losses, *laid.losses))


def _for_skipping(more: int) -> int:
    """The least that is lost where a record has so many layers more than a run, or fewer."""
    return more * _FILLED_SLOT if more > 0 else -more * _DROPPED_SHEET


def _lost_with(layer: Any) -> int:
    """What leaving a layer out loses."""
    return _DROPPED_POWER if isinstance(layer, ir.Power) else _DROPPED_SHEET
