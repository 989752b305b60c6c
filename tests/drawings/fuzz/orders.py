"""Sound drawings and odd orders: every fixture is asked for pleats at random, and each third result for more of them.

    python -m tests.drawings.fuzz.orders --count 400 --seed 1

Whatever is made must be found true by `fold` and by the referee; all else must be a refusal.
"""

from __future__ import annotations

import argparse
import re
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

import pleatsvg
from pleatsvg.api import fold
from pleatsvg.errors import PleatError
from tests.referee.foldback import assert_true

FIXTURES = Path(__file__).parents[3] / "fixtures"
DRAWINGS = (
    *("skirt-front", "gore-panel", "bodice-front", "circle-skirt-panel", "straight-panel", "kilt-apron"),
    *("plain-square-apron", "gallery/half-skirt"),
)
INTAKES = ("4mm", "10mm", "20mm", "40mm", "80mm")
EDGES = ("left side", "right side", "hem", "top")


def order(chance: Random, further: bool) -> dict[str, Any]:
    """Return what is asked of a drawing; of a result that is pleated `further`, without what only a first pass can have."""
    kinds = ["knife", "box", "inverted", "tuck", "pin-tuck"]
    kind = chance.choice(kinds if further else [*kinds, "kick"])
    asked: dict[str, Any] = {"kind": kind, "intake": chance.choice(INTAKES)}

    def perhaps(share: float, **more: Any) -> None:
        if chance.random() < share:
            asked.update(more)

    if kind in ("knife", "tuck", "pin-tuck"):
        asked["lap"] = chance.choice(["left", "right", "up", "down", "centre", "sides"])
    if kind == "kick":
        asked["height"] = chance.choice(["8cm", "15cm"])
    perhaps(0.35, hem_intake=chance.choice(["0mm", "12mm", "30mm", "60mm"]))
    if kind in ("knife", "box", "inverted"):
        perhaps(0.3, stack=chance.choice([2, 3]))
    if further or chance.random() < 0.6:
        if chance.random() < 0.5:
            asked["count"] = chance.choice([1, 2, 3, 5])
        else:
            asked["at"] = chance.sample(["30mm", "50mm", "10cm", "12cm", "153mm", "20cm"], chance.choice([1, 2, 3]))
        asked["run"] = chance.choice(["square", "grain", "fan"])
        perhaps(0.5, along=chance.choice(EDGES))
    if further:
        return asked
    perhaps(0.75, allowance=chance.choice(["12mm", "15mm", ["10mm", "hem=4cm"], "30mm"]))
    if kind in ("inverted", "kick"):
        perhaps(0.15, underlay="separate")
    perhaps(0.1, cloth_width="60cm")
    perhaps(0.1, hem="smooth")
    perhaps(0.2, notch=chance.choice(["snip", "triangle"]))
    perhaps(0.2, mark="6cm")
    if "allowance" in asked:
        perhaps(0.2, hem_turn=True)
    return asked


def run(seed: int, number: int, folder: Path) -> tuple[str, str]:
    """Run a case; what it asked for, and "made" or the kind of refusal.

    Raises:
        AssertionError: what was made is not true. Any exception but a refusal is a fault as well.
    """
    chance = Random(f"orders {seed}/{number}")
    name = chance.choice(DRAWINGS)
    asked = order(chance, False)
    said = f"case {number} of seed {seed}: {name}, {asked}"
    out = folder / "flat.svg"
    try:
        result = pleatsvg.pleat(pleatsvg.read(FIXTURES / f"{name}.svg"), **asked)
        pleatsvg.write(result, out, force=True)
        if number % 3 == 2:
            more = order(chance, True)
            said += f", then {more}"
            first = out.replace(folder / "first.svg")
            result = pleatsvg.pleat(pleatsvg.read(first), **more)
            pleatsvg.write(result, out, force=True)
    except PleatError as error:
        return said, type(error).__name__
    except Exception as error:
        raise AssertionError(f"{said}\n  {type(error).__name__}: {error}") from error
    try:
        for proof in fold(out):
            assert proof.holds, proof.failures[0]
        # The referee takes no smooth hems, and no two passes beside the fold edge of a half piece.
        if "hem" not in asked and not (result.number > 1 and result.flat.fold_edge is not None):
            assert_true(out)
    except (AssertionError, PleatError) as error:
        raise AssertionError(f"{said}\n  {str(error)[:600]}") from None
    return said, "made"


def ask(one: Callable[[int, int, Path], tuple[str, str]], about: str, words: list[str]) -> int:
    """Parse, run cases, print; 1 where one of them ended in a fault.

    Args:
        one: runs a case by its seed and number in a folder; what it asked for and how it ended, or an AssertionError.
        about: the docstring of the module that has it.
        words: of the command line.
    """
    name = re.search(r"python -m ([\w.]+)", about)
    parser = argparse.ArgumentParser(prog=name[0] if name else None, description=about.split("\n")[0])
    parser.add_argument("--count", type=int, default=400, help="how many orders")
    parser.add_argument("--seed", type=int, default=1, help="the same seed gives the same orders")
    parser.add_argument("--only", type=int, help="run this case alone and leave its result here, as flat.svg")
    parser.add_argument("--tell", action="store_true", help="tell every refusal")
    asked = parser.parse_args(words)
    if asked.only is not None:
        print(*one(asked.seed, asked.only, Path.cwd()), sep="\n")
        return 0
    ended: Counter[str] = Counter()
    start = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        for number in range(asked.count):
            try:
                said, how = one(asked.seed, number, Path(folder))
            except AssertionError as fault:
                said, how = str(fault), "fault"
            ended[how] += 1
            if how == "fault" or (asked.tell and how != "made"):
                print(said, flush=True)
    said = ", ".join(f"{count} {how}" for how, count in ended.most_common())
    print(f"{asked.count} orders of seed {asked.seed} in {time.perf_counter() - start:.0f} s: {said}")
    return 1 if ended["fault"] else 0


if __name__ == "__main__":
    raise SystemExit(ask(run, __doc__, sys.argv[1:]))
