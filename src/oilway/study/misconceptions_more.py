"""Beliefs about limits, losses, springs and leaks, each a computation on the machine that is asked about."""

from __future__ import annotations

from oilway.elements.network import WORK
from oilway.model.machine import Machine
from oilway.study.belief import PUMPS, Case, Misconception
from oilway.study.controls import COMPENSATOR, Control, acts
from oilway.study.worksheet_solve import FINEST

MOVERS = ("cylinder", "motor")
STAYS = 0.2  # of the drift believed in: a load that sinks slower than this does not drift by its piston


def _relief_limits_flow(case: Case) -> float | None:
    """No more than the flow said in its setting gets over a relief, or past it to what moves.

    A relief limits pressure: shut, it takes nothing from the flow; open, all the flow that is left goes over it.
    """
    relief, pumped = case.main(), case.pump_flow()
    if relief is None or relief.mounted is None or not relief.flow:
        return None
    if case.value.kind == "flow" and case.passes(relief.mounted):
        return min(case.value.size, relief.flow)
    part = case.machine.parts.get(case.value.part.partition("@")[0])
    moved = case.value.kind in ("flow", "velocity", "rotation") and part is not None and part.kind in MOVERS
    if not moved or acts(relief, case.state) or pumped <= relief.flow:
        return None
    return case.value.size * relief.flow / pumped


def _pump_needs_no_relief(case: Case) -> float | None:
    """A compensator alone says how high the pump line goes, though it stands above the relief, or sticks.

    Where a question tells how it was before (``was``), it is the compensator's pressure of then.
    """
    relief = case.main()
    if relief is None or not case.is_pressure or not acts(relief, case.state):
        return None
    before = case.sitting.machine(case.question, "was") if case.question.map("was") else case.machine
    for control in case.sitting.models.controls(before):
        if control.acts_as == COMPENSATOR and control.chamber == case.value.chamber:
            return control.full
    return None


def _every_drop_is_loss(case: Case) -> float | None:
    """All that the pump puts into the oil turns into heat, though a part of it moves the load.

    A drop over an actuator is work: of the power asked for over one part, or for the drop between two places, pump
    pressure times pump flow is told.
    """
    asked = not _parts_of(case, *MOVERS, whole=case.value.part) if case.value.part else _of_a_drop(case)
    if case.value.kind != "power" or not asked:
        return None
    if not sum(e.value for e in case.state.power if e.label == WORK) > FINEST["power"]:
        return None
    pumps = [part for part in case.machine.parts.values() if part.kind in PUMPS]
    if len(pumps) != 1:
        return None
    return case.state.pressures[pumps[0].nodes["outlet"]] * case.pump_flow()


def _of_a_drop(case: Case) -> bool:
    """Whether a number is computed from an earlier one that is a drop."""
    used = case.sitting.uses(case.question)
    answers = (q.texts.get("answer", "") for q in case.sitting.worksheet.questions if q.id in used)
    return any(" less " in words or words.startswith("drop over ") for words in answers)


def _parts_of(case: Case, *kinds: str, whole: str) -> list[str]:
    """The parts of some kinds that are a part asked for, or within a valve asked for."""
    inside = (name for name in case.machine.parts if name == whole or name.startswith(f"{whole}."))
    return [name for name in inside if case.machine.parts[name].kind in kinds]


def _bigger_spring_is_better(case: Case) -> float | None:
    """A stiffer spring holds the setting better: what it lets the pressure climb above cracking shrinks.

    In truth the climb grows with the rate: the poppet opens as far as the flow needs, against a stiffer spring.
    """
    relief = case.main()
    if relief is None or relief.mounted is None or not case.question.map("was"):
        return None
    if not case.is_pressure or case.value.chamber != relief.chamber or not acts(relief, case.state):
        return None
    before = case.sitting.machine(case.question, "was")
    was = next((c for c in case.sitting.models.controls(before) if c.name == relief.name), None)
    ratio = _stiffer(relief, case.machine, before)
    if was is None or was.opens is None or relief.opens is None or ratio == 1:
        return None
    climbed = case.sitting.answer(case.question, case.words, key="was").size - was.opens
    return relief.opens + climbed / ratio


def _stiffer(relief: Control, machine: Machine, before: Machine) -> float:
    """How many times stiffer the spring that sets a relief is than before; 1 where its rate is not given."""
    assert relief.mounted is not None
    name = f"{relief.mounted.adjuster}.rate"
    rates = [m.theta()[m.system.parameters[name]] for m in (machine, before) if name in m.system.parameters]
    return float(rates[0] / rates[1]) if len(rates) == 2 else 1.0


def _leaking_piston_drifts(case: Case) -> float | None:
    """With the lever in neutral a load sinks as fast as oil gets past the piston, wherever that oil is to go.

    Shut in at both ends the oil has no place to go to: the pressures even out, and the load stays.  The speed
    believed in is the leak with the load on one end and none on the other, as while the cylinder is raised,
    over the area of the bore: the ledger of that state has both lines.
    """
    name = case.value.part
    if case.value.kind != "velocity" or name not in case.cylinders() or not case.at_neutral():
        return None
    if case.state.parameter(f"{name}.seal clearance") <= 0:
        return None
    raised = case.sitting.state(case.question, more=dict.fromkeys(case.levers(), 1.0))
    cap = case.machine.parts[name].nodes["cap"]
    of_piston = {e.law: abs(e.value) for e in raised.flows[cap] if e.part == name}
    speed, swept = abs(raised.velocities[name]), of_piston["area x velocity"]
    believed = speed * of_piston["annular gap law"] / swept if swept > 0 else 0.0
    return believed if case.value.size < STAYS * believed else None


def _counterbalance_is_check(case: Case) -> float | None:
    """A counterbalance is a pilot-operated check: load over ratio opens it, whatever its setting.

    The ratio is that of the pressed areas in its force ledger: the pilot's over the load's.
    """
    for control in case.sitting.models.controls(case.machine):
        if control.acts_as != "counterbalance" or control.mounted is None or not case.is_pressure:
            continue
        load, pilot = (case.state.pressures[c] for c in (control.chamber, control.mounted.at("pilot")))
        pushing = _pushing_open(case, control.mounted.prefix)
        of_load = pushing.pop(control.chamber, 0.0)
        of_pilot = sum(pushing.values())
        if control.full <= load or min(of_load, of_pilot) <= 0:
            continue
        if case.value.chamber == control.mounted.at("pilot"):
            return load * of_load / of_pilot
        if case.value.chamber == control.chamber and pilot > FINEST["pressure"]:
            return pilot * of_pilot / of_load
    return None


def _pushing_open(case: Case, prefix: str) -> dict[str, float]:
    """The area (m2) on which each chamber pushes the moving parts of a valve open, off its force ledger."""
    found: dict[str, float] = {}
    for entry in (e for mover, entries in case.state.forces.items() if mover.startswith(prefix) for e in entries):
        part = case.machine.parts[entry.part]
        if part.kind == "face" and part.values["pushes"] == "open":
            chamber = part.nodes["chamber"]
            area = entry.value / case.state.pressures[chamber] if case.state.pressures[chamber] else 0.0
            found[chamber] = found.get(chamber, 0.0) + area
    return found


MORE = (
    Misconception(
        "a relief limits flow",
        "A relief limits pressure. Shut it takes none of the flow, open it passes all that is left.",
        _relief_limits_flow,
    ),
    Misconception(
        "a compensated pump needs no relief",
        "A compensator that is set too high, or sticks, is held by the relief alone.",
        _pump_needs_no_relief,
    ),
    Misconception(
        "all pressure drop is bad",
        "A drop is work or heat: over the cylinder it lifts the load, over a restriction it warms the oil.",
        _every_drop_is_loss,
    ),
    Misconception(
        "a bigger spring is better",
        "A stiffer spring lets the pressure climb further above cracking, not less.",
        _bigger_spring_is_better,
    ),
    Misconception(
        "a leaking piston always drifts",
        "Oil past the piston needs a way out; shut in at both ends, the pressures even out and the load stays.",
        _leaking_piston_drifts,
    ),
    Misconception(
        "counterbalance = pilot check",
        "A counterbalance opens by load and pilot against its setting, not by the ratio alone.",
        _counterbalance_is_check,
    ),
)
