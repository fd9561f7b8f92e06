"""The workshop behind the forms: texts change as asked, what is wrong is told, and no file is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilway import loads
from oilway.errors import InputError
from oilway.page.workshop import BLANKS, Workshop
from oilway.study.story import examples


@pytest.fixture
def workshop(tmp_path: Path) -> Workshop:
    return Workshop(tmp_path)


def test_everything_one_may_start_from_is_sound(workshop: Workshop) -> None:
    offered = workshop.forms()["start from"]
    assert {"tipping_hoist.yaml", "direct relief", *BLANKS} <= set(offered)
    for name in offered:
        assert workshop.start(name)["problems"] == [], name


def test_a_machine_is_put_together_part_by_part(workshop: Workshop) -> None:
    text = workshop.start("a blank machine")["text"]
    steps = [
        {"what": "add", "name": "cap line", "keys": {"kind": "chamber", "volume": "0.5 L"}},
        {"what": "add", "name": "rod line", "keys": {"kind": "chamber", "volume": "0.5 L"}},
        {"what": "add", "name": "lever valve", "keys": {
            "kind": "valve", "valve": "lever valve", "P": "pump line", "T": "tank", "A": "cap line",
            "B": "rod line"}},
        {"what": "add", "name": "ram", "keys": {
            "kind": "cylinder", "cap": "cap line", "rod": "rod line", "bore": "80 mm", "rod diameter": "45 mm",
            "stroke": "600 mm", "position": ""}},
        {"what": "add", "name": "log", "keys": {"kind": "load", "on": "ram", "load pressure": "800 psi"}},
        {"what": "add", "name": "gauge", "keys": {"kind": "gauge", "at": "pump line", "span": "3000 psi"}},
        {"what": "set", "path": ["operating point", "lever"], "value": "1"},
    ]  # fmt: skip
    for step in steps:
        answer = workshop.changed(text, step)
        text = answer["text"]
    assert answer["problems"] == []
    assert answer["tree"]["parts"]["log"] == {"kind": "load", "on": "ram", "load pressure": "800 psi"}
    assert "position" not in answer["tree"]["parts"]["ram"]  # an empty field is left out
    assert text.startswith("# A machine of your own.")
    machine = loads(text)
    assert machine.point == {"lever valve.spool.position": 1.0}


def test_what_is_wrong_is_told_by_line_and_the_form_stays(workshop: Workshop) -> None:
    text = workshop.start("a blank machine")["text"]
    answer = workshop.changed(text, {"what": "set", "path": ["parts", "pump", "displacement"], "value": "30 psi"})
    line = next(n for n, said in enumerate(text.splitlines(), 1) if "fixed pump" in said)
    assert [p["line"] for p in answer["problems"]] == [line]
    assert "is a pressure" in answer["problems"][0]["what"]
    assert answer["tree"]["parts"]["pump"]["displacement"] == "30 psi"


def test_comments_of_an_example_stay(workshop: Workshop) -> None:
    text = (examples() / "tipping_hoist.yaml").read_text(encoding="utf-8")
    where = ["parts", "hoist cylinder", "bore"]
    changed = workshop.changed(text, {"what": "set", "path": where, "value": "110 mm"})["text"]
    differing = [b for a, b in zip(text.splitlines(), changed.splitlines(), strict=True) if a != b]
    assert differing == ["    bore: 110 mm"]


@pytest.mark.parametrize("do", [{}, {"what": "burn"}, {"what": "set", "path": []}, {"what": "add", "name": "x"}])
def test_what_is_no_change_is_refused(workshop: Workshop, do: dict[str, object]) -> None:
    with pytest.raises(InputError, match="is no change"):
        workshop.changed("a: 1\n", do)


def test_a_file_is_kept_and_opened_again(workshop: Workshop) -> None:
    saved = workshop.save("my machine.yaml", BLANKS["a blank machine"])
    assert saved["saved"] == "my machine.yaml"
    again = workshop.start("my machine.yaml")
    assert again["text"] == BLANKS["a blank machine"]
    workshop.save("my machine.yaml", again["text"] + "# more\n", again["was"])
    assert (workshop.folder / "my machine.yaml").read_text(encoding="utf-8").endswith("# more\n")


def test_a_file_that_has_changed_meanwhile_is_not_overwritten(workshop: Workshop) -> None:
    workshop.save("mine.yaml", BLANKS["a blank machine"])
    was = workshop.start("mine.yaml")["was"]
    (workshop.folder / "mine.yaml").write_text("written by hand", encoding="utf-8")
    for mark in ("", was):
        with pytest.raises(InputError, match=r"there is a 'mine\.yaml' already"):
            workshop.save("mine.yaml", "lost", mark)
    assert (workshop.folder / "mine.yaml").read_text(encoding="utf-8") == "written by hand"


@pytest.mark.parametrize(
    "name", ["../up.yaml", "a/b.yaml", ".hidden.yaml", "x.txt", "", "x.yaml\n", "c:\\x.yaml", "x" * 99 + ".yaml"]
)
def test_a_name_that_leaves_the_folder_is_refused(workshop: Workshop, name: str) -> None:
    with pytest.raises(InputError, match="is no name for a file here"):
        workshop.save(name, "a: 1\n")
    assert list(workshop.folder.iterdir()) == []


def test_a_valve_of_the_folder_can_be_mounted(workshop: Workshop) -> None:
    workshop.save("bench relief.yaml", BLANKS["a blank relief valve"])
    forms = {form["kind"]: form for form in workshop.forms()["valves"]}
    assert [f["name"] for f in forms["bench relief.yaml"]["fields"]][:2] == ["P", "T"]
    text = workshop.changed(
        BLANKS["a blank machine"],
        {"what": "set", "path": ["parts", "main relief", "valve"], "value": "bench relief.yaml"},
    )
    assert text["problems"] == []
