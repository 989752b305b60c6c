"""For all tests: garbage is looked for seldom, since hardly any goes round in circles, and nothing is compiled twice."""

from __future__ import annotations

import gc
import os
import sys

# Every worker imports all tests, whose asserts are rewritten, and these start some thirty programs. Where the environment
# keeps bytecode from being written all of it is compiled anew each time: a tenth of the suite's processor time.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


def pytest_collection_finish() -> None:
    """Leave alone what the imports and the list of tests hold, and look through the rest once in many thousand things."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 20)
