"""The workshop over HTTP: a machine made, looked at, saved and opened; what cannot be done is told as data."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.page.conftest import BASE

import oilway
from oilway.errors import InputError
from oilway.page.classroom import Classroom, room
from oilway.page.guard import LARGEST
from oilway.page.session import Session
from oilway.study.explain import explain

Ask = Callable[..., dict[str, Any]]


@pytest.fixture
def client(serve: Callable[..., TestClient], own_hoist: Path) -> TestClient:
    """The workshop beside a copy of the hoist."""
    return serve(own_hoist)


@pytest.fixture
def ask(client: TestClient) -> Ask:
    """``ask(what, **question)``: an answer, which has status 200 whatever it says."""

    def build(what: str, **question: Any) -> dict[str, Any]:
        answer = client.post(f"/api/workshop/{what}", json=question)
        assert answer.status_code == 200, answer.text
        told: dict[str, Any] = answer.json()
        return told

    return build


def test_the_page_and_its_forms_are_served(client: TestClient) -> None:
    assert "Workshop" in client.get("/workshop").text
    forms = client.get("/api/workshop/forms").json()
    assert forms["open"] == "hoist.yaml"
    assert {"oil", "machine", "valve", "port"} == set(forms["heads"])
    pump = next(form for form in forms["parts"] if form["kind"] == "fixed pump")
    displacement = next(field for field in pump["fields"] if field["name"] == "displacement")
    assert displacement["required"]
    assert displacement["unit"] == "in3/rev"
    assert displacement["meaning"]


def test_of_a_shipped_valve_its_name_is_open(serve: Callable[..., TestClient]) -> None:
    client = serve("direct relief")
    name = client.get("/api/workshop/forms").json()["open"]
    assert name == "direct relief"
    assert "valve:" in client.post("/api/workshop/start", json={"name": name}).json()["text"]


def test_nothing_is_written_beside_a_shipped_valve(
    serve: Callable[..., TestClient], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    question = {"name": "mine.yaml", "text": "a: 1\n", "was": ""}
    assert serve("direct relief").post("/api/workshop/save", json=question).json()["saved"] == "mine.yaml"
    assert (tmp_path / "mine.yaml").exists()


def test_a_machine_is_changed_saved_and_opened(client: TestClient, ask: Ask, own_hoist: Path) -> None:
    text = ask("start", name="a blank machine")["text"]
    change = {"what": "set", "path": ["parts", "pump", "displacement"], "value": "45 cc/rev"}
    text = ask("changed", text=text, do=change)["text"]
    assert ask("save", name="mine.yaml", text=text, was="")["saved"] == "mine.yaml"
    assert ask("open", name="mine.yaml") == {"opened": "mine.yaml"}
    assert client.get("/api/scene").json()["file"] == "mine.yaml"
    saved = own_hoist.parent / "mine.yaml"
    assert saved.read_text(encoding="utf-8").startswith("# A machine of your own.")
    assert oilway.load(saved).parts["pump"].values["displacement"] == pytest.approx(45e-6)


def test_the_pages_are_told_of_another_file(own_hoist: Path) -> None:
    session = Session(str(own_hoist))
    assert not session.reload_if_changed()
    session.open(str(own_hoist))
    assert session.reload_if_changed()  # what the watch of the server tells every page
    assert not session.reload_if_changed()


def test_while_a_class_follows_its_file_stays_open(own_hoist: Path) -> None:
    session = Session(str(own_hoist), taught=True)
    with pytest.raises(InputError, match="a class follows"):
        session.open(str(own_hoist))


def test_a_look_has_the_numbers_of_explain(ask: Ask, own_hoist: Path) -> None:
    seen = ask("look", text=own_hoist.read_text(encoding="utf-8"))
    assert (seen["problem"], seen["left out"]) == (None, [])
    shown = dict(zip((c["name"] for c in seen["channels"]), seen["frame"]["values"], strict=True))
    state = explain(oilway.load(own_hoist))[0].state
    for chamber, pressure in state.pressures.items():
        assert shown[f"pressure:{chamber}"] == pytest.approx(pressure, abs=10.0), chamber


def test_a_look_at_something_unfinished_says_what_is_missing(ask: Ask) -> None:
    text = ask("start", name="a blank machine")["text"] + "  ram: {kind: cylinder}\n"
    seen = ask("look", text=text)
    assert "missing key 'bore'" in seen["problem"]["what"]
    assert seen["left out"] == ["ram"]
    assert [each["sort"] for each in seen["pictures"]] == ["circuit", "cutaway"]
    assert "frame" not in seen


@pytest.mark.parametrize(
    ("what", "question", "said"),
    [
        ("start", {"name": "hoyst.yaml"}, "there is no 'hoyst.yaml'"),
        ("changed", {"text": "a: 1\n", "do": 3}, "is no change"),
        ("save", {"name": "../up.yaml", "text": "a: 1\n"}, "is no name for a file here"),
        ("save", {"name": "hoist.yaml", "text": "lost"}, "there is a 'hoist.yaml' already"),
        ("open", {"name": "../up.yaml"}, "is no name for a file here"),
        ("open", {"name": "none.yaml"}, "no such file"),
        ("look", {"text": "a: ["}, "not readable as YAML"),
    ],
)
def test_what_cannot_be_done_is_told_as_data(
    ask: Ask, own_hoist: Path, what: str, question: dict[str, Any], said: str
) -> None:
    before = own_hoist.read_text(encoding="utf-8")
    assert said in ask(what, **question)["problem"]["what"]
    assert own_hoist.read_text(encoding="utf-8") == before
    assert [path.name for path in own_hoist.parent.iterdir()] == ["hoist.yaml"]


def test_a_file_that_cannot_be_opened_leaves_the_page_as_it_was(client: TestClient, ask: Ask) -> None:
    ask("save", name="broken.yaml", text="format: 1\nmachine: x\n", was="")
    assert "problem" in ask("open", name="broken.yaml")
    assert client.get("/api/scene").json()["file"] == "hoist.yaml"


def test_malformed_and_oversized_questions_are_refused(client: TestClient) -> None:
    headers = {"Content-Type": "application/json"}
    assert client.post("/api/workshop/seen", content=b"[", headers=headers).status_code == 400
    assert client.post("/api/workshop/seen", json={"text": "#" * LARGEST}).status_code == 413
    other = {"Origin": "http://elsewhere.example"}
    assert client.post("/api/workshop/save", json={"name": "x.yaml", "text": ""}, headers=other).status_code == 403


@pytest.mark.parametrize("what", ["start", "seen", "changed", "look", "save", "open"])
def test_a_class_cannot_reach_the_workshop(what: str) -> None:
    client = TestClient(room(Classroom("word", "code", b"")), base_url=BASE)
    assert client.post(f"/api/workshop/{what}", json={"name": "x.yaml", "text": "lost"}).status_code == 404
    assert client.get("/workshop").status_code == 404
