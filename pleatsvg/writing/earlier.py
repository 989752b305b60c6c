"""Lines, marks and words of earlier passes, written as they were found."""

from __future__ import annotations

from pleatsvg.flat.passes.earlier_lines import as_words
from pleatsvg.result.earlier import Earlier
from pleatsvg.result.pattern_lines import PatternLine, Tag
from pleatsvg.writing.inks import UNSEEN, line_style, mark_style
from pleatsvg.writing.layers import CLOSE, LETTERS, open_layer
from pleatsvg.writing.lettering import lettering
from pleatsvg.writing.lines import listed, stitched_along
from pleatsvg.writing.numbers import open_path_data
from pleatsvg.writing.stencil import escaped, path_stencil


def earlier_layers(out: list[str], earlier: Earlier) -> None:
    # What the passes before left: their lines in as many strokes as the later folds part them, their marks and words.
    for number in range(1, earlier.passes + 1):
        out.append(open_layer(f"pass-{number}", f"Pass {number}: lines and words", LETTERS))
        out += [
            earlier_line_element(line)
            for line in earlier.lines
            if line.tag.pass_ == number and line.tag.role != "free-edge" and line.strokes
        ]
        for mark in earlier.marks:
            tag = mark.tag
            if tag.pass_ == number:
                snip = tag.role == "notch" and sum(map(len, mark.strokes)) == 1
                before, after, end = path_stencil(tag.role, mark_style(tag.role, tag.line, snip))
                data = " ".join([open_path_data(stroke) for stroke in mark.strokes])
                out.append(f"{before}{data}{after}{_of_tag(tag)}{end}")
        for words in earlier.words:
            if words.tag.pass_ == number:
                out += [text for _, text in lettering([as_words(words)], 0j, {}, {}, _of_tag(words.tag))]
        out.append(CLOSE)


def earlier_tags(earlier: Earlier | None) -> list[Tag]:
    """Return the tags of all that is written of earlier passes in layers of their own."""
    if earlier is None:
        return []
    drawn = [line.tag for line in earlier.lines if line.strokes and line.role != "free-edge"]
    return [*drawn, *[mark.tag for mark in earlier.marks], *[words.tag for words in earlier.words]]


def earlier_line_element(line: PatternLine) -> str:
    tag = line.tag
    before, after, end = path_stencil(tag.role, UNSEEN if tag.unseen else line_style(tag.role))
    data = " ".join([open_path_data(stroke) for stroke in line.strokes])
    return f"{before}{data}{after}{_of_tag(tag)}{end}"


def _of_tag(tag: Tag) -> str:
    more = f' data-pass="{tag.pass_}"'
    if tag.pleat:
        more += f' data-pleat="{tag.pleat}"'
    if tag.kind:
        more += f' data-kind="{escaped(tag.kind)}" data-lap="{escaped(tag.lap)}"'
    if tag.folds:
        more += f' data-fold="{listed(tag.folds)}"'
    if tag.crease and tag.role == "stitch-line":
        more += ' data-crease="yes"'
    if tag.unseen:
        more += ' data-seen="part"'
    if tag.stitched is not None:
        more += stitched_along(tag.stitched)
    if tag.way:
        more += f' data-way="{escaped(tag.way)}"'
    if tag.end:
        more += f' data-line="{escaped(tag.line)}" data-end="{escaped(tag.end)}"'
    return more
