"""What a process started by this one finds around it."""

import os
from pathlib import Path

PACKAGES = Path(__file__).resolve().parent.parent


def surroundings() -> dict[str, str]:
    """The environment of this process, in which this package is found and matrix products keep to one thread.

    The matrices are small: a second thread does no work on them and keeps the other process waiting.
    """
    paths = os.pathsep.join([str(PACKAGES), *filter(None, [os.environ.get("PYTHONPATH")])])
    return {"OPENBLAS_NUM_THREADS": "1", **os.environ, "PYTHONPATH": paths}
