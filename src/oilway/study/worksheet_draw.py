"""Variants: each student's numbers, drawn by seed and drawn again until every question is fair.

Fair is: it solves, no answer hangs on a hair or lies out of range, and each question is as hard as for everybody
else.  The draws follow from student and worksheet alone, so that a sheet can be made again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from oilway.errors import InputError, OilwayError
from oilway.model.pool import Pool
from oilway.quantity import Units
from oilway.study.roster import Student
from oilway.study.worksheet import Question, Worksheet
from oilway.study.worksheet_files import files_behind
from oilway.study.worksheet_kinds import Tie, items_of, regimes
from oilway.study.worksheet_ranges import seed
from oilway.study.worksheet_solve import Item, Models, Sitting

DRAWS = 60  # before a question is given up
CODE = 8  # hexadecimal digits of a variant's code


@dataclass(frozen=True)
class Difficulty:
    """How hard one question is: ``steps`` (earlier answers used, open parts to think of), and the ``regime``."""

    steps: int
    regime: tuple[tuple[str, str], ...]

    def words(self) -> str:
        """The regime in words, parts that rest on their seat left out."""
        moved = [f"{part} {word}" for part, word in self.regime if word != "seated"]
        return ", ".join(moved) or "everything seated"


@dataclass(frozen=True)
class Redraw:
    """A draw that was not fair: the question in the way, of which ``sort``, and why in words.

    ``sort``: tie, range, unsolved, or regime (easier or harder than for everybody else).
    """

    question: str
    sort: str
    why: str


@dataclass
class Variant:
    """One student's sheet: ``code`` names it, ``items`` is the key, ``again`` the draws before it, not fair."""

    student: Student
    units: Units
    code: str
    drawn: dict[str, str]
    sitting: Sitting
    items: list[Item]
    difficulty: dict[str, Difficulty]
    again: list[Redraw] = field(default_factory=list)

    @property
    def draws(self) -> int:
        """How often it was drawn."""
        return len(self.again) + 1

    def of(self, question: Question) -> list[Item]:
        """The items of one question."""
        return [item for item in self.items if item.question.id == question.id]


@dataclass
class Drawn:
    """The variants of a class, and who could not be given one and why."""

    worksheet: Worksheet
    variants: list[Variant]
    failed: list[str] = field(default_factory=list)


@dataclass
class Drawer:
    """Draws variants of one worksheet; machines are shared by all of them, a ``pool`` by worksheets too."""

    worksheet: Worksheet
    units: Units = "shop"
    salt: str = ""
    pool: Pool = field(default_factory=Pool)

    def __post_init__(self) -> None:
        self.models, behind = Models(self.worksheet, self.pool), files_behind(self.worksheet)
        self.ranges = {word: span.within(self.units) for word, span in self.worksheet.ranges.items()}
        self._files = [path.read_text(encoding="utf-8-sig") for path in behind]
        self.worksheet = self.worksheet.said_in(self.units)
        self._asked: dict[str, Difficulty] | None = None
        self._unfair = ""

    def variant(self, student: Student) -> Variant:
        """The variant of a student.

        Errors: :class:`InputError` where no draw is fair, saying which question stands in the way and why.
        """
        asked = self.asked()
        again: list[Redraw] = []
        for attempt in range(DRAWS):
            try:
                found = self.solved(student, self.numbers(student.id, attempt))
            except (Tie, NoVariant) as err:
                again.append(Redraw(err.question, err.sort, f"{err.question}: {first_line(err)}"))
                continue
            easier = [q for q, d in found.difficulty.items() if not _alike(self.worksheet, q, d, asked)]
            if not easier:
                found.again = again
                return found
            words = f"{easier[0]}: {found.difficulty[easier[0]].words()}, not {asked[easier[0]].words()}"
            again.append(Redraw(easier[0], "regime", words))
        raise NoVariant(f"no fair numbers in {DRAWS} draws; the last: {again[-1].why}", again=again)

    def numbers(self, student: str, attempt: int) -> dict[str, str]:
        """The numbers of one draw, as texts with units."""
        return {
            word: span.text(seed(self.worksheet.id, self.salt, student, attempt, word) % span.count)
            for word, span in self.ranges.items()
        }

    def solved(self, student: Student, drawn: dict[str, str], *, fair: bool = False) -> Variant:
        """A sheet with these numbers; ``fair`` ones, that were printed, are not held against a tie again.

        Errors: :class:`Tie`, and what solving raises, with the question's id.
        """
        sitting = Sitting(self.worksheet, self.models, drawn, self.units, fair=fair)
        items: list[Item] = []
        difficulty = {}
        for question in self.worksheet.questions:
            try:
                items += items_of(sitting, question, student.id)
                regime = tuple(regimes(sitting, question))
            except Tie as err:
                err.question = question.id
                raise
            except InputError:
                raise
            except OilwayError as err:
                raise NoVariant(first_line(err), question.id) from None
            steps = 1 + len(sitting.uses(question)) + sum(word != "seated" for _, word in regime)
            difficulty[question.id] = Difficulty(steps, regime)
        return Variant(student, self.units, self.code(student, drawn), drawn, sitting, items, difficulty)

    def code(self, student: Student, drawn: dict[str, str]) -> str:
        """The code of a variant: it changes with every file behind the worksheet and with every number."""
        number = seed(*self._files, self.salt, student.id, self.units, *sorted(drawn.items()))
        return f"{number:064x}"[:CODE]

    def printed(self, student: Student, code: str) -> Variant | None:
        """The variant of a student that bears a code; none where no draw does.

        Only that one is solved, and of it what marking needs: what was printed was fair.
        """
        drawn = self.bears(student, code)
        return None if drawn is None else self.solved(student, drawn, fair=True)

    def bears(self, student: Student, code: str) -> dict[str, str] | None:
        """The numbers of a student's draw that bears a code; none where no draw does.  Nothing is solved."""
        draws = (self.numbers(student.id, attempt) for attempt in range(DRAWS))
        return next((drawn for drawn in draws if self.code(student, drawn) == code), None)

    def asked(self) -> dict[str, Difficulty]:
        """How hard each question is meant to be: as with numbers from the middle of their ranges, or next to it.

        Errors: :class:`InputError` where nothing near the middle solves.
        """
        if self._unfair:
            raise NoVariant(self._unfair)
        if self._asked is None:
            why = ""
            for away in range(5):
                middle = {
                    word: span.text(min((span.count + away) // 2, span.count - 1))
                    for word, span in self.ranges.items()
                }
                try:
                    self._asked = self.solved(Student("middle"), middle).difficulty
                    break
                except (Tie, NoVariant) as err:
                    why = why or f"{err.question}: {first_line(err)}"
            else:
                self._unfair = f"with numbers from the middle of their ranges: {why}"
                raise NoVariant(self._unfair)
        return self._asked


class NoVariant(OilwayError):
    """A ``question`` that these numbers do not solve, or, without one, a sheet that no numbers make fair."""

    exit_status = 1
    sort = "unsolved"

    def __init__(self, what: str, question: str = "", again: Sequence[Redraw] = ()) -> None:
        super().__init__(what)
        self.question, self.again = question, list(again)


def first_line(error: Exception) -> str:
    """What an error says, in one line."""
    return str(error).splitlines()[0]


def _alike(worksheet: Worksheet, name: str, found: Difficulty, asked: dict[str, Difficulty]) -> bool:
    """Numbers are asked in one regime; which regime it is may be what a choice asks for."""
    question = next(q for q in worksheet.questions if q.id == name)
    wanted = dict(question.map("regime"))
    if wanted:
        return all(dict(found.regime).get(part) == word for part, word in wanted.items())
    return question.kind not in ("number", "gauges") or found == asked[name]


def draw_class(drawer: Drawer, students: Iterable[Student], tick: Callable[[], None] = lambda: None) -> Drawn:
    """The variants of a class; a student without one is named, the rest goes on.  ``tick`` is called for each."""
    out = Drawn(drawer.worksheet, [])
    for student in students:
        try:
            out.variants.append(drawer.variant(student))
        except NoVariant as err:
            out.failed.append(f"{student.place()}: {drawer.worksheet.title}: {err}")
        tick()
    return out


def difficulty_report(drawn: Drawn) -> list[str]:
    """How equal the variants are, question by question: steps, regimes, the closest to a tie."""
    lines = []
    for question in drawn.worksheet.questions:
        own = [v.difficulty[question.id] for v in drawn.variants]
        if not own:
            continue
        steps = sorted({d.steps for d in own})
        regime = sorted({d.words() for d in own}) if own[0].regime else []
        margins = [i.margin for v in drawn.variants for i in v.of(question) if i.margin is not None]
        said = f"{question.id}: {'/'.join(map(str, steps))} step{'s' if steps != [1] else ''}"
        said += f"; {' | '.join(regime)}" if regime else ""
        said += f"; at least {min(margins):.1%} from a tie" if margins else ""
        lines.append(said)
    again = sum(v.draws - 1 for v in drawn.variants)
    return [*lines, f"drawn again: {again} of {again + len(drawn.variants)} draws"]
