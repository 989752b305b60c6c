"""Look at the picture of many results in a browser, as somebody who has to cut from them: words, lines, sizes, contrast.

    python -m tests.drawings.browser.sheets             some 700 sheets, several minutes
    python -m tests.drawings.browser.sheets --sample    thirty of them
    python -m tests.drawings.browser.sheets --keep FOLDER [WORD...]   keeps the sheets, of those whose names hold every word

Makes results of every kind of pleat with every option that changes what is drawn, from every fixture, and has a browser
show each. It says where the letters of every text come to lie, and how wide and in what colours lines and letters are
drawn. Then no text may lie on another or on a line, each must stand by what is seen of its own line, capitals are at least
3 mm high and lines 0.35 mm wide, all is dark enough, and nothing leaves the page. What a person wrote or drew is held
against nothing but our own words.

Exit code 0 where every sheet passes, 1 on any finding, 3 where there is no browser or it does not answer.
"""

from __future__ import annotations

import html
import json
import re
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import shapely
from lxml import etree

import pleatsvg
from pleatsvg.errors import PleatError
from tests.drawings.browser.referee import _FLAGS, HERE, NoAnswerError, _said, browser
from tests.referee.foldback import read_path

FIXTURES = HERE.parents[2] / "fixtures"
DRAWINGS = (
    "skirt-front", "bodice-front", "circle-skirt-panel", "gore-panel", "straight-panel", "kilt-apron", "plain-square-apron",
    "gallery/panel", "gallery/half-skirt",
)  # fmt: skip
DARTED = ("skirts/darted-front", "skirts/darted-back")
"""Drawings with darts in the top, for results that are fitted."""
BARE = ("plain-square-apron",)
"""Drawings without slash lines."""
AT_A_TIME = 40
SAMPLE = 30

CAPITALS_MM, STROKE_MM, BESIDE_MM = 3.0, 0.349, 4.2
NOTCH_MM, ROWS_MM = 6.0, 12.0
"""Words at the end of a line stand beyond its notch; the name of an edge has up to three rows."""
LEAST_CONTRAST = {"words": 4.5, "lines": 3.0}
"""WCAG 2.1, 1.4.3 and 1.4.11."""
TOUCH_MM2 = 0.02

KINDS: dict[str, dict[str, Any]] = {
    "knife": {"kind": "knife", "intake": "4cm", "lap": "left"},
    "box": {"kind": "box", "depth": "1cm"},
    "inverted": {"kind": "inverted", "intake": "5cm"},
    "kick": {"kind": "kick", "intake": "8cm", "height": "15cm"},
    "tuck": {"kind": "tuck", "intake": "2cm", "lap": "right"},
    "pin-tuck": {"kind": "pin-tuck", "intake": "4mm", "lap": "left"},
}
ALLOWED: dict[str, Any] = {"allowance": ["15mm", "hem=4cm"]}
OPTIONS: dict[str, dict[str, Any]] = {
    "plain": {},
    "allowance": ALLOWED,
    "mark": {"mark": "6cm", **ALLOWED},
    "mark-stitched": {"mark": "6cm", "stitch_down": "8cm", "edge_stitch": "full"},
    "stitch-down": {"stitch_down": "8cm", **ALLOWED},
    "edge-stitch": {"edge_stitch": "full"},
    "both-stitched": {"stitch_down": "8cm", "edge_stitch": "5cm", **ALLOWED},
    "tapered": {"hem_intake": "0mm"},
    "narrow": {"intake": "1cm", **ALLOWED},
    "inches": {"intake": "1 1/2in", "allowance": "5/8in"},
    "double": {"stack": 2},
    "released": {"stitched": "12cm"},
    "triangles": {"notch": "triangle", **ALLOWED},
    "parts": {"cloth_width": "60cm", **ALLOWED},
    "underlay": {"underlay": "separate", **ALLOWED},
    "level": {"run": "level", "slash": None, "at": ["12cm"], "along": "left side"},
    "at": {"slash": None, "count": 5},
    "second-pass": {},
    "second-pass-marked": {"mark": "6cm", **ALLOWED},
    "open-fold": {"fold_edge": "left side"},
}
FITTED: dict[str, dict[str, Any]] = {
    "fitted": {"fit_length": "18cm", **ALLOWED},
    "fitted-curved": {"fit_length": "18cm", "shaping": "curved", **ALLOWED},
    "fitted-inches": {"fit_length": "6in", "intake": "1 1/2in"},
    "darts": {"darts": ["nearest"], "hip": "hip", **ALLOWED},
    "darts-curved": {"darts": ["all"], "hip": "hip", "shaping": "curved", **ALLOWED},
}
"""Pleats that are shaped above a level; where no waist is given here it is a little less than the drawn top."""
OPTIONS |= FITTED
LESS_AT_THE_WAIST = 0.94
ACROSS: dict[str, Any] = {"kind": "tuck", "intake": "2cm", "lap": "down", "at": ["9cm"], "along": "left side"}


def options_of(kind: str, option: str) -> dict[str, Any]:
    """The options of a sheet; of a level one, with the lap that level lines have."""
    merged = {**KINDS[kind], **OPTIONS[option]}
    if "intake" in OPTIONS[option]:
        merged.pop("depth", None)
    if option == "level" and "lap" in merged:
        merged["lap"] = "down"
    return {name: value for name, value in merged.items() if value is not None}


def jobs() -> list[tuple[str, str, str]]:
    """Every sheet as drawing, kind and option."""
    return [
        (drawing, kind, option)
        for option in OPTIONS
        for kind in KINDS
        for drawing in (*DRAWINGS, *(DARTED if option in FITTED else ()))
    ]


def sampled(every: Sequence[tuple[str, str, str]]) -> list[tuple[str, str, str]]:
    """So few sheets that each option, kind and drawing is among them, the same ones every time."""
    step = max(1, len(every) // (SAMPLE + 12))
    return list(every[:: step + 1 - step % 2])[: SAMPLE + 12]


def made(job: tuple[str, str, str], out: Path) -> bool:
    """Write a sheet; False where the pleats do not fit on the drawing or the option does not go with the kind."""
    drawing, kind, option = job
    try:
        piece = pleatsvg.read(FIXTURES / f"{drawing}.svg")
        options = options_of(kind, option)
        if "slash" not in OPTIONS[option] and drawing in BARE:
            options["count"] = 4
        if option in FITTED and "darts" not in options:
            top = pleatsvg.pleat(piece, **{**options, "fit_length": None, "shaping": None}).top_lengths[0]
            options["fit_waist"] = f"{LESS_AT_THE_WAIST * top:.1f}mm"
        first = out.with_suffix(".first") if option.startswith("second-pass") else out
        pleatsvg.write(pleatsvg.pleat(piece, **options), first, force=True)
        if first != out:
            pleatsvg.write(pleatsvg.pleat(pleatsvg.read(first), **ACROSS), out, force=True)
    except PleatError:
        return False
    return True


def shown(sheets: Sequence[Path]) -> Iterator[dict[str, Any]]:
    """What the browser says of each sheet."""
    command = browser()
    if command is None:
        raise NoAnswerError("there is no browser on the path")
    script = (HERE / "sheets.js").read_text()
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        room = Path(folder)
        frames = []
        for sheet in sheets:
            asking = f"<script><![CDATA[var NAME = {json.dumps(sheet.stem)};\n{script}]]></script></svg>"
            (room / sheet.name).write_text(sheet.read_text().rstrip().removesuffix("</svg>") + asking)
            frames.append(f'<iframe src="{sheet.name}" style="border:0;width:3000px;height:2000px"></iframe>')
        (room / "all.html").write_text(
            "<!DOCTYPE html><pre id='said'></pre><script>addEventListener('message', function (event) {"
            "document.getElementById('said').textContent += event.data + '\\n'; });</script>" + "".join(frames)
        )
        said = _said(
            [
                command,
                *_FLAGS.split(),
                f"--user-data-dir={room / 'profile'}",
                "--dump-dom",
                (room / "all.html").as_uri(),
            ]
        )
    found = re.search(r"<pre id=.said.>(.*?)</pre>", said, re.DOTALL)
    answers = [json.loads(row) for row in filter(None, html.unescape(found[1]).split("\n"))] if found else []
    yield from answers
    told = {answer["name"] for answer in answers}
    missing = [sheet for sheet in sheets if sheet.stem not in told]
    if missing and not answers:
        raise NoAnswerError(f"none of {len(sheets)} sheets answered")
    if missing:  # on a busy machine its time is up before the last of many; the rest are asked anew
        yield from shown(missing)


OWN_LINES = {
    "fold-label": ("fold-line", "fold-line-seen"),
    "placement-label": ("placement-line", "placement-line-seen"),
    "inner-label": ("inner-fold-line", "inner-fold-line-seen", "join-line"),
    "stitch-label": ("stitch-line", "stitch-line-seen", "stitch-down-line", "edge-stitch-line"),
    "mate-label": ("stitch-line", "stitch-line-seen"),
    "pleat-label": (
        "fold-line", "fold-line-seen", "placement-line", "placement-line-seen", "inner-fold-line", "inner-fold-line-seen",
        "stitch-line", "stitch-line-seen", "join-line",
    ),
    "grain-label": ("grain-line",),
    "edge-label": ("seam-line",),
    "balance-label": ("balance-line",),
    "join-label": ("join-line", "seam-line"),
    "seam-label": ("seam-line",),
    "fold-edge-label": ("fold-edge", "fold-edge-arrow"),
}  # fmt: skip


def findings(answer: dict[str, Any], size: tuple[float, float]) -> list[tuple[str, str]]:
    """What is wrong with a sheet, each as its sort and in words.

    Args:
        answer: what the browser says of it.
        size: of its page in mm.
    """
    if "error" in answer:
        return [("error", answer["error"])]
    texts = answer["texts"]
    boxes = [shapely.Polygon(text["corners"]) for text in texts]
    ours = [text["of"][0] != "" and "carried-text" not in text["of"] for text in texts]
    lines = [line for line in answer["lines"] if line["colour"] != "none" and line["width"] > 0]
    drawn = [_geometry(line) for line in lines]
    found: list[tuple[str, str]] = []
    tree = shapely.STRtree(boxes)
    for a, b in zip(*tree.query(boxes, predicate="intersects"), strict=True):
        if a < b and (ours[a] or ours[b]) and boxes[a].intersection(boxes[b]).area > TOUCH_MM2:
            found.append(("text on text", f"'{texts[a]['words']}' on '{texts[b]['words']}'"))
    inked = [shape.buffer(line["width"] / 2, cap_style="flat") for shape, line in zip(drawn, lines, strict=True)]
    for k, n in zip(*shapely.STRtree(inked).query(boxes, predicate="intersects"), strict=True):
        if ours[k] and boxes[k].intersection(inked[n]).area > TOUCH_MM2 and not _ground(lines[n]):
            at = boxes[k].centroid
            found.append(
                (
                    "text on line",
                    f"'{texts[k]['words']}' ({at.x:.0f}, {at.y:.0f}) on a {lines[n]['of'][0]} {lines[n]['pleat']}",
                )
            )
    found += _away(texts, boxes, lines, drawn)
    page = shapely.box(0, 0, *size)
    for what, shape in [*zip([t["words"] for t in texts], boxes, strict=True),
                        *zip([line["of"][0] for line in lines], inked, strict=True)]:  # fmt: skip
        if not page.contains(shape):
            found.append(("off the page", f"'{what}'"))
    for text, is_ours in zip(texts, ours, strict=True):
        if is_ours and text["capitals"] < CAPITALS_MM:
            found.append(("small letters", f"'{text['words']}': capitals {text['capitals']:.2f} mm"))
        if is_ours and contrast(text["colour"]) < LEAST_CONTRAST["words"]:
            found.append(("pale letters", f"'{text['words']}': {text['colour']}"))
    for line in lines:
        if line["of"][0] != "carried-line" and not _ground(line):
            if line["width"] < STROKE_MM:
                found.append(("thin line", f"{line['of'][0]}: {line['width']:.2f} mm"))
            if contrast(line["colour"]) < LEAST_CONTRAST["lines"]:
                found.append(("pale line", f"{line['of'][0]}: {line['colour']}"))
    if not any(text["of"][0] in ("piece-label", "part-label") for text in texts):
        found.append(("no name", "no name of the piece on its cloth"))
    return found


def _away(texts: list[Any], boxes: list[Any], lines: list[Any], drawn: list[Any]) -> list[tuple[str, str]]:
    # Words that stand too far from what is seen of their own line, or from the thin line that leads to it.
    found = []
    of: dict[tuple[str, str, str], list[Any]] = {}
    for line, shape in zip(lines, drawn, strict=True):
        of.setdefault((line["of"][0], line["pleat"], line["pass"]), []).append(shape)
        of.setdefault((line["of"][0], "", line["pass"]), []).append(shape)
    for text, box in zip(texts, boxes, strict=True):
        names = OWN_LINES.get(text["of"][0])
        if names is None:
            continue
        passes = {text["pass"], "1"} if text["pleat"] == "" else {text["pass"]}
        if text["of"][0] in ("grain-label", "edge-label", "balance-label"):
            passes = {line["pass"] for line in lines}
        own = [shape for name in (*names, "leader") for p in passes for shape in of.get((name, text["pleat"], p), ())]
        own += [shape for p in passes for shape in of.get(("seam-line", "", p), ()) if text["of"][0] == "seam-label"]
        far = min([box.distance(shape) for shape in own], default=float("inf"))
        if far > BESIDE_MM + (
            ROWS_MM if text["of"][0] == "edge-label" else NOTCH_MM if _beyond(text, box, own) else 0.0
        ):
            at = box.centroid
            found.append(("far from its line", f"'{text['words']}' ({at.x:.0f}, {at.y:.0f}): {far:.1f} mm"))
    return found


def _beyond(text: Any, box: Any, own: list[Any]) -> bool:
    # Words at the end of a line that is seen to its end stand beyond its notch.
    return text["of"][0] in ("fold-label", "placement-label", "pleat-label") and not any(
        shapely.box(*shape.bounds).buffer(1.0).intersects(box) for shape in own
    )


def _ground(line: Any) -> bool:
    return line["of"][0] == "fold-edge-ground"


def _geometry(line: Any) -> Any:
    a, b, c, d, e, f = line["matrix"]
    runs = []
    for points, _ in read_path(line["data"]):
        x, y = points.real, points.imag
        runs.append(shapely.LineString(list(zip(a * x + c * y + e, b * x + d * y + f, strict=True))))
    return shapely.union_all(runs) if len(runs) != 1 else runs[0]


def contrast(colour: str) -> float:
    """The contrast of a colour as a browser tells it with white paper (WCAG 2.1)."""
    channels = [float(n) / 255 for n in re.findall(r"[\d.]+", colour)[:3]]
    r, g, b = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 1.05 / (0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05)


def main(words: list[str]) -> int:
    """Make the sheets, have them shown, tell what is wrong."""
    every = jobs()
    keep = None
    if words[:1] == ["--sample"]:
        every = sampled(every)
    elif words[:1] == ["--keep"]:
        keep = Path(words[1])
        keep.mkdir(exist_ok=True)
        every = [job for job in every if all(any(word in part for part in job) for word in words[2:])]
    told: Counter[str] = Counter()
    examples: dict[str, list[str]] = {}
    count = faulty = 0
    try:
        with tempfile.TemporaryDirectory() as folder:
            room = keep or Path(folder)
            sheets = []
            for job in every:
                out = room / f"{'--'.join(job).replace('/', '_')}.svg"
                if made(job, out):
                    sheets.append(out)
                    if words[:1] == ["--sample"] and len(sheets) == SAMPLE:
                        break
            for start in range(0, len(sheets), AT_A_TIME):
                some = sheets[start : start + AT_A_TIME]
                for sheet, answer in zip(some, sorted(shown(some), key=lambda a: _order(some, a)), strict=True):
                    root = etree.parse(sheet).getroot()
                    size = tuple(float(str(root.get(side)).removesuffix("mm")) for side in ("width", "height"))
                    wrong = findings(answer, (size[0], size[1]))
                    count += 1
                    faulty += bool(wrong)
                    for sort, what in wrong:
                        told[sort] += 1
                        examples.setdefault(sort, []).append(f"{sheet.stem}: {what}")
    except NoAnswerError as error:
        print(f"the browser was not asked: {error}")
        return 3
    for sort, number in told.most_common():
        print(f"{sort}: {number}")
        rows = examples[sort]
        print("".join(f"  {row}\n" for row in rows[:: max(1, len(rows) // 12)]), end="")
    print(f"{count} sheets looked at, {faulty} with findings")
    return 1 if faulty else 0


def _order(sheets: Sequence[Path], answer: dict[str, Any]) -> int:
    return [sheet.stem for sheet in sheets].index(answer["name"])


if __name__ == "__main__":
    if shutil.which("chromium") is None and browser() is None:
        print("the browser was not asked: there is none")
        raise SystemExit(3)
    raise SystemExit(main(sys.argv[1:]))
