"""The pressure controls of a machine: what each acts as, and the pressures at which it does, as it is set now."""

from __future__ import annotations

from dataclasses import dataclass

from oilway.errors import OilwayError
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.mount import Mounted
from oilway.model.system import Status, Vector
from oilway.solve.point import pushed
from oilway.solve.result import State
from oilway.solve.root import bracket_root
from oilway.solve.steady import steady
from oilway.study.setting import put_on_stand

COMPENSATED = ("pressure-compensated pump", "load-sensing pump")
COMPENSATOR = "compensator"
LEAST = 1e-6  # share of the full flow at which a tight valve has only just opened
EXACT = 1e-9  # m of lift

# Port roles at which a valve senses the pressure of its setting, the first one that it has connected.
SENSES = {"unloading": ("pilot", "work port"), "sequence": ("pilot", "inlet"), "reducing": ("outlet", "work port")}


@dataclass(frozen=True)
class Control:
    """One pressure control, as it is set now.

    ``acts_as`` a word of ``valve.ACTS``, ``compensator``, or empty where its file does not say; ``chamber`` where
    it senses; ``opens`` and ``full`` Pa gauge there on its own stand (no back-pressure): where it first lets oil
    pass, and at ``flow`` m3/s over it.  A compensator begins to destroke at ``opens`` and has done so at ``full``.
    A reducing valve holds ``full`` in its outlet while ``flow`` is drawn; it does not open.
    """

    name: str
    acts_as: str
    chamber: str
    opens: float | None
    full: float
    flow: float | None
    mounted: Mounted | None = None


def controls(machine: Machine) -> tuple[list[Control], list[str]]:
    """Every pressure control of a machine, in the order of its file, and notes on those that cannot be told."""
    found, notes, adjusters = [], [], set()
    for mounted in machine.mounted:
        # An adjuster shared with a valve inside counts once, for the outer one, which stands first.
        if not mounted.adjuster or mounted.adjuster in adjusters:
            continue
        adjusters.add(mounted.adjuster)
        try:
            found.append(_of_valve(machine, mounted))
        except OilwayError as err:
            notes.append(f"{mounted.name}: what it opens at is not told: {err}")
    th = machine.theta()
    for name, part in machine.parts.items():
        if part.kind in COMPENSATED:
            setting, band = (
                float(th[machine.system.parameters[f"{name}.{k}"]]) for k in ("compensator setting", "band")
            )
            found.append(Control(name, COMPENSATOR, part.nodes["outlet"], setting - band, setting, None))
    notes += [
        f"{c.name}: its file does not say what it acts as, so it is compared with nothing; add 'acts as: ...'"
        for c in found
        if not c.acts_as
    ]
    return found, notes


def as_set(machine: Machine) -> list[Control]:
    """The valves as their settings say, with nothing solved: what they open at is not told."""
    found = []
    for mounted in machine.mounted:
        if (setting := mounted.setting) is not None:
            role = role_of(machine, mounted)
            senses = _senses(mounted, role)
            found.append(Control(mounted.name, role, senses, None, setting.pressure, setting.flow, mounted))
    return found


def _senses(mounted: Mounted, role: str) -> str:
    """The chamber whose pressure the setting of a valve speaks of."""
    return mounted.at(*SENSES.get(role, ("inlet",)))


def _of_valve(machine: Machine, mounted: Mounted) -> Control:
    bench = put_on_stand(machine, mounted)
    system = bench.system
    th = pushed(system, bench.theta(point_on_stand(machine, mounted, bench)), "open")
    chamber, flow = bench.set_by
    read, column = system.index[f"pressure in {chamber}"], system.parameters[flow]
    most = mounted.setting.flow if mounted.setting is not None else float(th[column])
    role = role_of(machine, mounted)
    asked = read, column, most, role == "reducing"

    def solve() -> tuple[float | None, float]:
        return _opening(bench, th.copy(), (read, column), most, opens=role != "reducing")

    pool = machine.pool
    opens, full = solve() if pool is None else pool.solved(system, th, asked, solve)
    return Control(mounted.name, role, _senses(mounted, role), opens, full, most, mounted)


def _opening(
    bench: Machine, th: Vector, places: tuple[int, int], most: float, *, opens: bool
) -> tuple[float | None, float]:
    """Pressures (Pa) at which a valve on its stand first lets oil pass, where that is asked, and at ``most``.

    ``places`` are the pressure among the unknowns and the flow over the valve among th (m,).
    """
    system, (read, column) = bench.system, places
    state: list[Vector | None] = [None]

    def lifted(q: float) -> float:
        """How far the first of its ways stands open (m; below zero: shut) with this flow over the valve."""
        th[column] = q
        state[0] = z = steady(system, th, state[0])
        return _openness(bench, "", system.ledger(z, th)[1])

    def pressure() -> float:
        return float("nan") if state[0] is None else float(state[0][read])

    opened = None
    if opens:
        ends = lifted(LEAST * most), lifted(most)
        if ends[0] < 0 < ends[1]:
            bracket_root(lifted, LEAST * most, most, EXACT, ends)
        else:
            state[0] = None
            lifted(LEAST * most)
        opened = pressure()
    lifted(most)
    return opened, pressure()


def point_on_stand(machine: Machine, mounted: Mounted, bench: Machine) -> dict[str, float]:
    """What the operating point of a machine says of one valve (turns, say) and its oil, for the valve's stand."""
    own = {n.removeprefix(mounted.prefix): v for n, v in machine.point.items() if n.startswith(mounted.prefix)}
    point = {n: v for n, v in own.items() if n in bench.system.parameters}
    return {**point, OIL_TEMPERATURE: machine.point.get(OIL_TEMPERATURE, machine.temperature)}


def role_of(machine: Machine, mounted: Mounted) -> str:
    """What a valve acts as; the reliefs inside a crossover relief are that."""
    for outer in machine.mounted:
        inside = mounted is not outer and mounted.prefix.startswith(outer.prefix)
        if inside and outer.valve.acts_as == "crossover relief":
            return outer.valve.acts_as
    return mounted.valve.acts_as


def acts(control: Control, state: State) -> bool:
    """Whether a control does anything at a solved state: way open, pump destroking, spool off its stop."""
    if control.mounted is None:
        # By pressure, not by stroke: a load-sensing pump is destroked by its margin too.
        nodes = state.machine.parts[control.name].nodes
        felt = state.pressures[nodes["outlet"]] - state.pressures[nodes["case"]]
        return felt > (control.opens or 0.0) + 1.0
    prefix = control.mounted.prefix
    statuses = [s for s in state.statuses.values() if s.part.startswith(prefix)]
    if control.acts_as == "reducing":
        return any(s.word != "at its stop" for s in statuses if _carries_edge(state.machine, s.part))
    return _openness(state.machine, prefix, statuses) > 0


def _carries_edge(machine: Machine, part: str) -> bool:
    return any(
        p.kind == "spool edge" and p.values["on"] == part and p.values["opens"] == "as the part lifts"
        for p in machine.parts.values()
    )


def _openness(machine: Machine, prefix: str, statuses: list[Status]) -> float:
    """Lift beyond overlap of the way of a valve that stands open furthest, m."""
    free = {s.part: s.free for s in statuses}
    beyond = [-1.0]
    for name, part in machine.parts.items():
        lift = free.get(str(part.values.get("on")))
        if lift is None or not name.startswith(prefix):
            continue
        if part.kind == "poppet seat":
            beyond.append(lift)
        elif part.kind == "spool edge" and part.values["opens"] == "as the part lifts":
            beyond.append(lift - float(part.values["overlap"] or 0.0))
    return max(beyond)
