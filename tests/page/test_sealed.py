"""The game of the page: what is refused is noted, what is not there is an error, and the end is told once."""

from __future__ import annotations

from typing import Any

import pytest

from oilway.errors import InputError
from oilway.page.sealed import Game, channel_of, sealed_game
from oilway.study.sealed import Sealed


def test_a_refusal_is_noted_and_a_slip_is_an_error(hoist_faults: Any) -> None:
    game = Game(hoist_faults[0].machine, Sealed(*hoist_faults, 4))
    game.ask("crack the fitting at the pump")
    assert "jet" in game.refused[0]["why"]
    with pytest.raises(InputError, match="pump gauge"):
        game.ask("pump gage")
    assert (len(game.refused), game.costs) == (1, [])


def test_after_the_end_a_name_changes_nothing(hoist_faults: Any) -> None:
    sealed = Sealed(*hoist_faults, 4)
    game = Game(sealed.bench.machine, sealed)
    game.name(sealed.fault.name)
    game.name(next(f.name for f in sealed.bench.faults if f.name != sealed.fault.name))
    assert game.found
    assert game.wrong == []


def test_a_gauge_stands_at_its_own_reading_and_a_fitted_one_at_its_line(hoist_faults: Any) -> None:
    where = {offer.name: channel_of(offer) for offer in hoist_faults[0].panel.offers}
    assert where["pump gauge"] == "reading:pump gauge"
    assert where["pressure at rod line"] == "pressure:rod line"
    assert where["speed of hoist cylinder"] == "speed:hoist cylinder"
    assert where["flow of pump"] == "flow:pump"
    assert where["oil temperature"] == where["pump inlet pressure"] == ""


def test_a_game_is_sealed_by_its_seed(hoist_faults: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("oilway.page.sealed.dictionary_of", lambda machine, workers: (*hoist_faults, False))
    machine = hoist_faults[0].machine
    one, same = (sealed_game(machine, 5).sealed for _ in range(2))
    assert (one.fault.name, one.severity) == (same.fault.name, same.severity)
