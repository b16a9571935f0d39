"""Files of the repository, as tests read them."""

import shutil
from tempfile import TemporaryDirectory

import antlab as al


def from_copy(path):
    """The antenna in a file, read from a copy: what seems damaged is put aside by another name."""
    with TemporaryDirectory() as folder:
        return al.read_antenna(shutil.copy(path, folder))
