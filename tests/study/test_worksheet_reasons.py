"""The worked reasoning of a key is the state's own: pressures, ledgers that close, laws that are known."""

from __future__ import annotations

from pathlib import Path

from tests.classroom import item_of, variant

from oilway import quantity
from oilway.study.worksheet_reasons import answer_words, reasons, tolerance_words


def test_reasons_show_the_pressures_and_the_ledger_of_what_is_open(tmp_path: Path) -> None:
    found = variant(tmp_path)
    question = found.sitting.worksheet.questions[1]
    state = found.sitting.state(question)
    told = reasons(state, found.of(question), "shop")
    assert dict(told["pressures"])["inlet"] == quantity.show(state.pressures["inlet"], "pressure")
    (forces,) = told["forces"]
    assert forces["part"] == "poppet"
    assert forces["sum"] == "0.0 lbf"
    sizes = [float(text.split()[0]) for _, text in forces["terms"]]
    assert abs(sum(sizes)) < 0.1 * len(sizes)  # each is rounded to a tenth
    assert any(law.startswith("pressure x area: Force = ") for law in told["laws"])
    assert [flow["sum"] for flow in told["flows"]] == ["0.00 gpm"] * len(told["flows"])


def test_a_seated_part_has_no_ledger_to_explain(tmp_path: Path) -> None:
    found = variant(tmp_path)
    question = found.sitting.worksheet.questions[0]
    assert reasons(found.sitting.state(question), found.of(question), "shop")["forces"] == []


def test_a_tank_takes_the_difference_and_has_no_balance_to_show(tmp_path: Path) -> None:
    found = variant(tmp_path)
    question = found.sitting.worksheet.questions[1]
    item = found.of(question)[0]
    item.chamber = "tank"
    flows = reasons(found.sitting.state(question), [item], "shop")["flows"]
    assert "tank" not in [flow["chamber"] for flow in flows]


def test_keys_in_words(tmp_path: Path) -> None:
    item = item_of(variant(tmp_path), "inlet")
    assert answer_words(item, "shop") == quantity.show(item.size(), "pressure")
    assert tolerance_words(item, "shop").endswith("half")
    order = item_of(variant(tmp_path, "questions:\n  - {id: q, kind: order, ask: a, steps: [a, b, c]}\n"), "q")
    assert answer_words(order, "shop") == "a → b → c"
    assert tolerance_words(order, "shop") == ""
