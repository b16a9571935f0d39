"""Make tests/world/converged/sloping.csv: what it costs to count a sloping wire as level at its mean height.

Run by hand (some minutes):  python tests/world/make_sloping.py
By the second solver (reference.Antenna), which takes no symmetry for granted: trap dipoles whose ends hang at
two heights, against the same wires level at the mean. Lengths and traps are the planner's.
"""

import csv
from dataclasses import replace

import numpy as np
from reference import HERE, Antenna, soil_epsilon, trap_impedance

PAIRS = (
    ("40m", "20m", 12, 15), ("40m", "20m", 3, 5), ("40m", "20m", 6, 9), ("80m", "40m", 9, 18),
    ("40m", "20m", 6, 12), ("40m", "20m", 4, 10), ("20m", "10m", 5, 8), ("20m", "10m", 4, 8),
)  # fmt: skip
ANGLES = (10, 15, 30, 60, 90)  # broadside
_STEP = 1.004  # of a frequency, for the slope of the reactance


def row_of(f_mhz, sections, trap, low_m, high_m):
    """What changes when a wire level at the mean hangs from low_m to high_m. trap: µH, pF, Q. A dict."""
    level = Antenna(
        f_mhz=f_mhz, sections=sections, loads=(trap_impedance(f_mhz, *trap),), middle=(low_m + high_m) / 2,
        ground=soil_epsilon(f_mhz, 13, 0.005), copper=True, finest=0.1,
    )  # fmt: skip
    sloping, f_up = replace(level, rise=float(high_m - low_m)), f_mhz * _STEP
    above = replace(
        level, f_mhz=f_up, loads=(trap_impedance(f_up, *trap),), ground=soil_epsilon(f_up, 13, 0.005)
    )
    climbs = (above.impedance - level.impedance).imag / (_STEP - 1)
    moved = -(sloping.impedance - level.impedance).imag / climbs
    elevations = np.array(ANGLES, dtype=float)
    gains = 10 * np.log10(sloping.gain(elevations) / level.gain(elevations))
    ends = 10 * np.log10(sloping.gain(30.0, 180.0) / sloping.gain(30.0, 0.0))
    found = {"moved_percent": round(100 * float(moved), 3), "lower_end_db": round(float(ends), 2)}
    return found | {f"gain_{a}": round(float(g), 2) for a, g in zip(ANGLES, gains, strict=True)}


def main():
    """Write the table."""
    import antlab as al
    from antlab.antenna.mending import start

    rows = []
    for low, high, one, other in PAIRS:
        made = start(low, high, al.soil("average"), "RG-58").hung(al.FlatTop(height_m=(one + other) / 2))
        trap = made.dipole.trap
        for aim in made.aims:
            case = {
                "f_mhz": round(aim.f_mhz, 3), "inner_m": round(made.dipole.inner_m, 3),
                "outer_m": round(made.dipole.outer_m, 3), "inductance_uh": round(trap.inductance_uh, 4),
                "capacitance_pf": round(trap.capacitance_pf, 3), "q": round(trap.q), "low_m": one,
                "high_m": other,
            }  # fmt: skip
            rows.append(case | row_from(case))
    with open(HERE / "converged" / "sloping.csv", "w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0], lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def row_from(case):
    """row_of for a row of the table."""
    sections, trap = (case["inner_m"], case["outer_m"]), (
        case["inductance_uh"], case["capacitance_pf"], case["q"],
    )  # fmt: skip
    return row_of(case["f_mhz"], sections, trap, case["low_m"], case["high_m"])


if __name__ == "__main__":
    main()
