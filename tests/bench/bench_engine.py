"""What the engine costs, as ratios that hold on any machine.

Run by hand:  python tests/bench/bench_engine.py

Not a test: nothing here fails.  Wanted: a sweep of two bands at a new height <= 8 times numpy's own solving
of as many systems of that size, and a two-band design <= 40 times; soil images <= 2 ms; a pattern of 361
angles <= 1 ms; importing antlab <= 1.3 times importing numpy; a process with a lesson's imports < 200 MB.  On
a busy machine the ratios wander: run it twice.
"""

import subprocess
import sys
from itertools import count
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
REPEATS = 15


def seconds(work, repeats=REPEATS):
    """Median of several runs, after one to warm up."""
    work()
    times = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return median(times)


def ratio(work, yardstick, repeats=2 * REPEATS):
    """Median of work over yardstick, measured turn about, so that both meet the same weather."""
    return median(seconds(work, 1) / seconds(yardstick, 1) for _ in range(repeats))


def fresh(code, repeats=9):
    """Median seconds of a fresh process for one piece of code."""
    return seconds(lambda: subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True), repeats)


def line(what, value, unit, wanted):
    verdict = "ok" if value <= wanted else "MORE THAN WANTED"
    print(f"{what:<62} {value:8.2f} {unit:<3} wanted {wanted:g}  {verdict}")


def main():
    import antlab as al
    from antlab.engine.images import soil_images

    rng = np.random.default_rng(1)
    systems = rng.normal(size=(122, 47, 47)) + 1j * rng.normal(size=(122, 47, 47))
    right = rng.normal(size=(122, 47, 1)) + 0j

    def solve():
        np.linalg.solve(systems, right)

    f = np.r_[np.linspace(7.0, 7.3, 61), np.linspace(14.0, 14.35, 61)]
    trap = al.Trap(inductance_uh=4.0, capacitance_pf=31.4, q=150)
    new = count()

    def sweep(shape, new_soil):
        soil = al.Soil(permittivity=13 + 1e-6 * new_soil * next(new), conductivity=0.005)
        height = 8 + 0.137 * next(new)
        hung = (
            al.FlatTop(height_m=height)
            if shape == "flat"
            else al.InvertedVee(apex_m=height, ends_m=height - 3)
        )
        al.Dipole(inner_m=5.05, outer_m=3.9, trap=trap, shape=hung, soil=soil).impedance(f)

    for shape in ("flat", "bent"):
        for new_soil in (False, True):
            line(
                f"sweep of 122, new height{' and soil' * new_soil}, {shape} / 122 solves of 47x47",
                ratio(lambda shape=shape, new_soil=new_soil: sweep(shape, new_soil), solve),
                "",
                8,
            )

    def new_design(low, high):
        soil = al.Soil(permittivity=13 + 1e-6 * next(new), conductivity=0.005)
        al.design(low, high, shape=al.FlatTop(height_m=8 + 0.137 * next(new) % 9), soil=soil)

    for pair in (("40m", "20m"), ("80m", "10m")):
        line(
            f"design of {' and '.join(pair)}, new height and soil / 122 solves of 47x47",
            ratio(lambda pair=pair: new_design(*pair), solve),
            "",
            40,
        )
    line(
        "soil images, one new frequency",
        1e3 * seconds(lambda: soil_images(7 + 1e-4 * next(new), al.soil("average"))),
        "ms",
        2,
    )
    wire = al.Dipole(
        inner_m=5.05, outer_m=3.9, trap=trap, shape=al.FlatTop(height_m=9), soil=al.soil("average")
    )
    pattern, angles = wire.pattern(14.1), np.linspace(0, 180, 361)
    line("pattern of 361 angles, flat", 1e3 * seconds(lambda: pattern.gain_dbi(angles)), "ms", 1)
    vee = al.Dipole(
        inner_m=5.05,
        outer_m=3.9,
        trap=trap,
        shape=al.InvertedVee(apex_m=9, ends_m=5),
        soil=al.soil("average"),
    ).pattern(14.1)
    line("pattern of 361 angles, bent", 1e3 * seconds(lambda: vee.gain_dbi(angles)), "ms", 1)
    numpy = fresh("import numpy")
    line("import antlab / import numpy", fresh("import antlab") / numpy, "", 1.3)
    line("import antlab, use Dipole / import numpy", fresh("import antlab; antlab.Dipole") / numpy, "", 1.3)
    lesson = (
        "import resource, antlab as al, numpy, matplotlib.pyplot, ipywidgets, antlab.classroom.live;"
        "al.Dipole(inner_m=10, shape=al.FlatTop(height_m=9)).pattern(7.1).lobes();"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)"
    )
    used = subprocess.run(
        [sys.executable, "-c", lesson], cwd=ROOT, capture_output=True, text=True, check=True
    )
    line("memory of a process with a lesson's imports", float(used.stdout), "MB", 200)
    print(f"(122 solves of 47x47 here: {1e3 * seconds(solve):.1f} ms)")


if __name__ == "__main__":
    main()
