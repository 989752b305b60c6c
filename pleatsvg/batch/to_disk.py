"""Writing results to disk: at once where that takes no time, and while the next piece is worked out where it does.

A disk may need longer for a file than its piece took to work out. Then a thread waits for the disk, and does nothing
else: any other work in the thread would hold the main one up, so files are opened, filled and moved by the main thread.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from queue import SimpleQueue

from pleatsvg.errors import PleatError
from pleatsvg.wholefile import Begun, begin, give_up, on_disk, put_in_place

SLOW_DISK = 0.0002
"""Seconds that the disk may need for a file; handing it to the thread costs about as much."""


_SURE = 3
"""So many files in a row must have taken longer before the disk counts as slow."""


class DiskWriter:
    """Writes results to disk and moves them to their places."""

    def __init__(self) -> None:
        self.slow = 0
        self.thread: threading.Thread | None = None
        self.queue: SimpleQueue[_Waiting | None] = SimpleQueue()

    def write(self, target: str, data: bytes) -> Callable[[], None] | None:
        """Write a result; return a function that waits for it and moves it to its place, or None where that is done already.

        Raises:
            OutputError: the folder or the disk does not take it. The function returned may raise it, too.
        """
        begun = begin(target, data)
        if self.slow < _SURE:
            try:
                start = time.perf_counter()
                on_disk(begun)
                self.slow = self.slow + 1 if time.perf_counter() - start > SLOW_DISK else 0
            except BaseException:
                give_up(begun)
                raise
            put_in_place(begun)
            return None
        if self.thread is None:
            self.thread = threading.Thread(target=self._wait_for_the_disk, daemon=True)
            self.thread.start()
        waiting = _Waiting(begun)
        self.queue.put(waiting)
        return waiting.end

    def end(self) -> None:
        """Wait until nothing is under way."""
        if self.thread is not None:
            self.queue.put(None)
            self.thread.join()
            self.thread = None

    def _wait_for_the_disk(self) -> None:
        while True:
            waiting = self.queue.get()
            if waiting is None:
                return
            waiting.bring()


class _Waiting:
    # A file that the disk has not yet taken.

    def __init__(self, begun: Begun) -> None:
        self.begun = begun
        self.failed: PleatError | None = None
        self.under_way = threading.Lock()
        self.under_way.acquire()

    def bring(self) -> None:
        try:
            on_disk(self.begun)
        except PleatError as error:
            self.failed = error
        finally:
            self.under_way.release()

    def end(self) -> None:
        self.under_way.acquire()
        if self.failed is not None:
            give_up(self.begun)
            raise self.failed
        put_in_place(self.begun)
