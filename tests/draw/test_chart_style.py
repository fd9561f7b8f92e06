"""What the charts share: endings, titles, and files that are written whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilway.draw.chart_style import check_ending, cut, on_page, one_line, page, save
from oilway.errors import InputError


def test_endings() -> None:
    assert check_ending(Path("a.SVG")) == ".svg"
    with pytest.raises(InputError, match=r"did you mean '\.png'"):
        check_ending(Path("a.pgn"))


def test_text_for_a_page() -> None:
    assert one_line(" a\tb\nc \x07 ") == "a b c "
    assert len(cut("word " * 40)) <= 52
    assert cut("short") == "short"


def test_a_place_on_the_page_is_given_in_points() -> None:
    with page() as figure:
        x, y = on_page(figure)["transform"].transform((72.0, 36.0))
        assert (x, y) == pytest.approx((72.0, 36.0))
        assert figure.get_size_inches().tolist() == [10.0, 7.0]


def test_nothing_is_written_under_another_ending(tmp_path: Path) -> None:
    with pytest.raises(InputError):
        save(page(), tmp_path / "a.docx", "heading", "words")
    assert not list(tmp_path.iterdir())
    save(page(), tmp_path / "a.svg", "heading", "words <of it>")
    assert "<desc>words &lt;of it&gt;</desc>" in (tmp_path / "a.svg").read_text(encoding="utf-8")
