"""The cutaway of every valve: complete, painted with the numbers of its state, the same in any order of text."""

from __future__ import annotations

import random
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from tests.draw.drawn import words_of
from tests.draw.gallery import FILES, FULL, VALVES, local, machine, painted, picture, states, texts, valve

import oilway
from oilway import quantity
from oilway.draw.cutaway import cutaway
from oilway.draw.paint import paint
from oilway.model.load import machine_from_tree
from oilway.model.tree import Block, Series, Text, read_file
from oilway.solve.point import solve_point
from oilway.study.frame import channels
from oilway.study.reach import reaches
from oilway.study.setting import settle

HOIST = Path(__file__).parents[2] / "examples" / "tipping_hoist.yaml"


@pytest.mark.parametrize("name", VALVES)
def test_every_binding_follows_a_channel_and_every_id_is_there_once(name: str) -> None:
    state = states(name)[0]
    known = {c.name for c in channels(state)} | {f"status:{part}" for part in state.statuses}
    ids = [e.get("id") for e in picture(name).root.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    for binding in picture(name).bindings:
        assert binding.channel in known
        assert binding.id in ids
        if "anchor channel" in binding.options:
            assert binding.options["anchor channel"] in known


@pytest.mark.parametrize("name", VALVES)
def test_every_part_of_the_valve_can_be_touched_and_nothing_of_the_stand(name: str) -> None:
    touched = {e.get("data-part") for e in picture(name).root.iter() if e.get("data-part")}
    own = machine(name).mounted[0].valve.parts.items
    wanted = {n for n, p in machine(name).parts.items() if n.split(".")[0] in own and p.kind != "tank"}
    assert wanted <= touched
    assert touched <= wanted | set(valve(name).chambers.values())
    stops = [e.get("data-part") for e in picture(name).root.iter() if e.get("tabindex")]
    assert sorted(stops) == sorted(map(str, touched))  # once with the keyboard


@pytest.mark.parametrize("name", VALVES)
@pytest.mark.parametrize("units", ["shop", "metric"])
def test_every_chamber_has_its_number_as_the_state_says(name: str, units: quantity.Units) -> None:
    state = states(name)[-1]
    root = painted(name, -1, units)
    by_id = {e.get("id"): e for e in root.iter() if e.get("id")}
    numbers = {
        b.channel: words_of(by_id[b.id]) for b in picture(name).bindings if b.options.get("kind") == "pressure"
    }
    assert numbers == {
        f"pressure:{real}": quantity.show(state.pressures[real], "pressure", units)
        for real in valve(name).chambers.values()
    }
    assert sum(e.get("class") == "number" for e in root.iter()) == len(valve(name).chambers)


@pytest.mark.parametrize("name", VALVES)
def test_flow_numbers_and_lifts_are_those_of_the_state(name: str) -> None:
    state = states(name)[1]
    by_id = {e.get("id"): e for e in painted(name, 1).iter() if e.get("id")}
    for binding in picture(name).bindings:
        said = words_of(by_id[binding.id])
        part = binding.channel.partition(":")[2]
        if (
            binding.what == "text"
            and binding.channel == f"flow:{part}"
            and len(valve(name).parts[part].nodes) == 2
        ):
            assert said == quantity.show(state.at_no_pressure(state.flow_through(part)), "flow")
        if binding.what == "text" and binding.channel == f"lift:{part}":
            assert said == f"lift {quantity.show(state.statuses[part].lift, 'length')}"


@pytest.mark.parametrize("name", VALVES)
def test_pressures_are_legible_from_the_back_row(name: str) -> None:
    """On a projector 1920 by 1080 px large every pressure is at least 24 px."""
    drawn = picture(name)
    scale = min(1920 / drawn.width, 1080 / drawn.height)
    bound = {b.id for b in drawn.bindings if b.options.get("kind") == "pressure"}
    sizes = [float(e.get("font-size", "0")) for e in drawn.root.iter() if e.get("id") in bound]
    assert min(sizes) * scale >= 24


def test_the_poppet_leaves_its_seat_by_its_lift_and_the_note_says_how_much_larger() -> None:
    name = "direct relief"
    drawn, state = picture(name), states(name)[-1]
    move = next(b for b in drawn.bindings if b.what == "move" and b.channel == "lift:poppet")
    px = -float(move.options["dy"]) * state.statuses["poppet"].lift
    assert px == pytest.approx(32, abs=0.1)  # the largest lift at rated flow
    by_id = {e.get("id"): e for e in painted(name).iter()}
    assert by_id[move.id].get("transform") == f"translate(0.00 {-px:.2f})"
    seat = next(e for e in drawn.root.iter() if e.get("class") == "seat")
    corners = [e.get("points", "").split()[0].split(",") for e in seat if local(e) == "polygon"]
    wide = float(corners[1][0]) - float(corners[0][0])  # px, of a seat of 11 mm
    times = -float(move.options["dy"]) / (wide / 11e-3)
    assert drawn.notes == [f"poppet: its lift at {times:.2g} times the scale of its diameter"]


def test_an_arrow_shows_only_where_oil_moves_and_turns_with_it() -> None:
    name = "direct relief"
    arrows = {b.id for b in picture(name).bindings if b.what == "flow" and b.channel == "flow:seat"}
    assert len(arrows) == 2
    for point, shows in ((0, "hidden"), (-1, "visible")):
        by_id = {e.get("id"): e for e in painted(name, point).iter()}
        assert {by_id[i].get("visibility") for i in arrows} == {shows}


@pytest.mark.parametrize("name", ["pilot relief", "lever valve", "crossover relief"])
def test_the_order_of_the_text_changes_no_stroke(name: str) -> None:
    path = machine(name).path
    for seed in range(2):
        tree = _shuffled(read_file(path), random.Random(seed))
        assert isinstance(tree, Block)
        other = settle(machine_from_tree(tree, path))
        again = cutaway(other, other.mounted[0], key="v", reach=reaches(machine(name)))
        assert again.svg() == picture(name).svg()


def _shuffled(item: Text | Block | Series, dice: random.Random) -> Text | Block | Series:
    if not isinstance(item, Block):
        return item
    keys = list(item.items)
    dice.shuffle(keys)
    return Block(item.where, {k: _shuffled(item.items[k], dice) for k in keys}, item.keys)


def test_a_valve_of_a_machine_looks_as_on_the_stand_and_says_the_machine_s_numbers() -> None:
    hoist = oilway.load(HOIST)
    mounted = next(m for m in hoist.mounted if m.name == "main relief")
    drawn = cutaway(hoist, mounted, key="v")
    state = solve_point(hoist)
    said = {words_of(e) for e, _ in texts(_root(paint(drawn, state, FULL)))}
    assert quantity.show(state.pressures["pump line"], "pressure") in said
    assert {e.text for e, _ in texts(drawn.root)} >= {"main part", "pilot spring chamber", "P", "T", "X"}


def _root(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def test_names_are_text_whatever_is_in_them() -> None:
    nasty = 'brass & <b>steel</b> "quoted"'
    text = FILES["stepped plunger"].read_text(encoding="utf-8").replace("plunger:", f"'{nasty}':")
    text = text.replace("on: plunger", f"on: '{nasty}'")
    valve_ = oilway.loads(text, "step.yaml")
    svg = cutaway(valve_, valve_.mounted[0], key="v").svg()
    assert "<b>" not in svg
    assert any(e.get("data-part") == nasty for e in _root(svg).iter())


def test_a_long_name_is_cut_and_kept_in_full_beside() -> None:
    long = "damping orifice of the third kind which nobody could ever want to read in one go"
    text = FILES["stepped plunger"].read_text(encoding="utf-8").replace("  damping orifice:", f"  {long}:")
    valve_ = oilway.loads(text, "step.yaml")
    drawn = cutaway(valve_, valve_.mounted[0], key="v")
    assert any(e.get("data-part") == long for e in drawn.root.iter())
    assert all(box[2] <= drawn.corner[0] + drawn.width for _, box in texts(drawn.root))
