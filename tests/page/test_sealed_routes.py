"""The sealed machine over HTTP: what is asked for is answered, what is hidden stays hidden until it is named."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.page.conftest import BASE, HOIST

from oilway.page.classroom import Classroom, room
from oilway.page.sealed import Game
from oilway.page.server import app
from oilway.page.session import Session
from oilway.study.sealed import Sealed

STALLED = "lever valve +1, stalled"
# What is measured in lines that a circuit leaves out.
NOT_SHOWN = (
    "flow at outlet of main relief",
    "flow out of rod port of hoist cylinder",
    "pump inlet pressure",
    "oil temperature",
)
Play = Callable[[int], tuple[TestClient, Sealed]]


@pytest.fixture
def play(hoist_faults: Any) -> Play:
    """``play(seed)``: the page of the hoist with a fault hidden, and what is behind it."""

    def build(seed: int) -> tuple[TestClient, Sealed]:
        sealed = Sealed(*hoist_faults, seed)
        game = Game(sealed.bench.machine, sealed)
        return TestClient(app(Session(str(HOIST)), game=game), base_url=BASE), sealed

    return build


def told(client: TestClient, what: str, **question: Any) -> dict[str, Any]:
    """An answer, which has status 200 whatever it says."""
    answer = client.post(f"/api/sealed/{what}", json=question)
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def test_the_page_and_its_bench_are_served(play: Play) -> None:
    client, sealed = play(4)
    assert "Sealed machine" in client.get("/sealed").text
    bench = client.get("/api/sealed/bench").json()
    assert bench["picture"]["sort"] == "circuit"
    assert {r["name"] for r in bench["offers"]["readings"]} == {o.name for o in sealed.bench.panel.offers}
    stalled = next(s for s in bench["offers"]["set-ups"] if s["name"] == STALLED)
    moving = next(s for s in bench["offers"]["set-ups"] if s["name"] == "lever valve +1")
    assert stalled["places"]["position:lever valve.spool"] == 1.0
    assert stalled["places"]["position:hoist cylinder"] == pytest.approx(
        sealed.bench.machine.parts["hoist cylinder"].values["stroke"]
    )
    assert set(stalled["readings"]) - set(moving["readings"]) == {"flow out of rod port of hoist cylinder"}


def test_no_answer_tells_what_is_hidden_before_it_is_named(play: Play) -> None:
    client, sealed = play(4)
    causes = client.get("/api/sealed/bench").json()["offers"]["faults"]
    assert sealed.fault.name in causes  # one of many, and nothing marks it
    assert causes == sorted(causes, key=[f.name for f in sealed.bench.faults].index)
    wrong = next(name for name in causes if name != sealed.fault.name)
    answers = [client.get("/api/sealed/bench"), client.get("/sealed"), client.get("/api/scene")]
    for path, question in (
        ("ask", {"reading": "pump gauge"}), ("ask", {"reading": f"pump gauge @ {STALLED}"}),
        ("ask", {"reading": "plug the drain"}), ("ask", {"reading": "pump gage"}), ("name", {"cause": wrong}),
        ("name", {"cause": "gremlins"}),
    ):  # fmt: skip
        answers.append(client.post(f"/api/sealed/{path}", json=question))
    for answer in answers:
        text = answer.text
        for name in causes:
            text = text.replace(f'"{name}"', "")
        assert sealed.fault.name not in text
        assert sealed.fault.said(sealed.severity) not in text
        assert sealed.fault.kind.why not in text
        assert "severity" not in text
    assert all(a.json()["state"]["found"] is None for a in answers[3:] if "state" in a.json())


def test_before_a_reading_two_machines_with_other_faults_look_the_same(play: Play) -> None:
    (one, a), (other, b) = play(4), play(7)
    assert a.fault.name != b.fault.name
    seen = [client.get("/api/sealed/bench").json() for client in (one, other)]
    for bench in seen:
        del bench["state"]["seed"]
    assert seen[0] == seen[1]


def test_a_reading_costs_its_minutes_and_is_that_of_the_sealed_machine(play: Play) -> None:
    client, sealed = play(4)
    state = told(client, "ask", reading=f"pressure at rod line @ {STALLED}")["state"]
    taken = sealed.asked[0]
    (shown,) = state["readings"]
    assert (shown["value"], shown["channel"]) == (taken.value, "pressure:rod line")
    offer, setup = sealed.bench.panel.offers[taken.offer], sealed.bench.setups[taken.setup]
    assert state["minutes"] == shown["minutes"] == offer.minutes + setup.minutes


def test_every_reading_that_a_picture_shows_has_its_channel(play: Play) -> None:
    client, sealed = play(4)
    known = {c["name"] for c in client.get("/api/scene").json()["channels"]}
    for offer in sealed.bench.panel.offers:
        state = told(client, "ask", reading=f"{offer.name} @ {'neutral' if not offer.stalled else STALLED}")[
            "state"
        ]
        channel = state["readings"][-1]["channel"]
        assert channel in known or (channel == "" and offer.name in NOT_SHOWN), offer.name


def test_what_is_unsafe_is_refused_with_the_reason_and_costs_nothing(play: Play) -> None:
    client, _ = play(4)
    state = told(client, "ask", reading="plug the drain of main relief")["state"]
    assert "never plug the pilot drain" in state["refused"][0]["why"]
    assert (state["minutes"], state["readings"]) == (0.0, [])


def test_named_it_is_told_with_its_score(play: Play) -> None:
    client, sealed = play(4)
    wrong = next(f.name for f in sealed.bench.faults if f.name != sealed.fault.name)
    told(client, "ask", reading="pump gauge")
    assert told(client, "name", cause=wrong)["state"]["wrong"] == [wrong]
    found = told(client, "name", cause=sealed.fault.name)["state"]["found"]
    assert found["cause"] == sealed.fault.name
    assert found["was"] == sealed.fault.said(sealed.severity)
    assert found["score"] == sealed.score(True)


def test_a_seed_starts_another_machine(play: Play, monkeypatch: pytest.MonkeyPatch, hoist_faults: Any) -> None:
    monkeypatch.setattr("oilway.page.sealed.dictionary_of", lambda machine, workers: (*hoist_faults, False))
    client, _ = play(4)
    told(client, "ask", reading="pump gauge")
    state = told(client, "start", seed="9")["state"]
    assert (state["seed"], state["readings"], state["minutes"]) == (9, [], 0.0)
    assert told(client, "start")["state"]["found"] is None
    for seed in ("-1", "seven", "9" * 30, [1]):
        assert "is no seed" in told(client, "start", seed=seed)["problem"]["what"]


def test_without_a_start_nothing_can_be_asked() -> None:
    client = TestClient(app(Session(str(HOIST))), base_url=BASE)
    bench = client.get("/api/sealed/bench").json()
    assert (bench["offers"], bench["state"]) == (None, None)
    for what in ("ask", "name"):
        assert "no machine is sealed" in told(client, what)["problem"]["what"]


@pytest.mark.parametrize("what", ["start", "ask", "name"])
def test_a_class_that_follows_cannot_reach_it(what: str) -> None:
    client = TestClient(room(Classroom("word", "code", b"")), base_url=BASE)
    assert client.post(f"/api/sealed/{what}", json={}).status_code == 404
