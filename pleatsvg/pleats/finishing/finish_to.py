"""A piece that is drawn as flat cloth, finished to a length: its count or its intake found, and the finished piece with it.

What is asked for is the length of the folded top seam (and of a balance line), so the intake is found on those lengths
themselves. The finished piece then goes the way of every other: its pleats are laid out, its seam unfolded and proven. All
lengths are in mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property

from pleatsvg.drawing.drawn import DrawnShape
from pleatsvg.errors import FitError, near_names
from pleatsvg.geometry.segment import heading, turn_between
from pleatsvg.kinds import noun_of
from pleatsvg.length import show
from pleatsvg.order.finish import FinishTo
from pleatsvg.order.given import Given
from pleatsvg.order.piece_order import Order
from pleatsvg.order.pleat_order import PleatOrder
from pleatsvg.piece.edges import edge_named, seam_edges
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.piece.slash_lines import SlashSet, in_order
from pleatsvg.pleats.finishing.cloth import Folded, NoRoomError, face_of, folded, folded_top, strips_of
from pleatsvg.pleats.finishing.moved_along import Mover, balance_runs, length_along
from pleatsvg.pleats.finishing.solve import NotFoundError, one_intake, two_intakes
from pleatsvg.pleats.refusals import by_words
from pleatsvg.pleats.requests import as_named, lines_for
from pleatsvg.pleats.spaces import typed
from pleatsvg.pleats.words import folded_words
from pleatsvg.tolerance import CORNER_TURN, ON_FOLD, ROUNDED_INTAKE
from pleatsvg.wording import Words, message, option

_NEAR_THE_END = 0.01
"""mm. A length that misses by no more is found with the next step, but for rounding."""


@dataclass(frozen=True, slots=True)
class Finish:
    """What was found for a piece that is finished to a length, in mm.

    Attributes:
        asked: the length asked for at the top.
        drawn: that of the flat cloth as drawn.
        count: of the pleats.
        intake_top, intake_hem: of each.
        counted: the count before it was rounded, where it was found; else None.
        given: the intake that was given, or None.
        balance: name of the balance line, its length as drawn and as asked for; or None.
        trued: how far the drawn seam was moved at most, so that it lies smooth when folded.
        noun: what the pleats are called, as `folded_words` says.
    """

    asked: float
    drawn: float
    count: int
    intake_top: float
    intake_hem: float
    counted: float | None
    given: float | None
    balance: tuple[str, float, float] | None
    trued: float
    noun: str

    def words(self, unit: str) -> list[Words | str]:
        """Return what is told of it, in sentences."""
        each = show(self.intake_top, unit)
        if abs(self.intake_top - self.intake_hem) > ROUNDED_INTAKE:
            each += f" at the top and {show(self.intake_hem, unit)} at the hem"
        told: list[Words | str] = [
            f"The drawing is flat cloth: {show(self.drawn, unit)} across the top, finished to {show(self.asked, unit)} by "
            f"{self.count} {f'{self.noun[:-1]} that takes' if self.count == 1 else f'{self.noun} that take'} up {each}"
            f"{'' if self.count == 1 else ' each'}."
        ]
        if self.counted is not None and abs(self.counted - self.count) > 1e-6:
            assert self.given is not None
            way = "up" if self.count > self.counted else "down"
            told.append(
                f"An intake of {show(self.given, unit)} makes {self.counted:.2f} {self.noun}, rounded {way} to {self.count}; "
                f"so each takes up {show(self.intake_top, unit)}."
            )
        if self.balance is not None:
            name, drawn, asked = self.balance
            told.append(
                f"'{name}' is {show(drawn, unit)} across as drawn, finished to {show(asked, unit)}, by tapered {self.noun}."
            )
        if self.trued > 0.05:
            told.append(
                f"The seam slants or curves across the {self.noun}: it was trued by up to {show(self.trued, unit)}, so that it "
                "lies smooth when they are folded."
            )
        return told


@dataclass(frozen=True, slots=True)
class FinishedTo:
    """A finished piece made of flat cloth, its slash lines, for each the order for its pleat, and what was found."""

    piece: FinishedPiece
    lines: list[StraightLine]
    orders: list[PleatOrder]
    finish: Finish
    remarks: list[str]


def finished_to(cloth: FinishedPiece, order: Order, fold: StraightLine | None = None) -> FinishedTo:
    """Return the finished piece that flat cloth becomes.

    Args:
        cloth: as drawn, flat.
        order: with `finish`.
        fold: the fold edge of a piece that is cut on the fold.

    Raises:
        FitError: the cloth cannot be finished so.
    """
    finish = order.finish
    assert finish is not None
    _refuse_unfit(cloth, order)
    order, counted = _with_count(cloth, order, finish)
    for one in order.pleats:
        if one.placing is not None and one.placing.shares_out:
            edge = edge_named(seam_edges(cloth.outline), one.placing.along or "top")
            _refuse_wider(finish, edge.length, order.unit)
    used, asked_of, remarks = lines_for(cloth, order, fold)
    orders = as_named(used, asked_of, True)
    _refuse_orders(orders, finish)
    lines = in_order(cloth.outline, used, order.unit)
    orders = [orders[k] for k in lines.given]
    if not lines.upright:
        raise FitError(
            f"The lines on '{cloth.name}'",
            "run across the page",
            message(
                "{} says how wide the cloth is when pleats that run down from the top are folded", option("finish_to")
            ),
            message("Leave out {}, or place upright lines.", option("finish_to")),
        )
    _refuse_on_fold(lines, fold)
    search = _Search(cloth, lines, orders, finish, order.unit)
    top, hem = search.found()
    given = _agreeing([one for one in orders if not one.open], top, hem, counted is not None, finish, len(orders))
    try:
        made = search.cloth_at(top, hem)
    except NoRoomError as error:  # at the hem
        search.room = error
        raise search.no_room(top) from None
    _refuse_corners(lines, made)
    mover = Mover(lines, made)
    piece = mover.piece(cloth)
    if mover.left_out:
        names = ", ".join([f"'{name}'" for name in dict.fromkeys(mover.left_out)])
        remarks.append(f"Left out, since it lies on cloth that the pleats hide: {names}.")
    return FinishedTo(
        piece,
        _lines_on(lines, used, made, mover),
        [
            replace(one, intake_top=top, intake_hem=hem, face=face_of(one, max(top, hem)), placing=None, open=False)
            for one in orders
        ],
        Finish(
            asked=finish.top,
            drawn=search.drawn,
            count=len(orders),
            intake_top=top,
            intake_hem=hem,
            counted=counted,
            given=given,
            balance=None if finish.balance is None else (finish.balance[0], search.drawn_balance, finish.balance[1]),
            trued=made.trued,
            noun=folded_words([one.kind.name for one in orders]),
        ),
        remarks,
    )


def _refuse_corners(lines: SlashSet, made: Folded) -> None:
    # Where panels are turned against each other, or slide past each other along a slant, the seam turns at their fold.
    for runs, end in ((made.tops, "top"), (made.hems, "hem")):
        for one, other, strip in zip(runs, runs[1:], made.strips, strict=False):
            if not one.segments or not other.segments:
                continue
            a, b = (one.segments, other.segments) if end == "top" else (other.segments, one.segments)
            turn = turn_between(heading(a[-1], 1.0), heading(b[0], 0.0))
            if turn > CORNER_TURN:
                raise FitError(
                    f"The {end} of the cloth",
                    f"would turn a corner of {turn:.0f} degrees at '{lines.names[strip.line]}' when its pleat is folded",
                    f"up to {CORNER_TURN:.0f} degrees the seam is one edge there, which can be sewn on",
                    message(
                        "Share the intake among more pleats, let them take up as much at the hem as at the top, or lay the "
                        "lines square to the seam, with {}.",
                        option("run", "square"),
                    ),
                )


def _refuse_unfit(cloth: FinishedPiece, order: Order) -> None:
    for unfit, words, remedy in (
        (cloth.earlier is not None, "is a result that has pleats already", "Finish the drawing that it was made from."),
        (cloth.shared is not None, "has its neighbour laid against it", message("Leave out {}.", option("continue"))),
        (
            cloth.cut is not None or order.allowances.drawn is not None,
            "has a cutting line that is drawn",
            message("Draw the seam alone, and have the cutting line made with {}.", option("allowance", "15mm")),
        ),
        (
            any(one.pass_ > 1 for one in order.pleats),
            "is to have several passes",
            "Pleat the result once more instead.",
        ),
    ):
        if unfit:
            raise FitError(
                f"Piece '{cloth.name}'",
                words,
                message("{} makes a finished piece of cloth that is drawn flat", option("finish_to")),
                remedy,
            )


def _with_count(cloth: FinishedPiece, order: Order, finish: FinishTo) -> tuple[Order, float | None]:
    # The order with a count where its intake is given and nothing says how many there are; and the count unrounded.
    pleats: list[PleatOrder] = []
    counted: float | None = None
    for one in order.pleats:
        placing = one.placing
        if placing is None or placing.at or placing.count is not None or placing.spacing is not None:
            pleats.append(one)
            continue
        if cloth.slashes and placing.run == "square" and placing.along is None and placing.ends == "half":
            pleats.append(replace(one, placing=None))
            continue
        edge = edge_named(seam_edges(cloth.outline), placing.along or "top")
        _refuse_wider(finish, edge.length, order.unit)
        counted = (edge.length - finish.top) / one.intake_top
        pleats.append(replace(one, placing=replace(placing, count=max(1, math.floor(counted + 0.5)))))
    return replace(order, pleats=tuple(pleats)), counted


def _refuse_wider(finish: FinishTo, drawn: float, unit: str) -> None:
    if finish.top >= drawn:
        raise FitError(
            message("{}", option("finish_to")),
            f"is {show(finish.top, unit)}, and the cloth as drawn is {show(drawn, unit)} across the top",
            "pleats make it narrower",
            message(
                "Draw wider cloth or give a shorter length; if the drawing is the finished piece, leave out {} and give {}.",
                option("finish_to"),
                option("intake"),
            ),
        )


def _refuse_orders(orders: Sequence[PleatOrder], finish: FinishTo) -> None:
    kick = next((one for one in orders if one.kind.kicks), None)
    if kick is not None:
        raise FitError(
            f"A {kick.kind.noun}",
            "takes up nothing at the top",
            message("{} is the length of the folded top seam", option("finish_to")),
            message("Make it another kind, or leave out {}.", option("finish_to")),
        )
    if finish.balance is not None and any("hem_intake" in dict(one.given) for one in orders):
        raise FitError(
            message("{} and {}", option("balance"), option("hem_intake")),
            "are both given",
            "the line and the top between them say how a pleat tapers",
            "Keep one of the two.",
        )


def _refuse_on_fold(lines: SlashSet, fold: StraightLine | None) -> None:
    if fold is None:
        return
    way = (fold.end - fold.start) / abs(fold.end - fold.start)
    for name, chord in zip(lines.names, lines.chords, strict=True):
        if max(abs(((z - fold.start) * way.conjugate()).imag) for z in (chord.top, chord.hem)) <= ON_FOLD:
            raise FitError(
                f"The line '{name}'",
                "lies on the fold edge",
                "half of its pleat would lie beyond the cloth that is drawn",
                message("Add {}, which pleats the whole piece.", option("open_fold", True)),
            )


class _Search:
    """The lengths of a piece for any intake, and the intake for the lengths asked for."""

    def __init__(
        self, cloth: FinishedPiece, lines: SlashSet, orders: Sequence[PleatOrder], finish: FinishTo, unit: str
    ) -> None:
        self.cloth, self.lines, self.orders, self.finish, self.unit = cloth, lines, orders, finish, unit
        outline = lines.outline
        tops = [chord.top_at for chord in lines.chords]
        start, stop = outline.corners_around(tops[0], tops[-1])
        self.drawn = outline.sewn_distance(float(start), float(stop))
        self.hem: float | None = None
        given_hem = next((one for one in orders if "hem_intake" in dict(one.given)), None)
        if given_hem is not None:
            hem = Given(dict(given_hem.given)).length("hem_intake")
            self.hem = None if hem is None else hem.mm
        self.room: NoRoomError | None = None
        self._last: tuple[tuple[float, float], Folded] | None = None
        self._off = math.inf

    @cached_property
    def balance(self) -> DrawnShape:
        """The balance line asked for."""
        assert self.finish.balance is not None
        wanted = " ".join(self.finish.balance[0].split()).casefold()
        every = [shape for shape in self.cloth.shapes if shape.part == "balance"]
        for shape in every:
            if wanted in (" ".join(name.replace("_", " ").split()).casefold() for name in (shape.name, shape.family)):
                return shape
        raise FitError(
            f"The balance line '{self.finish.balance[0]}'",
            "is not drawn on this piece",
            near_names(wanted, [shape.name for shape in every]),
            "Draw a line from side to side and name it so; 'hip' and 'balance line' are known.",
        )

    @cached_property
    def drawn_balance(self) -> float:
        """Its length as drawn."""
        return length_along([self.balance.stroke])

    def cloth_at(self, top: float, hem: float) -> Folded:
        """Return the cloth folded with these intakes."""
        if self._last is None or self._last[0] != (top, hem):
            self._last = (top, hem), folded(self.lines, strips_of(self.lines, self.orders, top, hem))
        return self._last[1]

    def found(self) -> tuple[float, float]:
        """Return the intakes at the two ends of the lines.

        Raises:
            FitError: there are none.
        """
        finish, count = self.finish, len(self.orders)
        _refuse_wider(finish, self.drawn, self.unit)
        guess = (self.drawn - finish.top) / count
        try:
            if finish.balance is not None:
                return self._two(guess)
            hem = self.hem
            most = self.drawn
            top = one_intake(lambda i: self._excess(i, i if hem is None else hem), most, guess, -float(count))
            return top, top if hem is None else hem
        except NotFoundError:
            self._look_for_room(guess, guess if self.hem is None else self.hem)
            raise self.no_room(guess) from None

    def _excess(self, top: float, hem: float) -> float | None:
        # Near the end the whole cloth is folded: at the intake that is found it is wanted anyway.
        if abs(self._off) < _NEAR_THE_END:
            with suppress(NoRoomError):
                self._off = self.cloth_at(top, hem).top - self.finish.top
                return self._off
        cloth = folded_top(self.lines, self.orders, top, hem)
        self._off = math.inf if cloth is None else cloth.length - self.finish.top
        return None if cloth is None else self._off

    def _look_for_room(self, top: float, hem: float) -> None:
        # What is in the way, for the person.
        try:
            self.cloth_at(top, hem)
        except NoRoomError as error:
            self.room = error

    def _two(self, guess: float) -> tuple[float, float]:
        assert self.finish.balance is not None
        name, wanted = self.finish.balance
        count = len(self.orders)
        across = self.balance.stroke
        shares: list[float] = []
        for chord in self.lines.chords:
            way = chord.hem - chord.top
            ends = [((z - chord.top) / way) for z in (seg[0] for seg in across)] + [(across[-1][-1] - chord.top) / way]
            shares.append(min(ends, key=lambda w: abs(w.imag)).real)
        share = min(1.0, max(0.05, sum(shares) / count))
        there = (self.drawn_balance - wanted) / count

        def excess(pair: tuple[float, float]) -> tuple[float, float] | None:
            if min(pair) < 0:
                return None
            cloth = folded_top(self.lines, self.orders, *pair)
            if cloth is None:
                self._look_for_room(*pair)
                return None
            runs = balance_runs(across, cloth.edges, cloth.motions)
            if runs is None:
                raise FitError(
                    f"The balance line '{name}'",
                    "does not cross every pleat once, from side to side",
                    "only then does it come to a length when they are folded",
                    "Draw it right across the piece.",
                )
            return cloth.length - self.finish.top, length_along(runs) - wanted

        hem = guess + (there - guess) / share
        if hem < 0:
            level = wanted + count * guess
            raise FitError(
                f"'{name}', finished to {show(wanted, self.unit)},",
                f"leaves {show(there, self.unit)} for each of {count} {self.noun} there and "
                f"{show(guess, self.unit)} at the top",
                "it would take up less than nothing at the hem",
                f"Widen the cloth at '{name}' as far as {show(level, self.unit)}, or give a longer top or a shorter '{name}'.",
            )
        n = -float(count)
        return two_intakes(excess, (guess, hem), ((n, 0.0), (n * (1 - share), n * share)))

    @property
    def noun(self) -> str:
        """What the pleats are called together."""
        return folded_words([one.kind.name for one in self.orders])

    def no_room(self, guess: float) -> FitError:
        """Return the refusal of pleats that the cloth has no room for; `guess` is about what each would take up."""
        room, unit = self.room, self.unit
        each = f"{len(self.orders)} {self.noun} would take up {show(guess, unit)} each of the cloth"
        if room is None:
            return FitError(
                f"The cloth '{self.cloth.name}'",
                f"does not come to {show(self.finish.top, unit)}: {each}",
                "no intake was found that brings it there",
                "Look at the seam and the lines; a smaller difference between cloth and length may do.",
            )
        one = noun_of(self.orders[room.line].kind.name)
        where = "its neighbour's" if room.neighbour else "the end of the seam"
        least = self._least()
        return FitError(
            f"The cloth about '{self.lines.names[room.line]}'",
            f"has no room for its {one}: {each}, half of it on either side of its line, which reaches past {where} by "
            f"{by_words(abs(room.out), unit)}",
            f"with these lines the top can be finished to {show(least, unit)} at the least",
            message(
                "Give {} or more, {}or draw wider cloth.",
                option("finish_to", typed(math.ceil(least), "mm")),
                ""
                if any(p.placing is not None and p.placing.shares_out for p in self.orders)
                else message("share the lines out evenly with {}, ", option("count", len(self.orders))),
            ),
        )

    def _least(self) -> float:
        low, high = 0.0, self.drawn
        best = self.drawn
        for _ in range(30):
            middle = (low + high) / 2
            try:
                best, low = self.cloth_at(middle, middle if self.hem is None else self.hem).top, middle
            except NoRoomError:
                high = middle
        return best


def _agreeing(
    given: Sequence[PleatOrder], top: float, hem: float, found_count: bool, finish: FinishTo, count: int
) -> float | None:
    # The intake that was given; refused where the lines that were given, too, say another.
    if not given:
        return None
    said = given[0].intake_top
    noun = folded_words([one.kind.name for one in given])
    off = max(abs(one.intake_top - top) for one in given)
    if not found_count and off > ROUNDED_INTAKE:
        one = max(given, key=lambda one: abs(one.intake_top - top))
        raise FitError(
            message("{} and the lines", option("intake")),
            f"disagree: {count} {noun} must take up {show(top, finish.unit)} each for {show(finish.top, finish.unit)}, "
            f"and {show(one.intake_top, finish.unit)} was given",
            "one follows from the other",
            message(
                "Leave out {}; or leave out the lines, and the count is found for it.",
                option("intake"),
            ),
        )
    return said


def _lines_on(lines: SlashSet, used: list[StraightLine], made: Folded, mover: Mover) -> list[StraightLine]:
    # The slash lines on the finished piece: where the edges of their gap meet, or down the middle of a face.
    found: list[StraightLine] = []
    panel = 0
    for k, (name, chord) in enumerate(zip(lines.names, lines.chords, strict=True)):
        own = [strip for strip in made.strips if strip.line == k]
        family = used[lines.given[k]].family
        if len(own) == 2:
            panel += 1
            motion = made.motions[panel]
            found.append(StraightLine(name, motion.of(chord.top), motion.of(chord.hem), family))
            panel += 1
            continue
        motion, after = made.motions[panel], made.motions[panel + 1]
        (strip,) = own
        ends = [
            (motion.of(before) + after.of(behind)) / 2
            for before, behind in ((strip.before.top, strip.after.top), (strip.before.hem, strip.after.hem))
        ]
        found.append(StraightLine(name, ends[0], ends[1], family))
        panel += 1
    return found
