"""How fast the page feels in a browser: from a key on a slider to the painted frame, first picture, weight.

Run ``python -m benchmarks browser``; needs Playwright and the system's Chromium.
"""

from __future__ import annotations

import statistics

from playwright.sync_api import Browser, Page, sync_playwright

from benchmarks.page import served
from oilway.study.story import HOIST, examples

BROWSER = "/usr/bin/chromium"
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking"]
KEY_TARGET, FIRST_TARGET, WEIGHT_TARGET = 50.0, 1000.0, 700.0  # ms at p95, ms, kB (1000 bytes)
KEYS, SWEEP = 120, 15  # for each slider; there and back every so many
SLIDERS = ("Load pressure", "Engine speed", "Lever")
PICTURES = ("circuit", "cutaway0")
# Runs before the page: notes when the picture first stands painted.
FIRST = """
new MutationObserver((_, self) => {
  if (!document.querySelector('#picture-a svg')) return;
  self.disconnect();
  requestAnimationFrame(() => setTimeout(() => { window.firstPicture = performance.now(); }));
}).observe(document, { childList: true, subtree: true });
"""
# A message posted from an animation frame arrives after that frame has been painted.
WATCH = """() => {
  window.painted = [];
  let pressed = 0;
  document.addEventListener('keydown', event => { pressed = event.timeStamp; }, true);
  const channel = new MessageChannel();
  channel.port1.onmessage = () => { window.painted.push(performance.now() - pressed); };
  window.oilway.session.addEventListener('frame', () => requestAnimationFrame(() => channel.port2.postMessage(0)));
}"""


def opened(browser: Browser, address: str) -> tuple[Page, float]:
    """The page on a projector, and the bytes that came for it."""
    page = browser.new_page(viewport={"width": 1920, "height": 1080})
    page.add_init_script(FIRST)
    answers = []
    page.on("response", lambda answer: answers.append(answer) if "events" not in answer.url else None)
    page.goto(address)
    page.wait_for_function("() => window.firstPicture && document.querySelector('.ring span')")
    return page, float(sum(len(answer.body()) for answer in answers))


def keys(page: Page, label: str) -> list[float]:
    """Milliseconds from each key to its painted frame, the sliders moved one step at a time."""
    page.get_by_label(label, exact=True).focus()
    times = []
    for k in range(KEYS):
        page.evaluate("window.painted.length = 0")
        page.keyboard.press("ArrowRight" if k // SWEEP % 2 else "ArrowLeft")
        page.wait_for_function("() => window.painted.length", polling=5)
        times.append(float(page.evaluate("window.painted[0]")))
    return times


def run() -> bool:
    """Print the table; True when every target is met."""
    print(f"Page in the browser: key to painted frame, {KEYS} keys a slider, ms (target p95 {KEY_TARGET:g})")
    with served(str(examples() / HOIST)) as port, sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=BROWSER, args=ARGUMENTS)
        page, weight = opened(browser, f"http://127.0.0.1:{port}/")
        first = float(page.evaluate("window.firstPicture"))
        page.evaluate(WATCH)
        met = []
        for picture in PICTURES:
            page.evaluate("key => window.oilway.choose(key)", picture)
            for label in SLIDERS:
                times = keys(page, label)
                p95 = statistics.quantiles(times, n=20)[-1]
                p50 = f"p50 {statistics.median(times):6.1f}  p95"
                met.append(said(f"{picture}, {label}", p95, KEY_TARGET, p50))
        met.append(said("first picture", first, FIRST_TARGET, "ms"))
        met.append(said("weight with scene and first answers", weight / 1000, WEIGHT_TARGET, "kB"))
        browser.close()
    return all(met)


def said(what: str, value: float, target: float, word: str) -> bool:
    """Print one line; True when its target is met."""
    print(f"  {what:<40}{word} {value:6.1f}{'' if value <= target else '  MISSED'}", flush=True)
    return value <= target
