"""The form over HTTP: to this computer only, odd questions refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.page.conftest import BASE
from tests.page.test_enter import enter

from oilway.page.enter import Enter
from oilway.page.enter_routes import enter_app
from oilway.page.guard import LARGEST

__all__ = ["enter"]
POSTS = ("find", "check", "put", "override")


@pytest.fixture
def client(enter: Enter) -> TestClient:
    return TestClient(enter_app(enter), base_url=BASE)


def test_the_page_and_its_answers(client: TestClient, enter: Enter) -> None:
    for path in ("/", "/enter"):
        assert "Whose sheet?" in client.get(path).text
    was = client.get("/api/enter?student=A").json()["was"]
    question = {"student": "A", "field": "item/inlet", "typed": "70b"}
    assert client.post("/api/enter/check", json=question).json()["mark"]["verdict"]
    state = client.post("/api/enter/put", json={**question, "was": was}).json()
    change = {"student": "A", "item": "inlet", "marks": "1", "reason": "why", "was": state["was"]}
    state = client.post("/api/enter/override", json=change).json()
    assert state["sheet"]["fields"][0]["mark"]["marks"] == 1
    assert client.post("/api/enter/find", json={"code": state["sheet"]["code"]}).json() == {"student": "A"}
    assert client.get("/api/enter/ahead").json()["of"] == 2


def test_what_is_being_typed_is_told_as_data_and_what_is_given_as_an_error(client: TestClient) -> None:
    was = client.get("/api/enter?student=A").json()["was"]
    question = {"student": "A", "field": "item/state.r1", "typed": "9"}
    told = client.post("/api/enter/check", json=question)
    assert (told.status_code, "of 1 that there are" in told.json()["problem"]["what"]) == (200, True)
    assert client.post("/api/enter/put", json={**question, "was": was}).status_code == 400


@pytest.mark.parametrize("question", [[], "x", {"student": 3}, {"student": ["A"], "typed": {}}, {"student": "A"}])
def test_odd_questions_are_refused(client: TestClient, enter: Enter, question: object) -> None:
    for name in POSTS:
        if name != "check" or not isinstance(question, dict):
            assert client.post(f"/api/enter/{name}", json=question).status_code == 400
    assert not any(path.exists() for path in enter.files.values())


def test_others_are_kept_out(client: TestClient, tmp_path: Path) -> None:
    assert client.get("/api/enter", headers={"Host": "example.org"}).status_code == 403
    assert client.get("/api/enter", headers={"Sec-Fetch-Site": "cross-site"}).status_code == 403
    for name in POSTS:
        path = f"/api/enter/{name}"
        assert client.post(path, json={}, headers={"Origin": "http://example.org"}).status_code == 403
        assert client.post(path, json={"typed": "x" * LARGEST}).status_code == 413
        assert client.post(path, content="student=A").status_code == 415
        assert client.get(path).status_code == 405
    for path in ("/static/../enter.py", "/static/%2e%2e/enter.py", "/answers.csv"):
        assert client.get(path).status_code == 404
