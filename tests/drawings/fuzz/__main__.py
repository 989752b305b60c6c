"""Spoil the drawings of fixtures/ at random and see how each ends.

    python -m tests.drawings.fuzz --count 100000 --seed 1
    python -m tests.drawings.fuzz --seed 1 --only 4711       one case again, with its traceback

Each case goes through `measure` and `pleat` in a worker process of 500 MB, 5 s a case. It must end in a result that is
proven (every 20th by the referee too) or in one plain paragraph. What ends otherwise is written to a folder and told;
exit code 1. The same seed gives the same cases.
"""

from __future__ import annotations

import argparse
import multiprocessing
import resource
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable
from multiprocessing.connection import Connection
from pathlib import Path

from tests.drawings.fuzz.judge import Case, case, run

SECONDS = 5.0
"""Of a processor, for one case: so that a busy machine finds nothing which is not there."""
WAIT = 120.0
"""Seconds by the clock after which a case that does not even reckon is given up."""
MEGABYTES = 500
CLOSELY = 20
"""Every how many results the referee folds one back."""

Runner = Callable[[Case, Path, bool], str]


def _work(pipe: Connection, seed: int, numbers: range, results: int, runner: Runner) -> None:
    """Run cases one after another; say each number before, and how it ended after."""
    taken = int(
        next(row for row in Path("/proc/self/status").read_text().split("\n") if row.startswith("VmData")).split()[1]
    )
    # What is loaded counts for little here and is not the same everywhere: the limit is on what the work adds to it.
    resource.setrlimit(resource.RLIMIT_DATA, (taken * 1024 + MEGABYTES * 1_000_000,) * 2)
    signal.signal(signal.SIGPROF, signal.SIG_DFL)
    with tempfile.TemporaryDirectory(prefix="spoilt-") as folder:
        for number in numbers:
            pipe.send((number, None, None))
            # Kills this process unless it is done by then, whatever code is running.
            signal.setitimer(signal.ITIMER_PROF, SECONDS)
            try:
                ended, fault = runner(case(seed, number), Path(folder), results % CLOSELY == 0), None
                results += ended == "result"
            except BaseException as error:
                last = traceback.extract_tb(error.__traceback__)[-1]
                ended, fault = (
                    "fault",
                    f"{type(error).__name__}: {error} ({Path(last.filename).name}:{last.lineno})"[:900],
                )
            signal.setitimer(signal.ITIMER_PROF, 0)
            pipe.send((number, ended, fault))
    pipe.send(None)


def search(seed: int, numbers: range, tell: Callable[[int, str], None], runner: Runner = run) -> Counter[str]:
    """Run cases in worker processes; how many ended how.

    Args:
        seed: of all chance.
        numbers: of the cases.
        tell: called with the number of each case that ended in a fault, and with the fault.
        runner: what runs a case.
    """
    ended: Counter[str] = Counter()
    context = multiprocessing.get_context("fork")
    while numbers:
        here, there = context.Pipe(duplex=False)
        worker = context.Process(target=_work, args=(there, seed, numbers, ended["result"], runner), daemon=True)
        with warnings.catch_warnings():
            # Later Pythons warn of forking beside the threads of a numerical library; the worker calls none of them.
            warnings.simplefilter("ignore", DeprecationWarning)
            worker.start()
        there.close()
        at, finished = numbers.start, False
        try:
            while not finished:
                if not here.poll(WAIT):
                    break
                said = here.recv()
                finished = said is None
                if said is None:
                    break
                at, how, fault = said
                if how is not None:
                    ended[how] += 1
                    at += 1
                    if fault is not None:
                        tell(at - 1, fault)
        except EOFError:
            pass
        finally:
            if not finished:
                worker.kill()
            worker.join()
            here.close()
        if finished:
            break
        # Between two cases nothing can go wrong but the folder; within one, the worker was ended.
        late = worker.exitcode == -signal.SIGPROF
        ended["fault"] += 1
        tell(at, f"took longer than {SECONDS:g} s" if late else f"the process ended with {worker.exitcode}")
        numbers = range(at + 1, numbers.stop)
    return ended


def main(words: list[str]) -> int:
    """Parse, search, print."""
    parser = argparse.ArgumentParser(prog="python -m tests.drawings.fuzz", description=__doc__.split("\n")[0])
    parser.add_argument("--count", type=int, default=2000, help="how many drawings")
    parser.add_argument("--seed", type=int, default=1, help="the same seed gives the same drawings")
    parser.add_argument("--first", type=int, default=0, help="number of the first case")
    parser.add_argument("--only", type=int, help="run this case alone, in this process")
    parser.add_argument("--keep", type=Path, help="folder for the drawings that ended in a fault")
    asked = parser.parse_args(words)
    if asked.only is not None:
        one = case(asked.seed, asked.only)
        print(one.words, file=sys.stderr)
        sys.stdout.buffer.write(one.data + b"\n")
        sys.stdout.flush()
        with tempfile.TemporaryDirectory() as folder:
            print(f"ended in: {run(one, Path(folder), True)}", file=sys.stderr)
        return 0
    keep: list[Path] = [] if asked.keep is None else [asked.keep]

    def tell(number: int, fault: str) -> None:
        if not keep:
            keep.append(Path(tempfile.mkdtemp(prefix="spoilt-drawings-")))
        keep[0].mkdir(parents=True, exist_ok=True)
        one = case(asked.seed, number)
        path = keep[0] / f"seed-{asked.seed}-case-{number}.svg"
        path.write_bytes(one.data)
        path.with_suffix(".txt").write_text(f"{one.words}\n{fault}\n")
        print(f"{one.words}\n  {fault}\n  kept as {path}", flush=True)

    start = time.perf_counter()
    ended = search(asked.seed, range(asked.first, asked.first + asked.count), tell)
    took = time.perf_counter() - start
    tried = sum(ended.values())
    said = ", ".join(f"{count} {how}" for how, count in ended.most_common())
    print(
        f"{tried} spoilt drawings of seed {asked.seed} in {took:.0f} s ({1000 * took / max(tried, 1):.1f} ms each): {said}"
    )
    return 1 if ended["fault"] or tried != asked.count else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
