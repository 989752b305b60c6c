"""Speed, as ratios against floors measured in the same run: python -m tests.benchmark

Prints each figure, its floor and their ratio, and leaves with 1 when a ratio is above its limit.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from pleatsvg.drawing.read import drawing_from
from pleatsvg.job import pleat_piece
from pleatsvg.order.piece_order import order_from
from pleatsvg.piece.choose import finished_piece
from pleatsvg.writing.result import result_bytes
from tests.benchmark.batch import batch_rows
from tests.benchmark.yardstick import Cubic, flattened, unfold_both, unfold_knife

FIXTURES = Path(__file__).parents[2] / "fixtures"


def seconds(job: Callable[[], object], rounds: int, repeats: int) -> float:
    """Return the least time of one call over some repeats."""
    job()
    best = float("inf")
    for _ in range(repeats):
        start = time.perf_counter()
        for _ in range(rounds):
            job()
        best = min(best, (time.perf_counter() - start) / rounds)
    return best


def four_curves(width: float) -> list[Cubic]:
    """Return a skirt piece of four cubics with a curved waist and hem, `width` mm wide at the waist."""
    corners = [0j, complex(width, 0), complex(width + 60, 600), complex(-60, 600)]
    sag = (complex(0, 14), complex(18, 0), complex(0, 20), complex(-18, 0))
    curves: list[Cubic] = []
    for k in range(4):
        a, d = corners[k], corners[(k + 1) % 4]
        curves.append((a, a + (d - a) / 3 + sag[k], a + 2 * (d - a) / 3 + sag[k], d))
    return curves


def drawing(lines: int, spacing: float) -> tuple[bytes, list[Cubic], list[tuple[complex, complex]]]:
    """Return a drawing with so many slash lines, its curves, and where the lines cross it, nearly enough to clip by."""
    width = spacing * (lines + 1)
    curves = four_curves(width)
    xs = [spacing * (k + 1) for k in range(lines)]
    d = f"M {curves[0][0].real} {curves[0][0].imag} " + " ".join(
        f"C {b.real} {b.imag} {c.real} {c.imag} {e.real} {e.imag}" for _, b, c, e in curves
    )
    slashes = "".join(f'<line id="slash_{k}" x1="{x}" y1="-5" x2="{x}" y2="620"/>' for k, x in enumerate(xs))
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width + 200}mm" height="700mm" '
        f'viewBox="-100 -20 {width + 200} 700">'
        f'<path id="seam" d="{d} Z"/>{slashes}<line id="grain" x1="20" y1="200" x2="20" y2="500"/></svg>'
    )
    return text.encode(), curves, [(complex(x, 0), complex(x, 600)) for x in xs]


def whole_job(data: bytes, intake: str | None, allowance: str | None = None, **more: str) -> bytes:
    """Read, pleat, prove, mark and write, in memory."""
    piece = finished_piece(drawing_from(data, "piece.svg"))
    order = order_from(kind="knife", intake=intake, lap="left", allowance=allowance, **more)
    return result_bytes(pleat_piece(piece, order))


def process_seconds(command: list[str], runs: int) -> float:
    """Return the median wall time of a command."""
    taken: list[float] = []
    for _ in range(runs + 1):
        start = time.perf_counter()
        subprocess.run(command, check=False, capture_output=True)
        taken.append(time.perf_counter() - start)
    return statistics.median(taken[1:])


def in_turn(one: list[str], other: list[str], runs: int) -> tuple[float, float]:
    """Return the median wall times of two commands that are run in turn, so that both meet the same machine."""
    taken = [(process_seconds(one, 1), process_seconds(other, 1)) for _ in range(runs)]
    return statistics.median([a for a, _ in taken]), statistics.median([b for _, b in taken])


def main() -> int:
    """Print every figure; return 1 when one is above its limit."""
    rows: list[tuple[str, float, float, float]] = []
    data, curves, lines = drawing(6, 60.0)
    own = seconds(lambda: whole_job(data, "40mm"), 20, 15)
    floor = seconds(lambda: unfold_knife(flattened(curves, 0.01), lines, 20.0), 20, 15)
    rows.append(("whole job, 6 lines, against shapely unfolding alone", own, floor, 0.75))

    own = seconds(lambda: whole_job(data, "40mm", "15mm"), 20, 15)
    floor = seconds(lambda: unfold_both(flattened(curves, 0.01), lines, 20.0, 15.0), 20, 15)
    rows.append(("the same with an allowance, seam and cutting line", own, floor, 1.0))

    per_line = {}
    for count in (6, 60, 300):
        text, _, _ = drawing(count, 60.0)
        per_line[count] = seconds(lambda text=text: whole_job(text, "40mm"), 1 if count > 50 else 20, 7) / count  # type: ignore[misc]
    rows.append(("time a line, 60 lines against 6", per_line[60], per_line[6], 1.5))
    rows.append(("time a line, 300 lines against 6", per_line[300], per_line[6], 1.5))

    text, _, _ = drawing(25, 60.0)
    floor = seconds(lambda: whole_job(text, "40mm"), 3, 7)
    own = seconds(lambda: whole_job(text, None, finish_to="56cm"), 3, 7)
    rows.append(("25 lines finished to a measure, against a plain job", own, floor, 2.0))

    for count, allowance in ((6, None), (6, "15mm"), (60, "15mm"), (200, "15mm")):
        text, _, _ = drawing(count, 60.0)
        waist = {"fit_waist": f"{54 * (count + 1)}mm", "fit_length": "20cm"}
        rounds = 1 if count > 50 else 10
        floor = seconds(lambda text=text, allowance=allowance: whole_job(text, "40mm", allowance), rounds, 7)  # type: ignore[misc]
        own = seconds(
            lambda text=text, allowance=allowance, waist=waist: whole_job(text, "40mm", allowance, **waist),  # type: ignore[misc]
            rounds,
            7,
        )
        behind = " and an allowance" if allowance else ""
        rows.append((f"{count} fitted lines{behind}, against the same not fitted", own, floor, 1.5))

    floor = process_seconds([sys.executable, "-c", "import svgpathtools, svgwrite, lxml.etree, typer"], 11)
    with tempfile.TemporaryDirectory() as folder:
        out = str(Path(folder) / "out.svg")
        job = [
            str(FIXTURES / "skirt-front.svg"),
            "-o",
            out,
            "--kind",
            "knife",
            "--intake",
            "6cm",
            "--lap",
            "left",
            "--force",
        ]
        call = [sys.executable, "-m", "pleatsvg"]
        rows.append(
            ("'pleat' on the skirt against imports alone", process_seconds([*call, "pleat", *job], 11), floor, 1.1)
        )
        rows.append(("'--help' against imports alone", process_seconds([*call, "--help"], 11), floor, 0.6))
        rows.append(("a wrong command against imports alone", process_seconds([*call, "plaet"], 11), floor, 0.6))
        panel = ["--draw", str(Path(folder) / "panel.svg"), "--job", str(Path(folder) / "skirt.toml"), "--force"]
        plan = [*call, "plan", "--finished", "72cm", "--kind", "box", "--count", "12", "--length", "60cm", *panel]
        rows.append(("'plan' with a panel and a job against imports alone", process_seconds(plan, 11), floor, 0.35))
        wrong = [*call, "pleat", job[0], "-o", out, "--kind", "knife", "--intake", "6", "--lap", "left"]
        rows.append(("a length without unit against imports alone", process_seconds(wrong, 11), floor, 0.6))
        for count in (6, 60, 200):
            drawn = Path(folder) / f"lines-{count}.svg"
            drawn.write_bytes(drawing(count, 60.0)[0])
            plain = [*call, "pleat", str(drawn), "-o", out, *job[3:], "--allowance", "15mm"]
            fitted = [*plain, "--fit-waist", f"{54 * (count + 1)}mm", "--fit-length", "20cm"]
            own, floor = in_turn(fitted, plain, 11)
            rows.append((f"'pleat' of {count} fitted lines and an allowance, as a command", own, floor, 1.5))
    rows += batch_rows()
    failed = False
    for what, own, floor, limit in rows:
        ratio = own / floor
        failed |= ratio > limit
        print(f"{what:<52} {own * 1e3:9.3f} ms  floor {floor * 1e3:9.3f} ms  ratio {ratio:5.2f}  limit {limit}")
    return 1 if failed else 0


if __name__ == "__main__":
    raise SystemExit(main())
