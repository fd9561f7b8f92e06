"""A tape in LLVM's language, and as machine code: no C compiler is needed.

The extra ``oilway[fast]`` brings llvmlite.  Eight sets go through the code side by side: on a machine whose
registers take four, one half does not wait for the other.  Without it, or where ``OILWAY_INTERPRETED`` is set,
tapes run interpreted.
"""

from __future__ import annotations

import ctypes
import importlib.util
import os
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from oilway.model.system import Vector
from oilway.solve.machine_code import engine
from oilway.solve.side_by_side import SideBySide

if TYPE_CHECKING:
    from oilway.solve.tape import Listing, Node

AVAILABLE = importlib.util.find_spec("llvmlite") is not None and not os.environ.get("OILWAY_INTERPRETED")
WIDE = 8  # sets side by side
LANES = f"<{WIDE} x double>"
BITS = f"<{WIDE} x i1>"
# "contract": a product and a sum may be joined into one rounding, as C compilers do.
PLAIN = {"add": "fadd contract", "sub": "fsub contract", "mul": "fmul contract", "div": "fdiv"}
COMPARED = {"lt": "olt", "le": "ole", "eq": "oeq", "ne": "une"}
LIBRARY = {  # functions of the C library, called for one set after the other
    "constpow", "sin", "cos", "tan", "asin", "acos", "atan", "sinh", "cosh", "asinh", "acosh", "atanh", "atan2",
    "log1p", "expm1", "hypot",
}  # fmt: skip
SIDE_BY_SIDE = {"exp", "log", "pow", "tanh"}
INTRINSIC = {"sqrt": "sqrt", "fabs": "fabs", "floor": "floor", "ceil": "ceil"}


def runner(listing: Listing) -> Callable[..., list[Vector]]:
    """The compiled tape: matrices (rows, sets) in, new ones out."""
    return _Compiled(listing)


class _Compiled:
    def __init__(self, listing: Listing) -> None:
        self._rows = [len(rows) for rows in listing.outputs]
        self._engine = engine(assembly({"tape": listing}))
        count = len(listing.inputs) + len(self._rows)
        # Called through ctypes, which lets other threads of Python run meanwhile.
        taken = ctypes.CFUNCTYPE(None, ctypes.c_int64, *[ctypes.c_void_p] * count)
        self._run = taken(self._engine.get_function_address("tape"))

    def __call__(self, *inputs: Vector) -> list[Vector]:
        sets = inputs[-1].shape[1]
        room = max(sets, WIDE)
        if room != sets:
            inputs = tuple(np.pad(i, ((0, 0), (0, room - sets)), mode="edge") for i in inputs)
        given = [np.ascontiguousarray(i) for i in inputs]
        outputs = [np.empty((rows, room)) for rows in self._rows]
        self._run(room, *(a.ctypes.data for a in (*given, *outputs)))
        return [o[:, :sets] for o in outputs] if room != sets else outputs


def assembly(tapes: dict[str, Listing], more: str = "") -> str:
    """The tapes as functions of these names in LLVM's language, and ``more`` that calls them.

    Each takes the number of sets, at least WIDE, and the addresses of its inputs and outputs, (rows, sets).
    """
    written = {name: _function(name, listing) for name, listing in tapes.items()}
    declared = set().union(*(body.declared for body, _ in written.values()))
    return "\n".join([*sorted(declared), *(text for _, text in written.values()), more])


def _function(name: str, listing: Listing) -> tuple[_Body, str]:
    """A loop over sets, WIDE at a time.

    The last turn ends with the last set: some sets are then gone through twice, with the same result.
    """
    body = _Body()
    for node in listing.nodes:
        body.add(node)
    for j, rows in enumerate(listing.outputs):
        for row, k in enumerate(rows):
            body.store(f"%out{j}", row, body.names[k])
    pointers = [f"ptr noalias %in{k}" for k in range(len(listing.inputs))]
    pointers += [f"ptr noalias %out{k}" for k in range(len(listing.outputs))]
    lines = "\n  ".join(body.lines)
    return (
        body,
        f"""
define void @{name}(i64 %sets, {", ".join(pointers)}) {{
begin:
  %last = sub i64 %sets, {WIDE}
  br label %loop
loop:
  %turn = phi i64 [ 0, %begin ], [ %next, %loop ]
  %over = icmp sgt i64 %turn, %last
  %i = select i1 %over, i64 %last, i64 %turn
  {lines}
  %next = add i64 %turn, {WIDE}
  %more = icmp slt i64 %next, %sets
  br i1 %more, label %loop, label %done
done:
  ret void
}}
""",
    )


class _Body:
    """The lines inside the loop."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.names: list[str] = []
        self.declared: set[str] = set()
        self._count = 0
        self._math = SideBySide(self.say, WIDE)

    def say(self, text: str) -> str:
        """Add a line that gives a value; its name."""
        name = f"%v{self._count}"
        self._count += 1
        self.lines.append(f"{name} = {text}")
        return name

    def _address(self, base: str, row: int) -> str:
        offset = self.say(f"mul i64 %sets, {row}")
        place = self.say(f"add i64 {offset}, %i")
        return self.say(f"getelementptr double, ptr {base}, i64 {place}")

    def store(self, base: str, row: int, value: str) -> None:
        """Write a row of an output."""
        self.lines.append(f"store {LANES} {value}, ptr {self._address(base, row)}, align 8")

    def add(self, node: Node) -> None:
        """Write one node."""
        if node.name == "const":
            self.names.append(self._math.number(node.value))
        elif node.name == "input":
            place = self._address(f"%in{node.leaf[0]}", node.leaf[1])
            self.names.append(self.say(f"load {LANES}, ptr {place}, align 8"))
        elif node.name == "sum":
            self.names.append(self._sum(node))
        else:
            self.names.append(self._operation(node.name, [self.names[t] for t in node.takes]))

    def _sum(self, node: Node) -> str:
        total = ""
        for t, weight in zip(node.takes, node.weights, strict=True):
            part = self.say(f"{PLAIN['mul']} {LANES} {self.names[t]}, {self._math.number(weight)}")
            total = self.say(f"{PLAIN['add']} {LANES} {total}, {part}") if total else part
        return total

    def _operation(self, name: str, a: list[str]) -> str:
        if name in PLAIN:
            return self.say(f"{PLAIN[name]} {LANES} {a[0]}, {a[1]}")
        if name in COMPARED:
            return self._number(self.say(f"fcmp {COMPARED[name]} {LANES} {a[0]}, {a[1]}"))
        if name in SIDE_BY_SIDE:
            return str(getattr(self._math, name)(*a))
        if name in LIBRARY:
            return self._call({"constpow": "pow"}.get(name, name), a)
        if name in INTRINSIC:
            function = f"@llvm.{INTRINSIC[name]}.v{WIDE}f64"
            self.declared.add(f"declare {LANES} {function}({LANES})")
            return self.say(f"call {LANES} {function}({LANES} {a[0]})")
        return str(getattr(self, f"_{name}")(*a))

    def _call(self, function: str, a: list[str]) -> str:
        self.declared.add(f"declare double @{function}({', '.join(['double'] * len(a))}) readnone nounwind")
        out = "undef"
        for lane in range(WIDE):
            taken = [self.say(f"extractelement {LANES} {x}, i32 {lane}") for x in a]
            value = self.say(f"call double @{function}({', '.join(f'double {x}' for x in taken)})")
            out = self.say(f"insertelement {LANES} {out}, double {value}, i32 {lane}")
        return out

    def _number(self, bits: str) -> str:
        return self.say(f"uitofp {BITS} {bits} to {LANES}")

    def _true(self, a: str) -> str:
        return self.say(f"fcmp une {LANES} {a}, {self._math.number(0.0)}")

    def _choose(self, bits: str, a: str, b: str) -> str:
        return self.say(f"select {BITS} {bits}, {LANES} {a}, {LANES} {b}")

    def _assign(self, a: str) -> str:
        return a

    def _neg(self, a: str) -> str:
        return self.say(f"fneg {LANES} {a}")

    def _sq(self, a: str) -> str:
        return self.say(f"fmul {LANES} {a}, {a}")

    def _twice(self, a: str) -> str:
        return self.say(f"fadd {LANES} {a}, {a}")

    def _inv(self, a: str) -> str:
        return self.say(f"fdiv {LANES} {self._math.number(1.0)}, {a}")

    def _not(self, a: str) -> str:
        return self._number(self.say(f"fcmp oeq {LANES} {a}, {self._math.number(0.0)}"))

    def _and(self, a: str, b: str) -> str:
        return self._number(self.say(f"and {BITS} {self._true(a)}, {self._true(b)}"))

    def _or(self, a: str, b: str) -> str:
        return self._number(self.say(f"or {BITS} {self._true(a)}, {self._true(b)}"))

    def _if_else_zero(self, a: str, b: str) -> str:
        return self._choose(self._true(a), b, self._math.number(0.0))

    def _fmin(self, a: str, b: str) -> str:
        return self._choose(self.say(f"fcmp olt {LANES} {a}, {b}"), a, b)

    def _fmax(self, a: str, b: str) -> str:
        return self._choose(self.say(f"fcmp ogt {LANES} {a}, {b}"), a, b)

    def _sign(self, a: str) -> str:
        above = self.say(f"fcmp ogt {LANES} {a}, {self._math.number(0.0)}")
        below = self.say(f"fcmp olt {LANES} {a}, {self._math.number(0.0)}")
        return self._choose(
            above, self._math.number(1.0), self._choose(below, self._math.number(-1.0), self._math.number(0.0))
        )
