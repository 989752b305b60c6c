"""Workers: processes that are started once and handed one drawing after another.

They share nothing but a pipe each. The parent hands out numbers and takes back records; results are written by the
worker that made them, so that nothing large passes through the parent, and what is made does not depend on how many
there are. When the parent is gone, its pipes close and the workers leave after the drawing in hand.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
import sys
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import Any

from pleatsvg.batch.making import Maker, Making
from pleatsvg.batch.record import Record, as_line

Reports = list[tuple[bytes, Record, bool]]
"""For each result of a unit its line for the journal, its record, and whether it was kept from an earlier run."""


AHEAD = 3
"""Drawings handed to a worker at once, so that it need not wait for the parent: one being written, one in hand, one next."""


COLLECT_EVERY = 100
"""Drawings between two collections of cyclic garbage. There is little of it, and a collection takes as long as a drawing."""


@contextmanager
def spare_collecting() -> Iterator[None]:
    """Within this, objects made before are frozen, and garbage is collected only on request."""
    on, interval = gc.isenabled(), sys.getswitchinterval()
    gc.collect()
    gc.freeze()
    gc.disable()
    sys.setswitchinterval(0.0002)  # the thread that writes does little, and should not wait long for its turn
    try:
        yield
    finally:
        sys.setswitchinterval(interval)
        gc.unfreeze()
        if on:
            gc.enable()


def make(maker: Maker, number: int) -> Making:
    """Make a unit; its results may still be on their way to the disk."""
    if number % COLLECT_EVERY == COLLECT_EVERY - 1:
        gc.collect()
    return maker.make(number)


def reports_of(making: Making) -> Reports:
    """Wait until the results of a unit are written; return a report on each."""
    return [(as_line(record), _short(record), kept) for record, kept in making.made()]


def _short(record: Record) -> Record:
    # What the progress needs of a record; the rest stands in the journal.
    return {
        key: record[key] for key in ("task", "part", "piece", "output", "state", "pleats", "message") if key in record
    }


@dataclass
class _Worker:
    process: BaseProcess
    pipe: Connection
    in_hand: deque[int] = field(default_factory=deque)


class WorkerPool:
    """Some workers on one plan."""

    def __init__(self, maker: Maker, workers: int, held: int) -> None:
        """Start the workers.

        Args:
            maker: what each of them does.
            workers: how many.
            held: a file handle that is the parent's alone, since a lock hangs on it.
        """
        self.maker = maker
        self.held = held
        self.forks = sys.platform == "linux"
        self.context: Any = multiprocessing.get_context("fork" if self.forks else "spawn")
        self.workers: list[_Worker] = []
        for _ in range(workers):
            self._start()

    def _start(self) -> _Worker:
        ours, theirs = self.context.Pipe()
        # Handles that a fork inherits and must close: left open, they would hide that the parent has gone.
        along = [worker.pipe for worker in self.workers] + [ours] if self.forks else []
        held = self.held if self.forks else None
        process = self.context.Process(target=_work, args=(self.maker, theirs, along, held), daemon=True)
        process.start()
        theirs.close()
        worker = _Worker(process, ours)
        self.workers.append(worker)
        return worker

    def run(
        self, numbers: Iterator[int], handed: Callable[[int], None], tick: Callable[[], bool]
    ) -> Iterator[tuple[int, Reports | str]]:
        """Hand out units and yield what comes back, in the order in which it comes.

        Args:
            numbers: of the units; no more are taken when it ends.
            handed: told of each unit as it is handed out.
            tick: called several times a second; True breaks everything off.

        Yields:
            A unit's number, and the reports on its results; or a sentence where its worker has come to an end.
        """
        waiting: deque[int] = deque()
        suspect: set[int] = set()  # in hand when a worker came to an end: handed out again, each by itself
        while True:
            for worker in self.workers:
                while len(worker.in_hand) < AHEAD and not suspect & set(worker.in_hand):
                    if waiting and worker.in_hand:
                        break
                    number = waiting.popleft() if waiting else next(numbers, None)
                    if number is None:
                        break
                    handed(number)
                    worker.in_hand.append(number)
                    try:
                        worker.pipe.send(number)
                    except OSError:
                        break  # it has ended; that is seen below
            busy = {worker.pipe: worker for worker in self.workers if worker.in_hand}
            if not busy:
                return
            if tick():
                return
            for pipe in wait(list(busy), 0.1):
                worker = busy[pipe]  # type: ignore[index]
                try:
                    number, found = worker.pipe.recv()
                    worker.in_hand.popleft()
                    yield number, found
                except (EOFError, OSError):
                    worker.process.join(1)
                    self.workers.remove(worker)
                    if len(worker.in_hand) == 1:
                        yield worker.in_hand.popleft(), _ended(worker.process.exitcode)
                    suspect |= set(worker.in_hand)
                    waiting.extend(worker.in_hand)
                    self._start()

    def end(self) -> None:
        """End all workers, at once where they have something in hand."""
        for worker in self.workers:
            if worker.in_hand:
                worker.process.terminate()
            worker.pipe.close()
        for worker in self.workers:
            worker.process.join(2)
            if worker.process.is_alive():
                worker.process.kill()
                worker.process.join()


def _ended(code: int | None) -> str:
    how = f"signal {-code}" if code is not None and code < 0 else f"code {code}"
    return (
        f"The process that made it came to an end ({how}); most often the machine's memory was full. Make this piece "
        "alone with --only, and save the drawing without pictures and fillings."
    )


def _work(maker: Maker, pipe: Connection, along: list[Connection], held: int | None) -> None:
    # The parent handles Ctrl-C, ends its workers and removes what was half written.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    for other in along:
        other.close()
    if held is not None:
        os.close(held)
    try:
        with spare_collecting():
            waiting: tuple[int, Making] | None = None
            while True:
                if waiting is not None and not (waiting[1].under_way and pipe.poll()):
                    pipe.send((waiting[0], reports_of(waiting[1])))
                    waiting = None
                number = pipe.recv()
                begun = make(maker, number)
                if waiting is not None:
                    pipe.send((waiting[0], reports_of(waiting[1])))
                waiting = (number, begun)
    except (EOFError, OSError):
        maker.end_writing()
    os._exit(0)
