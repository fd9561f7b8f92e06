"""The parts and chambers that a cutaway shows: a mounted valve with its own chamber names, whatever it stands in.

On a machine two ports of a valve may open into one line.  Inside the valve they stay two chambers, so a cutaway
keeps them apart and paints both with the pressure of that line.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from oilway.draw.kept import content_of
from oilway.elements.base import Part
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.model.tree import Block, Text


@dataclass(frozen=True)
class Outlet:
    """A port of the valve: its letter, its role, the chamber behind it, and whether anything is connected."""

    letter: str
    role: str
    chamber: str
    plugged: bool


@dataclass
class Shown:
    """A valve as drawn.

    ``parts`` by full name, chambers left out, each with the valve's own chambers at its ports; ``chambers`` maps
    those to the machine's (whose pressure they have) and ``volumes`` (m3) to their size; ``names`` are shown.
    """

    parts: dict[str, Part]
    chambers: dict[str, str]
    ports: list[Outlet]
    volumes: dict[str, float]
    names: dict[str, str]

    @property
    def content(self) -> str:
        """All that a picture of it shows, as one text."""
        others = (self.chambers, self.ports, self.volumes, self.names)
        return content_of(self.parts.values()) + repr(others)

    def called(self, name: str) -> str:
        """A name as the picture shows it."""
        return self.names[name]


def shown(machine: Machine, mounted: Mounted) -> Shown:
    """What a cutaway of a mounted valve shows, valves inside it included."""
    joined: dict[str, str] = {}
    own: dict[str, dict[str, str]] = {}
    _collect(mounted.valve.parts, mounted.prefix, machine, joined, own)

    def within(name: str) -> str:
        while name in joined:
            name = joined[name]
        return name

    parts = {}
    for name in sorted(own):
        part = machine.parts.get(name)
        if part is not None and part.kind not in ("chamber", "tank"):
            parts[name] = replace(part, nodes={p: within(c) for p, c in own[name].items()})
    outside = {mounted.prefix + c: real for c, real in mounted.outside.items()}
    ports = [
        Outlet(p.name, p.role, mounted.prefix + p.chamber, _plugged(machine, mounted, p.chamber, p.plugged))
        for _, p in sorted(mounted.valve.ports.items())
    ]
    named = {c for part in parts.values() for c in part.nodes.values()} | {p.chamber for p in ports}
    chambers = {c: outside.get(c, c) for c in sorted(named)}
    chambers = {c: real for c, real in chambers.items() if real in machine.parts}
    volumes = {c: float(machine.parts[real].values.get("volume") or 0.0) for c, real in chambers.items()}
    return Shown(parts, chambers, ports, volumes, _short([*parts, *chambers], mounted.prefix))


def _short(names: list[str], prefix: str) -> dict[str, str]:
    """Names without the valve they stand in, and without one inside it where nothing else is called so."""
    plain = [name.rsplit(".", 1)[-1] for name in names]
    return {n: p if plain.count(p) == 1 else n.removeprefix(prefix) for n, p in zip(names, plain, strict=True)}


def _plugged(machine: Machine, mounted: Mounted, chamber: str, may_be: bool) -> bool:
    """Whether a port that may be plugged is: nothing outside shares its chamber."""
    return may_be and mounted.outside.get(chamber, "") == mounted.prefix + chamber


def _collect(
    block: Block, prefix: str, machine: Machine, joined: dict[str, str], own: dict[str, dict[str, str]]
) -> None:
    """The chambers that each part of a block names itself; ``joined`` leads from a valve inside to its outside."""
    inner = [m for m in machine.mounted if m.prefix.startswith(prefix) and m.prefix != prefix]
    for name, item in block.items.items():
        if not isinstance(item, Block):
            continue
        valve = next((m for m in inner if m.prefix == f"{prefix}{name}."), None)
        if valve is None:
            part = machine.parts.get(prefix + name)
            ports = part.nodes if part is not None else {}
            own[prefix + name] = {p: prefix + said for p in ports if (said := _text(item, p))}
            continue
        for port in valve.valve.ports.values():
            if said := _text(item, port.name):
                joined[valve.prefix + port.chamber] = prefix + said
        _collect(valve.valve.parts, valve.prefix, machine, joined, own)


def _text(block: Block, key: str) -> str:
    item = block.items.get(key)
    return item.text if isinstance(item, Text) else ""
