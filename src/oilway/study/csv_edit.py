"""A CSV as somebody wrote it, with one row set: everything else stays, other columns and separators too."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence

from oilway.study.roster import delimiter_of

BOM = "\ufeff"


class CsvText:
    """The rows of a CSV text that can be set by their keys.

    Columns that are wanted and missing are added to the head; an empty text is begun with them.
    """

    def __init__(self, text: str, columns: Sequence[str]) -> None:
        """Errors: :class:`csv.Error` for what is no CSV."""
        self.bom = BOM if text.startswith(BOM) else ""
        plain = text.removeprefix(BOM)
        self.end = "\r\n" if "\r\n" in plain else "\n"
        self.delimiter = delimiter_of(plain)
        self.rows = list(csv.reader(io.StringIO(plain, newline=""), delimiter=self.delimiter)) or [[]]
        self.names = [cell.strip().lower().replace(" ", "_") for cell in self.rows[0]]
        for name in columns:
            if name not in self.names:
                self.names.append(name)
                self.rows[0].append(name)

    def put(self, keys: Mapping[str, str], values: Mapping[str, str], *, last: bool = False) -> None:
        """Set the row of these keys, the first or the ``last`` of them; a row that is not there is added.

        It is added after the last one of the same first key, as rows of one student stand together.
        """
        found = self._of(keys)
        if found:
            row = self.rows[found[-1 if last else 0]]
        else:
            first = dict([next(iter(keys.items()))])
            row = [""] * len(self.names)
            self.rows.insert((self._of(first) or [len(self.rows) - 1])[-1] + 1, row)
            values = {**keys, **values}
        for name, value in values.items():
            at = self.names.index(name)
            row.extend([""] * (at + 1 - len(row)))
            row[at] = value

    def has(self, keys: Mapping[str, str]) -> bool:
        """Whether a row has these keys."""
        return bool(self._of(keys))

    def drop(self, keys: Mapping[str, str]) -> None:
        """Take every row of these keys out."""
        for at in reversed(self._of(keys)):
            del self.rows[at]

    def _of(self, keys: Mapping[str, str]) -> list[int]:
        places = {self.names.index(name): value for name, value in keys.items()}
        return [
            number
            for number, row in enumerate(self.rows[1:], 1)
            if all(at < len(row) and row[at].strip() == value for at, value in places.items())
        ]

    def text(self) -> str:
        """The whole as it is written."""
        out = io.StringIO()
        csv.writer(out, delimiter=self.delimiter, lineterminator=self.end).writerows(self.rows)
        return self.bom + out.getvalue()
