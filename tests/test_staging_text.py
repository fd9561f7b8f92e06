"""How what acts when reads on the terminal."""

from __future__ import annotations

import io

from rich.console import Console

from oilway.quantity import parse
from oilway.staging_text import print_staging
from oilway.study.controls import Control
from oilway.study.rising import Act, Rise
from oilway.study.staging import Staging

PSI = parse("1 psi", "pressure")


def said(found: Staging) -> str:
    console = Console(file=io.StringIO(), width=110)
    print_staging(console, found)
    return console.file.getvalue()


def test_controls_and_the_order_in_which_they_act() -> None:
    relief = Control("main [1]", "relief", "line", 2200 * PSI, 2300 * PSI, parse("18 gpm", "flow"))
    pump = Control("pump", "compensator", "line", 2000 * PSI, 2100 * PSI, None)
    reducing = Control("clamp", "reducing", "work", None, 600 * PSI, parse("2 gpm", "flow"))
    rise = Rise(
        "box.load pressure", "pressure", {"valve.spool.position": 1.0}, 100 * PSI, 2900 * PSI,
        (Act("pump", 1900 * PSI, 2000 * PSI), Act("main [1]", 2150 * PSI, 2200 * PSI)), ("clamp",),
        "no rest found",
    )  # fmt: skip
    text = said(Staging([relief, pump, reducing], [rise], [], ["close to it"]))
    lines = [" ".join(line.split()) for line in text.splitlines()]
    assert "main [1] relief line 2200 psi 2300 psi 18.00 gpm" in lines
    assert "pump compensator line 2000 psi 2100 psi no flow" in lines
    assert "clamp reducing work - 600 psi 2.00 gpm" in lines
    assert "box.load pressure from 100 psi to 2900 psi, valve.spool at 1" in lines
    assert "acting all along: clamp" in lines
    assert lines.index("1. pump 1900 psi 2000 psi") < lines.index("2. main [1] 2150 psi 2200 psi")
    assert "the rise ends there: no rest found" in lines
    assert "note: close to it" in lines


def test_a_rise_in_which_nothing_acts_says_so() -> None:
    relief = Control("own", "", "line", 2200 * PSI, 2300 * PSI, parse("18 gpm", "flow"))
    text = said(Staging([relief], [Rise("box.load force", "force", {}, 1e3, 5e3, ())]))
    assert "levers as in the file" in text
    assert "nothing acts" in text
    assert "not said" in text


def test_a_machine_without_controls_has_nothing_to_tell() -> None:
    assert said(Staging([])) == ""
