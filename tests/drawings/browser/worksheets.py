"""Open worksheets in a browser as somebody at the table does: on a telephone, on a tablet, on a desk, and printed.

    python -m tests.drawings.browser.worksheets [FOLDER]      keeps pages and prints in FOLDER

Makes a worksheet of a skirt with its waistband, of a kilt, of a piece in parts and of one cut on the fold. Each is served from
this machine alone, at 360, 768 and 1,200 px, and printed on A4 and on Letter. The browser may ask for the page and for nothing
else, may say nothing on its console, and nothing may reach beyond the page's width; printed, the square is measured.

Exit code 0 where all of it is so, 1 on any finding, 3 where there is no browser or it does not answer.
"""

from __future__ import annotations

import contextlib
import html
import json
import os
import re
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ContentStream

from pleatsvg import api
from tests.drawings.browser.referee import HERE, SECONDS, NoAnswerError, browser

FIXTURES = HERE.parents[2] / "fixtures"
WIDTHS = (360, 768, 1200)
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
OFF_MM = 0.25
"""mm that the printed square may be out: half a millimetre in a hundred, which a ruler shows."""
MM = 25.4 / 72

_FLAGS = (
    "--headless --no-sandbox --disable-gpu --disable-dev-shm-usage --disable-quic --no-first-run --disable-sync "
    "--disable-background-networking --disable-component-update --virtual-time-budget=20000 --timeout=60000 "
    "--enable-logging=stderr --log-level=0 --window-size=2600,1600"
)
_HOSTS = "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"

_ASKING = """<script>addEventListener('load', function () {
  var root = document.documentElement, wide = root.clientWidth, out = [];
  document.querySelectorAll('body *').forEach(function (one) {
    if (one.closest('.box') && !one.matches('.box')) return;  // a table scrolls within its own box
    if (one.closest('svg') && !one.matches('svg')) return;
    if (one.getBoundingClientRect().right > wide + 0.5) out.push(one.tagName + '.' + one.className);
  });
  parent.postMessage(JSON.stringify({width: innerWidth, wide: wide, scroll: root.scrollWidth, out: out,
    asked: performance.getEntriesByType('resource').map(function (one) { return one.name; })}), '*');
});</script>"""


def sheets() -> Iterator[tuple[str, bytes]]:
    """Worksheets by name."""
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder)

        def written(name: str, drawing: str, **options: Any) -> Path:
            made = api.pleat(api.read(FIXTURES / drawing), **options)
            api.write(made, room / f"{name}.svg")
            if name == "skirt":
                band = api.companion(api.read(FIXTURES / "waistband.svg"), "waistband", "hem", made, start="3cm")
                api.write(band.result, room / "band.svg")
            return room / f"{name}.svg"

        knife = {"kind": "knife", "intake": "6cm", "lap": "left"}
        skirt = written("skirt", "skirt-front.svg", **knife, allowance=["15mm", "hem=4cm"], stitch_down="8cm")
        yield "skirt and waistband", api.worksheet([skirt, room / "band.svg"])[1]
        yield "kilt", api.worksheet([FIXTURES / "folded" / "kilt-apron-flat.svg"], unit="in")[1]
        parts = written("parts", "straight-panel.svg", **knife, cloth_width="50cm", allowance="15mm")
        half = written("half", "gallery/half-skirt.svg", kind="inverted", intake="8cm")
        yield "parts and half", api.worksheet([parts, half])[1]


@contextlib.contextmanager
def served(pages: dict[str, bytes]) -> Iterator[tuple[str, list[str]]]:
    """Serve pages from this machine; yields where, and a list that takes every path that is asked for."""
    asked: list[str] = []

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.append(self.path)
            data = pages.get(self.path)
            self.send_response(404 if data is None else 200)
            self.send_header("Content-Type", "text/html; charset=utf-8")
            self.end_headers()
            self.wfile.write(data or b"")

        def log_message(self, format: str, *args: Any) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        try:
            yield f"http://127.0.0.1:{server.server_port}", asked
        finally:
            server.shutdown()


def said(command: str, room: Path, *words: str) -> tuple[str, list[str]]:
    """What the browser prints, and what pages say on its console."""
    whole = [command, *_FLAGS.split(), _HOSTS, f"--user-data-dir={room / 'profile'}", *words]
    pipe = subprocess.PIPE
    with subprocess.Popen(whole, stdout=pipe, stderr=pipe, text=True, start_new_session=True) as made:
        try:
            out, log = made.communicate(timeout=SECONDS)
        except subprocess.TimeoutExpired:
            raise NoAnswerError(f"{command} did not come to an end within {SECONDS} s") from None
        finally:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(made.pid, signal.SIGKILL)
    return out, [row for row in log.splitlines() if "CONSOLE" in row]


def shown(command: str, room: Path, page: bytes) -> list[str]:
    """Findings on a page at every width."""
    within = page.replace(b"</body>", _ASKING.encode() + b"</body>")
    frames = "".join([f'<iframe src="/sheet" style="border:0;width:{w}px;height:900px"></iframe>' for w in WIDTHS])
    around = (
        '<!DOCTYPE html><link rel="icon" href="data:,"><pre id="said"></pre>'
        '<script>addEventListener("message", function (one) {'
        f'document.getElementById("said").textContent += one.data + "\\n"; }});</script>{frames}'
    )
    with served({"/": around.encode(), "/sheet": within, "/plain": page}) as (where, asked):
        dom, console = said(command, room, "--dump-dom", f"{where}/")
        found = re.search(r'<pre id="said">(.*?)</pre>', dom, re.DOTALL)
        answers = [json.loads(row) for row in html.unescape(found[1]).split("\n") if row] if found else []
        if len(answers) != len(WIDTHS):
            raise NoAnswerError(f"{command} answered for {len(answers)} of {len(WIDTHS)} widths")
        _, more = said(command, room, "--dump-dom", f"{where}/plain")
    findings = [f"console: {row}" for row in [*console, *more]]
    findings += [f"asked for {path}" for path in asked if path not in ("/", "/sheet", "/plain")]
    for answer in answers:
        at = f"at {answer['width']} px"
        findings += [f"{at}: asked for {name}" for name in answer["asked"]]
        if answer["scroll"] > answer["wide"]:
            findings.append(f"{at}: {answer['scroll']} px wide, and scrolls")
        findings += [f"{at}: {one} reaches beyond the page" for one in answer["out"]]
    return findings


def printed(command: str, room: Path, page: bytes, paper: str) -> tuple[list[str], float | None, int]:
    """Findings on the print, the side of its square in mm, and how many pages it has."""
    size = f"<style>@page {{ size: {paper}; }}</style></head>".encode()
    target = room / f"{paper}.pdf"
    with served({"/": page.replace(b"</head>", size)}) as (where, _):
        _, console = said(command, room, "--no-pdf-header-footer", f"--print-to-pdf={target}", f"{where}/")
    if not target.is_file():
        raise NoAnswerError(f"{command} printed nothing")
    reader = PdfReader(target)
    findings = [f"console: {row}" for row in console]
    for number, one in enumerate(reader.pages, 1):
        box = [float(side) * MM for side in (one.mediabox.width, one.mediabox.height)]
        if max(abs(a - b) for a, b in zip(box, PAPERS[paper], strict=True)) > 0.5:
            findings.append(f"{paper}: page {number} is {box[0]:.1f} x {box[1]:.1f} mm")
    side = next((side for one in reversed(reader.pages) for side in squares(one, reader)), None)
    if side is None or abs(side - 50) > OFF_MM:
        findings.append(f"{paper}: the square measures {side if side is None else round(side, 3)} mm")
    return findings, side, len(reader.pages)


def squares(page: Any, reader: PdfReader) -> Iterator[float]:
    """The sides of squares of about 50 mm on a page of a print, mm."""
    stack: list[tuple[float, ...]] = []
    now: tuple[float, ...] = (1, 0, 0, 1, 0, 0)
    path: list[complex] = []
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        name, numbers = operator.decode(), [float(one) for one in operands if isinstance(one, (int, float))]
        if name == "q":
            stack.append(now)
        elif name == "Q":
            now = stack.pop()
        elif name == "cm":
            a, b, c, d, e, f = numbers
            p, q, r, s, t, u = now
            now = (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)
        elif name in ("m", "l", "re"):
            x, y = numbers[:2]
            corners = [(x, y), (x + numbers[2], y + numbers[3])] if name == "re" else [(x, y)]
            path += [
                complex(now[0] * x + now[2] * y + now[4], now[1] * x + now[3] * y + now[5]) * MM for x, y in corners
            ]
        elif name in ("S", "s", "f", "B", "n", "f*", "b"):
            if path and name in ("S", "s"):
                wide = max(z.real for z in path) - min(z.real for z in path)
                high = max(z.imag for z in path) - min(z.imag for z in path)
                if abs(wide - high) < 0.05 and 40 < wide < 60:
                    yield wide
            path = []


def main(words: list[str]) -> int:
    """Look at every sheet, and say what was found."""
    command = browser()
    if command is None:
        print("the browser was not asked: there is none")
        return 3
    count = 0
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        try:
            for name, page in sheets():
                room = Path(words[0] if words else folder) / name.replace(" ", "-")
                room.mkdir(parents=True, exist_ok=True)
                (room / "sheet.html").write_bytes(page)
                findings = shown(command, room, page)
                told = []
                for paper in PAPERS:
                    more, side, pages = printed(command, room, page, paper)
                    findings += more
                    told.append(f"{paper} {pages} pages, square {side or 0:.3f} mm")
                print(f"{name}: {', '.join(told)}; {len(findings)} findings")
                for one in findings:
                    print(f"  {one}")
                count += len(findings)
        except NoAnswerError as error:
            print(f"the browser was not asked: {error}")
            return 3
    return 1 if count else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
