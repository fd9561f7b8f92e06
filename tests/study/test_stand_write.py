"""What was typed, put into the file: every other line stays, and what cannot be is refused in words."""

from __future__ import annotations

from difflib import ndiff

import pytest

from oilway.errors import InputError
from oilway.study.stand import Draft, prompts
from oilway.study.stand_write import LONGEST, mistakes, written
from oilway.study.story import examples

FOLDER = examples() / "readings"
HOIST = (FOLDER / "hoist_relief.yaml").read_text(encoding="utf-8")


def put(text: str, name: str, typed: str) -> str:
    draft = Draft(text, "mine.yaml")
    prompt = next(prompt for prompt in prompts(draft) if "/".join(prompt.path) == name)
    return written(draft, prompt, typed, FOLDER)


def changed(before: str, after: str) -> list[str]:
    return [line for line in ndiff(before.splitlines(), after.splitlines()) if line[:2] in ("+ ", "- ")]


@pytest.mark.parametrize(
    ("name", "typed", "line"),
    [
        ("rated flow", "20", "rated flow: 20 gpm"),
        ("rated flow", "76 L/min", "rated flow: 76 L/min"),
        ("conditions/settling time", "8", "  settling time: 8 s                # each reading stood this long"),
        ("limits/override", "at most 140 psi", "  override: at most 140 psi"),
        ("as found/rows/3/P", "2185", "    2        2185    5"),
        ("as found/rows/3/P", "150 bar", "    2        2175.57 5"),
        ("as left/repeats/1", "2305", '  repeats: "2300 psi, 2305 psi, 2300 psi"'),
        ("as left/repeats/1", "", '  repeats: "2300 psi, 2300 psi"'),
        ("as left/finished", "falling", "  finished: falling"),
    ],
)
def test_one_line_changes_and_keeps_its_comment(name: str, typed: str, line: str) -> None:
    gone, came = changed(HOIST, put(HOIST, name, typed))
    assert gone.startswith("- ")
    assert came[2:].startswith(line)


def test_a_row_is_begun_filled_and_taken_away() -> None:
    text = HOIST
    for column, typed in (("Q", "0.1"), ("P", "2250"), ("T", "5")):
        text = put(text, f"as left/rows/20/{column}", typed)
    assert changed(HOIST, text) == ["+     0.1      2250    5"]
    for column in "QPT":
        text = put(text, f"as left/rows/20/{column}", "")
    assert text == HOIST


def test_a_table_in_cells_stays_one() -> None:
    text = "format: 1\nreadings: a\ntest: relief\nas found:\n  rows: |\n    Q (gpm); P (bar)\n    1; 100\n"
    text = put(text, "as found/rows/1/P", "101")
    assert text.endswith("    1; 100\n    ; 101\n")
    assert put(text, "as found/rows/1/Q", "2").endswith("    2; 101\n")


def test_the_first_reading_begins_its_section() -> None:
    text = "format: 1\nreadings: a\ntest: relief\nrated flow: 18 gpm\n# mine\n"
    text = put(text, "as found/rows/0/Q", "0.2")
    assert "as found:\n  rows: |\n    Q (gpm)  P (psi)\n    0.2      -\n" in text
    assert "# mine" in text


def test_a_key_is_taken_away_again() -> None:
    assert changed(HOIST, put(HOIST, "limits/leakage", "")) == ["-   leakage: at most 20 mL/min"]
    assert put(HOIST, "location", "").count("location") == 0


def test_a_gauge_is_shared_and_given_back() -> None:
    text = "format: 1\nreadings: a\ntest: compare\ninstruments:\n  P: {range: 0 to 4000 psi, class: 1 % of span}\n"
    shared = put(text, "instruments/P2", "same as P")
    assert "P2: same as P" in shared
    assert put(shared, "instruments/P2", "") == text


@pytest.mark.parametrize(
    ("name", "typed", "said"),
    [
        ("rated flow", "57o", "57o"),
        ("rated flow", "20 psi", "a flow is wanted"),
        ("rated flow", "-3", "above zero"),
        ("as found/rows/3/P", "twelve", "twelve"),
        ("limits/override", "150", "is no limit"),
        ("instruments/P/class", "1.6", "of span or of reading"),
        ("instruments/P/range", "0 to 4000 gpm", "a pressure is wanted"),
        ("conditions/cleanliness", "dirty", "no code"),
        ("as left/finished", "sideways", "none of: rising, falling"),
        ("test", "reliefs", "none of: relief"),
        ("as left/leakage time", "0", "above zero"),
        ("location", "x" * (LONGEST + 1), "longer than"),
        ("date", "\x07", "printed"),
    ],
)
def test_what_cannot_be_is_refused(name: str, typed: str, said: str) -> None:
    if name == "as left/leakage time":
        name += "/0"
    with pytest.raises(InputError, match=said):
        put(HOIST, name, typed)


def test_what_is_still_missing_is_no_mistake() -> None:
    text = "format: 1\nreadings: a\ntest: relief\n"
    assert mistakes(text, "mine.yaml", FOLDER)
    assert "range" in put(text, "instruments/P/range", "0 to 4000 psi")
    assert "override" in put(text, "limits/override", "at most 140 psi")


def test_a_section_in_braces_takes_no_rows() -> None:
    text = "format: 1\nreadings: a\ntest: relief\nas found: {finished: rising}\n"
    with pytest.raises(InputError, match="needs a line of its own"):
        put(text, "as found/rows/0/Q", "1")
