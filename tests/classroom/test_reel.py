"""A view as a moving picture: what goes, what stands beside it, how large it is, and what is refused."""

import os
import stat

import numpy as np
import pytest
from PIL import Image

from antlab.classroom import live
from antlab.classroom.paper import reel
from antlab.classroom.paper.reel import write_reel
from antlab.cli import main as cli
from antlab.trouble import Slip, Trouble


def pictures(path):
    """All pictures of a GIF as arrays, and how long each stands, seconds."""
    with Image.open(path) as made:
        found = []
        for at in range(made.n_frames):
            made.seek(at)
            found.append((np.asarray(made.convert("L")), made.info["duration"] / 1000))
        return found


def test_a_slider_goes_from_here_to_there(tmp_path):
    """1280 by 720, the picture changes, it stands at both ends, and the cautions of the work come last."""
    found = pictures(write_reel(live.height, tmp_path / "lobes.gif", seconds=0.8, first=4, last=20))
    assert all(picture.shape == (720, 1280) for picture, _ in found)
    assert len(found) >= 4 and found[-1][1] == reel.CAUTIONS_S
    assert sum(stands for _, stands in found) == pytest.approx(0.8 + reel.CAUTIONS_S)
    for (one, _), (other, _) in zip(found, found[1:], strict=False):
        assert np.count_nonzero(one != other) > 1000
    head = [picture[: int(720 * reel.HEAD), 700:] for picture, _ in found[:-1]]
    assert np.any(head[0] != head[-1])  # the number that moves
    assert (tmp_path / "lobes.gif").stat().st_size < 1e6


def test_a_clock_runs(tmp_path):
    """Where a view moves of itself its sliders stand, and it swings."""
    found = pictures(write_reel(live.ringing, tmp_path / "ring.gif", seconds=0.4, q=25))
    head = [picture[: int(720 * reel.HEAD)] for picture, _ in found[:-1]]
    assert len(found) == 5 and all(np.all(one == head[0]) for one in head)
    assert np.any(found[0][0] != found[2][0])


def test_by_ffmpeg(tmp_path, monkeypatch):
    """Where ffmpeg is found it gets every picture, those that stand as often as they stand."""
    fake = tmp_path / "ffmpeg"
    fake.write_text('#!/bin/sh\nfor last; do :; done\nwc -c > "$last"\n')
    fake.chmod(fake.stat().st_mode | stat.S_IEXEC)
    monkeypatch.setenv("PATH", str(tmp_path), prepend=os.pathsep)
    made = write_reel(live.height, tmp_path / "lobes.mp4", seconds=0.3).read_text()
    assert int(made) == 1280 * 720 * 3 * round((0.3 + reel.CAUTIONS_S) * reel.A_SECOND)


def test_what_is_refused(tmp_path, monkeypatch):
    """Another ending, a slider that is none, a time out of reach, no ffmpeg, a file in the way."""
    for path, how, word in (
        ("a.png", {}, "ends in .gif or .mp4"), ("a.gif", {"seconds": 99}, "seconds go from"),
        ("a.gif", {"drag": "x"}, "has the sliders height_m"), ("a.gif", {"last": 900}, "goes from"),
    ):  # fmt: skip
        with pytest.raises(Slip, match=word):
            write_reel(live.height, tmp_path / path, **how)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(Trouble, match="no ffmpeg here"):
        write_reel(live.height, tmp_path / "a.mp4")
    (tmp_path / "a.gif").write_bytes(b"")
    with pytest.raises(FileExistsError, match="--force"):
        write_reel(live.height, tmp_path / "a.gif")


def test_the_command(tmp_path, monkeypatch, capsys):
    """Sliders and choices by name; what a view has not is answered with what it has."""
    seen = {}

    def write(view, path, **how):
        seen.update(how, view=view.__name__)
        path.write_bytes(b"x")
        return path

    monkeypatch.setattr(reel, "write_reel", write)
    monkeypatch.setattr(cli, "settle", lambda *_, **__: None)
    save = ["--save", str(tmp_path / "a.gif")]
    assert cli.main(["film", "height", *save, "--set", "low=20m", "height_m=7", "--last", "30"]) == 0
    assert (seen["view"], seen["low"], seen["height_m"], seen["last"]) == ("height", "20m", 7.0, 30.0)
    for words, said in (
        (["lobes"], "the views are"), (["height", "--set", "low=41m"], "is one of"),
        (["height", "--set", "height_m=x"], "wants a number"),
        (["height", "--set", "wire=3"], "takes height_m"),
    ):  # fmt: skip
        assert cli.main(["film", *words, *save]) == 2
        assert said in capsys.readouterr().err
