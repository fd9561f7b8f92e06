"""Which symbols a machine's circuit has: one for each part and mounted valve, the loads with their cylinder."""

from __future__ import annotations

from oilway.draw import symbols_lines, symbols_machines
from oilway.draw.symbols import Symbol
from oilway.draw.symbols_valves import valve
from oilway.elements.base import Part
from oilway.model.machine import Machine
from oilway.model.mount import Mounted

# Parts that have no symbol of their own: chambers are lines, and what a valve is made of belongs to its cutaway.
UNDRAWN = ("chamber", "tank", "moving part", "face", "spring", "lever")
LOADS = ("load", "linkage")
PUMPS = ("fixed pump", "pressure-compensated pump", "load-sensing pump", "test pump")
PASSES = ("line", "hose", "filter", "check valve")  # through these a return line runs on to the tank


def outer_valves(machine: Machine) -> list[Mounted]:
    """The valves that stand in the machine itself, not in another valve, in the order of their names."""
    inner = [
        m for m in machine.mounted if any(o is not m and o.holds(m.prefix.rstrip(".")) for o in machine.mounted)
    ]
    return sorted((m for m in machine.mounted if m not in inner), key=lambda m: m.name)


def own_parts(machine: Machine) -> list[Part]:
    """The parts that stand in the machine itself, not in a valve, in the order of their names."""
    valves = outer_valves(machine)
    return [part for name, part in sorted(machine.parts.items()) if not any(m.holds(name) for m in valves)]


def symbols_of(machine: Machine) -> list[Symbol]:
    """Every symbol of the circuit, not yet placed, in the order of their names."""
    parts, tanks = own_parts(machine), tank_lines(machine)
    symbols = [valve(machine, mounted) for mounted in outer_valves(machine)]
    for part in parts:
        if part.kind in UNDRAWN or part.kind in LOADS:
            continue
        symbols.append(_symbol(machine, part, parts, tanks))
    return sorted(symbols, key=lambda s: s.name)


def _symbol(machine: Machine, part: Part, parts: list[Part], tanks: set[str]) -> Symbol:
    if part.kind in PUMPS:
        return symbols_machines.pump(part)
    if part.kind == "cylinder":
        carried = [p for p in parts if p.kind in LOADS and p.values["on"] == part.name]
        return symbols_machines.cylinder(part, carried)
    if part.kind == "motor":
        return symbols_machines.motor(part)
    if part.kind == "accumulator":
        return symbols_machines.accumulator(part)
    if part.kind == "gauge":
        return symbols_machines.gauge(part)
    if part.kind == "shuttle":
        return symbols_lines.shuttle(part)
    on = str(part.values.get("on") or "")
    host = next((m.name for m in outer_valves(machine) if on and m.holds(on)), "")
    symbol = symbols_lines.through(part, down=bool(host) or part.nodes["to"] in tanks)
    symbol.beside = host
    if symbol.place == "up":
        symbol.turned = symbols_lines.through(part, down=True)
    return symbol


def tank_lines(machine: Machine) -> set[str]:
    """Tanks, and the return lines that run into one (through a hose, filter or check) and feed nothing."""
    parts = own_parts(machine)
    found = {name for name, part in machine.parts.items() if part.kind == "tank"}
    fed = {p.nodes["outlet"] for p in parts if p.kind in PUMPS}
    fed |= {c for p in parts if p.kind in ("cylinder", "motor") for c in p.nodes.values()}
    while True:
        more = {p.nodes["from"] for p in parts if p.kind in PASSES and p.nodes["to"] in found} - fed - found
        if not more:
            return found
        found |= more


def is_held(machine: Machine, tank: str) -> bool:
    """Whether a tank stands for a line held at a pressure: it has one, or a named point gives it one."""
    pressure = f"{tank}.pressure"
    return bool(machine.parts[tank].values["pressure"]) or any(pressure in p for p in machine.points.values())
