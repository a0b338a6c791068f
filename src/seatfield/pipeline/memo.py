"""Results kept by the content of what they were computed from."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any


class Memo:
    """A bounded store of results; the least recently used goes first.

    Parameters
    ----------
    capacity
        Number of results to keep.
    """

    def __init__(self, capacity: int = 256) -> None:
        self._capacity = capacity
        self._kept: OrderedDict[Hashable, Any] = OrderedDict()

    def get(self, key: Hashable, compute: Callable[[], Any]) -> Any:
        """Return what is kept under `key`, computing and keeping it first where it is missing."""
        if key not in self._kept:
            self._kept[key] = compute()
        self._kept.move_to_end(key)
        while len(self._kept) > self._capacity:
            self._kept.popitem(last=False)
        return self._kept[key]
