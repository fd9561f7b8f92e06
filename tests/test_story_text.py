"""What `oilway demo` prints: the numbers of the story, the operator's words, and what to run next."""

from __future__ import annotations

import io
import re
import shlex
from pathlib import Path

import pytest
from rich.console import Console

from oilway import quantity
from oilway.cli import app
from oilway.story_text import CREEPS, HOLDS, motion, tell
from oilway.study.story import Story, story
from oilway.text import AUTHORITY


@pytest.fixture(scope="module")
def told() -> Story:
    return story()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("demo") / "mine"


@pytest.fixture(scope="module")
def text(folder: Path) -> str:
    out = io.StringIO()
    tell(Console(file=out, width=110, emoji=False), folder)
    return out.getvalue()


def rows(text: str, start: str) -> list[list[str]]:
    """Rows of the table whose title begins so, split where two blanks or more stand."""
    lines = text[text.index(start) :].splitlines()[1:]
    table = lines[: next(k for k, line in enumerate(lines) if not line.strip())]
    return [re.split(r"\s{2,}", line.strip()) for line in table]


def test_three_loads_with_the_numbers_of_the_story(told: Story, text: str) -> None:
    shown = rows(text, "1. Lever open")
    assert len(shown) == 1 + len(told.loads)
    for item, (name, gauge, over, *_rest) in zip(told.loads, shown[1:], strict=True):
        assert name == f"{item.condition}, {item.valve}"
        assert gauge == quantity.show(item.pump_pressure, "pressure")
        assert over == quantity.show(item.over_relief, "flow")


def test_each_regime_is_told_once_in_words(told: Story, text: str) -> None:
    flat = " ".join(text.split())
    for words in {item.words for item in told.loads}:
        assert flat.count(words) >= 1, words


def test_the_chambers_of_both_valves_stand_side_by_side(told: Story, text: str) -> None:
    for valve, chamber in (("direct-acting", "spring chamber"), ("two-stage", "back chamber")):
        table = {row[0]: row[1:] for row in rows(text, f"2. Pressure in every chamber, {valve}")[1:]}
        states = [item.state for item in told.loads if item.valve == valve]
        assert table[chamber] == [quantity.show(s.pressures[f"main relief.{chamber}"], "pressure") for s in states]


def test_the_load_close_below_the_setting_in_the_operators_words(text: str) -> None:
    table = {row[0]: row[-1] for row in rows(text, "3. A load of 2150 psi")[1:]}
    assert table["lever open, rated speed, direct-acting"].startswith("rises")
    assert table["lever open, rated speed, two-stage"].startswith("rises")
    assert table["lever open, idle, direct-acting"].startswith("creeps down")
    assert table["lever open, idle, no load check, direct-acting"].startswith("SINKS")
    assert table["lever open, idle, no load check, two-stage"].startswith("rises")
    neutral = {table[f"neutral, rated speed, {valve}"] for valve in ("direct-acting", "two-stage")}
    assert len(neutral) == 1


def test_a_picture_of_both_insides_and_a_lesson_are_left(told: Story, text: str, folder: Path) -> None:
    inside, page = folder / "two-reliefs-inside.pdf", folder / "lesson.html"
    assert str(inside) in text
    assert str(page) in text
    assert inside.read_bytes().startswith(b"%PDF")
    written = page.read_text(encoding="utf-8")
    assert 'id="lesson-data"' in written
    assert "http://" not in written.replace("http://www.w3.org/", "").partition('type="importmap"')[0]


def test_the_curves_are_printed_and_drawn(told: Story, text: str, folder: Path) -> None:
    table = {row[0]: row[1:] for row in rows(text, "4. The two curves")[1:]}
    assert table["full-flow pressure"] == [quantity.show(c.full, "pressure") for c in told.curves]
    chart = folder / "two-reliefs.svg"
    assert chart.is_file()
    assert str(chart) in text.replace("\n", "")


def test_it_ends_with_what_to_run_next(text: str, folder: Path) -> None:
    following = text[text.index("Run next") :]
    commands = [
        shlex.split(line.split("  (")[0]) for line in following.splitlines() if line.startswith("  oilway ")
    ]
    assert len(commands) >= 3
    verbs = {c.name or c.callback.__name__ for c in app.registered_commands if c.callback}
    for _, verb, *_rest in commands:
        assert verb in verbs
    named = [Path(word) for command in commands for word in command if word.endswith(".yaml")]
    assert named
    assert all(path.is_file() for path in named)
    assert " ".join(text.split()).endswith(AUTHORITY)


def test_commands_are_written_the_way_the_program_was_called(folder: Path) -> None:
    out = io.StringIO()
    tell(Console(file=out, width=110, emoji=False), folder, "python -m oilway")
    assert '  python -m oilway explain "pilot relief"' in out.getvalue()


@pytest.mark.parametrize(
    ("velocity", "said"),
    [
        (0.0, "holds"),
        (0.5 * HOLDS, "holds"),
        (-0.5 * HOLDS, "holds"),
        (-25.4e-3 / 60 / 10, "creeps down 0.1 in/min"),
        (25.4e-3 / 60, "rises 1 in/min"),
        (-2 * CREEPS, "SINKS 0.079 in/s"),
        (0.0508, "rises 2.000 in/s"),
    ],
)
def test_motion_in_the_operators_words(velocity: float, said: str) -> None:
    assert motion(velocity) == said
