"""The companions of a batch: made when every piece is, from what the records of these say of their folded edges."""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from pleatsvg import api
from pleatsvg.batch.account import Record
from pleatsvg.batch.account.earlier import Earlier, digest_of
from pleatsvg.batch.account.record import companion_record, failed_record
from pleatsvg.batch.jobfile.read import EdgeOf, JobCompanion
from pleatsvg.batch.making import Maker, Making, reason_of
from pleatsvg.batch.matching import named_records, plain
from pleatsvg.batch.output_names import same_file_key
from pleatsvg.batch.tasks import Plan, companion_output
from pleatsvg.companion.folded_edge import FoldedEdge, folded_edge_from
from pleatsvg.drawing.source import bytes_of
from pleatsvg.errors import FitError, JobError, OutputError, near_names
from pleatsvg.writing.result import result_bytes

if TYPE_CHECKING:
    from pleatsvg.companion.made import Companion


def companions_made(plan: Plan, maker: Maker, records: Iterable[Record]) -> Iterator[Making]:
    """Make the companions of a job, each as it is asked for.

    Args:
        plan: of the batch.
        maker: of its pieces, which writes them.
        records: of every piece.
    """
    if not plan.companions:
        return
    wanted = {plain(edge.piece) for one, _ in plan.companions for edge in one.sewn_to}
    taken: dict[str, str] = {}
    found, known = named_records(_noted(records, taken), wanted)
    for number, (one, file) in enumerate(plan.companions, plan.first_companion):
        if plan.others and not all(plain(edge.piece) in found for edge in one.sewn_to):
            continue  # what it is sewn to was left out of this run
        yield _made(number, one, file, maker, _Pieces(found, known, taken))


def _noted(records: Iterable[Record], taken: dict[str, str]) -> Iterator[Record]:
    # The same records; whose output has which name is noted.
    for record in records:
        if record["output"]:
            taken[same_file_key(record["output"])] = record["piece"]
        yield record


class _Pieces(NamedTuple):
    """The pieces of a batch: their records by name, what they are called, and whose output is called what."""

    found: Mapping[str, list[Record]]
    known: list[str]
    taken: Mapping[str, str]


def _made(number: int, one: JobCompanion, file: str, maker: Maker, pieces: _Pieces) -> Making:
    plan = maker.plan
    start = time.perf_counter()
    output = companion_output(one)
    head: Record = {
        "task": number,
        "part": 1,
        "line": one.line,
        "drawing": one.drawing[0],
        "piece": one.asked.name,
        "output": output,
    }
    try:
        other = pieces.taken.get(same_file_key(output))
        if other is not None:
            raise OutputError(
                f"The output '{output}'",
                f"is that of '{other}', too",
                "each result has a file of its own; capitals do not tell two names apart",
                "Give the companion another output.",
            )
        pleated = [_edge(edge, pieces.found, pieces.known) for edge in one.sewn_to]
        digest = _digest(one, pleated, plan.program, file)
        kept = _kept(maker.earlier, digest, output, plan) if maker.resume else None
        if kept is not None:
            return Making({**kept, **head}, kept=True)
        made = _companion(one, pleated, file)
        data = result_bytes(made.result)
        writing = maker.begin_writing(output, data)
        sha256 = hashlib.sha256(data).hexdigest()
        return Making(companion_record(head, made, digest, sha256, plan.edges, time.perf_counter() - start), writing)
    except Exception as error:
        return Making(failed_record(head, reason_of(error), time.perf_counter() - start))


def _companion(one: JobCompanion, pleated: list[FoldedEdge], file: str) -> Companion:
    from pleatsvg.companion.made import companion_of

    if one.piece is not None:
        drawn = api.read(file, piece=one.piece, drawing_unit=one.drawing_unit, shows=one.shows)
    else:
        drawn = api.read_called(file, one.asked.name, drawing_unit=one.drawing_unit, shows=one.shows)
    return companion_of(drawn, one.asked, pleated, one.order)


def _edge(edge: EdgeOf, found: Mapping[str, list[Record]], known: list[str]) -> FoldedEdge:
    named = f"'{edge}'" if edge.edge else f"'{edge.piece}'"
    records = found.get(plain(edge.piece), [])
    if len(records) != 1:
        count = "no piece" if not records else f"{len(records)} pieces"
        near = near_names(edge.piece, list(dict.fromkeys(known))) if not records else "each needs a name of its own"
        is_are = "is" if len(records) < 2 else "are"
        raise JobError(named, f"cannot be sewn to: {count} of this batch {is_are} called so", near, "Correct sewn_to.")
    (record,) = records
    edges = record.get("folded_edges")
    if edges is None and record["state"] == "made":
        raise FitError(
            named,
            "cannot be sewn to, since it was made before the companion was asked for",
            "",
            "Make it again, without --only.",
        )
    if edges is None:
        raise FitError(named, "cannot be sewn to, since its piece was not made", "", "Mend that piece first.")
    if isinstance(edges, str):
        raise FitError(named, f"cannot be sewn to: {edges}", "", "Take the companion out, or change the piece.")
    known_edges = [one for one in map(folded_edge_from, edges) if one is not None]
    if not known_edges:
        raise FitError(named, "cannot be sewn to, since its record is spoilt", "", "Run the batch with --force.")
    if not edge.edge:
        return known_edges[0]
    for one in known_edges:
        if one.edge == plain(edge.edge):
            return one
    near = near_names(edge.edge, [one.edge for one in known_edges])
    raise FitError(named, "has no folds that come to lie on it, or is not there", near, "Name the pleated edge.")


def _digest(one: JobCompanion, pleated: list[FoldedEdge], program: str, file: str) -> str:
    # All that its bytes depend on.
    asked = [program, Path(file).name, one.piece, one.drawing_unit, one.shows, one.options, repr(one.asked)]
    asked += [edge.data() for edge in pleated]
    made = hashlib.sha256(json.dumps(asked, sort_keys=True, default=str).encode(errors="surrogatepass"))
    made.update(hashlib.sha256(bytes_of(Path(file))).digest())
    return made.hexdigest()


def _kept(earlier: Earlier, digest: str, output: str, plan: Plan) -> Record | None:
    line = earlier.made.get(digest, {}).get(1)
    if line is None:
        return None
    record: Record = json.loads(line)
    if "companion" not in record or record["output"] != output or (plan.edges and "edges_mm" not in record):
        return None
    return record if digest_of(plan.folder / output) == record["sha256"] else None
