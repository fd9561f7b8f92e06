"""What learners believe that is not so, each a computation: a change of the model, the point or the answer rule.

A wrong answer is never typed in.  It is computed from the same machine with the misconception applied, so that
it follows when the valve or the numbers change.  The list is common practice of the trade's teachers.
"""

from __future__ import annotations

from collections.abc import Mapping

from oilway import quantity
from oilway.elements.poppet_seat import PoppetSeat
from oilway.errors import OilwayError
from oilway.model.machine import Machine
from oilway.solve.result import State
from oilway.study.belief import PUMPS, Case, Misconception, Rule
from oilway.study.controls import acts
from oilway.study.misconceptions_more import MORE
from oilway.study.staging import reach
from oilway.study.worksheet import Question
from oilway.study.worksheet_solve import FINEST, Item, Sitting, Wrong
from oilway.study.worksheet_words import Value

MOST_LOAD = 1e9  # N, N m: nothing moves


def wrong_numbers(
    sitting: Sitting, question: Question, words: str, value: Value, tolerance: float,
    earlier: Mapping[str, Value] | None = None,
) -> list[Wrong]:  # fmt: skip
    """Every misconception that leads to another number here, farther off than the tolerance (SI).

    ``earlier`` are a student's own earlier answers, when they are to be carried forward.
    """
    state = sitting.state(question, earlier=earlier)
    case = Case(sitting, question, words, value, state)
    found = []
    for belief in MISCONCEPTIONS:
        try:
            size = belief.rule(case)
        except OilwayError:  # with the belief applied there is no such state
            continue
        if size is not None and abs(size - value.size) > tolerance:
            found.append(Wrong(belief.name, belief.reveals, size))
    return found


def wrong_choices(sitting: Sitting, question: Question, item: Item) -> list[Wrong]:
    """Misconceptions that lead to another choice: of two numbers compared, or of where a part stands."""
    words = item.words.split(" | ")
    if "compare" in question.lists:
        values = [sitting.answer(question, w) for w in words]
        sizes = [
            {b.misconception: b for b in wrong_numbers(sitting, question, w, v, 0.0)}
            for w, v in zip(words, values, strict=True)
        ]
        found = []
        for name in dict.fromkeys([*sizes[0], *sizes[1]]):
            a, b = (float(s[name].value) if name in s else v.size for s, v in zip(sizes, values, strict=True))
            near = abs(a - b) < FINEST.get(values[0].kind, 0.0)
            chosen = item.choices[1] if near else item.choices[0] if a > b else item.choices[2]
            if chosen != item.key:
                found.append(Wrong(name, (sizes[0].get(name) or sizes[1][name]).reveals, chosen))
        return found
    if words[0].startswith("state of "):
        return _wrong_status(sitting, question, item, words[0].removeprefix("state of "))
    return []


def _wrong_status(sitting: Sitting, question: Question, item: Item, part: str) -> list[Wrong]:
    state = sitting.state(question)
    case = Case(sitting, question, "", Value(0.0, "number"), state)
    control = case.main()
    if item.key != "open" or control is None or control.mounted is None:
        return []
    inlet = control.mounted.at("inlet")
    found = [Wrong("a relief opens fully at its setting", _OPENS_FULLY, "at its stop")]
    if state.pressures.get(inlet, 0.0) < control.full:
        found.append(Wrong("cracking = setting", _CRACKING, "seated"))
    return found


# -- the beliefs -------------------------------------------------------------------------------------------
def _pump_makes_pressure(case: Case) -> float | None:
    """A gauge on the pump line reads the relief's setting whatever the load is."""
    relief = case.main()
    if not case.is_pressure or relief is None or acts(relief, case.state):
        return None
    return relief.full if case.value.chamber in reach(case.machine, relief.chamber) else None


def _cracking_is_setting(case: Case) -> float | None:
    """A relief lets nothing pass below its setting: no oil over it, and so all of it to the load."""
    relief, flow = case.main(), case.value.kind == "flow"
    if relief is None or relief.mounted is None:
        return None
    if flow and case.passes(relief.mounted):
        return 0.0 if case.state.pressures[relief.mounted.at("inlet")] < relief.full else None
    if case.is_pressure and case.value.chamber == relief.chamber and relief.opens is not None:
        opens = relief.opens + case.value.size - (_no_back_pressure(case) or case.value.size)
        return opens if case.value.size > opens else None
    return None


def _no_override(case: Case) -> float | None:
    """A relief holds its setting at any flow: what is over its cracking pressure reads the setting."""
    relief = case.main()
    if relief is None or not case.is_pressure or case.value.chamber != relief.chamber or relief.opens is None:
        return None
    return relief.full if relief.opens < case.value.size < relief.full else None


def _opens_fully(case: Case) -> float | None:
    """Once a relief cracks it passes all of the pump."""
    relief = case.main()
    if relief is None or relief.mounted is None or case.value.kind != "flow" or not case.passes(relief.mounted):
        return None
    flow = (
        case.sitting.answer(case.question, f"flow through {relief.name}").size
        if relief.mounted.prefix
        else case.value.size
    )
    return case.pump_flow() if flow > 0 else None


def _orifice_always_drops(case: Case) -> float | None:
    """Behind an orifice stands less than before it, by the drop it makes at full flow, though nothing flows."""
    relief = case.main()
    if relief is None or relief.mounted is None or not case.is_pressure:
        return None
    prefix, inlet = relief.mounted.prefix, relief.mounted.at("inlet")
    back = [p for p in case.machine.parts.values() if p.kind == "orifice" and p.name.startswith(prefix)
            and inlet in p.nodes.values() and case.value.chamber in p.nodes.values()]  # fmt: skip
    if not back or case.value.chamber == inlet:
        return None
    full = _blocked(case)
    drop = full.pressures[inlet] - full.pressures[case.value.chamber]
    return case.state.pressures[inlet] - drop


def _blocked(case: Case) -> State:
    """The machine with a load that nothing lifts: all oil over the relief."""
    loads: dict[str, float] = {}
    for word, axis in case.machine.axes.items():
        if word in ("load pressure", "load force", "load torque"):
            loads |= dict.fromkeys(axis.targets, 10_000 * quantity.PSI if axis.kind == "pressure" else MOST_LOAD)
            break
    return case.sitting.state(case.question, more=loads)


def _pilot_carries_all(case: Case) -> float | None:
    """The little pilot passes the whole flow, and the main part nothing."""
    relief = case.main()
    if relief is None or relief.mounted is None or case.value.kind != "flow":
        return None
    seats = [
        e.name for e in case.machine.elements.values()
        if isinstance(e, PoppetSeat) and e.name.startswith(relief.mounted.prefix)
    ]  # fmt: skip
    if len(seats) < 2 or case.value.part not in seats:
        return None
    through = {s: abs(case.state.at_no_pressure(case.state.flow_through(s))) for s in seats}
    pilot = min(through, key=lambda s: through[s])
    return sum(through.values()) if case.value.part == pilot else 0.0


def _gauge_at_pump_is_load(case: Case) -> float | None:
    """The gauge at the pump shows what the load makes, and that at the load what the pump makes."""
    if not case.is_pressure:
        return None
    pump = next((p.nodes["outlet"] for p in case.machine.parts.values() if p.kind in PUMPS), "")
    load = max((case.state.pressures[c] for c in case.ends()), default=None)
    if load is None or pump == "":
        return None
    return load if case.value.chamber == pump else None


def _no_back_pressure(case: Case) -> float | None:
    """What stands in the tank line does not matter: the same machine with none."""
    targets = _taking_back(case.machine)
    if not any(case.state.parameter(t) > FINEST["pressure"] for t in targets):
        return None
    if case.is_pressure and case.machine.parts[case.value.chamber].kind == "tank":
        return None
    return case.again(**dict.fromkeys(targets, 0.0)).size


def _taking_back(machine: Machine) -> list[str]:
    """The pressures of tanks that take oil back: all but those that hold an inlet or a pilot line of a stand."""
    ports = [(m, p) for m in machine.mounted for p in m.valve.ports.values()]
    fed = {m.outside[p.chamber] for m, p in ports if p.role in ("inlet", "pilot")}
    axis = machine.axes.get("tank pressure")
    return [t for t in (axis.targets if axis else ()) if t.rpartition(".")[0] not in fed]


def _higher_setting_is_faster(case: Case) -> float | None:
    """Speed goes with the setting: the speed from before, times the new setting over the old one."""
    relief = case.main()
    if case.value.kind not in ("velocity", "rotation") or not case.question.map("was") or relief is None:
        return None
    old = next((c for c in case.sitting.models.controls(case.sitting.machine(case.question, "was"))
                if c.name == relief.name), None)  # fmt: skip
    if old is None or old.full <= 0:
        return None
    return case.sitting.answer(case.question, key="was").size * relief.full / old.full


def _main_holds_parked(case: Case) -> float | None:
    """With the lever in neutral the main relief is what holds the load, so its setting stands under it."""
    relief = case.main()
    if relief is None or not case.at_neutral():
        return None
    return relief.full if case.is_pressure and case.value.chamber in case.ends() else None


def _holds_its_inlet(role: str) -> Rule:
    """A valve of this role is a relief in the line: whatever else there is, its inlet stands at its setting."""

    def rule(case: Case) -> float | None:
        for control in case.sitting.models.controls(case.machine):
            own = control.mounted.at("inlet") if control.mounted is not None else ""
            if control.acts_as == role and case.is_pressure and case.value.chamber == own:
                return control.full
        return None

    return rule


def _reducing_makes_its_setting(case: Case) -> float | None:
    """The outlet of a reducing valve stands at the setting, whatever comes in."""
    for control in case.sitting.models.controls(case.machine):
        if control.acts_as == "reducing" and case.is_pressure and case.value.chamber == control.chamber:
            return control.full if case.value.size < control.full else None
    return None


def _rod_takes_no_room(case: Case) -> float | None:
    """Both ends of a cylinder have the area of the bore."""
    rods = [f"{n}.rod diameter" for n, p in case.machine.parts.items() if p.kind == "cylinder"]
    known = [r for r in rods if r in case.machine.system.parameters]
    if not known or case.value.kind not in ("velocity", "pressure", "force", "flow"):
        return None
    return case.again(**dict.fromkeys(known, 0.0)).size


_CRACKING = "Takes the pressure at which it first opens for the pressure it is set to at full flow."
_OPENS_FULLY = "Thinks of a relief as a switch: in truth it opens as far as the flow over it needs."
_LOAD = "The load makes the pressure and the pump only flow; the relief's setting is no more than the limit."

MISCONCEPTIONS = (
    Misconception("pumps make pressure", _LOAD, _pump_makes_pressure),
    Misconception("cracking = setting", _CRACKING, _cracking_is_setting),
    Misconception(
        "no override",
        "A relief's pressure climbs with the flow over it; the setting is said at one flow.",
        _no_override,
    ),
    Misconception("a relief opens fully at its setting", _OPENS_FULLY, _opens_fully),
    Misconception(
        "an orifice always drops pressure",
        "Without flow there is no drop: both ends of a hole read the same.",
        _orifice_always_drops,
    ),
    Misconception(
        "the pilot carries full flow",
        "The pilot passes little; the drop it makes over the orifice lets the main part open.",
        _pilot_carries_all,
    ),
    Misconception(
        "gauge at pump = load pressure",
        "Lines and valves between pump and load take their drop while oil moves.",
        _gauge_at_pump_is_load,
    ),
    Misconception(
        "back-pressure does not matter",
        "Tank-line pressure works on every part whose spring chamber drains there.",
        _no_back_pressure,
    ),
    Misconception(
        "higher setting fixes a slow cylinder",
        "Speed is flow over area; a setting only limits force.",
        _higher_setting_is_faster,
    ),
    Misconception(
        "main relief holds a parked load",
        "In neutral the spool shuts the main relief off; the load alone makes the pressure.",
        _main_holds_parked,
    ),
    Misconception(
        "a reducing valve is a relief in line",
        "It throttles towards its outlet and leaves its inlet alone.",
        _holds_its_inlet("reducing"),
    ),
    Misconception(
        "an unloading valve holds its pump at the setting",
        "Pressure beyond the check holds it open, so its own inlet falls to almost nothing.",
        _holds_its_inlet("unloading"),
    ),
    Misconception(
        "a sequence valve limits the first line",
        "It says when the second motion begins; once it is open, the first line follows the second load up.",
        _holds_its_inlet("sequence"),
    ),
    Misconception(
        "a reducing valve makes its setting",
        "It only takes pressure away: below its setting it stands open and the outlet follows the inlet.",
        _reducing_makes_its_setting,
    ),
    Misconception(
        "the rod takes no room",
        "On the rod end only bore less rod carries pressure and takes oil.",
        _rod_takes_no_room,
    ),
    *MORE,
)
