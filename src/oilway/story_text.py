"""The story as text: what `oilway demo` prints."""

from __future__ import annotations

from pathlib import Path

from rich.console import Console

from oilway import quantity
from oilway.files import copy_into, write_whole
from oilway.study.story import Story, Told, story
from oilway.text import AUTHORITY, new_table, put, row

HOLDS = 1e-6  # m/s: slower than 4 mm in an hour is called holding
CREEPS = 1e-3  # m/s


def tell(console: Console, folder: Path, command: str = "oilway") -> None:
    """Compute the story, print it, and leave the chart and the example files in ``folder``.

    ``command`` is how Oilway is called here, for the lines that say what to run next.
    """
    from oilway.draw.chart import save_curves

    told = story()
    copy_into(folder, sorted(told.files.glob("*.yaml")))
    chart = folder / "two-reliefs.svg"
    save_curves(told.curves, chart, title="Same setting, two relief valves")
    console.print("[bold]Brackwater Quarry: the tipping-trailer hoist[/] (an invented machine)", highlight=False)
    console.print(
        "One hoist, one setting - 2300 psi with 18 gpm over the valve - and two relief valves to choose from.\n",
        highlight=False,
    )
    _print_loads(console, told)
    _print_chambers(console, told)
    _print_close(console, told)
    _print_curves(console, told, chart)
    _leave_pictures(console, told, folder)
    _print_next(console, folder, command)


def _print_loads(console: Console, told: Story) -> None:
    table = new_table(
        "1. Lever open, rated speed, three loads",
        "load and valve",
        "pump gauge",
        "over relief",
        "cylinder",
        "relief heat",
    )
    for item in told.loads:
        row(
            table,
            f"{item.condition}, {item.valve}",
            *_numbers(item),
            quantity.show(item.heat_over_relief, "power"),
        )
    put(console, table)
    said = set()
    for item in told.loads:
        if (item.valve, item.words) not in said:
            said.add((item.valve, item.words))
            console.print(f"  {item.condition}, {item.valve}: {item.words}", highlight=False)
    console.print()


def _print_chambers(console: Console, told: Story) -> None:
    for valve in dict.fromkeys(item.valve for item in told.loads):
        items = [item for item in told.loads if item.valve == valve]
        names = [
            n
            for n in items[0].state.pressures
            if n in ("pump line", "return line") or n.startswith("main relief.")
        ]
        table = new_table(
            f"2. Pressure in every chamber, {valve} relief (psi)", "chamber", *(i.condition for i in items)
        )
        for name in names:
            pressures = [quantity.show(i.state.pressures[name], "pressure") for i in items]
            row(table, name.removeprefix("main relief."), *pressures)
        put(console, table)


def _print_close(console: Console, told: Story) -> None:
    table = new_table(
        "3. A load of 2150 psi, close below the setting", "condition", "pump gauge", "over relief", "box"
    )
    for item in told.close:
        row(table, f"{item.condition}, {item.valve}", *_numbers(item))
    put(console, table)
    console.print(
        "  With the lever open the direct-acting valve has begun to crack below its setting and takes part of\n"
        "  the flow; at idle it takes all of it. In neutral the spool shuts the main relief off from the load:\n"
        "  what creeps then is the spool's own leakage, the same with either valve.\n",
        highlight=False,
    )


def _numbers(item: Told) -> tuple[str, str, str]:
    return (
        quantity.show(item.pump_pressure, "pressure"),
        quantity.show(item.over_relief, "flow"),
        motion(item.velocity),
    )


def motion(velocity: float) -> str:
    """What the operator sees: rises, holds, creeps or sinks, with the speed."""
    if abs(velocity) < HOLDS:
        return "holds"
    word = "rises" if velocity > 0 else "creeps down" if velocity > -CREEPS else "SINKS"
    if abs(velocity) < CREEPS:
        return f"{word} {abs(quantity.convert(velocity, 'velocity', 'in/min')):.2g} in/min"
    return f"{word} {quantity.show(abs(velocity), 'velocity')}"


def _print_curves(console: Console, told: Story, chart: Path) -> None:
    table = new_table("4. The two curves", "", *(curve.name for curve in told.curves))
    for label, name in (
        ("cracking pressure", "cracking"),
        ("full-flow pressure", "full"),
        ("override", "override"),
        ("full flow over first opening", "over_first_opening"),
    ):
        row(table, label, *(quantity.show(getattr(curve, name), "pressure") for curve in told.curves))
    row(table, "override, of cracking", *(f"{100 * curve.override_share:.0f} %" for curve in told.curves))
    put(console, table)
    for curve in told.curves:
        opened = ", ".join(f"{o.part} at {quantity.show(o.pressure, 'pressure')}" for o in curve.openings)
        console.print(f"  {curve.name} leaves its seat: {opened}", highlight=False)
    console.print(f"  both on one chart: {chart}\n", highlight=False)


def _leave_pictures(console: Console, told: Story, folder: Path) -> None:
    """Leave the inside of both valves at the three loads, and the lesson on them, and say where."""
    from oilway.draw.cutaway import cutaway
    from oilway.draw.export_picture import save_picture
    from oilway.draw.paint import paint
    from oilway.draw.panels import Panel, sheet
    from oilway.page.lesson_page import lesson_data, lesson_html
    from oilway.study.lesson import read_lesson
    from oilway.study.reach import reaches
    from oilway.study.scale import full_scale

    panels = []
    for number, item in enumerate(sorted(told.loads, key=lambda item: item.valve)):
        machine = item.state.machine
        mounted = next(m for m in machine.mounted if m.name == "main relief")
        picture = cutaway(machine, mounted, key=f"p{number}", reach=reaches(machine))
        words = f"{item.valve}, {item.condition}"
        panels.append(Panel(words, picture, paint(picture, item.state, full_scale(machine))))
    inside, page = folder / "two-reliefs-inside.pdf", folder / "lesson.html"
    whole, painted = sheet("Two relief valves, one setting, three loads", panels, 3)
    save_picture(
        whole, painted, inside, "Cutaways of both valves with the pressure in every chamber at three loads"
    )
    write_whole(page, lesson_html(lesson_data(read_lesson(told.files / "lessons" / "two_reliefs.yaml"))))
    console.print("[bold]5. To look at[/]", highlight=False)
    console.print(f"  the inside of both valves at the three loads: {inside}", highlight=False)
    console.print(f"  a lesson for the projector and for home, open it in a browser: {page}\n", highlight=False)


def _print_next(console: Console, folder: Path, command: str) -> None:
    console.print("[bold]Run next[/]", highlight=False)
    for line in (
        f'{command} explain {folder / "tipping_hoist.yaml"} --at "load pressure=2150 psi, engine speed=800 rpm"',
        f'{command} explain "pilot relief"',
        f'{command} curve "direct relief" "pilot relief" -o curves.svg',
        f"{command} open {folder / 'tipping_hoist.yaml'}     (the page: pictures that move with a slider)",
        f"{command} check {folder / 'tipping_hoist.yaml'}     (the file is commented: change it and run again)",
    ):
        console.print(f"  {line}", highlight=False, soft_wrap=True)
    console.print(AUTHORITY, style="italic", highlight=False)
