"""The command `antlab plan`: a yard told in options; a plan to read, a sheet, an antenna file."""

import json
import sys
import textwrap

from antlab import facts
from antlab.cli.sheet import first_asked, paper_arguments, paper_asked
from antlab.trouble import Slip, Trouble, expanded, print_safely, unwarned

USUAL = {  # a form and a wire that shops have where people measure so
    "metres": {"form": "40mm", "wire": "2mm"},
    "feet": {"form": "1.66in", "wire": "bare copper AWG 14"},  # a 1 1/4 in pipe's outside
}


def plan_arguments(parser):
    """Name what `plan` takes. Lengths are read by units.parse_length, and want their unit."""
    length = {"metavar": "LENGTH"}
    bands = parser.add_argument_group("the bands")
    names = {
        name: "; ".join(facts.names(f"physics/{name}.csv")) for name in ("bands", "soils", "cables", "wires")
    }
    bands.add_argument(
        "--low", default="40m", metavar="BAND", help=f"lower band (%(default)s): {names['bands']}"
    )
    bands.add_argument("--high", default="20m", metavar="BAND", help="upper band (%(default)s)")
    bands.add_argument(
        "--aim", default="widest",
        help="what to serve (%(default)s): widest, the worst SWR over all that is wanted as low as can be; "
        "segment, resonant in the middle of the segment of one mode",
    )  # fmt: skip
    bands.add_argument(
        "--mode", help="phone or code, if only that is wanted (else the whole band, of 10m 28 to 29 MHz)"
    )
    licences = ", ".join(facts.names("physics/segments.csv"))
    bands.add_argument("--licence", default="general", help=f"of the USA (%(default)s): {licences}")
    bands.add_argument("--region", default="2", help="ITU region, 1, 2 or 3 (%(default)s)")
    bands.add_argument(
        "--low-mhz", metavar="MHZ", help="be resonant here in the lower band, whatever --aim says"
    )
    bands.add_argument("--high-mhz", metavar="MHZ", help="be resonant here in the upper band")
    yard = parser.add_argument_group("the yard", "lengths with their unit, like 8.5m, 28ft or '28 ft 6 in'")
    yard.add_argument("--height", **length, help="of a level wire above the ground")
    yard.add_argument("--apex", **length, help="of an inverted vee: height of its middle")
    yard.add_argument("--ends", **length, help="of an inverted vee: height of both ends")
    yard.add_argument("--other-height", **length, help="of the other support, where --height is that of one")
    yard.add_argument(
        "--span", **length, help="between the supports; wire and half a metre of rope at each end have to fit"
    )
    yard.add_argument("--width", **length, help="of the garden, fence to fence")
    yard.add_argument("--length", **length, help="of the garden; the wire runs along the longer side")
    yard.add_argument("--lies", metavar="DIRECTION", help="to where its length lies, like NE, or degrees (N)")
    yard.add_argument("--runs", metavar="DIRECTION", help="to where the wire runs instead; it sends across")
    yard.add_argument("--soil", default="average", help=f"%(default)s, or: {names['soils']}")
    parts = parser.add_argument_group("what you build with")
    parts.add_argument(
        "--cable", default="RG-58", help=f"to wind the traps from (%(default)s): {names['cables']}"
    )
    parts.add_argument(
        "--form", **length, help="outer diameter of the traps' form (40mm; with --first feet 1.66in)"
    )
    parts.add_argument(
        "--coil-pf", metavar="PF",
        help="wind the traps of bare wire on the form instead, for a capacitor of so many picofarads across "
        "each, such as 27",
    )  # fmt: skip
    parts.add_argument("--hookup", default="series", help="of the traps: series or braid (%(default)s)")
    parts.add_argument("--trap-mhz", metavar="MHZ", help="tune the traps here (the upper aim)")
    parts.add_argument(
        "--wire", metavar="WIRE",
        help=f"thickness of bare copper wire, like 2mm (2mm; with --first feet AWG 14), or: {names['wires']}",
    )  # fmt: skip
    parts.add_argument("--power", default="100", metavar="WATTS", help="of the transmitter (%(default)s)")
    modes = "; ".join(facts.names("antenna/modes.csv"))
    parts.add_argument(
        "--sends",
        default="carrier",
        help=f"what it sends, for how far people must stay (%(default)s): {modes}",
    )
    parts.add_argument("--feed", metavar="CABLE", help="the cable to the shack, for the sheet (RG-58)")
    parts.add_argument(
        "--feed-length", **length, help="of that cable (10 m or more beyond the feed's height)"
    )
    out = parser.add_argument_group("what you get")
    out.add_argument(
        "--save", metavar="FILE", action="append", default=[],
        help="ending in .json: keep the antenna, for trim and the sheet; in .pdf, .png or .svg: draw its "
        "sheet; may be given more than once",
    )  # fmt: skip
    out.add_argument("--force", action="store_true", help="write over FILE if it exists")
    out.add_argument("--json", action="store_true", help="print the plan for machines")
    paper_arguments(parser)


def run_plan(args, rest):
    """Plan a two-band antenna for a yard."""
    from antlab.antenna.plan import check_path
    from antlab.antenna.plan_making import plan_of

    kept, drawn = [], []
    for path in map(expanded, args.save):
        (kept if path.suffix.lower() == ".json" else drawn).append(path)
    try:
        for path in drawn:
            check_path(path, force=args.force)  # before the work
        asked = paper_asked(args)
        with unwarned():
            yard, choices = _yard(args), _choices(args)
            made, line = _fitting(args, yard, choices), _feed_line(args, yard)
            antenna = _antenna(kept[0].stem, yard, line, choices) if kept else None
            plan = antenna.plan if kept else plan_of(made, yard=yard, line=line)
        said = [f"Saved the antenna: {antenna.save(path, force=args.force)}" for path in kept]
        asked |= {"yard": yard, "line": line, "name": kept[0].stem if kept else ""}
        said += [f"Saved the sheet: {plan.save(path, force=args.force, **asked)}" for path in drawn]
        said += _assumed(yard, asked["first"]) if drawn and not line else []
    except Slip as error:
        raise Trouble(" ".join(str(error).split())) from None
    except OSError as error:
        name = error.filename or args.save[-1]
        raise Trouble(f"{name} can't be written ({error.strerror}): choose another name") from None
    told = "\n\n".join([plan.text(first=first_asked(args)), *_where(yard), _whose(args)])
    print_safely(json.dumps(plan.as_dict(), indent=2, allow_nan=False) if args.json else told)
    for line in said:
        print(line, file=sys.stderr)
    return 0


def _antenna(name, yard, line, choices):
    from antlab.antenna.own_antenna import Antenna

    feed_line = line and (line.cable.name, line.length_m)
    return Antenna(name=name, yard=yard, feed_line=feed_line, **choices)


def _choices(args):
    """What design() and Antenna take alike."""
    from antlab.antenna.design import aim_on
    from antlab.physics.trap import design_coax_trap, design_coil_trap

    user = {
        "aim": args.aim, "mode": args.mode, "licence": args.licence, "region": _number("region", args.region)
    }  # fmt: skip
    low_mhz, high_mhz, usual = _mhz(args.low_mhz), _mhz(args.high_mhz), USUAL[first_asked(args)]
    wind = {
        "f_mhz": _mhz(args.trap_mhz) or aim_on(args.high, high_mhz, **user).f_mhz,
        "form_diameter_mm": _millimetres("form", args.form or usual["form"]),
    }
    if args.coil_pf is None:
        trap = design_coax_trap(cable=args.cable, hookup=args.hookup, **wind)
    else:
        trap = design_coil_trap(capacitance_pf=_number("coil-pf", args.coil_pf), **wind)
    return {
        "low": args.low, "high": args.high, "low_mhz": low_mhz, "high_mhz": high_mhz, **user, "trap": trap,
        "soil": args.soil.replace("-", " "), "wire": _wire(args.wire or usual["wire"]),
        "power_w": _number("power", args.power), "sends": args.sends,
    }  # fmt: skip


def _feed_line(args, yard):
    """The cable to the shack as told, or None; what is told by half has the other half of the usual."""
    from antlab.antenna.feeding import FeedLine, usual_line

    if args.feed is None and args.feed_length is None:
        return None
    usual = usual_line(yard.shape)
    length = usual.length_m if args.feed_length is None else _metres("feed-length", args.feed_length)
    return FeedLine(cable=args.feed or usual.cable, length_m=length)


def _assumed(yard, first):
    """Of a sheet whose line nobody told: which it counts, and how to tell another. A list of one sentence."""
    from antlab.antenna.feeding import usual_line
    from antlab.antenna.tape import Tape

    line = usual_line(yard.shape)
    return [
        f"Its feed line is assumed: {line.cable.name}, {Tape(first=first).place(line.length_m)}; "
        "tell yours by --feed and --feed-length"
    ]


def _fitting(args, yard, choices):
    """The Design, if it fits into the yard; else the Trouble that says what would mend it."""
    from dataclasses import replace

    from antlab.antenna.design import design

    made = design(**choices, shape=yard.shape)
    if yard.room_m is not None and made.width_m > yard.room_m:
        raise Trouble(_mended(args, yard, made, choices))
    return replace(made, span_m=yard.apart_m)


def _mended(args, yard, made, choices):
    """Why it does not fit, and what would mend it, with the options to ask for that."""
    from functools import partial

    from antlab.antenna.mending import COST, Coil, OnForm, Wish, mends, spoken

    names = "aim", "mode", "licence", "region", "soil", "power_w", "sends"
    asked = {name: choices[name] for name in names} | {"wire": made.dipole.wire.name or made.dipole.wire}
    trap = choices["trap"]
    trap = (
        OnForm(trap.cable.name, trap.form_diameter_mm, trap.hookup)
        if args.coil_pf is None
        else Coil(trap.capacitance_pf, trap.form_diameter_mm)
    )
    wish = Wish(yard=yard, low=args.low, high=args.high, trap=trap, **asked)
    in_feet = first_asked(args) == "feet"
    say = partial(spoken, feet_first=in_feet)
    reached = any(fault.key == "ends" for fault in wish.faults_of_yard(in_feet))
    lines = [
        f"It spans {say(made.width_m)}; with {say(yard.rope_m)} of rope at each end there is room for "
        f"{say(yard.room_m)}."
    ]
    if reached:  # what mends the room is looked for with ends out of reach
        lines.append(wish.faults_of_yard(in_feet)[0].words)
    found = [mend for mend in mends(_out_of_reach(wish) if reached else wish, in_feet) if mend]
    if found:
        lines.append(f"What would mend {'both' if reached else 'it'} ({COST}):")
    for mend in found:
        lines += [f"* {mend.words}{_options(mend, wish, in_feet)}", *(f"    {line}" for line in mend.cost)]
    if yard.garden_m is None:
        lines.append("Say --width and --length of the garden, and its diagonal is tried too.")
    return "\n".join(lines)


def _out_of_reach(wish):
    """The same wish, its supports and ends no lower than is out of reach."""
    from dataclasses import replace

    from antlab.antenna.safety import LOWEST_END_M

    heights = tuple(max(height, LOWEST_END_M) for height in wish.yard.heights_m)
    return replace(wish, yard=replace(wish.yard, heights_m=heights))


def _options(mend, wish, in_feet):
    """The options that ask for a mend, in brackets, or nothing where there are none."""
    from antlab.antenna.mending import Coil
    from antlab.units import feet

    def long(length_m):
        return f"{feet(length_m):.6g}ft" if in_feet else f"{length_m:.6g}m"

    new, yard, words = mend.wish, mend.wish.yard, []
    if (new.low, new.high) != (wish.low, wish.high):
        words.append(f"--low {new.low} --high {new.high}")
    if new.trap != wish.trap:
        form = f" --form {mend.made.wound.form_diameter_mm:g}mm"
        if isinstance(new.trap, Coil):
            words.append(f"--coil-pf {new.trap.capacitance_pf:g}{form}")
        else:
            words.append(f"--cable {new.trap}{form}")
            words += ["--hookup series"] * (getattr(wish.trap, "hookup", "series") != "series")
            words += ["without --coil-pf"] * isinstance(wish.trap, Coil)
    if new.power_w != wish.power_w:
        words.append(f"--power {new.power_w:g}")
    if yard.runs_deg != wish.yard.runs_deg:
        words.append(f"--runs {yard.runs_deg:.0f}")
    if yard.span_m != wish.yard.span_m:
        words.append(f"--span {long(yard.span_m)}")
    if yard.heights_m != wish.yard.heights_m or yard.hung != wish.yard.hung:
        one, other = _typed(new, in_feet).heights_m
        level = f"--height {long(one)}" + (f" --other-height {long(other)}" if one != other else "")
        words.append(f"--apex {long(one)} --ends {long(other)}" if yard.hung == "vee" else level)
    return f"  ({' '.join(words)})" if words else ""


def _typed(wish, in_feet):
    """The Yard of a mended Wish with heights as they are typed: rounded up to a tenth, of a metre or a foot.

    So they are spoken of too. Where it does not fit so, they are rounded up to a hundredth.
    """
    from dataclasses import replace

    from antlab.antenna.tape import rounded_up
    from antlab.units import FOOT_M

    unit_m = FOOT_M if in_feet else 1.0
    for step in (0.1, 0.01):
        heights = tuple(rounded_up(height / unit_m, step) * unit_m for height in wish.yard.heights_m)
        yard = replace(wish.yard, heights_m=heights)
        if not {fault.key for fault in replace(wish, yard=yard).faults_of_yard()} & {"ends", "room"}:
            break
    return yard


def _where(yard):
    """What the yard adds to the plan: a paragraph, if there is something to say."""
    from antlab.antenna.yard import compass

    if yard.sends_deg is not None:
        one, other = (compass(deg) for deg in yard.sends_deg)
        yield f"YARD\n  The wire runs to {compass(yard.toward_deg)}, and sends most to {one} and {other}."


def _whose(args):
    """Whose bands and segments the plan is for, and how to ask for others: a paragraph."""
    words = (
        f"Of ITU region {args.region.strip()}, and with modes as the {args.licence} licence of the USA has "
        "them. Elsewhere give --region, and look up what your own licence allows."
    )
    return f"BANDS\n{textwrap.fill(words, 78, initial_indent='  ', subsequent_indent='  ')}"


def _yard(args):
    """The Yard of the options."""
    from antlab.antenna.yard import Yard

    names = ("height", "other_height", "apex", "ends", "span", "width", "length")
    given = {
        name: _metres(name.replace("_", "-"), getattr(args, name))
        for name in names
        if getattr(args, name) is not None
    }
    hung = {name for name in given if name in names[:4]}
    if hung == {"apex", "ends"}:
        yard = {"hung": "vee", "heights_m": (given["apex"], given["ends"])}
    elif hung in ({"height"}, {"height", "other_height"}):
        yard = {"hung": "level", "heights_m": (given["height"], given.get("other_height", given["height"]))}
    else:
        raise Slip(
            "say how it hangs: --height for a level wire between two supports, or --apex and --ends for an "
            "inverted vee over one, such as --apex 8m --ends 4m; ends below 3 m are within reach"
        )
    lacks = {"width", "length"} - set(given)
    if len(lacks) == 1:
        raise Slip(
            f"--{lacks.pop()} of the garden is missing: say both, from fence to fence, such as --width 12m "
            "--length 30m, whichever is longer; the wire runs along the longer side, or as --runs says"
        )
    if "width" in given:
        yard |= {"garden_m": (given["width"], given["length"])}
        yard |= {"garden_deg": _direction("lies", args.lies or "N")}
    if args.runs is not None:
        yard["runs_deg"] = _direction("runs", args.runs)
    return Yard(**yard, span_m=given.get("span"))


def _direction(name, text):
    """Degrees of a compass direction, told in letters or degrees."""
    from antlab.antenna.yard import POINTS

    if text.upper() in POINTS:
        return 22.5 * POINTS.index(text.upper())
    if text[:1].isalpha():
        raise Slip(f"--{name} wants a direction like N, NE or NNE, or degrees, 90 is east; got {text[:20]!r}")
    return float(_number(name, text))


def _wire(text):
    from antlab.physics.wires import wire

    if text[:1].isalpha():
        return wire(text)
    return wire(wire_diameter_mm=_millimetres("wire", text))


def _metres(name, text, *units):
    from antlab.units import parse_length

    try:
        return parse_length(text, units=units or ("ft", "m"))
    except Slip as error:
        raise Slip(f"--{name}: {error}") from None


def _millimetres(name, text):
    length = _metres(name, text, "mm", "in")
    if length >= 1:
        raise Slip(f"--{name}: that is {length:g} m thick; was it to be 40mm or 1.5in?")
    return 1e3 * length


def _number(name, text):
    from antlab.units import quoted

    try:
        value = float(text)
    except ValueError:
        raise Slip(f"--{name} wants a number; got {quoted(text)}") from None
    return int(value) if value.is_integer() else value


def _mhz(text):
    return None if text is None else _number("MHz", text)
