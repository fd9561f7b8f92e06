"""The oil: from what the label of its can says to what the laws need at one temperature.

Viscosity is given by ISO VG grade and viscosity index, by one measured viscosity beside the grade, or by two
measured viscosities. What is not given takes a default, and ``Oil.defaults`` names it so that it can be
printed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from functools import cached_property

from oilway.errors import QuantityError
from oilway.laws.density import density_at_temperature
from oilway.laws.viscosity import CENTISTOKE, ISO_VG, nu100_from_index, viscosity_at, walther_constants

COLDEST, HOTTEST = -40.0, 150.0  # degC; beyond, the straight line of ASTM D341 is not to be trusted
GRADE_TEMPERATURE = 40.0  # degC, at which ISO 3448 defines a grade
MODULUS_TEMPERATURE = 40.0  # degC, to which Oil.modulus refers
MODULUS_FADE = 0.0055  # 1/K, relative loss of bulk modulus of a mineral oil (common practice, from memory)
THINNEST, THICKEST = 1 * CENTISTOKE, 1e6 * CENTISTOKE  # m2/s, of a measured viscosity
APART = 5.0  # K, between two measured viscosities: closer ones say too little about the slope

Point = tuple[float, float]
"""A measured viscosity: (m2/s, degC)."""


class Default(float):
    """A number that was not given by anybody; a float in every use."""


@dataclass(frozen=True)
class OilState:
    """The oil at one temperature: the numbers that the laws take.

    ``temperature`` degC; ``mu`` dynamic viscosity (Pa s) of the liquid at 0 gauge; ``rho0`` density of the
    mixture (kg/m3) at 0 gauge, its air counted as weightless; ``modulus`` bulk modulus of the liquid (Pa);
    ``air`` free air as share of volume at 0 gauge; ``p_ambient`` absolute (Pa); ``n`` polytropic exponent of
    the air.
    """

    temperature: float
    mu: float
    rho0: float
    modulus: float
    air: float
    p_ambient: float
    n: float

    @property
    def nu(self) -> float:
        """Kinematic viscosity (m2/s) of the liquid at 0 gauge."""
        return self.mu * (1 - self.air) / self.rho0


@dataclass(frozen=True)
class Oil:
    """An oil; raises ``QuantityError`` for one that cannot be.

    ``grade`` ISO VG; ``viscosity_index``, used where only one viscosity is known; ``viscosities`` measured
    points (m2/s, degC), where one at 40 degC takes the place of the grade's own; ``density15`` kg/m3 at 15
    degC; ``modulus`` bulk modulus of the liquid (Pa) at 40 degC, falling 0.55 % per kelvin; ``air`` free air
    as share of volume at ambient pressure; ``p_ambient`` absolute (Pa); ``n`` polytropic exponent of the air,
    1.4 for quick and 1.0 for slow changes; ``air_temperature`` of the air around
    the machine (degC). The default numbers are common practice for a mineral hydraulic
    oil.

    A VG 46 oil has 46 mm2/s at 40 degrees, by definition:

    >>> oil = Oil(46)
    >>> round(oil.at(40.0).nu * 1e6, 6)
    46.0
    >>> oil.defaults
    ('viscosity_index', 'density15', 'modulus', 'air', 'p_ambient', 'n', 'air_temperature')
    """

    grade: int | None = None
    viscosity_index: float = Default(100.0)
    viscosities: tuple[Point, ...] = ()
    density15: float = Default(870.0)
    modulus: float = Default(1.5e9)
    air: float = Default(0.005)
    p_ambient: float = Default(101325.0)
    n: float = Default(1.4)
    air_temperature: float = Default((70.0 - 32.0) * 5 / 9)

    def __post_init__(self) -> None:
        _check_numbers(self)
        _check_viscosities(self)
        _ = self._line  # a grade and an index that do not go together show here

    @property
    def defaults(self) -> tuple[str, ...]:
        """Names of the numbers that were not given and are in use."""
        unused = set() if len(self.points) == 1 else {"viscosity_index"}
        names = [f.name for f in fields(self) if isinstance(getattr(self, f.name), Default)]
        return tuple(name for name in names if name not in unused)

    @property
    def points(self) -> tuple[Point, ...]:
        """Known viscosities: the measured ones, and the grade's at 40 degC unless one was measured there."""
        measured_there = any(t == GRADE_TEMPERATURE for _, t in self.viscosities)
        if self.grade is None or measured_there:
            return self.viscosities
        return ((ISO_VG[self.grade] * CENTISTOKE, GRADE_TEMPERATURE), *self.viscosities)

    def at(self, temperature: float) -> OilState:
        """The oil at ``temperature`` (degC), from -40 to 150; ``QuantityError`` outside."""
        if not COLDEST <= temperature <= HOTTEST:
            raise QuantityError(
                f"an oil temperature of {temperature:g} °C lies outside {COLDEST:g} to {HOTTEST:g} °C",
                "give a temperature that a machine runs at, for example '120 F'",
            )
        liquid = float(density_at_temperature(self.density15, temperature))
        return OilState(
            temperature=temperature,
            mu=float(viscosity_at(temperature, *self._line)) * liquid,
            rho0=liquid * (1 - self.air),
            modulus=self.modulus * math.exp(-MODULUS_FADE * (temperature - MODULUS_TEMPERATURE)),
            air=float(self.air),
            p_ambient=float(self.p_ambient),
            n=float(self.n),
        )

    @cached_property
    def _line(self) -> tuple[float, float]:
        """Constants of the straight line of ASTM D341."""
        (nu1, t1), *more = self.points
        if more:
            nu2, t2 = more[0]
        else:
            try:
                nu2, t2 = nu100_from_index(nu1, self.viscosity_index), 100.0
            except ValueError as error:
                raise QuantityError(str(error), "measure a second viscosity instead") from error
        a, b = walther_constants(nu1, t1, nu2, t2)
        return float(a), float(b)


_LEGAL = {
    "viscosity_index": (0.0, 400.0, "a viscosity index lies between 0 and 400"),
    "density15": (700.0, 1200.0, "the density of an oil lies between 700 and 1200 kg/m3"),
    "modulus": (0.3e9, 5e9, "the bulk modulus of an oil lies between 0.3 and 5 GPa"),
    "air": (0.0, 0.5, "the share of free air lies between 0 and 50 %"),
    "p_ambient": (
        30e3,
        200e3,
        "ambient pressure is absolute, 30 to 200 kPa; 101.3 kPa (14.7 psi) at sea level",
    ),
    "air_temperature": (-60.0, 80.0, "the air around a machine lies between -60 and 80 °C"),
    "n": (1.0, 1.7, "the polytropic exponent of air is 1.0 for slow and 1.4 for quick changes"),
}


def _check_numbers(oil: Oil) -> None:
    for name, (low, high, rule) in _LEGAL.items():
        value = getattr(oil, name)
        if not low <= value <= high:
            raise QuantityError(f"an oil cannot have {name.replace('_', ' ')} {value:g}", rule)


def _check_viscosities(oil: Oil) -> None:
    """Refuse a false grade, too few or too many viscosities, and an oil that thickens when heated."""
    if oil.grade is not None and oil.grade not in ISO_VG:
        grade = oil.grade
        raise QuantityError(
            f"ISO VG {grade:g} is no grade",
            f"the nearest is {min(ISO_VG, key=lambda known: abs(known - grade))}",
        )
    for nu, t in oil.viscosities:
        if not (THINNEST <= nu <= THICKEST and COLDEST <= t <= HOTTEST):
            raise QuantityError(
                f"a viscosity of {nu / CENTISTOKE:g} mm2/s at {t:g} °C cannot be used",
                f"it must be at least 1 mm2/s, and measured between {COLDEST:g} and {HOTTEST:g} °C",
            )
    points = sorted(oil.points, key=lambda point: point[1])
    known = [f"{nu / CENTISTOKE:g} mm2/s at {t:g} °C" for nu, t in points]
    if len(points) > 2:
        raise QuantityError(f"too many viscosities: {', '.join(known)}", "give two")
    if len(points) == 2 and not isinstance(oil.viscosity_index, Default):
        raise QuantityError(
            f"the viscosity index contradicts what is measured: {', '.join(known)}", "leave one of them out"
        )
    if len(points) == 2 and not (points[1][1] - points[0][1] >= APART and points[1][0] < points[0][0]):
        raise QuantityError(
            f"viscosity must fall from the first to the second temperature: {', '.join(known)}",
            f"check both; they must lie at least {APART:g} °C apart",
        )
    if not points or (len(points) == 1 and points[0][1] != GRADE_TEMPERATURE):
        raise QuantityError(
            "how thick the oil is at working temperature is not known",
            "give its ISO VG grade, or one viscosity at 40 °C, or two viscosities",
        )
