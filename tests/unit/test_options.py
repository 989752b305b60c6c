"""One row in the table of options is an option everywhere: on the command line, in a job file, in Python, in README."""

from __future__ import annotations

import inspect
import re
from pathlib import Path

import pytest

from pleatsvg import pleat, read
from pleatsvg.batch.jobfile.read import read_job
from pleatsvg.cli.pleat import pleat as pleat_command
from pleatsvg.errors import JobError, RequestError
from pleatsvg.kinds import KINDS, Kind
from pleatsvg.order.options import OPTIONS, PIECE_OPTIONS, PLEAT_OPTIONS, ROWS, Of, Option, Value, taken_by
from pleatsvg.order.piece_order import order_from

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")

ASKED = [row for row in ROWS if row.name in (*PLEAT_OPTIONS, *PIECE_OPTIONS)]
KINDLY = [row for row in ROWS if row.unlike]
SOUND = {"kind": "knife", "intake": "6cm", "lap": "left"}


def named(row: Option) -> str:
    return row.name


def unfit(row: Option) -> str:
    """What no option takes as its value in a job file; a number, but where a number is wanted."""
    return "nan" if row.value is Value.AMOUNT else "1.5"


@pytest.mark.parametrize("row", ASKED, ids=named)
def test_python_reads_it_and_refuses_what_it_does_not_take(row: Option) -> None:
    with pytest.raises(RequestError) as refused:
        order_from(**{**SOUND, row.name: object()})
    assert refused.value.about == (row.name,)


@pytest.mark.parametrize("row", ASKED, ids=named)
def test_a_job_file_has_its_key_and_the_kind_of_its_value(row: Option, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(f'[[piece]]\ndrawing = "front.svg"\n{row.name} = {unfit(row)}\n')
    with pytest.raises(JobError, match=rf"line 3: key '{row.name}' is {re.escape(unfit(row))}") as refused:
        read_job(job)
    assert ("without a unit" in str(refused.value)) == (row.value in (Value.LENGTH, Value.EDGES))


@pytest.mark.parametrize("row", ASKED, ids=named)
def test_a_run_of_pleats_takes_what_speaks_of_its_pleats_and_lines_only(row: Option, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(f'[[piece]]\ndrawing = "front.svg"\n[[piece.pleat]]\n{row.name} = {unfit(row)}\n')
    with pytest.raises(JobError, match="line 4") as refused:
        read_job(job)
    assert ("is not known in [[piece.pleat]]" in str(refused.value)) == (row.of is Of.PIECE)


def test_the_command_takes_them_in_the_order_of_the_table() -> None:
    assert list(inspect.signature(pleat_command).parameters) == [
        "drawing",
        *[row.parameter for row in taken_by("pleat")],
    ]
    assert {row.name for row in ROWS if "pleat" not in row.commands and row.of is not Of.COMMAND} == {
        "pass",
        "share",
        "weight",
    }


def test_readme_tells_of_every_one() -> None:
    def told(row: Option) -> bool:
        short = rf"|-{row.letter}" if row.letter else ""
        return re.search(rf"(?<![\w-])(?:{row.flag}{short})(?![\w-])", README) is not None

    rows = [*taken_by("pleat"), *taken_by("tile"), *taken_by("card")]
    assert len(rows) > 60
    assert [row.flag for row in rows if not told(row)] == []


def test_readme_tells_of_no_other_option_of_pleat() -> None:
    shown = re.findall(r"^\$? ?(?:\.venv/bin/)?pleatsvg pleat .*$|^\| `(--.*?)` \|", README, flags=re.MULTILINE)
    known = {row.flag for row in taken_by("pleat")}
    assert {flag for line in shown for flag in re.findall(r"--[a-z-]+", line)} <= known


@pytest.mark.parametrize("row", KINDLY, ids=named)
@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_a_kind_that_does_not_take_it_says_so(row: Option, kind: Kind) -> None:
    whole = {"kind": kind.name, "intake": "6cm"}
    whole |= {"lap": "left"} if kind.needs_lap else {}
    whole |= {"height": "20cm"} if kind.kicks else {}
    typed: dict[str, object] = {**whole, row.name: row.words[-1] if row.value is Value.WORD else "2cm"}
    if row.name == "stitched_from":
        typed["stitched"] = "2cm"
    if row.name == "stack":
        typed["stack"] = 2
        if not row.kinds(kind):
            with pytest.raises(RequestError, match=r"stack is 2 for an? "):
                order_from(**typed)
            return
    remarks = order_from(**typed).remarks
    assert [remark.words.options[0] for remark in remarks] == [remark.option for remark in remarks]
    assert (remarks == ()) == row.kinds(kind)
    if remarks:
        (remark,) = remarks
        assert remark.option in (row.name, "stitched")
        assert str(remark.words).endswith(f"{row.unlike}.")


def test_an_unknown_keyword_is_refused_with_the_nearest_name() -> None:
    piece = read(ROOT / "fixtures" / "skirt-front.svg")
    with pytest.raises(RequestError, match=r"The option 'dept' is not known; the nearest is 'depth'\."):
        pleat(piece, kind="knife", dept="3cm", lap="left")
    with pytest.raises(RequestError, match=r"The option 'heigth' is not known; there are 'height', 'weight'\."):
        pleat(piece, pleats=[{"kind": "knife", "intake": "6cm", "heigth": "20cm"}])
    with pytest.raises(RequestError, match=r"The option 'notch' is not known"):
        pleat(piece, pleats=[{"kind": "knife", "intake": "6cm", "lap": "left", "notch": "snip"}])


def test_one_name_or_length_is_a_list_of_one() -> None:
    assert order_from(**SOUND, slash="slash 1") == order_from(**SOUND, slash=["slash 1"])
    assert order_from(**SOUND, at="8cm") == order_from(**SOUND, at=("8cm",))


def test_help_lists_the_kinds_in_their_order() -> None:
    *first, last = KINDS
    assert OPTIONS["kind"].help.startswith(f"{', '.join(first)} or {last}. ")


def test_names_are_one_for_each() -> None:
    assert len(OPTIONS) == len(ROWS)
    assert all(row.name in OPTIONS for row in ROWS)
