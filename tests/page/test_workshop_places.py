"""Problems find the field that they are about, on lines of their own and in braces."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilway.page.workshop import BARE_VALVE, BLANK, BLANK_VALVE, Workshop

PUMP = "displacement: 30 cc/rev"
BLOCK = """\
parts:
  box:
    kind: chamber
    volume: 3 psi
    colour: red
"""


@pytest.mark.parametrize(
    ("text", "paths"),
    [
        (BLANK.replace(PUMP, "displacement: 3 psi"), ["parts/pump/displacement"]),
        (BLANK.replace(PUMP + ", ", ""), ["parts/pump/displacement"]),
        (BLANK.replace("outlet: pump line", "outlet: pumpline"), ["parts/pump/outlet"]),
        (BLANK.replace("direct relief", "direct releif"), ["parts/main relief/valve"]),
        (BLANK.replace("T: tank", "Q: tank"), ["parts/main relief/Q", "parts/main relief/T"]),
        (BLANK.replace("T: tank", "T: tank, setting: 2300"), ["parts/main relief/setting"]),
        (BLANK.replace("T: tank", "T: tank, setting: 9999 psi at 1 gpm"), ["parts/main relief"]),
        (BLANK.replace("120 F", "120 psi"), ["oil/temperature"]),
        (BLANK + "operating point:\n  engine speed: 10 psi\n", ["operating point/engine speed"]),
        (BLANK_VALVE.replace("adjuster: spring", "adjuster: sprung"), ["adjuster"]),
        (BLANK_VALVE.replace("role: inlet", "role: inlt"), ["ports/P/role"]),
        (BARE_VALVE + "  back: {kind: chamber}\n", ["parts/back"]),
        ("format: 1\nmachine: x\n" + BLOCK, ["parts/box", "parts/box/volume", "parts/box/colour"]),
        ("a: [", [""]),
    ],
)
def test_a_problem_is_at_its_field(text: str, paths: list[str], tmp_path: Path) -> None:
    found = ["/".join(problem["path"]) for problem in Workshop(tmp_path).seen(text)["problems"]]
    assert set(found) == set(paths)
