"""What every symbol shares: its grid, its pen, the room its words need."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.draw.drawn import NAMES, box, drawing, text_width, walk

from oilway.draw.picture import Picture
from oilway.draw.symbols import GRID, NUMBER, Mouth, Pen, Symbol, up, widest, width_of, wrapped


def pen() -> Pen:
    picture = Picture("test", 100, 100)
    return Pen(picture, picture.root)


@given(st.lists(st.text("abcdefg", min_size=1, max_size=12), min_size=1, max_size=8))
def test_wrapping_loses_no_word_and_keeps_to_the_width_where_words_allow(words: list[str]) -> None:
    lines = wrapped(" ".join(words), 14)
    assert " ".join(lines).split() == words
    assert all(len(line) <= 14 or " " not in line for line in lines)


def test_nothing_to_wrap_is_one_empty_line() -> None:
    assert wrapped("  ") == [""]


@pytest.mark.parametrize(
    "words", ["main relief", "back-pressure gauge", "WWWW mmmm", "PUMP <1> & CO", "hose 3/4 in"]
)
def test_the_room_for_words_holds_them_as_the_font_draws_them(words: str) -> None:
    text = pen().picture.text(None, 0, 0, words, NUMBER)
    assert text_width(text) <= width_of(words, NUMBER)


def test_lengths_go_up_to_the_grid() -> None:
    assert [up(x) for x in (0, 1, GRID, GRID + 0.5)] == [0, GRID, GRID, 2 * GRID]
    assert widest(["a", "abcdefghij"]) == width_of("abcdefghij")


@pytest.mark.parametrize("name", NAMES)
def test_mouths_stand_on_the_grid_at_the_edge_they_leave_by(name: str) -> None:
    for symbol in drawing(name).symbols:
        assert symbol.width % GRID == symbol.height % GRID == 0, symbol.name
        for mouth in symbol.mouths:
            assert mouth.x % GRID == mouth.y % GRID == 0, (symbol.name, mouth.port)
            edge = {
                "up": mouth.y,
                "down": symbol.height - mouth.y,
                "left": mouth.x,
                "right": symbol.width - mouth.x,
            }
            assert edge[mouth.side] == 0, (symbol.name, mouth.port)


def test_a_head_has_its_tip_where_it_points() -> None:
    for way, tip in (((1, 0), 2), ((-1, 0), 0), ((0, 1), 3), ((0, -1), 1)):
        drawn = pen()
        drawn.head(50, 50, way, 10)
        found = box(*list(walk(drawn.group))[-1])
        assert found is not None
        assert found[tip] == pytest.approx(50)


def test_a_turned_symbol_keeps_its_size_and_turns_once() -> None:
    def nothing(pen: Pen) -> None:
        """Draw nothing."""

    below = Symbol("a", 20, 40, [Mouth("from", 0, 40, "down", "x")], nothing)
    below.turned = Symbol("a", 20, 40, [Mouth("from", 0, 0, "up", "x")], nothing)
    below.turn()
    below.turn()
    assert [m.side for m in below.mouths] == ["up"]
