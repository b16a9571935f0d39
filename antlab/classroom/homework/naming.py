"""What homework goes by: its lessons, the version of its numbers, a student's name. Formulas are elsewhere.

A lesson's guess is kept by these alone, so that its first cell does not wait for SymPy.
"""

import unicodedata

from antlab.units import Slip

NUMBERS_VERSION = 1  # raise it to deal new numbers to everybody
EXAMPLE = "example"
LONGEST_NAME = 40
LESSONS = {
    "01": "tuned_circuit", "02": "half_wave_wire", "03": "trap", "04": "coax_trap", "05": "feed_line",
    "06": "mirror_in_the_ground", "07": "height_and_takeoff", "08": "where_it_lands", "09": "your_antenna",
    "10": "build_and_trim",
}  # fmt: skip


def clean_name(student):
    """A call sign or nickname as it is shown. Raises Slip, with the mend, for what is none."""
    if type(student) is not str:
        raise Slip('student is your call sign or a nickname between quotation marks, like "juniper"')
    name = " ".join(unicodedata.normalize("NFKC", student[: 8 * LONGEST_NAME]).split())
    name = "".join(letter for letter in name if letter.isprintable()) or EXAMPLE
    if len(name) > LONGEST_NAME:
        raise Slip(f"student is a call sign or a nickname, {LONGEST_NAME} letters at most")
    return name
