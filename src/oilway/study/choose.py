"""Choose: for a duty the kind of valve, its setting, and what goes wrong with the other kinds, computed."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

from oilway.elements.chamber import VOID
from oilway.errors import InputError, OilwayError, Place, Problem, did_you_mean
from oilway.laws.power import hydraulic_power
from oilway.quantity import PSI
from oilway.solve.point import pushed
from oilway.solve.root import bracket_root
from oilway.solve.steady import steady
from oilway.study.margin import TARGET
from oilway.study.sized import Sized, sized
from oilway.study.staging import OVER_LOAD

JUST_ABOVE, WELL_ABOVE = 1.1, 1.5  # times the setting: where an unloading valve is looked at
DRAWN = 1 / 3  # of the flow, drawn from a work port by a load that runs on
CRACKED = 0.01  # share of the flow at which a valve counts as cracked
MOST_PILOT = (
    0.6  # of the load pressure: a counterbalance that asks for more wastes power lowering (common practice)
)
LEAST_BAND = 20 * PSI  # pilot pressure from just open to full flow: below it the load comes down in steps
SAME = 1 * PSI


@dataclass(frozen=True)
class Duty:
    """A job of ``JOBS``: ``pressure`` (Pa) and ``flow`` (m3/s) of it, ``drain`` (Pa) in its return or drain line.

    ``other`` (Pa) is the second pressure of a job that has one, see ``JOBS``; ``steady`` (Pa) how far its pressure
    may wander from no flow to full flow, None where it does not matter.
    """

    job: str
    pressure: float
    flow: float
    drain: float = 0.0
    other: float | None = None
    steady: float | None = None


@dataclass(frozen=True)
class Measure:
    """A computed figure of an option: SI, of a quantity kind."""

    name: str
    value: float
    kind: str


@dataclass(frozen=True)
class Trouble:
    """What goes wrong: words with ``{}`` where the computed ``values`` (SI, kind) go."""

    words: str
    values: tuple[tuple[float, str], ...] = ()


@dataclass
class Option:
    """One kind of valve for the duty, of its size: figures, troubles; ``valve`` is None if it cannot be set."""

    name: str
    choices: dict[str, str]
    valve: Sized | None
    measures: list[Measure] = field(default_factory=list)
    troubles: list[Trouble] = field(default_factory=list)

    @property
    def title(self) -> str:
        """Name and choices."""
        return self.name + "".join(f", {key} {value}" for key, value in self.choices.items())


@dataclass(frozen=True)
class Choice:
    """Options for a duty, the best first: the fewest troubles, then in the order of ``JOBS``."""

    duty: Duty
    options: list[Option]

    @property
    def best(self) -> Option | None:
        """The first option, where nothing goes wrong with it."""
        first = self.options[0]
        return first if first.valve is not None and not first.troubles else None


Judge = Callable[[Option, Sized, Duty], None]


@dataclass(frozen=True)
class Job:
    """A job in words: the kinds looked at with their choices, and what is computed of each.

    ``pressure`` and ``other`` say which pressures the duty gives; ``setting`` is the share of the pressure at
    which a valve is set; ``pilot`` says where a pilot line comes from.
    """

    kinds: tuple[tuple[str, dict[str, str]], ...]
    judge: Judge
    pressure: str
    other: str = ""
    setting: float = 1.0
    pilot: str = "none: it opens by the pressure at its own inlet"


def choose(duty: Duty) -> Choice:
    """The kinds of valve for a duty, each computed at the duty's size.

    Errors: :class:`InputError` for an unknown job, a pressure or flow not above zero, a second pressure missing.
    """
    job = _checked(duty)
    options = []
    for name, choices in job.kinds:
        option = Option(name, choices, None)
        options.append(option)
        try:
            inlet = duty.other if job.judge is _reduces else None
            option.valve = sized(name, choices, job.setting * duty.pressure, duty.flow, inlet=inlet)
            job.judge(option, option.valve, duty)
        except OilwayError as err:
            option.troubles.append(
                Trouble("not solved at this duty: " + str(err).splitlines()[0].replace("{", "("))
            )
    options.sort(key=lambda o: (o.valve is None, len(o.troubles)))
    return Choice(duty, options)


def _checked(duty: Duty) -> Job:
    job, problems = JOBS.get(duty.job), []
    if job is None:
        hint = did_you_mean(duty.job, JOBS) or "jobs: " + ", ".join(JOBS)
        raise InputError(Problem(Place("--job"), f"there is no job '{duty.job}'", hint))
    for option, value in (("--pressure", duty.pressure), ("--flow", duty.flow)):
        if not value > 0:
            problems.append(Problem(Place(option), "a duty has a pressure and a flow above zero"))
    if duty.drain < 0:
        problems.append(Problem(Place("--drain"), "the back-pressure of a drain or return line is not below zero"))
    if duty.steady is not None and not duty.steady > 0:
        problems.append(Problem(Place("--steady"), "how far a pressure may wander is above zero"))
    if job.other and duty.other is None:
        problems.append(Problem(Place("--other"), f"this job wants a second pressure: {job.other}"))
    elif job.judge is _reduces and duty.other is not None and duty.other <= duty.pressure:
        problems.append(
            Problem(Place("--other"), "the main line lies above the branch, or there is nothing to reduce")
        )
    if problems:
        raise InputError(problems)
    return job


# -- measures that several jobs share ----------------------------------------------------------------------
def _steadiness(option: Option, valve: Sized, duty: Duty) -> None:
    """Cracking, override, and whether that is steady enough; how well it is damped on its stand."""
    cracks = valve.full(flow=CRACKED * valve.flow)
    override = valve.pressure - cracks
    option.measures += [Measure("cracks at", cracks, "pressure"), Measure("override", override, "pressure")]
    if duty.steady is not None and override > duty.steady:
        said = "it loses oil from {} on, {} below its full-flow pressure, where {} is asked"
        values = ((cracks, "pressure"), (override, "pressure"), (duty.steady, "pressure"))
        option.troubles.append(Trouble(said, values))
    _damped(option, valve)


def _damped(option: Option, valve: Sized) -> None:
    damping = valve.damping()
    if damping is None:
        return
    option.measures.append(Measure("damping ratio", damping, "number"))
    if damping < TARGET:
        word = "it chatters on its stand" if damping < 0 else "it swings long on its stand"
        said = word + ": damping ratio {}, where {} is wanted; ask oilway explain --margin in its circuit"
        option.troubles.append(Trouble(said, ((damping, "number"), (TARGET, "number"))))


def _drained(option: Option, valve: Sized, duty: Duty, *roles: str) -> None:
    """What the pressure in the return or drain line does to the setting."""
    held = valve.holds(*roles)
    if not held or duty.drain <= 0:
        return
    shift = valve.full({held: duty.drain}) - valve.full()
    option.measures.append(Measure("shift by back-pressure", shift, "pressure"))
    allowed = duty.steady if duty.steady is not None else duty.drain  # 1:1 is what a technician expects
    if abs(shift) > allowed + SAME:
        said = "{} in its return line shift its setting by {}"
        option.troubles.append(Trouble(said, ((duty.drain, "pressure"), (shift, "pressure"))))


def _heats(option: Option, name: str, pressure: float, flow: float) -> float:
    power = float(hydraulic_power(pressure, flow))
    option.measures.append(Measure(name, power, "power"))
    return power


# -- one judge a job ---------------------------------------------------------------------------------------
def _limits(option: Option, valve: Sized, duty: Duty) -> None:
    _steadiness(option, valve, duty)
    _drained(option, valve, duty, "outlet")
    _heats(option, "heat at full flow", valve.pressure, valve.flow)


def _guards(option: Option, valve: Sized, duty: Duty) -> None:
    _limits(option, valve, duty)
    drawn = DRAWN * duty.flow
    stand = valve.stand()
    port = stand.pressure(-drawn)
    if port > VOID - float(stand.th[stand.system.parameters["oil.p_ambient"]]):
        option.measures.append(Measure("port with a third of the flow drawn", port, "pressure"))
    else:
        said = "a load that runs on draws {} from the port, and nothing lets oil in: a void opens"
        option.troubles.append(Trouble(said, ((drawn, "flow"),)))


def _sequences(option: Option, valve: Sized, duty: Duty) -> None:
    assert duty.other is not None
    if duty.other >= valve.pressure:
        said = "the second load ({}) stands above the setting: the first line follows it up"
        option.troubles.append(Trouble(said, ((duty.other, "pressure"),)))
    second = "second motion.load pressure"
    behind = second if second in valve.bench.system.parameters else valve.holds("outlet")
    first = valve.full({behind: duty.other})
    option.measures.append(Measure("first line with the second load on", first, "pressure"))
    shift = first - valve.pressure
    if duty.other < valve.pressure and shift > (duty.steady or 0.05 * valve.pressure):
        said = "drained into its outlet: with the second load at {} it opens at {}, not at {}"
        values = ((duty.other, "pressure"), (first, "pressure"), (valve.pressure, "pressure"))
        option.troubles.append(Trouble(said, values))
    _damped(option, valve)
    _drained(option, valve, duty, "drain")


def _reduces(option: Option, valve: Sized, duty: Duty) -> None:
    assert duty.other is not None
    if "reducing" not in option.name:
        heat = _heats(option, "heat", valve.pressure, duty.flow)
        said = "it holds the whole line down to {}: the main line never makes {}, and all {} go over it as {}"
        values = ((valve.pressure, "pressure"), (duty.other, "pressure"), (duty.flow, "flow"), (heat, "power"))
        option.troubles.append(Trouble(said, values))
        return
    held, full = valve.full(flow=0.0), valve.full(flow=duty.flow)
    option.measures += [Measure("held at no flow", held, "pressure"), Measure("droop", held - full, "pressure")]
    if duty.steady is not None and held - full > duty.steady:
        said = "it droops by {} from no flow to {}, where {} is asked"
        drooped = ((held - full, "pressure"), (duty.flow, "flow"), (duty.steady, "pressure"))
        option.troubles.append(Trouble(said, drooped))
    _heats(option, "heat", duty.other - full, duty.flow)
    _damped(option, valve)
    _drained(option, valve, duty, "drain")


def _unloads(option: Option, valve: Sized, duty: Duty) -> None:
    known = valve.machine.system.parameters
    rest = next((name for name in ("solenoid.position",) if name in known), "")
    line = next((name for name in ("system line.pressure", "accumulator.pressure") if name in known), "")
    if not (rest or line):
        heat = _heats(option, "heat while idle", valve.pressure, duty.flow)
        said = "it never lets its pump idle: all {} go over it at {}, {} of heat"
        values = ((duty.flow, "flow"), (valve.pressure, "pressure"), (heat, "power"))
        option.troubles.append(Trouble(said, values))
        return
    pump, inlet = {valve.machine.set_by[1]: duty.flow}, valve.machine.mounted[0].at("inlet")
    first, last = ({line: share * valve.pressure} if line else {rest: 0.0} for share in (JUST_ABOVE, WELL_ABOVE))
    early, idle = (valve.read(inlet, {**pump, **point}) for point in (first, last))
    option.measures.append(Measure("pump idles at", idle, "pressure"))
    _heats(option, "heat while idle", idle, duty.flow)
    if early > 0.5 * valve.pressure:
        said = "with its system at {} the pump still makes {}: it unloads little by little, set it lower"
        still = ((JUST_ABOVE * valve.pressure, "pressure"), (early, "pressure"))
        option.troubles.append(Trouble(said, still))
    _drained(option, valve, duty, "outlet")


def _lowers(option: Option, valve: Sized, duty: Duty) -> None:
    if option.name != "counterbalance":
        heat = _heats(option, "heat while lowering", valve.pressure, duty.flow)
        said = "to lower, the pump pushes the load down through it: {} in the load line all the way, {} of heat"
        option.troubles.append(Trouble(said, ((valve.pressure, "pressure"), (heat, "power"))))
        return
    just, full = (_pilot(valve, duty, flow) for flow in (CRACKED * duty.flow, duty.flow))
    _drained(option, valve, duty, "outlet")
    if math.isnan(full):
        said = "no pilot pressure up to the load pressure lowers {} of it"
        option.troubles.append(Trouble(said, ((duty.flow, "flow"),)))
        return
    option.measures += [
        Measure("pilot to begin", just, "pressure"),
        Measure("pilot at full flow", full, "pressure"),
    ]
    # Less where the rod end, which takes the pilot oil, is the smaller one.
    _heats(option, "heat while lowering, at most", duty.pressure - duty.drain + full, duty.flow)
    if full > MOST_PILOT * duty.pressure:
        said = "it asks for {} of pilot pressure, and the pump makes that while the load comes down by itself"
        option.troubles.append(Trouble(said, ((full, "pressure"),)))
    if full - just < LEAST_BAND:
        said = "{} of pilot pressure lie between shut and {}: nervous, the load comes down in steps"
        option.troubles.append(Trouble(said, ((full - just, "pressure"), (duty.flow, "flow"))))


def _pilot(valve: Sized, duty: Duty, flow: float) -> float:
    """Pilot pressure (Pa) at which ``flow`` (m3/s) leaves the load; nan where as much as the load's does not."""
    machine, seat = valve.machine, valve.machine.elements["seat"]
    system, mounted = machine.system, machine.mounted[0]
    load, back, pilot = (f"{mounted.at(role)}.pressure" for role in ("inlet", "outlet", "pilot"))
    th = pushed(system, machine.theta({load: duty.pressure, back: duty.drain}), "open")
    z = [system.start]

    def over(pressure: float) -> float:
        th[system.parameters[pilot]] = pressure
        z[0] = steady(system, th, z[0])
        values = system.ledger(z[0], th)[0]
        passed = sum(
            -float(v)
            for term, v in zip(system.terms, values, strict=True)
            if term.sort == "flow" and term.part == seat.name and term.place == mounted.at("inlet")
        )
        return passed / float(th[system.parameters["oil.rho0"]]) - flow

    ends = over(0.0), over(duty.pressure)
    if not ends[0] < 0 < ends[1]:
        return math.nan
    return bracket_root(over, 0.0, duty.pressure, 1e-9 * flow, ends)


def _brakes(option: Option, valve: Sized, duty: Duty) -> None:
    assert duty.other is not None
    point = {"inlet line.pressure": duty.other, valve.machine.set_by[1]: duty.flow}
    known = valve.machine.system.parameters
    if "inlet line.pressure" in known:
        driven = valve.read(valve.machine.mounted[0].at("inlet"), point)
    else:
        driven = valve.full(flow=duty.flow)
    option.measures.append(Measure("against the motor while it is driven", driven, "pressure"))
    heat = _heats(option, "heat while it is driven", driven, duty.flow)
    if driven > 0.1 * duty.pressure:
        said = "it brakes all the time: {} against the motor even while the pump drives it, {} of heat"
        option.troubles.append(Trouble(said, ((driven, "pressure"), (heat, "power"))))
    _damped(option, valve)
    _drained(option, valve, duty, "outlet")


REMOTE = "from the line that is to open it"
JOBS: dict[str, Job] = {
    "limit a pump line": Job(
        (("direct relief", {}), ("pilot relief", {"drain": "internal"}), ("pilot relief", {"drain": "external"})),
        _limits,
        "full-flow pressure of the line",
    ),
    "protect a work port": Job(
        (("port relief", {}), ("direct relief", {}), ("pilot relief", {"drain": "internal"})),
        _guards,
        "full-flow pressure at the port",
    ),
    "hold and lower a load": Job(
        (
            *(("counterbalance", {"ratio": f"{r} to 1", "spring chamber": s})
              for s in ("unvented", "vented") for r in ("3", "1.5", "4.5", "8")),
            ("direct relief", {}),
        ),
        _lowers,
        "highest load pressure",
        setting=OVER_LOAD,
        pilot="from the line on the other side of the cylinder, so that it lowers only under pump pressure",
    ),
    "second motion after first": Job(
        (("sequence", {}), ("direct relief", {}), ("pilot relief", {"drain": "internal"})),
        _sequences,
        "pressure in the first line at which the second motion begins",
        other="pressure of the second load",
        pilot="internal, from its inlet; remote (port X) where another line is to start the second motion",
    ),
    "lower pressure in a branch": Job(
        (
            ("reducing", {"outlet": "non-relieving"}), ("reducing", {"outlet": "relieving"}),
            ("pilot reducing", {}), ("direct relief", {}),
        ),
        _reduces,
        "pressure of the branch",
        other="pressure of the main line",
        pilot="none: it senses its outlet",
    ),
    "unload a pump": Job(
        (("unloading", {}), ("accumulator unloading", {}), ("solenoid vented relief", {}), ("pilot relief", {})),
        _unloads,
        "pressure at which its pump idles",
        pilot="high-low: from the system line, beyond the check; accumulator: its own port A; solenoid: a switch",
    ),
    "brake a motor": Job(
        (("brake", {"drain": "external"}), ("brake", {"drain": "internal"}), ("direct relief", {})),
        _brakes,
        "highest pressure against the motor while it is braked",
        other="pressure at the motor's inlet while it is driven",
        pilot="from the motor's inlet line",
    ),
}  # fmt: skip
