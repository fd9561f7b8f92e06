"""What a readings file asks for next: everything that its test needs, and nothing that is typed already."""

from __future__ import annotations

import pytest

from oilway.errors import InputError
from oilway.study.forms import FORMS
from oilway.study.proof import prove
from oilway.study.readings import read_readings, readings_from_text
from oilway.study.stand import Draft, Prompt, is_row, prompts, split_list
from oilway.study.stand_write import written
from oilway.study.story import examples

READINGS = examples() / "readings"
FILES = sorted(READINGS.glob("*.yaml"))
TYPED = {
    "pressure": "300 psi", "flow": "1 gpm", "volume": "20 mL", "time": "60 s", "temperature": "120 F",
    "rotation": "2000 rpm", "ratio": "1 %", "number": "1.5",
}  # fmt: skip


def missing(draft: Draft) -> list[Prompt]:
    return [prompt for prompt in prompts(draft) if prompt.needed and not prompt.value]


def named(draft: Draft, name: str) -> Prompt:
    return next(prompt for prompt in prompts(draft) if "/".join(prompt.path) == name)


def answer(prompt: Prompt) -> str:
    """Something that can stand there."""
    if prompt.choices:
        return prompt.choices[0]
    last = prompt.path[-1]
    if last == "range":
        kind = {"Q": "gpm", "QC": "gpm", "vessel": "mL", "watch": "s", "temp": "F", "n": "rpm"}.get(prompt.path[1])
        return f"0 to 4000 {kind or 'psi'}"
    if last == "class":
        return "1 % of span"
    if last == "temperature window":
        return "113 F to 131 F"
    return TYPED.get(prompt.kind, "words")


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_of_a_full_file_hardly_anything_is_asked(path: object) -> None:
    draft = Draft(path.read_text(encoding="utf-8"), path.name)  # type: ignore[attr-defined]
    left = {prompt.path[1] if len(prompt.path) > 1 else prompt.path[0] for prompt in missing(draft)}
    # Of gauges that were not entered, and of rows that go on to the ends of a sweep.
    assert left <= {"rows", "vessel", "watch", "temp"}


@pytest.mark.parametrize("test", [name for name in FORMS if name != "step"])
def test_who_answers_all_that_is_needed_has_a_file_that_is_read(test: str) -> None:
    """No form asks too little: what is left out is what the reader of the file can do without."""
    text, folder = "format: 1\nreadings: mine\n", READINGS
    text = written(Draft(text, "mine.yaml"), named(Draft(text, "mine.yaml"), "test"), test, folder)
    for _ in range(120):
        left = missing(draft := Draft(text, "mine.yaml"))
        if not left or left[0].path[1:2] == ("rows",):
            break
        text = written(draft, left[0], answer(left[0]), folder)
    if FORMS[test].columns:
        for column in Draft(text, "mine.yaml").columns("as found"):
            for row in range(2):
                draft = Draft(text, "mine.yaml")
                text = written(draft, named(draft, f"as found/rows/{row}/{column}"), f"{row + 1}", folder)
    proof = prove(readings_from_text(text, "mine.yaml", folder))
    assert not [c.name for c in proof.conditions if "not stated" in c.said or "no window" in c.said]


def test_a_file_that_says_nothing_is_asked_for_its_test_first() -> None:
    assert [prompt.path for prompt in prompts(Draft("format: 1\n", "new.yaml"))] == [("readings",), ("test",)]


def test_the_next_row_is_near_the_next_place_in_the_units_of_its_gauge() -> None:
    text = (READINGS / "hoist_relief.yaml").read_text(encoding="utf-8")
    begin = text[: text.index("    12       2200    14")]
    first, *_ = missing(Draft(begin, "hoist.yaml"))
    assert first.path == ("as found", "rows", "7", "Q")
    assert "on the way up" in first.hint
    assert (first.unit, first.sort) == ("gpm", "number")


def test_units_are_those_of_the_header_or_of_the_dial() -> None:
    text = "format: 1\ntest: relief\ninstruments:\n  P: {range: 0 to 250 bar, class: 1 % of span}\n"
    draft = Draft(text, "mine.yaml")
    assert draft.columns("as found") == {"Q": "gpm", "P": "bar"}
    assert draft.unit("T", "metric") == "bar"
    with_rows = text + "as found:\n  rows: |\n    P (psi); Q (L/min)\n"
    assert Draft(with_rows, "mine.yaml").columns("as found") == {"P": "psi", "Q": "L/min"}


def test_a_gauge_that_is_shared_is_not_asked_twice() -> None:
    draft = Draft((READINGS / "tractor_margin.yaml").read_text(encoding="utf-8"), "tractor.yaml")
    names = ["/".join(prompt.path) for prompt in prompts(draft)]
    assert "instruments/LS" in names
    assert "instruments/LS/range" not in names
    assert named(draft, "instruments/LS").value == "same as P"


def test_a_logger_s_file_has_no_rows_to_type() -> None:
    draft = Draft((READINGS / "hoist_logger.yaml").read_text(encoding="utf-8"), "logger.yaml")
    begun = "as left" if draft.has("as left") else "as found"
    assert draft.has(begun, "file")
    assert not [prompt for prompt in prompts(draft) if prompt.path[:2] == (begun, "rows")]


def test_cautions_stand_at_the_first_reading_of_a_section() -> None:
    draft = Draft((READINGS / "hoist_relief.yaml").read_text(encoding="utf-8"), "hoist.yaml")
    told = [prompt for prompt in prompts(draft) if prompt.cautions]
    assert [prompt.path[0] for prompt in told] == ["as found", "as left"]
    assert told[0].cautions == FORMS["relief"].cautions


def test_the_values_are_those_that_are_proven() -> None:
    path = READINGS / "hoist_relief.yaml"
    draft, read = Draft(path.read_text(encoding="utf-8"), path.name), read_readings(path)
    table = read.sections[1].table
    assert table is not None
    row = [named(draft, f"as left/rows/8/{column}").value for column in ("Q", "P", "T")]
    assert row == ["15", "2290", "19"]
    assert table.columns["P"][8] == pytest.approx(2290 * 6894.757, rel=1e-6)
    assert named(draft, "as left/repeats/1").value == "2310"
    assert named(draft, "rated flow").unit == "gpm"


def test_text_that_is_no_file_is_refused() -> None:
    with pytest.raises(InputError, match="empty"):
        Draft("", "new.yaml")


def test_lists_and_notes_of_tables() -> None:
    assert split_list("2,300 psi, 2310 psi") == ["2,300 psi", "2310 psi"]
    assert not is_row("  # a note")
    assert is_row("1 2")
