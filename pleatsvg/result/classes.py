"""The classes of a result: which lines fold, which run on through a later pass, which are drawn anew."""

from __future__ import annotations

CREASES = frozenset({"fold-line", "inner-fold-line"})
"""Classes that are always creases; a stitch line is one where it says so."""


PLEAT_LINES = CREASES | {"placement-line", "stitch-line"}


RUNNING = PLEAT_LINES | {"baste-line", "edge-stitch-line", "stitch-down-line", "free-edge"}
"""Classes of lines that run on through a later pass."""


KEPT = frozenset({"finished-line", "finished-cut-line"})
"""Classes of what each pass was to become, which stay where they are."""


MARKS = frozenset({"notch", "lap-arrow", "fold-end", "placement-end", "stitch-end", "mate-end", "inner-end"})
"""Classes of marks that go with their panel."""


RENEWED = frozenset(
    {
        "fold-edge-arrow",
        "fold-edge-ground",
        "fold-edge-run",
        "leader",
        "piece-label",
        "grain-label",
        "fold-edge-label",
        "part-label",
        "join-line",
    }
)
"""Classes of what a later pass makes anew, and of joins, which it does not take."""


LABELS = frozenset({"fold-label", "placement-label", "inner-label", "pleat-label", "stitch-label"})


EVERY = RUNNING | KEPT | MARKS | RENEWED | LABELS


ROLE_CLASS = {
    "fold": "fold-line",
    "placement": "placement-line",
    "inner": "inner-fold-line",
    "stitch": "stitch-line",
    "mate": "stitch-line",
}
"""The class under which each line of a pleat is written."""
