"""The sealed machine: a fault hidden by a seed, readings that cost bench minutes, unsafe ones refused with the
reason.

The hidden machine also differs from its file within all tolerances, and its instruments have noise: the same seed
gives the same machine and, whatever is asked in whatever order, the same readings.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

import numpy as np

from oilway.errors import InputError, NoSolution, Place, Problem
from oilway.model.system import Vector
from oilway.solve.point import rest
from oilway.solve.result import refuse_impossible
from oilway.study.diagnosis import diagnose
from oilway.study.dictionary import IMPOSSIBLE, RATED, Bench, Dictionary
from oilway.study.faults import Fault, fault_called
from oilway.study.find import APART, Found
from oilway.study.find_readings import Reading, offer_called, setup_called
from oilway.study.tolerances import shifted

WITHIN = 1.0  # standard deviations: half width of the even spread in which the hidden machine differs
WRONG_GUESS = 20  # points
MOST_STEPS = 8  # of the tool's own way to the cause, with which a score is compared

# What is never done, whatever the machine: words of a request, and the reason.
NEVER = (
    (r"\b(drain)\b.*\b(plug|cap|block|shut)|\b(plug|cap|block|shut)\w*\b.*\bdrain\b",
     "never plug the pilot drain of a working relief: inlet pressure builds behind the pilot, and nothing opens. "
     "Meter it instead"),
    (r"\b(crack|loosen|open)\w*\b.*\b(fitting|line|hose|union|nut)\b|finger|\bhand\b",
     "never open a line under pressure or feel for a leak: a jet too fine to see goes through skin. Shut down, "
     "bleed, search with card; oil in the skin means hospital at once"),
    (r"dead.?head|\b(plug|cap|block)\w*\b.*\bpump\b",
     "never dead-head a tester between pump and relief: nothing would open before something burst"),
    (r"\b(raise|screw|turn)\w*\b.*\b(all the way|fully|to the stop)\b",
     "never screw an adjuster beyond the lowest rating entered"),
)  # fmt: skip


@dataclass
class Sealed:
    """A machine with a hidden fault.  ``asked`` holds the readings given so far, ``minutes`` what they cost."""

    bench: Bench
    dictionary: Dictionary
    seed: int
    fault: Fault = field(init=False)
    severity: float = field(init=False)
    asked: list[Reading] = field(default_factory=list)
    minutes: float = 0.0
    wrong_guesses: int = 0

    def __post_init__(self) -> None:
        """Draw the fault, its severity and how the machine differs from its file."""
        rng = np.random.default_rng(self.seed)
        visible = _visible(self.bench, self.dictionary)
        if not visible:
            raise InputError(Problem(Place("sealed"), "no fault of this machine shows in any reading on offer"))
        k, s = visible[int(rng.integers(len(visible)))]
        self.fault, self.severity = self.bench.faults[k], s
        self._by = rng.uniform(-WITHIN, WITHIN, len(self.bench.wobbles))
        self._shown: dict[int, Vector | str] = {}

    def ask(self, text: str) -> tuple[Reading, float]:
        """A reading, 'pump gauge @ lever valve +1, stalled', and the minutes it cost.

        Errors: :class:`InputError` for a reading that is not there, or is refused because it is not safe.
        """
        place = Place("sealed")
        for pattern, why in NEVER:
            if re.search(pattern, text.lower()):
                raise InputError(Problem(place, f"refused: '{text.strip()}'", why))
        word, _, at = (part.strip() for part in text.partition("@"))
        u, r = setup_called(self.bench, at, place), offer_called(self.bench, word, place)
        offer, setup = self.bench.panel.offers[r], self.bench.setups[u]
        if not offer.valid(setup):
            raise InputError(Problem(place, f"'{word}' is not there to be read at '{setup.name}'"))
        shown = self._at(u)
        if isinstance(shown, str):
            raise InputError(Problem(place, f"refused: '{setup.name}'", f"stopped at once: {shown}"))
        cost = offer.minutes + (0.0 if u in {a.setup for a in self.asked} else setup.minutes)
        reading = self._reading(u, r, shown)
        self.asked.append(reading)
        self.minutes += cost
        return reading, cost

    def guess(self, name: str) -> bool:
        """Whether a cause is the hidden one; a wrong guess costs points.  Errors: :class:`InputError`."""
        right = fault_called(self.bench.machine, name).name == self.fault.name
        self.wrong_guesses += not right
        return right

    def score(self, found: bool) -> int:
        """0 to 100: the minutes of the tool's own way to the cause over those used, less wrong guesses."""
        if not found:
            return 0
        share = min(1.0, self.par() / max(self.minutes, 1.0))
        return max(0, round(100 * share) - WRONG_GUESS * self.wrong_guesses)

    def par(self) -> float:
        """Minutes of the tool's own way: the file's set-up first, then each time the test it would propose."""
        own = Sealed(self.bench, self.dictionary, self.seed)
        first = next(o for o in self.bench.panel.offers if o.fitted)
        try:
            own.ask(f"{first.name}")
            for _ in range(MOST_STEPS):
                told = diagnose(self.bench, self.dictionary, own.asked)
                if told.certain or not told.proposals:
                    break
                test = told.proposals[0]
                own.ask(f"{self.bench.panel.offers[test.offer].name} @ {self.bench.setups[test.setup].name}")
        except InputError:
            return own.minutes
        return own.minutes

    def diagnosis(self) -> Found | None:
        """What the readings asked for say so far."""
        return diagnose(self.bench, self.dictionary, self.asked).found if self.asked else None

    def _at(self, u: int) -> Vector | str:
        """All readings of the hidden machine in a set-up, or why it cannot be run there."""
        if u not in self._shown:
            self._shown[u] = self._solve(u)
        return self._shown[u]

    def _solve(self, u: int) -> Vector | str:
        bench, system = self.bench, self.bench.machine.system
        th, temperature = bench.theta(bench.setups[u], self.fault.changes(self.severity))
        warm = temperature
        for wobble, by in zip(bench.wobbles, self._by, strict=True):
            th = shifted(bench.machine, th, wobble, temperature, float(by))
            warm += float(by) * wobble.fixed if wobble.column < 0 else 0.0
        try:
            z, _ = rest(bench.machine, th)
            terms = system.ledger(z, th)[0]
            refuse_impossible(system, terms)
        except NoSolution:
            return "the pressure climbs and nothing relieves it"
        for k, limit in system.limits.items():
            if RATED in limit.what and limit.high and terms[k] > limit.high:
                return f"{limit.part} would pass its rated pressure"
        return bench.panel.read(bench.machine, z, th, warm)

    def _reading(self, u: int, r: int, shown: Vector) -> Reading:
        """What the instrument shows: its own error, the same in all its readings, and what each adds by itself."""
        offer, value = self.bench.panel.offers[r], float(shown[r])
        reading = Reading(r, u, value, offer.spread(value), ends=offer.ends(value))
        own = np.random.default_rng([self.seed, u, r]).standard_normal()
        error = np.random.default_rng([self.seed, *offer.instrument.encode()]).standard_normal(2)
        return replace(reading, value=value + reading.own * float(own) + float(np.dot(reading.ends, error)))


def _visible(bench: Bench, dictionary: Dictionary) -> list[tuple[int, float]]:
    """Faults and severities that some safe reading on offer tells from a sound machine."""
    offers, found = bench.panel.offers, []
    own = np.array(
        [[offer.spread(v) for offer, v in zip(offers, row, strict=True)] for row in dictionary.sound_mean]
    )
    spread = np.sqrt(own**2 + (dictionary.sound_slope**2).sum(axis=2))
    for k in range(len(bench.faults)):
        for s in range(1, dictionary.mean.shape[1]):
            safe = (dictionary.status[k, s] != IMPOSSIBLE) & (dictionary.strain[k, s] <= 1.0)
            off = np.abs(np.nan_to_num(dictionary.mean[k, s] - dictionary.sound_mean)) / spread
            if (off[safe] > APART).any():
                found.append((k, s / (dictionary.mean.shape[1] - 1)))
    return found
