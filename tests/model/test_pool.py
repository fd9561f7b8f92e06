"""Systems lent between machines: the same one wherever only numbers differ, and the same answers as one's own."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from oilway.elements.base import Part
from oilway.model.catalogue import VALVES
from oilway.model.load import read_machine
from oilway.model.machine import Machine
from oilway.model.pool import Pool
from oilway.study.story import examples

FILES = [*sorted(VALVES.glob("*.yaml")), *sorted(examples().glob("*.yaml"))]


def changed(machine: Machine, share: float) -> Machine:
    """The machine with every number larger by a share, at the operating point of those numbers."""
    known = machine.elements

    def larger(part: Part) -> Part:
        numbers = {r.name for r in known[part.name].records if r.is_quantity}
        values = {
            k: float(v) * (1 + share) if k in numbers and v is not None else v for k, v in part.values.items()
        }
        return replace(part, values=values)

    return replace(machine, parts={name: larger(part) for name, part in machine.parts.items()})


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_lent_system_gives_the_digits_of_ones_own(path: Path) -> None:
    pool = Pool()
    other = changed(read_machine(path, pool=pool), 0.01)
    assert other.system is not None  # the first in the pool, with other numbers than those asked below
    lent, own = read_machine(path, pool=pool), read_machine(path)
    assert np.array_equal(lent.theta(), own.theta())
    z = own.system.start + 0.1 * own.system.scale
    for a, b in zip(lent.system.residual(z, lent.theta()), own.system.residual(z, own.theta()), strict=True):
        assert np.array_equal(a, b)
    assert np.array_equal(lent.system.ledger_column(z, lent.theta()), own.system.ledger_column(z, own.theta()))
    assert lent.system.limits == own.system.limits
    for name in ("start", "scale", "row_scale"):
        assert np.array_equal(getattr(lent.system, name), getattr(own.system, name))


def test_numbers_that_are_parameters_share_one_system() -> None:
    pool = Pool()
    a = read_machine(Path("direct relief"), pool=pool)
    b = a.with_part("main spring", {"turns": 2.0, "rate": 90_000.0})
    assert b.system is a.system
    place = b.system.parameters["main spring.rate"]
    assert b.theta()[place] == 90_000.0
    assert a.theta()[place] == a.parts["main spring"].values["rate"] != 90_000.0


def test_a_number_built_in_a_text_and_a_key_left_out_make_another_system() -> None:
    """A limit to hold against is read while the System is assembled, and no parameter could change it."""
    pool = Pool()
    a = read_machine(Path("direct relief"), pool=pool)
    solid = a.with_part("main spring", {"solid compression": 0.02})
    assert solid.system is not a.system
    assert 0.02 in [limit.high for limit in solid.system.limits.values()]
    assert a.with_part("main spring", {"pushes": "open"}).system is not a.system
    assert a.with_part("inlet", {"rated pressure": 2e7}).system is not a.system


def test_without_a_pool_every_machine_has_its_own() -> None:
    machine = read_machine(Path("direct relief"))
    assert replace(machine).system is not machine.system


def test_no_element_reads_a_number_past_the_book_that_is_kept() -> None:
    """What is built in is known because all reading goes through ``Element.number`` and ``Element.text``."""
    elements = (VALVES.parent / "elements").glob("*.py")
    straight = {path.stem for path in elements if ".part.values" in path.read_text(encoding="utf-8")}
    assert straight == {"base"}


def test_what_was_solved_is_kept_by_system_numbers_and_question() -> None:
    pool, asked = Pool(), []
    system = read_machine(Path("direct relief"), pool=pool).system

    def answer(*key: object) -> float:
        def solve() -> float:
            asked.append(key)
            return float(len(asked))

        return pool.solved(system, np.array([1.0, float(str(key[0]))]), key[1:], solve)

    assert [answer(1, "a"), answer(1, "a"), answer(2, "a"), answer(1, "b"), answer(2, "a")] == [1, 1, 2, 3, 2]
    assert asked == [(1, "a"), (2, "a"), (1, "b")]
