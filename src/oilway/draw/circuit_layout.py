"""Where the symbols of a circuit stand: rows from the pump up to what moves, and an order in each row.

Pumps stand at the bottom with the tank below them, what moves at the top, and every symbol between is one row
above the line that feeds it.  What lets oil down (a relief, a return) hangs from its line instead.  Layers with an
order found by exchanging neighbours while it shortens the lines: the method of Sugiyama (from memory).
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable
from typing import NamedTuple

from oilway.draw.symbols import GRID, Symbol, up

LOW = -1  # the row below the pumps: return and suction lines
SIDEWAYS, AISLE = 60, 80  # px between symbols of a row; px between rows before any line runs there
MARGIN = 160  # px round the symbols, for plates; what stays empty is cut off
TERMINAL = 60  # px: the tank under a mouth, with its name
STRAIGHT = 60  # px that a symbol gives way for a line without a bend
SWEEPS, ROUNDS = 6, 4


class End(NamedTuple):
    """One end of a line: x within its symbol, and the aisle it opens into, counted as the row below it."""

    symbol: Symbol
    x: int
    aisle: int


Pulls = dict[str, list[tuple[int, list[End]]]]


def place(symbols: list[Symbol], tanks: set[str], drains: set[str], spread: float = 1.0) -> tuple[int, int]:
    """Give every symbol its x and y; width and height of the picture in px.

    ``tanks`` have a sign at every mouth and no lines, ``drains`` are tanks and the return lines into them;
    ``spread`` widens the aisles.
    """
    rows = _rows(symbols, drains)
    grid = [[s for s in symbols if rows[s.name] == row] for row in sorted(set(rows.values()))]
    grid = _ordered(grid, tanks)
    _settle(grid, _pulls(_nets(grid, tanks)), SWEEPS)
    left = min(s.x - s.pads[0] for s in symbols)
    for symbol in symbols:
        symbol.x = GRID * round((symbol.x - left) / GRID) + MARGIN
    return max(s.x + s.width + s.pads[1] for s in symbols) + MARGIN, _stack(grid, tanks, spread)


# -- rows ---------------------------------------------------------------------------------------------------
def _rows(symbols: list[Symbol], drains: set[str]) -> dict[str, int]:
    """The row of each symbol: its distance from a pump along the lines; what is fed from above is turned."""
    rows = {s.name: 0 for s in symbols if s.place == "pump"}
    level = {m.chamber: 0 for s in symbols if s.place == "pump" for m in s.mouths if m.port == "outlet"}
    level = {c: 0 for c in level if c not in drains}
    queue = sorted((depth, chamber) for chamber, depth in level.items())
    pending = [s for s in symbols if s.place not in ("pump", "actuator")]
    while queue:
        depth, chamber = heapq.heappop(queue)
        for symbol in [s for s in pending if s.name not in rows and any(m.chamber == chamber for m in s.mouths)]:
            beside = rows.get(symbol.beside)
            if all(m.side == "up" for m in symbol.mouths if m.chamber == chamber):
                symbol.turn()
            rows[symbol.name] = _row(symbol, depth, drains, beside)
            beyond = _beyond(symbol, depth, rows[symbol.name])
            for mouth in symbol.mouths:
                if symbol.place != "gauge" and mouth.chamber not in drains and mouth.chamber not in level:
                    level[mouth.chamber] = beyond
                    heapq.heappush(queue, (beyond, mouth.chamber))
    # What is left leads a return line into the tank or a suction line out of it, or no pump feeds it.
    suction = {m.chamber for s in symbols if s.place == "pump" for m in s.mouths if m.port == "inlet"}
    for symbol in pending:
        is_low = all(m.chamber in drains | suction for m in symbol.mouths) and len(symbol.mouths) == 2
        rows.setdefault(symbol.name, LOW if is_low else 1)
    fixed = [rows[s.name] for s in symbols if s.name in rows and s.place != "gauge"]
    lines = [level[m.chamber] for s in symbols if s.place != "gauge" for m in s.mouths if m.chamber in level]
    top = 1 + max([0, *fixed, *lines])
    return {s.name: rows.get(s.name, top) for s in symbols}


def _row(symbol: Symbol, depth: int, drains: set[str], beside: int | None) -> int:
    drained = any(m.chamber in drains for m in symbol.mouths)
    if symbol.place != "down":
        return depth + 1
    if beside is not None and not drained:
        return beside
    return max(depth, 0)


def _beyond(symbol: Symbol, depth: int, row: int) -> int:
    return max(row - 1, 0) if symbol.place == "down" else depth + 1


# -- order and x ----------------------------------------------------------------------------------------------
def _ordered(grid: list[list[Symbol]], tanks: set[str]) -> list[list[Symbol]]:
    """Rows in the order that makes the lines short: neighbours change places, and symbols move, while it helps."""
    nets = _nets(grid, tanks)
    pulls = _pulls(nets)
    _settle(grid, pulls, SWEEPS)
    best = _length(grid, nets)
    tried = {_names(grid)}  # an order that did not help once never will
    for _ in range(ROUNDS):
        before = best
        for row in grid:
            for k in range(len(row)):
                for to in range(len(row)):
                    if k == to:
                        continue
                    old = list(row)
                    row.insert(to, row.pop(k))
                    now = best
                    if (names := _names(grid)) not in tried:
                        tried.add(names)
                        _settle(grid, pulls, 3)
                        now = _length(grid, nets)
                    if now < best - 1e-6:
                        best = now
                    else:
                        row[:] = old
        if best >= before - 1e-6:
            break
    return grid


def _names(grid: list[list[Symbol]]) -> tuple[str, ...]:
    return tuple(symbol.name for row in grid for symbol in row)


def _nets(grid: Iterable[list[Symbol]], tanks: set[str]) -> list[list[End]]:
    """The ends of each line; tanks have a sign at every mouth and no line."""
    nets: dict[str, list[End]] = {}
    for row, symbols in enumerate(grid):
        for symbol in symbols:
            for mouth in symbol.mouths:
                aisle = row - 1 if mouth.side == "down" else row
                nets.setdefault(mouth.chamber, []).append(End(symbol, mouth.x, aisle))
    return [ends for chamber, ends in nets.items() if len(ends) > 1 and chamber not in tanks]


def _length(grid: list[list[Symbol]], nets: list[list[End]]) -> float:
    """Sum of the spans of the lines, with what those that pass a row cost that have a symbol in their way."""
    total = 0.0
    for ends in nets:
        xs = [end.symbol.x + end.x for end in ends]
        middle = sum(xs) / len(xs)
        total += max(xs) - min(xs) + 0.3 * sum(abs(x - middle) for x in xs)
        aisles = [end.aisle for end in ends]
        for row in range(min(aisles) + 1, max(aisles) + 1):
            total += 2 * min(_detour(x, grid[row]) for x in xs)
    return total


def _detour(x: float, row: list[Symbol]) -> float:
    """How far from x the nearest way past the symbols of a row is."""
    inside = [s for s in row if s.x - GRID < x < s.x + s.width + GRID]
    return min((min(x - s.x, s.x + s.width - x) + 3 * GRID for s in inside), default=0.0)


def _pulls(nets: list[list[End]]) -> Pulls:
    """What each symbol is drawn to, by its name: the x of its own end, and the other ends of the line there."""
    pulls: Pulls = {}
    for ends in nets:
        for end in ends:
            others = [other for other in ends if other.symbol is not end.symbol]
            if others:
                pulls.setdefault(end.symbol.name, []).append((end.x, others))
    return pulls


def _settle(grid: list[list[Symbol]], pulls: Pulls, sweeps: int) -> None:
    """Give every symbol an x: near what it is joined to, in the order of its row."""
    for row in grid:
        at = 0
        for symbol in row:
            symbol.x = at + symbol.pads[0]
            at += sum(symbol.pads) + symbol.width + SIDEWAYS
        for symbol in row:
            symbol.x -= at // 2
    for sweep in range(sweeps):
        for row in grid if sweep % 2 else reversed(grid):
            wanted = [_wanted(s, pulls.get(s.name, [])) - s.pads[0] for s in row]
            for symbol, x in zip(row, _apart(wanted, [s.width + sum(s.pads) for s in row]), strict=True):
                symbol.x = round(x) + symbol.pads[0]


def _wanted(symbol: Symbol, pulls: list[tuple[int, list[End]]]) -> float:
    if not pulls:
        return symbol.x
    places = [[o.symbol.x + o.x - x for o in others] for x, others in pulls]
    weights = [1.0 / len(own) for own in places]
    mean = sum(w * sum(own) / len(own) for w, own in zip(weights, places, strict=True)) / sum(weights)
    straight = min((at for own in places for at in own), key=lambda at: abs(at - mean))
    return straight if abs(straight - mean) <= STRAIGHT else mean


def _apart(wanted: list[float], widths: list[int]) -> list[float]:
    """Places nearest to the wanted ones (least squares) that keep order and distance: pooled neighbours.

    >>> _apart([0, 10, 500], [100, 100, 100])
    [-75.0, 85.0, 500.0]
    """
    offsets = [0.0]
    for width in widths[:-1]:
        offsets.append(offsets[-1] + width + SIDEWAYS)
    pools: list[list[float]] = []  # sum, count
    for x, offset in zip(wanted, offsets, strict=False):
        pools.append([x - offset, 1])
        while len(pools) > 1 and pools[-2][0] / pools[-2][1] > pools[-1][0] / pools[-1][1]:
            total, count = pools.pop()
            pools[-1][0] += total
            pools[-1][1] += count
    placed = [total / count for total, count in pools for _ in range(int(count))]
    return [x + offset for x, offset in zip(placed, offsets, strict=False)]


# -- y --------------------------------------------------------------------------------------------------------
def _stack(grid: list[list[Symbol]], tanks: set[str], spread: float) -> int:
    """Rows from the top down, the last at the bottom; mouths at the foot of a row stand level.  Height in px."""
    y = MARGIN
    crowd = _crowd(grid, tanks)
    for k in range(len(grid) - 1, -1, -1):
        tall = max((s.height for s in grid[k]), default=0)
        for symbol in grid[k]:
            symbol.y = y + tall - symbol.height if symbol.place != "down" else y
        foot = TERMINAL if any(m.side == "down" and m.chamber in tanks for s in grid[k] for m in s.mouths) else 0
        y += tall + foot + (up(spread * (AISLE + GRID * crowd[k])) if k else 0)
    return up(y + MARGIN)


def _crowd(grid: list[list[Symbol]], tanks: set[str]) -> list[int]:
    """How many lines run between each row and the one below it."""
    spans = [(min(e.aisle for e in net), max(e.aisle for e in net)) for net in _nets(grid, tanks)]
    return [sum(low <= k - 1 <= high for low, high in spans) for k in range(len(grid))]
