"""Settings as a technician says them."""

from __future__ import annotations

import pytest

from oilway.errors import Place
from oilway.model.setting import Setting, read_setting
from oilway.model.tree import Problems, Text
from oilway.quantity import parse

GPM = 231 * 0.0254**3 / 60
PSI = 4.4482216152605 / 0.0254**2


def read(text: str) -> tuple[Setting | None, list[str]]:
    problems = Problems()
    setting = read_setting(Text(text, Place("m.yaml", 4)), problems, "relief")
    return setting, [str(p) for p in problems.found]


@pytest.mark.parametrize(
    "text",
    [
        "2300 psi at 18 gpm",
        "set 2300 psi at 18 gpm",
        "set to 2300 psi at 18 gpm",
        "Set to 2300 psi at 18 gpm",
        "2,300 psi at 18 gpm",
        " 2300psi  at  18gpm ",
    ],
)
def test_a_pressure_at_a_flow(text: str) -> None:
    setting, problems = read(text)
    assert problems == []
    assert setting is not None
    assert (setting.pressure, setting.flow) == (pytest.approx(2300 * PSI), pytest.approx(18 * GPM))
    assert setting.cracking is None
    assert setting.cracked_flow == pytest.approx(0.18 * GPM)  # 1 % unless said otherwise


@pytest.mark.parametrize(
    "text",
    [
        "cracks 1900 psi, 2300 psi at 18 gpm",
        "cracks at 1900 psi, 2300 psi at 18 gpm",
        "cracks 1900 psi,2300 psi at 18 gpm",
        "cracks 1,900 psi, 2,300 psi at 18 gpm",
        "Cracks 1900 psi, set 2300 psi at 18 gpm",
    ],
)
def test_a_cracking_pressure_with_it(text: str) -> None:
    setting, problems = read(text)
    assert problems == []
    assert setting is not None
    assert (setting.cracking, setting.pressure) == (pytest.approx(1900 * PSI), pytest.approx(2300 * PSI))


def test_three_digits_after_the_comma_are_a_pressure_of_their_own_after_a_unit() -> None:
    for text in ("cracks 80 bar, 120 bar at 60 L/min", "cracks 80 bar,120 bar at 60 L/min"):
        setting, problems = read(text)
        assert (problems, setting and setting.cracking) == ([], parse("80 bar", "pressure"))


def test_the_cracking_flow_may_be_said() -> None:
    setting, _ = read("cracks 1900 psi at 0.5 gpm, 2300 psi at 18 gpm")
    assert setting is not None
    assert setting.cracked_flow == pytest.approx(0.5 * GPM)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("2300 psi", "setting '2300 psi' does not say at which flow"),
        ("", "setting '' does not say at which flow"),
        ("2300 at 18 gpm", "setting: '2300' has no unit; a pressure is wanted"),
        ("18 gpm at 2300 psi", "setting: '18 gpm' is a flow; a pressure is wanted"),
        ("2300 psi at 18", "setting: '18' has no unit; a flow is wanted"),
        ("2300 psi at 18 gpm hot", "setting: '18 gpm hot': unit 'gpm hot' is not known"),
        ("cracks 1900, 2300 psi at 18 gpm", "setting: '1900' has no unit"),
        ("cracks 1900 psi at 1 psi, 2300 psi at 18 gpm", "setting: '1 psi' is a pressure; a flow is wanted"),
        ("cracks 1900 psi at 1 gpm", "setting: 'cracks 1900 psi' is not one number"),
        ("0 psi at 18 gpm", "a setting has a pressure and a flow above zero"),
        ("2300 psi at -1 gpm", "a setting has a pressure and a flow above zero"),
        ("cracks 2400 psi, 2300 psi at 18 gpm", "the cracking pressure lies below the full-flow pressure"),
        ("cracks 0 psi, 2300 psi at 18 gpm", "the cracking pressure lies below the full-flow pressure"),
        ("cracks 1900 psi at 18 gpm, 2300 psi at 18 gpm", "the cracking flow lies below the full flow"),
    ],
)
def test_what_is_no_setting_is_told_with_its_line(text: str, what: str) -> None:
    setting, problems = read(text)
    assert setting is None
    assert problems[0].startswith(f"m.yaml:4: relief: {what}")
    assert all(problem.endswith(")") for problem in problems)  # always with something to try
