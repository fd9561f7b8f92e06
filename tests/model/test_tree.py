"""From text to a tree that knows its lines."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilway.errors import InputError
from oilway.model import tree
from oilway.model.tree import Block, Problems, Series, Text, block_of, check_keys, read_file, read_text, text_of


def refused(text: str) -> str:
    with pytest.raises(InputError) as caught:
        read_text(text, "m.yaml")
    assert caught.value.exit_status == 2
    return str(caught.value)


def test_everything_is_text_and_knows_its_line() -> None:
    read = read_text("a: 012\nb:\n  c: yes\n  d: [1.0, {e: null}]\n")
    assert read.items["a"] == Text("012", read.keys["a"])
    inner = read.items["b"]
    assert isinstance(inner, Block)
    assert (inner.items["c"].text, inner.keys["c"].line) == ("yes", 3)  # type: ignore[union-attr]
    series = inner.items["d"]
    assert isinstance(series, Series)
    assert series.items[0].text == "1.0"  # type: ignore[union-attr]
    assert (series.where.line, series.items[1].keys["e"].line) == (4, 4)  # type: ignore[union-attr]


def test_a_missing_key_stands_where_its_block_does() -> None:
    read = read_text("a: 1\nb:\n  c: 2\n")
    inner = block_of(read, "b", Problems(), "file")
    assert (inner.place("c").line, inner.place("z").line) == (3, 3)


def test_a_key_twice_names_both_lines() -> None:
    assert refused("parts: 1\nx: 2\nparts: 3\n") == "m.yaml:3: 'parts' stands here twice (first on line 1)"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a: 1\nb:\n\tc: 2\n", "m.yaml:3: not readable as YAML: found character '\\t'"),
        ("a: [1\n", "m.yaml:2: not readable as YAML"),
        ("a: 1\n b: 2\n", "m.yaml:2: not readable as YAML"),
        ("a: 'x\n", "m.yaml:2: not readable as YAML"),
        ("a: 1\n---\nb: 2\n", "m.yaml:2: not readable as YAML"),
        ("a: *b\n", "m.yaml:1: not readable as YAML"),
        ("a: \x01\n", "m.yaml:1: not readable as YAML"),
        ("", "m.yaml:1: the file is empty"),
        ("# only a remark\n", "m.yaml:1: the file is empty"),
        ("- a\n- b\n", "m.yaml:1: a file starts with keys such as 'format: 1'"),
        ("hello\n", "m.yaml:1: a file starts with keys"),
        ("a: 1\n? [x, y]\n: 2\n", "m.yaml:2: a key is a plain name"),
        ("a: &x 1\nb: *x\n", "m.yaml:1: anchors and aliases are not used in Oilway files"),
        ("a:\n  b: &x {c: 1}\n", "m.yaml:2: anchors and aliases are not used"),
        ("a: &x [*x]\n", "m.yaml:1: anchors and aliases are not used"),
        ("a: " + "[" * 20 + "]" * 20, "m.yaml:1: nested too deep"),
        ("a: " + "[" * 5000 + "]" * 5000, "m.yaml:1:"),
    ],
    ids=lambda value: repr(value)[:30],
)
def test_bad_yaml_is_told_with_its_line(text: str, said: str) -> None:
    assert refused(text).startswith(said)


@pytest.mark.parametrize(("escape", "said"), [("\\x07", "U+0007"), ("\\0", "U+0000"), ("\\ud800", "U+D800")])
def test_a_character_that_no_picture_can_show_is_told_with_its_line(escape: str, said: str) -> None:
    assert refused(f'a: 1\nb: "x{escape}y"\n').startswith(f"m.yaml:2: the character {said} cannot be printed")
    assert said in refused(f'"x{escape}y": 1\n')


def test_other_letters_and_line_ends_of_a_text_stay() -> None:
    assert text_of(read_text('a: "é ½\\n\\t° \U0001f69c"\n'), "a", Problems(), "file") == "é ½\n\t° \U0001f69c"


def test_problems_come_in_the_order_of_their_lines_and_once() -> None:
    problems, read = Problems(), read_text("a: 1\nb: 2\n", "m.yaml")
    problems.unknown_key(read.place("b"), "file", "b", ["bb"])
    problems.unknown_key(read.place("a"), "file", "a", ["one", "two"])
    problems.unknown_key(read.place("a"), "file", "a", ["one", "two"])
    with pytest.raises(InputError) as caught:
        problems.stop_if_any()
    assert str(caught.value).splitlines() == [
        "m.yaml:1: file: unknown key 'a' (known here: one, two)",
        "m.yaml:2: file: unknown key 'b' (did you mean 'bb'?)",
    ]


def test_one_value_is_wanted_where_one_is_wanted() -> None:
    read, problems = read_text("a: {b: 1}\nc:\nd: 1\n", "m.yaml"), Problems()
    assert text_of(read, "a", problems, "file") == ""
    assert text_of(read, "c", problems, "file") == ""
    assert text_of(read, "e", problems, "file") == ""
    assert text_of(read, "c", problems, "file", "x") == ""
    assert text_of(read, "e", problems, "file", "x") == "x"
    assert [str(p) for p in problems.found] == [
        "m.yaml:1: file: 'a' takes one value",
        "m.yaml:2: file: 'c' is empty",
        "m.yaml:1: file: missing key 'e'",
    ]


def test_keys_are_wanted_where_keys_are_wanted() -> None:
    read, problems = read_text("a: x\nb:\n", "m.yaml"), Problems()
    assert block_of(read, "a", problems, "file").items == {}
    assert block_of(read, "b", problems, "file").items == {}
    assert [str(p) for p in problems.found] == ["m.yaml:1: file: 'a' takes keys of its own, one a line"]


def test_unknown_keys_are_told_each() -> None:
    problems = Problems()
    check_keys(read_text("wen: 1\nsay: 2\n", "m.yaml"), ("when", "say"), problems, "states")
    assert [str(p) for p in problems.found] == ["m.yaml:1: states: unknown key 'wen' (did you mean 'when'?)"]


def test_a_file_is_shown_by_its_name(tmp_path: Path) -> None:
    path = tmp_path / "hoist.yaml"
    path.write_text("a: 1\na: 2\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"^hoist.yaml:2: 'a' stands here twice"):
        read_file(path)


def test_a_byte_order_mark_is_no_part_of_the_text(tmp_path: Path) -> None:
    path = tmp_path / "hoist.yaml"
    path.write_bytes(b"\xef\xbb\xbfformat: 1\r\nnote: x\r\n")
    assert list(read_file(path).items) == ["format", "note"]


def test_other_text_than_utf_8_is_told_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "hoist.yaml"
    path.write_bytes("format: 1\nnote: 20 µm\n".encode("latin-1"))
    with pytest.raises(InputError, match=r"^hoist.yaml:2: not UTF-8 text \(save it as UTF-8\)"):
        read_file(path)


def test_a_missing_file_names_one_beside_it(tmp_path: Path) -> None:
    (tmp_path / "hoist.yaml").write_text("format: 1\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"hoists.yaml: no such file \(did you mean 'hoist.yaml'\?\)"):
        read_file(tmp_path / "hoists.yaml")
    with pytest.raises(InputError, match="is a directory"):
        read_file(tmp_path)


def test_a_file_far_too_large_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "log.yaml"
    path.write_bytes(b"#" * (tree.LARGEST_FILE + 1))
    with pytest.raises(InputError, match="larger than 1 MB"):
        read_file(path)
