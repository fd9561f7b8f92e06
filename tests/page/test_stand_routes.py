"""The stand over HTTP: on this computer, and behind the door word in the room."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.page.conftest import BASE

from oilway.page.classroom import Classroom
from oilway.page.guard import LARGEST
from oilway.page.stand import Stand
from oilway.page.stand_routes import stand_app
from oilway.study.story import examples

ROOM = "http://192.0.2.7:8766"
GETS = ("/api/stand", "/api/stand/sheet.pdf", "/api/stand/chart.svg")
POSTS = ("check", "put", "undo", "store")


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A copy of the hoist's readings."""
    return Path(shutil.copy(examples() / "readings" / "hoist_relief.yaml", tmp_path / "hoist.yaml"))


@pytest.fixture
def client(own: Path) -> TestClient:
    """The stand on this computer."""
    return TestClient(stand_app(Stand(own, own.with_name("bench.db"))), base_url=BASE)


@pytest.fixture
def phone(own: Path) -> TestClient:
    """The stand from the room, before the door word."""
    return TestClient(stand_app(Stand(own), Classroom("gravel", "", b"")), base_url=ROOM)


def test_the_page_and_its_answers(client: TestClient, own: Path) -> None:
    for path in ("/", "/stand"):
        assert "Test stand" in client.get(path).text
    shown = client.get("/api/stand?units=metric").json()
    assert shown["proof"]["sections"]["as left"]["figures"]["override"]["unit"] == "bar"
    question = {"id": "hours", "typed": "4121 h", "was": shown["was"]}
    assert client.post("/api/stand/put", json=question).json()["undo"]
    assert "hours: 4121 h" in own.read_text(encoding="utf-8")
    assert client.post("/api/stand/undo", json={}).status_code == 200
    assert client.post("/api/stand/store", json={}).json()["sheet"] == 1
    assert client.get("/api/stand/sheet.pdf?paper=a4").content.startswith(b"%PDF")
    assert client.get("/api/stand/chart.svg").headers["content-type"] == "image/svg+xml"


def test_what_is_being_typed_is_told_as_data_and_what_is_given_as_an_error(client: TestClient) -> None:
    question = {"id": "rated flow", "typed": "20 psi"}
    told = client.post("/api/stand/check", json=question)
    assert told.status_code == 200
    assert "a flow is wanted" in told.json()["problem"]["what"]
    was = client.get("/api/stand").json()["was"]
    refused = client.post("/api/stand/put", json={**question, "was": was})
    assert refused.status_code == 400
    assert "a flow is wanted" in refused.json()["problem"]["what"]


@pytest.mark.parametrize("question", [[], "x", {"id": 3}, {"id": ["a"], "typed": {}}, {"id": "hours"}])
def test_odd_questions_are_refused(client: TestClient, question: object) -> None:
    assert client.post("/api/stand/put", json=question).status_code == 400


def test_others_are_kept_out(client: TestClient, own: Path) -> None:
    before = own.read_bytes()
    for path in GETS:
        assert client.get(path, headers={"Host": "example.org"}).status_code == 403
    for name in POSTS:
        path = f"/api/stand/{name}"
        assert client.post(path, json={}, headers={"Origin": "http://example.org"}).status_code == 403
        assert client.post(path, json={"typed": "x" * LARGEST}).status_code == 413
        assert client.post(path, content="id=1").status_code == 415
        assert client.get(path).status_code == 405
    for path in ("/static/../stand.py", "/static/%2e%2e/stand.py", "/static/stand/../../stand.py", "/hoist.yaml"):
        assert client.get(path).status_code == 404
    assert own.read_bytes() == before


def test_nothing_is_seen_or_written_without_the_door_word(phone: TestClient, own: Path) -> None:
    before = own.read_bytes()
    assert "Door word" in phone.get("/").text
    assert "Door word" in phone.get("/stand").text
    assert [phone.get(path).status_code for path in GETS] == [403] * len(GETS)
    assert [phone.post(f"/api/stand/{name}", json={}).status_code for name in POSTS] == [403] * len(POSTS)
    assert phone.post("/door", json={"word": "sand"}).status_code == 403
    assert phone.get("/api/stand").status_code == 403
    assert own.read_bytes() == before


def test_the_door_word_opens_it_and_the_computer_sees_what_the_phone_wrote(own: Path) -> None:
    stand = Stand(own)
    phone = TestClient(stand_app(stand, Classroom("gravel", "", b"")), base_url=ROOM)
    assert phone.post("/door", json={"word": "Gravel"}).status_code == 200
    assert "Test stand" in phone.get("/").text
    was = phone.get("/api/stand").json()["was"]
    phone.post("/api/stand/put", json={"id": "hours", "typed": "5000 h", "was": was})
    shown = TestClient(stand_app(stand), base_url=BASE).get("/api/stand").json()
    assert shown["proof"]["facts"]["hours"] == "5000 h"


def test_the_door_is_in_the_room_only(client: TestClient) -> None:
    assert client.post("/door", json={"word": "gravel"}).status_code == 404
