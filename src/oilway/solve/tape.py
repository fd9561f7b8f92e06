"""A symbolic function as a straight list of operations, run over many columns at once.

The System's own expressions are taken apart once; nothing is written a second time.  A tape runs interpreted, one
NumPy operation over all columns after the other, or compiled (:mod:`oilway.solve.compiled`) where the extra
``oilway[fast]`` is installed.  What depends on inputs that stay the same during a solve is done once, beforehand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import casadi as ca
import numpy as np

from oilway.model.system import Vector
from oilway.solve import compiled


def _if_else_zero(condition: Vector, value: Vector, out: Vector) -> None:
    np.copyto(out, np.where(condition != 0, value, 0.0))


OPERATIONS: dict[str, Callable[..., object]] = {
    "assign": np.positive, "add": np.add, "sub": np.subtract, "mul": np.multiply, "div": np.divide,
    "neg": np.negative, "exp": np.exp, "log": np.log, "pow": np.power, "constpow": np.power, "sqrt": np.sqrt,
    "sq": np.square, "twice": lambda a, out: np.add(a, a, out=out), "sin": np.sin, "cos": np.cos, "tan": np.tan,
    "asin": np.arcsin, "acos": np.arccos, "atan": np.arctan, "lt": np.less, "le": np.less_equal, "eq": np.equal,
    "ne": np.not_equal, "not": np.logical_not, "and": np.logical_and, "or": np.logical_or, "floor": np.floor,
    "ceil": np.ceil, "fabs": np.abs, "sign": np.sign, "if_else_zero": _if_else_zero, "fmin": np.fmin,
    "fmax": np.fmax, "inv": np.reciprocal, "sinh": np.sinh, "cosh": np.cosh, "tanh": np.tanh,
    "asinh": np.arcsinh, "acosh": np.arccosh, "atanh": np.arctanh, "atan2": np.arctan2, "log1p": np.log1p,
    "expm1": np.expm1, "hypot": np.hypot,
}  # fmt: skip
# By the numbers that the symbolic library gives them; those differ between its versions.
NAMES = {getattr(ca, f"OP_{name.upper()}"): name for name in ("const", "input", "output", *OPERATIONS)}


@dataclass(frozen=True)
class Node:
    """One operation: its name, the nodes it takes, and the number or the (input, row) of a leaf."""

    name: str
    takes: tuple[int, ...] = ()
    value: float = 0.0
    leaf: tuple[int, int] = (0, 0)


@dataclass(frozen=True)
class Listing:
    """Nodes in order, how many rows each input has, and which node each row of each output is."""

    nodes: tuple[Node, ...]
    inputs: tuple[int, ...]
    outputs: tuple[tuple[int, ...], ...]


class Tape:
    """A function of matrices (rows, sets), a set a column: call it with the inputs, get new arrays.

    ``fixed`` tells which inputs stay during a solve: :meth:`prepare` takes those and returns one array of what
    follows from them alone, and a call then takes that array and the other inputs.
    """

    def __init__(self, inputs: Sequence[Any], outputs: Sequence[Any], fixed: Iterable[int] = ()) -> None:
        dense = [ca.densify(o) for o in outputs]
        listing = listed(ca.Function("tape", list(inputs), ca.cse(dense)))
        before, during = split(listing, set(fixed))
        self.kept = len(before.outputs[0])
        self._before, self._during = (_runner(part) for part in (before, during))

    def prepare(self, *fixed: Vector) -> Vector:
        """What follows from the fixed inputs alone, (kept, sets)."""
        return self._before(*fixed)[0]

    def __call__(self, kept: Vector, *inputs: Vector) -> list[Vector]:
        """The outputs, each (rows, sets)."""
        return self._during(kept, *inputs)


def _runner(listing: Listing) -> Callable[..., list[Vector]]:
    return compiled.runner(listing) if compiled.AVAILABLE else Interpreted(listing)


def listed(function: Any) -> Listing:
    """The operations of a symbolic function.  Every work place is renamed, so that each node is set once."""
    nodes: list[Node] = []
    place: dict[int, int] = {}
    outputs = [[-1] * function.nnz_out(k) for k in range(function.n_out())]
    for k in range(function.n_instructions()):
        name = NAMES.get(function.instruction_id(k), "")
        to, takes = function.instruction_output(k), function.instruction_input(k)
        if name == "output":
            outputs[to[0]][to[1]] = place[takes[0]]
            continue
        if name == "const":
            node = Node(name, value=float(function.instruction_constant(k)))
        elif name == "input":
            node = Node(name, leaf=(takes[0], takes[1]))
        elif name in OPERATIONS:
            node = Node(name, tuple(place[t] for t in takes))
        else:
            raise NotImplementedError(f"operation {function.instruction_id(k)} of the symbolic library")
        place[to[0]] = len(nodes)
        nodes.append(node)
    rows = tuple(function.nnz_in(k) for k in range(function.n_in()))
    return Listing(tuple(nodes), rows, tuple(map(tuple, outputs)))


def split(listing: Listing, fixed: set[int]) -> tuple[Listing, Listing]:
    """In two: what follows from the ``fixed`` inputs alone, and the rest, whose first input is that."""
    moves = _moving(listing, fixed)
    wanted = [t for node, moving in zip(listing.nodes, moves, strict=True) if moving for t in node.takes]
    wanted += [node for rows in listing.outputs for node in rows]
    cut = [k for k in dict.fromkeys(wanted) if not moves[k] and listing.nodes[k].name != "const"]
    numbers = {k: position for position, k in enumerate(sorted(fixed))}
    others = {
        k: position + 1 for position, k in enumerate(k for k in range(len(listing.inputs)) if k not in fixed)
    }
    before = [
        Node("input", leaf=(numbers[n.leaf[0]], n.leaf[1])) if n.name == "input" and not moves[k] else n
        for k, n in enumerate(listing.nodes)
    ]
    kept = {k: Node("input", leaf=(0, row)) for row, k in enumerate(cut)}
    during = [
        kept.get(k)
        or (Node("input", leaf=(others[n.leaf[0]], n.leaf[1])) if n.name == "input" and moves[k] else n)
        for k, n in enumerate(listing.nodes)
    ]
    return (
        _needed(before, tuple(listing.inputs[k] for k in sorted(fixed)), (tuple(cut),)),
        _needed(during, (len(cut), *(listing.inputs[k] for k in others)), listing.outputs),
    )


def _moving(listing: Listing, fixed: set[int]) -> list[bool]:
    """Which nodes depend on an input that is not fixed."""
    moves: list[bool] = []
    for node in listing.nodes:
        moves.append(node.leaf[0] not in fixed if node.name == "input" else any(moves[t] for t in node.takes))
    return moves


def _needed(nodes: list[Node], inputs: tuple[int, ...], outputs: tuple[tuple[int, ...], ...]) -> Listing:
    """Only the nodes that some output takes."""
    needed = {node for rows in outputs for node in rows}
    for k in range(len(nodes) - 1, -1, -1):
        if k in needed:
            needed.update(nodes[k].takes)
    order = sorted(needed)
    place = {k: position for position, k in enumerate(order)}
    kept = [Node(n.name, tuple(place[t] for t in n.takes), n.value, n.leaf) for n in (nodes[k] for k in order)]
    return Listing(tuple(kept), inputs, tuple(tuple(place[k] for k in rows) for rows in outputs))


class Interpreted:
    """One NumPy operation over all columns for each node."""

    def __init__(self, listing: Listing) -> None:
        self._listing = listing
        last = {t: k for k, node in enumerate(listing.nodes) for t in node.takes}
        last.update({k: len(listing.nodes) for rows in listing.outputs for k in rows})  # kept to the end
        self._slots, self._count = _slots(listing, last)

    def __call__(self, *inputs: Vector) -> list[Vector]:
        """The outputs, each (rows, sets)."""
        sets = inputs[-1].shape[1]
        work = np.empty((self._count, sets))
        at: list[Vector] = []
        with np.errstate(all="ignore"):
            for node, slot in zip(self._listing.nodes, self._slots, strict=True):
                if node.name == "input":
                    at.append(inputs[node.leaf[0]][node.leaf[1]])
                    continue
                out = work[slot]
                if node.name == "const":
                    out.fill(node.value)
                else:
                    OPERATIONS[node.name](*(at[t] for t in node.takes), out=out)
                at.append(out)
        return [np.array([at[k] for k in rows]).reshape(len(rows), sets) for rows in self._listing.outputs]


def _slots(listing: Listing, last: dict[int, int]) -> tuple[list[int], int]:
    """A row of the work space for each node; it is used again once its node has been taken for the last time."""
    slots: list[int] = []
    free: list[int] = []
    count = 0
    for k, node in enumerate(listing.nodes):
        if node.name == "input":
            slots.append(-1)
            continue
        if free:
            slots.append(free.pop())
        else:
            slots.append(count)
            count += 1
        for t in set(node.takes):
            if last[t] == k and slots[t] >= 0:
                free.append(slots[t])
    return slots, count
