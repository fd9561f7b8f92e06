"""Which gauge to fit: the spans in common use, and the one on which a setting sits in the middle of the scale."""

from __future__ import annotations

from dataclasses import dataclass

from oilway import quantity
from oilway.model.machine import Machine

# Common practice: spans found on the shelf; the scale is read best between half and three quarters of it.
PSI_SPANS = (
    60, 100, 160, 200, 300, 400, 600, 800, 1000, 1500, 2000, 3000, 4000, 5000, 6000, 7500, 10000, 15000,
)  # fmt: skip
BAR_SPANS = (4, 6, 10, 16, 25, 40, 60, 100, 160, 250, 315, 400, 600, 1000, 1600)
LEAST_SHARE, MOST_SHARE = 0.5, 0.75


@dataclass(frozen=True)
class Span:
    """The end of a gauge's scale (Pa), the unit printed on it, and the share of it at which the setting sits."""

    end: float
    unit: str
    share: float

    @property
    def fits(self) -> bool:
        """Whether the setting sits in the middle of the scale."""
        return LEAST_SHARE - 1e-9 <= self.share <= MOST_SHARE + 1e-9


@dataclass(frozen=True)
class GaugeAt:
    """The gauge for one setting: its ``chamber``, spans to choose from, and the ``fitted`` gauges of the file."""

    chamber: str
    psi: Span
    bar: Span
    fitted: dict[str, Span]


def gauge_at(machine: Machine, chamber: str, pressure: float, highest: float) -> GaugeAt:
    """The gauge for a setting (Pa) at a chamber that may see ``highest`` (Pa) meanwhile.

    The smallest span on which the setting sits at 50 to 75 %; where there is none, the smallest above that.  The
    scale always ends above ``highest``.
    """
    fitted = {
        name: Span(float(span), "", pressure / float(span))
        for name, part in machine.parts.items()
        if part.kind == "gauge" and part.nodes["at"] == chamber and (span := part.values["span"]) is not None
    }
    return GaugeAt(
        chamber,
        _chosen(pressure, highest, PSI_SPANS, quantity.PSI, "psi"),
        _chosen(pressure, highest, BAR_SPANS, 1e5, "bar"),
        fitted,
    )


def _chosen(pressure: float, highest: float, spans: tuple[int, ...], size: float, unit: str) -> Span:
    """
    >>> _chosen(2600.0, 2600.0, PSI_SPANS, 1.0, "psi")
    Span(end=4000.0, unit='psi', share=0.65)
    """
    ends = [span * size for span in spans]
    end = next((e for e in ends if pressure <= MOST_SHARE * e * (1 + 1e-9) and e > highest), ends[-1])
    return Span(end, unit, pressure / end)
