"""How fast the page feels in a browser: from a key or a drag to the painted frame, first picture, weight.

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
MOVES = 90  # of the mouse in a drag, a screen's refresh apart
# Each with its sliders; the circuit of the swing drive is the largest of all examples.
MACHINES = {HOIST: ("Load pressure", "Engine speed", "Lever"), "swing_drive.yaml": ("Engine speed",)}
PICTURES = ("circuit", "cutaway0")
# Runs before the page: notes when the picture first stands painted.
FIRST = """
new MutationObserver((_, self) => {
  if (!document.querySelector('#picture-a svg')) return;
  self.disconnect();
  requestAnimationFrame(() => setTimeout(() => { window.firstPicture = performance.now(); }));
}).observe(document, { childList: true, subtree: true });
"""
# A message posted from an animation frame arrives after that frame has been painted.  What was asked for when is
# remembered by the values set: of a fast drag, not every value is answered.
WATCH = """() => {
  window.painted = [];
  const { session } = window.oilway;
  const asked = new Map();
  let touched = 0;
  for (const what of ['keydown', 'input'])
    document.addEventListener(what, event => { touched = event.timeStamp; }, true);
  session.addEventListener('set', () => asked.set(JSON.stringify(session.set), touched));
  const channel = new MessageChannel();
  channel.port1.onmessage = ({ data }) => { window.painted.push(performance.now() - data); };
  const get = session.source.frame.bind(session.source);
  session.source.frame = async (set, side) => {
    const frame = await get(set, side);
    const begun = asked.get(JSON.stringify(set));
    if (frame) requestAnimationFrame(() => channel.port2.postMessage(begun));
    return frame;
  };
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


def drag(page: Page, label: str) -> list[float]:
    """Milliseconds from each move of the mouse that was answered to its painted frame, there and back."""
    box = page.get_by_label(label, exact=True).bounding_box()
    assert box is not None
    across, down = box["width"], box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + 0.1 * across, down)
    page.mouse.down()
    page.evaluate("window.painted.length = 0")
    for k in range(MOVES):
        share = 0.1 + 0.8 * (1 - abs(1 - 2 * k / MOVES))
        page.mouse.move(box["x"] + share * across, down)
        page.wait_for_timeout(16)
    page.mouse.up()
    page.wait_for_timeout(300)
    times = [float(t) for t in page.evaluate("window.painted")]
    page.evaluate("window.oilway.session.put({})")
    return times


def run() -> bool:
    """Print the table; True when every target is met."""
    print(f"Page in the browser: key or drag to painted frame, ms (target p95 {KEY_TARGET:g})")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=BROWSER, args=ARGUMENTS)
        met = [felt(browser, file, sliders) for file, sliders in MACHINES.items()]
        browser.close()
    return all(met)


def felt(browser: Browser, file: str, sliders: tuple[str, ...]) -> bool:
    """Print the lines of one machine; True when every target is met."""
    print(f" {file}")
    with served(str(examples() / file)) as port:
        page, weight = opened(browser, f"http://127.0.0.1:{port}/")
        first = float(page.evaluate("window.firstPicture"))
        page.evaluate(WATCH)
        met = []
        for picture in PICTURES:
            page.evaluate("key => window.oilway.choose(key)", picture)
            for how, label in [*((keys, label) for label in sliders), (drag, sliders[0])]:
                times = how(page, label)
                p50 = f"p50 {statistics.median(times):6.1f}  p95"
                what = f"{picture}, {how.__name__}, {label}"
                met.append(said(what, statistics.quantiles(times, n=20)[-1], KEY_TARGET, p50))
        met.append(said("first picture", first, FIRST_TARGET, "ms"))
        met.append(said("weight with scene and first answers", weight / 1000, WEIGHT_TARGET, "kB"))
        page.close()
    return all(met)


def said(what: str, value: float, target: float, word: str) -> bool:
    """Print one line; True when its target is met."""
    print(f"  {what:<40}{word} {value:6.1f}{'' if value <= target else '  MISSED'}", flush=True)
    return value <= target
