"""antlab plan: what is asked comes out, in three forms, and every slip is one line and exit status 2."""

import json
import re

import pytest

import antlab as al
from antlab.cli import main as cli


@pytest.fixture
def plan(monkeypatch, capsys):
    """Run `antlab plan` with some words; returns its exit status and what it printed and complained."""
    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)

    def run(*words):
        status = cli.main(["plan", *words])
        said = capsys.readouterr()
        return status, said.out, said.err

    return run


def test_text(plan):
    """The plan that al.design makes, to read."""
    status, out, err = plan("--height", "9m")
    assert (status, err) == (0, "")
    text, bands = out.split("\n\nBANDS\n")
    assert text == al.design(shape=al.FlatTop(height_m=9)).plan.text()
    assert "Of ITU region 2, " in bands and "give --region" in bands
    assert "CAUTIONS" in out and "Power lines:" in out


@pytest.mark.parametrize("height", ["8.6868m", "28.5ft", "28 ft 6 in", "28'6\"", "342in"])
def test_lengths_as_people_write_them(plan, height):
    """Feet, inches and metres are one height."""
    status, out, _ = plan("--height", height, "--json")
    assert status == 0
    assert json.loads(out)["top_m"] == pytest.approx(8.6868, abs=1e-9)


def test_every_choice_arrives(plan):
    """Each option beside the design made with the same choice."""
    status, out, err = plan(
        "--low", "80m", "--high", "40m", "--apex", "39ft", "--ends=4.5m", "--soil", "very-dry",
        "--span", "40m", "--low-mhz", "3.6", "--high-mhz", "7.05", "--trap-mhz", "6.9", "--cable", "rg213",
        "--form", "3in", "--hookup", "braid", "--wire", "1.6mm", "--power", "400", "--json",
    )  # fmt: skip
    assert (status, err) == (0, "")
    it = al.design(
        "80m", "40m", shape=al.InvertedVee(apex_m=39 * 0.3048, ends_m=4.5), soil="very dry", span_m=40,
        low_mhz=3.6, high_mhz=7.05, wire_diameter_mm=1.6, power_w=400,
        trap=al.design_coax_trap(f_mhz=6.9, cable="RG-213", form_diameter_mm=76.2, hookup="braid"),
    )  # fmt: skip
    ours, theirs = json.loads(out), it.plan.as_dict()
    assert ours["trap"]["cable"] == "RG-213" and ours["trap"]["hookup"] == "braid"
    for key in ("top_m", "ends_m", "inner_m", "outer_m", "power_w", "wire_diameter_mm", "soil", "span_m"):
        assert ours[key] == pytest.approx(theirs[key]), key


@pytest.mark.parametrize("name", ["PVC 2.5 mm²", "pvc-2.5-mm2", "steel", "copper-clad steel AWG 14"])
def test_wire_by_name(plan, name):
    """A wire of the table or a metal: the plan of al.design for it, shorter where there is a jacket."""
    status, out, err = plan("--height=9m", "--wire", name)
    assert (status, err) == (0, "")
    it = al.design(shape=al.FlatTop(height_m=9), wire=name)
    assert out.startswith(it.plan.text() + "\n") and f"Wire: {it.dipole.wire.called};" in " ".join(
        out.split()
    )
    inner = json.loads(plan("--height=9m", "--wire", name, "--json")[1])["inner_m"]
    bare = json.loads(plan("--height=9m", "--json")[1])["inner_m"]
    assert (inner < 0.99 * bare) == (it.dipole.wire.charge_log > 0 or name == "steel")


def test_feet_first_has_what_shops_have_there(plan):
    """A 1 1/4 in pipe and AWG 14, by their outsides; what is asked stays, and a refusal speaks in feet."""
    words = ("--height=30ft", "--first", "Feet", "--json")
    out = json.loads(plan(*words)[1])
    assert out["trap"]["form_diameter_mm"] == pytest.approx(42.164) and out["wire_diameter_mm"] == 1.628
    out = json.loads(plan(*words, "--form=40mm", "--wire=2mm")[1])
    assert (out["trap"]["form_diameter_mm"], out["wire_diameter_mm"]) == (40, 2)
    refused = plan("--apex=30ft", "--ends=20ft", "--span=50ft", "--first=feet")[2]
    found = re.search(r"--apex ([\d.]+ft) --ends ([\d.]+ft)", refused)
    assert "there is room for 46.7 ft (14.2 m)" in refused and found
    assert plan(f"--apex={found[1]}", f"--ends={found[2]}", "--span=50ft", "--first=feet")[0] == 0


def test_user_choices_set_the_aim(plan):
    """Aim, licence, mode and region choose what the antenna is made for."""
    words = ("--height=9m", "--aim", "segment", "--json")
    out = json.loads(plan(*words, "--mode", "code", "--licence", "extra")[1])
    assert out["low"]["f_mhz"] == pytest.approx(7.0625)
    out = json.loads(plan(*words, "--region", "1")[1])
    assert out["low"]["f_mhz"] == pytest.approx(7.1)
    out = json.loads(plan("--height=9m", "--low-mhz=7.05", "--json")[1])
    assert out["low"]["f_mhz"] == 7.05 and out["high"]["wanted_mhz"] == [14.0, 14.35]


def test_30_m_with_the_default_mode(plan):
    """No phone there, and none was asked for: the plan is for code. Asked for, the sentence says why not."""
    status, out, err = plan("--low=30m", "--high=17m", "--height=9m", "--json")
    assert (status, err) == (0, "") and json.loads(out)["low"]["wanted_mhz"] == [10.1, 10.15]
    status, out, err = plan("--low=30m", "--high=17m", "--height=9m", "--mode=phone")
    assert (status, out) == (2, "") and "no phone on 30m; choose another mode" in err


def test_help_lists_what_there_is(plan, capsys, monkeypatch):
    """Bands, soils, cables, wires and licences as the tables have them, before anything is installed."""
    monkeypatch.setenv("COLUMNS", "400")  # no line ends within a name
    with pytest.raises(SystemExit):
        plan("--help")
    said = " ".join(capsys.readouterr().out.split())
    for names in (al.BANDS, al.SOILS, al.cable.CABLES, al.wires.WIRES):
        assert "; ".join(names) in said
    assert ", ".join(al.bands.LICENCES) in said


def test_json_is_the_plan(plan):
    """The same as Plan.as_dict()."""
    out = plan("--height=9m", "--json")[1]
    assert json.loads(out) == al.design(shape=al.FlatTop(height_m=9)).plan.as_dict()


def test_save(plan, tmp_path):
    """The sheet is written, said on the other stream, and never over a file without --force."""
    path = tmp_path / "my sheet.pdf"
    status, out, err = plan("--height=9m", "--json", "--save", str(path))
    assert status == 0 and path.read_bytes().startswith(b"%PDF")
    assert json.loads(out) and str(path) in err
    path.write_text("mine")
    status, out, err = plan("--height=9m", "--save", str(path))
    assert (status, out) == (2, "") and "exists already" in err
    assert path.read_text() == "mine"
    assert plan("--height=9m", "--save", str(path), "--force")[0] == 0
    assert path.read_bytes().startswith(b"%PDF")


def test_a_low_wire_is_a_note_not_a_warning(plan):
    """Under a metre the engine is not checked: the plan says it, and nothing else is printed."""
    status, out, err = plan("--low=20m", "--high=10m", "--height", "0.8m")
    assert (status, err) == (0, "")
    assert "checked from 1 m" in " ".join(out.split())


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        ([], "--height for a level wire between two supports, or --apex and --ends"),
        (["--height=9m", "--apex=10m"], "--height for a level wire"),
        (["--apex=10m"], "--apex and --ends"),
        (["--height=nine"], "--height: 'nine' is no length"),
        (["--height="], "--height: '' is no length"),
        (["--height=-3m"], "--height: '-3m' is no length"),
        (["--height=9"], "--height: 9 has no unit: write 9ft or 9m"),
        (["--height", "28.5 "], "--height: 28.5 has no unit: write 28.5ft or 28.5m"),
        (["--height=0"], "--height: 0 has no unit"),
        (["--height=0m"], "heights_m"),
        (["--height=28ft 6"], "--height: '28ft 6' is no length"),
        (["--height=1" + 400 * "0" + "m"], "is no length"),
        (["--height=\x1b[2Jm"], "--height: '\\x1b[2Jm' is no length"),
        (["--height=" + 200 * "9"], "9… has no unit"),
        (["--apex=39", "--ends=4.5m"], "--apex: 39 has no unit"),
        (["--apex=39ft", "--ends=15"], "--ends: 15 has no unit"),
        (["--height=9m", "--span=70"], "--span: 70 has no unit: write 70ft or 70m"),
        (["--height=nan"], "--height: 'nan' is no length"),
        (["--apex=5m", "--ends=9m"], "hangs from its middle"),
        (["--height=9m", "--low=60m"], "'60m' is no band"),
        (["--height=9m", "--low=20m", "--high=40m"], "Swap"),
        (["--height=9m", "--soil=swamp"], "'swamp' is no soil"),
        (["--height=9m", "--mode=loud"], "mode"),
        (["--height=9m", "--aim=middle"], 'aim is "widest" or "segment"'),
        (["--height=9m", "--licence=novice"], "licence"),
        (["--height=9m", "--region=5"], "region"),
        (["--height=9m", "--region=x"], "--region wants a number"),
        (["--height=9m", "--low-mhz=7100"], "kilohertz"),
        (["--height=9m", "--low-mhz=nan"], "f_mhz"),
        (["--height=9m", "--high-mhz=ten"], "wants a number"),
        (["--height=9m", "--trap-mhz=7"], "tuned to 7.00 MHz"),
        (["--height=9m", "--cable=string"], "no cable called 'string'"),
        (["--height=9m", "--form=19mm"], "too tightly"),
        (["--height=9m", "--form=40"], "--form: 40 has no unit: write 40mm or 40in"),
        (["--height=9m", "--form=40m"], "40 m thick"),
        (["--height=9m", "--hookup=odd"], "hookup"),
        (["--height=9m", "--wire=2"], "--wire: 2 has no unit: write 2mm or 2in"),
        (["--height=9m", "--wire=0mm"], "wire_diameter_mm"),
        (["--height=9m", "--wire=string"], "'string' is no wire"),
        (["--height=9m", "--power=-5"], "power_w"),
        (["--height=9m", "--power=inf"], "power_w"),
        (["--height=9m", "--sends=smoke"], "no mode called 'smoke'"),
        (["--height=9m", "--save=plan.doc"], "ends in none of"),
        (["--height=9m", "--save=nowhere/plan.pdf"], "no folder"),
    ],
)
def test_slips_are_one_line(plan, words, complaint):
    """What the user can mend: a sentence, exit status 2, nothing printed, no traceback."""
    status, out, err = plan(*words)
    assert (status, out) == (2, "")
    assert err.startswith("antlab: ") and err.count("\n") == 1
    assert complaint in err and "a number alone is metres" not in err and len(err) < 400


def test_unwritable_folder(plan, tmp_path, monkeypatch):
    """A full disk or a closed folder is a sentence too."""
    from antlab.classroom.paper import sheet as report

    def fail(plan, path, **how):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(report, "write_sheet", fail)
    status, out, err = plan("--height=9m", "--save", str(tmp_path / "sheet.pdf"))
    assert (status, out) == (2, "") and "No space left on device" in err


def test_unknown_options_are_refused(plan):
    """Typing errors are not swallowed."""
    with pytest.raises(SystemExit) as stop:
        plan("--hight=9m")
    assert stop.value.code == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("--apex 6m --ends 3m --width 15m --length 20m --runs E", "room for 14.0 m (45.9 ft)"),
        ("--apex 6m --ends 2.5m --width 15m --length 20m --runs E", "hangs 2.5 m (8.2 ft) up, within reach"),
        ("--height 8m --span 15m", "room for 14.0 m"),
    ],
)
def test_what_does_not_fit_is_told_with_its_mends(plan, words, said):
    """Exit status 2, what is wrong, and up to three ways out; whoever types one's options gets an antenna."""
    status, out, err = plan(*words.split())
    assert (status, out) == (2, "") and said in err and "dBi" in err and 1 <= err.count("\n* ") <= 3
    given = dict(re.findall("--([a-z]+) (\\S+)", words))
    given |= dict(re.findall("--([a-z]+) ([^ )]+)", err.split("\n* ")[1]))
    if "apex" in given:
        given.pop("height", None)
    assert given.get("runs", "37") == "37", "the diagonal comes first"
    status, out, err = plan(*(one for name, value in given.items() for one in (f"--{name}", value)))
    assert (status, err) == (0, "") and "a side for rope" in " ".join(out.split())
    assert ("The wire runs to NE, and sends most to SE and NW." in out) == ("runs" in given)


def test_a_mend_in_feet_can_be_typed(plan):
    """9.8 ft are less than 3 m: a least height is rounded up, and what is offered is what is then taken."""
    yard = {"apex": "20ft", "ends": "8ft", "width": "50ft", "length": "50ft", "first": "feet"}
    _, _, err = plan(*(f"--{name}={value}" for name, value in yard.items()))
    assert "it wants 9.9 ft (3.0 m) or more" in err and "9.8 ft" not in err
    offered = [dict(re.findall("--([a-z]+) ([^ )]+)", one)) for one in err.split("\n* ")[1:]]
    assert offered[0] == {"runs": "45", "apex": "20ft", "ends": "9.9ft"}
    assert "pole, 25.3 ft (7.7 m), ends 9.9 ft (3.0 m) up  (--apex 25.3ft --ends 9.9ft)" in err
    for given in offered:
        status, out, err = plan(*(f"--{name}={value}" for name, value in (yard | given).items()))
        assert (status, err) == (0, "") and "within reach" not in out and "ends 9 ft 11 in (3.02 m) up" in out


def test_traps_of_a_coil(plan):
    """What a mend offers can be asked for: wire on a form, and so many picofarads across it."""
    words = "--height 7.5m --span 18m --power 1500 --form 150mm --cable RG-213".split()
    err = plan(*words)[2]
    found = re.search(r"with (\d+) pF across it  \(--coil-pf (\d+) --form 48.3mm\)", err)
    assert found and found[1] == found[2]
    status, out, err = plan("--height=7.5m", "--span=18m", f"--coil-pf={found[1]}", "--form=48.3mm", "--json")
    trap = json.loads(out)["trap"]
    assert status == 0 and (trap["across_pf"], trap["form_diameter_mm"]) == (int(found[1]), 48.3)
    err = plan("--height=9m", "--span=18.5m", "--coil-pf=100", "--form=40mm")[2]
    assert "(--cable RG-213 --form 88.9mm without --coil-pf)" in err
    assert "--coil-pf" in plan("--height=9m", "--coil-pf=much")[2]


def test_supports_of_two_heights(plan):
    """Planned at their mean, and what that costs is said."""
    status, out, _ = plan("--height", "12m", "--other-height", "15m", "--span", "30m")
    assert status == 0 and "Level, 13.50 m" in out and "Counted as level, 13.5 m" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--height", "9m", "--width", "15m"), "--length of the garden is missing"),
        (("--height", "9m", "--length", "15m"), "--width of the garden is missing: say both"),
        (("--height", "9m", "--runs", "up"), "like N, NE or NNE"),
        (("--height", "9m", "--runs", "400"), "compass direction"),
        (("--other-height", "9m"), "say how it hangs"),
    ],
)
def test_slips_of_the_garden(plan, words, said):
    """One sentence each."""
    status, out, err = plan(*words)
    assert (status, out) == (2, "") and said in err
