"""For all tests: garbage is looked for seldom, since hardly any of what they make goes round in circles."""

from __future__ import annotations

import gc


def pytest_collection_finish() -> None:
    """Leave alone what the imports and the list of tests hold, and look through the rest once in many thousand things."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 20)
