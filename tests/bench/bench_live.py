"""How closely the height view follows the hand, beside the plain notebook way with the same picture.

    python tests/bench/bench_live.py

Drives Chromium and JupyterLab. Prints pictures really shown a second while the mouse drags, and the time from
a movement of the hand to the frame that shows it; then the size of the view's table and the time it takes,
and what a position of the planner costs the kernel.
"""

import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import nbformat
from playwright.sync_api import sync_playwright

from antlab.classroom import live
from antlab.classroom.views.player import SCREEN
from antlab.engine import heights
from antlab.serve.jupyter import lab_arguments
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


def measure(page, site, way):
    """Drag one view to and fro for ten seconds; return pictures a second and the median delay in ms."""
    page.goto(f"{site}/lab/tree/{way}.ipynb?token=bench&reset")
    page.wait_for_selector(".jp-CodeCell")
    page.wait_for_timeout(3000)
    page.locator(".jp-CodeCell .cm-content").click()
    page.keyboard.press("Shift+Enter")
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


def main():
    """Print the figures."""
    times = {True: [], False: []}
    for still in (False, True):
        for soil in ("average", "wet", "rocky", "sea water", "very dry"):  # each new to the engine
            heights._power_of_height.cache_clear()
            began = time.perf_counter()
            _, moving = live.height.film(SCREEN, live.height.defaults | {"soil": soil}, still=still)
            times[still].append(1e3 * (time.perf_counter() - began))
    table, both = (statistics.median(times[still]) for still in (False, True))
    print(f"height view: a table of {len(moving['table']) / 1e3:.0f} kB for {moving['rows']} heights")
    print(
        f"computed in {table:.0f} ms, for a soil and two bands not seen before; with its still {both:.0f} ms"
    )
    planner, positions = live.planner(low="20m", high="10m"), []
    for at in range(20, 120, 2):
        began = time.process_time()
        planner.player.at = [at, 0, 40]
        positions.append(1e3 * (time.process_time() - began))
    print(
        f"planner: {statistics.median(positions):.0f} ms of the kernel a position, "
        f"{max(positions):.0f} at most"
    )
    with tempfile.TemporaryDirectory() as folder:
        for way, code in CELLS.items():
            book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(code)])
            book.metadata["kernelspec"] = {
                "name": "python3",
                "display_name": "Python 3",
                "language": "python",
            }
            nbformat.write(book, Path(folder, f"{way}.ipynb"))
        port = choose_port()
        arguments = lab_arguments(Path(folder), port=port, lesson="", token="bench", browser=False, root=True)
        server = subprocess.Popen([sys.executable, "-m", "jupyterlab", *arguments])
        try:
            time.sleep(5)
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(
                    executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
                )
                page = browser.new_page(viewport={"width": 1280, "height": 900})
                found = {way: measure(page, f"http://127.0.0.1:{port}", way) for way in CELLS}
        finally:
            server.terminate()
            server.wait()
    for way, (rate, delay) in found.items():
        print(f"{way:7} {rate:5.1f} pictures/s, {delay:5.0f} ms behind the hand")
    print(f"antlab / plain: {found['antlab'][0] / found['plain'][0]:.1f} times the pictures")


if __name__ == "__main__":
    main()
