"""Tests; linear algebra keeps to one thread in them, as it does in the commands, so that last digits are the same."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before anything loads it
