"""Pictures to test with, and what can be measured in a drawn one."""

from __future__ import annotations

from dataclasses import dataclass
from xml.etree import ElementTree

from findings.drawing.lettering import mono_width, text_width
from findings.drawing.pictures import Bar, ClearMark, FlagState, HoldLine, JobRule, Lane, LanesPicture, ReturnLoop

SVG = "{http://www.w3.org/2000/svg}"


def bar(start: float, end: float | None, state: FlagState = FlagState.ACTIVE) -> Bar:
    return Bar(start=start, end=end, state=state)


def history() -> LanesPicture:
    """A fault that returned twice and is open, one that holds after its clear."""
    back = Lane(
        code="SPN 110 · FMI 0",
        name="Coolant temperature, above normal",
        state=FlagState.RETURNED,
        status_now="active",
        bars=[
            bar(812, 861),
            bar(945, 990, FlagState.RETURNED),
            bar(1074, None, FlagState.RETURNED),
        ],
        clears=[ClearMark(at=861), ClearMark(at=990)],
        returns=[
            ReturnLoop(ended_at=861, returned_at=945, gap="84 h"),
            ReturnLoop(ended_at=990, returned_at=1074, gap="84 h"),
        ],
    )
    held = Lane(
        code="P0562",
        name="System voltage, low",
        state=FlagState.CLEARED,
        bars=[Bar(start=900, end=960, state=FlagState.STORED, start_is_known=False)],
        clears=[ClearMark(at=960)],
        holds=[HoldLine(start=960, end=1080)],
    )
    jobs = [JobRule(at=861, number="1011"), JobRule(at=990, number="1023"), JobRule(at=994, number="1024")]
    return LanesPicture(key="port", title="Port engine <history>", lanes=[back, held], jobs=jobs, now=1100.5)


def crowd(lanes: int = 30, jobs: int = 60) -> LanesPicture:
    """Many lanes with many short episodes and tiny gaps, many jobs close together."""
    made = []
    for index in range(lanes):
        at, bars, clears, returns = 100.0 + index, [], [], []
        for episode in range(index % 8 + 1):
            bars.append(bar(at, at + 0.5, FlagState.RETURNED if episode else FlagState.ACTIVE))
            clears.append(ClearMark(at=at + 0.5))
            if episode < index % 8:
                returns.append(ReturnLoop(ended_at=at + 0.5, returned_at=at + 0.6, gap="0.1 h"))
            at += 0.6
        made.append(
            Lane(
                code=f"SPN {520000 + index} · FMI {index}" + " of the maker's own long kind" * (index % 3),
                name="A name that goes on for longer than any line has room for, and then some more " * 2,
                state=FlagState.RETURNED,
                status_now="pending",
                bars=bars,
                clears=clears,
                returns=returns,
                note="2 sightings without hours" if index % 5 == 0 else "",
            )
        )
    rules = [JobRule(at=100 + index * 0.7, number=str(2000 + index)) for index in range(jobs)]
    return LanesPicture(key="crowd", title="A crowd", lanes=made, jobs=rules, now=2400)


@dataclass(frozen=True)
class Box:
    """Where a text stands."""

    left: float
    top: float
    right: float
    bottom: float
    words: str

    def touches(self, other: Box) -> bool:
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )


def text_boxes(svg: str) -> list[Box]:
    """The box of every text in a picture; the shrinking and moving of flags is followed."""
    found: list[Box] = []
    _walk(ElementTree.fromstring(svg), (0.0, 0.0, 1.0), found)
    return found


def _walk(node: ElementTree.Element, place: tuple[float, float, float], found: list[Box]) -> None:
    if move := node.get("transform"):
        x, y = move[move.index("(") + 1 : move.index(")")].split()
        scale = float(move[move.rindex("(") + 1 : -1])
        place = (place[0] + float(x), place[1] + float(y), scale)
    if node.tag == f"{SVG}text":
        words = "".join(node.itertext())
        first = node if node.get("x") else node[0]
        size = float(node.get("font-size", "0")) * place[2]
        measure = mono_width if "Mono" in node.get("font-family", "") else text_width
        width = measure(words, size)
        x = place[0] + float(first.get("x", "0")) * place[2]
        x -= {"end": width, "middle": width / 2}.get(node.get("text-anchor", ""), 0.0)
        base = place[1] + float(node.get("y", "0")) * place[2]
        found.append(Box(x, base - 0.72 * size, x + width, base + 0.2 * size, words))
    for child in node:
        _walk(child, place, found)
