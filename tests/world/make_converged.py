"""Make tests/world/converged/*.csv: settled impedances and gains, to hold the engine against.

Run by hand (some minutes):  python tests/world/make_converged.py
The quick tests read the tables, and compute a few of their rows again to show that the tables are what
this script gives.  The cases are drawn once with a fixed seed: half-wave wires of 3.5 to 30 MHz, 3 m and more
above the ground, flat and bent, in free space, over perfect ground and five soils; and trap dipoles, their
outer legs cut for the lower band, on both of their bands.
"""

import csv

import numpy as np
from reference import HERE, Antenna, soil_epsilon, trap_impedance

C_M = 299.792458
SOILS = {
    "sea": (70, 5),
    "wet": (30, 0.01),
    "average": (13, 0.005),
    "dry": (15, 0.001),
    "very dry": (3, 0.0001),
}
GROUNDS = ["free", "mirror", *SOILS]
DIRECTIONS = [(10, 90), (20, 0), (20, 45), (30, 90), (50, 30), (60, 90), (85, 60)]
FIELDS = [
    "f_mhz",
    "inner_m",
    "outer_m",
    "inductance_uh",
    "capacitance_pf",
    "q",
    "middle_m",
    "ends_m",
    "ground",
    "diameter_mm",
    "wire",
    "r_ohm",
    "x_ohm",
    "sky",
    *(f"gain_{e}_{a}" for e, a in DIRECTIONS),
]


def antenna(row, **fineness):
    """The reference for one row of a table."""
    f = row["f_mhz"]
    ground = row["ground"]
    if ground in SOILS:
        ground = soil_epsilon(f, *SOILS[ground])
    sections, loads = (row["inner_m"],), ()
    if row["outer_m"]:
        sections += (row["outer_m"],)
        loads = (trap_impedance(f, row["inductance_uh"], row["capacitance_pf"], row["q"]),)
    return Antenna(
        f_mhz=f,
        sections=sections,
        loads=loads,
        middle=row["middle_m"],
        ends=row["ends_m"],
        ground=None if ground == "free" else ground,
        radius=row["diameter_mm"] / 2000,
        copper=row["wire"] == "copper",
        **fineness,
    )


def shape(rng, leg_m, flat):
    """Heights (middle, ends) of a flat or bent wire whose legs are leg_m."""
    if flat:
        height = round(float(rng.choice([3, 4, 5, 6, 7.5, 9, 12, 15, 20, 25])), 2)
        return height, height
    ends = round(float(rng.uniform(3, 6)), 2)
    drop = float(rng.uniform(0.2, 0.75)) * leg_m
    return round(ends + min(drop, 14), 2), ends


def plain_cases(rng):
    for number in range(98):
        f = round(float(np.exp(rng.uniform(np.log(3.5), np.log(30)))), 2)
        leg = (
            round(C_M / f / 2 * float(rng.uniform(0.46, 0.5)) / 1, 2)
            if number % 7
            else round(C_M / f / 4 * 0.974, 2)
        )
        middle, ends = shape(rng, leg, flat=number % 2 == 0)
        yield dict(
            f_mhz=f,
            inner_m=leg,
            outer_m=0.0,
            inductance_uh=0,
            capacitance_pf=0,
            q=0,
            middle_m=middle,
            ends_m=ends,
            ground=GROUNDS[number // 2 % 7],
            diameter_mm=float(rng.choice([1, 1.6, 2, 2, 2, 3])),
            wire=["copper", "lossless"][number % 3 == 0],
        )


def trap_cases(rng):
    pairs = [(3.7, 7.1), (7.1, 14.15), (3.6, 10.12), (14.2, 28.4), (10.12, 21.2), (7.1, 21.2)]
    for number in range(14):
        low, high = pairs[number % 6]
        inner = round(C_M / high / 4 * float(rng.uniform(0.94, 0.98)), 2)
        reactance = float(rng.uniform(200, 450))  # of the coil on the upper band
        f0 = high * float(rng.uniform(0.98, 1.01))
        row = dict(
            f_mhz=low,
            inner_m=inner,
            outer_m=0.0,
            inductance_uh=round(reactance / (2 * np.pi * f0), 2),
            q=float(rng.choice([80, 150, 250])),
            ground=GROUNDS[number % 7],
            diameter_mm=2.0,
            wire=["copper", "lossless"][number % 3 == 0],
        )
        row["capacitance_pf"] = round(1e6 / ((2 * np.pi * f0) ** 2 * row["inductance_uh"]), 1)
        row["middle_m"], row["ends_m"] = shape(rng, inner * 1.5, flat=number % 2 == 1)
        lengths, reactances = [C_M / low / 8, C_M / low / 9], []
        for _ in range(5):  # secant: no reactance on the low band
            reactances.append(
                antenna({**row, "outer_m": lengths[len(reactances)]}, finest=0.1).impedance.imag
            )
            if len(reactances) == len(lengths):
                (a, b), (xa, xb) = lengths[-2:], reactances[-2:]
                lengths.append(float(np.clip(b - xb * (b - a) / (xb - xa), 0.3, C_M / low / 4)))
        row["outer_m"] = round(lengths[-1] * float(rng.uniform(0.97, 1.03)), 2)
        for f in (low, round(low * 1.02, 3), high, round(high * 1.012, 3)):
            yield {**row, "f_mhz": f}


def main():
    (HERE / "converged").mkdir(exist_ok=True)
    rng = np.random.default_rng(1955)
    for name, cases in (("plain", plain_cases(rng)), ("trap", trap_cases(rng))):
        path = HERE / "converged" / f"{name}.csv"
        with open(path, "w", encoding="utf-8", newline="") as file:
            file.write(
                "# Settled values by make_converged.py: moment method of piecewise sinusoids, soil by\n"
                "# summing the reflected plane-wave spectrum (reference.py); heights of middle, ends;\n"
                "# gain_E_A: dBi at elevation E, azimuth A from the wire\n"
            )
            table = csv.DictWriter(file, FIELDS)
            table.writeheader()
            for row in cases:
                one = antenna(row)
                row["r_ohm"], row["x_ohm"] = f"{one.impedance.real:.3f}", f"{one.impedance.imag:.3f}"
                row["sky"] = f"{one.sky_fraction():.5f}"
                for e, a in DIRECTIONS:
                    row[f"gain_{e}_{a}"] = f"{10 * np.log10(max(float(one.gain(e, a)), 1e-9)):.3f}"
                table.writerow(row)
                file.flush()
                print(name, [row[key] for key in FIELDS], flush=True)


if __name__ == "__main__":
    main()
