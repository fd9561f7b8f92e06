"""The pictures of the page in docs/screens: ``python docs/screens.py`` takes them all anew.

Each is the real page of ``oilway open`` in the system's Chromium, on a projector and on a phone.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

ROOT = Path(__file__).resolve().parents[1]
SCREENS = ROOT / "docs" / "screens"
HOIST, VALVE = "examples/tipping_hoist.yaml", "pilot relief"
LESSON = "examples/lessons/two_reliefs.yaml"
READINGS, HALF = (
    "examples/readings/hoist_relief.yaml",
    "    6        2270    7\n    9        2270    10\n    12       2280",
)
BROWSER = "/usr/bin/chromium"
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking"]
SIZES = {"projector": (1920, 1080), "phone": (390, 844)}
COLOURS, LARGEST = 256, 300_000  # of one picture, and its bytes

Act = Callable[[Page], None]


def type_in(page: Page, label: str, text: str) -> None:
    """Type a value beside a slider; on a phone its tab is opened for that."""
    small = page.locator("#tabs").is_visible()
    if small:
        page.locator("#tabs [data-name=controls]").click()
    page.get_by_label(f"{label}, type a value").fill(text)
    page.keyboard.press("Enter")
    if small:
        page.locator("#tabs [data-name=picture]").click()
    page.evaluate("document.activeElement.blur()")


def cutaway(page: Page) -> None:
    """The relief passing all the oil of the pump."""
    page.locator("#which").select_option(label="Main relief")
    type_in(page, "Load pressure", "2600 psi")


def curve(page: Page) -> None:
    """The point on the curve, looked at closely."""
    cutaway(page)
    page.keyboard.press("2")
    page.get_by_role("button", name="Look closer").click()
    if page.locator("#tabs").is_visible():
        page.locator("#tabs [data-name=curve]").click()


def part(page: Page) -> None:
    """The ledger of the main part."""
    cutaway(page)
    page.locator("#picture-a [data-part='main relief.main part']").first.focus()
    page.keyboard.press("Enter")


def two(page: Page) -> None:
    """Both reliefs at the same setting, where one of them is open already."""
    page.locator("#which").select_option(label="Main relief")
    page.keyboard.press("3")
    page.get_by_label("On side b").select_option(label="Main relief: direct relief")
    page.wait_for_function("() => window.oilway.compare.other?.curves?.length", timeout=60000)
    type_in(page, "Load pressure", "2000 psi")
    page.keyboard.press("Escape")


def question(page: Page) -> None:
    """The second question, before its answer."""
    page.keyboard.press("4")
    for _ in range(2):
        page.wait_for_timeout(400)  # the class has looked at the answer before the next question
        page.keyboard.press("PageDown")


def answer(page: Page) -> None:
    """The same, with its answer."""
    question(page)
    page.keyboard.press("PageDown")


def time(page: Page) -> None:
    """A run of the hoist, stopped just after the main part has lifted."""
    page.locator("#which").select_option(label="Main relief")
    page.keyboard.press("5")
    page.get_by_label("What changes, one a line").fill("0.1 s over 0.02 s: load pressure=2600 psi")
    page.get_by_label("Seconds").fill("0.5")
    page.get_by_role("button", name="Run", exact=True).click()
    page.locator(".events button").first.wait_for(timeout=60000)
    page.locator(".events button", has_text="main part leaves its seat").first.click()
    page.get_by_label("Time", exact=True).focus()
    page.keyboard.press("ArrowRight")


def controls(page: Page) -> None:
    """The sliders of what wears and is exchanged inside."""
    if page.locator("#tabs").is_visible():
        page.locator("#tabs [data-name=controls]").click()
    page.get_by_role("button", name="Inside").click()


def lesson(page: Page) -> None:
    """The third question of a lesson, answered wrongly, with the answer shown."""
    page.keyboard.press("4")
    page.evaluate("() => window.oilway.steps.go(2)")
    page.wait_for_timeout(400)
    page.locator(".choices button").nth(1).click()
    page.keyboard.press("a")


def help_(page: Page) -> None:
    """The list of keys."""
    page.keyboard.press("?")


def workshop(page: Page) -> None:
    """A valve described part by part, its seat chosen."""
    page.goto(f"{page.url}workshop")
    page.get_by_role("button", name="Begin with ...").click()
    page.get_by_role("button", name="a blank relief valve").click()
    if page.locator("#tabs").is_visible():
        page.locator("#tabs [data-name=list]").click()
    page.locator("#list").get_by_role("button", name="seat", exact=True).click()
    page.wait_for_function("() => window.oilway.look.answer?.frame", timeout=60000)


def plan(page: Page) -> None:
    """The step of the main relief in the setting plan."""
    page.goto(f"{page.url}plan")
    page.get_by_role("button", name="Next").click(timeout=60000)


def sealed(page: Page) -> None:
    """A sealed hoist with three readings taken, and one thing refused."""
    page.goto(f"{page.url}sealed")
    page.locator("#seed").wait_for(state="attached", timeout=60000)
    if (again := page.locator("#start summary")).count():  # the server keeps the game of the size before
        again.click()
    page.get_by_label("Seed").fill("7")
    page.get_by_role("button", name="Seal a machine").click()
    for name in ("Pump gauge", "Load gauge", "Speed of hoist cylinder"):
        page.locator("#ask li button:enabled").filter(has_text=name).click(timeout=60000)
        page.locator("#taken li").filter(has_text=name).wait_for(timeout=60000)
    page.get_by_label("Something else, in words").fill("plug the drain")
    page.keyboard.press("Enter")
    page.locator("#banner").filter(has_text="never plug").wait_for(timeout=60000)
    page.mouse.move(1, 1)
    page.evaluate("document.activeElement.blur()")


SHOTS: dict[str, tuple[str, Act]] = {
    "circuit": (HOIST, lambda page: type_in(page, "Load pressure", "1500 psi")),
    "cutaway": (HOIST, cutaway),
    "curve": (HOIST, curve),
    "part": (HOIST, part),
    "two": (HOIST, two),
    "question": (VALVE, question),
    "answer": (VALVE, answer),
    "time": (HOIST, time),
    "inside": (HOIST, controls),
    "keys": (HOIST, help_),
    "lesson": (LESSON, lesson),
    "workshop": (HOIST, workshop),
    "plan": (HOIST, plan),
    "sealed": (HOIST, sealed),
}


@contextmanager
def served(verb: str, file: str, *more: str) -> Iterator[str]:
    """The address at which ``oilway open``, ``stand`` or ``enter`` serves a file."""
    command = [sys.executable, "-m", "oilway", verb, file, *more, "--no-browser"]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as server:
        try:
            assert server.stdout is not None
            found = re.search(r"http://\S+", server.stdout.readline())
            if found is None:
                raise RuntimeError(f"oilway {verb} {file} names no address")
            yield found[0]
        finally:
            server.terminate()


def shoot(browser: Browser, address: str, act: Act, path: Path, size: tuple[int, int]) -> None:
    """One picture of one size."""
    page = browser.new_page(viewport={"width": size[0], "height": size[1]}, reduced_motion="reduce")
    page.goto(address)
    page.wait_for_function("() => window.oilway?.session?.curves?.length", timeout=60000)
    act(page)
    page.wait_for_timeout(600)  # curves are taken anew a moment after a change
    save(page, path)


def save(page: Page, path: Path) -> None:
    """A picture of a page, small enough to be kept."""
    page.screenshot(path=path)
    page.close()
    image = Image.open(path).convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    image.save(path, optimize=True)
    if path.stat().st_size > LARGEST:
        raise RuntimeError(f"{path.name} has over {LARGEST} bytes")


def desk(browser: Browser) -> None:
    """The desk of a class, on a phone."""
    command = [sys.executable, "-m", "oilway", "open", LESSON, "--no-browser", "--class", "gravel"]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as server:
        try:
            assert server.stdout is not None
            said = [server.stdout.readline() for _ in range(3)][2]
            found = re.search(r"(http://\S+) with the code (\w+)", said)
            if found is None:
                raise RuntimeError(f"the desk is not told: {said}")
            width, height = SIZES["phone"]
            page = browser.new_page(viewport={"width": width, "height": height})
            page.goto(found[1])
            page.get_by_role("textbox").fill(found[2])
            page.keyboard.press("Enter")
            page.get_by_role("button", name="Show the answer").wait_for()
            page.screenshot(path=SCREENS / "desk-phone.png")
            print("desk-phone.png")
        finally:
            server.terminate()


def stand(browser: Browser) -> None:
    """The relief of the hoist half read, with a reading that is questioned, on a phone and a screen."""
    text = (ROOT / READINGS).read_text(encoding="utf-8")
    for size, (width, height) in SIZES.items():
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder, "hoist_relief.yaml")
            file.write_text(text[: text.index(HALF)], encoding="utf-8")
            with served("stand", str(file)) as address:
                page = browser.new_page(viewport={"width": width, "height": height})
                page.goto(address)
                page.get_by_label("Q, flow").fill("6")
                page.keyboard.press("Enter")
                page.get_by_label("P, inlet").fill("22700")
                page.locator("#odd li").first.wait_for(timeout=60000)
                save(page, SCREENS / f"stand-{size}.png")
                print(f"stand-{size}.png")


def enter(browser: Browser) -> None:
    """A sheet half typed in, with a wrong number that is being looked at."""
    for size, (width, height) in SIZES.items():
        with tempfile.TemporaryDirectory() as folder:
            shutil.copytree(ROOT / "examples" / "class", folder, dirs_exist_ok=True)
            sheet = ["--worksheet", f"{folder}/direct_relief.yaml", "--students", f"{folder}/roster.csv"]
            with served("enter", f"{folder}/answers.csv", *sheet) as address:
                page = browser.new_page(viewport={"width": width, "height": height})
                page.goto(address)
                page.wait_for_function("() => window.oilway?.state?.keys.of")
                page.wait_for_function("() => !document.getElementById('ahead').textContent", timeout=60000)
                for typed in ("kayla", "2300p", "a", "b", "1"):
                    page.keyboard.type(typed)
                    page.keyboard.press("Enter")
                    page.wait_for_function("() => window.oilway.row", timeout=60000)
                page.evaluate("window.oilway.sending")
                page.evaluate(
                    "document.querySelectorAll('#class p').forEach((p) => p.remove())"
                )  # this folder's name
                page.keyboard.press("ArrowUp")
                page.wait_for_timeout(400)
                save(page, SCREENS / f"enter-{size}.png")
                print(f"enter-{size}.png")


def main(wanted: list[str]) -> None:
    """Take the pictures named, or all."""
    SCREENS.mkdir(exist_ok=True)
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=BROWSER, args=ARGUMENTS)
        for file in (HOIST, VALVE, LESSON):
            with served("open", file) as address:
                for name, (of, act) in SHOTS.items():
                    if of == file and (not wanted or name in wanted):
                        for size, pixels in SIZES.items():
                            shoot(browser, address, act, SCREENS / f"{name}-{size}.png", pixels)
                            print(f"{name}-{size}.png")
        for name, take in (("desk", desk), ("stand", stand), ("enter", enter)):
            if not wanted or name in wanted:
                take(browser)
        browser.close()


if __name__ == "__main__":
    main(sys.argv[1:])
