"""Writing results to disk: at once where that takes no time, and while the next piece is worked out where it does.

A disk may need longer for a file than its piece took to work out. Then a thread waits for the disk, and does nothing
else: any other work in the thread would hold the main one up, so files are opened and filled by the main thread. None
is moved to its place here: that is left to the process that keeps the account.
"""

from __future__ import annotations

import threading
import time
from queue import SimpleQueue

from pleatsvg.errors import PleatError
from pleatsvg.stopping import Unbroken
from pleatsvg.wholefile import Begun, begin, give_up, on_disk

SLOW_DISK = 0.0002
"""Seconds that the disk may need for a file; handing it to the thread costs about as much."""


_SURE = 3
"""So many files in a row must have taken longer before the disk counts as slow."""


class DiskWriter:
    """Writes results to disk, beside their places."""

    def __init__(self) -> None:
        self.slow = 0
        self.thread: threading.Thread | None = None
        self.queue: SimpleQueue[Writing | None] = SimpleQueue()

    def write(self, target: str, data: bytes) -> Writing:
        """Begin to write a result.

        Raises:
            OutputError: the folder or the disk does not take it. `Writing.end` may raise it, too.
        """
        with Unbroken():  # neither a file that nobody knows of nor a thread half begun
            return self._begun(target, data)

    def _begun(self, target: str, data: bytes) -> Writing:
        writing = Writing(begin(target, data))
        if self.slow < _SURE:
            start = time.perf_counter()
            writing.bring()
            self.slow = self.slow + 1 if time.perf_counter() - start > SLOW_DISK else 0
            return writing
        if self.thread is None:
            self.thread = threading.Thread(target=self._wait_for_the_disk, daemon=True)
            self.thread.start()
        self.queue.put(writing)
        return writing

    def end(self) -> None:
        """Wait until nothing is under way."""
        if self.thread is not None:
            self.queue.put(None)
            self.thread.join()
            self.thread = None

    def _wait_for_the_disk(self) -> None:
        while True:
            writing = self.queue.get()
            if writing is None:
                return
            writing.bring()


class Writing:
    """A file that the disk may not yet have taken."""

    def __init__(self, begun: Begun) -> None:
        self._begun = begun
        self._failed: PleatError | None = None
        self._waited_for = threading.Lock()
        self._waited_for.acquire()

    @property
    def under_way(self) -> bool:
        """Whether the disk must be waited for."""
        return self._waited_for.locked()

    def bring(self) -> None:
        """Wait for the disk; called once, by whoever has the time."""
        try:
            on_disk(self._begun)
        except PleatError as error:
            self._failed = error
        finally:
            self._waited_for.release()

    def end(self) -> tuple[str, str]:
        """Wait until the file is on the disk; return its name beside its place, and its place.

        Raises:
            OutputError: the disk does not take it; nothing is left of it.
        """
        with self._waited_for:
            if self._failed is not None:
                give_up(self._begun)
                raise self._failed
            return self._begun.beside, self._begun.target
