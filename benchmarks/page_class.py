"""A class of thirty on one computer: two students' pages, 28 more listeners, and an instructor who drags.

Run ``python -m benchmarks students``; needs Playwright and the system's Chromium.  The server is ``oilway open
--class`` as a process of its own.  Thirty browsers would measure this computer and not the page, so 28 students
are lines that only listen; what a student explores comes from the table that each page holds, without the server.
"""

from __future__ import annotations

import http.client
import json
import os
import re
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from playwright.sync_api import Browser, Page, sync_playwright

from benchmarks.page_browser import ARGUMENTS, BROWSER, WATCH, keys, said
from oilway.study.story import examples

LESSON = "lessons/two_reliefs.yaml"
WORD = "gravel"
LISTENERS, PAGES = 28, 2
TARGET, IDLE_TARGET = 60.0, 5.0  # ms at p95; per cent of one core
DRAG, IDLE, LET_SETTLE = 15.0, 20.0, 3.0  # s
SLIDER = ("Load pressure", "box.load pressure")
# On the instructor's page: a drag there and back for so many s, and when each telling left, by what it told.
DRAGGED = """([parameter, seconds]) => {
  const { session, source } = window.oilway;
  const { low, high } = session.handles.get(parameter);
  const tell = source.shown.bind(source);
  window.told = [];
  source.shown = shown => {
    window.told.push([shown.set[parameter], performance.timeOrigin + performance.now()]);
    return tell(shown);
  };
  const begin = performance.now();
  const timer = setInterval(() => {
    const at = (performance.now() - begin) / 1000;
    if (at > seconds) clearInterval(timer);
    session.change({ [parameter]: low + (high - low) * Math.abs(Math.sin(at)) });
  }, 20);
}"""


@dataclass
class Listener:
    """A student's line: in by the door, then every telling (JSON) with the time (ms) at which it came."""

    door: str
    came: list[tuple[bytes, float]] = field(default_factory=list)

    def start(self) -> None:
        """Come in and listen until the server hangs up."""
        at = urlsplit(self.door)
        assert at.hostname is not None
        connection = http.client.HTTPConnection(at.hostname, at.port)
        connection.request("POST", "/door", json.dumps({"word": WORD}), {"Content-Type": "application/json"})
        answer = connection.getresponse()
        answer.read()
        cookie = (answer.getheader("set-cookie") or "").partition(";")[0]
        connection.request("GET", "/class/data", headers={"Cookie": cookie})
        assert connection.getresponse().read()
        connection.request("GET", "/class/events", headers={"Cookie": cookie})
        threading.Thread(target=self._listen, args=(connection.getresponse(),), daemon=True).start()

    def _listen(self, line: http.client.HTTPResponse) -> None:
        while text := line.readline():
            now = 1000 * time.time()
            if text.startswith(b"data: "):
                self.came.append((text[6:], now))


@contextmanager
def open_class() -> Iterator[tuple[int, str, str]]:
    """A running ``oilway open --class``: its process, the instructor's page and the door."""
    command = [sys.executable, "-m", "oilway", "open", str(examples() / LESSON), "--class", WORD, "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        addresses: list[str] = []
        while len(addresses) < 2:
            line = process.stdout.readline()
            assert line, "the class could not be opened"
            addresses += re.findall(r"http://\S+/(?=\s)", line)[:1]
        try:
            yield process.pid, addresses[0], addresses[1]
        finally:
            process.terminate()


def used(pid: int) -> float:
    """Seconds of processor time of a process so far (proc(5), fields 14 and 15 of stat)."""
    with open(f"/proc/{pid}/stat", encoding="ascii", errors="replace") as stat:
        fields = stat.read().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def share(pid: int, seconds: float) -> float:
    """Per cent of one core that a process takes over so many seconds from now."""
    before, begin = used(pid), time.monotonic()
    time.sleep(seconds)
    return 100 * (used(pid) - before) / (time.monotonic() - begin)


def student(browser: Browser, door: str) -> Page:
    """A student's page on a phone, on its own."""
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.goto(door)
    page.get_by_role("textbox").fill(WORD)
    page.keyboard.press("Enter")
    page.wait_for_function("() => window.oilway?.follower && window.oilway.session.frame")
    page.evaluate("window.oilway.follower._toggle()")
    page.evaluate("window.oilway._tab('controls')")
    page.evaluate(WATCH)
    return page


def run() -> bool:
    """Print the table; True when every target is met."""
    print(f"Class: {PAGES} pages and {LISTENERS} listeners, one instructor (targets: p95 {TARGET:g} ms, idle below"
          f" {IDLE_TARGET:g} % of a core)")  # fmt: skip
    with open_class() as (pid, here, door), sync_playwright() as driver:
        listeners = [Listener(door) for _ in range(LISTENERS)]
        for listener in listeners:
            listener.start()
        browser = driver.chromium.launch(executable_path=BROWSER, args=ARGUMENTS)
        instructor = browser.new_page(viewport={"width": 1920, "height": 1080})
        instructor.goto(here)
        instructor.wait_for_function("() => window.oilway?.session.frame")
        students = [student(browser, door) for _ in range(PAGES)]
        time.sleep(LET_SETTLE)
        met = [said("server between drags, of one core", share(pid, IDLE), IDLE_TARGET, "% ")]
        instructor.evaluate(DRAGGED, [SLIDER[1], DRAG])
        busy, begin = used(pid), time.monotonic()
        painted, asked = explored(students)
        time.sleep(max(DRAG + 1 - (time.monotonic() - begin), 0))
        busy = 100 * (used(pid) - busy) / (time.monotonic() - begin)
        p50 = f"p50 {statistics.median(painted):6.1f}  p95"
        met.append(said("student's key to painted frame, ms", _p95(painted), TARGET, p50))
        met.append(said("questions to the server meanwhile", asked, 0, "   "))
        late = delivered(instructor.evaluate("window.told"), listeners)
        p50 = f"p50 {statistics.median(late):6.1f}  p95"
        met.append(said(f"told to heard, {len(late)} tellings, ms", _p95(late), TARGET, p50))
        print(f"  {'server while the instructor drags':<40}%   {busy:6.1f}")
        browser.close()
    return all(met)


def explored(students: list[Page]) -> tuple[list[float], int]:
    """Milliseconds from key to painted frame of students on their own, and how often they asked the server."""
    questions: list[str] = []
    for page in students:
        page.on("request", lambda request: questions.append(request.url))
    return [t for page in students for t in keys(page, SLIDER[0])], len(questions)


def delivered(told: list[tuple[float, float]], listeners: list[Listener]) -> list[float]:
    """Milliseconds from each telling of the instructor's page until each listener heard it."""
    sent = dict(told)
    heard = [(json.loads(text), at) for listener in listeners for text, at in listener.came]
    return [at - sent[value] for shown, at in heard if (value := shown.get("set", {}).get(SLIDER[1])) in sent]


def _p95(times: list[float]) -> float:
    return statistics.quantiles(times, n=20)[-1]
