"""How closely views follow the hand: the height view beside the plain notebook way with the same picture.

    python tests/bench/bench_live.py

Drives Chromium and JupyterLab. Prints pictures really shown a second while the mouse drags, and the time
from a movement of the hand to the frame that shows it; then the size of the view's table and the time it
takes, and what a position of the planner costs the kernel while the hand moves. Then the waves over the
soil, which move of themselves, while the height is dragged: in JupyterLab, with what the kernel is told
meanwhile, and on a phone page with the processor slowed four times; and the planner's pictures on the
screen.
"""

import asyncio
import contextlib
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from pathlib import Path

import nbformat
from playwright.sync_api import sync_playwright

from antlab.classroom import live
from antlab.classroom.paper import pages
from antlab.classroom.views.player import SCREEN
from antlab.engine import heights, waves
from antlab.physics.bands import band, soil
from antlab.serve.jupyter import lab_arguments, switch_off
from antlab.serve.ports import choose_port

VIEW = "height"
CELLS = {
    "antlab": f"from antlab.classroom import live\nlive.{VIEW}()",
    "plain": f"""
import ipywidgets, matplotlib, numpy
import matplotlib.pyplot as plt
from antlab.classroom import live
from antlab.classroom.drawing.looks import STYLE
view = live.{VIEW}
slider = view.sliders(**view.defaults)[0]
def plain(x):
    print(f"{{x:.1f}}")
    with matplotlib.rc_context(STYLE):
        fig = plt.figure(figsize=view.size[0])
        scene = view.scene(fig, numpy.array([x]), **view.defaults)
        for part in scene.parts:
            part.draw()
        plt.show()
step = (slider.stop - slider.start) / (slider.count - 1)
ipywidgets.interact(plain, x=ipywidgets.FloatSlider(
    min=slider.start, max=slider.stop, step=step, value=slider.begin, readout_format=".1f",
    layout={{"width": "90%"}}));
""",
}
# Where the hand is, and which setting the picture shows, for either way.
EYES = {
    "antlab": ["() => document.querySelector('.antlab input').value",
               "() => document.querySelector('.antlab').dataset.row"],
    "plain": ["() => document.querySelector('.widget-readout').textContent.trim()",
              "() => document.querySelector('.widget-output pre')?.textContent.trim()"],
}  # fmt: skip
HANDLE = {"antlab": ".antlab input", "plain": ".noUi-handle"}
# At each frame: note when the hand came where it is; when the frame is painted, how long ago that was.
WATCH = """([hand, eye]) => {
  [hand, eye] = [eval(hand), eval(eye)];
  const moved = new Map(), painted = new MessageChannel();
  let at = hand(), shown = eye(), time = 0;
  window.seen = [];
  painted.port1.onmessage = ({ data }) => seen.push(performance.now() - data);
  addEventListener("pointermove", (event) => { time = event.timeStamp; }, true);
  addEventListener("mousemove", (event) => { time = event.timeStamp; }, true);
  const tick = () => {
    if (hand() !== at) { at = hand(); moved.set(at, time); }
    if (eye() !== shown) {
      shown = eye();
      if (moved.has(shown)) { painted.port2.postMessage(moved.get(shown)); moved.delete(shown); }
    }
    requestAnimationFrame(tick);
  };
  requestAnimationFrame(tick);
}"""


# Counts the frames in which the picture is another one: its row, its moment, or what stands in it.
COUNT = """() => {
  const root = document.querySelector(".antlab");
  const eye = () => `${root.dataset.row} ${root.dataset.turn} ${root.querySelector("svg").textContent}`;
  let shown = eye();
  window.pictures = 0;
  const tick = () => {
    if (eye() !== shown) { shown = eye(); pictures += 1; }
    requestAnimationFrame(tick);
  };
  requestAnimationFrame(tick);
}"""


def answers(url, seconds=60):
    """Wait until a server answers."""
    for _ in range(seconds):
        with contextlib.suppress(urllib.error.URLError):
            return urllib.request.urlopen(url, timeout=5).close()
        time.sleep(1)
    raise TimeoutError(url)


def opened(page, site, name):
    """Run the only cell of a notebook."""
    page.goto(f"{site}/lab/tree/{name}.ipynb?token=bench&reset")
    page.wait_for_selector(".jp-CodeCell")
    page.wait_for_timeout(3000)
    page.locator(".jp-CodeCell .cm-content").click()
    page.keyboard.press("Shift+Enter")


def dragged(page):
    """Drag the first slider to and fro for some seconds; return pictures a second."""
    slider = page.locator(".antlab input").first
    slider.wait_for(timeout=60_000)
    page.locator(".antlab img").wait_for()
    page.wait_for_timeout(1500)
    box = slider.bounding_box()
    y = box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + box["width"] * 0.3, y)
    page.mouse.down()
    page.evaluate(COUNT)
    start = time.monotonic()
    for share in (0.9, 0.1) * 2:
        page.mouse.move(box["x"] + box["width"] * share, y, steps=100)
    rate = page.evaluate("pictures") / (time.monotonic() - start)
    return rate


def in_lab(browser, site, name):
    """Pictures a second in JupyterLab, and how often the kernel was told of it while the hand moved."""
    page, told = browser.new_page(viewport={"width": 1366, "height": 625}), []
    page.on("websocket", lambda socket: socket.on("framesent", lambda sent: told.append(sent)))
    opened(page, site, name)
    page.locator(".antlab input").first.wait_for(timeout=60_000)
    page.wait_for_timeout(2000)
    before = len(told)
    rate = dragged(page)
    words = [sent if isinstance(sent, bytes) else sent.encode() for sent in told[before:]]
    page.mouse.up()
    page.close()
    return rate, sum(b"comm_msg" in one for one in words)


def on_phone(browser, folder):
    """Pictures a second on a phone page, the processor slowed four times; and the page's size in kB."""
    path = Path(folder, "wave.html")
    path.write_text(pages.page(live.wave_over_soil), encoding="utf-8")
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, device_scale_factor=2, is_mobile=True
    )
    page = context.new_page()
    page.goto(path.as_uri())
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": 4})
    rate = dragged(page)
    context.close()
    return rate, path.stat().st_size / 1e3


def measure(page, site, way):
    """Drag one view to and fro for ten seconds; return pictures a second and the median delay in ms."""
    opened(page, site, way)
    handle = page.locator(HANDLE[way])
    handle.wait_for(timeout=60_000)
    page.wait_for_timeout(2000)
    track = page.locator({"antlab": ".antlab input", "plain": ".noUi-base"}[way]).bounding_box()
    box = handle.bounding_box()
    y = box["y"] + box["height"] / 2
    begin = track["x"] + track["width"] * 0.3
    if way == "plain":
        begin = box["x"] + box["width"] / 2
    page.mouse.move(begin, y)
    page.mouse.down()
    page.evaluate(WATCH, EYES[way])
    start = time.monotonic()
    for share in (0.9, 0.1) * 3:
        page.mouse.move(track["x"] + track["width"] * share, y, steps=100)  # one step a frame
    now = time.monotonic() - start
    delays = page.evaluate("seen")
    page.mouse.up()
    return len(delays) / now, statistics.median(delays)


def planner_positions():
    """What each position of the planner costs the kernel while its height is dragged, ms: a list."""

    async def drag():
        planner, spent = live.planner(low="20m", high="10m"), []
        for height in range(20, 120, 2):
            began = time.process_time()
            planner.player.at = [height, *planner.player.at[1:]]
            spent.append(1e3 * (time.process_time() - began))
        return spent

    return asyncio.run(drag())


def main():
    """Print the figures."""
    times = {True: [], False: []}
    for still in (False, True):
        for ground in ("average", "wet", "rocky", "sea water", "very dry"):  # each new to the engine
            heights._feed_of_height.cache_clear()
            began = time.perf_counter()
            _, moving = live.height.film(SCREEN, live.height.defaults | {"soil": ground}, still=still)
            times[still].append(1e3 * (time.perf_counter() - began))
    table, both = (statistics.median(times[still]) for still in (False, True))
    print(f"height view: a table of {len(moving['table']) / 1e3:.0f} kB for {moving['rows']} heights")
    print(
        f"computed in {table:.0f} ms, for a soil and two bands not seen before; with its still {both:.0f} ms"
    )
    waves.wave_tables.cache_clear()
    began = time.perf_counter()
    one = waves.wave_tables(float(band("20m").middle_mhz), soil("average"))
    spent = 1e3 * (time.perf_counter() - began)
    size = 2 * 2 * (one.direct.size + one.echo.size) / 1e3  # real and imaginary, int16
    print(f"waves: tables of {size:.0f} kB for a band and a soil, in {spent:.0f} ms")
    positions = planner_positions()
    print(
        f"planner: {statistics.median(positions):.0f} ms of the kernel a position while it is dragged, "
        f"{max(positions):.0f} at most"
    )
    print(f"machine: {os.cpu_count()} processors, load {os.getloadavg()[0]:.1f} over the last minute")
    with tempfile.TemporaryDirectory() as folder:
        moved, planned = "live.wave_over_soil()", "live.planner(low='20m', high='10m')"
        more = {name: f"from antlab.classroom import live\n{call}" for name, call in
                (("waves", moved), ("planned", planned))}  # fmt: skip
        for way, code in (CELLS | more).items():
            book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(code)])
            book.metadata["kernelspec"] = {
                "name": "python3",
                "display_name": "Python 3",
                "language": "python",
            }
            nbformat.write(book, Path(folder, f"{way}.ipynb"))
        port = choose_port()
        arguments = lab_arguments(Path(folder), port=port, lesson="", token="bench", browser=False, root=True)
        switch_off()
        one_thread = os.environ | {"OPENBLAS_NUM_THREADS": "1"}  # as the lessons are started
        server = subprocess.Popen([sys.executable, "-m", "jupyterlab", *arguments], env=one_thread)
        try:
            answers(f"http://127.0.0.1:{port}/api")
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(
                    executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
                )
                page = browser.new_page(viewport={"width": 1280, "height": 900})
                site = f"http://127.0.0.1:{port}"
                found = {way: measure(page, site, way) for way in CELLS}
                page.close()
                swinging, told = in_lab(browser, site, "waves")
                solved, asked = in_lab(browser, site, "planned")
                phone, size = on_phone(browser, folder)
        finally:
            server.terminate()
            server.wait()
    for way, (rate, delay) in found.items():
        print(f"{way:7} {rate:5.1f} pictures/s, {delay:5.0f} ms behind the hand")
    print(f"waves over the soil: {swinging:.1f} pictures/s in JupyterLab, the kernel told {told} times")
    print(f"waves on a phone page of {size:.0f} kB, processor slowed 4 times: {phone:.1f} pictures/s")
    print(f"planner: {solved:.1f} pictures/s on the screen, {asked} positions asked for")
    print(f"antlab / plain: {found['antlab'][0] / found['plain'][0]:.1f} times the pictures")


if __name__ == "__main__":
    main()
