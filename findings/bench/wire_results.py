"""What a wire carries where it runs, and the fuse that protects it, for the tools that size it and that judge it."""

from __future__ import annotations

from dataclasses import dataclass

from engineering.amounts import exceeds, reaches
from engineering.electrical.ampacity import (
    CRANKING_S,
    SOURCE,
    THINNEST_ALONE,
    Surroundings,
    carries,
    cranking_most_a,
    fuse_for,
    fuse_of_the_wire_a,
    largest_fuse_a,
)
from engineering.electrical.ampacity_table import INSULATIONS_C
from engineering.electrical.conductors import K_COPPER_C, SIZES, Conductor
from findings.bench.tool import Band, Choice, Field, Figure, Given, Outcome, Told, Whole

CRANKING_MOTOR = "cranking"
_NEAR_SHARE = 0.9
_WORST_C = 60
"""An insulation whose rating is not known is taken as the poorest."""

SURROUNDINGS: tuple[Field, ...] = (
    Choice(
        "insulation",
        "Insulation rated",
        [(str(rating), f"{rating} °C") for rating in INSULATIONS_C],
        required=False,
        argument="insulation_c",
        section="What it carries",
        hint="As printed on the wire. Not legible: choose none, and the worst, 60 °C, counts.",
    ),
    Choice(
        "where",
        "Where it runs",
        [("outside", "Outside engine spaces"), ("inside", "In an engine space")],
        required=False,
        section="What it carries",
        hint="Not known: choose none, and the worst counts, in an engine space.",
    ),
    Whole(
        "bundled",
        "Loaded wires in its bundle",
        least=1,
        most=200,
        section="What it carries",
        hint="All that carry current at once, out and back. This run's two wires alone are 2.",
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
    words: str
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
    def is_burnt_by_cranking(self) -> bool:
        """Whether a cranking motor's current surely makes the wire too hot."""
        return self.is_cranking and exceeds(self.current_a, cranking_most_a(self.wire, self.where))

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
    """Where the wire runs; what was not said is taken at its worst."""
    return Surroundings(
        int(given.choice("insulation") or _WORST_C), given.choice("where") != "outside", given.whole("bundled")
    )


def surroundings_words(given: Given) -> str:
    """Where the wire runs, in words, and what of it was not said."""
    said = surroundings(given).words
    unsaid = [word for word, name in (("insulation", "insulation"), ("place", "where")) if name in _unsaid(given)]
    return f"{said}; {' and '.join(unsaid)} not said: worst case taken" if unsaid else said


def _unsaid(given: Given) -> list[str]:
    return [name for name in ("insulation", "where") if not given.choice(name)]


def as_run(given: Given, wire: Conductor) -> Run:
    """The wire with its current, where it runs."""
    is_cranking = given.choice("load") == CRANKING_MOTOR
    return Run(wire, given.number("current"), surroundings(given), surroundings_words(given), is_cranking)


def too_hot(given: Given, where: Surroundings) -> list[str]:
    """What to say of a conductor that is hotter than its insulation may be."""
    temperature_c = given.number_or_none("temperature")
    if temperature_c is None or not exceeds(temperature_c, where.insulation_c):
        return []
    hot, rated = (given.show(one, "degC", decimals=0) for one in (temperature_c, where.insulation_c))
    return [f"At {hot} the conductor is hotter than its insulation is rated for, {rated}."]


def burnt_by_cranking(given: Given, run: Run, drop: str) -> Outcome:
    """A conductor that a cranking motor's current surely makes too hot is out, whatever it drops."""
    main = Figure("Current", run.current_a, "A", entered="current")
    source = f"{CRANKING_S} s of cranking, no heat lost, {run.where.insulation_c} °C insulation"
    band = Band(None, round(cranking_most_a(run.wire, run.where), 1), "A", source=source)
    judged = given.judge(main, band)
    return Outcome(
        f"{run.wire.name} is far too thin to crank with {judged.shown}: above {judged.high}, {CRANKING_S} s make it "
        f"too hot for its insulation. {drop}",
        main=main,
        band=band,
        warnings=[
            f"Too much current for this wire: {judged.shown} in {run.wire.name} overheats it and can start a fire. "
            "Do not crank with it."
        ],
        notes=["Less than that is no proof that it does: the maker's cable sizes count."],
        condition=run.wire.name,
    )


def hotter_than_the_insulation(given: Given, run: Run, figures: list[Figure | Told], drop: str) -> Outcome:
    """A conductor above its insulation's rating is out, whatever it drops."""
    main = Figure("Conductor temperature", given.number("temperature"), "degC", entered="temperature")
    band = Band(None, run.where.insulation_c, "degC", source="its insulation's rating")
    return Outcome(
        f"{too_hot(given, run.where)[0]} {drop}",
        main=main,
        band=band,
        figures=figures,
        warnings=["Insulation that gets too hot fails, and a bare wire can start a fire. Find out what makes it hot."],
        condition=run.wire.name,
    )


def is_at_its_limit(run: Run) -> bool:
    """Whether the current is within a tenth of the most that the wire carries, as a value near its limit is."""
    return run.least_a is not None and not run.not_judged and reaches(run.current_a, _NEAR_SHARE * run.least_a)


def overloaded(given: Given, run: Run, figures: list[Figure | Told], drop: str) -> Outcome:
    """A wire that carries too much is out, whatever it drops; then its fuse, and what is known of the drop."""
    main = Figure("Current", run.current_a, "A", entered="current")
    band = Band(None, run.most_a, "A", source=f"{SOURCE}, {run.words}")
    judged = given.judge(main, band)
    return Outcome(
        f"{run.wire.name} is too thin for this current, whatever it drops: {judged.shown} is more than the "
        f"{judged.high} that it carries ({run.words}). {drop}".strip(),
        main=main,
        figures=figures,
        band=band,
        warnings=[
            f"Too much current for this wire: {judged.shown} in {run.wire.name} overheats it and can start a fire. "
            "Take the load off, and fit thicker wire or draw less.",
            *([_no_protection(given, run)] if is_fuse_too_large(given, run) else []),
            *too_hot(given, run.where),
        ],
        notes=fuse_notes(given, run),
        condition=run.wire.name,
    )


def is_fuse_too_large(given: Given, run: Run) -> bool:
    """Whether the fuse is above what the regulation allows for the wire, by any reading of the table."""
    fuse_a = given.number_or_none("fuse")
    return fuse_a is not None and not run.is_cranking and exceeds(fuse_a, largest_fuse_a(run.most_a))


def _no_protection(given: Given, run: Run) -> str:
    fuse = given.show(given.number("fuse"), "A", entered="fuse")
    return f"A fuse of {fuse} does not protect {run.wire.name}: the wire can burn before it blows."


def fuse_too_large(given: Given, run: Run, figures: list[Figure | Told], drop: str, notes: list[str]) -> Outcome:
    """A fuse that lets the wire burn is out, and said before what the run drops."""
    main = Figure("Fuse or breaker", given.number("fuse"), "A", entered="fuse")
    band = Band(None, largest_fuse_a(run.most_a), "A", source=f"33 CFR 183.455 for {run.wire.name}")
    judged = given.judge(main, band)
    return Outcome(
        f"The fuse or breaker of {judged.shown} is too large for {run.wire.name}: more than {judged.high}, 150 % of "
        f"what it carries ({run.words}). {drop}".strip(),
        main=main,
        figures=figures,
        band=band,
        warnings=[_no_protection(given, run), *too_hot(given, run.where)],
        notes=notes,
        condition=run.wire.name,
    )


def fuse_figures(run: Run) -> list[Figure | Told]:
    """What the wire carries, and the fuse that protects it."""
    carried_a = run.least_a
    if carried_a is None:
        return []
    figures: list[Figure | Told] = [Figure("Steady current, at most", carried_a, "A", significant=4)]
    most_a = fuse_of_the_wire_a(carried_a)
    if most_a is not None:
        figures.append(Figure("Fuse or breaker, at most", most_a, "A"))
    fuse_a = fuse_for(current_a=run.current_a, carried_a=carried_a)
    if fuse_a is not None and not exceeds(run.current_a, carried_a):
        figures.append(Figure("Fuse or breaker to fit", fuse_a, "A"))
    return figures


def hot_place(given: Given) -> list[str]:
    """What the drop leaves out where it may be hot and nobody said how hot the copper gets."""
    if given.choice("where") != "inside" or given.number_or_none("temperature") is not None:
        return []
    cool = given.show(K_COPPER_C, "degC")
    return [f"The drop is that of copper at {cool}: hotter copper drops more. Give its temperature to count that."]


def which_limit(given: Given, run: Run) -> list[str]:
    """Which limit is for the load and which for the fuse."""
    if run.least_a is None:
        return []
    carried, highest = (given.show(one, "A", significant=4) for one in (run.least_a, largest_fuse_a(run.least_a)))
    fuse_a = fuse_of_the_wire_a(run.least_a)
    if fuse_a is None:
        return [f"The load may draw {carried} steadily and no more. No fuse that small is sold: take thicker wire."]
    if not exceeds(fuse_a, run.least_a):
        return [f"Two limits: the load may draw {carried} steadily and no more, and the fuse is at most {fuse_a:g} A."]
    return [
        f"Two limits: the load may draw {carried} steadily and no more, whatever the fuse. The fuse may be {fuse_a:g} "
        f"A only because it is the next rating sold above that and below 150 %, {highest} (33 CFR 183.455, below 50 V)."
    ]


def _too_thin_alone(run: Run) -> list[str]:
    if SIZES.index(run.wire.size) >= SIZES.index(THINNEST_ALONE):
        return []
    return [f"By itself {run.wire.name} is too thin (33 CFR 183.425): it belongs in a sheath with other wires."]


def fuse_notes(given: Given, run: Run) -> list[str]:
    """Which limit is for what, and what to say of the fuse there is."""
    fuse_a, carried_a = given.number_or_none("fuse"), run.least_a
    if run.is_cranking:
        return []
    notes = [*_too_thin_alone(run), *which_limit(given, run)]
    if fuse_a is None:
        return [*notes, "A fuse or breaker protects the wire and sits at its source: within 7 in, by 33 CFR 183.455."]
    if not reaches(fuse_a, run.current_a):
        notes.append(f"The fuse of {fuse_a:g} A is below the current: it will blow in use.")
    elif not exceeds(fuse_a, run.current_a):
        notes.append(f"The fuse of {fuse_a:g} A is no more than the current: it can blow in use.")
    if carried_a is None or not exceeds(fuse_a, carried_a) or is_fuse_too_large(given, run):
        return notes
    next_a = fuse_of_the_wire_a(carried_a)
    if next_a is not None and exceeds(fuse_a, next_a):
        notes.append(
            f"The fuse of {fuse_a:g} A is more than the wire carries, and larger than it need be: fit {next_a:g} A or "
            "less. Up to 150 % is the most that 33 CFR 183.455 allows."
        )
    return notes
