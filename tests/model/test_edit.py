"""Editing a file as text: what was asked for changes, and nothing else does."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oilway.errors import InputError
from oilway.model.catalogue import find_valve, shipped_valves
from oilway.model.edit import lines_of, with_lines, with_part, with_value, without
from oilway.model.tree import Block, Series, Text, read_text
from oilway.study.story import examples

FILES = [*sorted(examples().glob("*.yaml")), *(p for v in shipped_valves() if (p := find_valve(v, None)))]


def leaves(block: Block, path: tuple[str, ...] = ()) -> dict[tuple[str, ...], str]:
    """Every value of a tree by its path."""
    found = {}
    for key, value in block.items.items():
        if isinstance(value, Block):
            found.update(leaves(value, (*path, key)))
        elif isinstance(value, Text):
            found[(*path, key)] = value.text
        elif isinstance(value, Series):
            found[(*path, key)] = repr([i.text if isinstance(i, Text) else i.items for i in value.items])
    return found


def plain(found: dict[tuple[str, ...], str]) -> dict[tuple[str, ...], str]:
    """Without lists, whose repr holds line numbers."""
    return {path: text for path, text in found.items() if not text.startswith("[")}


def comments(text: str) -> list[str]:
    return [line[line.index("#") :] for line in text.splitlines() if "#" in line]


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_a_changed_value_changes_nothing_else(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    before = plain(leaves(read_text(text)))
    for where in list(before)[::12]:
        changed = with_value(text, where, "17.5 cm3 # odd: {one}")
        assert plain(leaves(read_text(changed))) == before | {where: "17.5 cm3 # odd: {one}"}
        assert len(changed.splitlines()) <= len(text.splitlines())
        kept = comments(changed.replace('"17.5 cm3 # odd: {one}"', ""))
        assert kept == comments(text)


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_a_key_is_added_and_taken_away_again(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    before = plain(leaves(read_text(text)))
    for owner in sorted({p[:2] for p in before if p[0] == "parts"})[::4]:
        added = with_value(text, (*owner, "a new key"), "3 mm")
        assert plain(leaves(read_text(added))) == before | {(*owner, "a new key"): "3 mm"}
        assert comments(added) == comments(text)
        assert plain(leaves(read_text(without(added, (*owner, "a new key"))))) == before


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_a_part_is_added_and_any_is_taken_away(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    before = plain(leaves(read_text(text)))
    keys = {"kind": "gauge", "at": "line 2", "span": "4000 psi"}
    added = with_part(text, "gauge 7", keys)
    assert plain(leaves(read_text(added))) == before | {("parts", "gauge 7", k): v for k, v in keys.items()}
    assert comments(added) == comments(text)
    for part in sorted({p[1] for p in before if p[0] == "parts"})[::4]:
        less = plain(leaves(read_text(without(text, ("parts", part)))))
        assert less == {p: t for p, t in before.items() if p[:2] != ("parts", part)}


def test_missing_mappings_on_the_way_are_added() -> None:
    text = "format: 1\nmachine: m # named so\n"
    changed = with_value(text, ("operating point", "lever"), "1")
    assert changed == "format: 1\nmachine: m # named so\noperating point:\n  lever: 1\n"
    braces = with_value("a: {}\n", ("a", "b", "c"), "1")
    assert braces == "a: {b: {c: 1}}\n"


def test_an_empty_value_is_filled() -> None:
    assert with_value("a:\nb: 2\n", ("a",), "1 psi") == "a: 1 psi\nb: 2\n"
    assert with_value('a: "" # none\nb: 2\n', ("a",), "1 psi") == "a: 1 psi # none\nb: 2\n"


def test_a_text_on_lines_of_its_own_is_replaced() -> None:
    assert with_value("a: |\n  one\n  two\n# kept\nb: 2\n", ("a",), "x") == "a: x\n# kept\nb: 2\n"


@pytest.mark.parametrize(
    ("path", "said"),
    [(("a", "b"), "single value"), (("c",), "keys of its own")],
)
def test_a_path_that_leads_nowhere_is_refused(path: tuple[str, ...], said: str) -> None:
    with pytest.raises(InputError, match=said):
        with_value("a: 1\nc:\n  d: 2\n", path, "3")


def test_a_name_taken_and_a_key_that_is_not_there_are_refused() -> None:
    with pytest.raises(InputError, match=r"text:2: there is a part 'x' already"):
        with_part("parts:\n  x: {kind: gauge}\n", "x", {"kind": "gauge"})
    with pytest.raises(InputError, match="there is no key 'y'"):
        without("a: 1\n", ("y",))


@given(st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=30))
@settings(max_examples=150, deadline=None)
def test_any_value_is_read_back_as_it_was(value: str) -> None:
    wanted = value.strip()
    for text, path in (("a: 1 # note\nb: 2\n", ("a",)), ("a: {b: 1, c: 2} # note\n", ("a", "b"))):
        changed = with_value(text, path, wanted)
        assert leaves(read_text(changed))[path] == wanted
        assert changed.endswith("# note\nb: 2\n" if path == ("a",) else "c: 2} # note\n")


# -- lines of their own --------------------------------------------------------------------------------------
ROWS = """\
# mine
as found:
  rows: |  # typed
      Q (gpm)  P (psi)
      1        100

      # a note
      2        110

  finished: rising   # last
"""


def test_lines_of_a_block_are_read_and_written_with_their_margin() -> None:
    lines = lines_of(ROWS, ("as found", "rows"))
    assert lines[:2] == ["Q (gpm)  P (psi)", "1        100"]
    assert with_lines(ROWS, ("as found", "rows"), lines) == ROWS
    longer = with_lines(ROWS, ("as found", "rows"), [*lines, "3        120"])
    assert longer == ROWS.replace("      2        110\n", "      2        110\n      3        120\n")


def test_lines_are_added_where_none_were_and_go_again() -> None:
    text = "a: 1\nb:\n  c: 2\n"
    added = with_lines(text, ("b", "rows"), ["x", "y"])
    assert added == "a: 1\nb:\n  c: 2\n  rows: |\n    x\n    y\n"
    assert with_lines(added, ("b", "rows"), []) == text
    assert with_lines(text, ("b", "rows"), []) == text
    assert lines_of(text, ("b", "rows")) == []


def test_between_braces_there_are_no_lines() -> None:
    with pytest.raises(InputError, match="needs a line of its own"):
        with_lines("b: {c: 2}\n", ("b", "rows"), ["x"])


def test_a_dash_alone_is_a_text_and_no_list() -> None:
    assert with_value("a: 1\n", ("a",), "-") == 'a: "-"\n'
