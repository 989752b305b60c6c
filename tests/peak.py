"""The most memory that a program of its own has held, asked from within it."""

from __future__ import annotations

import sys
from pathlib import Path


def peak_kilobytes() -> int:
    """Return the most memory this process has held, in kB.

    On Linux the kernel's own record is read: what getrusage tells starts with what the caller held when it forked.
    """
    status = Path("/proc/self/status")
    if status.exists():
        return next(int(row.split()[1]) for row in status.read_text().splitlines() if row.startswith("VmHWM"))
    import resource  # not on Windows

    held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return held // 1024 if sys.platform == "darwin" else held
