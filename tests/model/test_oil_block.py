"""The block 'oil' of a file."""

from __future__ import annotations

import pytest

from oilway import quantity
from oilway.model.oil_block import OIL_RECORDS, oil_notes, read_oil
from oilway.model.tree import Block, Problems, read_text
from oilway.oil import Oil

# Two viscosities are judged by one another, each of the others by itself.
PLAIN = [r for r in OIL_RECORDS if r.is_quantity and not r.name.startswith("viscosity at")]


def read(text: str):
    problems = Problems()
    block = read_text(f"oil: {text}\n", "m.yaml").items["oil"]
    assert isinstance(block, Block)
    oil, temperature, notes = read_oil(block, problems)
    return oil, temperature, notes, [str(p) for p in problems.found]


def test_a_full_block() -> None:
    oil, temperature, notes, problems = read(
        "{grade: ISO VG 32, viscosity index: 150, density at 15 C: 860 kg/m3, bulk modulus: 1.6 GPa, "
        "entrained air: 1 %, temperature: 122 F, ambient pressure: 14.7 psia, note: changed in May}"
    )
    assert problems == []
    assert (oil.grade, oil.viscosity_index, oil.density15, oil.modulus, oil.air) == (32, 150, 860, 1.6e9, 0.01)
    assert oil.p_ambient == pytest.approx(101353, abs=1)
    assert temperature == pytest.approx(50.0)
    assert not any(word in note for note in notes for word in ("viscosity", "density", "modulus", "ambient"))


@pytest.mark.parametrize("grade", ["ISO VG 46", "iso vg46", "VG 46", "46"])
def test_a_grade_as_it_stands_on_the_can(grade: str) -> None:
    assert read(f"{{grade: {grade}}}")[0].grade == 46


def test_two_measured_viscosities_take_the_place_of_a_grade() -> None:
    oil, _, _, problems = read("{viscosity at 40 C: 40 cSt, viscosity at 100 C: 7 cSt}")
    assert problems == []
    assert oil.at(40.0).nu == pytest.approx(40e-6)
    assert oil.at(100.0).nu == pytest.approx(7e-6)


def test_what_was_defaulted_is_noted() -> None:
    notes = read("{grade: ISO VG 46, entrained air: 0}")[2]
    assert len(notes) == 1
    assert "viscosity index 100" in notes[0]
    assert "common practice" in notes[0]
    assert "entrained air" not in notes[0]
    assert read("{temperature: 120 F}")[2][0] == "oil not given: taken as ISO VG 46"
    assert oil_notes(Oil(46, viscosity_index=90.0))[0].count("viscosity index") == 0


@pytest.mark.parametrize(
    ("block", "said"),
    [
        ("{grad: ISO VG 46}", "oil: unknown key 'grad' (did you mean 'grade'?)"),
        ("{grade: SAE 10W}", "oil: grade 'SAE 10W' is not an ISO VG grade (write 'ISO VG 46')"),
        ("{grade: ISO VG ²}", "oil: grade 'ISO VG ²' is not an ISO VG grade"),
        ("{grade: 123456789}", "oil: grade '123456789' is not an ISO VG grade"),
        ("{grade: }", "oil: 'grade' is empty"),
        ("{grade: ISO VG 45}", "oil: ISO VG 45 is no grade (the nearest is 46)"),
        ("{temperature: 120 psi}", "oil: temperature: '120 psi' is a pressure"),
        ("{temperature: 900 F}", "oil: temperature 900 F is outside its legal range (from -40 °F to 300 °F)"),
        ("{entrained air: 30 %}", "oil: entrained air 30 % is outside its legal range"),
        ("{ambient pressure: 14.7 psi gauge}", "oil: ambient pressure: '14.7 psi gauge' is a pressure"),
        (
            "{viscosity at 40 C: 30 cSt, viscosity at 100 C: 40 cSt}",
            "oil: viscosity must fall from the first to the second temperature",
        ),
        (
            "{grade: ISO VG 46, viscosity index: 100, viscosity at 100 C: 7 cSt}",
            "oil: the viscosity index contradicts",
        ),
        ("{viscosity at 100 C: 7 cSt}", "oil: how thick the oil is at working temperature is not known"),
    ],
)
def test_a_slip_is_told_with_its_line(block: str, said: str) -> None:
    (problem,) = read(block)[3]
    assert problem.startswith(f"m.yaml:1: {said}")


@pytest.mark.parametrize("record", PLAIN, ids=lambda r: r.name)
@pytest.mark.parametrize("end", ["low", "high"])
def test_what_the_records_let_in_the_oil_takes(record, end: str) -> None:
    kind = quantity.KINDS[record.kind]
    unit = next(iter(kind.units))
    value = quantity.convert(getattr(record, end), record.kind, unit)
    # A hair inside, for the rounding of the unit.
    inside = value * (1 + 1e-9 if (end == "low") == (value >= 0) else 1 - 1e-9)
    assert read(f"{{grade: ISO VG 46, {record.name}: {inside!r} {unit}}}")[3] == []
