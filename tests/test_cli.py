"""The command line as it is used: verbs, options, exit statuses, streams, and files written whole."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

import oilway
from oilway import cli
from oilway.study.curve import relief_curve
from oilway.study.explain import explain
from oilway.study.export import curve_data, explained_data
from oilway.study.story import examples

HOIST = str(examples() / "tipping_hoist.yaml")
NO_PATH = """format: 1
machine: dead end
parts:
  tank: {kind: tank}
  line: {kind: chamber}
  pump: {kind: fixed pump, inlet: tank, outlet: line, displacement: 36 cc/rev, engine speed: 2000 rpm}
  gauge: {kind: gauge, at: line}
"""
CLOSED_CENTRE = """format: 1
machine: closed centre
parts:
  tank: {kind: tank}
  line: {kind: chamber}
  port: {kind: chamber}
  pump: {kind: fixed pump, inlet: tank, outlet: line, displacement: 36 cc/rev, engine speed: 2000 rpm}
  spool: {kind: lever, stroke: 5 mm}
  edge: {kind: spool edge, on: spool, from: line, to: port, diameter: 20 mm, overlap: 1 mm}
  motor: {kind: orifice, from: port, to: tank, diameter: 8 mm}
"""
MISTAKES = """format: 1
machine: mistakes
parts:
  tank: {kind: tank}
  line: {kind: chamber, volum: 1 L}
  hole: {kind: orifice, from: line, to: tank, diameter: 3 psi}
"""


@pytest.fixture
def write(tmp_path: Path) -> Callable[[str], str]:
    """A file with this text; its path."""

    def put(text: str) -> str:
        path = tmp_path / "typed.yaml"
        path.write_text(text, encoding="utf-8")
        return str(path)

    return put


# -- exit statuses --------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    "words", [("check", "direct relief"), ("explain", HOIST), ("curve", "pilot relief"), ("schema",)]
)
def test_0_when_all_is_well(run, words: tuple[str, ...]) -> None:
    ended = run(*words)
    assert (ended.status, ended.err) == (0, "")
    assert ended.out


def test_1_when_computed_but_a_limit_is_broken(run) -> None:
    ended = run("explain", HOIST, "--at", "load pressure=1500 psi", "--change", "pump gauge.span=1000 psi")
    assert ended.status == 1
    assert "LIMIT: pump gauge: pressure beyond the end of the gauge's scale" in ended.out
    assert "Pressure in every chamber" in ended.out
    assert ended.err == ""
    check = run("check", HOIST, "--change", "pump line.rated pressure=2000 psi")
    assert check.status == 1
    assert "main relief: set to 2300 psi, above the rated pressure of pump line (2000 psi)" in " ".join(
        check.out.split()
    )


def test_2_for_input_that_cannot_be_used(run, write) -> None:
    ended = run("check", write(MISTAKES))
    assert ended.status == 2
    assert ended.out == ""
    lines = ended.err.splitlines()
    assert lines[0] == "typed.yaml:5: line: unknown key 'volum' (did you mean 'volume'?)"
    assert lines[1].startswith("typed.yaml:6: hole: diameter: '3 psi' is a pressure; a length is wanted")
    assert len(lines) == 2


@pytest.mark.parametrize("verb", ["check", "explain"])
def test_3_for_a_circuit_that_cannot_be(run, write, verb: str) -> None:
    ended = run(verb, write(NO_PATH))
    assert ended.status == 3
    assert ended.out == ""
    assert "no path to tank from pump" in ended.err
    assert "mass balance of line" in ended.err


def test_3_for_a_dead_headed_pump_and_no_numbers(run, write) -> None:
    ended = run("explain", write(CLOSED_CENTRE))
    assert ended.status == 3
    assert ended.out == ""
    assert "dead-headed" in ended.err
    assert "line" in ended.err
    assert run("explain", write(CLOSED_CENTRE), "--at", "lever=1").status == 0


def test_3_for_a_setting_out_of_reach(run) -> None:
    ended = run("curve", "pilot relief", "--change", "setting=9000 psi at 18 gpm")
    assert ended.status == 3
    assert "out of its adjuster's reach" in ended.err
    assert "fully in" in ended.err


def test_no_error_shows_a_traceback(run, write, tmp_path: Path) -> None:
    for words in (
        ("check", write(MISTAKES)),
        ("check", str(tmp_path / "nowhere.yaml")),
        ("explain", write(NO_PATH)),
        ("curve", HOIST),
        ("explain", HOIST, "--at", "lever"),
    ):
        ended = run(*words)
        assert ended.status in (2, 3)
        assert "Traceback" not in ended.err


# -- words that are not known ---------------------------------------------------------------------------------
def test_an_unknown_verb_is_told_with_the_closest(run) -> None:
    ended = run("explian", "direct relief")
    assert ended.status == 2
    assert ended.err == "oilway: there is no verb 'explian' (did you mean 'explain'?)\n"
    assert "verbs: check, explain, curve" in run("zzz").err


def test_an_unknown_file_is_told_with_the_closest(run) -> None:
    ended = run("curve", "dirct relief")
    assert ended.status == 2
    assert "did you mean 'direct relief'?" in ended.err


def test_an_unknown_word_of_a_point_is_told_with_the_closest(run) -> None:
    ended = run("explain", HOIST, "--at", "lod pressure=2000 psi")
    assert ended.status == 2
    assert "unknown word 'lod pressure'" in ended.err
    assert "did you mean 'load pressure'?" in ended.err


def test_a_wrong_unit_in_a_point_is_told(run) -> None:
    ended = run("explain", HOIST, "--at", "load pressure=20 gpm")
    assert ended.status == 2
    assert "'20 gpm' is a flow; a pressure is wanted" in ended.err


def test_a_change_of_a_part_that_is_not_there_is_told(run) -> None:
    ended = run("check", "direct relief", "--change", "popet.mass=50 g")
    assert ended.status == 2
    assert "did you mean 'poppet'?" in ended.err


@pytest.mark.parametrize("option", ["--at", "--change"])
@pytest.mark.parametrize("text", ["lever", "lever=", "=1"])
def test_a_text_that_is_no_pair_is_told(run, option: str, text: str) -> None:
    ended = run("explain", HOIST, option, text)
    assert ended.status == 2
    assert ended.err == f"{option}: '{text}' is not of the form word=value\n"


def test_an_unknown_option_ends_with_2(run) -> None:
    assert run("check", "direct relief", "--jsn").status == 2


# -- answers --------------------------------------------------------------------------------------------------
def test_json_of_explain_is_what_the_library_says(run) -> None:
    ended = run("explain", HOIST, "--at", "load pressure=2150 psi, lever=1", "--json")
    machine = oilway.load(HOIST)
    by_library = explain(machine, [machine.point_from({"load pressure": "2150 psi", "lever": "1"})])
    assert json.loads(ended.out) == [explained_data(item) for item in by_library]


def test_margins_are_told_when_asked_for(run) -> None:
    point = ("--at", "damping orifice.diameter=1.6 mm")
    assert "Stability margin" not in run("explain", "pilot relief", *point).out
    assert "Stability margin" in run("explain", "pilot relief", *point, "--margin").out
    (data,) = json.loads(run("explain", "pilot relief", *point, "--margin", "--json").out)
    assert data["margins"][0]["influences"][0]["parameter"] == "damping orifice.diameter"
    assert "margins" not in json.loads(run("explain", "pilot relief", *point, "--json").out)[0]


def test_json_of_curve_is_what_the_library_says(run) -> None:
    ended = run("curve", "direct relief", "pilot relief", "--json", "--units", "metric")
    by_library = [relief_curve(oilway.load(name)) for name in ("direct relief", "pilot relief")]
    assert json.loads(ended.out) == [curve_data(curve, "metric") for curve in by_library]


def test_json_of_check_and_schema_parses(run) -> None:
    assert json.loads(run("check", HOIST, "--json").out)["title"] == "Brackwater tipping-trailer hoist"
    assert "$schema" in json.loads(run("schema").out)


def test_metric_units_show_bar_and_litres(run) -> None:
    shop, metric = (run("explain", "direct relief", "--units", units).out for units in ("shop", "metric"))
    assert "psi" in shop
    assert " bar" not in shop
    assert "bar" in metric
    assert "psi," not in metric
    (one,) = json.loads(
        run("explain", "direct relief", "--at", "load pressure=100 bar", "--units", "metric", "--json").out
    )
    assert one["pressures"]["unit"] == "bar"
    assert one["pressures"]["values"]["inlet"] == pytest.approx(100, abs=0.05)


def test_several_points_are_answered_in_order(run) -> None:
    ended = run(
        "explain", "pilot relief", "--at", "load pressure=500 psi", "--at", "load pressure=1500 psi", "--json"
    )
    loads = [item["pressures"]["values"]["inlet"] for item in json.loads(ended.out)]
    assert loads == pytest.approx([500, 1500], abs=0.5)


def test_changes_are_read_before_the_file_is(run) -> None:
    ended = run(
        "explain", HOIST, "--json", "--at", "load pressure=2600 psi",
        "--change", "main relief.valve=direct relief", "--change", "main relief.setting=2000 psi at 18 gpm",
    )  # fmt: skip
    (item,) = json.loads(ended.out)
    assert "main relief.poppet" in item["parts"]
    assert item["pressures"]["values"]["pump line"] == pytest.approx(2000, abs=20)


def test_a_change_of_the_setting_of_a_valve(run) -> None:
    ended = run("curve", "direct relief", "--change", "setting=1000 psi at 10 gpm", "--json")
    assert json.loads(ended.out)[0]["pressures"]["values"]["full"] == pytest.approx(1000, abs=0.05)


def test_conditions_of_a_curve(run) -> None:
    ended = run(
        "curve", "direct relief", "--at", "oil temperature=40 F, tank pressure=100 psi", "--flow", "10 gpm",
        "--cracked-at", "0.5 gpm", "--json",
    )  # fmt: skip
    (data,) = json.loads(ended.out)
    assert data["full flow"]["value"] == pytest.approx(10)
    assert data["cracking flow"]["value"] == pytest.approx(0.5)
    assert data["pressures"]["values"]["outlet_pressure"] == pytest.approx(100)


# -- files ----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    "words", [("check", HOIST), ("explain", "direct relief"), ("explain", "direct relief", "--json"), ("schema",)]
)
def test_an_answer_in_a_file_is_the_answer_whole(run, tmp_path: Path, words: tuple[str, ...]) -> None:
    target = tmp_path / "answer.txt"
    target.write_text("an older answer", encoding="utf-8")
    ended = run(*words, "-o", str(target))
    assert (ended.status, ended.out) == (0, "")
    assert target.read_text(encoding="utf-8") == run(*words).out
    assert [p.name for p in tmp_path.iterdir()] == ["answer.txt"]


def test_a_curve_is_drawn_into_a_file(run, tmp_path: Path) -> None:
    target = tmp_path / "curves.svg"
    ended = run("curve", "direct relief", "pilot relief", "-o", str(target))
    assert ended.status == 0
    assert f"chart: {target}" in ended.out
    assert target.read_text(encoding="utf-8").lstrip().startswith(("<?xml", "<svg"))
    assert [p.name for p in tmp_path.iterdir()] == ["curves.svg"]


def test_curves_of_both_kinds_are_printed_and_written_as_a_table(run, tmp_path: Path) -> None:
    target = tmp_path / "curves.csv"
    ended = run("curve", "direct relief", "reducing", "-o", str(target))
    assert ended.status == 0
    for words in ("cracking pressure", "held pressure at no flow", f"table: {target}"):
        assert words in ended.out
    assert target.read_text(encoding="utf-8").startswith("valve,pressure read,branch,")
    (relief, reducing) = json.loads(run("curve", "direct relief", "reducing", "--json").out)
    assert "cracking" in relief["pressures"]["values"]
    assert "held" in reducing["pressures"]["values"]


@pytest.mark.parametrize(
    "words",
    [
        ("direct relief", "reducing", "-o", "both.svg"),
        ("reducing", "--cracked-at", "1 gpm"),
        ("reducing", "-o", "curve.pgn"),
        ("crossover relief",),
    ],
)
def test_a_curve_that_has_no_meaning_is_refused_with_what_to_do(run, words: tuple[str, ...]) -> None:
    ended = run("curve", *words)
    assert (ended.status, ended.out) == (2, "")
    assert "(" in ended.err


def test_a_file_that_cannot_be_written_is_told_and_leaves_nothing(run, tmp_path: Path) -> None:
    target = tmp_path / "no such folder" / "answer.txt"
    ended = run("check", HOIST, "-o", str(target))
    assert ended.status == 2
    assert "cannot be written" in ended.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "words",
    [
        ("curve", "direct relief", "-o", "no such folder/curves.svg"),
        ("demo", "--folder", "taken"),
        ("check", "direct relief", "-o", ""),
    ],
)
def test_every_place_that_cannot_be_written_is_told(
    run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "taken").write_text("a file, not a folder", encoding="utf-8")
    ended = run(*words)
    assert ended.status == 2
    assert "cannot be written" in ended.err
    assert [p.name for p in tmp_path.iterdir()] == ["taken"]


def test_a_failed_answer_leaves_an_older_file_alone(run, write, tmp_path: Path) -> None:
    target = tmp_path / "answer.txt"
    target.write_text("an older answer", encoding="utf-8")
    assert run("explain", write(NO_PATH), "-o", str(target)).status == 3
    assert target.read_text(encoding="utf-8") == "an older answer"


# -- the installed command --------------------------------------------------------------------------------------
def command(*words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "oilway", *words], cwd=folder, capture_output=True, encoding="utf-8", check=False
    )


@pytest.mark.parametrize(
    ("words", "status"),
    [
        (("check", "direct relief"), 0),
        (("explain", "direct relief", "--change", "inlet.rated pressure=2200 psi"), 1),
        (("check", "mistakes.yaml"), 2),
        (("explain", "dead_end.yaml"), 3),
    ],
)
def test_the_command_ends_with_its_status(tmp_path: Path, words: tuple[str, ...], status: int) -> None:
    (tmp_path / "mistakes.yaml").write_text(MISTAKES, encoding="utf-8")
    (tmp_path / "dead_end.yaml").write_text(NO_PATH, encoding="utf-8")
    ended = command(*words, folder=tmp_path)
    assert ended.returncode == status
    assert "Traceback" not in ended.stderr
    assert bool(ended.stdout) == (status < 2)
    assert bool(ended.stderr) == (status >= 2)


def test_piped_text_is_plain_and_aligned(tmp_path: Path) -> None:
    ended = command("explain", "pilot relief", folder=tmp_path)
    assert "\x1b" not in ended.stdout
    assert max(len(line) for line in ended.stdout.splitlines()) <= 110


# -- help -----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("verb", ["check", "explain", "curve", "schema", "demo"])
def test_every_verb_has_help(verb: str) -> None:
    ended = CliRunner().invoke(cli.app, [verb, "--help"])
    assert ended.exit_code == 0
    assert verb in ended.output
    assert len(ended.output.splitlines()) > 5


def test_the_verbs_are_listed() -> None:
    listed = CliRunner().invoke(cli.app, ["--help"]).output
    for verb in ("check", "explain", "curve", "schema", "demo"):
        assert f"\n  {verb} " in listed
