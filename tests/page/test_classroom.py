"""The room: in by the door word only, nothing to change there, and a desk behind its code."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from starlette.testclient import TestClient

from oilway.page.classroom import TRIES, Classroom, packed, room

DATA = {"first": "a", "sliders": [], "variants": {}}
HOST = "http://192.0.2.7:8766"


@pytest.fixture
def classroom() -> Classroom:
    return Classroom("Gravel", "c0de", packed(DATA))


@pytest.fixture
def visitor(classroom: Classroom) -> Callable[[], TestClient]:
    """A browser that nobody has let in yet."""
    return lambda: TestClient(room(classroom), base_url=HOST)


def test_nothing_is_seen_without_the_door_word(visitor: Callable[[], TestClient]) -> None:
    client = visitor()
    assert "Door word" in client.get("/").text
    assert client.get("/class/data").status_code == 403
    assert client.get("/class/events").status_code == 403


def test_the_door_word_opens_whatever_its_capitals(visitor: Callable[[], TestClient]) -> None:
    client = visitor()
    assert client.post("/door", json={"word": " gravel "}).json() == {"open": True}
    assert 'name="oilway-class"' in client.get("/").text
    assert client.get("/class/data").json() == DATA


@pytest.mark.parametrize(
    "said", [{"word": "sand"}, {"word": ""}, {"word": 7}, {}, ["gravel"], {"word": "g" * 999}]
)
def test_another_word_does_not(visitor: Callable[[], TestClient], said: object) -> None:
    client = visitor()
    assert client.post("/door", json=said).status_code == 403
    assert client.get("/class/data").status_code == 403


def test_guessing_ends(visitor: Callable[[], TestClient]) -> None:
    client = visitor()
    answers = [client.post("/door", json={"word": f"try {n}"}).status_code for n in range(TRIES + 1)]
    assert answers == [403] * TRIES + [429]
    assert client.post("/door", json={"word": "gravel"}).status_code == 429


def test_a_student_can_change_nothing(visitor: Callable[[], TestClient]) -> None:
    client = visitor()
    client.post("/door", json={"word": "gravel"})
    for path in ("/api/frame", "/api/side", "/api/shown", "/api/run"):
        assert client.post(path, json={}).status_code == 404
    assert client.post("/desk/do", json={"do": "next"}).status_code == 403
    assert "Show the answer" not in client.get("/desk").text


def test_a_cookie_of_ones_own_making_opens_nothing(
    visitor: Callable[[], TestClient], classroom: Classroom
) -> None:
    client = visitor()
    client.cookies.set("oilway_student_8766", classroom.ticket("oilway_desk"))
    assert client.get("/class/data").status_code == 403
    odd = TestClient(client.app, base_url=HOST)
    assert odd.get("/class/data", headers=[(b"cookie", b"oilway_student_8766=\xe9")]).status_code == 403


def test_two_rooms_on_one_computer_keep_their_doors_apart(classroom: Classroom) -> None:
    """A class and a stand side by side: the word of one neither opens the other nor shuts the first again."""
    other = Classroom("Sand", "c1de", packed({**DATA, "first": "b"}))
    first, second = (
        TestClient(room(classroom), base_url=HOST),
        TestClient(room(other), base_url="http://192.0.2.7:8767"),
    )
    first.post("/door", json={"word": "gravel"})
    second.cookies.update(first.cookies)
    assert second.get("/class/data").status_code == 403
    second.post("/door", json={"word": "sand"})
    first.cookies.update(second.cookies)
    assert (first.get("/class/data").json(), second.get("/class/data").json()["first"]) == (DATA, "b")


def test_the_desk_needs_the_code_and_does_what_it_can(
    visitor: Callable[[], TestClient], monkeypatch: pytest.MonkeyPatch, classroom: Classroom
) -> None:
    told: list[tuple[str, dict[str, str]]] = []
    monkeypatch.setattr(classroom.desk, "tell", lambda name, data: told.append((name, data)))
    client = visitor()
    assert client.post("/desk/code", json={"word": "C0DE"}).status_code == 403  # a code is taken as it is
    assert client.post("/desk/code", json={"word": "c0de"}).status_code == 200
    assert "Show the answer" in client.get("/desk").text
    assert client.post("/desk/do", json={"do": "reveal"}).status_code == 200
    assert client.post("/desk/do", json={"do": "burn"}).status_code == 400
    assert told == [("do", {"do": "reveal"})]


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"host": "oilway.example"}, 403),
        ({"host": "192.0.2.7:8766", "origin": "http://evil.example"}, 403),
        ({"host": "192.0.2.7:8766", "sec-fetch-site": "cross-site"}, 403),
        ({"host": "[fd00::7]:8766"}, 403),  # let through to the door word, which is wrong
    ],
)
def test_other_sites_are_kept_out(
    visitor: Callable[[], TestClient], headers: dict[str, str], status: int, classroom: Classroom
) -> None:
    assert visitor().post("/door", json={"word": "sand"}, headers=headers).status_code == status
    tried = headers["host"].startswith("[")
    assert bool(classroom._wrong) == tried
