"""Does the provisional choice of numerics hold? Every part measured in one run beside its rivals.

Run `python -m benchmarks.choice`; figures and decision are recorded in docs/numerics.md. SciPy, sympy, numba
and gcc are rivals only: each is skipped where it is missing.
"""

from __future__ import annotations

import os
import platform
from collections.abc import Callable
from datetime import UTC, datetime
from importlib.metadata import PackageNotFoundError, version

from benchmarks import choice_robust, choice_scale, choice_speed
from benchmarks.choice_report import Row, row, show

PARTS: tuple[Callable[[], list[Row]], ...] = (
    choice_robust.cold_starts,
    choice_speed.evaluation,
    choice_speed.algebra,
    choice_speed.curve,
    choice_scale.chains,
    choice_scale.coupled,
    choice_scale.gradients,
    choice_speed.variations,
    choice_robust.stick_band,
    choice_robust.fold,
    choice_speed.start_up,
)


def processor() -> str:
    """The processor's name as the system tells it."""
    try:
        with open("/proc/cpuinfo", encoding="ascii") as lines:
            return next(line.split(":")[1].strip() for line in lines if line.startswith("model name"))
    except (OSError, StopIteration):
        return platform.processor() or platform.machine()


def machine() -> list[Row]:
    """Where and with what this run was made."""
    rows = [
        row("0 machine", "processor", f"{os.cpu_count()} x", "", processor()),
        row("0 machine", "python", platform.python_version(), "", datetime.now(UTC).date().isoformat()),
    ]
    if hasattr(os, "getloadavg"):
        rows.append(row("0 machine", "load average at start", os.getloadavg()[0]))
    for name in ("casadi", "numpy", "scipy", "sympy", "numba"):
        try:
            rows.append(row("0 machine", name, version(name)))
        except PackageNotFoundError:
            rows.append(row("0 machine", name, "not installed"))
    return rows


def main() -> list[Row]:
    """Measure everything, print as it comes, return the rows."""
    rows = machine()
    show(rows)
    for part in PARTS:
        found = part()
        show(found)
        rows += found
    return rows


if __name__ == "__main__":
    main()
