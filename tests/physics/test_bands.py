"""Band edges, licence segments and soils: the tables, and the sentences for what is not in them."""

import numpy as np
import pytest
from reference import read_table

import antlab as al
from antlab.physics.bands import allowed, segment, wanted


@pytest.mark.parametrize("name", al.BANDS)
@pytest.mark.parametrize("region", [1, 2, 3])
def test_bands_rise_and_lie_in_hf(name, region):
    """No edges swapped, no kilohertz among the megahertz."""
    one = al.band(name, region)
    assert 3 < one.low_mhz < one.middle_mhz < one.high_mhz < 30
    assert one.frequencies(5)[[0, -1]].tolist() == [one.low_mhz, one.high_mhz]


def test_a_band_is_written_in_words():
    """ "40 metres" is a band; "40 m" is a length."""
    assert (al.band("40m").label, al.band("10m", 1).label) == ("40 metres", "10 metres")


def test_80_m_differs_by_region():
    """IARU region 1 HF band plan, 16 October 2020, and 47 CFR 97.301 for region 2."""
    assert [al.band("80m", r).high_mhz for r in (1, 2)] == [3.8, 4.0]


def test_segments_lie_in_their_band():
    """A licence allows part of the band, never more."""
    for licence in ("extra", "general", "technician"):
        for mode in ("code", "phone"):
            for name in al.BANDS:
                try:
                    part = segment(name, mode=mode, licence=licence)
                except ValueError as error:
                    assert "choose" in str(error)
                    continue
                whole = al.band(name)
                assert whole.low_mhz <= part.low_mhz < part.high_mhz <= whole.high_mhz


def test_there_is_no_phone_on_30_m():
    """47 CFR 97.305(c): 30 m is for code and data, so that who asks for phone is told."""
    with pytest.raises(ValueError, match="no phone on 30m; choose another mode"):
        segment("30m", mode="phone")


@pytest.mark.parametrize(
    ("name", "licence", "mode"),
    [("30m", "general", "code"), ("40m", "general", "phone"), ("40m", "technician", "code"),
     ("10m", "technician", "phone")],
)  # fmt: skip
def test_who_names_no_mode_gets_what_the_band_allows(name, licence, mode):
    """Phone where the licence has phone, else code: no band ends the way for want of a mode."""
    assert segment(name, licence=licence) == segment(name, licence=licence, mode=mode)


def test_a_band_with_nothing_at_all():
    """Another mode would not help there, and is not what the sentence says."""
    with pytest.raises(ValueError, match="no phone or code on 20m; choose another band, or give"):
        segment("20m", licence="technician")


def test_outside_region_2_the_whole_band_is_given():
    """Licence classes of the USA mean nothing elsewhere."""
    assert segment("40m", region=1) == al.band("40m", 1)


@pytest.mark.parametrize(
    ("arguments", "edges"),
    [
        ({"name": "40m"}, (7.0, 7.3)),  # a general licence has more than half of it
        ({"name": "40m", "mode": "phone"}, (7.175, 7.3)),
        ({"name": "40m", "licence": "technician"}, (7.025, 7.125)),
        ({"name": "80m", "region": 1}, (3.5, 3.8)),
        ({"name": "10m"}, (28.0, 29.0)),
        ({"name": "10m", "mode": "code"}, (28.0, 28.3)),
        ({"name": "10m", "mode": "phone"}, (28.3, 28.7)),
        ({"name": "10m", "mode": "phone", "region": 1}, (28.3, 28.7)),
        ({"name": "10m", "licence": "technician"}, (28.0, 28.5)),  # both of its segments
    ],
)
def test_what_an_antenna_is_to_serve(arguments, edges):
    """The mode's segment; else the whole band, or what a small licence has; of 10 m what is used most."""
    part = wanted(**arguments)
    assert (part.name, part.low_mhz, part.high_mhz) == (arguments["name"], *edges)


def test_nothing_is_wanted_where_nothing_is_allowed():
    """As for the segment: who may not be there is told."""
    assert list(allowed("40m")) == ["code", "phone"] and list(allowed("30m")) == ["code"]
    assert allowed("20m", licence="technician") == {}
    for name, licence, mode in (("20m", "technician", None), ("30m", "extra", "phone")):
        with pytest.raises(ValueError, match=f"no (phone or code|phone) on {name}; choose another"):
            wanted(name, licence=licence, mode=mode)


@pytest.mark.parametrize(
    "call, words",
    [
        (lambda: al.band("11m"), "choose one of"),
        (lambda: al.band("40m", region=4), "ITU region"),
        (lambda: segment("40m", mode="fax"), "phone"),
        (lambda: segment("40m", licence="novice"), "licence is one of"),
        (lambda: al.soil("mud"), "choose one of"),
        (lambda: al.Soil(permittivity=0.5, conductivity=0.01), "at least 1"),
        (lambda: al.Soil(permittivity=13, conductivity=-1), "conductivity"),
        (lambda: al.Soil(permittivity=13, conductivity=float("nan")), "conductivity"),
        (lambda: al.Soil(permittivity=13, conductivity=30), "siemens per metre"),
    ],
)
def test_what_is_not_there_is_said_kindly(call, words):
    """The error teaches the mend."""
    with pytest.raises(ValueError, match=words):
        call()


def test_complex_permittivity_against_published_table():
    """Average ground at four frequencies: eps_c of the Fresnel table, (C) from Maxwell's equations."""
    soil = al.Soil(permittivity=13, conductivity=0.005)
    f = np.array([3.75, 7.1, 14.15, 28.4])
    published = [13 - 23.967j, 13 - 12.659j, 13 - 6.352j, 13 - 3.165j]
    assert soil.complex_permittivity(f) == pytest.approx(published, abs=6e-4)


@pytest.mark.parametrize(
    "name, row",
    [("sea water", "sea"), ("fresh water", "fresh"), ("wet", "wet"), ("average", "average")]
    + [("medium dry", "medium dry"), ("very dry", "very dry")],
)
def test_soils_are_those_published(name, row):
    """ITU-R P.527-3 (value from memory) and the table of 1939 as reprinted (S2): ground_constants.csv."""
    published = next(one for one in read_table("ground_constants") if one["soil"] == row)
    soil = al.soil(name)
    assert (soil.permittivity, soil.conductivity) == (published["permittivity"], published["conductivity"])


def test_who_names_neither_licence_nor_region():
    """General class in region 2; a band is looked at in 61 places, with edges and middle."""
    assert segment("20m", mode="phone") == segment("20m", mode="phone", licence="general", region=2)
    assert al.band("40m") == al.band("40m", 2) != al.band("40m", 1)
    places = al.band("20m").frequencies()
    assert places.size == 61 and places[30] == pytest.approx(al.band("20m").middle_mhz)
    assert al.band(" 20 M ") == al.band("20m") == al.band(al.band("20m"))
    assert al.soil("Average") is al.SOILS["average"] and al.soil(al.FREE_SPACE) is al.FREE_SPACE


def test_the_two_limits_of_soil():
    """A mirror conducts without end, free space not at all; a lossless soil or a dry conductor is neither."""
    assert al.PERFECT_GROUND.is_mirror and not al.PERFECT_GROUND.is_empty
    assert al.FREE_SPACE.is_empty and not al.FREE_SPACE.is_mirror
    for soil in (al.Soil(permittivity=4, conductivity=0), al.Soil(permittivity=1, conductivity=0.01)):
        assert not soil.is_empty and not soil.is_mirror
