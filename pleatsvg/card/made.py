"""Cards from a result or from lengths, to the bytes of their file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from pleatsvg.card.cards import Card, card_from_lengths, cards_of
from pleatsvg.card.sheet import CardSheet, card_sheet
from pleatsvg.drawing.read_result import result_from
from pleatsvg.errors import RequestError
from pleatsvg.kinds import KINDS
from pleatsvg.length import Length
from pleatsvg.order.given import Given, refuse_unknown
from pleatsvg.order.options import as_listed
from pleatsvg.paper.sizes import Paper, margins_from, paper_from
from pleatsvg.pleats.words import kinds_in_words
from pleatsvg.printing.faces import Setting
from pleatsvg.proof.prove import proven
from pleatsvg.wording import message, option

LENGTHS = ("kind", "intake", "depth", "hem_intake", "spacing", "face", "length")


def card_file(
    source: tuple[str, bytes] | None,
    lengths: Mapping[str, Any],
    paper: str,
    margin: str | Sequence[str],
    svg: bool,
) -> tuple[CardSheet, bytes]:
    """Return cards and the bytes of their file; cf. `pleatsvg.api.cards`."""
    refuse_unknown(lengths, LENGTHS)
    given = Given(lengths)
    asked = [name for name in LENGTHS if given.has(name)]
    cards: tuple[Card, ...]
    small: dict[int, str]
    if source is not None:
        if asked:
            raise RequestError(
                option(asked[0]),
                "is given beside a result",
                "a result has its own lengths",
                "Give the result alone, or lengths alone.",
            )
        (cards, small), name = _of_result(*source)
    else:
        cards, small, name = (_of_lengths(given),), {}, ""
    sheet = paper_from(paper)
    margins = margins_from([margin] if isinstance(margin, str) else list(margin))
    setting = Setting()
    made = card_sheet(cards, name, sheet, margins, setting)
    if svg and len(made.document.pages) > 1:
        made = card_sheet(cards, name, Paper("one page of its own size", 0.0, 0.0, "one"), margins, setting)
    if svg:
        from pleatsvg.printing.svg import proven_svgs

        ((_, data),), _ = proven_svgs(made.document, setting, None)
    else:
        from pleatsvg.printing.pdf import proven_pdf

        data, _ = proven_pdf(made.document, setting, None)
    return replace(made, without=tuple(small), small=kinds_in_words(small, small) if small else ""), data


def _of_result(source: str, data: bytes) -> tuple[tuple[tuple[Card, ...], dict[int, str]], str]:
    result = result_from(data, source)
    pieces = [piece for piece in result.pieces if piece.by_role("seam-line")]
    proofs = [proven(piece, source, "measured") for piece in pieces]
    labels = [words.text for piece in pieces for words in piece.words if words.tag.role == "pleat-label"]
    return cards_of(proofs, labels), ", ".join([piece.name for piece in pieces])


def _of_lengths(given: Given) -> Card:
    kind = given.options.get("kind")
    kind = as_listed(kind, KINDS) or kind
    if kind is None:
        raise RequestError(
            "A card",
            "is asked for without a result and without a kind of pleat",
            "it is made from one or the other",
            message("Give a result, or {} with {}.", option("kind", "knife"), option("intake", "6cm")),
        )
    known = KINDS.get(str(kind))
    intake, depth = given.length("intake"), given.length("depth")
    if (intake is None) == (depth is None):
        raise RequestError(
            option("intake"),
            "is missing" if intake is None else "and the depth are both given",
            "one of intake and depth says how much a pleat takes up",
            message("Give {}, or {}.", option("intake", "6cm"), option("depth", "3cm")),
        )
    if intake is None:
        assert depth is not None
        taken = known.folds(-1).depths_taken if known is not None else 2
        intake = replace(depth, mm=depth.mm * taken)
    hem: Length | None = given.length("hem_intake")
    return card_from_lengths(
        str(kind), intake, hem, given.length("spacing"), given.length("face"), given.length("length")
    )
