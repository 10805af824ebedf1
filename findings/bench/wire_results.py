"""What a wire carries where it runs, and the fuse that protects it, for the tools that size it and that judge it."""

from __future__ import annotations

from dataclasses import dataclass

from engineering.amounts import exceeds
from engineering.electrical.ampacity import BOAT_CABLE_C, SOURCE, Surroundings, carries, fuse_for, largest_fuse_a
from engineering.electrical.ampacity_table import INSULATIONS_C
from engineering.electrical.conductors import Conductor
from findings.bench.tool import Band, Choice, Field, Figure, Given, Outcome, Told, Whole

CRANKING_MOTOR = "cranking"
_UNKNOWN_C = 60
"""An insulation whose rating cannot be read is taken as the poorest."""

SURROUNDINGS: tuple[Field, ...] = (
    Choice(
        "insulation",
        "Insulation rated",
        [(str(rating), f"{rating} °C") for rating in INSULATIONS_C],
        default=str(BOAT_CABLE_C),
        required=False,
        argument="insulation_c",
        section="What it carries",
        hint="As printed on the wire. Not legible: choose none, and 60 °C counts.",
    ),
    Choice(
        "where",
        "Where it runs",
        [("outside", "Outside engine spaces"), ("inside", "In an engine space")],
        default="outside",
        required=False,
        section="What it carries",
    ),
    Whole(
        "bundled",
        "Loaded wires in its bundle",
        required=False,
        default="2",
        least=1,
        most=200,
        section="What it carries",
        hint="All that carry current at once, out and back, this run's too.",
    ),
    Choice(
        "load",
        "Load",
        [("steady", "Steady"), (CRANKING_MOTOR, "Cranking motor only")],
        default="steady",
        required=False,
        section="What it carries",
    ),
)


@dataclass(frozen=True)
class Run:
    """A run of wire: what it carries where it runs, and how hot that lets it get."""

    wire: Conductor
    current_a: float
    where: Surroundings
    is_cranking: bool

    @property
    def least_a(self) -> float | None:
        """What the wire surely carries, or None where the table does not tell."""
        return None if self.is_cranking else carries(self.wire, self.where).least_a

    @property
    def most_a(self) -> float:
        """What the wire carries by no reading of the table."""
        return carries(self.wire, self.where).most_a

    @property
    def is_overloaded(self) -> bool:
        """Whether the current is surely more than the wire carries."""
        return not self.is_cranking and exceeds(self.current_a, self.most_a)

    @property
    def not_judged(self) -> str:
        """Why the table says nothing of the current; empty where it does."""
        if self.is_cranking:
            return "the table of currents leaves out conductors of cranking motors; the maker's cable sizes count"
        if self.least_a is None or (exceeds(self.current_a, self.least_a) and not self.is_overloaded):
            return (
                f"the table has no SAE sizes, and {self.wire.name} may carry less than {self.current_a:g} A; see the "
                "wire maker's figure"
            )
        return ""


def surroundings(given: Given) -> Surroundings:
    """Where the wire runs; insulation that nobody could read is taken as the poorest."""
    rating = given.choice("insulation") or ("" if "insulation" in given.values else str(BOAT_CABLE_C))
    return Surroundings(
        int(rating or _UNKNOWN_C), given.choice("where") == "inside", given.whole_or_none("bundled") or 2
    )


def as_run(given: Given, wire: Conductor) -> Run:
    """The wire with its current, where it runs."""
    return Run(wire, given.number("current"), surroundings(given), given.choice("load") == CRANKING_MOTOR)


def too_hot(given: Given, where: Surroundings) -> list[str]:
    """What to say of a conductor that is hotter than its insulation may be."""
    temperature_c = given.number_or_none("temperature")
    if temperature_c is None or not exceeds(temperature_c, where.insulation_c):
        return []
    hot, rated = (given.show(one, "degC", decimals=0) for one in (temperature_c, where.insulation_c))
    return [f"At {hot} the conductor is hotter than its insulation is rated for, {rated}."]


def overloaded(given: Given, run: Run, figures: list[Figure | Told]) -> Outcome:
    """A wire that carries too much is out, whatever it drops."""
    main = Figure("Current", run.current_a, "A", entered="current")
    band = Band(None, run.most_a, "A", source=f"{SOURCE}, {run.where.words}")
    judged = given.judge(main, band)
    return Outcome(
        f"{run.wire.name} is too thin for this current, whatever it drops: {judged.shown} is more than the "
        f"{judged.high} that it carries ({run.where.words}).",
        main=main,
        figures=figures,
        band=band,
        warnings=[
            f"Too much current for this wire: {judged.shown} in {run.wire.name} overheats it and can start a fire. "
            "Take the load off, and fit thicker wire or draw less.",
            *too_hot(given, run.where),
        ],
        condition=run.wire.name,
    )


def fuse_too_large(given: Given, run: Run, figures: list[Figure | Told]) -> Outcome:
    """A fuse that lets the wire burn is out."""
    main = Figure("Fuse or breaker", given.number("fuse"), "A", entered="fuse")
    band = Band(None, largest_fuse_a(run.most_a), "A", source=f"33 CFR 183.455 for {run.wire.name}")
    judged = given.judge(main, band)
    return Outcome(
        f"The fuse or breaker of {judged.shown} is too large for {run.wire.name}: at most {judged.high} "
        f"({run.where.words}).",
        main=main,
        figures=figures,
        band=band,
        warnings=[
            f"A fuse of {judged.shown} does not protect {run.wire.name}: the wire can burn before it blows.",
            *too_hot(given, run.where),
        ],
        condition=run.wire.name,
    )


def fuse_figures(run: Run) -> list[Figure | Told]:
    """What the wire carries, and the fuse that protects it."""
    carried_a = run.least_a
    if carried_a is None:
        return []
    figures: list[Figure | Told] = [
        Figure("Carries at most", carried_a, "A"),
        Figure("Fuse or breaker, at most", largest_fuse_a(carried_a), "A"),
    ]
    fuse_a = fuse_for(current_a=run.current_a, carried_a=carried_a)
    if fuse_a is not None and not exceeds(run.current_a, carried_a):
        figures.append(Figure("Fuse or breaker to fit", fuse_a, "A"))
    return figures


def fuse_notes(given: Given, run: Run) -> list[str]:
    """What to say of the fuse there is."""
    fuse_a, carried_a = given.number_or_none("fuse"), run.least_a
    if fuse_a is None:
        return ["A fuse or breaker protects the wire and sits at its source: within 7 in, by 33 CFR 183.455."]
    notes = []
    if not exceeds(fuse_a, run.current_a) and not run.is_cranking:
        notes.append(f"The fuse of {fuse_a:g} A is not above the current: it will blow in use.")
    if carried_a is not None and exceeds(fuse_a, carried_a):
        notes.append(
            f"The fuse of {fuse_a:g} A is more than the wire carries: the regulation allows it up to 150 %, a smaller "
            "one protects better."
        )
    return notes
