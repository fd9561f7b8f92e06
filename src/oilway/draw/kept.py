"""What was laid out lately, by its content: of a file saved anew, only what it changed is laid out again."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterable
from typing import Generic, TypeVar

from oilway.elements.base import Part

Made = TypeVar("Made")
MOST = 64  # things kept, of each sort


class Kept(Generic[Made]):
    """The last things made, by a text that says all that they were made of.  Nobody may change them afterwards."""

    def __init__(self, most: int = MOST) -> None:
        self._most = most
        self._made: OrderedDict[str, Made] = OrderedDict()

    def get(self, content: str, make: Callable[[], Made]) -> Made:
        """What was made of this content, made now where it is not there.  Errors: those of ``make``."""
        made = self._made.pop(content, None)
        if made is None:
            made = make()
        self._made[content] = made
        while len(self._made) > self._most:
            self._made.popitem(last=False)
        return made


def content_of(parts: Iterable[Part]) -> str:
    """All that a picture may show of some parts: names, kinds, values and ports, not the lines of the file."""
    return repr(
        [(part.name, part.kind, sorted(part.values.items()), sorted(part.nodes.items())) for part in parts]
    )
