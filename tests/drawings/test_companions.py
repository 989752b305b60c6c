"""What is sewn to a pleated edge: its notches lie where the folds come to lie, told by a referee from the written files."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from pleatsvg import pleat, read, write
from pleatsvg.api import companion, fold
from pleatsvg.companion.made import Companion
from pleatsvg.errors import FitError, RequestError
from pleatsvg.pleated import PleatedPiece
from tests.referee import laying

FIXTURES = Path(__file__).parents[2] / "fixtures"
NEAR = 0.05
KNIFE = {"kind": "knife", "intake": "6cm", "lap": "left"}


def drawing(folder: Path, path: str, more: str = "", name: str = "band.svg") -> Path:
    file = folder / name
    file.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="900mm" viewBox="0 0 900 900">'
        f'<path id="seam" d="{path}"/>{more}</svg>'
    )
    return file


def band(folder: Path, length: float, more: str = "") -> Path:
    return drawing(folder, f"M 20,20 h {length!r} v 60 h {-length!r} z", more)


def written(folder: Path, result: PleatedPiece, made: Companion) -> tuple[Path, Path]:
    files = folder / "flat.svg", folder / "companion.svg"
    for one, file in zip((result, made.result), files, strict=True):
        write(one, file, force=True)
    assert all(proof.holds for file in files for proof in fold(file))
    return files


def assert_notched(folder: Path, result: PleatedPiece, made: Companion) -> list[float]:
    """Every folded fold has a notch as far along the companion, the other way round; return the spaces between notches."""
    flat, other = written(folder, result, made)
    seam, lines = laying.pleated(flat)
    ring, notches = laying.companion(other)
    edge = [line for line in lines if min(abs(seam - line.ends[0])) < 1e3]
    which = 0 if made.match.pleated[0].edge != "hem" else 1
    folds = sorted([(laying.along(seam, line.ends[which]), line.pleat, line.ends[which]) for line in edge])
    once = [folds[0]] + [b for a, b in pairwise(folds) if b[0] - a[0] > NEAR]
    own = sorted([(laying.along(ring, notch.spot), notch) for notch in notches if notch.pleat], key=lambda one: one[0])
    assert len(own) == len(once)
    there = laying.stretches(seam, [z for _, _, z in once])
    here = laying.stretches(ring, [notch.spot for _, notch in own])
    assert np.allclose(there, here[::-1], atol=NEAR)
    assert [pleat for _, pleat, _ in once] == [notch.pleat for _, notch in own][::-1]
    ends = [notch.spot for notch in notches if not notch.pleat]
    if len(ends) == 2:
        row = [notch.spot for _, notch in own]
        way = 1 if which else -1  # below a hem the companion is walked as its top is read
        spots = [ends[0], *row[::way], ends[1]]
        assert np.allclose(laying.stretches(ring, spots[::way])[::way], np.diff(made.at), atol=NEAR)
    return here[::-1]


KINDS: dict[str, tuple[str, dict[str, Any]]] = {
    "knife": ("skirt-front.svg", KNIFE),
    "box": ("skirt-front.svg", {"kind": "box", "depth": "2cm", "face": "4cm"}),
    "inverted": ("skirt-front.svg", {"kind": "inverted", "intake": "12cm"}),
    "overlapping": ("kilt-apron.svg", {"kind": "knife", "intake": "10cm", "lap": "right"}),
    "double": ("straight-panel.svg", {"kind": "knife", "intake": "8cm", "lap": "left", "stack": 2}),
    "tucks": ("straight-panel.svg", {"kind": "tuck", "intake": "2cm", "lap": "left"}),
    "a fan": ("circle-skirt-panel.svg", {"kind": "knife", "intake": "6cm", "lap": "left"}),
    "slanted": ("bodice-front.svg", {"kind": "knife", "intake": "2cm", "lap": "left"}),
}


@pytest.mark.parametrize("allowance", [(), ("15mm",)], ids=["bare", "with allowance"])
@pytest.mark.parametrize(("name", "options"), KINDS.values(), ids=KINDS.keys())
def test_a_band_is_notched_where_the_folds_come_to_lie(
    name: str, options: dict[str, Any], allowance: tuple[str, ...], tmp_path: Path
) -> None:
    result = pleat(read(FIXTURES / name), **options, allowance=allowance)
    length = result.top_lengths[0]
    made = companion(read(band(tmp_path, length)), "band", "hem", result, allowance=allowance)
    assert_notched(tmp_path, result, made)
    assert (made.at[0], made.at[-1]) == (0.0, pytest.approx(length))
    assert abs(made.match.off) < 1e-6


def test_an_asymmetric_skirt_has_its_folds_in_the_order_of_sewing(tmp_path: Path) -> None:
    """On a waistband above they lie from left to right as on the skirt; on a facing, which is turned over, mirrored."""
    source = drawing(
        tmp_path,
        "M 0,0 H 400 V 300 H 0 Z",
        '<path id="slash_1" d="M 60,0 V 300"/><path id="slash_2" d="M 150,0 V 300"/>',
        "skirt.svg",
    )
    result = pleat(read(source), kind="knife", intake="4cm", lap="left")
    whole = read(band(tmp_path, 400.0))
    above = companion(whole, "waistband", "hem", result)
    facing = companion(whole, "facing", "top", result)
    assert above.at == facing.at == (0.0, 60.0, 150.0, 400.0)
    assert (above.match.begins, facing.match.begins) == ("left", "right")
    for made, wanted in ((above, [60.0, 150.0]), (facing, [340.0, 250.0])):
        assert_notched(tmp_path, result, made)
        ring, notches = laying.companion(tmp_path / "companion.svg")
        left = ring.real.min()
        assert [notch.spot.real - left for notch in notches if notch.pleat] == pytest.approx(wanted, abs=NEAR)


def test_a_facing_lies_on_the_folded_piece_fold_on_notch_up_to_the_cut_edge(tmp_path: Path) -> None:
    """The mirror image of the skirt itself: turned over it covers it, and notches meet at the seam and at the cut edge."""
    result = pleat(read(FIXTURES / "skirt-front.svg"), **KNIFE, allowance="15mm")
    mirrored = drawing(
        tmp_path,
        "M 680,200 C 560,220 440,220 320,200 C 286,330 260,550 240,800 C 413,786 587,786 760,800 C 740,550 714,330 680,200 Z",
    )
    made = companion(read(mirrored), "facing", "top", result, allowance="15mm")
    flat, other = written(tmp_path, result, made)
    seam, lines = laying.pleated(flat)
    ring, notches = laying.companion(other)
    turned = {notch.pleat: (-notch.spot.conjugate(), -notch.points.conj()) for notch in notches if notch.pleat}
    # Corner on corner: the top left of the skirt lies on the facing's top right.
    shift = min(seam, key=lambda z: z.real + 2 * z.imag) - min(-ring.conj(), key=lambda z: z.real + 2 * z.imag)
    assert sorted(turned) == [1, 2, 3]
    for line in lines:
        spot, points = turned[line.pleat]
        assert abs(spot + shift - line.ends[0]) < NEAR
        assert min(abs(z + shift - line.nodes[0]) for z in points) < NEAR


def test_front_and_back_are_sewn_to_one_waistband(tmp_path: Path) -> None:
    front = pleat(read(FIXTURES / "skirt-front.svg"), **KNIFE)
    back = pleat(read(FIXTURES / "straight-panel.svg"), kind="box", depth="2cm")
    lengths = front.top_lengths[0], back.top_lengths[0]
    whole = read(band(tmp_path, 20 + sum(lengths) + 30))
    made = companion(whole, "waistband", "hem", [front, back], start="2cm", beyond="3cm")
    ends = [0.0, lengths[0], lengths[0], sum(lengths)]
    assert made.at[0] == 20.0
    assert made.at[4] == pytest.approx(20 + ends[1])
    assert made.at[-1] == pytest.approx(20 + ends[3])
    assert len(made.at) == 3 + 3 + 8  # ends and the seam between them, folds of the front, folds of the back
    # The spaces add up to the whole edge.
    spaces = [b - a for a, b in pairwise(made.at)]
    assert min(spaces) > 0
    assert sum(spaces) + 20 + 30 == pytest.approx(made.match.edge[1])
    write(made.result, tmp_path / "made.svg")
    (proof,) = fold(tmp_path / "made.svg")
    assert proof.holds
    assert proof.sewn_to == ((front.name, 3), (back.name, 8))


def test_a_half_piece_is_opened_out_or_stays_half(tmp_path: Path) -> None:
    result = pleat(read(FIXTURES / "gallery" / "half-skirt.svg"), kind="inverted", intake="8cm", allowance="15mm")
    half = result.top_lengths[0]
    whole = companion(read(band(tmp_path, 2 * half)), "band", "hem", result, allowance="15mm")
    assert whole.at == pytest.approx((0.0, half, 2 * half))
    assert_notched(tmp_path, result, whole)
    x = 20 + half
    drawn = read(band(tmp_path, half, f'<path id="fold_edge" d="M {x!r},20 V 80"/>'))
    kept = companion(drawn, "band", "hem", result, allowance="15mm")
    assert kept.match.edge[1] == pytest.approx(half)
    assert kept.at == (0.0,)  # nothing is notched on the fold of the cloth
    assert kept.result.laid.ground.on_fold
    write(kept.result, tmp_path / "kept.svg")
    (proof,) = fold(tmp_path / "kept.svg")
    assert proof.holds
    assert "FOLD 1" in (tmp_path / "kept.svg").read_text()


def test_half_a_companion_is_opened_out_for_a_whole_piece(tmp_path: Path) -> None:
    result = pleat(read(FIXTURES / "skirt-front.svg"), **KNIFE)
    length = result.top_lengths[0]
    drawn = read(band(tmp_path, length / 2, '<path id="fold_edge" d="M 20,20 V 80"/>'))
    made = companion(drawn, "band", "hem", result)
    assert made.match.edge[1] == pytest.approx(length)
    assert any("was opened out at its fold edge" in remark for remark in made.result.remarks)
    assert_notched(tmp_path, result, made)


def test_all_round_it_begins_where_the_round_does(tmp_path: Path) -> None:
    result = pleat(
        read(FIXTURES / "skirts" / "round-skirt.svg"),
        **KNIFE,
        count=24,
        ring="left side=right side",
        cloth_width="140cm",
    )
    made = companion(read(band(tmp_path, 720.0)), "band", "hem", result)
    assert made.at == pytest.approx((0.0, *[15 + 30 * k for k in range(24)], 720.0))


def test_a_hem_facing_has_the_folds_of_the_hem(tmp_path: Path) -> None:
    result = pleat(read(FIXTURES / "gallery" / "panel.svg"), kind="kick", intake="10cm", height="15cm")
    length = result.hem_lengths[0]
    made = companion(read(band(tmp_path, length)), "facing", "top", result)  # kick pleats have no fold at the top
    assert made.match.pleated[0].edge == "hem"
    assert_notched(tmp_path, result, made)
    with pytest.raises(FitError, match="has no fold on its top"):
        companion(read(band(tmp_path, length)), "facing", "top", result, on="top")


def test_a_mark_says_where_the_sewing_begins(tmp_path: Path) -> None:
    result = pleat(read(FIXTURES / "skirt-front.svg"), **KNIFE)
    drawn = read(FIXTURES / "waistband.svg")
    marked = companion(drawn, "waistband", "hem", result, start="underlap")
    measured = companion(drawn, "waistband", "hem", result, start="3cm")
    assert marked.at == pytest.approx(measured.at)
    with pytest.raises(
        FitError, match=r"The mark 'undrlap' of 'waistband' is not on its drawing; the nearest is 'underlap'"
    ):
        companion(drawn, "waistband", "hem", result, start="undrlap")
    with pytest.raises(FitError, match=r"'middle' of 'waistband' does not stand at its hem"):
        companion(drawn, "waistband", "hem", result, start="middle")


def test_lengths_are_held_against_each_other(tmp_path: Path) -> None:
    result = pleat(read(FIXTURES / "skirt-front.svg"), **KNIFE)
    length = result.top_lengths[0]
    made = companion(read(band(tmp_path, length + 3.1)), "band", "hem", result)
    assert made.match.agrees
    assert made.match.off == pytest.approx(3.1)
    for off, words in ((3.3, "too long"), (-3.3, "too short")):
        drawn = read(band(tmp_path, length + off))
        with pytest.raises(FitError, match=rf"takes 36\.17 cm of it: 0\.33 cm {words}; the two may differ by 0\.32 cm"):
            companion(drawn, "band", "hem", result)
        companion(drawn, "band", "hem", result, tolerance="4mm")
    with pytest.raises(FitError, match=r"edge: 'from 3cm' .*, 'beyond 3cm'"):
        companion(read(band(tmp_path, length + 30)), "band", "hem", result)
    with pytest.raises(FitError, match=r"Edge 'hemm' of companion 'band' is not on its drawing.*the nearest is 'hem'"):
        companion(read(band(tmp_path, length)), "band", "hemm", result)
    with pytest.raises(RequestError, match=r"The option 'intake' is not known"):
        companion(read(band(tmp_path, length)), "band", "hem", result, intake="6cm")


def test_a_notch_that_was_moved_is_found(tmp_path: Path) -> None:
    """By 0.2 mm along the edge; all together as well, and one that is gone."""
    result = pleat(read(FIXTURES / "skirt-front.svg"), **KNIFE)
    made = companion(read(FIXTURES / "waistband.svg"), "waistband", "hem", result, start="3cm")
    file = tmp_path / "made.svg"
    write(made.result, file)
    text = file.read_text()
    (proof,) = fold(file)
    assert proof.holds
    notches = re.findall(r'<path class="notch"[^>]*?/>\n', text)
    assert len(notches) == 5

    def moved(notch: str) -> str:
        return re.sub(r"([ML]) ([\d.]+),", lambda m: f"{m[1]} {float(m[2]) + 0.2:.3f},", notch)

    for some in (notches[2:3], notches):
        spoilt = text
        for notch in some:
            spoilt = spoilt.replace(notch, moved(notch))
        file.write_text(spoilt)
        (proof,) = fold(file)
        assert [figure.name for figure in proof.figures if not figure.holds] == ["companion_notches"]
    file.write_text(text.replace(notches[1], ""))
    (proof,) = fold(file)
    assert any("notches" in fault and "gone" in fault for fault in proof.faults)


def test_pleats_of_several_passes(tmp_path: Path) -> None:
    """Tucks across the pleats leave the folds of the top where they are; a result that is pleated once more is refused."""
    down = {"slash": "all", **KNIFE}
    across = {
        "kind": "tuck",
        "intake": "2cm",
        "lap": "down",
        "along": "left side",
        "count": 2,
        "run": "level",
        "pass": 2,
    }
    result = pleat(read(FIXTURES / "straight-panel.svg"), pleats=[down, across])
    made = companion(read(band(tmp_path, 600.0)), "band", "hem", result)
    assert made.at == pytest.approx((0.0, 150.0, 250.0, 350.0, 450.0, 600.0))
    write(pleat(read(FIXTURES / "straight-panel.svg"), **KNIFE), tmp_path / "once.svg")
    twice = pleat(read(tmp_path / "once.svg"), **{key: value for key, value in across.items() if key != "pass"})
    with pytest.raises(FitError, match="was folded in several passes"):
        companion(read(band(tmp_path, 600.0)), "band", "hem", twice)
