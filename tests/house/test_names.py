"""Whose names stand in the house: no station's call sign, no maker's name, no page that copies another's."""

import hashlib
import json
import re
import subprocess
from pathlib import Path

import pytest

from antlab.classroom.homework.problems import lesson
from antlab.physics.cable import CABLES

ROOT = Path(__file__).parents[2]
TEXT = {".py", ".js", ".j2", ".md", ".csv", ".ipynb", ".toml", ".json", ".s1p"}
# Prefix, digit, suffix: Radio Regulations, article 19 (from memory). After a backslash it is a byte.
CALL_SIGN = re.compile(r"(?<![\\\w])(?:[A-Z]{1,2}|[0-9][A-Z])[0-9][A-Z]{1,4}\b", re.IGNORECASE)
NO_CALL_SIGN = {"s1p", "s2p", "w3m", "ft2font", "x1b"}  # files, a browser, a library, the byte of Escape
ENDS = "org com net biz pro dev info edu gov io cc nl it uk de us eu ca ru ch fr"
HOST = re.compile(rf"\b(?:[a-z0-9-]+\.)+(?:{ENDS.replace(' ', '|')})\b(?!\s*[(=\[])", re.IGNORECASE)
PUBLISHERS = (
    "jupyter.org",
    "www.w3.org",
    "example.org",
)  # of an installer, a protocol, a standard; of nothing
# Makers of cable, meters, radios and programs, as hashes: this file must not name them either.
MAKERS = set(
    """
    0a1aeed883 0dbc47381c 1a9c77bd01 21fa8aef69 2e8492ccb6 369717ae53 976e400797 9bcdae8ebc b13678f3a3
    b7fcea6ec5 c227acf794 c618689477 e214fdf90c eecae8a156
    """.split()
)


def tracked():
    """The tracked files of text."""
    asked = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True)
    paths = (ROOT / name for name in asked.stdout.split("\0") if name)
    return [path for path in paths if path.suffix in TEXT and path.is_file()]


def said(path):
    """What a file says; of a notebook its cells and what they print, without the cells' random names."""
    text = path.read_text(encoding="utf-8")
    if path.suffix != ".ipynb":
        return text
    cells = [[cell["source"], cell.get("outputs", [])] for cell in json.loads(text)["cells"]]
    return json.dumps(cells, ensure_ascii=False)


def call_signs(text):
    return {one for one in CALL_SIGN.findall(text) if one.lower() not in NO_CALL_SIGN}


def hosts(text):
    return {one for one in HOST.findall(text) if not one.lower().endswith(PUBLISHERS)}


def makers(text):
    hashes = {
        word: hashlib.sha256(word.encode()).hexdigest()[:10] for word in re.findall("[a-z]{3,}", text.lower())
    }
    return {word for word, short in hashes.items() if short in MAKERS}


@pytest.mark.skipif(not (ROOT / ".git").exists(), reason="what is tracked is known in a checkout")
@pytest.mark.parametrize("found", [call_signs, hosts, makers])
def test_no_name_that_is_not_ours_to_use(found):
    """Students are called by nicknames, cable by what it is, and sources by the original's title and year."""
    assert {str(path.relative_to(ROOT)): names for path in tracked() if (names := found(said(path)))} == {}


def test_such_names_would_be_found():
    """The rules above see what they are for; the names are put together here, so that none is written."""
    assert call_signs(f"by {'X'}1{'YZ'} and 2{'E'}0{'AB'}") and not call_signs(
        "dipole.s1p E9F06 RG-58 \\x1b 7T2"
    )
    assert hosts(f"as copies.{'com'}/1 has it") and not hosts("each.info[0], index.html, tljh.jupyter.org/x")
    assert MAKERS and all(re.fullmatch("[0-9a-f]{10}", one) for one in MAKERS)


@pytest.mark.parametrize("name", CABLES)
def test_a_cable_is_called_by_its_type_or_by_what_it_is(name):
    """RG-58, or impedance, thickness and kind, which are then the cable's own."""
    if not re.fullmatch(r"RG-\d+X?", name):
        ohms, mm, kind = re.fullmatch(r"(\d+) Ω, (\d+) mm, (low loss|semi-air)", name).groups()
        assert (float(ohms), float(mm)) == (CABLES[name].z0_ohm, round(CABLES[name].outer_mm)) and kind


def test_homework_deals_the_same_cables():
    """The names changed and the places did not: students keep the numbers that they were dealt."""
    given = {one.symbol.name: one for one in lesson("05", "student 2").givens}
    assert [given[name].shown for name in ("S", "A", "VF", "f")] == [2.2, 0.47, 0.85, 21.2]  # as ever
    assert given["A"].meaning == "loss of your 25 m of cable (50 Ω, 10 mm, low loss) when it is matched"
