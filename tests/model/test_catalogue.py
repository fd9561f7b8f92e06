"""The catalogue finds kinds and valves."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilway.model.catalogue import VALVES, find_valve, is_file, kinds, shipped_valves


def test_kinds_come_by_the_word_of_the_file() -> None:
    assert kinds()["orifice"].kind == "orifice"
    assert next(iter(kinds())) == "tank"


def test_shipped_valves_are_the_files_of_the_folder() -> None:
    assert {path.stem.replace("_", " ") for path in VALVES.glob("*.yaml")} == set(shipped_valves())


@pytest.mark.parametrize("name", ["direct relief", "direct_relief", " Direct Relief "])
def test_a_shipped_name_in_any_spelling(name: str) -> None:
    assert find_valve(name, None) == VALVES / "direct_relief.yaml"


def test_a_path_is_looked_for_beside_the_file_that_names_it(tmp_path: Path) -> None:
    (tmp_path / "mine.yaml").write_text("", encoding="utf-8")
    assert find_valve("mine.yaml", tmp_path) == tmp_path / "mine.yaml"
    assert find_valve(str(tmp_path / "mine.yaml"), Path("elsewhere")) == tmp_path / "mine.yaml"
    assert find_valve("mine.yaml", tmp_path / "sub") is None
    assert find_valve("no such valve", tmp_path) is None


@pytest.mark.parametrize("name", ["x" * 5000, "a\0b", "", "."])
def test_a_name_that_no_system_takes_is_no_file(name: str) -> None:
    assert not is_file(Path(name))
