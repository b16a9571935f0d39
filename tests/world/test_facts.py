"""Every fact is a row, and every row has evidence: no number can move without somebody saying why.

Evidence is a published row, typed from its source into published/, or, for what is marked memory, common
practice or computed, a line of remembered.csv, a second copy that is changed by hand when a fact changes.
"""

import csv
import hashlib
import json
import re
import shutil
import subprocess
import sys
from collections import Counter
from functools import cache

import numpy as np
import pytest
from reference import HERE, read_table
from scipy.optimize import nnls

import antlab as al
from antlab import facts
from antlab.antenna import safety
from antlab.classroom.homework.problems import lesson
from antlab.facts import PACKAGE
from antlab.physics.bands import segment, wanted

PATHS = [path.relative_to(PACKAGE) for path in sorted(PACKAGE.rglob("*.csv"))]
TABLES = {path.stem: path.as_posix() for path in PATHS if path.parts[0] != "course"}
VIEWS = {"views", "planner", "coax_trap"}  # lists of live views: moving a row there moves no fact
KEYS = {
    "segments": ("licence", "mode", "band"),
    "wanted": ("band", "mode"),
    "field_limits": ("rules", "tier", "low_mhz", "averaging_minutes"),
    "limits": ("tier", "low_mhz"),
}  # else the first column
SOILS = {"sea": "sea water", "fresh": "fresh water"}  # as the published table calls them
NO_SOILS_OF_OURS = {"salt", "very good", "city"}


def rows_of(path):
    """The rows of a table as dicts of text, read without antlab's own reader."""
    with open(path, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if line.strip() and not line.startswith("#")))


def table(name):
    return rows_of(PACKAGE / TABLES[name])


def keys(name, row):
    """What a row is about: as many keys as it has regions."""
    if name == "bands":
        return [(row["name"], region) for region in row["regions"].split()]
    return [tuple(row[part] for part in KEYS.get(name, [next(iter(row))]))]


def facts_of(name, row):
    """What a row says, column by column, and the mark of each: words are said by their hash."""
    about = {"regions", *KEYS.get(name, [next(iter(row))])}
    flags = [column for column in row if name == "cautions" and column in safety.WORK]
    origin = {f"{part}{end}" for part in ("", "loss_", "volts_") for end in ("source", "mark", "date")}
    for column, text in row.items():
        if column in about | VIEWS | origin | set(flags) or not text:
            continue
        part = next((part for part in ("loss_", "volts_") if part in column and f"{part}mark" in row), "")
        mark = "common practice" if column == "homework" else row[f"{part}mark"]  # our choice
        yield column, hashed(text) if column == "words" else text, mark
    if flags:
        yield "work", " ".join(column for column in flags if row[column]), row["mark"]


def hashed(words):
    return hashlib.sha256(words.encode()).hexdigest()[:12]


def same(ours, theirs):
    try:
        return float(ours) == float(theirs)
    except ValueError:
        return ours == str(theirs)


@cache
def published():
    """What published/ says of our rows: {(table, key, column): value}."""
    said = {}

    def add(name, key, **values):
        said.update({(name, key, column): value for column, value in values.items()})

    def span(text):
        return dict(zip(("low_mhz", "high_mhz"), map(float, text.split("-")), strict=True))

    for row in read_table("band_edges"):
        for region in "123":
            add("bands", (row["band"], region), **span(row[f"region_{region}"]))
    for row in read_table("licence_segments"):
        for column, text in row.items():
            if column != "band" and text:
                add("segments", (*column.split("_"), row["band"]), **span(text))
    for row in read_table("ground_constants"):
        name = SOILS.get(row["soil"], row["soil"])
        if name in NO_SOILS_OF_OURS:
            continue
        add("soils", (name,), permittivity=row["permittivity"], conductivity_s_m=row["conductivity"])
    for row in read_table("power_limits"):
        add("power", (row["band"],), most_w=row["watts"])
    for row in read_table("coax_volts"):
        add("cables", (row["cable"],), max_volts_rms=row["volts_rms"])
    for row in read_table("mode_duty"):
        add("modes", (row["mode"],), duty=row["percent"] / 100)
    for row in read_table("pipe_outsides"):
        add("pipes", (row["nominal"],), outer_mm=row["outer_mm"])
    for row in table("cables"):
        add("cables", (row["name"],), **losses(row))
    for row in rows_of(HERE / "published" / "exposure_densities.csv"):
        times, over, power = formula(row["mw_cm2"])
        add("limits", (row["tier"], row["from_mhz"].removesuffix(".0")), high_mhz=row["to_mhz"], mw_cm2=times,
            divided_by=over, power_of_mhz=power, averaging_minutes=row["minutes"])  # fmt: skip
    for row in rows_of(HERE / "published" / "exposure_field_strengths.csv"):
        (volts, _, v_power), (amps, _, a_power) = formula(row["v_per_m"]), formula(row["a_per_m"])
        key = row["rules"], row["tier"], row["from_mhz"], row["minutes"]
        add("field_limits", key, high_mhz=row["to_mhz"], v_per_m=volts, v_power=v_power, a_per_m=amps,
            a_power=a_power)  # fmt: skip
    for row in rows_of(HERE / "published" / "exposure_exemption.csv"):
        times, over, power = formula(row["watts_erp"].replace("R²", ""))
        assert over == 1
        add("exemptions", (row["from_mhz"],), high_mhz=row["to_mhz"], erp_w_per_m2=times, power_of_mhz=power)
    return said


def formula(text):
    """A limit as a regulation writes it: what to multiply by, what to divide by, and the power of f."""
    text = text.replace(",", "").replace(" ", "")
    number, f, below = re.fullmatch(r"([\d.]*)(f?)(?:/(f²?|\d+))?", text).groups()
    power = 1 if f else {"f²": -2, "f": -1}.get(below, 0)
    return float(number or 1), float(below) if below and below[0] != "f" else 1.0, power


def losses(row):
    """k0, k1 and k2 of a cable, dB per 100 m, from what is published of it.

    From its two constants; else the least squares of relative error through its rows of attenuation, by k1
    alone where there is one row, and with k0 where the table has one. And the worst row in percent.
    """
    known = {one["cable"]: one for one in read_table("coax_constants")}.get(row["name"])
    sheet = [one for one in read_table("coax_attenuation") if one["cable"] == row["name"]]
    f, db = (np.array([one[column] for one in sheet]) for column in ("f_mhz", "db_per_100ft"))
    terms = np.array([np.ones_like(f), np.sqrt(f), f]).T / db[:, None] * 0.3048
    k, digits = np.zeros(3), 3 if len(f) == 1 else 5
    if known:
        k[1:] = np.array([known["k1"], known["k2"]]) * 100 / known["metres"]
    elif sheet:
        used = [1] if len(f) == 1 else [0, 1, 2] if float(row["loss_k0_db"]) else [1, 2]
        k[used] = nnls(terms[:, used], np.ones_like(f))[0]
    else:
        return {}
    said = {f"loss_k{i}_db": round(float(one), digits) for i, one in enumerate(k)}
    if row["loss_within_percent"] and sheet:
        worst, told = 100 * np.max(abs(terms @ [*said.values()] - 1)), float(row["loss_within_percent"])
        said["loss_within_percent"] = told if told in (round(worst), np.ceil(worst)) else np.ceil(worst)
    return said


@cache
def remembered():
    """What remembered.csv says: {(table, key, column): value}."""
    lines = rows_of(HERE / "remembered.csv")
    return {(one["table"], tuple(one["key"].split(" | ")), one["column"]): one["value"] for one in lines}


def complaints(name, rows):
    """What is not borne out in a table: facts without evidence or against it, evidence without its row."""
    said, found = [], []
    for row in rows:
        for key in keys(name, row):
            for column, ours, mark in facts_of(name, row):
                fact = (name, key, column)
                said.append(fact)
                evidence = published().get(fact)
                if evidence is None and mark not in ("seen", "third party"):
                    evidence = remembered().get(fact)
                if evidence is None or not same(ours, evidence):
                    found.append(f"{name}, {' '.join(key)}: {column} {ours}, evidence ({mark}): {evidence}")
    twice = [fact for fact, times in Counter(said).items() if times > 1]
    alone = {fact for fact in (*published(), *remembered()) if fact[0] == name} - set(said)
    return found + [f"twice: {fact}" for fact in twice] + [f"no row for {fact}" for fact in alone]


@pytest.mark.parametrize("name", TABLES)
def test_every_row_has_evidence(name):
    """Who adds a row says where it is from, twice; who changes one changes what it is held to."""
    found = complaints(name, table(name))
    assert not found, "\n".join(found)


def test_what_is_remembered_is_of_a_table():
    """No line is left over from a table that is gone, and none says again what is published."""
    assert {fact[0] for fact in remembered()} <= set(TABLES)
    assert not remembered().keys() & published().keys()


def moved(text):
    """A cell with something else in it: a number 30 % up, or its last digit another; a word with a letter."""
    try:
        number = float(text)
    except ValueError:
        return [f"{text}x"]
    return [repr(number * 1.3 or 1.0), text[:-1] + str((int(text[-1]) + 1) % 10)]


@pytest.mark.parametrize("name", TABLES)
def test_no_cell_moves_unseen(name):
    """Each number moved by 30 % and by a digit, each caution reworded, given and taken: the check sees it."""
    rows, tried = table(name), 0
    for i, row in enumerate(rows):
        for column in row.keys() - VIEWS:
            if column.endswith(("source", "mark", "date")):
                continue
            others = moved(row[column]) if row[column] else []
            if name == "cautions" and column in safety.WORK:
                others = ["" if row[column] else "yes"]
            elif column == "homework" and not others:
                others = ["6"]
            for other in others:
                tried += 1
                changed = row | {column: other}
                assert complaints(name, [*rows[:i], changed, *rows[i + 1 :]]), changed
        assert complaints(name, rows[:i] + rows[i + 1 :]) and complaints(name, [*rows, row]), row
    assert tried >= len(rows)


@pytest.mark.parametrize("mark", ["seen", "third party"])
def test_memory_is_no_source(mark):
    """A row that says it was seen somewhere wants that published row: our own second copy does not do."""
    rows = table("metals")
    assert complaints("metals", [rows[0] | {"mark": mark}])


def test_the_package_says_what_the_rows_say():
    """Names and numbers reach al.band, segment, al.soil, al.cable and safety as they stand in the tables."""
    said = published() | remembered()
    for name, key, column in said:
        value = said[name, key, column]
        if name == "bands":
            assert getattr(al.band(key[0], int(key[1])), column) == value
        elif name == "segments":
            assert getattr(segment(key[2], licence=key[0], mode=key[1]), column) == value
        elif name == "wanted":
            mode = None if key[1] == "any" else key[1]
            assert getattr(wanted(key[0], mode=mode), column) == float(value)
        elif name == "soils":
            assert getattr(al.soil(key[0]), column.removesuffix("_s_m")) == value
        elif name == "cables" and hasattr(al.cable.cable(key[0]), column):
            assert same(getattr(al.cable.cable(key[0]), column), value)
        elif name == "hours":
            assert getattr(al.sky.at(key[0]), column) == float(value)
        elif name == "wires":
            assert same(getattr(al.wires.wire(key[0]), column), value)
        elif name == "modes" and column == "duty":
            assert safety.average_power_w(power_w=1, mode=key[0]) == float(value)
    assert safety.AVERAGING_MINUTES == {"controlled": 6, "uncontrolled": 30}
    assert safety.RULES.split(",")[1].strip().startswith("47 CFR 1.1310 as known in May 2021")
    assert {row["date"] for row in table("limits")} == {"2021-05"}


# --- the reader


GOOD = "# a remark\nname,mw,on,source,mark,date\na,1.5,2,a book,seen,1999\nb,2,,no source,common practice,\n"


def made(folder, text):
    path = folder / "table.csv"
    path.write_text(text, encoding="utf-8")
    return facts.read(path, text="name", numbers="mw", places="on")


def test_rows_are_frozen_and_listed_by_place(tmp_path):
    """What a module takes from its table, nobody changes; a list has the rows that have a place in it."""
    rows = made(tmp_path, GOOD + "c,3,1,a book,computed,2001-05\n")
    assert [(row.name, row.mw, row.on) for row in rows] == [("a", 1.5, 2), ("b", 2.0, None), ("c", 3.0, 1)]
    assert facts.listed(rows, "on") == ("c", "a")
    assert facts.names(tmp_path / "table.csv") == ("a", "b", "c")
    with pytest.raises(AttributeError):
        rows[0].mw = 2


@pytest.mark.parametrize(
    ("right", "wrong", "words"),
    [
        ("mw,on", "watts,on", "table.csv: the columns are name, watts"),
        ("1.5", "1.5 mW", "table.csv, line 3: .*1.5 mW"),
        ("1.5,2", "1.5", "line 3: 5 cells under 6 headings"),
        ("1.5,2", "1.5,0", "line 3: 0 is no place"),
        ("seen", "heard", "line 3: .*third party.*'heard'"),
        ("a book", "", "line 3: a source"),
        ("1999", "May 1999", "line 3: 'May 1999' is no date"),
        ("1999", "", "line 3: '' is no date"),
    ],
)
def test_a_fault_in_a_table_is_ours_and_says_where(tmp_path, right, wrong, words):
    """File and line, and never a Slip: no user can mend a table."""
    with pytest.raises(RuntimeError, match=words):
        made(tmp_path, GOOD.replace(right, wrong, 1))


@pytest.mark.parametrize("name", TABLES)
@pytest.mark.parametrize("column", ["views", "planner", "coax_trap", "homework"])
def test_places_count_from_one(name, column):
    """Two rows in one place, or a place with nobody in it, is a slip of the pen."""
    places = sorted(int(row[column]) for row in table(name) if row.get(column))
    assert places == list(range(1, len(places) + 1))


# --- a new row


SHOWN = """
import contextlib, io, json
import antlab as al
from antlab.antenna import safety
from antlab.classroom import live
from antlab.classroom.homework.problems import lesson
from antlab.cli import main
out = io.StringIO()
with contextlib.suppress(SystemExit), contextlib.redirect_stdout(out):
    main.main(["plan", "--help"])
print(json.dumps({
    "help": " ".join(out.getvalue().split()),
    "cables": [live.planner.choices["trap_cable"], live.coax_trap.choices["cable"]],
    "wires": list(live.planner.choices["wire"]),
    "soils": [view.choices["soil"] for view in (live.planner, live.height, live.soil_and_mirror)],
    "permittivity": [al.soil(name).permittivity for name in ("bog", "rubble")],
    "ohms": [al.cable.cable(name).z0_ohm for name in ("rg777", "RG-888")],
    "dealt": [one.shown for number in ("05", "09") for one in lesson(number, "student 2").givens],
    "watts": float(safety.average_power_w(power_w=100, mode="semaphore")),
    "minded": [*safety.cautions_for("winding")],
}))
"""


def test_a_new_row_appears_everywhere_or_is_kept_out_by_its_column(tmp_path):
    """Invented cables, soils, wires, a mode, a caution in a copy: each a row, no second list, none dealt."""
    skip = shutil.ignore_patterns("course", "__pycache__")
    shutil.copytree(PACKAGE, tmp_path / "antlab", ignore=skip)
    (tmp_path / "notebooks").mkdir()

    def add(which, like, **cells):
        (row,) = [row for row in table(which) if next(iter(row.values())) == like]
        path = tmp_path / "antlab" / TABLES[which]
        with open(path, "a", encoding="utf-8", newline="") as file:
            csv.DictWriter(file, list(row), lineterminator="\n").writerow(row | cells)

    add("cables", "RG-58", name="RG-777", z0_ohm=77, planner=99, coax_trap=99, homework="")
    add("cables", "RG-58", name="RG-888", planner="", coax_trap="", homework="")
    add("soils", "wet", name="bog", permittivity=33, views=99)
    add("soils", "wet", name="rubble", permittivity=4, views="")
    add("wires", "PVC 1.5 mm²", name="clothes line", planner=99)
    add("wires", "PVC 1.5 mm²", name="barbed wire", planner="")
    add("modes", "CW", name="semaphore", duty=0.7, homework="")
    add("cautions", "tools", name="wasps", words="Look up before you reach up.")
    env = {"PYTHONPATH": str(tmp_path), "COLUMNS": "600", "HOME": str(tmp_path), "LANG": "C.UTF-8"}
    run = [sys.executable, "-c", SHOWN]
    out = subprocess.run(run, cwd=tmp_path, env=env, capture_output=True, text=True, check=True).stdout
    said = json.loads(out)
    assert "; RG-777; RG-888" in said["help"] and "; bog; rubble" in said["help"]
    assert "; clothes line; barbed wire" in said["help"]
    assert said["wires"][-1] == "clothes line" and "barbed wire" not in said["wires"]
    for offered in said["cables"]:
        assert offered[-1] == "RG-777" and "RG-888" not in offered
    for offered in said["soils"]:
        assert "bog" in offered and "rubble" not in offered
    assert (said["permittivity"], said["ohms"], said["watts"]) == ([33, 4], [77, 50], pytest.approx(70))
    assert "wasps" in said["minded"]
    ours = [one.shown for number in ("05", "09") for one in lesson(number, "student 2").givens]
    assert said["dealt"] == ours
