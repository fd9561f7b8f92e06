"""Files are written whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilway.errors import InputError
from oilway.files import copy_into, write_whole


@pytest.mark.parametrize("data", ["psi\n", b"\x89PNG"])
def test_a_file_is_written_and_nothing_beside_it(tmp_path: Path, data: str | bytes) -> None:
    target = tmp_path / "answer"
    target.write_text("older", encoding="utf-8")
    write_whole(target, data)
    assert target.read_bytes() == (data.encode() if isinstance(data, str) else data)
    assert list(tmp_path.iterdir()) == [target]


def test_a_folder_in_its_place_is_left_alone_and_told(tmp_path: Path) -> None:
    taken = tmp_path / "taken"
    taken.mkdir()
    with pytest.raises(InputError, match="taken: cannot be written"):
        write_whole(taken, "psi")
    assert list(tmp_path.iterdir()) == [taken]


def test_no_name_is_told() -> None:
    with pytest.raises(InputError, match="it has no name"):
        write_whole(Path(), "psi")


def test_files_are_copied_into_a_new_folder(tmp_path: Path) -> None:
    source = tmp_path / "hoist.yaml"
    source.write_text("format: 1", encoding="utf-8")
    copy_into(tmp_path / "a" / "b", [source])
    assert (tmp_path / "a" / "b" / "hoist.yaml").read_text(encoding="utf-8") == "format: 1"
    with pytest.raises(InputError, match="cannot be written"):
        copy_into(source, [source])
