"""Cleanliness of oil: what a code such as 18/16/13 says about particles."""

from __future__ import annotations

# Particles per mL, upper end of each scale number from 0; each step about doubles. ISO 4406, from memory.
_UPPER = (
    0.01, 0.02, 0.04, 0.08, 0.16, 0.32, 0.64, 1.3, 2.5, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0, 320.0, 640.0, 1300.0,
    2500.0, 5000.0, 10000.0, 20000.0, 40000.0, 80000.0, 160000.0, 320000.0, 640000.0, 1300000.0, 2500000.0,
)  # fmt: skip
SIZES = (4, 6, 14)
"""Sizes (micrometres, as certified) that the three numbers count particles of and above."""


def particles_per_ml(number: int) -> tuple[float, float]:
    """Particles per mL (more than, up to) behind one scale number.  Errors: ``ValueError`` beyond 0 to 28.

    Source, from memory: ISO 4406. The code 18/16/13:

    >>> [particles_per_ml(n) for n in (18, 16, 13)]
    [(1300.0, 2500.0), (320.0, 640.0), (40.0, 80.0)]
    """
    if not 0 <= number < len(_UPPER):
        raise ValueError(f"a scale number runs from 0 to {len(_UPPER) - 1}, not {number}")
    return (_UPPER[number - 1] if number else 0.0), _UPPER[number]
