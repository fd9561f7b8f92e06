"""Amounts that stand bare in the prose of class files: on a sheet in other units they would stay as typed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from oilway import quantity
from oilway.errors import Place
from oilway.model.tree import Block, Series, Text, read_file

SPOKEN = (
    "worksheet", "note", "ask", "tell", "caution", "steps", "step", "measured", "limit", "course", "title", "say",
    "gauge", "then", "outcome", "hook", "prior check", "misconceptions", "exit question", "cautions",
)  # fmt: skip
# Units of what a metric sheet shows otherwise; the longest first, so that 'ft/min' is not read as 'ft'.
UNITS = sorted(
    {unit for kind in quantity.KINDS.values() if kind.shop != kind.metric for unit in kind.units if unit},
    key=lambda unit: (-len(unit), unit),
)
BARE = re.compile(rf"(?<![{{\w.])\d[\d.,/]*\s*(?:{'|'.join(map(re.escape, UNITS))})(?![\w/}}])")


def bare_amounts(path: Path) -> list[str]:
    """Each amount without braces in the prose of a worksheet or a course, with file and line."""
    return [
        f"{place}: '{found}': write '{{{found}}}'"
        for place, text in prose(read_file(path))
        for found in bare(text)
    ]


def bare(text: str) -> list[str]:
    """The amounts of a text that stand in no braces."""
    return [found[0] for found in BARE.finditer(re.sub(r"\{[^{}]*\}", "{}", text))]


def prose(block: Block) -> Iterator[tuple[Place, str]]:
    """Every text of a file that people read, and where it stands."""
    for key, item in block.items.items():
        if key == "rubric" and isinstance(item, Block):
            yield from ((item.place(said), said) for said in item.items)
        elif key == "limits" and isinstance(item, Block):
            yield from ((inner.where, inner.text) for inner in item.items.values() if isinstance(inner, Text))
        elif isinstance(item, Text) and key in SPOKEN:
            yield item.where, item.text
        elif isinstance(item, Series):
            texts = [inner for inner in item.items if isinstance(inner, Text)]
            yield from ((inner.where, inner.text) for inner in texts if key in SPOKEN)
            for inner in (i for i in item.items if isinstance(i, Block)):
                yield from prose(inner)
        elif isinstance(item, Block) and key not in ("set", "change", "was", "vary", "rows", "faults"):
            yield from prose(item)
