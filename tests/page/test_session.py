"""Sides of the page: where a solve starts from, live reload, and what a run keeps waiting."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from oilway.errors import InputError
from oilway.page.session import Session
from oilway.study.story import examples

HOIST = str(examples() / "tipping_hoist.yaml")


def test_a_broken_file_leaves_the_last_good_machine(own_hoist: Path) -> None:
    good = own_hoist.read_text(encoding="utf-8")
    session = Session(str(own_hoist))
    assert not session.reload_if_changed()
    side = session.side("a")
    own_hoist.write_text("format: 1\nmachine: [", encoding="utf-8")
    assert session.reload_if_changed()
    assert isinstance(session.broken, InputError)
    assert session.side("a") is side
    assert not session.reload_if_changed(), "told once"
    own_hoist.write_text(good.replace("bore: 100 mm", "bore: 90 mm"), encoding="utf-8")
    assert session.reload_if_changed()
    assert session.broken is None
    assert session.side("a").machine.parts["hoist cylinder"].values["bore"] == pytest.approx(0.09)


def test_a_valve_file_that_a_machine_mounts_is_watched_too(own_hoist: Path) -> None:
    valve = own_hoist.with_name("relief.yaml")
    shipped = Session("direct relief").side("a").machine.path
    text = shipped.read_text(encoding="utf-8")
    own_hoist.write_text(
        own_hoist.read_text(encoding="utf-8").replace("valve: pilot relief", "valve: relief.yaml"),
        encoding="utf-8",
    )
    valve.write_text(text, encoding="utf-8")
    session = Session(str(own_hoist))
    valve.rename(valve.with_name("away.yaml"))
    assert session.reload_if_changed()
    assert "relief.yaml" in str(session.broken)
    valve.write_text(text + "\nnote: again\n", encoding="utf-8")
    assert session.reload_if_changed()
    assert session.broken is None
    assert session.side("a").machine.mounted[0].valve.note == "again"


def test_both_sides_are_read_again_with_what_was_asked_of_them(own_hoist: Path) -> None:
    session = Session(str(own_hoist), {"hoist cylinder.bore": "80 mm"})
    session.compare({"main relief.valve": "direct relief"})
    text = own_hoist.read_text(encoding="utf-8")
    own_hoist.write_text(text.replace("stroke: 1200 mm", "stroke: 1100 mm"), encoding="utf-8")
    assert session.reload_if_changed()
    for name, file in (("a", "pilot_relief.yaml"), ("b", "direct_relief.yaml")):
        machine = session.side(name).machine
        assert machine.parts["hoist cylinder"].values["stroke"] == pytest.approx(1.1)
        assert machine.parts["hoist cylinder"].values["bore"] == pytest.approx(0.08)
        assert machine.mounted[0].valve.path.name == file


def test_without_values_the_answer_does_not_depend_on_what_was_asked_before() -> None:
    side = Session("unloading").side("a")
    first = side.frame({}, 1)
    for point in side.machine.points.values():
        side.frame(point, 2)
    assert side.frame({}, 1) == first


def test_a_slider_is_answered_while_a_run_is_on() -> None:
    side = Session(HOIST).side("a")
    begun, done = threading.Event(), threading.Event()
    with side._slow_lock:  # as a run holds it

        def drag() -> None:
            begun.set()
            side.frame({"box.load pressure": 1e7}, 1)
            done.set()

        thread = threading.Thread(target=drag)
        thread.start()
        assert done.wait(30)
        thread.join()
    assert begun.is_set()


def test_a_side_begins_where_its_sliders_do() -> None:
    side = Session("pilot relief").side("a")
    scene = side.scene()
    values = {h["parameter"]: h["value"] for h in scene["handles"]}
    told = side.frame(values, 0)
    assert told["words"] == scene["frame"]["words"]
    assert told["values"] == pytest.approx(scene["frame"]["values"], rel=1e-6, abs=1e-3)
