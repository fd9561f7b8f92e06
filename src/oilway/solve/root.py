"""One unknown, one condition: a safeguarded secant for the few scalar searches of the studies."""

from __future__ import annotations

from collections.abc import Callable

STEPS = 80


def bracket_root(
    f: Callable[[float], float],
    low: float,
    high: float,
    tolerance: float,
    ends: tuple[float, float] | None = None,
) -> float:
    """Where f changes sign between low and high, by the Illinois form of regula falsi.

    ``tolerance`` is on f; ``ends`` passes f(low), f(high) where they are known.  Where f jumps through zero the
    place of the jump is returned.
    Errors: ``ValueError`` when both ends have the same sign.
    Source: M. Dowell and P. Jarratt, "A modified regula falsi method", BIT 11 (1971) 168-174 (from memory).

    >>> round(bracket_root(lambda x: x * x - 2.0, 0.0, 2.0, 1e-12), 9)
    1.414213562
    """
    f_low, f_high = ends or (f(low), f(high))
    if f_low * f_high > 0:
        raise ValueError(f"no change of sign: f({low:g}) = {f_low:g}, f({high:g}) = {f_high:g}")
    for x, f_x in ((low, f_low), (high, f_high)):
        if abs(f_x) < tolerance:
            return x
    for _ in range(STEPS):
        x = high - f_high * (high - low) / (f_high - f_low)
        if x in (low, high):  # one value dwarfs the other beyond rounding: halve instead
            x = 0.5 * (low + high)
        f_x = f(x)
        if abs(f_x) < tolerance or x in (low, high):
            return x
        if f_x * f_high < 0:
            low, f_low = high, f_high
        else:
            f_low *= 0.5  # weighs the end that stays put; no longer the value there
        high, f_high = x, f_x
    return high
