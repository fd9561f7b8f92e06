"""The printed plan."""

from __future__ import annotations

import pytest
from tests.study.shop import stalled

from oilway.errors import InputError
from oilway.sheets.plan_sheet import plan_pdf, plan_pictures, save_plan
from oilway.study.plan import setting_plan


@pytest.fixture
def plan(machine):
    return setting_plan(machine(stalled()))


def test_a_plan_is_a_pdf_and_pictures_of_its_pages(plan) -> None:
    assert plan_pdf(plan).startswith(b"%PDF-")
    pages = plan_pictures(plan, "metric", "a4")
    assert len(pages) >= 1
    assert all(page.startswith(b"\x89PNG") for page in pages)


def test_it_is_written_whole_or_refused(plan, tmp_path) -> None:
    save_plan(plan, tmp_path / "plan.pdf")
    assert (tmp_path / "plan.pdf").read_bytes().startswith(b"%PDF-")
    with pytest.raises(InputError, match="printed as PDF"):
        save_plan(plan, tmp_path / "plan.svg")
    with pytest.raises(InputError, match="there is no paper 'a3'"):
        save_plan(plan, tmp_path / "other.pdf", paper="a3")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["plan.pdf"]
