"""Readings files for the tests of proofs: a relief valve on a straight line, whose figures are known by hand.

At flow q (gpm) it reads ``cracked`` + ``slope`` x q psi on the way up and ``drop`` psi less on the way down.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from oilway.quantity import parse
from oilway.study.figure import Figure
from oilway.study.proof import Proof, prove
from oilway.study.readings import readings_from_text

PSI = parse("1 psi", "pressure")
GPM = parse("1 gpm", "flow")
FLOWS = (0.24, 1, 2, 4, 8, 12, 16, 20, 24)  # gpm; 24 is the rated flow, 0.24 counts as cracked
MET = "temperature window: 113 F to 131 F, oil temperature: 122 F, settling time: 5 s"
FINE_METER = "{range: 0.1 to 60 gpm, class: +-0 gpm}"


def line_rows(
    cracked: float = 2900, slope: float = 0.0, drop: float = 0.0, flows: Sequence[float] = FLOWS
) -> list[str]:
    """Rows 'Q P' in gpm and psi, up and down the line."""
    up = [f"{q:g} {cracked + slope * q:.6g}" for q in flows]
    down = [f"{q:g} {cracked + slope * q - drop:.6g}" for q in reversed(flows)]
    return up + down


def sheet(
    rows: Iterable[str],
    *,
    head: str = "Q (gpm) P (psi)",
    gauge: str = "{range: 0 to 5000 psi, class: 1.6 % of span, reads to: 0 psi, hysteresis: 0 psi}",
    meter: str = FINE_METER,
    instruments: str = "",
    limits: str = "full-flow pressure: 3000 psi +- 50 psi",
    conditions: str = MET,
    section: str = "as found",
    more: str = "",
    end: str = "",
) -> str:
    """A relief sheet as text; ``instruments``, ``more`` and ``end`` (of the section) are further lines."""
    table = "\n".join(f"    {row}" for row in [head, *rows])
    against = f'limits: {{source: "invented, page 1", {limits}}}' if limits else ""
    return f"""format: 1
readings: a relief on a straight line
test: relief
rated flow: 24 gpm
{more}
conditions: {{{conditions}}}
instruments:
  P: {gauge}
  Q: {meter}
{instruments}
{against}
{section}:
{end}
  rows: |
{table}
"""


def proof_of(text: str) -> Proof:
    """The proof of a readings file."""
    return prove(readings_from_text(text))


def figure(proof: Proof, name: str) -> Figure:
    """One figure of the judged section."""
    return proof.last.figures[name]
