"""Which column of a cutaway stands beside which, and to which side the rooms of a single one reach."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations

from oilway.draw.cutaway_column import Column
from oilway.elements.base import Part

MOST_COLUMNS = 6  # whose order is tried out


def in_order(found: list[Column], loose: list[Part]) -> list[Column]:
    """Columns from left to right: the widest first, then those that are joined beside each other."""
    found = sorted(found, key=lambda c: (-c.widest, c.part.name))
    if not 2 < len(found) <= MOST_COLUMNS:
        return found

    def ties(a: Column, b: Column) -> int:
        both = a.chambers(), b.chambers()
        across = sum(any({x, y} <= set(p.nodes.values()) for x in both[0] for y in both[1]) for p in loose)
        return len(both[0] & both[1]) + across

    def length(order: Sequence[Column]) -> int:
        pairs = [(i, j) for j in range(len(order)) for i in range(j)]
        return sum((j - i) * ties(order[i], order[j]) for i, j in pairs)

    orders = [[found[0], *rest] for rest in permutations(found[1:])]
    return min(orders, key=length)


def sides_of(column: Column, loose: list[Part]) -> dict[str, int]:
    """The side for each chamber of a single column: what is joined by a restriction keeps to one side."""
    group = {c: {c} for c in sorted(column.chambers())}
    for part in loose:
        ends = [c for c in part.nodes.values() if c in group]
        for end in ends[1:]:
            joined = group[ends[0]] | group[end]
            group.update(dict.fromkeys(joined, joined))
    sides: dict[str, int] = {}
    balance = 0
    order = [r.chamber for r in reversed(column.rooms) if r.chamber]
    for name in sorted(group, key=lambda c: (-len(group[c]), order.index(c))):
        if name not in sides:
            side = 1 if balance <= 0 else -1
            sides.update(dict.fromkeys(group[name], side))
            balance += side * len(group[name])
    return sides
