"""Look at the pages of `tile` as a printer's own reader draws them, at 600 dots to the inch, and measure the joined pages.

    python -m tests.printing.at_600_dpi [RESULT.svg]      left out: a kilt with allowances, 1.7 m wide

Pages from one end of the piece to the other are drawn by Poppler, by both of its painters: `pdftoppm`, which moves the edges
of lines to whole pixels as printers' readers do, and `pdftocairo`, which does not. Across solid cutting lines the middle of the
ink is found between the pixels, and held against where the result has its line. What both painters share would be ours; a pixel
is 0.042 mm.

Exit code 0 where no place is off by more than 0.05 mm, and no two places of the joined pages by more than that from one
another; 1 where some are; 3 where there is no Poppler.
"""

from __future__ import annotations

import shutil
import struct
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import numpy.typing as npt

from pleatsvg import api
from pleatsvg.geometry.segment import point_at
from pleatsvg.printing.tiled import Tiled

FIXTURES = Path(__file__).parents[2] / "fixtures"
DPI = 600
PIXEL = 25.4 / DPI
LIMIT = 0.05
PAINTERS = ("pdftocairo", "pdftoppm")
PAGES = 8
"""Pages that are drawn, from the first to the last: a page takes some seconds, and all are laid by one rule."""
_EVERY = 7.0
"""mm from one place on a line to the next."""
_REACH, _CLEAR = 1.6, 0.75
"""mm to both sides of a line that are looked at; beyond the second there must be no ink."""

Grey = npt.NDArray[np.float64]


def drawn(painter: str, file: Path, page: int) -> Grey:
    """A page as shares of ink, from 0 for paper to 1."""
    words = [painter, "-r", str(DPI), "-gray", "-f", str(page), "-l", str(page), "-singlefile"]
    if painter == "pdftocairo":
        target = file.with_suffix("")
        subprocess.run([*words, "-tiff", "-tiffcompression", "none", str(file), str(target)], check=True)
        return 1.0 - _tiff(target.with_suffix(".tif").read_bytes()) / 255.0
    data = subprocess.run([*words, str(file)], capture_output=True, check=True).stdout
    kind, wide, high, most, rest = data.split(maxsplit=4)
    assert (kind, most) == (b"P5", b"255")
    return 1.0 - np.frombuffer(rest[-int(wide) * int(high) :], np.uint8).reshape(int(high), int(wide)) / 255.0


def _tiff(data: bytes) -> npt.NDArray[np.uint8]:
    # Poppler's own pictures, one byte of grey for each pixel and not packed; no package for pictures is needed elsewhere.
    assert data[:4] == b"II*\0"
    (at,) = struct.unpack_from("<I", data, 4)
    (count,) = struct.unpack_from("<H", data, at)
    tags: dict[int, list[int]] = {}
    for k in range(count):
        tag, kind, number = struct.unpack_from("<HHI", data, at + 2 + 12 * k)
        form = {3: "H", 4: "I"}.get(kind)
        if form is not None:
            inside = number * struct.calcsize(form) <= 4
            where = at + 10 + 12 * k if inside else struct.unpack_from("<I", data, at + 10 + 12 * k)[0]
            tags[tag] = list(struct.unpack_from(f"<{number}{form}", data, where))
    wide, high, (bits, packed) = tags[256][0], tags[257][0], (tags[258], tags[259][0])
    assert (bits, packed) == ([8], 1)
    strips = b"".join([data[a : a + n] for a, n in zip(tags[273], tags[279], strict=True)])
    return np.frombuffer(strips, np.uint8).reshape(high, wide)


def _ink(page: Grey, spots: npt.NDArray[np.complex128]) -> Grey:
    # Between the middles of pixels.
    x, y = spots.real / PIXEL - 0.5, spots.imag / PIXEL - 0.5
    i, j = np.floor(x).astype(int), np.floor(y).astype(int)
    u, v = x - i, y - j
    high, wide = page.shape
    i, j = np.clip(i, 0, wide - 2), np.clip(j, 0, high - 2)
    return (
        page[j, i] * (1 - u) * (1 - v)
        + page[j, i + 1] * u * (1 - v)
        + page[j + 1, i] * (1 - u) * v
        + page[j + 1, i + 1] * u * v
    )


def places(tiled: Tiled, number: int) -> list[tuple[complex, complex, complex]]:
    """Places of cutting lines on a page: on the page, the way across the line there, and on the piece (mm)."""
    page = tiled.document.pages[number]
    found = []
    for placed in page.placed:
        left, top, right, bottom = placed.clip
        for shape in tiled.document.bodies[placed.body].shapes:
            if shape.shape.css != "cut-line":
                continue
            for stroke in shape.strokes:
                for seg in stroke.segments:
                    count = max(2, int(abs(seg[-1] - seg[0]) / _EVERY))
                    for k in range(1, count):
                        z = point_at(seg, k / count)
                        way = point_at(seg, (k + 0.01) / count) - point_at(seg, (k - 0.01) / count)
                        here = z * placed.turn + placed.shift
                        if left + 3 < here.real < right - 3 and top + 3 < here.imag < bottom - 3:
                            found.append((here, 1j * way / abs(way) * placed.turn, z))
    return found


def measured(page: Grey, spots: list[tuple[complex, complex, complex]]) -> list[tuple[complex, float, complex]]:
    """For each place that nothing else is drawn beside: where it is on the piece, how far off, and the way of that there."""
    steps = np.arange(-_REACH, _REACH, PIXEL / 8)
    made = []
    for here, across, z in spots:
        ink = _ink(page, here + steps * across)
        if ink[np.abs(steps) > _CLEAR].max() > 0.01 or ink.sum() * PIXEL / 8 < 0.8:
            continue
        made.append((z, float((ink * steps).sum() / ink.sum()), across))
    return made


def main(words: list[str]) -> int:
    """Measure the pages of a result, and say what was found."""
    if any(shutil.which(painter) is None for painter in PAINTERS):
        print("the pages were not drawn: there is no Poppler")
        return 3
    worst = 0.0
    with tempfile.TemporaryDirectory() as folder:
        if words:
            source = Path(words[0])
        else:
            source = Path(folder) / "kilt.svg"
            options = {"kind": "knife", "intake": "10cm", "lap": "left", "allowance": "15mm"}
            api.write(api.pleat(api.read(FIXTURES / "kilt-apron.svg"), **options), source)
        tiled = api.pages([source])
        file = Path(folder) / "pages.pdf"
        file.write_bytes(tiled.files[0][1])
        held = [(number, places(tiled, number)) for number in range(len(tiled.document.pages))]
        held = [(number, spots) for number, spots in held if spots]
        chosen = [held[round(k)] for k in np.linspace(0, len(held) - 1, min(PAGES, len(held)))]
        for painter in PAINTERS:
            found: list[tuple[complex, float, complex]] = []
            for number, spots in chosen:
                found += measured(drawn(painter, file, number + 1), spots)
            off = np.array([one for _, one, _ in found])
            spots_at = np.array([z for z, _, _ in found])
            long = max(abs(np.ptp(spots_at.real)), abs(np.ptp(spots_at.imag)))
            print(
                f"{painter}: {len(found)} places over {long / 1000:.2f} m, off by {np.abs(off).mean():.4f} mm on average, "
                f"{np.abs(off).max():.4f} at most; any two by {np.ptp(off):.4f} at most (a pixel is {PIXEL:.4f})"
            )
            worst = max(worst, float(np.abs(off).max()), float(np.ptp(off)))
    return 1 if worst > LIMIT else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
