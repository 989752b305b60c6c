"""Ask a browser where everything on the drawings of fixtures/scale lies, and keep what it says.

    python -m tests.drawings.browser.referee            writes expected.json anew
    python -m tests.drawings.browser.referee --check    asks again and compares with expected.json

Exit code 0 where they agree, 1 on any difference, 3 where there is no browser or it does not answer.

Each drawing is loaded as a document of its own, in a frame of a page, with a script put into it. The script samples
every shape that is drawn at equal steps of `getPointAtLength`, through `getScreenCTM`. What a `use` brings in has no
such methods, so its edge is felt for with `elementFromPoint` along rays from the middle (exact to a 64th of a pixel,
0.004 mm), and its `getBBox` is kept through `getScreenCTM`. Pixels become mm at 96 to the inch.

A drawing that states no size of its own, or one in percent, has the size of whatever it is shown in. The program reads
it at 96 units to the inch, from the viewBox, so its frame is made that large: then the browser shows it at that scale.
"""

from __future__ import annotations

import contextlib
import html
import json
import math
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
EXPECTED = HERE / "expected.json"
DRAWINGS = HERE.parents[2] / "fixtures" / "scale"
MM_PER_PX = 25.4 / 96
AGREE_MM = 0.006
"""Between two runs: twice a 64th of a pixel is 0.008, and a ray that meets an edge at a slant moves along it."""

_FLAGS = (
    "--headless --no-sandbox --disable-gpu --disable-dev-shm-usage --disable-quic --no-first-run "
    "--disable-background-networking --disable-component-update --disable-sync "
    "--virtual-time-budget=60000 --timeout=60000 --window-size=3000,2000"
)
_FRAMES = {"size-missing": (420.0, 360.0), "size-percent": (300.0, 200.0), "size-one": (480.0, 320.0)}
"""Pixels. Drawings without a size of their own: their viewBox; with a width alone: the height that follows from it."""


NAMES = ("chromium", "chromium-browser", "google-chrome")
SECONDS = 180
"""For all drawings together; they take about five."""


class NoAnswerError(Exception):
    """There is no browser here, or it does not start, or it does not come to an end."""


def browser() -> str | None:
    """The browser's command, if it is there."""
    return next((found for name in NAMES if (found := shutil.which(name))), None)


def _said(words: list[str]) -> str:
    # A process group of its own, so that the browser's child processes end with it, whatever happens.
    pipe = subprocess.PIPE
    with subprocess.Popen(words, stdout=pipe, stderr=pipe, text=True, start_new_session=True) as made:
        try:
            said, complaint = made.communicate(timeout=SECONDS)
        except subprocess.TimeoutExpired:
            raise NoAnswerError(f"{words[0]} did not come to an end within {SECONDS} s") from None
        finally:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(made.pid, signal.SIGKILL)
    if made.returncode:
        raise NoAnswerError(f"{words[0]} ended with {made.returncode}: {' '.join(complaint.split())[-300:]}")
    return said


def asked(drawings: Path = DRAWINGS) -> dict[str, list[dict[str, Any]]]:
    """What the browser says of every drawing in a folder: its shapes in the order drawn, points in mm on the page."""
    command = browser()
    if command is None:
        raise NoAnswerError(f"none of {', '.join(NAMES)} is on the path")
    script = (HERE / "referee.js").read_text()
    names = sorted(path.stem for path in drawings.glob("*.svg"))
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        room = Path(folder)
        frames = []
        for name in names:
            text = (drawings / f"{name}.svg").read_text()
            asking = f"<script><![CDATA[var NAME = {json.dumps(name)};\n{script}]]></script></svg>"
            (room / f"{name}.svg").write_text(text.rstrip().removesuffix("</svg>") + asking)
            width, height = _FRAMES.get(name, (3000.0, 2000.0))
            frames.append(f'<iframe src="{name}.svg" style="border:0;width:{width}px;height:{height}px"></iframe>')
        (room / "all.html").write_text(
            "<!DOCTYPE html><pre id='said'></pre><script>addEventListener('message', function (event) {"
            "document.getElementById('said').textContent += event.data + '\\n'; });</script>" + "".join(frames)
        )
        profile, page = f"--user-data-dir={room / 'profile'}", (room / "all.html").as_uri()
        said = _said([command, *_FLAGS.split(), profile, "--dump-dom", page])
    found = re.search(r"<pre id=.said.>(.*?)</pre>", said, re.DOTALL)
    rows = html.unescape(found[1]).split("\n") if found else []
    answers: dict[str, list[dict[str, Any]]] = {}
    for row in filter(None, rows):
        answer = json.loads(row)
        if "error" in answer:
            raise SystemExit(f"{answer['name']}: {answer['error']}")
        answers[answer["name"]] = [_in_mm(shape) for shape in answer["shapes"]]
    if not answers:
        raise NoAnswerError(f"{command} started, but ran no script")
    if sorted(answers) != names:
        raise SystemExit(f"no answer for {sorted(set(names) - set(answers))}")
    return dict(sorted(answers.items()))


def _in_mm(shape: dict[str, Any]) -> dict[str, Any]:
    if shape["by"] == "nothing":
        raise SystemExit(f"nothing was hit at the middle of '{shape['id']}'")
    for key in ("points", "box"):
        if key in shape:
            shape[key] = [[round(x * MM_PER_PX, 4), round(y * MM_PER_PX, 4)] for x, y in shape[key]]
    return shape


def differences(before: dict[str, Any], now: dict[str, Any]) -> list[str]:
    """Where two answers differ by more than AGREE_MM, in words."""
    found = [f"{name}: only in one" for name in sorted(before.keys() ^ now.keys())]
    for name in sorted(before.keys() & now.keys()):
        if [shape["id"] for shape in before[name]] != [shape["id"] for shape in now[name]]:
            found.append(f"{name}: other shapes")
            continue
        for old, new in zip(before[name], now[name], strict=True):
            off = max(math.dist(a, b) for a, b in zip(old["points"], new["points"], strict=True))
            if off > AGREE_MM:
                found.append(f"{name}, {old['id']}: {off:.4f} mm")
    return found


def main(words: list[str]) -> int:
    """Write expected.json, or check it."""
    try:
        now = asked()
    except NoAnswerError as error:
        print(f"the browser was not asked: {error}")
        return 3
    count = sum(len(shapes) for shapes in now.values())
    if words == ["--check"]:
        found = differences(json.loads(EXPECTED.read_text()), now)
        print("\n".join(found) or f"the browser agrees with {EXPECTED.name}: {len(now)} drawings, {count} shapes")
        return 1 if found else 0
    rows = [f"{json.dumps(name)}: [\n" + ",\n".join(map(_row, shapes)) + "\n]" for name, shapes in now.items()]
    EXPECTED.write_text("{\n" + ",\n".join(rows) + "\n}\n")
    print(f"written: {EXPECTED.name}, {len(now)} drawings, {count} shapes")
    return 0


def _row(shape: dict[str, Any]) -> str:
    return " " + json.dumps(shape, separators=(",", ":"))


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
