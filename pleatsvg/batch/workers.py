"""Workers: processes that are started once and handed one drawing after another.

They share nothing but a pipe each. The parent hands out numbers and takes back reports; a worker writes its results
beside their places, so that nothing large passes through the parent, and the parent alone moves them there. So a worker
may be ended at any instant, by whomever, and nothing stands in the folder that the parent does not know of. When the
parent is gone, its pipes close, and the workers take away what they have written and leave.
"""

from __future__ import annotations

import contextlib
import gc
import multiprocessing
import os
import sys
import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import Any

from pleatsvg.batch.account.record import failed_record
from pleatsvg.batch.making import Maker, Making, Report, head_of, report_of
from pleatsvg.batch.tasks import Unit
from pleatsvg.stopping import Blocked, ignore
from pleatsvg.wholefile import clear_away, hand_over, keep_nothing

AHEAD = 3
"""Drawings handed to a worker at once, so that it need not wait for the parent: one being written, one in hand, one next."""


TRIES = 2
"""How often a piece is tried whose worker comes to an end over it."""


_LOOK_EVERY = 0.1
"""Seconds between two looks at whether a worker stands still."""


_STILL = 10
"""Looks in a row at which a worker stands still before it is given up: all are stopped and continued by Ctrl-Z and `fg`."""


COLLECT_EVERY = 100
"""Drawings between two collections of cyclic garbage. There is little of it, and a collection takes as long as a drawing."""


@contextmanager
def spare_collecting() -> Iterator[None]:
    """Within this, objects made before are frozen, and garbage is collected only on request."""
    on, interval = gc.isenabled(), sys.getswitchinterval()
    gc.collect(
        1
    )  # what an earlier batch of this process has frozen is not looked through again: that takes a tenth of a second
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


def collect_now_and_then(number: int) -> None:
    """Collect garbage before a unit, if it is time for that."""
    if number % COLLECT_EVERY == COLLECT_EVERY - 1:
        gc.collect()


@dataclass
class _Worker:
    process: BaseProcess
    pipe: Connection
    in_hand: deque[int] = field(default_factory=deque)
    at: tuple[int, int, int, int] | None = None  # what it has turned to: unit, task, part (0: the drawing), of how many
    still: int = 0


class WorkerPool:
    """Some workers on one plan."""

    def __init__(self, maker: Maker, workers: int, held: int) -> None:
        """Start the workers.

        Args:
            maker: what each of them does.
            workers: how many; the system may let there be fewer, or none.
            held: a file handle that is the parent's alone, since a lock hangs on it.
        """
        self.maker = maker
        self.held = held
        self.forks = sys.platform == "linux"
        self.context: Any = multiprocessing.get_context("fork" if self.forks else "spawn")
        self.workers: list[_Worker] = []
        self.lost = 0  # workers that came to an end before their time
        self._waiting: deque[int] = deque()
        self._done: dict[int, set[tuple[int, int]]] = {}
        self._tries: dict[tuple[int, int, int], int] = {}
        self._unreadable: set[int] = set()
        self._looked = 0.0
        for _ in range(workers):
            if not self._start():
                break

    def _start(self) -> bool:
        try:
            ours, theirs = self.context.Pipe()
        except OSError:
            return False
        # Handles that a fork inherits and must close: left open, they would hide that the parent has gone.
        along = [worker.pipe for worker in self.workers] + [ours] if self.forks else []
        held = self.held if self.forks else None
        process = self.context.Process(target=_work, args=(self.maker, theirs, along, held), daemon=True)
        try:
            with Blocked():
                process.start()
        except OSError:
            ours.close()
            return False
        finally:
            theirs.close()
        self.workers.append(_Worker(process, ours))
        return True

    def run(self, numbers: Iterator[int], handed: Callable[[int], None], tick: Callable[[], bool]) -> Iterator[Report]:
        """Hand out units and yield the reports, in the order in which they come.

        Args:
            numbers: of the units; no more are taken when it ends.
            handed: told of each unit as it is handed out.
            tick: called several times a second; True breaks everything off.
        """
        while True:
            self._hand_out(numbers, handed)
            busy = {worker.pipe: worker for worker in self.workers if worker.in_hand}
            if not busy:
                return
            if tick():
                yield from self._what_is_there_already()
                return
            self._end_those_that_stand_still()
            for pipe in wait(list(busy), _LOOK_EVERY):
                yield from self._hear(busy[pipe])  # type: ignore[index]

    def _hand_out(self, numbers: Iterator[int], handed: Callable[[int], None]) -> None:
        for worker in self.workers:
            while len(worker.in_hand) < AHEAD:
                if self._waiting:
                    number = self._waiting.popleft()
                else:
                    following = next(numbers, None)
                    if following is None:
                        break
                    number = following
                    handed(number)
                worker.in_hand.append(number)
                try:
                    worker.pipe.send((number, frozenset(self._done.get(number, ()))))
                except OSError:
                    break  # it has ended; that is seen when it is heard

    def _hear(self, worker: _Worker) -> Iterator[Report]:
        try:
            number, said, ends = worker.pipe.recv()
        except Exception:  # the pipe has closed, in the midst of a message perhaps
            yield from self._ended(worker)
            return
        if ends:
            worker.in_hand.popleft()
            self._done.pop(number, None)
        if isinstance(said, Report):
            if not ends:
                self._done.setdefault(number, set()).add((said.record["task"], said.record["part"]))
            yield said
        elif said is not None:
            worker.at = (number, *said)

    def _what_is_there_already(self) -> Iterator[Report]:
        for worker in list(self.workers):
            while worker in self.workers and worker.pipe.poll():
                yield from self._hear(worker)

    def _end_those_that_stand_still(self) -> None:
        now = time.monotonic()
        if now - self._looked < _LOOK_EVERY:
            return
        self._looked = now
        for worker in self.workers:
            worker.still = worker.still + 1 if worker.in_hand and _stands_still(worker.process.pid) else 0
            if worker.still >= _STILL:
                worker.process.kill()

    def _ended(self, worker: _Worker) -> Iterator[Report]:
        self.workers.remove(worker)
        self.lost += 1
        worker.pipe.close()
        worker.process.join(1)
        if worker.process.is_alive():
            worker.process.kill()
            worker.process.join()
        if worker.at is not None and worker.at[0] in worker.in_hand:
            yield from self._blamed(worker.at, worker.process.exitcode)
        self._waiting.extendleft(reversed(worker.in_hand))
        self._start()

    def _blamed(self, at: tuple[int, int, int, int], code: int | None) -> Iterator[Report]:
        # What a worker had turned to when it came to an end is tried once more, and then told.
        number, task, part, of = at
        done = self._done.setdefault(number, set())
        if (task, part) in done or (part == 0 and task in [one for one, _ in done]):
            return
        self._tries[number, task, part] = self._tries.get((number, task, part), 0) + 1
        if self._tries[number, task, part] < TRIES and number not in self._unreadable:
            return
        done.add((task, part))
        if part == 0:
            self._unreadable.add(number)
        yield _report_of_loss(self.maker.plan.units[number], task, part, of, code)

    def end(self) -> None:
        """End all workers, at once where they have something in hand."""
        for worker in self.workers:
            if worker.in_hand:
                worker.process.kill()
            worker.pipe.close()
        for worker in self.workers:
            worker.process.join(2)
            if worker.process.is_alive():
                worker.process.kill()
                worker.process.join()


def _stands_still(number: int | None) -> bool:
    # Whether a process has been stopped, as by SIGSTOP; where the system does not say, none has.
    if number is None or not hasattr(os, "waitid"):
        return False
    with contextlib.suppress(OSError):
        found = os.waitid(os.P_PID, number, os.WSTOPPED | os.WNOHANG | os.WNOWAIT)
        return found is not None and found.si_code == os.CLD_STOPPED
    return False


def _report_of_loss(unit: Unit, number: int, part: int, of: int, code: int | None) -> Report:
    how = f"signal {-code}" if code is not None and code < 0 else f"code {code}"
    words = (
        f"The process that made it came to an end ({how}), twice; most often the machine's memory was full. Make this "
        "piece alone with --only, and save the drawing without pictures and fillings."
    )
    task = next(task for task in unit.tasks if task.number == number)
    head = head_of(task)
    if part:
        head |= {"part": part, "piece": f"{head['piece']}, piece {part}"}
    return report_of(failed_record(head, words, 0.0), last=part == of)


def _work(maker: Maker, pipe: Connection, along: list[Connection], held: int | None) -> None:
    # The parent answers Ctrl-C, ends its workers and removes what was half written.
    ignore()
    keep_nothing()
    for other in along:
        other.close()
    if held is not None:
        os.close(held)
    code = 0
    try:
        with spare_collecting():
            _serve(maker, pipe)
    except (EOFError, OSError):
        pass  # the parent has gone, or has no more to do
    except BaseException:
        code = 1  # it is the parent that tells of it
    clear_away()
    os._exit(code)


def _serve(maker: Maker, pipe: Connection) -> None:
    number = 0

    def turning_to(task: int, part: int, of: int) -> None:
        pipe.send((number, (task, part, of), False))

    def send(number: int, making: Making, ends: bool) -> None:
        report = making.report()
        pipe.send((number, report, ends))
        hand_over(report.beside)

    maker.turning_to = turning_to
    before: tuple[int, Making] | None = None  # of the unit before: on its way to the disk while the next is worked out
    while True:
        if before is not None and not (before[1].under_way and pipe.poll()):
            send(*before, True)
            before = None
        number, done = pipe.recv()
        collect_now_and_then(number)
        last: Making | None = None
        for making in maker.make(number, done):
            if before is not None:
                send(*before, True)
                before = None
            if last is not None:
                send(number, last, False)
            last = making
        if before is not None:
            send(*before, True)
        if last is None:
            pipe.send((number, None, True))
        before = None if last is None else (number, last)
