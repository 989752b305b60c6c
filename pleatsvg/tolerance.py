"""Every tolerance of the program, in millimetres unless its name says otherwise, with its reason."""

from __future__ import annotations

DART_TURN = 110.0
"""Degrees. Where the seam turns back so sharply into the piece, and out again, a dart is drawn."""


DART_LEGS = 0.2
"""By how much of their length the legs of a dart may differ; they are sewn together, so they are meant to be alike."""


FOLD_BACK = 0.01
"""How far a raw edge may miss the seam when the flat piece is folded back. A pencil line is fifty times as wide."""


FOLD_BACK_CUT = 0.02
"""The same for the cutting line, which is an offset curve and so drawn as an approximation."""


EASED = 3.2
"""mm, 1/8 in. By so much two edges that are sewn together may differ: the longer is eased in (common practice)."""


GROSS = 10.0
"""A miss beyond this, a finger's breadth in mm, is no slip of the drawing: the piece is spoilt, and a few points tell it."""


MET = 0.003
"""mm. Where two legs of a closed dart lie on one another, ends that come so near are one point; above it there is a step."""


LEG_BENT = 1.6
"""mm, 1/16 in. By so much a dart's leg may leave a straight line that is closed by turning it about its point."""


MOUTH_BENT = 5.0
"""Degrees. A seam over the mouth of two open legs that turns by more in one place is peaked as the folded dart is cut."""


BELOW_DART = 10.0
"""mm below the point of a dart that stays, from which pleats beside it are shaped where no level is given (ours)."""


THROUGH_POINT = 10.0
"""mm. A slash line through the mouth of a dart that comes so near to its point runs to it, as one that ends there does."""


ON_LINE = 1e-6
"""A point nearer than this to a line lies on it. Far above rounding (1e-10 at a metre), far below a thread."""


TOUCH = 0.5
"""Two crossings nearer than this may be a touch: a circle of 10 m lies within ON_LINE of its tangent for so long."""


NOISE = 1e-9
"""A handle nearer than this to a line is rounding, and must not be taken for a curve that sets off to one side."""


HALVING_NOISE = 1e-14
"""Of a polynomial's largest weight: what halving it may leave over at a root in the middle."""


DECIMALS = 6
"""Decimals written. Four would let the creases of 300 pleats drift by a tenth of a millimetre."""


SAME_SPOT = 1e-9
"""Share of a segment below which a cut falls on its end, so that no empty segment comes of it."""


RUN_ON = 10.0
"""A slash line that stops short of the seam by up to this is run on; beyond it the line is not meant to reach."""


MEETING = 0.01
"""Slash lines that cross within this of the seam were drawn to one point on it, and end there together."""


STRAIGHT = 0.1
"""How far a slash line may leave the straight line between its ends: the width of a sharp pencil's line."""


REPORT_BEND = 0.01
"""A bend in a slash line above this is mentioned, though it is taken as straight."""


CLOSING_GAP = 0.1
"""An outline whose ends come this near is closed, and the gap is reported; more is refused."""


FARTHEST = 100_000.0
"""Nothing on a drawing of a piece lies farther from the page's corner than this; beyond it floats are too coarse."""


CORNER_TURN = 30.0
"""Degrees. A seam that turns more than this in one place has a corner there; a smooth waist or hem does not."""


CORNER_REACH = 5.0
"""A turn that a seam makes within this length is a corner, though it may be drawn rounded or as a chamfer."""


ARC = 1e-6
"""How far the cubics that replace an arc on reading may leave it."""


GRIT = 1.0
"""mm. The direction of a seam drawn in pieces shorter than this is taken over so much of it: coordinates rounded to a tenth
turn pieces of half a millimetre by 16 degrees, and editors leave stubs of a hundredth that point anywhere."""


FLAT_GRAIN = 5.0
"""Degrees off the grain above which a fold is remarked on: it will not hang like its neighbours."""


OFF_LEVEL = 1.0
"""Degrees off level above which lines across the piece are remarked on: 1 cm in 60 cm, which a stripe or a check shows."""


SEAM_MARK = 2.0
"""A mark whose end comes this near the piece belongs to it: notches are often drawn from the seam outwards."""


CENTRE_BAND = 1.0
"""A slash line this near the middle has no side of the middle to lie on."""


SMALLEST_EDGE = 1.0
"""A seam edge shorter than this is mentioned as odd: most are slips of the hand."""


MATCH = 3.2
"""How far two seam edges that are sewn to one another may differ: accepted by many, 1.6 is strict (Threads #200)."""


OFFSET = 0.003
"""How far a cutting line may lie from the true parallel of the seam: a seventh of what its folding back is held to."""


SNAP = 0.003
"""Parallels of two segments that meet smoothly end this near each other, and are joined there."""


SHALLOW = 0.3
"""Hollows of a jagged seam no deeper than this, too narrow for a parallel to follow, are passed over straight: rounding to a
tenth of a millimetre leaves hollows of up to 0.14, pixels at 96 to the inch of up to 0.26."""


MITRE_LIMIT = 5.0
"""Of the allowance: how far a corner of the cutting line may stand out from the seam's corner before it is squared off."""


ON_FOLD = 1.0
"""A line drawn to mark the fold edge lies this near the edge that it means; so does a slash line drawn on the fold edge."""


BULKY = 5
"""Layers on one another above which bulk is cautioned: C, common practice; they are thick to press and to stitch."""


LEAST_SEAM = 20.0
"""mm of seam that must be left above a kick pleat: less cannot be sewn."""


HEM_WEDGE = 0.5
"""How far a turned-up hem may lie beside a fold line before it is told: what a pressing cloth hides."""


ACROSS_EDGE = 10.0
"""Degrees at which a line placed along the grain must cross its edge; at less it would shave cloth off the edge."""


SEAMS_APART = 0.05
"""mm that the two edges of a seam above a kick pleat lie apart at least, where one piece holds both: scissors go between."""


ROUNDED_MARK = 2e-3
"""mm that a mark along a line may lie beside it, since marks are written with 3 decimals."""


PARTS_APART = 10.0
"""mm between the outlines of two parts of a piece on the page at least: notches and clips stand out between them."""


NOTCH_OFF = 0.1
"""mm that a notch may lie off its line: marks have 3 decimals and are saved anew with fewer; half a millimetre shows."""


BALANCE_OFF = 0.05
"""mm that a folded balance line may lie off the drawn one: it is not sewn, and its nodes are those of a drawing."""


ALONG_HIP = 5.0
"""mm from the hip points' level up to which a line drawn on a fitted piece is the hip line itself, which sags between them."""


GRAIN_OFF = 0.1
"""Degrees between the grain as stated and as drawn: less than anybody lays a piece by."""


WORDS_OFF = 10.0
"""mm that a label may lie beside its own line: it is written 3 to 4 mm beside it."""


MARK_OFF = 0.5
"""mm that an arrow may begin or end beside its lines: nothing is cut or folded by it."""


STATED_INTAKE = 0.05
"""mm between the intake that a label states and what its lines take up: lines saved with two decimals still agree."""


AT_CORNER = 1e-9
"""Share of a segment. A place so near to a node is at it: places are found to some 1e-12 of a segment."""


PRINTED = 0.01
"""mm that a line, read back from the pages and laid together, may miss the drawn one: a tenth of the dot of a printer."""


ROUNDED_INTAKE = 0.1
"""mm between an intake that was given and the exact one, where both are asked for: as fine as lengths are shown."""


LEAST_SHAPED = 20.0
"""mm. Fitted pleats: less than this cannot be shaped, nor left unshaped below the hip (ours)."""


JOIN_REACH = 20.0
"""mm on either side of a closed line over which the top of a fitted piece is drawn smooth (ours: as far as a hand draws it)."""


FITTED = 1e-7
"""mm by which the top of a fitted piece may miss its length before it is written."""


ONE_PANEL = 1e-5
"""mm by which a panel above the level of a fitted piece may lie off the same panel below it, where each comes of a long row
of motions of its own: rounding leaves a millionth on 400 edges over 11 m. A thousandth of what the fold-back is held to."""


ONE_PANEL_TURN = 1e-8
"""Radians that the same two may be turned against each other: ONE_PANEL over a metre."""


FITTED_OFF = 0.1
"""mm by which the folded top of a fitted piece may miss the length that was asked for: as fine as lengths are shown."""


STEEPEST_LEAN = 15.0
"""Degrees that an edge of a fitted pleat may lean: twice as much is a dart of 30 degrees, as wide as any (ours)."""


KIND_LEAN = 5.0
"""Degrees of lean above which more pleats would be kinder to the cloth (ours)."""


SEAM_OFF = 3.2
"""mm, 1/8 in, that the top of a fitted piece may leave the drawn seam, and that hidden cloth may be too long at the hip before
it is told (ours; what is eased in without being seen, common practice)."""


SEAM_MOVED = 0.8
"""mm, 1/32 in, by which the top of a fitted piece may leave the drawn seam before it is told (ours)."""


WIDEST_SHARE = 38.0
"""mm, 1 1/2 in: what one dart takes in at the most (USDA, Fitting Dresses, 1946: rarely over that)."""


LEAST_PANEL = 10.0
"""mm of panel at the top of a fitted piece below which it is told (ours: nothing is left to see between two folds)."""


MIDDLE_SLIDES = 1.6
"""mm, 1/16 in, that the middle layer of a fitted inverted pleat may slide at the hip before it is told (ours)."""
