"""How long a logger's file of 100,000 rows takes to prove: read, sifted, figured, judged.  Target 2 s.

Run ``python -m benchmarks logger``.  The file is made anew, with gaps and spikes in it, so that all the
work is done; the rival is NumPy's own reading of the same numbers, which judges nothing.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import numpy as np

from benchmarks.choice import machine as where_and_with_what
from benchmarks.choice_report import show
from oilway.study.proof import prove
from oilway.study.readings import read_readings

ROWS, SWEEPS = 100_000, 5
TARGET = 2.0  # s
REPEATS = 5
SHEET = """format: 1
readings: a long file
test: relief
rated flow: 18 gpm
conditions: {temperature window: 45 C to 55 C}
instruments:
  P: {range: 0 to 250 bar, class: 0.25 % of span}
  T: {range: 0 to 10 bar, class: 0.5 % of span}
  Q: {range: 0.1 to 30 gpm, class: 0.5 % of reading}
  temp: {range: 0 C to 150 C, class: +-1 K}
limits: {source: invented, full-flow pressure: 2300 psi +- 50 psi, override: at most 150 psi}
as left: {file: long.csv}
"""


def write_files(folder: Path) -> Path:
    """The readings file and its table of ``ROWS`` rows."""
    noise = np.random.default_rng(1)
    place = np.arange(ROWS) % (ROWS // SWEEPS) / (ROWS // SWEEPS)
    flow = 18.4 * np.where(place < 0.5, 2 * place, 2 - 2 * place) + 0.05
    pressure = 2260 + 2.2 * flow - 8 * (place >= 0.5) + noise.normal(0, 4, ROWS)
    pressure[:: ROWS // 20] += 700
    columns = (0.01 * np.arange(ROWS), flow, pressure, 5 + flow, 50 + noise.normal(0, 0.2, ROWS))
    lines = [",".join(f"{value:.3f}" for value in row) for row in np.column_stack(columns)]
    for k in range(1000, ROWS, ROWS // 10):
        cells = lines[k].split(",")
        lines[k] = ",".join([*cells[:3], "", cells[4]])
    (folder / "long.csv").write_text("t (s),Q (gpm),P (psi),T (psi),temp (C)\n" + "\n".join(lines) + "\n")
    (folder / "long.yaml").write_text(SHEET)
    return folder / "long.yaml"


def run() -> bool:
    """Print the times; whether the target is met."""
    with tempfile.TemporaryDirectory() as folder:
        path = write_files(Path(folder))
        times = []
        for _ in range(REPEATS):
            begin = time.perf_counter()
            proof = prove(read_readings(path))
            times.append(time.perf_counter() - begin)
        begin = time.perf_counter()
        np.genfromtxt(path.with_name("long.csv"), delimiter=",", skip_header=1)
        rival = time.perf_counter() - begin
    worst = max(times)
    show(where_and_with_what())
    print(
        f"{ROWS} rows proved ({proof.verdict}, {len(proof.last.flags)} flags): worst of {REPEATS} {worst:.2f} s, ",
        end="",
    )
    print(f"target {TARGET:g} s; numpy.genfromtxt alone {rival:.2f} s")
    return worst <= TARGET
