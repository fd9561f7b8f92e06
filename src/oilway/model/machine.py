"""A machine: its parts, its oil, its operating point, and the System assembled from them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

import numpy as np

from oilway import quantity
from oilway.elements.base import Element, Part
from oilway.elements.network import OIL
from oilway.errors import InputError, Place, Problem, QuantityError, did_you_mean
from oilway.model.catalogue import kinds
from oilway.model.mount import Mounted
from oilway.model.parts import legal_range
from oilway.model.pool import Pool, assembled, numbers_of
from oilway.model.system import System, Vector
from oilway.oil import Oil

OIL_TEMPERATURE = "oil temperature"


def word_pairs(texts: Iterable[str], where: Place) -> dict[str, str]:
    """'word=value' texts as a mapping; blanks around either are dropped.

    Errors: :class:`InputError` for a text of another form.
    """
    pairs = {}
    for text in texts:
        word, equals, value = text.partition("=")
        if not equals or not word.strip() or not value.strip():
            raise InputError(Problem(where, f"'{text.strip()}' is not of the form word=value"))
        pairs[word.strip()] = value.strip()
    return pairs


@dataclass(frozen=True)
class Axis:
    """A word of the operating point and the parameters (full names) it may stand for."""

    word: str
    kind: str
    targets: tuple[str, ...]


@dataclass(repr=False)
class Machine:
    """A machine (or a valve on the test stand) read from text.

    ``point`` holds the operating point of the file: full parameter name (or ``oil temperature``) to SI value
    (temperature in degC).  ``notes`` tells what was defaulted or solved, in words.  On a test stand ``set_by``
    names the chamber where a setting is read and the flow parameter that makes it, and ``points`` holds the
    operating points that a valve file names.  ``pool``, where one is given, lends it a System of another machine
    that differs in numbers only.
    """

    title: str
    path: Path
    parts: dict[str, Part]
    oil: Oil
    temperature: float
    point: dict[str, float] = field(default_factory=dict)
    mounted: list[Mounted] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    trapped: dict[str, float] = field(default_factory=dict)
    points: dict[str, dict[str, float]] = field(default_factory=dict)
    set_by: tuple[str, str] = ("", "")
    pool: Pool | None = field(default=None, compare=False)

    def __repr__(self) -> str:
        """Short: a machine holds too much to be printed whole."""
        return f"Machine({self.title!r}, {len(self.parts)} parts)"

    @cached_property
    def elements(self) -> dict[str, Element]:
        """The elements, in the order of their names: the order of the text must not change a digit."""
        known = kinds()
        return {name: known[self.parts[name].kind](self.parts[name]) for name in sorted(self.parts)}

    @cached_property
    def system(self) -> System:
        """The System of this machine, assembled at first use or lent by its pool."""
        return assembled(self.elements) if self.pool is None else self.pool.system(self.elements)

    @cached_property
    def _numbers(self) -> Vector:
        """The parameters (SI) as the file has them; the defaults of a lent System are another machine's."""
        th = self.system.defaults.copy()
        for name, element in self.elements.items():
            for record, value in numbers_of(element).items():
                if value is not None:
                    th[self.system.parameters[f"{name}.{record}"]] = value
        return th

    @cached_property
    def axes(self) -> dict[str, Axis]:
        """Words of the operating point this machine understands."""
        found: dict[str, Axis] = {}
        for element in self.elements.values():
            for word, record in element.axes.items():
                target = f"{element.name}.{record}"
                if target not in self.system.parameters:
                    continue
                kind = next(r.kind for r in element.records if r.name == record)
                old = found.get(word)
                found[word] = Axis(word, kind, (*(old.targets if old else ()), target))
        springs = tuple(dict.fromkeys(f"{m.adjuster}.turns" for m in self.mounted if m.adjuster))
        if springs:
            found["turns"] = Axis("turns", "turns", springs)
        found[OIL_TEMPERATURE] = Axis(OIL_TEMPERATURE, "temperature", (OIL_TEMPERATURE,))
        return found

    def with_part(self, name: str, values: dict[str, float | str | None]) -> Machine:
        """A copy in which some values of one part are replaced; nothing else is shared that could change."""
        old = self.parts[name]
        parts = {**self.parts, name: replace(old, values={**old.values, **values})}
        return replace(self, parts=parts, notes=list(self.notes))

    # -- operating points ----------------------------------------------------------------------------------
    def resolve(self, word: str, where: Place | None = None) -> tuple[str, str]:
        """Full parameter name and quantity kind of a word such as ``lever`` or ``main relief.main spring.rate``.

        Errors: :class:`InputError` for a word that is unknown here or could mean several parts.
        """
        where = where or Place("operating point")
        axis = self.axes.get(word)
        if axis is not None:
            if len(axis.targets) > 1:
                hint = "say which: " + ", ".join(f"'{t}'" for t in axis.targets)
                raise InputError(Problem(where, f"'{word}' could mean several parts", hint))
            return axis.targets[0], axis.kind
        owner, _, record = word.rpartition(".")
        for name in (owner, *self._prefixed(owner)):
            if name in self.elements:
                for declared in self.elements[name].records:
                    axis_record = self.elements[name].axes.get(record, record)
                    if declared.name == axis_record and f"{name}.{declared.name}" in self.system.parameters:
                        if declared.fixed:
                            what = f"'{word}' is said in the file and does not change while the machine works"
                            raise InputError(Problem(where, what, f'for one command: --change "{word}=..."'))
                        return f"{name}.{declared.name}", declared.kind
        known = [*self.axes, *(p for p in self.system.parameters if not p.startswith(("oil.", "form.")))]
        hint = did_you_mean(word, known) or "known here: " + ", ".join(self.axes)
        raise InputError(Problem(where, f"unknown word '{word}' in the operating point", hint))

    def _prefixed(self, owner: str) -> list[str]:
        return [m.prefix + owner for m in self.mounted]

    def point_from(self, words: dict[str, str], places: dict[str, Place] | None = None) -> dict[str, float]:
        """An operating point from text: ``{"load pressure": "2100 psi"}`` to SI values by parameter name.

        ``places`` tells where each word stands.  Errors: :class:`InputError` with every word that is unknown,
        ambiguous, out of range or says again what another has said.
        """
        problems, point = [], {}
        said: dict[str, str] = {}  # parameter -> word
        for word, text in words.items():
            where = (places or {}).get(word, Place("operating point"))
            try:
                target, kind = self.resolve(word, where)
                point[target] = self._legal(target, quantity.parse(text, kind))
                before = next((said[name] for name in self._instead_of(target) if name in said), None)
                if before is not None:
                    raise QuantityError(f"says again what '{before}' has said", "give one of the two")
                said[target] = word
            except QuantityError as err:
                problems.append(Problem(where, f"{word}: {err.what}", err.hint))
            except InputError as err:
                problems.extend(err.problems)
        if problems:
            raise InputError(problems)
        return point

    def point_of(self, values: Mapping[str, float]) -> dict[str, float]:
        """An operating point from SI values by full parameter name, checked as :meth:`point_from` checks texts.

        Errors: :class:`InputError` with every name that is unknown or fixed and every value out of range.
        """
        problems, where = [], Place("operating point")
        for name, value in values.items():
            try:
                target, _ = self.resolve(name, where)
                if target != name:
                    raise QuantityError(f"'{name}' is no full parameter name", f"write '{target}'")
                if not math.isfinite(value):
                    raise QuantityError("is no finite number")
                self._legal(name, value)
            except QuantityError as err:
                problems.append(Problem(where, f"{name}: {err.what}", err.hint))
            except InputError as err:
                problems.extend(err.problems)
        if problems:
            raise InputError(problems)
        return dict(values)

    def _instead_of(self, target: str) -> list[str]:
        """The parameters that a value for ``target`` replaces: itself, and those exclusive with it."""
        owner, _, record = target.rpartition(".")
        others = self.elements[owner].exclusive if owner in self.elements else ()
        return [f"{owner}.{other}" for other in others] if record in others else [target]

    def _legal(self, target: str, value: float) -> float:
        """The value; :class:`QuantityError` outside its legal range."""
        if target == OIL_TEMPERATURE:
            self.oil.at(value)
            return value
        owner, _, name = target.rpartition(".")
        record = next(r for r in self.elements[owner].records if r.name == name)
        if not record.low <= value <= record.high:
            shown = quantity.show(value, record.kind)
            raise QuantityError(f"{shown} is outside the legal range of {target}", legal_range(record))
        return value

    def theta(self, point: dict[str, float] | None = None) -> Vector:
        """Parameter vector (SI) at an operating point laid over the file's own.

        ``point`` maps full parameter names (and ``oil temperature``, degC) to SI values.
        """
        point = {**self.point, **(point or {})}
        th = self._numbers.copy()
        state = self.oil.at(point.get(OIL_TEMPERATURE, self.temperature))
        for name in OIL:
            th[self.system.parameters[name]] = getattr(state, name.removeprefix("oil."))
        for name, value in point.items():
            if name == OIL_TEMPERATURE:
                continue
            for other in self._instead_of(name):
                th[self.system.parameters[other]] = 0.0
            th[self.system.parameters[name]] = value
        return np.asarray(th, dtype=float)
