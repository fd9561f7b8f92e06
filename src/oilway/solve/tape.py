"""A symbolic function as a straight list of operations, run over many columns at once.

The System's own expressions are taken apart once; nothing is written a second time.  A tape runs interpreted, one
NumPy operation over all columns after the other, or compiled (:mod:`oilway.solve.compiled`) where the extra
``oilway[fast]`` is installed.  What depends on inputs that stay the same during a solve is done once, beforehand.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import casadi as ca
import numpy as np

from oilway.model.system import Vector
from oilway.solve import compiled


def _if_else_zero(condition: Vector, value: Vector, out: Vector) -> None:
    out.fill(0.0)
    np.copyto(out, value, where=condition if condition.dtype == bool else condition != 0)


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
    """One operation: its name, the nodes it takes, and the number or the (input, row) of a leaf.

    A ``sum`` has the ``weights`` of what it takes.
    """

    name: str
    takes: tuple[int, ...] = ()
    value: float = 0.0
    leaf: tuple[int, int] = (0, 0)
    weights: tuple[float, ...] = ()


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
        before, during = parts(inputs, outputs, fixed)
        self._before, self._during = runner(before), runner(during)

    def prepare(self, *fixed: Vector) -> Vector:
        """What follows from the fixed inputs alone, (kept, sets)."""
        return self._before(*fixed)[0]

    def __call__(self, kept: Vector, *inputs: Vector) -> list[Vector]:
        """The outputs, each (rows, sets)."""
        return self._during(kept, *inputs)


def parts(inputs: Sequence[Any], outputs: Sequence[Any], fixed: Iterable[int] = ()) -> tuple[Listing, Listing]:
    """The operations of a symbolic function in two lists, as :func:`split` makes them."""
    dense = [ca.densify(o) for o in outputs]
    return split(listed(ca.Function("tape", list(inputs), ca.cse(dense))), set(fixed))


def runner(listing: Listing) -> Callable[..., list[Vector]]:
    """The list as a function of matrices (rows, sets), compiled where that can be."""
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
    return _summed(_divided_once(Listing(tuple(nodes), rows, tuple(map(tuple, outputs)))))


def _divided_once(listing: Listing) -> Listing:
    """What divides several times, or is a number, becomes its inverse: a division costs some ten products."""
    below = Counter(node.takes[1] for node in listing.nodes if node.name == "div")
    nodes: list[Node] = []
    place: dict[int, int] = {}
    inverse: dict[int, int] = {}
    for k, node in enumerate(listing.nodes):
        takes = tuple(place[t] for t in node.takes)
        place[k] = len(nodes)
        if node.name != "div" or (below[node.takes[1]] == 1 and nodes[takes[1]].name != "const"):
            nodes.append(replace(node, takes=takes))
            continue
        if takes[1] not in inverse:
            inverse[takes[1]] = len(nodes)
            number = nodes[takes[1]]
            nodes.append(
                Node("const", value=1 / number.value) if number.name == "const" else Node("inv", takes[1:])
            )
            place[k] = len(nodes)
        nodes.append(Node("mul", (takes[0], inverse[takes[1]])))
    return Listing(tuple(nodes), listing.inputs, tuple(tuple(place[k] for k in rows) for rows in listing.outputs))


def _summed(listing: Listing) -> Listing:
    """Chains c1 x1 + c2 x2 + ... become one operation: interpreted, the calls are what costs."""
    nodes = list(listing.nodes)
    used = Counter([t for node in nodes for t in node.takes] + [k for rows in listing.outputs for k in rows])

    def term(k: int) -> tuple[float, int] | None:
        if nodes[k].name != "mul" or used[k] > 1:
            return None
        a, b = nodes[k].takes
        number, other = (a, b) if nodes[a].name == "const" else (b, a)
        return (nodes[number].value, other) if nodes[number].name == "const" else None

    for k, node in enumerate(listing.nodes):
        if node.name not in ("add", "sub"):
            continue
        (a, b), sign = node.takes, 1.0 if node.name == "add" else -1.0
        last, first = term(b), term(a)
        before = nodes[a] if nodes[a].name == "sum" and used[a] == 1 else None
        if last is not None and before is not None:
            nodes[k] = Node("sum", (*before.takes, last[1]), weights=(*before.weights, sign * last[0]))
        elif last is not None and first is not None:
            nodes[k] = Node("sum", (first[1], last[1]), weights=(first[0], sign * last[0]))
    return _needed(nodes, listing.inputs, listing.outputs)


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
    kept = [replace(n, takes=tuple(place[t] for t in n.takes)) for n in (nodes[k] for k in order)]
    return Listing(tuple(kept), inputs, tuple(tuple(place[k] for k in rows) for rows in outputs))


class Interpreted:
    """One NumPy operation over all columns for each node."""

    def __init__(self, listing: Listing) -> None:
        self.listing = listing
        self.blocks = _blocks(listing)
        self.rows = {k: (block, row) for block, nodes in enumerate(self.blocks) for row, k in enumerate(nodes)}
        self.flags = _flags(listing)
        self.slots, self.count = _slots(listing, self.flags.union(self.rows))

    def __call__(self, *inputs: Vector) -> list[Vector]:
        """The outputs, each (rows, sets)."""
        return Bound(self, inputs)()


class Bound:
    """A list of operations tied to its input matrices: call it again whenever the numbers in them have changed."""

    def __init__(self, tape: Interpreted, inputs: Sequence[Vector]) -> None:
        self._sets = inputs[-1].shape[1]
        work = np.empty((tape.count, self._sets))
        blocks = [np.empty((len(nodes), self._sets)) for nodes in tape.blocks]
        at: list[Vector] = []
        self._calls: list[tuple[Callable[..., object], tuple[Any, ...]]] = []
        for k, (node, slot) in enumerate(zip(tape.listing.nodes, tape.slots, strict=True)):
            if node.name == "input":
                at.append(inputs[node.leaf[0]][node.leaf[1]])
                continue
            if node.name == "const":
                at.append(np.array(node.value))
                continue
            if k in tape.flags:
                at.append(np.empty(self._sets, dtype=bool))
            else:
                at.append(blocks[tape.rows[k][0]][tape.rows[k][1]] if k in tape.rows else work[slot])
            if node.name != "sum":
                self._calls.append((OPERATIONS[node.name], (*(at[t] for t in node.takes), at[k])))
                continue
            block = tape.rows.get(node.takes[0], (-1, 0))[0]
            stacked = block >= 0 and tape.blocks[block][: len(node.takes)] == node.takes
            terms = blocks[block][: len(node.takes)] if stacked else [at[t] for t in node.takes]
            self._calls.append((np.dot if stacked else _sum, (np.array(node.weights), terms, at[k])))
        self._outputs = [[at[k] for k in rows] for rows in tape.listing.outputs]

    def __call__(self) -> list[Vector]:
        """The outputs, each (rows, sets)."""
        with np.errstate(all="ignore"):
            for operation, taken in self._calls:
                operation(*taken)
        out = [np.empty((len(rows), self._sets)) for rows in self._outputs]
        for matrix, rows in zip(out, self._outputs, strict=True):
            for k, row in enumerate(rows):
                matrix[k] = row  # a number stands for all sets
        return out


def _sum(weights: Vector, terms: Sequence[Vector], out: Vector) -> None:
    np.multiply(terms[0], weights[0], out)
    for weight, term in zip(weights[1:], terms[1:], strict=True):
        np.add(out, term * weight, out)


def _flags(listing: Listing) -> set[int]:
    """Comparisons that nothing but conditions takes: as truth values they cost a third."""
    flags = {
        k for k, node in enumerate(listing.nodes) if node.name in ("lt", "le", "eq", "ne", "not", "and", "or")
    }
    for node in listing.nodes:
        if node.name in ("not", "and", "or"):
            continue
        flags.difference_update(node.takes[1:] if node.name == "if_else_zero" else node.takes)
    return flags.difference(k for rows in listing.outputs for k in rows)


def _blocks(listing: Listing) -> list[tuple[int, ...]]:
    """Nodes that are to lie one above the other, so that a weighted sum of them is one product by a matrix."""
    blocks: list[tuple[int, ...]] = []
    placed: set[int] = set()
    sums = [node.takes for node in listing.nodes if node.name == "sum"]
    for takes in sorted(set(sums), key=lambda t: (-len(t), t)):
        own = all(listing.nodes[t].name not in ("input", "const") for t in takes)
        if own and len(set(takes)) == len(takes) and not placed.intersection(takes):
            blocks.append(takes)
            placed.update(takes)
    return blocks


def _slots(listing: Listing, elsewhere: set[int]) -> tuple[list[int], int]:
    """A row of the work space for each operation; used again once that has been taken for the last time."""
    last = {t: k for k, node in enumerate(listing.nodes) for t in node.takes}
    last.update({k: len(listing.nodes) for rows in listing.outputs for k in rows})  # kept to the end
    slots: list[int] = []
    free: list[int] = []
    count = 0
    for k, node in enumerate(listing.nodes):
        if node.name in ("input", "const") or k in elsewhere:
            slots.append(-1)
        elif free:
            slots.append(free.pop())
        else:
            slots.append(count)
            count += 1
        for t in set(node.takes):
            if last[t] == k and slots[t] >= 0:
                free.append(slots[t])
    return slots, count
