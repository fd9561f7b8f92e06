"""A setting plan: in which order to set the pressure controls of a machine, to which readings, and why."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from oilway.elements.fixed_pump import FixedPump
from oilway.errors import InputError, NoSolution, Place, Problem
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.study.controls import COMPENSATOR, Control, controls
from oilway.study.plan_gauge import GaugeAt, gauge_at
from oilway.study.plan_ratings import Rating, is_alone, lowest_rating, refuse_above, refuse_unrated
from oilway.study.plan_wrong import FULL_FLOW, IDLE_SHARE, Below, OnStand, Usual, Wrong, port_below, wrongs
from oilway.study.staging import said
from oilway.study.stall import Stall, beside, flow_over, loaded, masks, stalls

# Common practice, in this order: what is made on the bench before it goes on; the main relief, which is the
# ceiling for all that follows; what stands above it; the compensator below it; what acts on the way up.
BENCH = ("counterbalance", "brake")
ORDER = (
    *BENCH, "relief", "port relief", "crossover relief", COMPENSATOR, "unloading", "sequence", "reducing", "",
)  # fmt: skip
PASSED_BY = ("unloading", "sequence")  # act on the way up: held at a stall, their setting no longer shows
CLEAR = 1.1  # what is in the way is made to open at this times the setting, or set to the lowest rating
LEAST_CLEAR = 1.03  # and no closer than this
TEST_TEMPERATURE = (45.0, 55.0)  # degC in which valves are tested (common practice)


@dataclass(frozen=True)
class Adjuster:
    """The adjuster of a valve near its setting: ``per_turn`` Pa a turn in, below zero where that lowers it."""

    turns: float
    most: float
    per_turn: float
    pitch: float


@dataclass(frozen=True)
class Raised:
    """A control that is in the way, raised for the time being ``to`` Pa.

    ``turns`` its adjuster goes in for it, from where it stands to ``at``; ``None`` for a compensator, whose file
    says no turns.
    """

    control: Control
    to: float
    at: float | None = None
    turns: float | None = None


@dataclass(frozen=True)
class Reading:
    """What the gauge shows in the machine: SI.

    ``flow`` over the valve, ``back_pressure`` behind it, ``cold`` the same with cold oil (None: not solved);
    ``beside`` names what else is open then and takes part of the oil.
    """

    stall: Stall
    pressure: float
    flow: float
    back_pressure: float | None
    cold: float | None
    beside: tuple[str, ...] = ()


@dataclass(frozen=True)
class Step:
    """One control: where and how it is set, what is expected, and what a mistake would look like.

    ``control`` has what is read on the stand; ``reading`` is what is in the machine, ``None`` where it is set on
    the bench or cannot be reached; ``masked`` names what acts first, ``raised`` what is raised for it.
    """

    control: Control
    gauge: GaugeAt
    rating: Rating | None
    adjuster: Adjuster | None
    reading: Reading | None
    masked: tuple[str, ...]
    raised: tuple[Raised, ...]
    wrong: list[Wrong]
    below: list[Below]

    @property
    def on_bench(self) -> bool:
        """Whether it is set on the bench."""
        return self.control.acts_as in BENCH or (self.reading is None and self.control.mounted is not None)

    @property
    def shows(self) -> bool:
        """Whether the gauge shows its setting while a function is held."""
        return self.reading is not None and self.control.acts_as not in PASSED_BY


@dataclass(frozen=True)
class Plan:
    """Steps in the order of adjustment; oil temperature (degC) and engine speeds (rev/s by pump) to hold.

    ``findings`` are limits that an expected reading breaks, ``notes`` what could not be told.
    """

    machine: Machine
    temperature: float
    speeds: dict[str, float]
    usual: Usual
    steps: list[Step]
    findings: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def setting_plan(machine: Machine, usual: Usual | None = None, *, rated: float | None = None) -> Plan:
    """The setting plan of a machine, or of one valve on its stand.

    ``usual`` are the usual wrong conditions whose readings are told; ``rated`` (Pa) is the rated pressure of a
    valve alone on its stand.
    Errors: :class:`InputError` where a rating is missing among the parts that see a setting, where a setting is
    above the lowest of them, or where nothing says which way an adjuster turns; :class:`NoSolution`.
    """
    usual = usual or Usual()
    found, notes = controls(machine)
    if not found:
        what = "nothing to set: it has no pressure control with an adjuster"
        raise InputError(Problem(Place(str(machine.path)), what, *notes[:1]))
    if rated is not None and not any(map(is_alone, found)):
        what = "a machine has its ratings in its file, part by part"
        raise InputError(Problem(Place("--rated"), what, "add 'rated pressure: ...' to the part"))
    refuse_unrated(machine, found, rated)
    refuse_above(machine, found, rated)
    _refuse_directionless(machine, found)
    held, failed = ([], []) if any(map(is_alone, found)) else stalls(machine)
    if not held and failed:
        raise NoSolution(f"no function of {machine.title} could be held: {failed[0]}")
    warm = machine.point.get(OIL_TEMPERATURE, machine.temperature)
    plan = Plan(machine, warm, _speeds(machine), usual, [], notes=[*notes, *failed])
    for control in sorted(found, key=lambda c: ORDER.index(c.acts_as) if c.acts_as in ORDER else len(ORDER)):
        plan.steps.append(_step(plan, found, control, held, lowest_rating(machine, control, rated)))
    for step in plan.steps:
        _judge(plan, step)
    if usual.idle == IDLE_SHARE and any(w.key == "idle" for step in plan.steps for w in step.wrong):
        plan.notes.append("idle is taken as a third of rated speed (common practice): no idle speed is given")
    return plan


def _speeds(machine: Machine) -> dict[str, float]:
    th, places = machine.theta(), machine.system.parameters
    pumps = [e.name for e in machine.elements.values() if isinstance(e, FixedPump)]
    return {name: float(th[places[f"{name}.engine speed"]]) for name in pumps}


def _refuse_directionless(machine: Machine, found: Sequence[Control]) -> None:
    """Which way an adjuster turns is required data: on some cartridges turning in lowers the setting."""
    problems = []
    for control in found:
        if control.mounted is not None and not (spring := machine.parts[control.mounted.adjuster]).values["pitch"]:
            what = f"{control.name}: nothing says which way its adjuster ({spring.name}) turns"
            hint = "add 'pitch: 1 mm/turn' to that spring; below zero where turning in lowers the setting"
            problems.append(Problem(spring.where, what, hint))
    if problems:
        raise InputError(problems)


# -- one step ----------------------------------------------------------------------------------------------
def _step(
    plan: Plan, found: Sequence[Control], control: Control, held: list[Stall], rating: Rating | None
) -> Step:
    machine = plan.machine
    masked: tuple[str, ...] = ()
    raised: tuple[Raised, ...] = ()
    reading = None
    if control.acts_as not in BENCH and held:
        stall = loaded(held, found, control)
        if stall is None:
            stall, first, raised = _unmasked(machine, found, control, held)
            masked = tuple(c.name for c in first)
        if stall is not None:
            reading = _reading(plan, found, control, stall, raised)
    valve = OnStand(machine, control) if control.mounted is not None else None
    wrong: list[Wrong] = []
    if valve is not None:
        wrong, failed = wrongs(valve, plan.usual)
        plan.notes.extend(failed)
    seen = [s.state.pressures[control.chamber] for s in held] if control.acts_as not in BENCH else []
    highest = max([control.full, *(r.to for r in raised), *seen])
    return Step(
        control,
        gauge_at(machine, control.chamber, control.full, highest),
        rating,
        None if valve is None else _adjuster(machine, valve),
        reading,
        masked,
        raised,
        wrong,
        _below(machine, found, control),
    )


def _adjuster(machine: Machine, valve: OnStand) -> Adjuster:
    pitch = float(machine.parts[valve.mounted.adjuster].values["pitch"] or 0.0)
    return Adjuster(valve.turns, valve.most, valve.per_turn(), pitch)


def _unmasked(
    machine: Machine, found: Sequence[Control], control: Control, held: list[Stall]
) -> tuple[Stall | None, list[Control], tuple[Raised, ...]]:
    """With what acts first raised out of the way, as far as ratings allow: stall, what was first, raised."""
    first: list[Control] = []
    raised: list[Raised] = []
    while new := [c for c in masks(held, found, control) if c not in first]:
        first += new
        up = [_raise(machine, c, control) for c in new]
        if None in up:
            return None, first, ()
        raised += [r for r in up if r is not None]
        held = stalls(machine, _as_raised(raised))[0]
        now = [_now(c, raised) for c in found]
        if (stall := loaded(held, now, control)) is not None:
            return stall, first, tuple(raised)
    return None, first, ()


def _now(control: Control, raised: Sequence[Raised]) -> Control:
    """A control with the pressures it has while it is raised."""
    to = next((r.to for r in raised if r.control.name == control.name), None)
    if to is None:
        return control
    opens = None if control.opens is None else control.opens + to - control.full
    return replace(control, opens=opens, full=to)


def _raise(machine: Machine, other: Control, control: Control) -> Raised | None:
    """Another control raised so that it opens above the setting of this one.

    None where a rating or its adjuster ends too early.
    """
    rating = lowest_rating(machine, other)
    override = other.full / other.opens if other.opens else 1.0
    to = min(CLEAR * override * control.full, rating.pressure if rating is not None else math.inf)
    if to < LEAST_CLEAR * override * control.full:
        return None
    if other.mounted is None:
        return Raised(other, to)
    valve = OnStand(machine, other)
    at = valve.turns_for(to)
    return None if math.isnan(at) else Raised(other, to, at, at - valve.turns)


def _as_raised(raised: Sequence[Raised]) -> dict[str, float]:
    """What is raised, as values of an operating point."""
    point = {}
    for item in raised:
        if item.control.mounted is None or item.at is None:
            point[f"{item.control.name}.compensator setting"] = item.to
        else:
            point[f"{item.control.mounted.adjuster}.turns"] = item.at
    return point


def _reading(
    plan: Plan, found: Sequence[Control], control: Control, stall: Stall, raised: Sequence[Raised]
) -> Reading:
    cold = {OIL_TEMPERATURE: plan.usual.cold}
    again = [s for s in stalls(plan.machine, {**_as_raised(raised), **cold})[0] if s.held == stall.held]
    in_cold = next((s.state for s in again if s.place == stall.place and s.lever == stall.lever), None)
    behind = control.mounted.at("outlet") if control.mounted is not None else ""
    return Reading(
        stall,
        stall.state.pressures[control.chamber],
        flow_over(stall.state, control),
        stall.state.pressures[behind] if behind and control.acts_as in FULL_FLOW else None,
        None if in_cold is None else in_cold.pressures[control.chamber],
        tuple(c.name for c in beside(stall, [_now(c, raised) for c in found], control)),
    )


def _below(machine: Machine, found: Sequence[Control], control: Control) -> list[Below]:
    if control.acts_as != "relief":
        return []
    ports = [c for c in found if c.acts_as in ("port relief", "crossover relief")]
    return [below for port in ports if (below := port_below(machine, control, port)) is not None]


def _judge(plan: Plan, step: Step) -> None:
    """What an expected reading says of the lowest rating: back-pressure counts too."""
    if step.rating is None or step.reading is None or not step.shows:
        return
    if step.reading.pressure > step.rating.pressure:
        plan.findings.append(
            f"{step.control.name}: reads {said(step.reading.pressure)} in the machine where its setting is "
            f"{said(step.control.full)}, more than the rated pressure of {step.rating.part} "
            f"({said(step.rating.pressure)}): set it lower by as much"
        )
