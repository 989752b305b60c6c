"""The account of a batch: a record of each result, in the journal while it runs, in the summary when it is done."""

from __future__ import annotations

from typing import Any

Record = dict[str, Any]
"""The record of one piece, as in summary.json; lengths in mm.

`task` and `part` order the records: the task's number in the job, and the piece's on its drawing. `seconds` is the
only value that differs from run to run.
"""
