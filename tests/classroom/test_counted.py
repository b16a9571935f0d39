"""What a room answered, as a file, and beside the homework in the class's table."""

import json

import pytest

from antlab.__main__ import main
from antlab.classroom.guess.counted import Asked, read_asked, read_hands, right_letter, write_asked
from antlab.classroom.homework.classbook import write_class
from antlab.trouble import Slip

ASKED = [
    Asked("03", "2026-11-27 19:30", ({"A": 3, "B": 10, "C": 9, "D": 8}, {"A": 1, "D": 29})),
    Asked("00", "2026-11-20 19:05", ({"C": 3, "D": 1},)),
]


def test_a_file_comes_back(tmp_path):
    """What is written is read; folders of several evenings come by lesson and time."""
    assert read_asked(write_asked(tmp_path / "hands-1.json", ASKED)) == ASKED
    write_asked(tmp_path / "sub" / "hands-2.json", [Asked("03", "2026-11-20 19:30")])
    asked, notes = read_hands(tmp_path)
    assert [one.at[8:10] for one in asked] == ["20", "20", "27"] and notes == []


@pytest.fixture
def command(monkeypatch):
    """The command line, which stays in this process."""
    monkeypatch.setattr("antlab.cli.main.settle", lambda extra, argv: None)
    return main


@pytest.mark.parametrize(
    "spoil",
    [
        {"lesson": "../x"}, {"lesson": 3}, {"at": "<script>"}, {"at": None}, {"rounds": None},
        {"rounds": [{}, {}, {}]}, {"rounds": [["A"]]}, {"rounds": [{"A": -1}]}, {"rounds": [{"A": 1e9}]},
        {"rounds": [{"A": True}]}, {"rounds": [{"A": 301}]}, {"rounds": [{"<b>": 1}]},
    ],
)  # fmt: skip
def test_a_file_that_makes_no_sense(tmp_path, spoil):
    """Protects the table: whatever lies in the folder is told by its name, and nothing of it is shown."""
    good = json.loads(write_asked(tmp_path / "hands-1.json", ASKED[:1]).read_text())
    good["asked"][0] |= spoil
    (tmp_path / "hands-2.json").write_text(json.dumps(good))
    with pytest.raises(Slip, match="a question that makes no sense"):
        read_asked(tmp_path / "hands-2.json")
    book = write_class(tmp_path, tmp_path)
    assert [name for name, _ in book.notes] == ["hands-2.json"] and len(book.asked) == 1


@pytest.mark.parametrize("text", ["", "[" * 100_000, "[]", '{"antlab": "hands"}', '{"antlab": "homework"}'])
def test_a_file_of_another_kind(tmp_path, text):
    """A sentence, whatever it is."""
    (tmp_path / "hands-1.json").write_text(text)
    ((name, why),) = read_hands(tmp_path)[1]
    assert name == "hands-1.json" and why.startswith(
        ("is damaged", "is of another", "was written by another")
    )


def test_beside_the_homework(command, tmp_path, capsys):
    """`antlab class` shows what the room believed, before and after, with the right letter and its share."""
    write_asked(tmp_path / "hands-1.json", ASKED)
    right = {"right": True, "tries": 1, "hint": "", "mark": ""}
    (tmp_path / "homework-ana.json").write_text(json.dumps({
        "antlab": "homework", "format": 2, "numbers": 1, "student": "Ana",
        "problems": {"01.capacitor-formula": right},
    }))  # fmt: skip
    assert command(["class", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    assert "\nAna      +....\n" in said and "worth a look" not in said
    assert "  03  before: A 3  B 10  C 9  D 8 (27% right); after: A 1  D 29 (97% right)\n" in said
    page = (tmp_path / "class.html").read_text()
    assert f"<b>{right_letter('03')}✓ 29</b> (97% right)" in page and "<b>C✓ 3</b>, D 1 (75% right)" in page


def test_a_room_without_homework(command, tmp_path, capsys):
    """A class that has handed in nothing yet has its show of hands all the same."""
    write_asked(tmp_path / "hands-1.json", [*ASKED, Asked("77", "2026-11-27 19:30", ({"A": 1}, {}))])
    assert command(["class", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    assert said.startswith("What the room believed:\n") and "77  before: A 1; after: nobody\n" in said
    assert right_letter("77") is None and "A 1</td>" in (tmp_path / "class.html").read_text()
