"""What the operator feels, as text for the terminal: the last section of each explained point."""

from __future__ import annotations

from rich.console import Console
from rich.markup import escape

from oilway import quantity
from oilway.oil import HOTTEST
from oilway.quantity import Units
from oilway.solve.result import State
from oilway.study.consequences import STANDS, Actuator, Cavity, Felt, Push, sort_of
from oilway.study.explain import Explained
from oilway.study.routes import Route
from oilway.study.warming import Warming
from oilway.text import new_table, put, row, speed_words, value_words

LEAKAGE = {"shop": "in3/min", "metric": "mL/min"}
LEAST_HEAT = 0.5  # W: less is not printed
WAYS = {"velocity": ("extends", "retracts"), "rotation": ("turns forwards", "turns backwards")}


def print_felt(console: Console, explained: Explained, units: Units) -> None:
    """Speed and force, drift, stall, heat and cavitation of one operating point; nothing without an actuator."""
    felt, state = explained.felt, explained.state
    if felt is None:
        return
    console.print("\n[bold]What the operator feels[/]", highlight=False)
    for actuator in felt.actuators:
        _say(console, headline(actuator, units))
        if actuator.stalls:
            for pump, found in felt.pumped.items():
                for route in found[:1]:
                    taken = f"{100 * route.share:.0f} % of the oil of {pump} goes by way of"
                    _say(console, f"{taken} {_named(state, route)} to {route.end}")
        _print_pushes(console, actuator, units)
        _print_drift(console, state, actuator, units)
    for pump, found in felt.pumped.items():
        if found:
            _print_routes(console, state, f"Where the oil of {pump} goes", found, quantity.unit("flow", units))
    _print_heat(console, felt, units)
    for line in warming_lines(felt.warming, units):
        _say(console, line)
    for cavity in felt.cavities:
        _say(console, cavity_line(cavity, units))


def headline(actuator: Actuator, units: Units) -> str:
    """One line on an actuator: whether it moves, drifts, stands at its stop or stalls."""
    if actuator.at_stop:
        return f"{actuator.name} is pressed against its end stop"
    way = WAYS[actuator.kind][0 if actuator.speed > 0 else 1]
    moves = "stands" if abs(actuator.speed) < STANDS else f"{way} at {_speed(actuator, units)}"
    if actuator.stalls:
        held = "" if moves == "stands" else f" and {moves}"
        return f"{actuator.name} STALLS{held}: its load asks for more than it can push"
    lever = "lever in neutral: " if actuator.neutral else ""
    drift = actuator.drift
    why = "" if drift is None else " (drift)" if drift.creeping else " with its load"
    return f"{actuator.name}: {lever}it {moves}{why}"


def _speed(actuator: Actuator, units: Units) -> str:
    """Working speed, or a drift per minute in both systems."""
    speed = abs(actuator.speed)
    if actuator.kind == "rotation":
        return quantity.show(speed, "rotation", units, digits=0 if speed > 1 else 3)
    if actuator.drift is None or not actuator.drift.creeping:
        return speed_words(speed, units)
    both = [f"{quantity.convert(speed, 'velocity', unit):.3g} {unit}" for unit in ("in/min", "mm/min")]
    first, second = both if units == "shop" else both[::-1]
    return f"{first}, {second}"


def _print_pushes(console: Console, actuator: Actuator, units: Units) -> None:
    kind = "force" if actuator.kind == "velocity" else "torque"
    if actuator.pushes:
        unit = quantity.unit(kind, units)
        table = new_table(f"{kind.capitalize()} at standstill, {unit}", "", "most", "load asks", "to spare")
        for push in actuator.pushes:
            values = (push.most, push.needed, push.spare)
            row(table, _where(push), *(value_words(v, kind, units, 0) for v in values))
        put(console, table)
    for note in actuator.notes:
        _say(console, note)


def _where(push: Push) -> str:
    lever = "" if push.lever is None else f", lever {push.lever:g}"
    return f"{push.way}{lever}{' (now)' if push.now else ''}"


def _print_drift(console: Console, state: State, actuator: Actuator, units: Units) -> None:
    drift = actuator.drift
    if drift is None:
        return
    title = f"Oil of {drift.loaded}, which carries the load, leaves by"
    _print_routes(console, state, title, drift.routes, LEAKAGE[units] if drift.creeping else "")
    if drift.idle:
        idle = ", ".join(f"{name} ({sort_of(state, name)})" for name in drift.idle)
        _say(console, f"no share in it (0 %): {idle}")
        console.print()


def _print_routes(console: Console, state: State, title: str, found: list[Route], unit: str) -> None:
    """Ways of the oil with their shares; without a unit the shares alone."""
    table = new_table(title, "by way of", *([unit] if unit else []), "share", "and ends in")
    table.columns[-1].justify = "left"
    for route in found:
        flow = [f"{quantity.convert(route.flow, 'flow', unit):.3g}"] if unit else []
        row(table, _named(state, route), *flow, f"{100 * route.share:.1f} %", route.end)
    put(console, table)


def _named(state: State, route: Route) -> str:
    return ", ".join(f"{part} ({sort_of(state, part)})" for part in route.parts) or "no drop"


def _print_heat(console: Console, felt: Felt, units: Units) -> None:
    other = "BTU/h" if units == "shop" else "W"
    table = new_table("Heat into the oil", "", quantity.unit("power", units), other)
    shown = [(name, watts) for name, watts in felt.heat.items() if watts >= LEAST_HEAT]
    for name, watts in [*shown, ("total", felt.warming.heat)]:
        row(table, name, value_words(watts, "power", units), f"{quantity.convert(watts, 'power', other):.0f}")
    put(console, table)


def warming_lines(warming: Warming, units: Units) -> list[str]:
    """How fast the oil warms and where it settles, or what the file must say for that."""
    lines = []
    if warming.rise is not None:
        lines.append(f"the oil in the tank {_a_minute(warming.rise, units)} while it gives no heat off")
    if warming.cooled is not None:
        lines.append(
            f"as warm as it is now, and with all that cools it at work, it {_a_minute(warming.cooled, units)}"
        )
    if warming.steady is not None:
        hot, limit = warming.steady > HOTTEST, min(warming.steady, HOTTEST)
        settles = f"{'beyond' if hot else 'at'} {quantity.show(limit, 'temperature', units)}"
        taken = f" (common practice: {', '.join(warming.taken)})" if warming.taken else ""
        lines.append(f"held there, it settles {settles}, {_given_off(warming, units)}{taken}")
    return lines + [f"not known: {what}" for what in warming.missing]


def _a_minute(rise: float, units: Units) -> str:
    """How fast the oil warms or cools (K/s), in words."""
    kelvin = 60 * abs(rise)
    degrees = f"{kelvin * 9 / 5:.2f} °F" if units == "shop" else f"{kelvin:.2f} °C"
    return f"{'cools' if rise < 0 else 'warms'} by {degrees} a minute"


def _given_off(warming: Warming, units: Units) -> str:
    if not warming.coolers:
        return "all heat going through the tank wall"
    given = [
        f"{name}{'' if name in warming.coolers else ' wall'} {quantity.show(watts, 'power', units)}"
        for name, watts in warming.given.items()
    ]
    return f"given off by {_all_of(given)}"


def _all_of(names: list[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def cavity_line(cavity: Cavity, units: Units) -> str:
    """A place where oil is pulled too low, and how fast a void grows there."""
    void = ""
    if cavity.void > 0:
        unit = LEAKAGE[units]
        void = f"; a void grows by {quantity.convert(cavity.void, 'flow', unit):.3g} {unit}"
    return (
        f"cavitation: {cavity.place} at {quantity.show(cavity.pressure, 'pressure', units)}: {cavity.what}{void}"
    )


def _say(console: Console, line: str) -> None:
    console.print(f"  {escape(line)}", highlight=False)
