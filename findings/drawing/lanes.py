"""The fault lanes: the picture of a hull's history.

One lane a fault, engine hours (or dates) along the bottom, an episode a bar with its flag's pattern, a clear a notch, a
return a new bar joined by a loop that is labeled with the gap, jobs as vertical rules with their numbers. Codes and
names stand at the left of their lanes; in a narrow picture, for a phone, above them, so that time has the whole width.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from findings.drawing.flags import Drawn, flag_piece, flag_width
from findings.drawing.lane_bars import BAR_HEIGHT, LABEL_SIZE, Loop, PlacedLane, draw_lane, loops_of, placed_lane
from findings.drawing.lanes_legend import UNKNOWN, draw_legend, fitted_wedge
from findings.drawing.lettering import fitted_mono, fitted_text, mono_width, text_width, wrapped_text
from findings.drawing.pictures import PRINT, Lane, LanesPicture, Palette
from findings.drawing.scale import Scale, place_label, scale_over, ticks
from findings.drawing.spread import RowLabel, spread_labels
from findings.drawing.svg import Pen, element, number
from findings.drawing.svg import picture as whole_picture
from web.markup import NOTHING, filled, joined

WIDTH = 980.0
WIDE = 900.0
PHONE_WIDTH = 358.0
NARROW = 600.0
MARGIN = 8.0
EDGE = 22.0
CODE_SIZE = 14.5
NAME_SIZE = 13.0
JOB_SIZE = 12.0
JOB_LEVELS = 4
JOB_LINE = 17.0
AXIS_HEIGHT = 34.0
LANE_HEIGHT = 50.0
LOW_LANE = 40.0
NAME_LINE = 15.0
NAME_LINES = 2
NAME_ROOM = 254.0
CODE_LINE = 24.0
LOOP_ROOM = 6.0
FLAG_SHRINK = 0.9


@dataclass(frozen=True, slots=True)
class Row:
    """One lane with its loops and its place from top to bottom; `name` is in lines, `caption` the line of the code."""

    placed: PlacedLane
    loops: list[Loop]
    name: list[str]
    top: float
    height: float
    middle: float
    caption: float


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole picture, measured before it is drawn."""

    width: float
    gutter: float
    scale: Scale
    jobs: list[RowLabel]
    lanes_top: float
    rows: list[Row]

    @property
    def is_narrow(self) -> bool:
        """Whether the names stand above the lanes."""
        return self.gutter == 0

    @property
    def caption_right(self) -> float:
        """Where the room for code, name and flag ends."""
        return (self.width if self.is_narrow else self.gutter) - MARGIN

    @property
    def lanes_bottom(self) -> float:
        """Where the axis stands."""
        return self.rows[-1].top + self.rows[-1].height if self.rows else self.lanes_top + LANE_HEIGHT

    @property
    def unlabeled(self) -> int:
        """How many gaps have no room for their label."""
        return sum(not loop.is_labeled for row in self.rows for loop in row.loops)


def plan_lanes(picture: LanesPicture, width: float = WIDTH) -> Plan:
    """Measure the picture: nothing is drawn yet, and nothing will be drawn over something else."""
    gutter = 0.0 if width < NARROW else _gutter(picture, width)
    left = gutter + 16 if gutter else MARGIN
    scale = scale_over(list(_positions(picture)), picture.axis, left, width - EDGE, picture.now)
    wanted = [(scale.at(job.at), job.number) for job in picture.jobs]
    advance = mono_width("0", JOB_SIZE)
    jobs = spread_labels(wanted, advance=advance, levels=JOB_LEVELS, gap=9, left=scale.left, right=width - 4)
    levels = max((label.level for label in jobs), default=-1) + 1
    top = MARGIN + levels * JOB_LINE + (6 if levels else 0)
    return Plan(width, gutter, scale, jobs, top, list(_rows(picture.lanes, scale, top, gutter)))


def _gutter(picture: LanesPicture, width: float) -> float:
    """Room for a name in two lines and for the widest code beside its flag, within reason; time gets the rest."""
    wanted = [
        MARGIN
        + mono_width(lane.code, CODE_SIZE)
        + 10
        + (flag_width(lane.state, lane.status_now if width >= WIDE else "") * FLAG_SHRINK)
        + 8
        for lane in picture.lanes
    ]
    return min(max([NAME_ROOM, *wanted]), width * (0.34 if width >= WIDE else 0.4))


def _positions(picture: LanesPicture) -> Iterator[float]:
    if picture.start is not None:
        yield picture.start
    for lane in picture.lanes:
        for bar in lane.bars:
            yield bar.start
            if bar.end is not None:
                yield bar.end
        for clear in lane.clears:
            yield clear.at
        for hold in lane.holds:
            yield from (hold.start, hold.end)
        for back in lane.returns:
            yield from (back.ended_at, back.returned_at)
    yield from (job.at for job in picture.jobs)
    yield from (mark.at for mark in picture.fitted)


def _rows(lanes: Sequence[Lane], scale: Scale, top: float, gutter: float) -> Iterator[Row]:
    for lane in lanes:
        placed = placed_lane(lane, scale)
        loops = loops_of(placed)
        above = LOOP_ROOM if any(loop.is_above for loop in loops) else 0.0
        below = LOOP_ROOM if any(not loop.is_above for loop in loops) else 0.0
        room = gutter - MARGIN - 10 if gutter else scale.right - MARGIN
        name = wrapped_text(lane.name, NAME_SIZE, room, NAME_LINES)
        more = max(len(name) - 1, 0) * NAME_LINE
        if gutter:
            height = LANE_HEIGHT + max(above + below, more)
            middle = top + above + (height - above - below) / 2
            caption = top + height / 2 - 4 - more / 2
        else:
            caption = top + 18
            lane_top = top + CODE_LINE + len(name) * NAME_LINE + above
            height = lane_top + LOW_LANE + below - top
            middle = lane_top + LOW_LANE / 2
        yield Row(placed, loops, name, top, height, middle, caption)
        top += height


def fault_lanes(picture: LanesPicture, width: float = WIDTH, palette: Palette = PRINT) -> SafeString:
    """The lanes as a picture `width` units wide: about 1000 for a screen, 700 for a sheet of paper, 360 for a phone."""
    pen, plan = Pen(palette), plan_lanes(picture, width)
    parts = [_ruling(pen, plan), _job_rules(pen, plan)]
    for row in plan.rows:
        parts += [_caption(pen, plan, row), draw_lane(pen, row.placed, row.loops, row.middle), _note(pen, plan, row)]
    if not plan.rows:
        words = "No faults on record"
        parts.append(pen.text(plan.scale.left, plan.lanes_top + 30, words, size=NAME_SIZE, color="soft_ink"))
    parts += [_job_labels(pen, plan), _axis(pen, plan, picture), _fitted(pen, plan, picture)]
    bottom = plan.lanes_bottom + AXIS_HEIGHT + (NAME_LINE if plan.is_narrow else 0)
    legend = draw_legend(pen, picture, bottom, width, _remark(plan))
    parts.append(legend.markup)
    css_classes = "drawing drawing-lanes is-narrow" if plan.is_narrow else "drawing drawing-lanes"
    key = f"{picture.key}-narrow" if plan.is_narrow else picture.key
    return whole_picture(_heard(picture), key, (width, bottom + legend.height), css_classes, *parts)


def _heard(picture: LanesPicture) -> str:
    """The picture's name for those who hear it, with what its dashed bars mean."""
    if picture.is_known_throughout:
        return picture.title
    return f"{picture.title}. Bars are full as far as a code was seen. Dashed: {UNKNOWN}."


def _remark(plan: Plan) -> str:
    """What the picture could not say, said."""
    if not plan.unlabeled:
        return ""
    if plan.unlabeled == 1:
        return "One gap is too short to be labeled here; the table says it."
    return f"{plan.unlabeled} gaps are too short to be labeled here; the table says them."


def _ruling(pen: Pen, plan: Plan) -> SafeString:
    """Ruled paper: a line under each lane, a double margin rule between names and time."""
    lines = [pen.line(0, plan.lanes_top, plan.width, plan.lanes_top, stroke="ink", thick=1.5)]
    for row in plan.rows[:-1]:
        lines.append(pen.line(0, row.top + row.height, plan.width, row.top + row.height, stroke="rule"))
    lines.append(pen.line(plan.scale.right, plan.lanes_top, plan.scale.right, plan.lanes_bottom, stroke="ink", thick=1))
    for x in () if plan.is_narrow else (plan.gutter, plan.gutter + 3):
        lines.append(pen.line(x, plan.lanes_top, x, plan.lanes_bottom, stroke="rule"))
    return joined(lines)


def _job_rules(pen: Pen, plan: Plan) -> SafeString:
    drawn = NOTHING
    for label in plan.jobs:
        for index, at in enumerate(label.marks):
            begin = MARGIN + label.level * JOB_LINE + 2 if index == 0 else plan.lanes_top
            drawn += pen.line(at, begin, at, plan.lanes_bottom, stroke="soft_ink", dash="1 2.5")
    return drawn


def _job_labels(pen: Pen, plan: Plan) -> SafeString:
    drawn = NOTHING
    for label in plan.jobs:
        base = MARGIN + label.level * JOB_LINE + 12
        width = mono_width(label.words, JOB_SIZE)
        begin = label.left + 3
        drawn += pen.box(begin - 1, base - 11, width + 2, 14, fill="surface")
        drawn += pen.text(begin, base, label.words, size=JOB_SIZE, color="soft_ink", mono=True, weight=600)
    return drawn


def _caption(pen: Pen, plan: Plan, row: Row) -> SafeString:
    """Code, name and flag of a lane: at its left, or above it."""
    lane, base = row.placed.lane, row.caption
    flag = _fitting_flag(pen, lane, plan.caption_right)
    flag_at = plan.caption_right - flag.width * FLAG_SHRINK
    code = fitted_mono(lane.code, CODE_SIZE, flag_at - MARGIN - 6)
    place = f"translate({number(flag_at)} {number(base - 18)}) scale({FLAG_SHRINK})"
    drawn = pen.text(MARGIN, base, code, size=CODE_SIZE, mono=True, weight=600)
    for index, words in enumerate(row.name):
        drawn += pen.text(MARGIN, base + 20 + index * NAME_LINE, words, size=NAME_SIZE, color="soft_ink")
    high = CODE_LINE + len(row.name) * NAME_LINE + 2
    back = pen.box(0, row.top + 1, plan.width, high, fill="surface") if plan.is_narrow else NOTHING
    return back + drawn + element("g", {"transform": place}, flag.markup)


def _fitting_flag(pen: Pen, lane: Lane, room: float) -> Drawn:
    """The flag with the unit's word, or without it where the code needs the room."""
    whole = flag_width(lane.state, lane.status_now) * FLAG_SHRINK + mono_width(lane.code, CODE_SIZE) + 14
    return flag_piece(lane.state, lane.status_now if whole <= room else "", pen.palette)


def _note(pen: Pen, plan: Plan, row: Row) -> SafeString:
    """What cannot be placed on the lane, in words under its right end."""
    note = row.placed.lane.note
    if not note:
        return NOTHING
    words = fitted_text(note, LABEL_SIZE, plan.scale.right - plan.scale.left - 10)
    right, base = plan.scale.right - 5, row.middle + BAR_HEIGHT / 2 + 13
    width = text_width(words, LABEL_SIZE) + 4
    back = pen.box(right - width, base - 10, width + 2, 13, fill="surface")
    return back + pen.text(right, base, words, size=LABEL_SIZE, color="soft_ink", anchor="end")


def _fitted(pen: Pen, plan: Plan, picture: LanesPicture) -> SafeString:
    """A wedge on the axis wherever parts were fitted, with their words for who points at it."""
    return joined(
        element(
            "g",
            {},
            filled("<title>{}</title>", mark.words) + fitted_wedge(pen, plan.scale.at(mark.at), plan.lanes_bottom),
        )
        for mark in picture.fitted
    )


def _axis(pen: Pen, plan: Plan, picture: LanesPicture) -> SafeString:
    y, scale = plan.lanes_bottom, plan.scale
    parts = [pen.line(0, y, plan.width, y, stroke="ink", thick=1.5)]
    name_base = y + 20 + (NAME_LINE if plan.is_narrow else 0)
    parts.append(pen.text(MARGIN, name_base, picture.axis.value, size=NAME_SIZE, color="soft_ink"))
    if picture.now is None and not list(_positions(picture)):
        return joined(parts)
    end = scale.high if picture.now is None else picture.now
    end_words = place_label(end, picture.axis)
    end_left = plan.width - 4 - mono_width(end_words, LABEL_SIZE)
    parts.append(pen.line(scale.right, y, scale.right, y + 6, stroke="ink", thick=1))
    parts.append(pen.text(end_left, y + 20, end_words, size=LABEL_SIZE, mono=True, weight=600))
    edge = plan.gutter + 8 if plan.gutter else 2.0
    for tick in ticks(scale, picture.axis, 92):
        at, width = scale.at(tick.at), mono_width(tick.label, LABEL_SIZE)
        if at - width / 2 < edge or at + width / 2 > end_left - 10:
            continue
        edge = at + width / 2 + 8
        parts.append(pen.line(at, y, at, y + 6, stroke="ink", thick=1))
        parts.append(pen.text(at, y + 20, tick.label, size=LABEL_SIZE, color="soft_ink", mono=True, anchor="middle"))
    return joined(parts)
