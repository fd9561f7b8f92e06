"""The setting plan over HTTP: the data of the printed plan, or every reason why there is none."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.page.conftest import HOIST

import oilway
from oilway.page.plan_routes import Plans
from oilway.page.session import Session
from oilway.study.plan import setting_plan
from oilway.study.plan_data import plan_data

Serve = Callable[..., TestClient]


def test_the_page_has_the_plan_of_the_command(hoist: TestClient) -> None:
    assert "Setting plan" in hoist.get("/plan").text
    for units in ("shop", "metric"):
        assert hoist.get(f"/api/plan?units={units}").json() == plan_data(setting_plan(oilway.load(HOIST)), units)


def test_it_is_printed(hoist: TestClient) -> None:
    answer = hoist.get("/api/plan.pdf?units=metric")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
    assert "no paper 'foolscap'" in hoist.get("/api/plan.pdf?paper=foolscap").json()["problem"]["what"]


def test_a_missing_rating_is_told_with_its_line_and_what_to_add(serve: Serve, own_hoist: Path) -> None:
    lines = own_hoist.read_text(encoding="utf-8").splitlines(keepends=True)
    at = next(k for k, line in enumerate(lines) if line.lstrip().startswith("rated pressure:"))
    own_hoist.write_text("".join(lines[:at] + lines[at + 1 :]), encoding="utf-8")
    (problem,) = serve(own_hoist).get("/api/plan").json()["problems"]
    assert problem["file"] == "hoist.yaml"
    assert lines[problem["line"] - 1].strip().rstrip(":") in problem["what"]
    assert "add 'rated pressure: ...'" in problem["hint"]
    assert serve(own_hoist).get("/api/plan.pdf").status_code == 400


def test_a_valve_alone_asks_for_its_rating(serve: Serve) -> None:
    client = serve("direct relief")
    assert "--rated" in client.get("/api/plan").json()["problems"][0]["hint"]
    (step,) = client.get("/api/plan?rated=3500 psi").json()["steps"]
    assert step["lowest rating"]["pressure"]["said"] == "3500 psi"
    (problem,) = client.get("/api/plan?rated=3500 gpm").json()["problems"]
    assert "a pressure is wanted" in problem["what"]


def test_a_plan_is_solved_once_for_each_state_of_the_file(own_hoist: Path) -> None:
    session = Session(str(own_hoist))
    plans = Plans(session)
    first = plans.plan("")
    assert plans.plan("") is first
    own_hoist.write_text(own_hoist.read_text(encoding="utf-8").replace("hoist", "ram"), encoding="utf-8")
    assert session.reload_if_changed()
    again = plans.plan("")
    assert again is not first
    assert "ram" in again.machine.title


def test_the_plan_leaves_the_machine_of_the_sliders_alone(own_hoist: Path) -> None:
    session = Session(str(own_hoist))
    machine = session.side("a").machine
    planned = Plans(session).plan("").machine
    assert planned is not machine
    assert planned.system is not machine.system  # which is not for two threads at once


@pytest.mark.parametrize("path", ["/plan", "/api/plan", "/api/plan.pdf"])
def test_another_site_gets_no_plan(hoist: TestClient, path: str) -> None:
    assert hoist.get(path, headers={"Host": "example.org"}).status_code == 403
    assert hoist.get(path, headers={"Origin": "http://example.org"}).status_code == 403
