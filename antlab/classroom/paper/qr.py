"""An address as a QR code (ISO/IEC 18004), for a page, a print or a terminal: a phone's camera opens it."""

import html
import io

import segno

from antlab.trouble import Slip

QUIET = 4  # modules of white around the code, as the standard asks


def svg(address):
    """Draw a QR code of address as SVG text, to stand in a page or to be a file of its own.

    Black on white whatever the page's colours. It has no size of its own: the page or the paper gives it one.
    Raises Slip if the address is empty or holds more than a code can.
    """
    drawn = io.BytesIO()
    look = {"dark": "black", "light": "white", "border": QUIET, "svgclass": None, "lineclass": None}
    _code(address).save(
        drawn, kind="svg", xmldecl=False, omitsize=True, nl=False, encoding="utf-8", title=address, **look
    )
    said = html.escape(f"QR code: {address}", quote=True)
    named = f'<svg role="img" aria-label="{said}" shape-rendering="crispEdges"'
    return drawn.getvalue().decode("utf-8").replace("<svg", named, 1)


def text(address, *, encoding="utf-8", colours=False):
    """Draw a QR code of address for a terminal, two modules in a letter; the address alone if that can't be.

    encoding: of the terminal; without block letters in it there is no drawing.
    colours: set black and white by escape sequences, so that it is right on a light terminal as on a dark
    one. Without them the letters' own colour is taken for the light one, as it is on a dark terminal; most
    cameras read the other way round too.
    """
    drawn = io.StringIO()
    _code(address).terminal(drawn, compact=True, border=QUIET)
    try:
        drawn.getvalue().encode(encoding)
    except UnicodeEncodeError:
        return address
    if not colours:
        return drawn.getvalue().rstrip("\n")
    return "\n".join(f"\x1b[97;40m{line}\x1b[0m" for line in drawn.getvalue().splitlines())


def _code(address):
    if not address:
        raise Slip("a QR code needs an address, such as http://192.168.1.5:8888/")
    return segno.make(address, micro=False, error="m")  # phones don't read the standard's smaller kind
