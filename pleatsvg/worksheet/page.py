"""A sheet as one page that holds all it needs: no script, and nothing from elsewhere."""

from __future__ import annotations

from collections.abc import Sequence

from pleatsvg.kinds import noun_of
from pleatsvg.pleats.words import numbers_in_words, told_words
from pleatsvg.worksheet.look import STYLE
from pleatsvg.worksheet.pictures import Picture, flat_picture, folded_pictures, panels_of
from pleatsvg.worksheet.pieces import WorkPiece
from pleatsvg.worksheet.tables import Table, cutting_table, line_table, pleat_table
from pleatsvg.worksheet.work import Step, cautions_for, companions_for, steps_for
from pleatsvg.writing.stencil import attributes, escaped

_SQUARE = (
    '<svg class="square" width="52mm" height="52mm" viewBox="0 0 52 52" role="img" aria-label="A square of 50 mm">'
    '<path d="M1 1H51V51H1Z" fill="none" stroke="currentColor" stroke-width="0.35" /></svg>\n'
)


def page_bytes(pieces: Sequence[WorkPiece], unit: str, title: str, matches: Sequence[str] = ()) -> bytes:
    """Return the sheet for pieces as the bytes of its file: the same for the same input.

    Args:
        pieces: proven, at least one.
        unit: that lengths are told in.
        title: of what is made.
        matches: seams that belong together, one sentence each.
    """
    made = _Page()
    out = [
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<title>{escaped(title)}: worksheet</title>\n<link rel="icon" href="data:,">\n'
        f"<style>{STYLE}</style>\n</head>\n<body>\n<main>\n",
        f"<h1>{escaped(title)}: worksheet</h1>\n",
        _listed([escaped(row) for piece in pieces for row in _what(piece, unit)]),
        '<h2>Take care</h2>\n<div class="care">\n',
        _listed([escaped(row) for row in cautions_for(pieces)]),
        "</div>\n<h2>Cut</h2>\n",
        made.table(cutting_table(pieces, unit)),
    ]
    if any(not piece.cut_words for piece in pieces):
        out.append('<p class="soft">How often a piece is cut stands here only where its pattern says it.</p>\n')
    for piece in pieces:
        out += made.piece(piece, unit, companions_for(piece, pieces))
    if matches:
        out += ["<h2>Sewn together</h2>\n", _listed([escaped(row) for row in matches])]
    out += [
        '<h2>Printed</h2>\n<div class="check">\n'
        "<p>The pictures are smaller than the cloth: cut from the pattern, never from this sheet. Printed at actual size, "
        "the square measures 50 mm on each side.</p>\n",
        _SQUARE,
        "</div>\n</main>\n</body>\n</html>\n",
    ]
    return "".join(out).encode()


def _what(piece: WorkPiece, unit: str) -> list[str]:
    if piece.is_companion:
        return [f"{piece.found_as}: {piece.pleats_in_words}. {' '.join(piece.sewn_words(unit)[:1])}".rstrip()]
    alike: dict[tuple[str, str], list[int]] = {}
    for pleat in piece.pleats:
        top, hem = pleat.intake.top, pleat.intake.hem
        behind = f" (pass {pleat.pass_})" if len(piece.passes) > 1 else ""
        if pleat.intake.hip is not None:
            # What it takes up at the top is another length for nearly every pleat; the table tells it.
            words = told_words(pleat.kind, pleat.lap, pleat.intake.hip, hem or 0.0, unit, upper=piece.shaped_at)
            words += f", shaped above the {piece.shaped_at}"
        else:
            words = told_words(pleat.kind, pleat.lap, top or 0.0, hem or 0.0, unit, to_point=bool(pleat.point))
        alike.setdefault((noun_of(pleat.kind), words + behind), []).append(pleat.number)
    said = [f"{numbers_in_words(numbers, noun)}: {words}" for (noun, words), numbers in alike.items()]
    return [f"{piece.found_as}: {piece.pleats_in_words}. {'. '.join(said)}."]


def _listed(rows: Sequence[str]) -> str:
    return "<ul>\n" + "".join([f"<li>{row}</li>\n" for row in rows]) + "</ul>\n"


class _Page:
    # Counts the elements that need a name of their own on the page.
    def __init__(self) -> None:
        self._count = 0

    def _next(self) -> int:
        self._count += 1
        return self._count

    def piece(self, piece: WorkPiece, unit: str, companions: Sequence[WorkPiece] = ()) -> list[str]:
        shown = [flat_picture(piece)] if piece.is_companion else [flat_picture(piece), *folded_pictures(piece)]
        pictures = "".join([self.picture(one) for one in shown])
        how = (
            "as it was made, each notch in its place"
            if piece.is_companion
            else "folded back from its drawn lines, and true"
        )
        out = [
            f"<h2>{escaped(piece.found_as)}</h2>\n",
            f'<p class="soft">From {escaped(piece.source)}; {how}.</p>\n',
            f'<h3>{"Flat" if piece.is_companion else "Flat and folded"}</h3>\n<div class="pictures">\n{pictures}</div>\n',
            *([] if piece.is_companion else ["<h3>Figures</h3>\n"]),
        ]
        for pass_ in () if piece.is_companion else reversed(piece.passes):
            out += [self.table(pleat_table(piece, pass_, unit)), self.table(line_table(piece, pass_, unit))]
        out.append('<h3>Order of work</h3>\n<ol class="steps">\n')
        for number, step in enumerate(steps_for(piece, unit, companions), 1):
            whole = "" if step.panels else ' class="whole"'
            out.append(f"<li{whole}>\n<h4>{number}. {escaped(step.name)}</h4>\n{self._step(step, piece)}</li>\n")
        out.append("</ol>\n")
        return out

    def _step(self, step: Step, piece: WorkPiece) -> str:
        rows = list(step.rows)
        if not step.panels:
            return _listed([escaped(row) for row in rows])
        steps, pictures = panels_of(piece)
        panels = "".join([f'<li style="width: {one.width:.1f}mm">{self.picture(one)}</li>\n' for one in pictures])
        return _listed([escaped(row) for row in [*rows, steps.opening]]) + f'<ol class="panels">\n{panels}</ol>\n'

    def picture(self, picture: Picture) -> str:
        """Return a figure with its words."""
        name = f"picture-{self._next()}"
        left, top, right, bottom = picture.box
        high = picture.width * (bottom - top) / (right - left)
        return (
            f'<figure>\n<svg role="img" aria-labelledby="{name}-title {name}-desc" width="{picture.width:.1f}mm" '
            f'height="{high:.1f}mm" viewBox="{left:.2f} {top:.2f} {right - left:.2f} {bottom - top:.2f}" fill="#1a1a1a" '
            'font-family="Arial, Helvetica, Liberation Sans, DejaVu Sans, sans-serif">\n'
            f'<title id="{name}-title">{escaped(picture.title)}</title>\n'
            f'<desc id="{name}-desc">{escaped(picture.told)}</desc>\n{picture.markup}</svg>\n'
            f"<figcaption>{escaped(picture.caption)}</figcaption>\n</figure>\n"
        )

    def table(self, table: Table) -> str:
        """Return a table in a box of its own, within which it scrolls where the page is narrow."""
        name = f"table-{self._next()}"
        head = "".join([f'<th scope="col">{escaped(words)}</th>' for words in table.head])
        body = "".join(
            [
                f'<tr><th scope="row">{escaped(row[0])}</th>{"".join([f"<td>{escaped(cell)}</td>" for cell in row[1:]])}</tr>\n'
                for row in table.rows
            ]
        )
        return (
            f'<section class="box" aria-labelledby="{name}" tabindex="0">\n<table{attributes(class_=table.look)}>\n'
            f'<caption id="{name}"><span>{escaped(table.caption)}</span></caption>\n<thead><tr>{head}</tr></thead>\n'
            f"<tbody>\n{body}</tbody>\n</table>\n</section>\n"
        )
