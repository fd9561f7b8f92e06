"""A setting plan in words: why this order, what to do at each step, what shows a mistake, and cautions."""

from __future__ import annotations

from collections.abc import Iterator

from oilway import quantity
from oilway.elements.motor import Motor
from oilway.quantity import Units
from oilway.study.controls import COMPENSATOR
from oilway.study.plan import BENCH, PASSED_BY, TEST_TEMPERATURE, Plan, Raised, Step
from oilway.study.plan_gauge import Span
from oilway.study.plan_wrong import A_TURN, Below, Wrong

SAME = quantity.PSI  # closer than a gauge shows
ONCE = (
    "The maker's manual and local rules come first; trained people only. A teaching calculation is not authority: "
    "every pressure here follows from the file, and nothing is set above a rating in it."
)
WORDS = {
    "cracking": "at cracking, with {flow} over it",
    "idle": "at idle, with {flow} over it",
    "cold": "in cold oil ({cold}) on the stand",
    "back-pressure": "with {back} of back-pressure",
    "falling": "coming down, not finishing on rising pressure",
    "no flow": "with nothing drawn from its outlet",
}
REASON = {
    "counterbalance": "It holds a load: it is set on the bench before it goes on, in the machine only where the "
    "maker's manual says so.",
    "brake": "It holds a load back: it is set on the bench before it goes on, in the machine only where the "
    "maker's manual says so.",
    "relief": "It is the ceiling over everything that follows, so it is set before what stands near it.",
    "port relief": "It stands above the main relief and guards its port alone, so the main is right first.",
    "crossover relief": "It guards its motor alone, so the main relief is right first.",
    COMPENSATOR: "It stands below the main relief, and stays below it: once it is set, the relief is not reached.",
    "unloading": "It acts on the way up, below the main relief, which must be there before pressure is made.",
    "sequence": "It acts on the way up, below the main relief, which must be there before pressure is made.",
    "reducing": "It needs an inlet above its setting, which the main relief limits: the main is right first.",
    "": "Its file does not say what it acts as ('acts as: ...'), so it comes last.",
}


def preparation(plan: Plan, units: Units) -> list[str]:
    """What comes before the first step."""
    speeds = ", ".join(f"{name} {quantity.show(v, 'rotation', units)}" for name, v in plan.speeds.items())
    lines = [
        "Park; lower or block every load; engine off, lock it out; bleed stored pressure, accumulators too; prove "
        "zero on a gauge before a fitting is loosened.",
        "Fit gauges and hoses rated above the highest pressure of the step, at the ports named there.",
        "Back off the adjuster of a valve whose setting is not known before the first start.",
        f"Warm the oil to {quantity.show(plan.temperature, 'temperature', units)}, and hold it. Hot oil burns.",
    ]
    if speeds:
        lines.append(f"Set the rated speed, not idle: {speeds}.")
    if not TEST_TEMPERATURE[0] <= plan.temperature <= TEST_TEMPERATURE[1]:
        usual = quantity.show(50.0, "temperature", units)
        lines.append(f"Note: valves are tested near {usual} (common practice); the file says otherwise.")
    return lines


def reason(step: Step, units: Units) -> str:
    """Why a step has its place: common practice, and what was computed of this machine."""
    told = [REASON.get(step.control.acts_as, REASON[""])]
    full = quantity.show(step.control.full, "pressure", units)
    if step.masked:
        told.append(f"As the machine is set, {' and '.join(step.masked)} acts first and {full} is never reached.")
    elif step.shows and step.reading is not None and step.reading.flow > 0:
        flow = quantity.show(step.reading.flow, "flow", units)
        others = " and ".join(step.reading.beside)
        alone = "nothing else opens" if not others else f"{others} opens too and takes a part"
        told.append(f"With {_held(step)}, {flow} go over it; {alone}.")
    return " ".join(told)


def _held(step: Step) -> str:
    assert step.reading is not None
    stall = step.reading.stall
    if not stall.held:
        return "the load valve shut"
    motor = any(isinstance(stall.state.machine.elements[name], Motor) for name in stall.held)
    way = "held by its brake" if motor else "held at the end of the stroke"
    lever = stall.lever.removesuffix(".spool")
    return f"{' and '.join(stall.held)} {way}" + (f" and {lever} at {stall.place:+g}" if lever else "")


# -- what to do --------------------------------------------------------------------------------------------
def instructions(plan: Plan, step: Step, units: Units) -> list[str]:
    """The step, line by line."""
    lines = [gauge_words(step, units), *_loading(step, units)]
    lines += [_adjust(step, units)] if step.adjuster is not None else [_compensator(step, units)]
    lines.append("Finish on rising pressure. Lock the adjuster, and read again three times.")
    for item in step.raised:
        back = quantity.show(item.control.full, "pressure", units)
        lines.append(f"Put {item.control.name} back to {back}, and prove it again with a reading of its own.")
    return lines


def gauge_words(step: Step, units: Units) -> str:
    """Where the gauge goes, and which."""
    gauge = step.gauge
    first, second = (gauge.bar, gauge.psi) if units == "metric" else (gauge.psi, gauge.bar)
    text = f"Gauge at {gauge.chamber}: {_span(first)}, or {_span(second)}."
    for name, span in gauge.fitted.items():
        if not span.fits:
            text += (
                f" The {name} of the file ends at {quantity.show(span.end, 'pressure', units)}: {_share(span)}."
            )
    return text


def _span(span: Span) -> str:
    return f"0 to {round(quantity.convert(span.end, 'pressure', span.unit))} {span.unit} ({_share(span)})"


def _share(span: Span) -> str:
    return f"the setting sits at {span.share:.0%} of its span" + ("" if span.fits else ", 50 to 75 % is read best")


def _loading(step: Step, units: Units) -> Iterator[str]:
    role, full = step.control.acts_as, quantity.show(step.control.full, "pressure", units)
    if step.on_bench:
        yield from _on_stand(step, units)
        return
    assert step.reading is not None
    if step.raised:
        ups = " and ".join(_raised(item, units) for item in step.raised)
        yield f"Only where the maker's manual says so: first turn up {ups}. Else on the bench or with a hand pump:"
        yield from _on_stand(step, units)
    if role in PASSED_BY:
        opens = quantity.show(step.control.opens or step.control.full, "pressure", units)
        shown = quantity.show(step.reading.pressure, "pressure", units)
        yield (
            f"Raise the load slowly and read where it acts: it begins at {opens} and is there at {full}. With "
            f"{_held(step)} the gauge goes on to {shown}, which is not its setting."
        )
        return
    yield (
        f"Load it: {_held(step)}, seconds at a time, so that the pump has nowhere else to go. Or with a tester's "
        "load valve, open at the start; never dead-head the tester between pump and relief."
    )
    yield f"Expected there: {_expected(step, units)}."


def _raised(item: Raised, units: Units) -> str:
    turned = "" if item.turns is None else f", {abs(item.turns):.2f} turns {'in' if item.turns > 0 else 'out'}"
    return f"{item.control.name} to {quantity.show(item.to, 'pressure', units)}{turned}"


def _expected(step: Step, units: Units) -> str:
    reading = step.reading
    assert reading is not None
    text = quantity.show(reading.pressure, "pressure", units)
    if reading.flow > 0:
        text += f" with {quantity.show(reading.flow, 'flow', units)} over it"
    if reading.back_pressure is not None:
        text += f" and {quantity.show(reading.back_pressure, 'pressure', units)} of back-pressure behind it"
    if reading.cold is not None:
        text += f"; the same setting reads {quantity.show(reading.cold, 'pressure', units)} in cold oil"
    return text


def _on_stand(step: Step, units: Units) -> Iterator[str]:
    control = step.control
    full = quantity.show(control.full, "pressure", units)
    if step.masked and not step.raised and control.acts_as not in BENCH:
        yield f"On the bench: {' and '.join(step.masked)} cannot be raised out of its way below a rating."
    flow = "" if control.flow is None else f" with {quantity.show(control.flow, 'flow', units)} over it"
    opens = (
        ""
        if control.opens is None
        else f"; it begins to open at {quantity.show(control.opens, 'pressure', units)}"
    )
    yield f"On the stand, no back-pressure and no pilot pressure: {full}{flow}{opens}."


def _adjust(step: Step, units: Units) -> str:
    adjuster = step.adjuster
    assert adjuster is not None
    way = "raises" if adjuster.per_turn > 0 else "LOWERS"
    turn = quantity.show(abs(adjuster.per_turn), "pressure", units)
    return (
        f"Turning in {way} it, near the setting {turn} a turn; it ends up about {adjuster.turns:.2f} turns from "
        f"fully out, of {adjuster.most:g}. Small turns, always a little too low first."
    )


def _compensator(step: Step, units: Units) -> str:
    full = quantity.show(step.control.full, "pressure", units)
    return f"Adjust to {full} on a destroked pump; the file says no turns of its adjuster. Small turns."


# -- set wrongly -------------------------------------------------------------------------------------------
def wrong_words(plan: Plan, wrong: Wrong, units: Units) -> str:
    """One wrong way, and what it then reads."""
    usual = plan.usual
    how = WORDS[wrong.key].format(
        flow=quantity.show(wrong.flow, "flow", units),
        cold=quantity.show(usual.cold, "temperature", units),
        back=quantity.show(usual.back_pressure, "pressure", units),
    )
    shown = quantity.show(wrong.shown, "pressure", units)
    if wrong.reads is None or wrong.off is None:
        return f"set to {shown} {how}: its adjuster does not reach that"
    if abs(wrong.off) < SAME:
        return f"set to {shown} {how}: it reads the same"
    by = quantity.show(abs(wrong.off), "pressure", units)
    word = "too high" if wrong.off > 0 else "too low"
    return f"set to {shown} {how}: it reads {quantity.show(wrong.reads, 'pressure', units)}, {by} {word}"


def below_words(below: Below, units: Units) -> str:
    """A port relief below the main, and how it shows."""
    to, reads, moved, alone = (
        quantity.show(p, "pressure", units) for p in (below.to, below.reads, below.moved, below.alone)
    )
    return (
        f"{below.port} below the main, at {to}: {' and '.join(below.held)} stalls at {reads}, and {A_TURN:g} turn "
        f"in on the main moves that by {moved}, not by {alone}"
    )


# -- cautions ----------------------------------------------------------------------------------------------
def cautions(step: Step, units: Units) -> list[str]:
    """What can hurt somebody at this step."""
    told = []
    if step.rating is not None:
        rated = quantity.show(step.rating.pressure, "pressure", units)
        told.append(f"Never above {rated}, the rated pressure of {step.rating.part}, the lowest here.")
    told.append(
        "Gauge and hose rated above the setting. A jet of oil enters the skin: card, not hand; hospital at once."
    )
    if step.control.acts_as in BENCH:
        told.append("Before it comes off: the load supported mechanically, its line bled. Restore, lock, seal.")
    elif not step.on_bench:
        told.append("The machine moves: nobody near it, and stay clear of a hose that may whip.")
    if step.control.acts_as in ("sequence", "reducing"):
        told.append(
            "Never plug its drain. A blocked one can hold inlet pressure: shut down, bleed, fit a gauge rated for "
            "inlet pressure, and do not open it into a bucket."
        )
    if step.raised:
        told.append("Every minute with something turned up is a risk to what it guards: put it back at once.")
    return told
