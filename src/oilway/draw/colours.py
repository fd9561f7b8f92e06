"""The pressure scale of every picture: light for tank pressure, dark for the highest, never by colour alone.

The hues run evenly in lightness and are told apart with any colour vision, and in grayscale; a hatch that grows
denser says the same in print, and the number always stands beside it.
"""

from __future__ import annotations

# The map "cividis" from its light end to its dark one, at equal steps, as the plotting library gives it
# (Nunez, Anderton, Renslow, "Optimizing colormaps with consideration for color vision deficiency", 2018; title and
# year from memory).
STOPS = (
    "#fee838", "#f0d846", "#dec958", "#cdbb63", "#bcae6c", "#aba072", "#9b9476", "#8c8878", "#7d7c78",
    "#6f7073", "#61656f", "#535a6d", "#434e6c", "#32436d", "#1a386f", "#002e6a", "#00224e",
)  # fmt: skip
HATCHES = 8  # bands of the printed hatch, the first of them blank


def share(pressure: float, full: float) -> float:
    """Place of a gauge pressure (Pa) on a scale that ends at ``full`` (Pa): 0 to 1."""
    return min(max(pressure / full, 0.0), 1.0) if full > 0 else 0.0


def colour(pressure: float, full: float) -> str:
    """Colour of a gauge pressure (Pa) on a scale that ends at ``full`` (Pa).

    >>> colour(0.0, 2e7), colour(2e7, 2e7)
    ('#fee838', '#00224e')
    """
    place = share(pressure, full) * (len(STOPS) - 1)
    low = min(int(place), len(STOPS) - 2)
    a, b = _channels(STOPS[low]), _channels(STOPS[low + 1])
    return "#" + "".join(f"{int(x + (place - low) * (y - x) + 0.5):02x}" for x, y in zip(a, b, strict=True))


def hatch(pressure: float, full: float) -> int:
    """Band of the printed hatch, 0 (blank) to ``HATCHES - 1``."""
    return min(int(share(pressure, full) * HATCHES), HATCHES - 1)


def _channels(code: str) -> tuple[int, ...]:
    return tuple(int(code[i : i + 2], 16) for i in (1, 3, 5))
