"""A class evening: phones open a lesson, drag its view, and all together answer a guess in two rounds.

    python tests/bench/evening.py --phones 30 [--lesson 07]

The pages are made and served by the project's own command, on 127.0.0.1; each phone is a context of its own
in one Chromium. With --lesson only that lesson is made: quicker, and less to hold. Exit status 1 if a request
failed or a hand was not counted once; how long everything took is told, with the load of the machine, which
has to carry all phones too.
"""

import argparse
import asyncio
import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import psutil
from playwright.async_api import async_playwright

from antlab.classroom.paper.chromium import find_chromium
from antlab.serve import ports

LESSON, PAGE, VIEW = "07", "07-height-and-takeoff.html", ".antlab input[type=range]"
STEPS, LETTERS, MOST_PHONES = 12, "ABCD", 60
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
PHONE |= {"reduced_motion": "reduce"}  # no clock runs: here the phones share one processor
DRAG = """async ([input, steps]) => {
  const frame = (then) => requestAnimationFrame(then), took = [];
  for (let k = 0; k < steps; k++) {
    const began = performance.now();
    input.value = Number(input.max) * (k + 1) / steps;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    await new Promise((then) => frame(() => frame(then)));
    took.push((performance.now() - began) / 1000);
  }
  return took;
}"""  # a hand, and the frame in which the picture stands where the hand is
PRESS = """async ([button, letter]) => {
  const words = document.getElementById("words"), began = performance.now();
  button.click();
  while (!words.textContent.startsWith(`${letter} is counted`)) {
    if (performance.now() - began > 60000) throw new Error(words.textContent);
    await new Promise((then) => setTimeout(then, 5));
  }
  return (performance.now() - began) / 1000;
}"""
FETCHED = (
    "performance.getEntries().filter((one) => one.responseEnd).map((one) => one.responseEnd - one.startTime)"
)


class Evening:
    """What was waited for: name -> seconds. wrong: requests that failed, and scripts."""

    def __init__(self):
        self.took, self.wrong, self.over = {}, [], False

    def timed(self, what, seconds):
        self.took.setdefault(what, []).extend(seconds)

    async def phone(self, browser):
        """One phone: a context with a storage of its own, watched."""
        page = await (await browser.new_context(**PHONE)).new_page()
        page.set_default_timeout(180_000)
        page.on("pageerror", lambda error: self.wrong.append(str(error)))
        page.on("requestfailed", lambda one: self.over or self.wrong.append(f"{one.url}: {one.failure}"))
        page.on("response", lambda answer: answer.status >= 400 and self.wrong.append(str(answer.status)))
        return page

    async def read(self, page, site, after):
        """Open the lesson after some seconds; once its view is there, drag it."""
        await asyncio.sleep(after)
        began = time.monotonic()
        await page.goto(f"{site}{PAGE}", wait_until="commit")
        slider = await page.locator(VIEW).first.element_handle()
        self.timed("lesson open", [time.monotonic() - began])
        self.timed("drag to picture", await page.evaluate(DRAG, [slider, STEPS]))
        self.timed("requests", [ms / 1000 for ms in await page.evaluate(FETCHED)])

    async def answer(self, page, letter):
        """Press a letter once the question is there, and wait until it is counted."""
        button = await page.get_by_role("radio", name=re.compile(f"^{letter}")).element_handle()
        self.timed("hand to counted", [await page.evaluate(PRESS, [button, letter])])

    async def act(self, site, desk, phones, within):
        """The evening from the first phone to the bars; what the teacher's page shows of both rounds.

        within: seconds in which the phones come, one after the other, as they scan the code.
        """
        root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
        async with async_playwright() as playwright:
            browser = await playwright.chromium.launch(executable_path=find_chromium(), args=root)
            teacher = await browser.new_page(viewport={"width": 1280, "height": 720})
            teacher.set_default_timeout(60_000)
            await teacher.goto(desk)
            door = (await teacher.locator("#code figcaption").text_content()).strip()
            pages = await asyncio.gather(*(self.phone(browser) for _ in range(phones)))
            await asyncio.gather(
                *(self.read(page, site, k * within / phones) for k, page in enumerate(pages))
            )
            await asyncio.gather(*(page.goto(door) for page in pages))
            await teacher.get_by_label("Lesson").select_option(LESSON)
            await teacher.get_by_role("button", name="Put it up").click()
            for name, letters in (("Open it", LETTERS), ("Ask again", LETTERS[:2])):
                await teacher.get_by_role("button", name=name).click()
                hands = [letters[k % len(letters)] for k in range(phones)]
                await asyncio.gather(*map(self.answer, pages, hands))
                await teacher.get_by_role("button", name="Close it").click()
                if name == "Open it":
                    await teacher.get_by_role("button", name="Let them talk").click()
                    await asyncio.gather(*(page.get_by_text("You said").wait_for() for page in pages))
            await teacher.get_by_role("button", name="Show the bars").click()
            await teacher.locator(".bar").nth(7).wait_for()
            bars = await teacher.locator(".bar").evaluate_all("all => all.map((bar) => +bar.textContent)")
            self.over = True  # a phone that leaves in the middle of asking is no failure
            await asyncio.gather(*(page.context.close() for page in pages))
            return bars


def served(folder, lessons):
    """Start the command, and wait for what it says: its process, the room's address, the teacher's."""
    port = ports.choose_port(first=8700)
    words = ["pages", "--serve", "--address", "127.0.0.1", "--port", str(port), "--folder", str(folder)]
    words += ["--lesson", *lessons] if lessons else []
    command = [sys.executable, "-m", "antlab", *words]
    clean = os.environ | {"PYTHONUNBUFFERED": "1"}
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=clean)
    said = []
    for line in process.stdout:
        said.append(line)
        if found := re.match(r"http://127\.0\.0\.1:\d+/desk/\S+", line):
            return process, f"http://127.0.0.1:{port}/", found[0]
    sys.exit("".join(said))


def main():
    """Hold the evening and print the figures; return 1 if anything was lost."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0], allow_abbrev=False)
    parser.add_argument(
        "--phones", type=int, default=30, help=f"how many, at most {MOST_PHONES} (%(default)s)"
    )
    parser.add_argument("--within", type=float, default=60, help="seconds in which they come (%(default)s)")
    parser.add_argument("--lesson", nargs="+", help=f"make these alone; {LESSON} has to be among them (all)")
    args = parser.parse_args()
    if not 1 <= args.phones <= MOST_PHONES or args.lesson and LESSON not in args.lesson:
        parser.error(f"1 to {MOST_PHONES} phones, and lesson {LESSON} among those that are made")
    evening = Evening()
    with tempfile.TemporaryDirectory(prefix="antlab-evening-") as folder:
        began = time.monotonic()
        process, site, desk = served(Path(folder), args.lesson)
        print(f"pages made and served after {time.monotonic() - began:.0f} s")
        try:
            server = psutil.Process(process.pid)
            time.sleep(3)  # the pages are being packed
            before, busy = server.memory_full_info(), sum(server.cpu_times()[:2])
            bars = asyncio.run(evening.act(site, desk, args.phones, args.within))
            after, busy = server.memory_full_info(), sum(server.cpu_times()[:2]) - busy
        finally:
            process.terminate()
            process.wait(timeout=20)
    for what, seconds in evening.took.items():
        middle, worst = statistics.median(seconds), max(seconds)
        print(f"  {what:18}{len(seconds):5} times, median {middle:6.2f} s, worst {worst:6.2f} s")
    mb = " and ".join(f"{one.pss / 1e6:.0f} (resident {one.rss / 1e6:.0f})" for one in (before, after))
    print(f"serving process: {mb} MB before and after, {busy:.1f} s of a processor in the evening")
    counts = [
        Counter(letters[k % len(letters)] for k in range(args.phones)) for letters in (LETTERS, LETTERS[:2])
    ]
    wanted = [counts[half][letter] for letter in LETTERS for half in (0, 1)]
    print(f"hands {bars}, as pressed: {bars == wanted}; failed: {len(evening.wrong)} {evening.wrong[:3]}")
    print(f"{args.phones} phones, load of the machine {os.getloadavg()[0]:.1f}")
    return int(bars != wanted or bool(evening.wrong))


if __name__ == "__main__":
    sys.exit(main())
