"""What every test stands on."""

import os

import hypothesis

os.environ["MPLBACKEND"] = "agg"  # no test opens a window
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as in the lessons: threads fight over small matrices

# No deadline: a loaded laptop is slow, not wrong. The same examples each time: a red run can be repeated.
hypothesis.settings.register_profile("antlab", deadline=None, derandomize=True)
hypothesis.settings.load_profile("antlab")
