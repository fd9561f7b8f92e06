"""The sealed machine on the page: readings are asked for, what hides behind them stays here until it is named."""

from __future__ import annotations

import secrets
import threading
from dataclasses import dataclass, field, replace
from typing import Any

from oilway.draw.colours import HATCHES, STOPS
from oilway.draw.pictures import laid_out, pictures
from oilway.errors import InputError, Place, Problem
from oilway.model.machine import Machine
from oilway.page.scene import picture_data, unit_tables
from oilway.study.dictionary import Bench
from oilway.study.find_data import offers_data
from oilway.study.find_readings import Reading
from oilway.study.keep import dictionary_of
from oilway.study.offers import Offer
from oilway.study.scale import full_scale
from oilway.study.sealed import Sealed
from oilway.study.setups import Setup

PLACE = ".position"
SEEDS = 10_000  # of which one is drawn where none is said


@dataclass
class Game:
    """One sealed machine and what a class has done with it.

    ``costs`` (min) of its readings, what was ``refused`` and why, and the ``wrong`` guesses.
    """

    machine: Machine
    sealed: Sealed
    costs: list[float] = field(default_factory=list)
    refused: list[dict[str, str]] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    found: bool = False

    def ask(self, text: str) -> None:
        """Ask for a reading; what is refused is noted with the reason.

        Errors: :class:`InputError` for a reading that is not there.
        """
        try:
            self.costs.append(self.sealed.ask(text)[1])
        except InputError as error:
            problem = error.problems[0]
            if not problem.what.startswith("refused"):
                raise
            self.refused.append({"what": problem.what, "why": problem.hint})

    def name(self, cause: str) -> None:
        """Name the cause.  Errors: :class:`InputError` for one that this machine cannot have."""
        if not self.found and not self.sealed.guess(cause):
            self.wrong.append(cause)
            return
        self.found = True

    def state(self) -> dict[str, Any]:
        """What is known so far: of the cause nothing, until it has been named."""
        sealed = self.sealed
        asked = zip(sealed.asked, self.costs, strict=True)
        return {
            "seed": sealed.seed,
            "readings": [self._reading(reading, cost) for reading, cost in asked],
            "minutes": sealed.minutes,
            "refused": self.refused,
            "wrong": self.wrong,
            "found": self._verdict() if self.found else None,
        }

    def _verdict(self) -> dict[str, Any]:
        sealed = self.sealed
        return {
            "cause": sealed.fault.name,
            "was": sealed.fault.said(sealed.severity),
            "why": sealed.fault.kind.why,
            "score": sealed.score(True),
            "par minutes": sealed.par(),
        }

    def _reading(self, reading: Reading, cost: float) -> dict[str, Any]:
        bench = self.sealed.bench
        offer = bench.panel.offers[reading.offer]
        return {
            "reading": offer.name,
            "set-up": bench.setups[reading.setup].name,
            "kind": offer.kind,
            "value": reading.value,
            "two sigma": 2 * reading.spread,
            "minutes": cost,
            "channel": channel_of(offer),
        }


def channel_of(offer: Offer) -> str:
    """Where a picture shows a reading: the name of its channel, empty where it shows none."""
    first, _, rest = offer.name.partition(" of ")
    if offer.fitted and offer.kind in ("pressure", "flow"):
        return f"reading:{offer.name}"
    if offer.kind == "pressure":
        return f"pressure:{offer.chamber}" if offer.chamber else ""
    if offer.kind in ("velocity", "rotation"):
        return f"{'speed' if offer.kind == 'velocity' else 'rotation'}:{rest}"
    return f"flow:{rest}" if first == "flow" else ""


def _places(bench: Bench, setup: Setup) -> dict[str, float]:
    """Where levers and cylinders stand in a set-up, by the channel of a picture: this can be seen."""
    th, _ = bench.theta(setup, {})
    known = bench.machine.system.parameters
    return {
        f"position:{name.removesuffix(PLACE)}": float(th[k]) for name, k in known.items() if name.endswith(PLACE)
    }


class SealedPage:
    """The game of a page, one at a time; each question waits for the one before it."""

    def __init__(self, game: Game | None = None) -> None:
        self._game, self._lock = game, threading.Lock()

    def bench(self, machine: Machine) -> dict[str, Any]:
        """The picture without a number, what can be read and how, which causes there are, and the state so far."""
        with self._lock:
            machine = self._game.machine if self._game else _own(machine)
            drawn = laid_out(pictures(machine))
            circuit = next((named for named in drawn if named.sort == "circuit"), drawn[0])
            return {
                "title": machine.title,
                "file": machine.path.name,
                "units": unit_tables(),
                "scale": {"stops": list(STOPS), "hatches": HATCHES, "full": full_scale(machine)},
                "picture": picture_data(circuit),
                "offers": self._offers(),
                "state": self._game.state() if self._game else None,
            }

    def start(self, machine: Machine, seed: int | None) -> dict[str, Any]:
        """Seal a machine anew, by a seed or by one that is drawn."""
        with self._lock:
            self._game = sealed_game(machine, secrets.randbelow(SEEDS) if seed is None else seed, workers=1)
            return {"offers": self._offers(), "state": self._game.state()}

    def ask(self, text: str) -> dict[str, Any]:
        """Ask for a reading, 'pump gauge @ lever valve +1, stalled'.  Errors: as :meth:`Game.ask`."""
        with self._lock:
            game = self._running()
            game.ask(text)
            return {"state": game.state()}

    def name(self, cause: str) -> dict[str, Any]:
        """Name the cause.  Errors: as :meth:`Game.name`."""
        with self._lock:
            game = self._running()
            game.name(cause)
            return {"state": game.state()}

    def _running(self) -> Game:
        if self._game is None:
            raise InputError(Problem(Place("sealed"), "no machine is sealed yet", "start with a seed"))
        return self._game

    def _offers(self) -> dict[str, Any] | None:
        """What is on offer, with the readings and the places of levers in each set-up, and each cause once."""
        if self._game is None:
            return None
        bench = self._game.sealed.bench
        told = offers_data(bench)
        for setup, said in zip(bench.setups, told["set-ups"], strict=True):
            said["readings"] = [offer.name for offer in bench.panel.offers if offer.valid(setup)]
            said["places"] = _places(bench, setup)
        return {**told, "faults": list(dict.fromkeys(fault["name"] for fault in told["faults"]))}


def sealed_game(machine: Machine, seed: int, workers: int | None = None) -> Game:
    """Hide a fault in a machine; the first time on a machine its faults are solved (``workers`` processes).

    Errors: :class:`NoSolution`; :class:`InputError` where no fault would show.
    """
    own = _own(machine)
    bench, dictionary, _ = dictionary_of(own, workers=workers)
    return Game(own, Sealed(bench, dictionary, seed))


def _own(machine: Machine) -> Machine:
    """The same machine with a System of its own: that of the page is solved in another thread."""
    return replace(machine, notes=list(machine.notes))
