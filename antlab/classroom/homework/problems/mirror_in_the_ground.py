"""Homework 06: the mirror in the ground."""

from sympy import I, asin, cos, log, pi, sin, sqrt

from antlab.classroom.homework.problems import Choice, Expression, Given, Mistake, Number, Option, symbols
from antlab.engine.dipole import Dipole
from antlab.engine.shapes import FlatTop
from antlab.physics.bands import soil as named_soil
from antlab.physics.ground import reflection_horizontal
from antlab.physics.lengths import mirror_impedance, rule_length_m
from antlab.units import C_M_S, EPS0_F_M, wavelength_m

lam, theta, h, f, eps, sigma, eps_0 = symbols("lambda theta h f epsilon_r sigma epsilon_0")
YARDS = {"Corner Lot": "average", "Long Acre": "wet", "Hilltop": "rocky"}


def lesson(pick):
    """A student's numbers and problems: see problems."""
    mhz = pick("f", 14.2, 18.12, 21.2, 28.4)
    wave = round(float(wavelength_m(mhz)), 3)
    height = round(pick("h", 0.55, 0.6, 0.7, 0.8, 0.9) * wave, 1)
    angle = pick("theta", 15, 20, 25, 30)
    yard = pick("yard", *YARDS)
    earth = named_soil(YARDS[yard])
    low_mhz = pick("f low", 3.7, 7.1)
    givens = (
        Given(lam, f"wavelength at {mhz:g} MHz", wave, "m", 10, 40),
        Given(h, "height of your wire", height, "m", 22, 40),
        Given(theta, "elevation above the horizon", angle, "°", 5, 60),
        Given(f, "frequency of the lower band", low_mhz, "MHz", 3, 8),
        Given(eps, f"permittivity of the soil at {yard}, against empty space", earth.permittivity, "", 3, 80),
        Given(sigma, "its conductivity", earth.conductivity, "S/m", 0.001, 0.1),
        Given(eps_0, "permittivity of empty space", EPS0_F_M, "F/m", EPS0_F_M, EPS0_F_M),
    )
    echo = abs(reflection_horizontal(elevation_deg=90.0, f_mhz=low_mhz, soil=earth))
    root = sqrt(eps - I * sigma / (2 * pi * f * eps_0))
    field = 2 * sin(2 * pi * h * sin(theta) / lam)
    decibels = 20 * log(field, 10)
    there = {lam: wave, h: height, theta: angle * pi / 180}
    return "the mirror in the ground", givens, {
        "dark-height": Expression(
            "Height that leaves an angle dark", "h", lam / (2 * sin(theta)),
            (
                Mistake("lobe", "the lobe for the gap", lam / (4 * sin(theta)),
                        "At that height a lobe points to θ. The question is where nothing goes."),
                Mistake("cosine", "cosine for sine", lam / (2 * cos(theta)),
                        "θ counts from the horizon. What the echo goes longer is 2·h·sin θ."),
                Mistake("upside", "sine above the line", lam * sin(theta) / 2,
                        "Solve λ = 2·h·sin θ for h: the sine goes below the line."),
            ),
            "The echo starts upside down. Direct wave and echo cancel when it comes one whole wave later.",
            "The echo travels 2·h·sin θ farther. Set that equal to λ and solve for h.",
        ),
        "first-lobe": Number(
            "Where the first lobe points", lambda: float(asin(wave / (4 * height)) * 180 / pi), "°",
            (
                Mistake("gap", "the gap for the lobe", asin(min(1.0, wave / (2 * height))),
                        "There the echo comes a whole wave later, and nothing is left. The lobe needs half a "
                        "wave."),
                Mistake("sine", "the sine, not the angle", wave / (4 * height),
                        "That is sin θ. Ask sp.asin for θ itself, and turn radians into degrees."),
                Mistake("sine-degrees", "the sine taken for radians", wave / (4 * height) * 180 / pi,
                        "That is sin θ, turned into degrees as if it were an angle. asin comes first."),
            ),
            "The echo starts upside down, so half a wave of detour puts it in step: sin θ = λ/(4h).",
            f"sin θ = {wave:g}/(4·{height:g}) = {wave / (4 * height):.4f}. asin gives radians; times 180/π.",
        ),
        "echo": Number(
            "Echo straight up", echo, "",
            (
                Mistake("no-root", "the root left out", abs(complex(_reflects(root**2, low_mhz, earth))),
                        "A wave in the soil goes by the root of the permittivity."),
                Mistake("power", "power for voltage", echo**2,
                        "That is the share of the power. The question is the field, before squaring."),
                Mistake("no-conductivity", "conductivity left out", abs((1 - sqrt(eps)) / (1 + sqrt(eps))),
                        "You left σ out. At this frequency it makes the soil a better mirror."),
                Mistake("megahertz", "MHz for Hz", abs(complex(_reflects(
                            sqrt(eps - 1e6 * I * sigma / (2 * pi * f * eps_0)), low_mhz, earth))),
                        "2πf wants hertz: hw.values has the frequency so."),
            ),
            "ε_c = ε_r − jσ/(2πf·ε_0), and straight up the ground returns (1 − √ε_c)/(1 + √ε_c).",
            f"Here ε_c = {complex(earth.complex_permittivity(low_mhz)):.1f}. Take its root, form (1 − √ε_c)/"
            "(1 + √ε_c), and its size with sp.Abs.",
        ),
        "field-db": Number(
            "Field at your angle, in decibels", float(decibels.subs(there)),
            "dB",
            (
                Mistake("ten-log", "10 for 20", decibels / 2,
                        "A ratio of fields is a ratio of voltages: 20·log10, not 10·log10."),
                Mistake("no-two", "the 2 left out", 20 * log(field / 2, 10),
                        "Wire and echo in step make twice the field. The 2 in front is missing."),
                Mistake("natural", "natural logarithm", 20 * log(field),
                        "sp.log(x) is the natural logarithm. Decibels want sp.log(x, 10)."),
                Mistake("ratio", "the ratio, not decibels", field,
                        "That is the ratio of the fields. Now into decibels."),
            ),
            "The field is 2·sin(2π·h·sin θ/λ) times that of the wire alone. Decibels: 20·log10 of it.",
            f"2π·{height:g}·sin({angle}°)/{wave:g}, its sine, times 2; then 20·log10.",
            slack=0.1,
        ),
        "low-wire": Choice(
            "A low wire", lambda: _low_wire(pick, low_mhz, yard),
            "The mirror takes power back from a low wire. What does real soil do with it?",
            "Over soil part of the power goes into heat. That part shows at the feed as resistance.",
            pick.shuffled,
        ),
    }  # fmt: skip


def _reflects(root, mhz, earth):
    ratio = (1 - root) / (1 + root)
    values = {eps: earth.permittivity, sigma: earth.conductivity, f: 1e6 * mhz, eps_0: EPS0_F_M}
    return ratio.subs(values).evalf()


def _low_wire(pick, mhz, yard):
    waves = pick("low h", 0.08, 0.09, 0.1, 0.11)
    height = round(waves * C_M_S / 1e6 / mhz, 1)
    leg = float(rule_length_m(mhz)) / 2
    soil = float(Dipole(inner_m=leg, shape=FlatTop(height_m=height), soil=YARDS[yard]).impedance(mhz).real)
    mirror = float(mirror_impedance(height_m=height, f_mhz=mhz).real)
    task = f"A {mhz:g} MHz dipole hangs {height:g} m ({height / 0.3048:.0f} ft) up at {yard}."
    return task, (
        Option(
            f"Reckon with {soil:.0f} Ω: the mirror's {mirror:.0f} Ω leaves out all that the soil turns "
            "to heat.",
            remark="A fair SWR here is no proof of a good antenna, and more height would help."
        ),
        Option(
            f"Reckon with {mirror:.0f} Ω: image theory is exact, and another reading means bad ground.",
            "Image theory is exact for a perfect mirror. Soil is none, least of all close to the wire.",
            "exact-mirror", "soil taken for a mirror",
        ),
        Option(
            "Reckon with 73 Ω: that is what a dipole has, and the ground below is far enough.",
            "In empty space, yes. The ground changes it, the more the closer it is.",
            "free-space", "the ground left out",
        ),
        Option(
            f"Reckon with {soil:.0f} Ω: more than the mirror's {mirror:.0f} Ω means that more is radiated.",
            "A resistance at the feed says that power goes somewhere. It does not say that it goes into the "
            "sky.",
            "all-radiated", "heat in the soil taken for radiation",
        ),
    )  # fmt: skip
