"""What an answer is read off: words for numbers of a solved state, and sums of them.

``pressure of X``, ``reading of X``, ``flow through X``, ``drop over X``, ``lift of X``, ``speed of X``,
``power over X``, ``force of X on Y``, any channel of :mod:`oilway.study.frame`, and an earlier question; two of
them joined by ``less``, ``plus`` or ``times`` (a pressure times a flow is a power).  A number with its unit stands
for itself: ``1.6 % times 4000 psi``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import cached_property

from oilway.errors import QuantityError, did_you_mean
from oilway.model.mount import Mounted
from oilway.quantity import parse
from oilway.solve.result import State
from oilway.study.frame import channels, frame
from oilway.study.worksheet_ranges import kind_of

JOINED = re.compile(r"(?P<a>.+?) (?P<by>less|plus|times) (?P<b>.+)")
PRODUCTS = {("pressure", "flow"): "power", ("flow", "pressure"): "power", ("force", "velocity"): "power"}


@dataclass(frozen=True)
class Value:
    """A number (SI) of a quantity kind; ``chamber`` or ``part`` says where it was read, where it is one place."""

    size: float
    kind: str
    chamber: str = ""
    part: str = ""


@dataclass
class Reader:
    """Reads answers off one state; ``earlier`` are the answers of questions before this one, by id."""

    state: State
    earlier: Mapping[str, Value]

    @cached_property
    def _channels(self) -> dict[str, Value]:
        values = frame(self.state).values
        return {c.name: Value(v, c.kind) for c, v in zip(channels(self.state), values, strict=True)}

    def read(self, words: str) -> Value:
        """The number that the words say.  Errors: :class:`QuantityError` for words that say none."""
        words = " ".join(words.split())
        if words in self.earlier:
            return self.earlier[words]
        if (joined := JOINED.fullmatch(words)) is not None:
            return self._joined(self.read(joined["a"]), joined["by"], self.read(joined["b"]), words)
        for before, by in self._ways.items():
            if words.startswith(before):
                return by(words.removeprefix(before))
        if words in self._channels:
            return self._channels[words]
        if words[:1].isdigit() and (kind := kind_of(words)) is not None:
            return Value(parse(words, kind), kind)
        hint = did_you_mean(words, [*self.earlier, *self._channels]) or "write 'pressure of ...'"
        raise QuantityError(f"'{words}' says nothing that can be read off a state", hint)

    @staticmethod
    def _joined(a: Value, by: str, b: Value, words: str) -> Value:
        if by == "times":
            kind = PRODUCTS.get((a.kind, b.kind)) or PRODUCTS.get((b.kind, a.kind))
            if "ratio" in (a.kind, b.kind):
                kind = b.kind if a.kind == "ratio" else a.kind
            if kind is None:
                raise QuantityError(f"'{words}' multiplies what makes no quantity", "a pressure times a flow does")
            return Value(a.size * b.size, kind)
        if a.kind != b.kind:
            raise QuantityError(f"'{words}' adds a {a.kind} and a {b.kind}")
        return Value(a.size + (b.size if by == "plus" else -b.size), a.kind)

    @cached_property
    def _ways(self) -> dict[str, Callable[[str], Value]]:
        return {
            "pressure of ": self._pressure,
            "reading of ": self._reading,
            "flow through ": self._flow,
            "drop over ": self._drop,
            "lift of ": lambda name: self._channel("lift", name),
            "speed of ": self._speed,
            "power over ": self._power,
            "force of ": self._force,
        }

    def _channel(self, sort: str, name: str) -> Value:
        """A channel by its sort and name; the name may leave out the valve that holds the part."""
        known = [c.partition(":")[2] for c in self._channels if c.startswith(f"{sort}:")]
        full = self._known(name, known, sort)
        found = self._channels[f"{sort}:{full}"]
        return Value(found.size, found.kind, part=full)

    def _known(self, name: str, known: Collection[str], sort: str) -> str:
        """The full name of what is called so here."""
        for full in (name, *(m.prefix + name for m in self.state.machine.mounted)):
            if full in known:
                return full
        hint = did_you_mean(name, known) or "known here: " + ", ".join(list(known)[:12])
        raise QuantityError(f"there is no {sort if sort == 'part' else sort + ' of'} '{name}' here", hint)

    def _pressure(self, name: str) -> Value:
        chamber = self._known(name, self.state.pressures, "pressure")
        return Value(self.state.pressures[chamber], "pressure", chamber, chamber)

    def _reading(self, name: str) -> Value:
        part = self._known(name, self.state.readings, "reading")
        kind, size = self.state.readings[part]
        nodes = self.state.machine.parts[part].nodes if part in self.state.machine.parts else {}
        return Value(size, kind, next(iter(nodes.values()), ""), part)

    def _flow(self, name: str) -> Value:
        """What passes a part, or a mounted valve at the port named ``VALVE@PORT`` or at its inlet."""
        if name in self._valves and "@" not in name:
            inlet = next((p.name for p in self._valves[name].valve.ports.values() if p.role == "inlet"), "")
            name = f"{name}@{inlet}"
        found = self._channel("flow", name)
        return Value(abs(found.size), found.kind, part=found.part)

    @property
    def _valves(self) -> dict[str, Mounted]:
        return {m.name: m for m in self.state.machine.mounted}

    def _drop(self, name: str) -> Value:
        part = self._part(name)
        ends = list(self.state.machine.parts[part].nodes.values())
        if len(ends) < 2:
            raise QuantityError(f"'{name}' has no two ends")
        return Value(abs(self._pressure(ends[0]).size - self._pressure(ends[1]).size), "pressure", part=part)

    def _speed(self, name: str) -> Value:
        part = self._known(name, self.state.velocities, "speed")
        return Value(abs(self.state.velocities[part]), "velocity", part=part)

    def _power(self, name: str) -> Value:
        """What a part, or all parts of a mounted valve, take out of the oil (W)."""
        prefix = self._valves[name].prefix if name in self._valves else self._part(name)
        entries = [
            e for e in self.state.power if e.part == prefix or (e.part.startswith(prefix) and prefix.endswith("."))
        ]
        return Value(sum(e.value for e in entries), "power", part=prefix.rstrip("."))

    def _force(self, words: str) -> Value:
        """The force (N, size only) of one part on a moving part: 'force of main spring on poppet'."""
        name, _, mover = words.partition(" on ")
        part, on = self._part(name), self._part(mover)
        entries = [e for e in self.state.forces.get(on, []) if e.part == part]
        if not entries:
            raise QuantityError(f"'{name}' does not push '{mover}'", "its ledger: " + ", ".join(self._pushing(on)))
        return Value(abs(sum(e.value for e in entries)), "force", part=on)

    def _pushing(self, mover: str) -> list[str]:
        return list(dict.fromkeys(e.part for e in self.state.forces.get(mover, [])))

    def _part(self, name: str) -> str:
        return self._known(name, self.state.machine.parts, "part")

    def status(self, name: str) -> str:
        """Seated, open or at its stop.  Errors: :class:`QuantityError` for what is no moving part."""
        part = self._part(name)
        if part not in self.state.statuses:
            raise QuantityError(f"'{name}' is no moving part", did_you_mean(name, self.state.statuses))
        return self.state.statuses[part].word
