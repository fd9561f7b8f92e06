"""The programs that write and check the documentation can tell right from wrong."""

from __future__ import annotations

import types
from pathlib import Path

import pytest

from docs import check_pages, generate, run_directive
from oilway.elements.record import REQUIRED, amount, choice
from oilway.model import catalogue


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("oilway no-such-verb", "no verb"),
        ("oilway check --no-such-option", "no-such-option"),
        ("make no-such-target", "no make target"),
        ("oilway check examples/no_such_file.yaml", "no file"),
        ("oilway --help", ""),
        ("make test", ""),
        ("pip install .", ""),
    ],
)
def test_a_stale_line_is_found(line: str, why: str) -> None:
    found = " ".join(check_pages.wrong(line)).lower()
    assert why in found if why else not found


def test_code_is_read_from_blocks_and_spans() -> None:
    text = "Run `make demo`.\n\n```\n$ oilway demo\n```\n\noilway is not code here.\n"
    assert list(check_pages.code(text)) == [(1, "make demo"), (4, "oilway demo")]


def test_a_docstring_reads_as_it_was_written() -> None:
    text = generate.prose("a*b_c <= 1, see ``d_e``.\n\n    p = q * r\n\n>>> 1 + 1\n2\n")
    assert text == "a\\*b\\_c \\<= 1, see ``d_e``.\n\n```text\np = q * r\n```\n\n```pycon\n>>> 1 + 1\n2\n```"


def test_a_law_named_in_a_docstring_becomes_a_link() -> None:
    said = generate.prose("By :func:`oilway.laws.areas.circle_area` and :class:`InputError`.")
    assert said == "By [`circle_area`](#areas-circle_area) and `InputError`."


def test_keys_are_shown_in_both_units_and_keep_small_bounds() -> None:
    rate = amount("rate", "rate", "force per length", REQUIRED, "0.001 N/mm", "20 N/mm")
    assert generate.default_of(rate) == "**required**"
    assert generate.range_of(rate) == "0.00571 to 114.2 lbf/in; 0.001 to 20 N/mm"
    depth = amount("depth", "length", "how deep", "1 in", low="0 in")
    assert generate.default_of(depth) == "1 in; 25.4 mm"
    assert generate.range_of(depth) == "at least 0 in; 0 mm"
    assert generate.range_of(amount("coils", "number", "coils that twist", None)) == ""
    assert generate.kind_of_value(choice("pushes", "which way", ("shut", "open"))) == "one of `shut`, `open`"


def test_every_kind_and_every_key_is_in_the_parts_reference() -> None:
    sections = generate.parts_page().split("\n## ")
    for name, kind in catalogue.kinds().items():
        section = next(s for s in sections if s.startswith(f"{name}\n"))
        for key in [*kind.ports, *kind.records]:
            assert f"| `{key.name}` |" in section


def test_a_wrong_worked_number_stops_the_build() -> None:
    module = types.ModuleType("wrong")
    module.__doc__ = ">>> 2 + 2\n5\n"
    with pytest.raises(RuntimeError, match="worked numbers of wrong"):
        generate.run_examples(module)


def test_an_excerpt_says_where_it_was_cut() -> None:
    lines = ["one", "  two", "three", "four"]
    assert run_directive.excerpt(lines, "two", "four") == ["...", "  two", "three", "..."]
    assert run_directive.excerpt(lines, "", "") == lines
    with pytest.raises(ValueError, match="no line begins with 'five'"):
        run_directive.excerpt(lines, "", "five")


def test_a_command_that_ends_otherwise_than_said_stops_the_build() -> None:
    run_directive.lay_out([], "")
    with pytest.raises(RuntimeError, match="ended with 2, not 0"):
        run_directive.output("no-such-verb", 0)


def test_a_page_whose_source_is_gone_goes_too(tmp_path: Path) -> None:
    gone = tmp_path / "laws" / "phlogiston.md"
    gone.parent.mkdir()
    gone.write_text("# Phlogiston\n", encoding="utf-8")
    generate.write_pages(tmp_path)
    assert not gone.exists()
    assert (tmp_path / "parts.md").is_file()
