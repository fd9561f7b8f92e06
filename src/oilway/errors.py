"""Every error Oilway raises on purpose.

    OilwayError                 exit status
    |-- InputError              2   a file, value or command line cannot be used; holds every Problem found
    |   `-- QuantityError       2   a text such as "3000 psu" is not a quantity of the kind asked for
    `-- NoSolution              3   the equations cannot be satisfied; names the equation and the unknown
        |-- ImpossibleCircuit   3   a named finding: no path to tank, dead-headed pump, spring solid ...
        `-- UnclosedLedger      3   a solved state whose ledgers do not close: a defect, never shown

A state that was computed but breaks an entered limit is no error: the result carries a Finding, and the
command line ends with status 1.

Each error says where (file:line, or equation and unknown), what is wrong, and what to try.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return ``"did you mean 'x'?"`` for the closest known word, or an empty string.

    >>> did_you_mean("diamter", ["diameter", "length"])
    "did you mean 'diameter'?"
    >>> did_you_mean("zzz", ["diameter"])
    ''
    """
    by_lower = {k.lower(): k for k in known}
    close = difflib.get_close_matches(word.lower(), by_lower, n=1, cutoff=0.6)
    return f"did you mean '{by_lower[close[0]]}'?" if close else ""


@dataclass(frozen=True)
class Place:
    """Where a piece of text stands: file name and line, counted from 1 (0: not from a file)."""

    file: str = ""
    line: int = 0

    def __str__(self) -> str:
        if self.file and self.line:
            return f"{self.file}:{self.line}"
        return self.file or "input"


@dataclass(frozen=True)
class Problem:
    """One thing wrong with an input: where it stands, what is wrong, what to try."""

    where: Place
    what: str
    hint: str = ""

    def __str__(self) -> str:
        return f"{self.where}: {self.what}" + (f" ({self.hint})" if self.hint else "")


class OilwayError(Exception):
    """Base of all errors raised on purpose."""

    exit_status = 2


class InputError(OilwayError):
    """A file, a value or a command line cannot be used.

    ``problems`` holds everything found, so that a file is mended in one go.
    """

    exit_status = 2

    def __init__(self, problems: Problem | Iterable[Problem]) -> None:
        self.problems = [problems] if isinstance(problems, Problem) else list(problems)
        super().__init__("\n".join(str(p) for p in self.problems))


class QuantityError(InputError):
    """A text is not a quantity of the kind asked for; ``what`` and ``hint`` say why."""

    def __init__(self, what: str, hint: str = "") -> None:
        self.what, self.hint = what, hint
        super().__init__(Problem(Place(), what, hint))


class NoSolution(OilwayError):
    """The equations cannot be satisfied at an operating point; there are no numbers.

    ``equation`` and ``unknown`` name the worst unsatisfied balance and the quantity it should fix, ``part`` the
    part or chamber that this is about, where one is known.
    """

    exit_status = 3

    def __init__(
        self, what: str, *, equation: str = "", unknown: str = "", hint: str = "", part: str = ""
    ) -> None:
        self.what, self.equation, self.unknown, self.hint, self.part = what, equation, unknown, hint, part
        lines = [what]
        if equation:
            lines.append(f"  equation not satisfied: {equation}")
        if unknown:
            lines.append(f"  unknown it should fix:  {unknown}")
        if hint:
            lines.append(f"  try: {hint}")
        super().__init__("\n".join(lines))


class ImpossibleCircuit(NoSolution):
    """A named finding: this circuit, or this setting, cannot exist as described."""


class UnclosedLedger(NoSolution):
    """A state came out of the solver whose ledgers do not close; it is refused."""
