"""units.py: the conversions agree with their definitions, and a slip of unit is met by a sentence."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from antlab import units
from antlab.physics import circuit


def test_constants_belong_together():
    """c, eta0, mu0 and eps0 are four names for two numbers (CODATA 2018: eta0 = 376.730 313 668 ohm)."""
    assert units.ETA0_OHM == pytest.approx(376.730313668, rel=1e-10)
    assert 1 / np.sqrt(units.MU0_H_M * units.EPS0_F_M) == pytest.approx(units.C_M_S, rel=1e-9)


def test_wavelength_of_known_bands():
    """Protects the metre-band names: 10 MHz is 29.979 m."""
    assert units.wavelength_m(10.0) == pytest.approx(29.9792458, rel=1e-12)
    assert units.wavelength_m([7.1, 14.2]).shape == (2,)


def test_feet_are_international():
    """1 ft = 0.3048 m exactly, 1 mile = 5280 ft = 1609.344 m (international agreement of 1959)."""
    assert units.metres(5280) == pytest.approx(1609.344, rel=1e-15)
    assert units.MILE_KM == pytest.approx(5280 * 0.3048 / 1000, rel=1e-15)
    assert units.feet(1609.344) == pytest.approx(5280, rel=1e-15)


@pytest.mark.parametrize(("ratio", "db"), [(2, 3.0103), (10, 10), (0.5, -3.0103), (1.64092, 2.1509)])
def test_decibels(ratio, db):
    """Common logarithm of a power ratio; the last row is the half-wave dipole's gain."""
    assert units.decibels(ratio) == pytest.approx(db, abs=5e-5)
    assert units.power_ratio(db) == pytest.approx(ratio, rel=2e-5)


def test_decibels_of_nothing():
    """A dead direction is minus infinity without a warning; a negative power is refused."""
    assert units.decibels(0.0) == -np.inf
    with pytest.raises(ValueError, match="power_ratio"):
        units.decibels(-1)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("28ft", 8.5344), ("28 ft 6 in", 8.6868), ("8.5m", 8.5), ("8.5", 8.5), (" 850 cm ", 8.5),
        ("28'6\"", 8.6868), ("28 feet 6 inches", 8.6868), ("6in", 0.1524), (".5 M", 0.5), (9, 9.0),
        ("28 ft.", 8.5344), ("1 m 20 cm", 1.2), ("12mm", 0.012),
    ],
)  # fmt: skip
def test_lengths_as_written(text, metres):
    """Every way a person writes a length means that many metres."""
    assert units.parse_length(text) == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "high",
        "8,5 m",
        "-3m",
        "3 yards",
        "6 in 28 ft",
        "28 ft 6",
        "6 in 6 in",
        "m",
        "nan",
        "1e3",
        "8.5.2",
        None,
        -1,
    ],
)
def test_lengths_that_are_none(text):
    """Anything else is refused, never half read."""
    with pytest.raises(ValueError, match="length"):
        units.parse_length(text)


def test_a_unit_that_has_to_be_said():
    """28 may be feet or metres; where it matters it is asked for, and what has its unit is read as ever."""
    assert units.parse_length("28ft 6in", units=("ft", "m")) == pytest.approx(8.6868)
    for number in ("28", " 28 ", "0", ".5"):
        with pytest.raises(ValueError, match=f"^{number.strip()} has no unit: write {number.strip()}ft or "):
            units.parse_length(number, units=("ft", "m"))


@pytest.mark.parametrize(
    "thing", ["x" * 10**6, "\x1b[2J" * 99, [["x" * 999] * 99] * 99, np.zeros((99, 99)), b"x" * 999]
)
def test_what_is_quoted_stays_short(thing):
    """No error fills the screen or steers the terminal with what somebody else wrote."""
    said = units.quoted(thing)
    assert len(said) <= 82 and said.isprintable()
    with pytest.raises(ValueError, match="length") as error:
        units.parse_length(thing)
    assert len(str(error.value)) < 250 and str(error.value).isprintable()


@given(st.floats(0.001, 1e4))
def test_a_length_in_feet_survives_the_trip(length_m):
    """Printing feet and reading them back changes nothing."""
    assert units.parse_length(f"{units.feet(length_m):.12f} ft") == pytest.approx(length_m, abs=1e-9)


@given(st.floats(0, 100))
def test_feet_and_inches_read_back(length_m):
    """Written to a tenth of an inch, and read again by parse_length."""
    assert units.parse_length(units.feet_inches(length_m)) == pytest.approx(length_m, abs=0.00128)


def test_feet_and_inches_as_a_tape_shows_them():
    """No twelve inches in a foot, and none of no feet."""
    assert units.feet_inches(28.5 * 0.3048) == "28 ft 6.0 in"
    assert units.feet_inches(3.0479) == "10 ft 0.0 in"
    assert units.feet_inches(0.2413) == "9.5 in"


def test_feet_and_sixteenths_as_a_tape_shows_them():
    """Protects a wire from being cut too short: up to the next sixteenth; feet only if there are any."""
    said = {
        2.603: "8 ft 6 1/2 in",
        3.048: "10 ft 0 in",
        0.2413: "9 1/2 in",
        0.0127: "1/2 in",
        10.06: "33 ft 1/8 in",
    }
    for length_m, words in said.items():
        assert units.feet_sixteenths(length_m) == words
    for length_m, words in {0.0: "0 in", 0.0001: "1/16 in", 0.122: "4 13/16 in", 0.3048: "12 in"}.items():
        assert units.inches_sixteenths(length_m) == words, "a change, to the nearest, and never none"


@pytest.mark.parametrize(
    ("f_mhz", "sentence"),
    [
        (7_100_000, "7100000 looks like hertz; f_mhz, the frequency in MHz, wants 7.1"),
        (7100, "7100 looks like kilohertz; f_mhz, the frequency in MHz, wants 7.1"),
        (0.0071, "0.0071 looks like gigahertz; f_mhz, the frequency in MHz, wants 7.1"),
        (1e6, "looks like hertz; f_mhz, the frequency in MHz, wants 1$"),
        (1e9, "looks like hertz; f_mhz, the frequency in MHz, wants 1000$"),
        (0.001, "looks like gigahertz; f_mhz, the frequency in MHz, wants 1$"),
        (0.0009, "between 0.1 and 1000 megahertz"),
        (1e12, "between 0.1 and 1000"),
        (0, "positive"), (-7, "positive"), (np.nan, "positive"), (np.inf, "positive"),
        ("7.1 MHz", "positive number of megahertz; got '7.1 MHz'"), (7j, "positive"), (None, "positive"),
        ([7.1, 14200], "14200 looks like kilohertz"),
    ],
)  # fmt: skip
def test_frequency_in_the_wrong_unit(f_mhz, sentence):
    """The message teaches the mend."""
    with pytest.raises(ValueError, match=sentence):
        units.check_frequency(f_mhz)


def test_good_values_pass_unchanged():
    """Shape in is shape out, and 0.1 and 1000 MHz belong."""
    assert units.check_frequency([[0.1, 7.1, 1000]]).shape == (1, 3)
    assert units.check_positive("x", 0, zero_ok=True) == 0
    with pytest.raises(ValueError, match="height_m must be a positive number of metres; got 0"):
        units.check_positive("height_m", 0, unit="metres")


def test_a_list_of_unequal_rows_is_refused_in_words():
    """What is no array at all gets the sentence of its own argument, not one of shapes, nor NumPy's."""
    with pytest.raises(ValueError, match="inductance_uh must be a positive number of microhenries"):
        circuit.resonance_mhz(inductance_uh=[[1], [2, 3]], capacitance_pf=[50, 60])


def test_a_tape_shows_no_negative_length():
    """A length below zero is a slip, and would read as feet and inches all the same."""
    assert units.feet_inches(0) == "0.0 in"
    for wrong in (-0.1, float("nan")):
        with pytest.raises(ValueError, match="length_m must be zero or a positive number of metres"):
            units.feet_inches(wrong)


def test_what_is_shown_is_cut_at_eighty_letters():
    """Eighty letters stay as they are; of more the end is left out, and a mark says so."""
    assert units.shown("x" * 80) == "x" * 80
    assert units.shown("x" * 81) == "x" * 79 + "…"
    assert units.shown("a\nb") == "a\\nb"
    assert units.quoted("9 m") == "'9 m'" and units.quoted(None) == "None"
    assert units.quoted(10**9999) == "a huge int"


def test_one_number_is_one():
    """A list is refused where one number is wanted, however long; what comes back is a plain float."""
    for one in (units.check_one("x", 3), units.check_one("x", np.inf, finite=False)):
        assert type(one) is float
    assert units.check_one("x", 0, zero_ok=True) == 0
    with pytest.raises(units.Slip, match="x is one number; got 2 of them"):
        units.check_one("x", [1, 2])
    with pytest.raises(units.Slip, match="length is one number"):
        units.parse_length([1, 2])
    for wrong in (0, np.inf):
        with pytest.raises(units.Slip, match="x must be a positive number of ohms; got"):
            units.check_one("x", wrong, unit="ohms")


def test_numbers_of_any_sign():
    """Below zero is a number; text, NaN and infinity are none, unless infinity is allowed."""
    assert units.check_number("x", [-1.5, 2]).tolist() == [-1.5, 2]
    assert units.check_number("x", -np.inf, finite=False) == -np.inf
    for wrong in ("5", np.nan, np.inf, 1j, True):
        with pytest.raises(units.Slip, match="x must be a number of metres; got"):
            units.check_number("x", wrong, unit="metres")
    for plain in (units.feet, units.metres, units.power_ratio):
        assert plain(-np.inf) in (-np.inf, 0)
    assert units.check_complex("x", 3).dtype == complex and units.check_complex("x", 2 - 1j) == 2 - 1j
    with pytest.raises(units.Slip, match="of ohms, such as 50-3j; got 'a'"):
        units.check_complex("x", "a", unit="ohms")


def test_a_warning_says_the_range_and_names_the_caller():
    """Its ends belong to the range; the file named is the one that asked: a notebook shows the cell."""
    units.warn_outside("a rule", "f_mhz", np.array([1.0, 450.0]), 1, 450, unit="MHz")
    units.warn_outside("a rule", "q", np.array(5.0), 5)
    for value, ends, words in (
        (np.array([2, 451.0]), (1, 450), "a rule holds from 1 to 450 MHz, and f_mhz is 451"),
        (np.array(0.9), (1, 450), "f_mhz is 0.9: take it as a rough guide"),
        (np.array(4.9), (5,), "holds from 5 up MHz"),
    ):
        with pytest.warns(UserWarning, match=words) as said:
            units.warn_outside("a rule", "f_mhz", value, *ends, unit="MHz")
        assert said[0].filename == __file__
    with pytest.warns(UserWarning, match="holds from 5 up") as said:
        circuit.bandwidth_mhz(f_mhz=7, q=2)
    assert [one.filename for one in said] == [__file__]
