"""Exponential, logarithm, power and hyperbolic tangent of several numbers side by side, in LLVM's language.

The C library has them for one number at a time, and they were half the time of a run (docs/numerics.md).  Good to
a few units in the last place: the exponential by its series on |r| <= ln(2)/2, the logarithm by that of the
inverse hyperbolic tangent on [1/sqrt(2), sqrt(2)].  A power of a negative number gives none here.
Source: W. J. Cody and W. Waite, "Software Manual for the Elementary Functions", 1980 (from memory): ln(2) in
two parts.
"""

from __future__ import annotations

import math
import struct
from collections.abc import Callable

LN2_HIGH, LN2_LOW = 0.693147180369123816490, 1.90821492927058770002e-10
LOWEST, HIGHEST = -708.0, 709.0  # beyond, an exponential leaves the range of a double
TO_INTEGER = 6755399441055744.0  # 1.5 x 2^52: added to a whole number, that stands in the last bits
FROM_INTEGER = 4503599627370496.0  # 2^52
ONE = 0x3FF0000000000000  # bits of 1.0
MANTISSA = 0x000FFFFFFFFFFFFF
EXPONENTIAL = tuple(1 / math.factorial(k) for k in range(14))
LOGARITHM = tuple(1 / (2 * k + 1) for k in range(12))


def bits(value: float) -> str:
    """A number in LLVM's language, to the last bit."""
    return f"0x{struct.unpack('<Q', struct.pack('<d', value))[0]:016X}"


class SideBySide:
    """Writes the lines for one function after the other; ``say`` adds a line and gives the name of its value."""

    def __init__(self, say: Callable[[str], str], wide: int) -> None:
        self.say, self.wide = say, wide
        self.real, self.bits, self.whole = f"<{wide} x double>", f"<{wide} x i1>", f"<{wide} x i64>"

    def number(self, value: float) -> str:
        """The same number in all places."""
        return "<" + ", ".join([f"double {bits(value)}"] * self.wide) + ">"

    def integer(self, value: int) -> str:
        """The same whole number in all places."""
        return "<" + ", ".join([f"i64 {value}"] * self.wide) + ">"

    def _do(self, what: str, a: str, b: str | float) -> str:
        """An operation that may be joined with the next into one rounding."""
        other = b if isinstance(b, str) else self.number(b)
        return self.say(f"{what} contract {self.real} {a}, {other}")

    def _exact(self, what: str, a: str, b: float) -> str:
        return self.say(f"{what} {self.real} {a}, {self.number(b)}")

    def _bits(self, what: str, a: str, b: int) -> str:
        return self.say(f"{what} {self.whole} {a}, {self.integer(b)}")

    def _as_whole(self, a: str) -> str:
        return self.say(f"bitcast {self.real} {a} to {self.whole}")

    def _as_real(self, a: str) -> str:
        return self.say(f"bitcast {self.whole} {a} to {self.real}")

    def _where(self, test: str, a: str, b: float, then: str, other: str) -> str:
        holds = self.say(f"fcmp {test} {self.real} {a}, {self.number(b)}")
        return self.say(f"select {self.bits} {holds}, {self.real} {then}, {self.real} {other}")

    def _series(self, factors: tuple[float, ...], x: str) -> str:
        total = self.number(factors[-1])
        for factor in reversed(factors[:-1]):
            total = self._do("fadd", self._do("fmul", total, x), factor)
        return total

    def exp(self, x: str) -> str:
        """e to the power x."""
        x = self._where("olt", x, LOWEST, self.number(LOWEST), x)
        x = self._where("ogt", x, HIGHEST, self.number(HIGHEST), x)
        shifted = self._exact("fadd", self._exact("fmul", x, 1 / math.log(2)), TO_INTEGER)
        count = self._exact("fsub", shifted, TO_INTEGER)
        rest = self._do("fsub", x, self._do("fmul", count, LN2_HIGH))
        rest = self._do("fsub", rest, self._do("fmul", count, LN2_LOW))
        power = self._as_real(self._bits("add", self._bits("shl", self._as_whole(shifted), 52), ONE))
        return self._do("fmul", self._series(EXPONENTIAL, rest), power)

    def log(self, x: str) -> str:
        """The natural logarithm; no number for what is negative."""
        whole = self._as_whole(x)
        biased = self._bits("or", self._bits("lshr", whole, 52), 0x4330000000000000)
        count = self._exact("fsub", self._as_real(biased), FROM_INTEGER + 1023)
        part = self._as_real(self._bits("or", self._bits("and", whole, MANTISSA), ONE))
        large = self.say(f"fcmp ogt {self.real} {part}, {self.number(math.sqrt(2))}")
        halved, more = self._exact("fmul", part, 0.5), self._exact("fadd", count, 1.0)
        part = self.say(f"select {self.bits} {large}, {self.real} {halved}, {self.real} {part}")
        count = self.say(f"select {self.bits} {large}, {self.real} {more}, {self.real} {count}")
        below = self._exact("fadd", part, 1.0)
        f = self._do("fdiv", self._exact("fsub", part, 1.0), below)
        series = self._series(LOGARITHM, self._do("fmul", f, f))
        small = self._do(
            "fadd", self._do("fmul", self._do("fmul", f, 2.0), series), self._do("fmul", count, LN2_LOW)
        )
        value = self._do("fadd", self._do("fmul", count, LN2_HIGH), small)
        value = self._where("oeq", x, 0.0, self.number(-math.inf), value)
        return self._where("oge", x, 0.0, value, self.number(math.nan))

    def pow(self, x: str, y: str) -> str:
        """x to the power y, for x not negative."""
        return self.exp(self._do("fmul", y, self.log(x)))

    def tanh(self, x: str) -> str:
        """The hyperbolic tangent, good to a unit in the last place of 1."""
        grown = self.exp(self._do("fmul", x, 2.0))
        return self._do("fsub", self.number(1.0), self._do("fdiv", self.number(2.0), self._do("fadd", grown, 1.0)))
