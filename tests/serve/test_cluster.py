"""A class on many machines: the image of a student's server line by line, and the values for the chart."""

import csv
import importlib.util
import os
import tomllib
from pathlib import Path

import pytest
import yaml
from traitlets.config.loader import PyFileConfigLoader

from antlab.files import ROOT
from antlab.serve import singleuser

pytestmark = pytest.mark.skipif(os.name == "nt", reason="a container's files are a Unix's")
HERE = Path(singleuser.__file__).parent
SPEC = importlib.util.spec_from_file_location("image", ROOT / "tests" / "bench" / "image.py")
SPEC.loader.exec_module(bench := importlib.util.module_from_spec(SPEC))
VALUES = yaml.safe_load((HERE / "cluster" / "values.yaml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def image(tmp_path_factory):
    """What the Containerfile makes, without fetching anything."""
    text = bench.CONTAINERFILE.read_text(encoding="utf-8")
    return bench.Image(tmp_path_factory.mktemp("image"), alone=True).build(text)


def test_each_line_of_the_image(image):
    """Protects the build: what it copies installs, and the command is found and says its word."""
    said = image.start()
    assert said.returncode == 2 and "for a JupyterHub to start" in said.stderr
    site = next(image.root.parent.glob("venv/lib/python*/site-packages"))
    assert list((site / "antlab" / "course").glob("notebooks/07-*.ipynb"))
    accounts = (image.root / "etc" / "passwd").read_text()
    if not image.skipped:  # as root
        assert "jovyan:x:1000:100::/home/jovyan:" in accounts
    assert [words.split()[0] for words in image.skipped] in ([], ["useradd"])


def test_image_and_values_are_of_one_piece(image):
    """Protects the home: user, group, volume and command are the same in image, values and chart."""
    single = VALUES["singleuser"]
    assert image.user == str(single["uid"]) and single["fsGid"] == 100
    assert image.given["HOME"] == image.at == single["storage"]["homeMountPath"]
    assert image.command == [single["cmd"]]
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    base, _, version = image.base.partition(":")
    least = tuple(map(int, project["requires-python"].removeprefix(">=").split(".")))
    assert base == "python" and tuple(map(int, version.partition("-")[0].split("."))) >= least


def keys(values, above=""):
    """Every key of values, dotted, down to what is no mapping; below hub.config is JupyterHub's own."""
    for name, value in values.items():
        key = f"{above}{name}"
        if isinstance(value, dict) and above != "hub.config.":
            yield from keys(value, f"{key}.")
        else:
            yield "hub.config.*" if above == "hub.config." else key


def test_every_key_is_one_of_the_chart():
    """Protects a slip of the pen, which the chart would refuse, and a key that nobody has looked up."""
    with Path(__file__).with_name("chart_keys.csv").open(encoding="utf-8", newline="") as file:
        next(file)
        rows = list(csv.DictReader(file))
    assert {*keys(VALUES)} == {row["key"] for row in rows}
    assert all(row["mark"] == "S" and row["source"].endswith((".yaml", ".md")) for row in rows)


def test_students_start_as_on_one_machine():
    """Protects what hub_students.py settles: idle kernels end, nothing is loaded from a home; nobody in."""
    config = PyFileConfigLoader(str(HERE / "hub_students.py")).load_config().Spawner
    spawner, single = VALUES["hub"]["config"]["Spawner"], VALUES["singleuser"]
    assert spawner["args"] == config.args and [single["cmd"]] == config.cmd
    assert spawner["disable_user_config"] is config.disable_user_config is True
    assert spawner["http_timeout"] == single["startTimeout"] == config.start_timeout
    assert VALUES["hub"]["config"]["Authenticator"] == {"allow_all": False}
    own = PyFileConfigLoader("hub_config.py", path=str(HERE)).load_config()
    assert single["memory"]["limit"] == own.Spawner.mem_limit
    assert f"--timeout={VALUES['cull']['timeout']}" in own.JupyterHub.services[0]["command"]
