"""Machines and valves made up at random from the catalogue's records, mostly legal, connected at random."""

from __future__ import annotations

import random

from oilway import quantity
from oilway.elements.record import REQUIRED, Record
from oilway.model.catalogue import REFERS, kinds

# Where a value without a default is looked for, SI (degC): a wide workshop.
USUAL = {
    "pressure": (1e4, 5e7),
    "flow": (1e-6, 4e-3),
    "length": (2e-4, 0.1),
    "volume": (1e-7, 1e-2),
    "mass": (1e-3, 1e4),
    "force": (1.0, 1e5),
    "rate": (1e2, 1e6),
    "rotation": (1.0, 60.0),
    "displacement": (1e-6, 1e-4),
}
ILLEGAL = ("-3", "0", "1e30", "5 %", "12 V", "many", "3 mm 4", "1e-40", "-1e9")


class Draft:
    """Parts as text under their names, and what may be connected to what."""

    def __init__(self, rng: random.Random, wild: float) -> None:
        self.rng, self.wild = rng, wild  # wild: how often a value or a name is wrong on purpose
        self.parts: dict[str, dict[str, str]] = {}

    def named(self, *wanted: str) -> list[str]:
        """Parts of some kinds."""
        return [name for name, keys in self.parts.items() if keys["kind"] in wanted]

    def one_of(self, names: list[str]) -> str:
        """One name, or a wrong one."""
        if not names or self.rng.random() < 0.2 * self.wild:
            return self.rng.choice([*self.parts, "nowhere"])
        return self.rng.choice(names)

    def add(self, kind: str, name: str = "", **fixed: str) -> str:
        """Add a part of a kind with random keys; ``fixed`` (blanks as underscores) are not random."""
        element = kinds()[kind]
        name = name or f"{kind} {len(self.parts)}"
        keys = {"kind": kind}
        self.parts[name] = keys
        for port in element.ports:
            keys[port.name] = self.one_of([n for n in self.named("chamber", "tank") if n != name])
        for record in element.records:
            if record.default == REQUIRED or self.rng.random() < self._eager(record):
                keys[record.name] = self._value(record)
        for end in ("cap", "rod"):  # a cushion has its length and its orifice, or neither
            pair = {f"{end} cushion length", f"{end} cushion orifice"}
            if len(pair & set(keys)) == 1 and self.rng.random() < 0.9:
                for key in (*pair, f"{end} cushion plunger"):
                    keys.pop(key, None)
        keys.update({key.replace("_", " "): value for key, value in fixed.items()})
        return name

    def _eager(self, record: Record) -> float:
        """How often a key that may be left out is given; most others would contradict the rest of the part."""
        if record.name in ("rate", "width"):
            return 0.98
        at_odds = (
            "wire diameter",
            "mean diameter",
            "active coils",
            "inner diameter",
            "full open pressure",
            "most turns",
            "cap cushion plunger",
            "rod cushion plunger",
        )
        return 0.02 if record.name in at_odds else 0.3

    def _value(self, record: Record) -> str:
        if record.kind == "choice":
            return self.rng.choice(record.choices)
        if record.kind == "reference":
            return self.one_of(self.named(*REFERS[record.refers_to]))
        return self.rng.choice(ILLEGAL) if self.rng.random() < 0.03 * self.wild else self._amount(record)

    def _amount(self, record: Record) -> str:
        kind = quantity.KINDS[record.kind]
        unit = self.rng.choice(list(kind.units))
        value = self._size(record)
        if self.rng.random() < 0.04:
            ends = [end for end in (record.low, record.high) if abs(end) < float("inf")]
            value = self.rng.choice(ends) if ends else value
        return f"{(value - kind.offsets.get(unit, 0.0)) / kind.units[unit]:.17g} {unit}".strip()

    def _size(self, record: Record) -> float:
        if isinstance(record.default, float) and record.default > 0:
            low, high = record.default / 5, record.default * 5
        elif record.high < float("inf") and record.kind not in USUAL:
            return self.rng.uniform(max(record.low, -record.high), record.high)
        else:
            low, high = USUAL.get(record.kind, (1e-3, 10.0))
        low, high = max(low, record.low), min(high, record.high)
        if record.low < 0 and self.rng.random() < 0.2:
            return self.rng.uniform(max(record.low, -high), 0.0)
        return low if high <= low else low * (high / low) ** self.rng.random()

    def text(self) -> str:
        """The block of parts."""
        lines = []
        for name, keys in self.rng.sample(sorted(self.parts.items()), len(self.parts)):
            pairs = ", ".join(f"{key}: '{value}'" for key, value in keys.items())
            lines.append(f"  {name}: {{{pairs}}}")
        return "\n".join(lines)


def _valve_parts(draft: Draft, count: int) -> None:
    """Moving parts with what works on them, and passages between chambers."""
    rng = draft.rng
    for _ in range(count):
        part = draft.add("moving part")
        draft.add("face", on=part, pushes="open")
        draft.add("face", on=part, pushes="shut")
        if rng.random() < 0.9:
            draft.add("spring", on=part)
        draft.add(rng.choice(["poppet seat", "poppet seat", "spool edge"]), on=part)
    for _ in range(rng.randrange(1, 6)):
        draft.add(rng.choice(["orifice", "orifice", "annular gap", "check valve", "line"]))


def random_machine(rng: random.Random) -> str:
    """A machine file: tanks, chambers, pumps, and any other parts between them."""
    draft = Draft(rng, rng.choice([0.0, 0.0, 1.0]))
    for _ in range(rng.choice([1, 1, 1, 2])):
        draft.add("tank")
    chambers = [draft.add("chamber") for _ in range(rng.randrange(1, 5))]
    for _ in range(rng.choice([0, 1, 1, 1, 2])):
        draft.add(
            rng.choice(["fixed pump", "test pump"]), inlet=draft.one_of(draft.named("tank")), outlet=chambers[0]
        )
    if rng.random() < 0.3:
        draft.add("lever")
        draft.add("spool edge")
    _valve_parts(draft, rng.choice([0, 0, 1, 1, 2]))
    if rng.random() < 0.5:
        position = rng.choice(["0 mm", "0.4 m", "1 m"])
        cylinder = draft.add("cylinder", bore="100 mm", rod_diameter="56 mm", stroke="1 m", position=position)
        draft.add("load", on=cylinder, load_force="0 N")
    if rng.random() < 0.7:
        draft.add("orifice", **{"from": chambers[0], "to": draft.one_of(draft.named("tank"))})
    for _ in range(rng.randrange(3)):
        draft.add(rng.choice(["gauge", "flow meter", "test load", "annular gap"]))
    return f"format: 1\nmachine: made up\nparts:\n{draft.text()}\n"


def random_valve(rng: random.Random) -> str:
    """A valve file for the test stand: inlet, outlet, one or two moving parts, at times an adjuster."""
    draft = Draft(rng, rng.choice([0.0, 0.0, 1.0]))
    for name in ("in", "out", *(f"chamber {k}" for k in range(rng.randrange(3)))):
        draft.add("chamber", name)
    _valve_parts(draft, rng.choice([1, 1, 2]))
    part = draft.named("moving part")[0]
    diameter = f"{rng.uniform(4, 30):.3g} mm"
    draft.add("face", on=part, chamber="in", diameter=diameter, inner_diameter="0 mm", pushes="open")
    turns = {"pitch": "1 mm/turn", "turns": "3 turns", "most_turns": "12 turns", "solid_compression": "60 mm"}
    draft.add("spring", "adjusted", on=part, rate=f"{10 ** rng.uniform(0.5, 3):.4g} N/mm", **turns)
    draft.add("poppet seat", on=part, diameter=diameter, **{"from": "in", "to": "out"})
    head = (
        "format: 1\nvalve: made up\nports:\n  P: {chamber: in, role: inlet}\n  T: {chamber: out, role: outlet}\n"
    )
    flow = f"rated flow: {10 ** rng.uniform(-1, 2):.3g} gpm\n"
    pressure = rng.uniform(100, 5000)
    settings = ["", f"adjuster: adjusted\nsetting: {pressure:.0f} psi at 10 gpm\n"]
    cracks = f"cracks {pressure * rng.uniform(0.5, 1.02):.0f} psi, {pressure:.0f} psi at 10 gpm"
    settings.append(f"adjuster: adjusted\ncracking solves: adjusted.rate\nsetting: {cracks}\n")
    return f"{head}{flow}{rng.choice(settings)}parts:\n{draft.text()}\n"
