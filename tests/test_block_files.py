"""Blocks kept in a folder: the same bits come back, only the rest is solved, and two spreads never mix."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import pyarrow.parquet
import pytest

import oilway
from oilway.block_files import FAILURE, MADE_FROM, MANIFEST, kept_in, name_of
from oilway.errors import InputError
from oilway.study import spread_job
from oilway.study.spread import Spread, spread
from oilway.study.spread_job import Job, one_after_another
from oilway.study.spread_work import Block

SMALL = 20


@pytest.fixture(autouse=True)
def _small_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(spread_job, "BLOCK", SMALL)


class Counting:
    """Solves blocks here, and notes which; gives up after so many of them."""

    def __init__(self, most: int = 99) -> None:
        self.solved: list[range] = []
        self.most = most

    def __call__(self, job: Job, blocks: Sequence[range]) -> Iterator[Block]:
        for block in blocks:
            if len(self.solved) == self.most:
                raise KeyboardInterrupt
            self.solved.append(block)
            yield from one_after_another(job, [block])


def asked(folder: Path | None, over: Counting | None = None, **more: object) -> Spread:
    """Seventy sets of the direct-acting relief."""
    solve = kept_in(folder, {"file": "direct relief"}, over or Counting()) if folder else one_after_another
    return spread(oilway.load("direct relief"), **{"number": 70, "over": solve, **more})


def same(one: Spread, other: Spread) -> bool:
    """Whether every number of two spreads has the same bits."""
    pairs = zip(one.outputs, other.outputs, strict=True)
    return all(np.array_equal(a.values, b.values, equal_nan=True) for a, b in pairs) and np.array_equal(
        one.band.single, other.band.single, equal_nan=True
    )


def test_begun_again_it_solves_only_the_rest_and_has_the_same_bits(tmp_path: Path) -> None:
    folder, again = tmp_path / "sets", Counting()
    with pytest.raises(KeyboardInterrupt):
        asked(folder, Counting(2))
    told = asked(folder, again)
    assert again.solved == [range(40, 60), range(60, 70)]
    assert same(told, asked(None))
    nothing = Counting()
    assert same(asked(folder, nothing), told)
    assert nothing.solved == []


def test_other_parts_seeds_or_questions_are_refused_and_change_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "sets"
    asked(folder)
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    others = (
        ({"seed": 2}, "seed: 1 there, 2 here"),
        ({"declared": {"main spring.rate": "5 %"}}, "tolerances"),
        ({"anew": True}, "adjusters"),
        ({"number": 71}, "number"),
        ({"point": {"oil temperature": 15.0}}, "operating point"),
    )
    for more, said in others:
        with pytest.raises(InputError, match=said):
            asked(folder, **more)
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before
    asked(folder, limits={"override": "at most 60 psi"})  # judged afterwards: the sets are the same


def test_a_changed_valve_file_inside_a_machine_is_another_spread(tmp_path: Path) -> None:
    own, file = tmp_path / "own.yaml", tmp_path / "hoist.yaml"
    own.write_text(Path("src/oilway/valves/pilot_relief.yaml").read_text())
    file.write_text(
        Path("examples/tipping_hoist.yaml").read_text().replace("valve: pilot relief", "valve: own.yaml")
    )
    spread(oilway.load(str(file)), number=20, over=kept_in(tmp_path / "sets"))
    own.write_text(own.read_text() + "# another word\n")
    with pytest.raises(InputError, match="files sha256"):
        spread(oilway.load(str(file)), number=20, over=kept_in(tmp_path / "sets"))


def test_the_manifest_says_where_it_comes_from(tmp_path: Path) -> None:
    asked(tmp_path / "sets")
    told = json.loads((tmp_path / "sets" / MANIFEST).read_text())
    assert told[MADE_FROM]["oilway version"] == oilway.__version__
    assert told[MADE_FROM]["seed"] == 1
    assert list(told[MADE_FROM]["files sha256"]) == ["direct_relief.yaml"]
    assert told["asked with"] == {"file": "direct relief"}


def test_the_folder_is_a_table_with_what_was_drawn_and_why_there_is_none(tmp_path: Path) -> None:
    folder = tmp_path / "sets"
    told = spread(
        oilway.load("pilot relief"), {"pilot spring.rate": "60 %"}, number=40, anew=True, over=kept_in(folder)
    )
    table = pyarrow.parquet.read_table(folder)  # readers pass over the manifest
    assert sorted(table.column("set").to_pylist()) == list(range(1, 41))
    why = dict(zip(table.column("set").to_pylist(), table.column(FAILURE).to_pylist(), strict=True))
    assert {k for k, text in why.items() if text} == {f.index for f in told.failures} != set()
    rates = table.column("pilot spring.rate").to_numpy()
    assert np.ptp(rates) > 0
    again = spread(
        oilway.load("pilot relief"), {"pilot spring.rate": "60 %"}, number=40, anew=True, over=kept_in(folder)
    )
    assert [str(f) for f in again.failures] == [str(f) for f in told.failures]


def test_a_folder_of_something_else_and_a_broken_block_are_refused(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("dear")
    with pytest.raises(InputError, match="holds other files"):
        asked(tmp_path)
    folder = tmp_path / "sets"
    asked(folder)
    block = folder / name_of(range(20, 40))
    block.write_bytes(block.read_bytes()[:100])
    with pytest.raises(InputError, match="delete it"):
        asked(folder)
    block.unlink()
    assert same(asked(folder), asked(None))
