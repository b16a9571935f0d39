"""named_file.py: what cannot be read or written is one sentence with the system's reason."""

from pathlib import Path

import pytest

from antlab.antenna.named_file import place, read_named, write_named
from antlab.units import Slip

LONG = "a" * 300 + ".json"  # longer than any system lets a name be


def test_what_is_written_is_read(tmp_path):
    """Each byte, no more than may be read, and another content only where it was asked for."""
    path = tmp_path / "lawn.json"
    assert write_named(path, b"7.1 MHz", force=False, over="lose it") == path
    assert read_named(path, most=7) == b"7.1 MHz"
    with pytest.raises(Slip, match=r"cannot read .*lawn\.json: it has more than 6 bytes"):
        read_named(path, most=6)
    with pytest.raises(
        Slip,
        match=r"lawn\.json exists; choose another name, or to lose it say force=True, or --force",
    ):
        write_named(path, b"nothing", force=False, over="lose it")
    assert path.read_bytes() == b"7.1 MHz", "what was measured is still there"
    write_named(path, b"7.2 MHz", force=True, over="lose it")
    assert path.read_bytes() == b"7.2 MHz"


@pytest.mark.parametrize("force", [False, True])
@pytest.mark.parametrize(
    ("name", "why"),
    [(LONG, "too long"), ("a\0b.json", "that is no name of a file"), ("no/lawn.json", "there is no such fo")],
)
def test_what_cannot_be_written(tmp_path, name, why, force):
    """A name too long, one with a null in it, a folder that is missing: a sentence, and no file is left."""
    with pytest.raises(Slip, match=f"cannot write .*: .*{why}"):
        write_named(tmp_path / name, b"7.1 MHz", force=force, over="lose it")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("name", "why"), [(LONG, "too long"), ("a\0b.json", "no name of a file"), ("lawn.json", "No such file")]
)
def test_what_cannot_be_read(tmp_path, name, why):
    """The same for reading; one that is missing is named."""
    with pytest.raises(Slip, match=f"cannot read .*: .*{why}"):
        read_named(tmp_path / name, most=100)


def test_a_sentence_names_a_path_that_it_can_hold():
    """A short path whole; of a long one, which would be cut, the file's own name."""
    assert place(Path("garden/lawn.json")) == str(Path("garden/lawn.json"))
    assert place(Path("x" * 60, "y" * 60, "lawn.json")) == "lawn.json"


def test_a_link_leads_to_a_file(tmp_path):
    """Who keeps the file elsewhere, and a link to it here, reads it."""
    (tmp_path / "kept.json").write_bytes(b"7.1 MHz")
    try:
        (tmp_path / "lawn.json").symlink_to("kept.json")
    except OSError:
        pytest.skip("this system makes no links for everybody")
    assert read_named(tmp_path / "lawn.json", most=100) == b"7.1 MHz"
