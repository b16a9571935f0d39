"""The command `antlab trim`: a sweep goes into an antenna's file, the next change comes out, in words."""

import re

from antlab.cli.sheet import first_argument, first_asked
from antlab.trouble import Slip, Trouble, expanded, print_safely, unwarned

_CHANGED = {"inner": "inner_m", "outer": "outer_m"}
_LONGEST = 200_000  # bytes of a log from the lawn
_ALONE = {"alone": ("f_mhz", "mhz"), "lower": ("lower_mhz", "mhz"), "added": ("added_pf", "pf")}


def trim_arguments(parser):
    """Name what `trim` takes."""
    parser.add_argument("antenna", metavar="NAME.json", help="the antenna's file, from `antlab plan --save`")
    parser.add_argument(
        "sweeps", metavar="SWEEP", nargs="*",
        help="of both bands, or one of each: .s1p, .s2p, or a table (.csv, .txt) of frequency and SWR, or of "
        "frequency, R and X",
    )  # fmt: skip
    parser.add_argument(
        "--made", metavar="WIRE=LENGTH", nargs="+", default=[],
        help="what you really changed, in each leg, minus to shorten: inner=-12cm outer=0",
    )  # fmt: skip
    parser.add_argument(
        "--trap", metavar="WHAT=VALUE", nargs="+", action="append", default=[],
        help="a trap measured alone, and with a known capacitor across it: alone=14.2MHz lower=10.3MHz "
        "added=20pF; again for the other leg's",
    )  # fmt: skip
    parser.add_argument(
        "--low-mhz", metavar="MHZ", help="where a meter shows the lowest SWR on the lower band"
    )
    parser.add_argument("--high-mhz", metavar="MHZ", help="and on the upper band")
    parser.add_argument(
        "--from-phone", metavar="FILE", help="the log that the phone's page gave to bring home, as text"
    )
    first_argument(parser, of="in what is said: ")
    parser.add_argument("--undo", action="store_true", help="the last line of the log was a slip")


def run_trim(args, rest):
    """Write down what was done and measured, and say what to do next."""
    from antlab.antenna.antenna_file import read_antenna
    from antlab.antenna.trim import trap_alone, trim

    path = expanded(args.antenna)
    # what stands behind --made or --trap without a value is a sweep
    groups = [args.made, *args.trap]
    sweeps = [*args.sweeps, *(word for group in groups for word in group if "=" not in word)]
    try:
        given = _changes([word for word in args.made if "=" in word])
        given |= {"low_mhz": _mhz("low-mhz", args.low_mhz), "high_mhz": _mhz("high-mhz", args.high_mhz)}
        alone = [_alone([word for word in group if "=" in word]) for group in args.trap]
        given |= {"first": first_asked(args), "undo": args.undo}
        given["from_phone"] = None if args.from_phone is None else _text(args.from_phone)
        with unwarned():
            traps = [trap_alone(read_antenna(path), **one) for one in alone]
            page = trim(path, *map(expanded, sweeps), traps=traps, command=True, **given)
        print_safely(page)
    except Slip as error:
        raise Trouble(" ".join(str(error).split())) from None
    return 0


def _text(name):
    from antlab import files

    try:
        return files.read(expanded(name), most=_LONGEST, follow=True).decode("utf-8-sig", errors="replace")
    except (OSError, ValueError) as error:
        raise Slip(f"{name} can't be read ({getattr(error, 'strerror', error)})") from None


def _named(option, words, names):
    """The values of words like inner=-12cm, by name."""
    found = {}
    for word in words:
        name, _, value = word.partition("=")
        if name.lower() not in names or name.lower() in found:
            raise Slip(
                f"--{option} wants {', '.join(f'{one}=…' for one in names)}, each once; got {word[:40]}"
            )
        found[name.lower()] = value.strip()
    return found


def _changes(words):
    from antlab.units import parse_length

    changed = {}
    for name, text in _named("made", words, _CHANGED).items():
        sign = -1.0 if text[:1] in "-−–" and text else 1.0
        bare = text.lstrip("+-−–")
        try:
            length = 0.0 if re.fullmatch(r"0(\.0*)?", bare) else parse_length(bare, units=("cm", "in"))
        except Slip as error:
            raise Slip(f"--made {name}: {error}") from None
        changed[_CHANGED[name]] = sign * length
    return changed


def _alone(words):
    found = {}
    for name, text in _named("trap", words, _ALONE).items():
        key, unit = _ALONE[name]
        number = re.fullmatch(r"(\d+(?:\.\d*)?)\s*([a-z]*)", text.lower())
        if not number or number[2] not in ("", unit):
            raise Slip(f"--trap {name} wants a number of {'MHz' if unit == 'mhz' else 'pF'}; got {text[:40]}")
        found[key] = float(number[1])
    if "f_mhz" not in found:
        raise Slip("--trap wants the resonance of the trap alone: alone=14.2MHz")
    return found


def _mhz(option, text):
    if text is None:
        return None
    try:
        return float(text.lower().removesuffix("mhz").strip())
    except ValueError:
        raise Slip(f"--{option} wants a number of MHz, like 7.05; got {text[:40]}") from None
