"""QR codes: what is drawn, in a page and in a terminal, a reader of the test's own reads as the address."""

import re
import xml.etree.ElementTree as ET

import pytest

from antlab.classroom.paper import qr

# The least code (21 modules), one with an alignment pattern, and a long one.
ADDRESSES = ["http://a.b/", "http://192.168.1.5:8888/", "http://10.42.0.100:65535/height.html"]
QUIET = 4  # modules; ISO/IEC 18004:2015, 6.3.8
# Modules of a mask are turned where this is 0; ISO/IEC 18004:2015, table 10 (row i, column j).
MASKS = [
    lambda i, j: (i + j) % 2, lambda i, j: i % 2, lambda i, j: j % 3, lambda i, j: (i + j) % 3,
    lambda i, j: (i // 2 + j // 3) % 2, lambda i, j: i * j % 2 + i * j % 3,
    lambda i, j: (i * j % 2 + i * j % 3) % 2, lambda i, j: ((i + j) % 2 + i * j % 3) % 2,
]  # fmt: skip


def modules_of_svg(text):
    """Rows of 0 and 1 (dark) from the one path of strokes, within a white square that covers all."""
    root = ET.fromstring(text)
    left, top, size, height = (int(number) for number in root.get("viewBox").split())
    assert (left, top, size) == (0, 0, height)
    white, dark = root.findall("{*}path")
    assert white.get("fill") in ("#fff", "white") and white.get("d") == f"M0 0h{size}v{size}h-{size}z"
    assert dark.get("stroke") in ("#000", "black")
    rows, x, y = [[0] * size for _ in range(size)], 0, 0.0
    for kind, first, second in re.findall(r"([Mmh])(-?[\d.]+)(?: (-?[\d.]+))?", dark.get("d")):
        if kind == "h":
            rows[int(y)][x : x + int(first)] = [1] * int(first)
            x += int(first)
        else:
            x, y = (int(first), float(second)) if kind == "M" else (x + int(first), y + float(second))
    return rows


def modules_of_text(text):
    """Rows of 0 and 1 (dark) of half blocks in a light colour on a dark ground."""
    upper, lower = {"█": 0, "▀": 0, "▄": 1, " ": 1}, {"█": 0, "▄": 0, "▀": 1, " ": 1}
    rows = [[half[letter] for letter in line] for line in text.splitlines() for half in (upper, lower)]
    return rows[: len(rows[0])]


def read(rows):
    """Read a code of one block in bytes; ISO/IEC 18004:2015, 7.4 and 7.7.3, with no error to correct."""
    size = len(rows) - 2 * QUIET
    quiet = rows[:QUIET] + rows[-QUIET:] + [row[:QUIET] + row[-QUIET:] for row in rows]
    assert not any(sum(row) for row in quiet)
    code = [row[QUIET:-QUIET] for row in rows[QUIET:-QUIET]]
    assert code[6][:9] == [1, 1, 1, 1, 1, 1, 1, 0, code[6][8]], "finder pattern"
    told = [code[8][j] for j in (0, 1, 2, 3, 4)]
    mask = MASKS[int("".join(str(bit) for bit in told[2:]), 2) ^ 0b101]

    def is_data(i, j):
        finder = (i < 9 and j < 9) or (i < 9 and j >= size - 8) or (i >= size - 8 and j < 9)
        alignment = size > 21 and abs(i - (size - 7)) <= 2 and abs(j - (size - 7)) <= 2
        return not (finder or alignment or i == 6 or j == 6)

    bits, up = [], True
    for right in [*range(size - 1, 6, -2), 5, 3, 1]:
        for i in range(size - 1, -1, -1) if up else range(size):
            bits += [code[i][j] ^ (mask(i, j) == 0) for j in (right, right - 1) if is_data(i, j)]
        up = not up
    word = "".join(str(int(bit)) for bit in bits)
    assert word[:4] == "0100", "bytes"
    count = int(word[4:12], 2)
    return bytes(int(word[12 + 8 * k : 20 + 8 * k], 2) for k in range(count)).decode()


@pytest.mark.parametrize("address", ADDRESSES)
def test_a_camera_reads_the_address(address):
    """In a page and in a terminal, with the white margin that the standard asks for."""
    drawn, written = qr.svg(address), qr.text(address)
    assert read(modules_of_svg(drawn)) == address
    assert modules_of_text(written) == modules_of_svg(drawn)


def test_svg_stands_in_any_page():
    """No prolog, no size of its own, no class to catch a page's style; spoken as what it is; & and < kept."""
    address = 'http://192.168.1.5:8888/?a=1&b="<'
    drawn = qr.svg(address)
    root = ET.fromstring(drawn)
    assert drawn.startswith("<svg ") and "<?xml" not in drawn and "class=" not in drawn
    assert root.get("role") == "img" and root.get("aria-label") == f"QR code: {address}"
    assert root.find("{*}title").text == address
    assert root.get("width") is None and root.get("height") is None
    assert root.tag == "{http://www.w3.org/2000/svg}svg", "a file of its own too"


def test_terminals():
    """Colours make it right on a light ground; without block letters there is the address, never a muddle."""
    address = ADDRESSES[1]
    plain, coloured = qr.text(address), qr.text(address, colours=True)
    assert [line[8:-4] for line in coloured.splitlines()] == plain.splitlines()
    assert all(line.startswith("\x1b[97;40m") and line.endswith("\x1b[0m") for line in coloured.splitlines())
    assert qr.text(address, encoding="cp437") == plain, "an old Windows console has blocks"
    assert qr.text(address, encoding="cp1252") == qr.text(address, encoding="ascii") == address
    assert max(len(line) for line in plain.splitlines()) < 80 > 2 * len(plain.splitlines())


@pytest.mark.parametrize("address", ["", "x" * 3000])
def test_no_code_for_nothing_or_too_much(address):
    """A ValueError, as everywhere in the house."""
    with pytest.raises(ValueError, match="address|large"):
        qr.svg(address)
