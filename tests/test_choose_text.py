"""A choice on the terminal."""

from __future__ import annotations

import io

from rich.console import Console

from oilway.choose_text import print_choice, print_jobs
from oilway.quantity import GALLON, MINUTE, PSI
from oilway.study.choose import JOBS, Duty, choose


def printed(duty: Duty, units: str = "shop") -> str:
    out = io.StringIO()
    print_choice(Console(file=out, width=200), choose(duty), units)
    return out.getvalue()


def test_what_to_fit_stands_before_what_is_against_the_others() -> None:
    text = printed(Duty("limit a pump line", 2500 * PSI, 22 * GALLON / MINUTE, steady=200 * PSI))
    fit = text.index("Fit: pilot relief, drain internal")
    assert fit < text.index("setting: 2500 psi at 22.00 gpm") < text.index("direct relief: against it:")
    assert "! it loses oil from" in text


def test_where_something_is_against_every_kind_it_is_said() -> None:
    duty = Duty("lower pressure in a branch", 700 * PSI, 5 * GALLON / MINUTE, other=2300 * PSI, steady=1 * PSI)
    assert "Something goes wrong with every kind" in printed(duty)


def test_the_list_of_jobs_names_both_pressures() -> None:
    out = io.StringIO()
    print_jobs(Console(file=out, width=120), JOBS)
    assert out.getvalue().count("--pressure:") == len(JOBS)
    assert "--other: pressure of the second load" in out.getvalue()
