"""A small memory of what was made lately, bounded, so that it does not grow with the work."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from typing import Generic, TypeVar

K = TypeVar("K")
V = TypeVar("V")


class Recent(Generic[K, V]):
    """Values by key; of more than `most` the least recently used goes.

    >>> seen = Recent(1)
    >>> seen.get("bell", lambda: 3), seen.get("bell", lambda: 4)
    (3, 3)
    """

    def __init__(self, most: int) -> None:
        self.most = most
        self._kept: OrderedDict[K, V] = OrderedDict()

    def known(self, key: K) -> V | None:
        """The value of a key, or None where it is not kept."""
        if key in self._kept:
            self._kept.move_to_end(key)
        return self._kept.get(key)

    def get(self, key: K, make: Callable[[], V]) -> V:
        """The value of a key, made where it is not kept; what `make` raises goes through, and nothing is kept."""
        if key in self._kept:
            self._kept.move_to_end(key)
            return self._kept[key]
        value = self._kept[key] = make()
        if len(self._kept) > self.most:
            self._kept.popitem(last=False)
        return value
