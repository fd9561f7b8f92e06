"""Results as text for the terminal: plain tables that stay aligned when piped into a file."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from oilway import quantity
from oilway.elements.network import MOVES
from oilway.quantity import Units
from oilway.solve.result import Entry, State
from oilway.study.balance import Balance, worth_area
from oilway.study.check import Checked
from oilway.study.curve import Curve
from oilway.study.explain import Explained, point_name, point_words
from oilway.study.export import gradient, gradient_unit

AUTHORITY = (
    "A teaching calculation, not an authority: the maker's manual, local codes and qualified people decide."
)
SAME = 100.0  # Pa: a pressure that stands where it was given
NOTHING = {"force": 0.05, "flow": 1e-11, "power": 0.05}  # N, m3/s, W: smaller entries are not printed


def print_checked(console: Console, checked: Checked) -> None:
    """A check: what is in the file, what was defaulted or solved, what is missing or too high."""
    console.print(f"[bold]{escape(checked.machine.title)}[/]")
    parts = ", ".join(f"{count} {kind}" for kind, count in checked.counts.items())
    console.print(f"parts: {parts}", highlight=False)
    for note in checked.notes:
        console.print(f"note: {escape(note)}", highlight=False)
    for name in checked.unrated:
        console.print(
            f"no rating: {escape(name)}: enter its 'rated pressure'; nothing is set without it", highlight=False
        )
    for finding in checked.findings:
        console.print(f"[bold]LIMIT:[/] {escape(finding)}", highlight=False)
    if not checked.findings:
        console.print("reads and connects; every pump has a path to tank", highlight=False)


Section = Callable[[Console, Explained, Units], None]


def print_explained(
    console: Console, explained: Sequence[Explained], units: Units, sections: Sequence[Section] = ()
) -> None:
    """Ledgers of one or many operating points; ``sections`` print what else is known of each, at its end."""
    for item in explained:
        state = item.state
        words = point_words(state.machine, state.point, units)
        name = point_name(state.machine, state.point)
        console.rule(escape(f"{state.machine.title}: {name or words}"), align="left")
        if name:
            console.print(escape(f"at {words}"), highlight=False)
        for valve, regime in item.regimes:
            console.print(f"[bold]{escape(valve)}:[/] {escape(regime)}", highlight=False)
        _print_pressures(console, item, units)
        for part, entries in state.forces.items():
            _print_forces(console, state, part, entries, units)
        for shaft, entries in state.torques.items():
            _print_torques(console, shaft, entries, units)
        for balance in item.balances:
            _print_balance(console, balance, units)
        _print_flows(console, state, units)
        _print_power(console, state, units)
        _print_stability(console, item)
        for finding in state.findings:
            console.print(f"[bold]LIMIT:[/] {escape(finding.words(units))}", highlight=False)
        for section in sections:
            section(console, item, units)
    console.print(AUTHORITY, style="italic", highlight=False)


def new_table(title: str, *columns: str) -> Table:
    """A table with a title; the first column holds names, the others numbers."""
    table = Table(box=None, title=Text(title, "bold"), title_justify="left", header_style="", pad_edge=False)
    for k, column in enumerate(columns):
        table.add_column(column, justify="left" if k == 0 else "right", no_wrap=k > 0, overflow="fold")
    return table


def put(console: Console, table: Table) -> None:
    """Print a table, indented, with a blank line behind it."""
    console.print(Padding(table, (0, 0, 1, 2)))


def row(table: Table, *cells: str) -> None:
    """Add a row; cells are text, never markup."""
    table.add_row(*(Text(cell) for cell in cells))


def _shut_in(state: State, name: str) -> str:
    """Where oil that is shut in was put, of all that it could stand at."""
    above = state.pressures[name] - state.machine.trapped.get(name, 0.0)
    if abs(above) < SAME:
        return " (nothing fixes it: as given)"
    return f" (nothing fixes it: the {'least' if above > 0 else 'most'} it can stand at)"


def _print_pressures(console: Console, item: Explained, units: Units) -> None:
    state, falling = item.state, item.falling
    columns = ["chamber", quantity.unit("pressure", units)]
    if falling:
        columns.append("on falling pressure")
    table = new_table("Pressure in every chamber (gauge)", *columns)
    for name, pressure in state.pressures.items():
        cells = [
            name + (_shut_in(state, name) if name in state.isolated else ""),
            value_words(pressure, "pressure", units),
        ]
        if falling:
            cells.append(value_words(falling.get(name, pressure), "pressure", units))
        row(table, *cells)
    put(console, table)
    for name, (kind, value) in state.readings.items():
        console.print(f"  {escape(name)} reads {quantity.show(value, kind, units)}", highlight=False)
    for name, velocity in state.velocities.items():
        way = "stands" if abs(velocity) < 1e-9 else "extends" if velocity > 0 else "retracts"
        speed = "" if way == "stands" else f" at {speed_words(abs(velocity), units)}"
        console.print(f"  {escape(name)} {way}{speed}", highlight=False)


def speed_words(velocity: float, units: Units) -> str:
    """Working speeds per second, drift per minute."""
    if velocity >= 1e-3:
        return quantity.show(velocity, "velocity", units)
    unit = "in/min" if units == "shop" else "mm/min"
    return f"{quantity.convert(velocity, 'velocity', unit):.3g} {unit}"


def value_words(value: float, kind: str, units: Units, digits: int | None = None) -> str:
    """A value in the units asked for, for a column whose head says the unit."""
    return quantity.show(value, kind, units, digits).removesuffix(quantity.unit(kind, units)).strip()


def _print_forces(console: Console, state: State, part: str, entries: list[Entry], units: Units) -> None:
    status, area = state.statuses.get(part), abs(worth_area(state, part))
    stand = ""
    if status is not None:
        lift = f", lift {quantity.show(status.lift, 'length', units)}" if status.word != "seated" else ""
        stand = f" ({status.word}{lift})"
    columns = ["towards open is +" if status else "towards extend is +", quantity.unit("force", units)]
    if area > 0:
        columns.append(f"worth, {quantity.unit('pressure', units)}")
    table = new_table(f"Forces on {part}{stand}", *columns)
    shown = [e for e in entries if abs(e.value) >= NOTHING["force"]]
    for entry in shown:
        label = entry.label if entry.part == part else f"{entry.label}, {_short(entry.part, part)}"
        cells = [label, value_words(entry.value, "force", units)]
        if area > 0:
            cells.append(value_words(entry.value / area, "pressure", units))
        row(table, *cells)
    total = ["sum", value_words(sum(e.value for e in entries), "force", units)]
    row(table, *total, *([""] if area > 0 else []))
    put(console, table)


def _print_torques(console: Console, shaft: str, entries: list[Entry], units: Units) -> None:
    table = new_table(f"Torques on {shaft}", "forwards is +", quantity.unit("torque", units))
    for entry in entries:
        row(table, entry.label, value_words(entry.value, "torque", units))
    row(table, "sum", value_words(sum(e.value for e in entries), "torque", units))
    put(console, table)


def _print_balance(console: Console, balance: Balance, units: Units) -> None:
    """The classroom rule beside the fuller answer."""
    terms = "".join(
        f" {'-' if v < 0 else '+'} {value_words(abs(v), 'pressure', units, 1)} {label}"
        for label, v in balance.terms.items()
    ).removeprefix(" + ")
    rule, net = (
        f"{value_words(v, 'pressure', units, 1)} {quantity.unit('pressure', units)}"
        for v in (balance.rule, balance.net)
    )
    console.print(
        f"  {escape(balance.part)}: the classroom rule counts the spring alone, {rule};", highlight=False
    )
    console.print(f"  computed: {net} = {escape(terms)}\n", highlight=False)


def _short(name: str, beside: str) -> str:
    """A part's name without the valve it shares with another part."""
    prefix = beside.rpartition(".")[0]
    return name.removeprefix(prefix + ".") if prefix else name


def _print_flows(console: Console, state: State, units: Units) -> None:
    table = new_table(
        "Flow into every chamber (counted at 0 psi)", "chamber", quantity.unit("flow", units), "by way of"
    )
    table.columns[2].justify = "left"
    for name, entries in state.flows.items():
        shown = [(e, state.at_no_pressure(e.value)) for e in _merged(entries)]
        shown = [(e, q) for e, q in shown if abs(q) >= NOTHING["flow"]]
        if not shown:
            row(table, name, "0", "no oil moves")
        for k, (entry, flow) in enumerate(shown):
            way = _way(entry, flow)
            row(table, name if k == 0 else "", _flow(flow, units), way)
    put(console, table)


def _way(entry: Entry, flow: float) -> str:
    """By which part, and from or to where, oil comes into a chamber or leaves it."""
    if entry.other == "":
        return entry.label
    if entry.other == MOVES:
        return f"{entry.label} ({'given up' if flow > 0 else 'taken up'} by its motion)"
    return f"{entry.label} ({'from' if flow > 0 else 'to'} {entry.other})"


def _flow(flow: float, units: Units) -> str:
    """A flow with enough digits to see a pilot flow beside a pump flow."""
    shown = quantity.number(flow, "flow", units)
    return f"{shown:+.2f}" if abs(shown) >= 1 else f"{shown:+.4f}" if abs(shown) >= 1e-3 else f"{shown:+.1e}"


def _merged(entries: Iterable[Entry]) -> list[Entry]:
    """Entries of one part to one chamber as one line (a spool edge meters and leaks)."""
    merged: dict[tuple[str, str], Entry] = {}
    for e in entries:
        key = (e.label, e.other)
        value = e.value + (merged[key].value if key in merged else 0.0)
        merged[key] = Entry(e.label, e.part, e.law, value, e.other)
    return list(merged.values())


def _print_power(console: Console, state: State, units: Units) -> None:
    table = new_table("Power", "leaves the oil (+), enters it (-)", quantity.unit("power", units))
    for entry in _merged([Entry(f"{e.part}: {e.label}", e.part, e.law, e.value) for e in state.power]):
        if abs(entry.value) >= 10 * NOTHING["power"]:
            row(table, entry.label, value_words(entry.value, "power", units))
    row(table, "sum", value_words(sum(e.value for e in state.power), "power", units))
    put(console, table)


def _print_stability(console: Console, item: Explained) -> None:
    worst = item.stability.worst
    word = (
        "steady: a nudge dies away"
        if item.stability.stable
        else "NOT STEADY: it would chatter or hunt around this state"
    )
    detail = ""
    if worst is not None and worst.frequency > 0:
        swing = f"least damped swing {worst.frequency:.0f} Hz, damping ratio {worst.damping:.2f}"
        detail = f"; {swing}, led by {worst.who[0]}"
    console.print(f"  {word}{escape(detail)}", highlight=False)


def print_curves(console: Console, curves: Sequence[Curve], units: Units) -> None:
    """The figures of one or several curves side by side."""
    table = new_table("Pressure-flow curve", "", *(curve.name for curve in curves))
    for label, pick in (
        ("cracking pressure", "cracking"),
        ("full-flow pressure", "full"),
        ("override", "override"),
        ("full flow over first opening", "over_first_opening"),
        ("reseating pressure", "reseating"),
        ("hysteresis at half flow", "hysteresis"),
        ("outlet pressure", "outlet_pressure"),
    ):
        row(table, label, *(quantity.show(getattr(c, pick), "pressure", units) for c in curves))
    row(table, "override, of cracking", *(f"{100 * c.override_share:.1f} %" for c in curves))
    row(table, "gradient at full flow", *(f"{gradient(c, units):.2f} {gradient_unit(units)}" for c in curves))
    row(table, "full flow", *(quantity.show(c.full_flow, "flow", units) for c in curves))
    row(table, "counts as cracked at", *(quantity.show(c.cracked_flow, "flow", units) for c in curves))
    put(console, table)
    for curve in curves:
        for note in curve.notes:
            console.print(f"  {escape(curve.name)}: {note}", highlight=False)
        for opening in curve.openings:
            pressure, flow = quantity.show(opening.pressure, "pressure", units), _flow(opening.flow, units)
            console.print(
                f"  {escape(curve.name)}: {escape(opening.part)} leaves its seat at {pressure} "
                f"({flow.lstrip('+')} {quantity.unit('flow', units)})",
                highlight=False,
            )
    console.print(AUTHORITY, style="italic", highlight=False)
