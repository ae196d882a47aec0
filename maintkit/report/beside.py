"""Files written by a second process while this one goes on, where they are so many that it pays to start one."""

import os
import pickle
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial

# runs what it is handed, one after another, and says on its output what failed
THERE = """
import pickle, sys
try:
    while asked := pickle.load(sys.stdin.buffer):
        asked()
except Exception as error:
    sys.stdout.buffer.write(pickle.dumps(error))
"""


@contextmanager
def written_beside(many: bool) -> Iterator[Callable]:
    """Hands over ``write(function, *arguments)``, which has a file written: where there are many by a second process.

    Function and arguments must be such as can be pickled. All is written when the block is left.

    Raises
    ------
    OSError
        What could not be written, as where it is written at once.
    """
    if not many:
        yield lambda function, *arguments, **named: function(*arguments, **named)
        return
    from concurrent.futures import ThreadPoolExecutor

    there = subprocess.Popen(
        [sys.executable, "-c", THERE],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
    )
    try:
        # A pipe is soon full, and who hands over shall not wait for it.
        with ThreadPoolExecutor(1) as sender:
            send = partial(sender.submit, there.stdin.write)
            yield lambda *asked, **named: send(pickle.dumps(partial(*asked, **named)))
            send(pickle.dumps(None))
    except BaseException:
        there.kill()
        there.communicate()
        raise
    failed = there.communicate()[0]
    if failed:
        raise pickle.loads(failed)
    if there.returncode:
        raise OSError(0, "the process that writes workbooks was ended")
