"""The interpreted loop over the steps, on a problem with a closed solution."""

from __future__ import annotations

import pytest
from tests.solve import loops

from oilway.solve.interpreted_runs import Loop
from oilway.solve.tape import Interpreted


@pytest.mark.parametrize("sets", [1, 5, loops.SETS])
def test_every_set_gets_to_its_own_solution(sets: int) -> None:
    lists = loops.problem()
    loops.check(Loop(lists), loops.kept(lists, Interpreted, sets), sets)


def test_a_set_that_gives_up_leaves_the_others_alone() -> None:
    lists = loops.problem()
    loops.check_that_one_gives_up(Loop(lists), loops.kept(lists, Interpreted))
