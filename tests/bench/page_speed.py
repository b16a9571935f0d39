"""How much each lesson page weighs, and what a processor has to do before its views are there.

    python tests/bench/page_speed.py FOLDER-OF-PAGES [--slower 4]

Chromium counts the seconds of processor time of the page's main thread, so that a busy machine counts no more
than an idle one. They are told as on a slower processor, for a phone and for a wide window. Exit status 1 if
a page is past what a class can wait for.
"""

import argparse
import os
import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

from antlab.classroom.paper.chromium import find_chromium

MOST_BYTES, MOST_S = 1_500_000, 2.0  # before anything is chosen; on the slower processor
SCREENS = {"phone": (390, 844), "wide": (1366, 625)}


def opened(browser, path, screen):
    """Open a page. Returns its processor time in seconds, and its bytes with the films that it fetched."""
    wide, high = SCREENS[screen]
    small = screen == "phone"
    with browser.new_context(viewport={"width": wide, "height": high}, is_mobile=small) as context:
        page, fetched = context.new_page(), {path}
        page.on("request", lambda one: one.url.endswith(".js") and fetched.add(Path(one.url)))
        inside = context.new_cdp_session(page)
        inside.send("Performance.enable", {"timeDomain": "threadTicks"})
        page.goto(path.as_uri(), wait_until="commit")
        page.locator("html[data-ready]").wait_for(state="attached", timeout=120_000)
        page.evaluate("new Promise((then) => requestAnimationFrame(() => requestAnimationFrame(then)))")
        told = {one["name"]: one["value"] for one in inside.send("Performance.getMetrics")["metrics"]}
        films = [path.parent / "films" / one.name for one in fetched - {path}]
        return told["TaskDuration"], sum(one.stat().st_size for one in [path, *films])


def main():
    """Print a line for each page and screen; return 1 if one is past its bounds."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0], allow_abbrev=False)
    parser.add_argument("folder", type=Path, help="made by antlab pages")
    parser.add_argument("--slower", type=float, default=4, help="how many times (%(default)s)")
    args = parser.parse_args()
    root, past = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else [], 0
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=find_chromium(), args=root)
        for path in sorted(args.folder.absolute().glob("[0-9][0-9]-*.html")):
            for screen in SCREENS:
                seconds, weight = min(opened(browser, path, screen) for _ in range(2))
                slow = seconds * args.slower
                past += slow > MOST_S or weight > MOST_BYTES
                print(f"{path.stem:24}{screen:6} {weight / 1e6:5.2f} MB {slow:6.2f} s", flush=True)
    print(f"{past} past their bounds, load of the machine {os.getloadavg()[0]:.1f}")
    return int(past > 0)


if __name__ == "__main__":
    sys.exit(main())
