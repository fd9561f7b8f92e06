"""Staging: which pressure control acts first, and which settings stand in each other's way."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from oilway import quantity
from oilway.elements.record import RATED
from oilway.errors import OilwayError
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.study.controls import COMPENSATED, COMPENSATOR, Control, as_set, controls, role_of
from oilway.study.rising import Rise, levers, rises

OVER_LOAD = 1.3  # a counterbalance over the highest load pressure (common practice)
BELOW_RELIEF = 200 * quantity.PSI  # a compensator below the relief (common practice)
TIE = 0.1 * quantity.PSI  # settings closer than this are equal: they are solved, not given
RETURNS = ("relief", "port relief", "unloading", "lever valve")  # what leaves these goes to tank
PUMPS = ("fixed pump", "test pump", *COMPENSATED)


@dataclass
class Staging:
    """What acts when.

    ``controls`` each with its pressures; ``rises`` in which order they act as a load rises; ``findings`` settings
    that stand in each other's way; ``notes`` what is close to it, or could not be told.
    """

    controls: list[Control]
    rises: list[Rise] = field(default_factory=list)
    findings: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


Rule = Callable[[Staging, Control, Control], None]


def staging(machine: Machine) -> Staging:
    """Compare the settings of a machine with each other, with its ratings and loads, and raise its loads."""
    found, notes = controls(machine)
    out = Staging(found, rises(machine, found), notes=notes)
    for control in found:
        rule = RULES.get(control.acts_as)
        main = _main(machine, found, control)
        if rule is not None and main is not None:
            rule(out, control, main)
        if control.acts_as == "counterbalance":
            _over_load(machine, out, control)
    out.findings += over_ratings(machine, found)
    return out


# -- where oil can go --------------------------------------------------------------------------------------
def reach(machine: Machine, chamber: str, *, through_checks: bool = True) -> set[str]:
    """Chambers joined with this one by passages that end in no tank, itself among them.

    Not followed: pumps, reducing valves, and what leaves a relief or a lever valve for the tank.  With
    ``through_checks`` false, check valves only the way they pass oil: where the pressure of this chamber gets to.
    """
    ends = {n for n, p in machine.parts.items() if p.kind == "tank"}
    reducing = tuple(m.prefix for m in machine.mounted if m.prefix and m.valve.acts_as == "reducing")
    for mounted in machine.mounted:
        if role_of(machine, mounted) in RETURNS:
            ends |= {mounted.outside[p.chamber] for p in mounted.valve.ports.values() if p.role == "outlet"}
    ways: list[tuple[str, str]] = []
    for element in machine.elements.values():
        if element.kind in PUMPS or (reducing and element.name.startswith(reducing)):
            continue
        for a, b in element.links():
            ways.append((element.at(a), element.at(b)))
            if through_checks or element.kind != "check valve":
                ways.append((element.at(b), element.at(a)))
    seen, fresh = set(), [chamber]
    while fresh:
        here = fresh.pop()
        seen.add(here)
        fresh += [b for a, b in ways if a == here and b not in seen | ends]
    return seen


def _main(machine: Machine, found: list[Control], control: Control) -> Control | None:
    """The main relief whose pressure a control can see: the lowest, where there are several."""
    start = control.chamber
    if control.mounted is not None and control.acts_as == "reducing":
        start = control.mounted.at("inlet") or start
    near = reach(machine, start)
    mains = [c for c in found if c.acts_as == "relief" and c is not control and c.chamber in near]
    return min(mains, key=lambda c: c.full, default=None)


# -- rules -------------------------------------------------------------------------------------------------
def said(pressure: float) -> str:
    """A pressure as findings say it."""
    return quantity.show(pressure, "pressure")


def _set(control: Control) -> str:
    if control.flow is None:
        return f"set to {said(control.full)}"
    return f"set to {said(control.full)} at {quantity.show(control.flow, 'flow')}"


def _opens(control: Control) -> float:
    return control.full if control.opens is None else control.opens


def _port_relief(out: Staging, port: Control, main: Control) -> None:
    if port.full < main.full + TIE:
        out.findings.append(
            f"{port.name}: a port relief {_set(port)}, not above {main.name} ({said(main.full)}): it acts "
            f"first, and turning {main.name} up moves nothing behind it"
        )
    elif _opens(port) < main.full:
        out.notes.append(
            f"{port.name}: begins to open at {said(_opens(port))}, before {main.name} has reached its full-flow "
            f"pressure ({said(main.full)})"
        )


def _crossover(out: Staging, relief: Control, main: Control) -> None:
    if relief.full < main.full + TIE:
        out.notes.append(
            f"{relief.name}: {_set(relief)}, below {main.name} ({said(main.full)}): it, not {main.name}, "
            "limits the torque of its motor, driving too"
        )


def _compensator(out: Staging, pump: Control, main: Control) -> None:
    if pump.full > _opens(main) - TIE:
        out.findings.append(
            f"{pump.name}: compensator set to {said(pump.full)}, not below the {said(_opens(main))} at which "
            f"{main.name} opens: stalled, the pump does not destroke and the relief makes heat"
        )
    elif pump.full > main.full - BELOW_RELIEF:
        out.notes.append(
            f"{pump.name}: compensator set to {said(pump.full)}, only {said(main.full - pump.full)} below "
            f"{main.name}; {said(BELOW_RELIEF)} or more is common practice"
        )


def _acts_before(what: str, otherwise: str, close: str = "") -> Rule:
    """The rule of a valve that has to act before the main relief: what it is, what happens if it does not."""

    def rule(out: Staging, valve: Control, main: Control) -> None:
        if valve.full > main.full - TIE:
            out.findings.append(
                f"{valve.name}: {what} {_set(valve)}, not below {main.name} ({said(main.full)}): {otherwise}"
            )
        elif valve.full > _opens(main):
            opens = f"opens before that, at {said(_opens(main))}"
            out.notes.append(f"{valve.name}: {_set(valve)}; {main.name} {opens}{close}")

    return rule


def _reducing(out: Staging, valve: Control, main: Control) -> None:
    if valve.full > main.full - TIE:
        out.notes.append(
            f"{valve.name}: {_set(valve)}, not below {main.name} ({said(main.full)}): it never reduces anything"
        )


RULES: dict[str, Rule] = {
    "port relief": _port_relief,
    "crossover relief": _crossover,
    COMPENSATOR: _compensator,
    "sequence": _acts_before(
        "a sequence valve",
        "the second motion never starts, the oil goes over the relief",
        ", and takes oil from the second motion",
    ),
    "unloading": _acts_before("an unloading valve", "its pump never idles, and goes over the relief"),
    "reducing": _reducing,
}


def _over_load(machine: Machine, out: Staging, valve: Control) -> None:
    """A counterbalance against what its load makes while all levers are in neutral and the engine is off."""
    still = [f"{n}.{key}" for n, p in machine.parts.items() if p.kind in PUMPS for key in ("engine speed", "flow")]
    off = {name: 0.0 for name in [*levers(machine), *still] if name in machine.system.parameters}
    try:
        load = solve_point(machine, off).pressures[valve.chamber]
    except OilwayError as err:
        out.notes.append(f"{valve.name}: the pressure of its load is not told: {err}")
        return
    if load <= 0:
        out.notes.append(f"{valve.name}: the load of the file makes no pressure in it; its setting is not judged")
    elif valve.full < OVER_LOAD * load - TIE:
        out.findings.append(
            f"{valve.name}: a counterbalance {_set(valve)}, below {OVER_LOAD:g} x the load pressure of the file "
            f"({OVER_LOAD:g} x {said(load)} = {said(OVER_LOAD * load)}; common practice)"
        )


def over_ratings(machine: Machine, found: Sequence[Control] = ()) -> list[str]:
    """The lowest rating below what a control holds: right at it, and wherever oil of what limits a pump reaches.

    A port relief guards what stands at its port.  Valves that are not among ``found`` count as their file sets
    them.
    """
    return [finding for _, finding in controls_over_ratings(machine, found)]


def controls_over_ratings(machine: Machine, found: Sequence[Control] = ()) -> list[tuple[Control, str]]:
    """As :func:`over_ratings`, each with the control that is set too high."""
    judged = list({c.name: c for c in (*as_set(machine), *found)}.values())
    findings = []
    for control in judged:
        here, away = sees(machine, control)
        for rated, part in _lowest_over(machine, control, here, judged):
            what = f"set to {said(control.full)}, above the rated pressure of {part} ({said(rated)})"
            findings.append((control, f"{control.name}: {what}"))
        for rated, part in _lowest_over(machine, control, away, judged):
            reaches = f"its oil reaches {part}, rated for {said(rated)}"
            findings.append((control, f"{control.name}: {_set(control)}; {reaches}"))
    return findings


def sees(machine: Machine, control: Control) -> tuple[set[str], set[str]]:
    """Parts at a control, where it senses and at its inlet, and those farther off that see its pressure."""
    at = {control.chamber}
    if control.mounted is not None and control.acts_as != "reducing":  # that one leaves its inlet alone
        at.add(control.mounted.at("inlet"))
    wide: set[str] = set()
    if control.acts_as in ("relief", COMPENSATOR):
        wide = reach(machine, control.chamber, through_checks=False)
    here, away = (
        {n for n, p in machine.parts.items() if {n, *p.nodes.values()} & chambers - {""}}
        for chambers in (at, wide)
    )
    return here, away - here


def _lowest_over(
    machine: Machine, control: Control, names: set[str], judged: list[Control]
) -> list[tuple[float, str]]:
    """Rating and name of the lowest rated of these parts that is given more; port reliefs at it count; or none."""
    over = []
    for name in names - {control.name}:
        part = machine.parts[name]
        rated, own = part.values.get(RATED.name), {name, *part.nodes.values()}
        guards = [c.full for c in judged if c.acts_as == "port relief" and c.chamber in own]
        if rated is not None and min([control.full, *guards]) > float(rated) + TIE:
            over.append((float(rated), name))
    return sorted(over)[:1]
