"""Records: what an element accepts in a file, declared once and read by forms, docs, checks and studies."""

from __future__ import annotations

import math
from dataclasses import dataclass

from oilway import quantity

REQUIRED = "required"


@dataclass(frozen=True)
class Port:
    """A place where an element meets a chamber; ``name`` is its key in the file."""

    name: str
    meaning: str


@dataclass(frozen=True)
class Record:
    """One key of an element.

    ``kind`` is a quantity kind of :mod:`oilway.quantity`, or ``choice``, ``reference`` (the name of a moving
    part) or ``text``.  ``default`` is an SI number, a text, ``None`` (may be left out) or ``REQUIRED``;
    ``low`` and ``high`` bound the legal range in SI, both ends included.
    """

    name: str
    kind: str
    meaning: str
    default: float | str | None = None
    low: float = -math.inf
    high: float = math.inf
    choices: tuple[str, ...] = ()
    refers_to: str = ""
    source: str = "common practice"
    fixed: bool = False  # a limit or the size of an adjuster: said in the file, no word of an operating point

    @property
    def is_quantity(self) -> bool:
        """True when the value is a number with a unit, and therefore a parameter of the System."""
        return self.kind in quantity.KINDS


def amount(
    name: str,
    kind: str,
    meaning: str,
    default: str | None = REQUIRED,
    low: str | None = None,
    high: str | None = None,
    source: str = "common practice",
    *,
    fixed: bool = False,
) -> Record:
    """Declare a quantity record with default and range written as a technician would type them."""

    def si(text: str) -> float:
        return quantity.parse(text, kind)

    value: float | str | None = default if default in (REQUIRED, None) else si(str(default))
    return Record(
        name,
        kind,
        meaning,
        value,
        -math.inf if low is None else si(low),
        math.inf if high is None else si(high),
        source=source,
        fixed=fixed,
    )


def choice(name: str, meaning: str, choices: tuple[str, ...], default: str = REQUIRED) -> Record:
    """Declare a record that takes one word out of a few."""
    return Record(name, "choice", meaning, default, choices=choices)


def reference(name: str, meaning: str, refers_to: str) -> Record:
    """Declare a record that names another part; ``refers_to`` says of which sort (see ``Network``)."""
    return Record(name, "reference", meaning, REQUIRED, refers_to=refers_to)


CD = amount(
    "discharge coefficient",
    "number",
    "share of the ideal flow that passes",
    "0.61",
    "0.3",
    "1",
    source="from memory: Merritt, Hydraulic Control Systems (1967), ch. 3",
)
TRANSITION = amount(
    "transition Reynolds number",
    "number",
    "below it the flow is laminar and drops with cold oil",
    "9.33",
    "1",
    "5000",
    source="from memory: Merritt (1967), sec. 3-4, (0.611/0.2)^2; a scale, not a law",
)
FROM_TO = (Port("from", "chamber the oil comes from"), Port("to", "chamber the oil goes to"))
RATED = amount(
    "rated pressure", "pressure", "highest pressure allowed by its maker; enter it", None, "1 psi", fixed=True
)
