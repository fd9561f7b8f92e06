"""One part read against its records: each kind of slip, its line, and what is meant."""

from __future__ import annotations

import pytest

from oilway.elements.record import Record, amount, choice
from oilway.errors import Place
from oilway.model.parts import convert, example, legal_range, read_part
from oilway.model.tree import Problems, read_text


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("kind: orifice", "kind: orifce", "hole: there is no kind of part 'orifce' (did you mean 'orifice'?)"),
        ("kind: orifice, ", "", "hole: missing key 'kind'"),
        ("kind: orifice", "kind: ", "hole: 'kind' is empty"),
        ("kind: orifice", "kind: [orifice]", "hole: 'kind' takes one value"),
        ("diameter", "diamter", "hole: unknown key 'diamter' (did you mean 'diameter'?)"),
        ("from: line, ", "", "hole: missing key 'from'"),
        ("from: line", "from: ", "hole: 'from' is empty"),
        ("from: line", "from: lin", "hole: from: there is no chamber 'lin' (did you mean 'line'?)"),
        (
            ", diameter: 3 mm",
            "",
            "hole: missing key 'diameter' (bore of the hole; a length is wanted, for example '1/2 in')",
        ),
        ("3 mm", "3 gpm", "hole: diameter: '3 gpm' is a flow; a length is wanted, for example '1/2 in'"),
        ("3 mm", "3", "hole: diameter: '3' has no unit; a length is wanted, for example '1/2 in'"),
        (
            "3 mm",
            "3 km",
            "hole: diameter: '3 km': unit 'km' is not known; a length is wanted, for example '1/2 in' "
            "(did you mean 'm'?)",
        ),
        (
            "3 mm",
            "",
            "hole: diameter: '' is not one number with its unit; a length is wanted, for example '1/2 in'",
        ),
        (
            "3 mm",
            "3 m",
            "hole: diameter 3 m is outside its legal range (from 0.0020 in to 3.937 in)",
        ),
        ("3 mm", "{a: b}", "hole: 'diameter' takes one value"),
    ],
)
def test_a_slip_in_a_part_is_told_with_its_line(sound, refused, old: str, new: str, said: str) -> None:
    head, hole = sound.rsplit("\n  hole", 1)
    assert old in hole
    assert f"m.yaml:7: {said}" in refused(f"{head}\n  hole{hole.replace(old, new)}")


def test_all_slips_are_told_at_once_in_order(sound, refused) -> None:
    spoiled = sound.replace("flow: 10 gpm", "flow: 10 psi").replace("kind: chamber", "kind: chamber, volme: 1 L")
    spoiled = spoiled.replace("diameter", "diamter")
    assert [p.split(": ")[0] for p in refused(spoiled)] == ["m.yaml:5", "m.yaml:6", "m.yaml:7", "m.yaml:7"]


@pytest.mark.parametrize(
    ("part", "said"),
    [
        ("{kind: moving part, mass: 0 g}", "p: mass 0 g is outside its legal range (not below 0.000022 lb)"),
        ("{kind: moving part, mass: -1 kg}", "p: mass -1 kg is outside its legal range (not below 0.000022 lb)"),
        (
            "{kind: lever, stroke: 8 mm, position: 2}",
            "p: position 2 is outside its legal range (from -1 to 1)",
        ),
        (
            "{kind: test load, from: line, to: tank, load pressure: 1 psi, load check: maybe}",
            "p: there is no choice for 'load check' 'maybe' (known here: yes, no)",
        ),
        ("{kind: load, on: }", "p: 'on' is empty (cylinder that carries it)"),
        ("{kind: load, on: lin}", "p: on: there is no cylinder 'lin'"),
        ("{kind: load, on: line}", "p: on: there is no cylinder 'line'"),
        ("[a, b]", "p: a part takes keys of its own, one a line, 'kind' first"),
        ("orifice", "p: a part takes keys of its own, one a line, 'kind' first"),
        ("", "p: a part takes keys of its own, one a line, 'kind' first"),
        ("{kind: chamber}", "p: nothing is connected to this chamber"),
    ],
)
def test_a_part_that_cannot_be(sound, refused, part: str, said: str) -> None:
    assert refused(f"{sound}  p: {part}\n") == [f"m.yaml:8: {said}"]


def test_a_part_that_could_not_be_read_is_told_once(sound, refused) -> None:
    # Everything that names the chamber 'line' would complain too.
    assert refused(sound.replace("kind: chamber", "kind: chambre")) == [
        "m.yaml:5: line: there is no kind of part 'chambre' (did you mean 'chamber'?)"
    ]


def test_a_note_may_stand_in_every_part(sound) -> None:
    part = read_part("p", _block("{kind: tank, note: the big one}"), Problems())
    assert part is not None
    assert part.values["pressure"] == 0.0
    assert part.given == frozenset()


def test_what_was_given_and_where_is_kept() -> None:
    part = read_part("p", _block("\n  kind: tank\n  pressure: 1 bar\n"), Problems())
    assert part is not None
    assert (part.values["pressure"], part.given, part.place("pressure").line) == (1e5, {"pressure"}, 3)


def _block(text: str):
    return read_text(f"p: {text}\n", "m.yaml").items["p"]


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        ("1 mm", "2 in", "from 0.039 in to 2.000 in"),
        ("1 mm", None, "not below 0.039 in"),
        (None, "2 in", "not above 2.000 in"),
        (None, None, ""),
        ("0 mm", "1e-6 mm", "from 0.000 in to 0.000000 in"),
    ],
)
def test_a_legal_range_in_words(low: str | None, high: str | None, said: str) -> None:
    assert legal_range(amount("x", "length", "how far", None, low, high)) == said


def test_both_ends_of_a_range_are_legal() -> None:
    record, problems = amount("x", "pressure", "how hard", None, "1 bar", "2 bar"), Problems()
    assert convert("p", record, "1 bar", Place(), problems) == 1e5
    assert convert("p", record, "2 bar", Place(), problems) == 2e5
    assert problems.found == []
    assert convert("p", record, "2.0001 bar", Place(), problems) is None
    assert len(problems.found) == 1


def test_what_to_write_instead() -> None:
    assert example(choice("drain", "where to", ("internal", "external"))) == ": internal or external"
    assert example(amount("x", "pressure", "how hard")) == "; a pressure is wanted, for example '2000 psi'"
    assert example(Record("on", "reference", "the part")) == ""
