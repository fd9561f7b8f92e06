"""The setting plan as PDF, or as pictures of its pages: ``plan.typ`` filled with the data of a plan."""

from __future__ import annotations

from pathlib import Path

from oilway.errors import InputError, Place, Problem
from oilway.files import write_whole
from oilway.quantity import Units
from oilway.sheets.setter import set_pages
from oilway.study.plan import Plan
from oilway.study.plan_data import plan_data

TEMPLATE = "plan.typ"


def plan_pdf(plan: Plan, units: Units = "shop", paper: str = "letter") -> bytes:
    """The plan as PDF.  Errors: :class:`InputError` for an unknown paper."""
    (pdf,) = set_pages(TEMPLATE, plan_data(plan, units), paper=paper)
    return pdf


def plan_pictures(plan: Plan, units: Units = "shop", paper: str = "letter") -> list[bytes]:
    """Each page as PNG."""
    return set_pages(TEMPLATE, plan_data(plan, units), paper=paper, form="png")


def save_plan(plan: Plan, path: Path, units: Units = "shop", paper: str = "letter") -> None:
    """Write the plan as PDF, whole or not at all.  Errors: :class:`InputError` for a path that is no .pdf."""
    if path.suffix.lower() != ".pdf":
        raise InputError(Problem(Place(str(path)), "a plan is printed as PDF", "give the file the ending .pdf"))
    write_whole(path, plan_pdf(plan, units, paper))
