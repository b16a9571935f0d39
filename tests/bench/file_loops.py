"""Do antennas come home by files and words alone?  plan -> antenna.json -> sweep files -> `antlab trim` ->
home.

Run by hand:  python tests/bench/file_loops.py [--count 50] [--seed 1] [--jobs 2]

The antennas are those of closed_loops.py. Of each an antenna file is written; what the meter shows goes into
files, in one of six formats by turns; the command's main function reads them; the trainee obeys the words
that it prints, which are read by their cm, and nothing else. `tests/antenna/test_file_loops.py` runs two of
them.
"""

import argparse
import contextlib
import io
import os
import re
import sys
import tempfile
import time
import warnings
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path

import closed_loops as loops
import numpy as np

import antlab as al
from antlab.antenna.design import aim_on
from antlab.cli import main as cli
from antlab.units import Slip

FORMATS = ("s1p", "s2p", "SWR", "R and X", "commas, falling", "typed")
CHANGES = 10
CHANGE = re.compile(r"(Lengthen|Shorten) each (inner|outer) wire by ([\d.]+) cm")


def antenna_of(truth, name, design):
    """The Antenna of what a truth was planned as."""
    shape = truth.log.dipole.shape
    level = isinstance(shape, al.FlatTop)
    yard = al.Yard(hung="level" if level else "vee", heights_m=(shape.top_m, shape.ends_m))
    low, high = (aim.band.name for aim in design)
    return al.Antenna(
        name=name, yard=yard, low=low, high=high, trap=truth.log.dipole.trap,
        planned_m=truth.log.dipole.sections, planned_mhz=truth.log.aims_mhz,
    )  # fmt: skip


def written(folder, number, sweep, form):
    """A sweep as a file of some format, as a meter or a hand writes it. Returns its path."""
    f, z = sweep.f_mhz, sweep.impedance
    path = folder / f"sweep-{number}.{'s1p' if form == 's1p' else 's2p' if form == 's2p' else 'csv'}"
    if form == "s1p":
        return al.write_sweep(path, f, z)
    g = sweep.reflection
    if form == "s2p":
        rows = [f"{1e3 * a:.6f} {s.real:.7f} {s.imag:.7f} 0 0 0 0 1 0" for a, s in zip(f, g, strict=True)]
        lines = ["! made by a bench", "# kHz S RI R 50", *rows]
    elif form == "SWR":
        lines = ["Frequency (Hz),SWR", *(f"{1e6 * a:.0f},{s:.3f}" for a, s in zip(f, sweep.swr, strict=True))]
    elif form == "R and X":
        rows = [f"{a:.5f}\t{x.real:.2f}\t{x.imag:.2f}" for a, x in zip(f, z, strict=True)]
        lines = ["My lawn", "freq [MHz]\tR [ohm]\tX [ohm]", *rows[:3], "NaN\tNaN\tNaN", *rows[3:]]
    elif form == "commas, falling":
        rows = [f"{a:.4f};{s:.2f}".replace(".", ",") for a, s in zip(f[::-1], sweep.swr[::-1], strict=True)]
        lines = ["Frequency (MHz);SWR", *rows[:2], *rows[1:]]
    else:  # some twenty frequencies a band, the SWR to two digits
        some = np.linspace(0, f.size - 1, min(f.size, 41)).astype(int)
        lines = [f"{f[i]:.3f} {sweep.swr[i]:.2f}" for i in some]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def command(*words):
    """Exit status and what `antlab trim` prints, in this process."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = cli.main(["trim", *map(str, words)])
    return status, " ".join(out.getvalue().split()), err.getvalue()


def loop(number, *, seed=1, folder):
    """Obey the words until told to stop: the end, how many changes, how far off, last words, seconds."""
    truth, form = loops.antenna(number, seed=seed), FORMATS[number % len(FORMATS)]
    pair = loops.PAIRS[number % len(loops.PAIRS)]
    file = antenna_of(truth, f"antenna-{number}", [aim_on(name) for name in pair]).save(
        folder / f"antenna-{number}.json", force=True
    )
    lengths, slowest, changes, again, words = np.array(truth.log.lengths_m), 0.0, 0, 0, ""
    tuned = False
    for step in range(CHANGES + 4):
        swept = truth.sweeps(lengths)
        if form == "typed":  # a hand sweeps each band closely
            swept = [_closely(truth, aim, lengths) for aim in truth.log.aims_mhz]
        paths = [written(folder, f"{number}-{step}-{i}", sweep, form) for i, sweep in enumerate(swept)]
        start = time.process_time()
        status, words, complaint = command(file, *paths)
        slowest = max(slowest, time.process_time() - start)
        if status:
            return "refused", changes, truth.off(lengths), complaint, slowest
        if "Measure the traps first" in words:
            status, words, complaint = command(file, "--trap", *_alone(truth))
        if "tune the traps" in words and not tuned:
            tuned, truth = True, replace(truth, trap=_tuned(truth))
            command(file, "--made", "inner=0", "outer=0", "--trap", *_alone(truth))
            continue
        if "nothing was changed" in words and "Do not cut" in words and again < 2:
            again += 1
            command(file, "--made", "inner=0", "outer=0")
            continue
        if "Do not cut" in words:
            return "stopped", changes, truth.off(lengths), words, slowest
        if "Leave it" in words:
            off = truth.off(lengths)
            home = np.max(np.abs(off)) <= loops.HOME
            return "home" if home else "astray", changes, off, words, slowest
        asked = {"inner": 0.0, "outer": 0.0}
        for way, wire, cm in CHANGE.findall(words):
            asked[wire] = float(cm) / 100 * (1 if way == "Lengthen" else -1)
        if not any(asked.values()) or changes == CHANGES:
            break
        done = {wire: loops._by_hand(truth, m) for wire, m in asked.items()}
        made = [f"{wire}={100 * m:.2f}cm" for wire, m in done.items()]
        status, _, complaint = command(file, "--made", *made)
        if status:
            return "refused", changes, truth.off(lengths), complaint, slowest
        lengths, changes = lengths + [done["inner"], done["outer"]], changes + 1
    return "endless", changes, truth.off(lengths), words, slowest


def _alone(truth):
    """What is typed of a trap measured alone, and with a capacitor across it."""
    trap = loops.measured(truth).trap
    added = 0.5 * trap.capacitance_pf
    lower = trap.resonance_mhz * np.sqrt(trap.capacitance_pf / (trap.capacitance_pf + added))
    return f"alone={trap.resonance_mhz:.4f}MHz", f"lower={lower:.4f}MHz", f"added={added:.3f}pF"


def _tuned(truth):
    """The traps as a hand tunes them to the plan's frequency, by their capacitors, to some thousandths."""
    off = truth.trap.resonance_mhz / truth.log.dipole.trap.resonance_mhz * truth.rng.normal(1, 0.003)
    return replace(truth.trap, capacitance_pf=truth.trap.capacitance_pf * off**2)


def _closely(truth, aim, lengths):
    return truth._sweep(np.linspace(0.93 * aim, 1.07 * aim, 41), lengths)


def one(work):
    """A loop by its number and seed, in a folder of its own."""
    number, seed = work
    cli.settle = lambda extra, argv: None
    with warnings.catch_warnings(), tempfile.TemporaryDirectory() as folder:
        warnings.simplefilter("ignore")
        try:
            return number, *loop(number, seed=seed, folder=Path(folder))
        except Slip as error:
            return number, "refused", 0, np.zeros(2), str(error), 0.0


def main():
    """Print what became of them."""
    wanted = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    wanted.add_argument("--count", type=int, default=50)
    wanted.add_argument("--seed", type=int, default=1)
    wanted.add_argument("--jobs", type=int, default=2)
    user = wanted.parse_args()
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with ProcessPoolExecutor(user.jobs) as pool:
        ends = list(pool.map(one, [(i, user.seed) for i in range(user.count)]))
    changes = dict(sorted(Counter(end[2] for end in ends).items()))
    print(dict(Counter(end for _, end, *_ in ends)), "changes", changes)
    print(f"slowest answer {max(end[-1] for end in ends):.2f} s of the processor")
    for number, end, changes, off, words, _ in ends:
        if end != "home":
            said = words[words.find("DO THIS NEXT") :][:200]
            away = ", ".join(f"{100 * x:+.2f}" for x in off)
            print(
                f"  {number} ({FORMATS[number % len(FORMATS)]}): {end} after {changes}, off {away} %: {said}"
            )


if __name__ == "__main__":
    sys.exit(main())
