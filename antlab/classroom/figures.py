"""Every still picture of the course: what draws it, and the words for a reader who cannot see it.

A lesson shows one as `![](../figures/name.svg)`; `antlab refresh` draws the file and writes the words in.
"""

import hashlib
import io
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib import pyplot as plt
from matplotlib.lines import Line2D
from matplotlib.text import Text

from antlab.classroom import live
from antlab.classroom.choke import choke
from antlab.classroom.drawing import stills
from antlab.classroom.drawing.looks import LOOKS, looking
from antlab.classroom.drawing.wound_trap import hookups, wrong_joint
from antlab.classroom.paper import sheet as report
from antlab.classroom.third_wire import third_wire
from antlab.classroom.two_rays import two_rays
from antlab.classroom.views.planner import THREE, plan_at, three_yards
from antlab.classroom.views.where_it_lands import MHZ
from antlab.engine import heights
from antlab.engine.dipole import Dipole
from antlab.engine.shapes import FlatTop
from antlab.physics import sky
from antlab.physics.bands import soil

MAKER = f"Matplotlib {mpl.__version__}, NumPy {np.__version__}"


@dataclass(frozen=True)
class Still:
    """A picture on paper.

    make: draws it, returns figure and axes. alt: what it shows, in one line. looks: of LOOKS, those that it
    is stored in; in any other it is the same as in the first. panels: how many stand side by side, each as
    wide as the others; a phone shows one below the other.
    """

    make: Callable
    alt: str
    looks: tuple[str, ...] = tuple(LOOKS)
    panels: int = 2


def _height_compromise():
    """Gain of both bands of the running example at two takeoff angles, as half-wave dipoles."""
    height, angles = np.arange(2.0, 25.1, 0.25), (15, 8)
    gains = {
        band: heights.half_wave_gain_dbi(np.array(angles), height, f_mhz=f, soil=soil("average")).T
        for band, f in (("20-metre band", 14.175), ("10-metre band", 28.5))
    }
    panels = {
        (f"gain at {angle}°, dBi", (-20, 10)): {band: gain[i] for band, gain in gains.items()}
        for i, angle in enumerate(angles)
    }
    return stills.against_height(height, panels)


def _one_wire_two_bands():
    """Current along a half-wave wire for 14.2 MHz, there and on twice that; Corner Lot's height."""
    wire = Dipole(inner_m=5.13, shape=FlatTop(height_m=7.5))
    place, currents = wire.current(np.array([14.2, 28.4]))
    titles = [
        f"{f} MHz: SWR {'over 20' if swr > 20 else format(swr, '.1f')}"
        for f, swr in zip((14.2, 28.4), wire.swr([14.2, 28.4]), strict=True)
    ]
    return stills.along_wire(place, dict(zip(titles, currents, strict=True)))


def _who_hears():
    """Gain of half-wave dipoles 9 m up towards each distance that one hop gets to, at noon and at night."""
    far = np.arange(0, 3801.0, 20)
    panels = {}
    for when in ("noon", "night"):
        here = sky.at(when)
        up = here.elevation_deg(far)
        curves = {}
        for name, f in MHZ.items():
            gain = heights.half_wave_gain_dbi(up, np.array([9.0]), f_mhz=f, soil=soil("average"))[0]
            if np.isfinite(skip := here.skip_km(f)):
                curves[name] = np.where(far >= skip, gain, np.nan)
        panels["gain that way, dBi", (-20, 10), when.capitalize()] = curves
    return stills.against_distance(far, panels, size=(4.7, 4.2))


def _build_sheet():
    """The sheet that lesson 09 prints for Corner Lot."""
    choices, place = THREE["Corner Lot"]
    fig = report.build_sheet(plan_at(*place, **choices))
    return fig, fig.axes


FIGURES = {
    "waves-to-scale": Still(
        lambda: live.one_wave.draw(7.1, 14.2),
        "A house, two buses, a car and a person, and to the same scale one wave with a half-wave wire below "
        "it. On 7.1 MHz the wire is a little shorter than two buses; on 14.2 MHz wave and wire are half as "
        "long.",
    ),
    "tuned-circuit": Still(
        lambda: live.tuned_circuit.draw((4, 100, 200), (4, 400, 200)),
        "Ohms of the pair against frequency: a needle of 40 kilohms at 7.96 MHz, where the coil's rising "
        "line crosses the capacitor's falling one. With four times the capacitor the needle stands at half "
        "the frequency, half as high.",
    ),
    "tuned-circuit-poor": Still(
        lambda: live.tuned_circuit.draw((4, 100, 200), (4, 100, 2)),
        "Left, Q 200: a needle at 7.96 MHz, the two dots of the rule upon it. Right, Q 2: a low hump whose "
        "top lies left of where the rule has it; of the rule's dots the left one lies below the curve.",
    ),
    "half-wave-wire": Still(
        lambda: live.half_wave_wire.draw(10.04, 10.56),
        "Two wires for 14.2 MHz, 10.04 and 10.56 m (33 and 35 ft) long. In both the current is largest in "
        "the middle, the voltage at the ends. The shorter one's SWR dips at 14.45 MHz, above the band, the "
        "longer one's at 13.74 MHz, below it.",
    ),
    "one-wire-two-bands": Still(
        _one_wire_two_bands,
        "Size of the current along a wire of 10.3 m (34 ft). On 14.2 MHz it is one hump, largest at the "
        "feed in the middle. On 28.4 MHz there are two humps, one on each side, and little at the "
        "feed.",
    ),
    "third-wire": Still(
        third_wire,
        "A dipole's cable cut open, twice: 1 A goes up the centre, 1 A comes down inside the braid. Without "
        "a choke 0.3 A more run up its outside, and that leg carries 0.7 A, the other 1 A. With a choke "
        "both carry 1 A.",
    ),
    "choke": Still(
        choke,
        "Below the feed point the line goes twelve times through a ring, turn beside turn, and on.",
        panels=1,
    ),
    "mirror-two-rays": Still(
        two_rays,
        "A wire seen from its end, h above the ground, and its image h below it. Two rays leave side by "
        "side at the angle theta. The echo, from the image, has an extra way of two h times the sine of "
        "theta, drawn heavy.",
        panels=1,
    ),
    "height-compromise": Still(
        _height_compromise,
        "Gain against height, 20-metre band (solid) and 10-metre band (dashed). At 15 degrees the 10-metre "
        "band is best near 11 m (36 ft) and vanishes at 20 m (66 ft), where the 20-metre band is near its "
        "best. At 8 degrees the 10-metre band has no gap.",
    ),
    "lobes-split": Still(
        lambda: live.height.draw(5, 10, low="20m", high="10m"),
        "Gain against elevation of a 20-metre dipole (solid, filled) and a 10-metre one (dashed). 5 m (16 "
        "ft) up the solid curve is one lobe, flat on top, the dashed one leans to both sides. 10 m (33 ft) "
        "up the solid curve looks as the dashed one did, and the dashed one has new lobes above.",
    ),
    "trap-two-bands": Still(
        lambda: live.trap_dipole.draw(14.2, 28.5),
        "Current along a wire with traps. On 14.2 MHz it runs to the ends, with a small bend at the traps, "
        "each a coil of 148 ohms. On 28.5 MHz it all but ends there; below, their ohms stand as a needle.",
    ),
    "trap-choices": Still(
        lambda: live.trap_choice.draw((1.25, 28.47), (5, 28.47)),
        "SWR on both bands. With a coil of 1.25 microhenries the dip is wide on 20 metres and narrow on 10; "
        "with 5 microhenries it is the other way round.",
    ),
    "coax-hookups": Still(
        hookups,
        "A pipe with four turns of cable, drawn twice. The centre is a thin line, the braid a thick dashed "
        "one. In both the near braid is soldered to the far centre: the joint. In series the wires go to "
        "the near centre and the far braid. Across the braid both wires go to the braids, and the near "
        "centre is open and covered.",
    ),
    "wrong-joint": Still(
        wrong_joint,
        "The same, joined wrongly: far centre and far braid are soldered together, and the wires go to near "
        "centre and near braid.",
        panels=1,
    ),
    "who-hears": Still(
        _who_hears,
        "Gain against distance on four bands, drawn only where one hop gets there. At noon 80 and 40 metres "
        "begin at home, 20 metres beyond 380 km, 10 metres beyond 1480 km. At night 80 metres begins at "
        "home, 40 metres beyond 900 km, and the other two are gone.",
    ),
    "three-yards": Still(
        three_yards,
        "Three yards, each with its wire to scale beside a person, its lobes, and a ray to a friend 1700 km "
        "away. Corner Lot and Long Acre send straight up on the lower band and lean over on the upper one. "
        "Hilltop, a small inverted vee, lies low on 10 metres, along the ray.",
        panels=3,
    ),
    "build-sheet": Still(
        _build_sheet,
        "A page to print. The wire as it hangs, with all sizes; what to cut, wind, feed, hang and keep off; "
        "how to trim, with lines to write in; the cautions.",
        looks=("plain",),  # a page for the printer
        panels=1,
    ),
    "trim-log": Still(
        lambda: live.trimming.draw((0, 0), (10.5, 2)),
        "SWR on 20 metres above and on 10 metres below, measured (dotted) and foretold (solid). Left, "
        "nothing folded, the two nearly agree, and their dips lie left of the aims. Right, with 10.5 and 2 "
        "cm folded back, both solid dips lie close to the aims.",
    ),
}


def stored():
    """Which pictures lie in figures/: names, each with the looks that it is stored in."""
    return [(name, look) for name, still in FIGURES.items() for look in still.looks]


def svg(name, look="plain"):
    """The picture of that name as SVG text, the same to the byte each time that one MAKER draws it.

    look: a key of LOOKS.
    """
    with looking(look):
        return drawn(FIGURES[name].make)


def drawn(make, known=True):
    """What make draws, a figure and whatever else, as SVG text that is the same each time.

    Places are rounded to a hundredth of a point, so that the last bits of a processor's sine don't show.
    known: by its digest, whoever draws it; what is stored has to be.
    """
    with mpl.rc_context():
        mpl.rcdefaults()  # not those of who happens to draw it
        mpl.rcParams["svg.hashsalt"] = "antlab"
        fig, _ = make()
        about = {"Creator": MAKER, "Identifier": digest(fig) if known else None, "Date": None}
        file = io.StringIO()
        fig.savefig(file, format="svg", metadata=about)
        plt.close(fig)
    # a letter's place, which matplotlib writes the long way thousands of times
    text = re.sub(r'(<use [^>]*)transform="translate\(([-.\d]+) 0\)"', r'\1x="\2"', file.getvalue())
    return re.sub(r' d="[^"]*"| [xy]="[^"]*"|translate\([^)]*\)', _rounded, text)


def _rounded(places):
    return re.sub(r"-?\d+\.\d{3,}", lambda number: f"{float(number[0]):.2f}", places[0])


def digest(fig):
    """A hash of what a figure says, whoever draws it: its words, and its lines to a thousandth."""
    said = [text.get_text() for text in fig.findobj(Text) if text.get_text()]
    for line in fig.findobj(Line2D):
        places = line.get_xydata()
        shares = np.round(places / (np.nanmax(np.abs(places), axis=0) + 1e-9), 3) + 0.0  # no minus zero
        said.append(str(shares.tolist()))
    return hashlib.sha256("\n".join(sorted(said)).encode()).hexdigest()


def path_of(name, look="plain"):
    """Where a picture lies in the course: in figures/, and for another look in a folder of its name there."""
    return Path("figures", "" if look == "plain" else look, f"{name}.svg")


def renewed(old, name, look="plain"):
    """The SVG text that should be stored for the picture of that name: old, as long as it shows the same.

    Text of another MAKER is known by its digest, since places and glyphs differ a little between them; what
    the same one drew may differ by the rounding of its places, as another processor's does.
    """
    fresh = svg(name, look)
    if MAKER in old:
        same = _alike(old, fresh)
    else:
        same = _DIGEST.findall(old) == _DIGEST.findall(fresh)
    return old if same else fresh


_DIGEST, _PLACE = re.compile(r"\b[0-9a-f]{64}\b"), re.compile(r"-?\d+\.\d+")
_ROUNDED_PT = 0.011  # two places so far apart may be one, each rounded to a hundredth


def _alike(*texts):
    texts = [_DIGEST.sub("", text) for text in texts]
    one, other = (_PLACE.split(text) for text in texts)
    if one != other:
        return False
    places = [np.array(_PLACE.findall(text), dtype=float) for text in texts]
    return bool(np.all(np.abs(places[0] - places[1]) < _ROUNDED_PT))


def with_alt(markdown):
    """Markdown with the words of each picture of ours in place. Raises KeyError for an unknown picture."""
    ours = r"!\[[^\]]*\](\([./]*figures/([\w-]+)\.svg\))"
    return re.sub(ours, lambda found: f"![{FIGURES[found[2]].alt}]{found[1]}", markdown)
