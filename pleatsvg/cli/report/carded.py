"""What `card` and `sample` print, in plain words."""

from __future__ import annotations

from pleatsvg.card.cards import LEAST_WIDTH
from pleatsvg.card.sample import EACH, Sample
from pleatsvg.card.sheet import CardSheet
from pleatsvg.length import show


def carded_text(sheet: CardSheet, output: str) -> str:
    """Return which cards were made, in plain words."""
    rows: list[str] = []
    for card in sheet.cards:
        rows.append(f"{card.title}: {card.about}")
        words = [card.width_words]
        first, second = card.ends
        if card.tab is not None:
            top, hem = (show(value, card.unit) for value in card.tab)
            words.append(
                f"{card.tab_to} {top} on"
                if top == hem
                else f"{card.tab_to} {top} on at the {first}, {hem} at the {second}"
            )
        if card.press is None:
            words.append("all of it goes inside the fold for pressing")
        else:
            top, hem = (show(value, card.unit) for value in card.press)
            deep = top if top == hem else f"{top} at the {first}, {hem} at the {second}"
            words.append(f"it goes {deep} inside the fold for pressing")
        rows.append(f"  {'; '.join(words)}")
    if sheet.tiled:
        rows.append("  a card that is larger than the paper goes over several pages, to be joined by their rungs")
    if sheet.without:
        rows.append(f"  note: {sheet.small}: a card would be narrower than {LEAST_WIDTH:g} mm; mark with a ruler")
    count = len(sheet.document.pages)
    rows.append(f"Written: {output} ({'1 page' if count == 1 else f'{count} pages'}; print at actual size)")
    return "\n".join(rows)


def sample_text(sample: Sample, output: str) -> str:
    """Return what the sample holds, in plain words."""
    rows = [f"{sample.result.name}: {show(sample.width, sample.unit)} from edge to edge when it is folded"]
    for trial in sample.trials:
        face = f", face {show(trial.face, sample.unit)}" if trial.face else ""
        stack = f", {trial.stack} layers" if trial.stack > 1 else ""
        noun = trial.kind if trial.kind.endswith("tuck") else f"{trial.kind} pleat"
        spacing = show(trial.step - trial.face, sample.unit)
        rows.append(f"  {EACH} {noun}s{stack}, intake {show(trial.intake, sample.unit)}{face}, {spacing} apart")
    rows.append(
        f"  folded back: largest miss {sample.result.worst_miss:.6f} mm; write down what its {sample.folds} folds lose"
    )
    rows.append(f"Written: {output}")
    return "\n".join(rows)
