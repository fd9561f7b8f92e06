"""The test stand on the page: a readings file filled in one reading at a time, and judged at every step.

The file is the truth: each answer is written into it at once, whole, with every comment kept, and the page holds
nothing that is not in it.  What is odd about a reading, every figure and the verdict come from ``study``.
"""

from __future__ import annotations

import hashlib
import threading
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from oilway.draw.proof_chart import draw_proof, has_chart
from oilway.errors import InputError, Place, Problem
from oilway.files import write_whole
from oilway.log import BenchLog
from oilway.model.tree import read_file
from oilway.quantity import Units
from oilway.sheets.proof_sheet import sheet_pdf
from oilway.study.forms import HEADER, RESTORE
from oilway.study.proof import Proof, prove
from oilway.study.proof_data import proof_data
from oilway.study.readings import readings_from_text
from oilway.study.stand import Draft, Prompt, prompts
from oilway.study.stand_look import looks
from oilway.study.stand_write import written

BLANK = "format: 1\n"  # of a file that is begun here
KEPT = 200  # answers that can be taken back


@dataclass
class _Seen:
    """One state of the file: its text, what it asks for, its proof or what keeps it from one."""

    draft: Draft
    prompts: list[Prompt]
    proof: Proof | None
    problems: list[Problem]


class Stand:
    """A readings file at the stand, and the bench log that its sheet may go into."""

    def __init__(self, path: Path, log: Path | None = None) -> None:
        """Errors: :class:`InputError` for a file that cannot be read, or is none of readings."""
        self.path, self.log = path, log
        self._lock = threading.RLock()
        self._before: list[tuple[str, str]] = []  # texts before and after each answer
        if not self._seen("shop").draft.at("readings") and path.exists():
            what = "this is no readings file: it has no 'readings'"
            raise InputError(Problem(Place(path.name), what, "name a new file, and it is begun at the stand"))

    # -- answers to the page --------------------------------------------------------------------------------
    def state(self, units: Units) -> dict[str, Any]:
        """Everything the page shows: what is asked, what has been typed, and what it proves so far."""
        with self._lock:
            seen = self._seen(units)
            return {
                "file": self.path.name,
                "title": seen.draft.at("readings"),
                "was": _mark(seen.draft.text),
                "prompts": [_prompt_data(prompt) for prompt in seen.prompts],
                "at": next((k for k, p in enumerate(seen.prompts) if p.needed and not p.value), len(seen.prompts)),
                "undo": bool(self._before) and self._before[-1][1] == seen.draft.text,
                "log": self.log.name if self.log else None,
                "proof": proof_data(seen.proof, units) if seen.proof else None,
                "chart": seen.proof is not None and has_chart(seen.proof),
                "problems": [_problem_data(problem) for problem in seen.problems],
                "odd": [asdict(look) for look in looks(seen.draft, seen.proof, units)],
                "cautions": [HEADER, *(seen.draft.form.cautions if seen.draft.form else ())],
                "last caution": RESTORE,
            }

    def check(self, name: str, typed: str, units: Units) -> dict[str, Any]:
        """What would be odd about an answer, before it is given; nothing is written."""
        with self._lock:
            seen = self._seen(units)
            text = written(seen.draft, _prompt(seen, name), typed, self.path.parent)
            known = set(looks(seen.draft, seen.proof, units))
            then = self._look_at(text, units)
            return {"odd": [asdict(look) for look in looks(then.draft, then.proof, units) if look not in known]}

    def put(self, name: str, typed: str, was: str, units: Units) -> dict[str, Any]:
        """Write an answer into the file, and give the state after it.

        ``was`` is the mark of the text that the page has seen.  Errors: :class:`InputError` for an answer that
        cannot be, and where the file has changed meanwhile; nothing is written then.
        """
        with self._lock:
            seen = self._seen(units)
            if was != _mark(seen.draft.text):
                what = "the file was changed meanwhile, by an editor or at another phone"
                raise InputError(Problem(Place(self.path.name), what, "look at it again, then type it once more"))
            text = written(seen.draft, _prompt(seen, name), typed, self.path.parent)
            if text != seen.draft.text:
                write_whole(self.path, text)
                self._before = [*self._before[-KEPT:], (seen.draft.text, text)]
            return self.state(units)

    def undo(self, units: Units) -> dict[str, Any]:
        """Take the last answer back.  Errors: :class:`InputError` where there is none, or the file is another."""
        with self._lock:
            if not self._before or self._before[-1][1] != self._text():
                what = "nothing to take back: the last answer was not typed here"
                raise InputError(Problem(Place(self.path.name), what, "go back to it and type it anew"))
            write_whole(self.path, self._before.pop()[0])
            return self.state(units)

    def store(self) -> dict[str, Any]:
        """Keep the sheet in the bench log.  Errors: :class:`InputError` without a log or without a proof."""
        with self._lock:
            if self.log is None:
                what = "no bench log was named"
                raise InputError(Problem(Place("--log"), what, "start it with --log bench.db"))
            proof = self._proof("shop")
            with BenchLog(self.log, create=True) as bench:
                number, new = bench.store(proof)
            return {"sheet": number, "new": new, "log": self.log.name}

    def pdf(self, units: Units, paper: str) -> bytes:
        """The test sheet.  Errors: :class:`InputError` while nothing can be proven, or for an unknown paper."""
        return sheet_pdf(self._proof(units), units, "a4" if paper == "a4" else "letter")

    def chart(self, units: Units) -> str:
        """The curve as SVG.  Errors: :class:`InputError` for a test without one."""
        return draw_proof(self._proof(units), units)

    # -- the file ---------------------------------------------------------------------------------------------
    def _text(self) -> str:
        if not self.path.exists():
            return BLANK
        read_file(self.path)  # its refusals, in words
        return self.path.read_bytes().decode("utf-8-sig")

    def _seen(self, units: Units) -> _Seen:
        return self._look_at(self._text(), units)

    def _look_at(self, text: str, units: Units) -> _Seen:
        draft = Draft(text, self.path.name)
        proof, problems = None, []
        try:
            proof = prove(readings_from_text(text, self.path.name, self.path.parent), units)
        except InputError as error:
            problems = error.problems
        return _Seen(draft, prompts(draft, units), proof, problems)

    def _proof(self, units: Units) -> Proof:
        seen = self._seen(units)
        if seen.proof is None:
            raise InputError(seen.problems)
        return seen.proof


def _prompt(seen: _Seen, name: str) -> Prompt:
    """The prompt of a name: only what is asked can be written."""
    for prompt in seen.prompts:
        if "/".join(prompt.path) == name:
            return prompt
    raise InputError(Problem(Place(seen.draft.name), f"'{name[:80]}' is not asked here"))


def _prompt_data(prompt: Prompt) -> dict[str, Any]:
    told = asdict(prompt)
    del told["path"], told["kind"]
    return {"id": "/".join(prompt.path), **told}


def _problem_data(problem: Problem) -> dict[str, Any]:
    return {"line": problem.where.line, "what": problem.what, "hint": problem.hint}


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
