"""The server as a browser uses it: numbers as explain tells them, problems in words, exports, live reload."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

import oilway
from oilway import quantity
from oilway.page.server import LOOK, _Page
from oilway.page.session import Session
from oilway.study.explain import explain
from oilway.study.story import examples

HOIST = examples() / "tipping_hoist.yaml"
LOAD = "box.load pressure"


def row(scene: dict[str, Any], frame: dict[str, Any]) -> dict[str, float]:
    """A frame by the names of its channels."""
    return dict(zip((c["name"] for c in scene["channels"]), frame["values"], strict=True))


def ask(client: TestClient, **more: Any) -> dict[str, Any]:
    """A frame."""
    answer = client.post("/api/frame", json={"seq": 1, "side": "a", "set": {}, **more})
    assert answer.status_code == 200, answer.text
    told: dict[str, Any] = answer.json()
    return told


@pytest.mark.parametrize("load", ["1500 psi", "2150 psi", "2600 psi"])
def test_a_frame_has_the_numbers_of_explain(hoist: TestClient, load: str) -> None:
    value = quantity.parse(load, "pressure")
    scene, frame = hoist.get("/api/scene").json(), ask(hoist, set={LOAD: value})
    shown = row(scene, frame)
    explained = explain(oilway.load(HOIST), [{LOAD: value}])[0]
    state = explained.state
    for chamber, pressure in state.pressures.items():
        assert shown[f"pressure:{chamber}"] == pytest.approx(pressure, abs=10.0), chamber
    for part, entries in state.forces.items():
        for i, entry in enumerate(entries):
            assert shown[f"force:{part}#{i}"] == pytest.approx(entry.value, abs=0.01), (part, entry.label)
    assert shown["speed:hoist cylinder"] == pytest.approx(state.velocities["hoist cylinder"], abs=1e-6)
    assert frame["words"] == dict(explained.regimes)
    assert frame["seq"] == 1


def test_the_scene_says_everything_the_page_is_made_of(hoist: TestClient) -> None:
    scene = hoist.get("/api/scene").json()
    assert (scene["kind"], scene["file"]) == ("machine", "tipping_hoist.yaml")
    assert len(scene["frame"]["values"]) == len(scene["channels"])
    channels = {c["name"] for c in scene["channels"]}
    for picture in scene["pictures"]:
        for binding in picture["bindings"]:
            assert binding["channel"] in channels or binding["channel"].startswith("status:"), binding
    assert {law for part in scene["parts"].values() for law in part["laws"]} <= set(scene["laws"])
    assert {c["law"] for c in scene["channels"] if c["name"].split(":")[0] in ("force", "into")} <= set(
        scene["laws"]
    )


def test_what_cannot_be_said_in_json_is_refused_in_words(hoist: TestClient) -> None:
    for body, said in (
        (b"[", "no JSON"),
        (b"[]", "one JSON object"),
        (b'{"set": 3}', "'set' is to be a group of values"),
        (b'{"set": {"box.load pressure": "much"}}', "no number"),
        (b'{"set": {"box.load pressure": 1' + b"0" * 400 + b"}}", "too large"),
        (b'{"side": "c"}', "no side 'c'"),
        (b'{"seq": true}', "'seq' is to be a whole number"),
    ):
        answer = hoist.post("/api/frame", content=body, headers={"Content-Type": "application/json"})
        assert answer.status_code == 400
        assert said in answer.json()["problem"]["what"], body


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"pump.displacment": 1e-5}, "unknown word 'pump.displacment'"),
        ({"pump.displacement": 1.0}, "outside the legal range"),
        ({"hoist cylinder.rated pressure": 1e5}, "is said in the file"),
        ({"lever": 1.0}, "is no full parameter name"),
    ],
)
def test_a_value_that_cannot_be_set_is_a_problem_in_words(
    hoist: TestClient, values: dict[str, float], said: str
) -> None:
    assert said in ask(hoist, set=values)["problem"]["what"]


def test_not_a_number_is_refused(hoist: TestClient) -> None:
    body = b'{"set": {"box.load pressure": NaN}}'
    told = hoist.post("/api/frame", content=body, headers={"Content-Type": "application/json"}).json()
    assert "no finite number" in told["problem"]["what"]


def test_a_point_that_cannot_be_is_told_at_the_part_concerned(hoist: TestClient) -> None:
    told = ask(hoist, set={"main relief.pilot spring.compression": 0.02})
    assert told["problem"]["part"] == "main relief.pilot spring"
    assert "solid height" in told["problem"]["what"]
    assert "values" in ask(hoist), "the next question is answered as if nothing had been"


def test_curves_follow_the_adjuster(hoist: TestClient) -> None:
    def curve(values: dict[str, float]) -> dict[str, Any]:
        told: list[dict[str, Any]] = hoist.post("/api/curves", json={"side": "a", "set": values}).json()["curves"]
        return next(c for c in told if c["valve"] == "main relief")

    as_set, out = curve({}), curve({"main relief.pilot spring.turns": 4.0})
    assert quantity.number(as_set["full"], "pressure") == pytest.approx(2300, abs=1)
    assert out["full"] < as_set["full"] - quantity.parse("500 psi", "pressure")
    assert as_set["override"] == pytest.approx(as_set["full"] - as_set["cracking"])


def test_a_run_comes_as_rows_of_the_same_channels(hoist: TestClient) -> None:
    scene = hoist.get("/api/scene").json()
    asked = {"side": "a", "set": {"lever valve.spool.position": 0}, "for": 1.0, "do": ["0.3 s: lever=1"]}
    told = hoist.post("/api/run", json=asked).json()
    assert len(told["times"]) == len(told["values"]) == len(told["statuses"]) > 300
    assert all(len(values) == len(scene["channels"]) for values in told["values"])
    first, last = (row(scene, {"values": values}) for values in (told["values"][0], told["values"][-1]))
    assert first["speed:hoist cylinder"] == pytest.approx(0, abs=1e-3)  # what leaks by the spool
    assert last["speed:hoist cylinder"] > 0.01
    assert told["events"]
    assert told["words"][0][0] == 0


@pytest.mark.parametrize(("duration", "do"), [(0, []), (1e6, []), (1, ["lever=1"]), (1, ["0 s: levr=1"])])
def test_a_run_that_cannot_be_is_refused(hoist: TestClient, duration: float, do: list[str]) -> None:
    answer = hoist.post("/api/run", json={"set": {}, "for": duration, "do": do})
    assert answer.status_code == 400
    assert answer.json()["problem"]["what"]


def test_a_second_side_is_the_same_file_changed_or_a_shipped_valve(serve: Callable[..., TestClient]) -> None:
    client = serve(HOIST)
    told = client.post("/api/side", json={"changes": {"main relief.valve": "direct relief"}}).json()
    assert told["valves"]["main relief"]["file"] == "direct_relief.yaml"
    assert "main relief.poppet" in str([c["name"] for c in told["channels"]])
    assert client.get("/api/scene", params={"side": "b"}).json()["channels"] == told["channels"]
    assert ask(client, side="b", set={LOAD: 1e7})["values"]
    assert client.post("/api/side", json={"file": "pilot relief"}).json()["title"] == "two-stage relief"
    assert client.post("/api/side", json={"file": "press.yaml"}).json()["file"] == "press.yaml"


@pytest.mark.parametrize("file", ["../pyproject.toml", "/etc/passwd", "../examples/press.yaml", "pilot relif"])
def test_a_second_side_reaches_no_other_file(serve: Callable[..., TestClient], file: str) -> None:
    answer = serve(HOIST).post("/api/side", json={"file": file})
    assert answer.status_code == 400


def test_names_of_a_file_are_text_never_markup(serve: Callable[..., TestClient], own_hoist: Path) -> None:
    from xml.etree import ElementTree as ET

    name = '<script>alert(1)</script> & "so"'
    text = own_hoist.read_text(encoding="utf-8").replace("machine: Brackwater", f"machine: '{name}' #")
    own_hoist.write_text(text.replace("pump gauge:", f"'{name}':"), encoding="utf-8")
    client = serve(own_hoist)
    scene = client.get("/api/scene").json()
    assert scene["title"] == name
    assert name in scene["parts"]
    for picture in scene["pictures"]:
        root = ET.fromstring(picture["svg"])
        assert not [e for e in root.iter() if e.tag.endswith("script")]
        exported = client.get("/api/draw", params={"picture": picture["key"], "format": "pdf"})
        assert exported.status_code == 200


@pytest.mark.parametrize(
    ("form", "head"), [("svg", b"<svg"), ("png", b"\x89PNG"), ("pdf", b"%PDF")], ids=lambda x: str(x)[:6]
)
def test_a_picture_comes_as_a_file(hoist: TestClient, form: str, head: bytes) -> None:
    query = {"picture": "circuit", "format": form, "units": "metric", "set": json.dumps({LOAD: 1e7})}
    answer = hoist.get("/api/draw", params=query)
    assert answer.status_code == 200
    assert answer.content.startswith(head)
    assert answer.headers["content-type"].startswith({"svg": "image/svg+xml", "png": "image/png"}.get(form, "app"))


@pytest.mark.parametrize("query", [{"picture": "none"}, {"format": "gif"}, {"set": "["}, {"set": "3"}])
def test_a_picture_that_is_not_there_is_refused(hoist: TestClient, query: dict[str, str]) -> None:
    assert hoist.get("/api/draw", params=query).status_code == 400


def test_listeners_hear_of_a_broken_file_and_of_its_mending(own_hoist: Path) -> None:
    good = own_hoist.read_text(encoding="utf-8")

    async def listen() -> list[str]:
        page, heard = _Page(Session(str(own_hoist))), []
        async with page.watching(None):  # type: ignore[arg-type]
            told = page._told()
            heard.append(await anext(told))
            own_hoist.write_text(good.replace("bore: 100 mm", "bore: 100 psi"), encoding="utf-8")
            heard.append(await asyncio.wait_for(anext(told), 20 * LOOK))
            late = page._told()
            heard.append(await anext(late))
            await late.aclose()
            own_hoist.write_text(good, encoding="utf-8")
            heard.append(await asyncio.wait_for(anext(told), 20 * LOOK))
            page.hang_up()
            heard += [said async for said in told]
        assert not page.listeners
        return heard

    _, broken, late, changed = asyncio.run(listen())
    assert broken.startswith("event: broken")
    assert late == broken, "a page that comes later is told too"
    said = json.loads(broken.partition("data: ")[2])
    assert said["file"].endswith("hoist.yaml")
    assert good.splitlines()[said["line"] - 1].strip() == "bore: 100 mm"
    assert "'100 psi' is a pressure" in said["what"]
    assert changed.startswith("event: changed")
