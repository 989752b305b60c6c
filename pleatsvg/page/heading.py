"""The heading above the piece, and the words that hold for a whole run of pleats."""

from __future__ import annotations

from pleatsvg.page.subject import Subject
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.pleats.words import counted, numbers_down, numbers_in_words, pleat_words, told_words


def run_labels(
    pleats: tuple[LaidPleat, ...], quiet: frozenset[int], upright: bool, unit: str
) -> dict[int, tuple[str, str]]:
    # One label for a run of pin tucks that are alike, at its first.
    made: dict[int, tuple[str, str]] = {}
    for k, pleat in enumerate(pleats):
        if pleat.number not in quiet or (k and pleats[k - 1].number in quiet):
            continue
        last = k
        while last + 1 < len(pleats) and pleats[last + 1].number in quiet:
            last += 1
        said = list(dict.fromkeys([pleat_words(p.request, upright, unit) for p in pleats[k : last + 1]]))
        if last > k and len(said) == 1:
            numbers = f"PLEATS {pleat.number} TO {pleats[last].number}"
            made[pleat.number] = (f"{numbers}: {said[0]}", f"{numbers}: {pleat.request.kind.name}")
    return made


def heading_rows(
    subject: Subject, pleats: tuple[LaidPleat, ...], cut_rows: tuple[str, ...], joined: bool
) -> tuple[str, ...]:
    upright, unit = subject.lines.upright, subject.unit
    rows = [
        f"{subject.name}: flat piece with {all_pleats(subject, pleats)}",
        f"RIGHT SIDE UP.{''.join([f' {row}.' for row in cut_rows[:-1]])}",
        subject.allowance_words(joined),
    ]
    alike: dict[str, list[int]] = {}
    if subject.through is not None:
        before = subject.through.earlier
        rows.append(f"Fold pass {before.passes + 1} first, then pass {numbers_down(before.passes)} over it.")
        for old in before.told:
            words = old.said or told_words(old.kind, old.lap, old.intake_top, old.intake_hem, unit)
            alike.setdefault(f"{words} (pass {old.pass_})", []).append(old.number)
    behind = f" (pass {subject.through.earlier.passes + 1})" if subject.through is not None else ""
    for pleat in pleats:
        alike.setdefault(pleat_words(pleat.request, upright, unit) + behind, []).append(pleat.number)
    rows += [f"{numbers_in_words(numbers)}: {words}" for words, numbers in alike.items()]
    return tuple(rows)


def all_pleats(subject: Subject, pleats: tuple[LaidPleat, ...]) -> str:
    kinds = [pleat.request.kind.name for pleat in pleats]
    if subject.through is None:
        return counted(kinds)
    before = subject.through.earlier
    return f"{counted([*[old.kind for old in before.told], *kinds])} in {before.passes + 1} passes"
