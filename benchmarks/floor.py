"""The floor: the same step and the same loop as C, compiled by this machine's own C compiler for this processor.

Nothing of this is in the package.  The lists of operations of :mod:`oilway.solve.stepping` are printed as C
statements, the loop around them is ``floor.c``: one set after the other, as C is written.  (Eight sets in an inner
loop gained nothing: the compiler made no vectors of it.)
"""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import tempfile
from pathlib import Path

import numpy as np

from oilway.model.system import Vector
from oilway.solve.stepping import CLOSE, MOST, MOST_STEPS, SHORTEST, Counts, Stepping
from oilway.solve.tape import Listing

FLAGS = ("-O3", "-march=native", "-ffp-contract=fast", "-fno-math-errno", "-fno-trapping-math", "-shared", "-fPIC")
WRITTEN = {
    "assign": "{0}", "add": "{0} + {1}", "sub": "{0} - {1}", "mul": "{0} * {1}", "div": "{0} / {1}", "neg": "-{0}",
    "sq": "{0} * {0}", "twice": "{0} + {0}", "inv": "1.0 / {0}", "lt": "{0} < {1}", "le": "{0} <= {1}",
    "eq": "{0} == {1}", "ne": "{0} != {1}", "not": "{0} == 0.0", "and": "{0} != 0.0 && {1} != 0.0",
    "or": "{0} != 0.0 || {1} != 0.0", "if_else_zero": "{0} != 0.0 ? {1} : 0.0", "fmin": "{0} < {1} ? {0} : {1}",
    "fmax": "{0} > {1} ? {0} : {1}", "sign": "({0} > 0.0) - ({0} < 0.0)", "constpow": "pow({0}, {1})",
}  # fmt: skip


def compiler() -> str | None:
    """This machine's C compiler."""
    return shutil.which("cc") or shutil.which("gcc") or shutil.which("clang")


def function(listing: Listing, name: str) -> str:
    """A list of operations as a C function of one set."""
    places = [f"const double *restrict in{k}" for k in range(len(listing.inputs))]
    places += [f"double *restrict out{k}" for k in range(len(listing.outputs))]
    lines = []
    for k, node in enumerate(listing.nodes):
        if node.name == "input":
            value = f"in{node.leaf[0]}[{node.leaf[1]}]"
        elif node.name == "const":
            value = float.hex(node.value)
        elif node.name == "sum":
            value = " + ".join(f"{float.hex(w)} * v{t}" for w, t in zip(node.weights, node.takes, strict=True))
        else:
            taken = [f"v{t}" for t in node.takes]
            value = WRITTEN.get(node.name, f"{node.name}({', '.join(taken)})").format(*taken)
        lines.append(f"const double v{k} = {value};")
    lines += [f"out{j}[{row}] = v{k};" for j, rows in enumerate(listing.outputs) for row, k in enumerate(rows)]
    return f"static void {name}({', '.join(places)}) {{\n" + "\n".join(lines) + "\n}\n"


class Loop:
    """As :class:`oilway.solve.compiled_runs.Loop`, by the C compiler."""

    def __init__(self, stepping: Stepping) -> None:
        numbers = {
            "KEPT": stepping.step.inputs[0], "SIZE": stepping.size, "MOST_STEPS": MOST_STEPS, "SHORTEST": SHORTEST,
            "CLOSE": CLOSE, "GROWTH": MOST,
        }  # fmt: skip
        text = "#include <math.h>\n" + "".join(f"#define {name} {value}\n" for name, value in numbers.items())
        text += function(stepping.step, "tape") + function(stepping.between, "between")
        text += (Path(__file__).parent / "floor.c").read_text(encoding="utf-8")
        with tempfile.TemporaryDirectory() as folder:
            source, made = Path(folder, "floor.c"), Path(folder, "floor.so")
            source.write_text(text, encoding="utf-8")
            subprocess.run([str(compiler()), *FLAGS, "-o", str(made), str(source), "-lm"], check=True)
            self._library = ctypes.CDLL(str(made))
        number, place = ctypes.c_int64, ctypes.c_void_p
        self._library.run.argtypes = (number, place, place, place, place, place, number, place, number)
        self._library.run.restype = None

    def through(self, kept: Vector, y: Vector, h: Vector, moments: Vector, out: Vector, taken: Counts) -> None:
        """See :meth:`oilway.solve.compiled_runs.Loop.through`."""
        kept, moments = np.ascontiguousarray(kept), np.ascontiguousarray(moments)
        places = (a.ctypes.data for a in (kept, y, h, taken, moments))
        self._library.run(out.shape[0], *places, len(moments), out.ctypes.data, out.strides[0] // out.itemsize)
