'''The contract of a Bench tool. Everything that a module of ``findings/bench/tools/`` needs is imported from here.

A tool is data and one pure function. ``findings/bench/tools/<subject>.py`` has ``TOOLS``, a tuple of ``Tool``; it is
found by itself. The module is imported with the first Bench page: import numpy and what needs it inside the work
function only.

A complete example::

    """Tools of the cooling system."""

    from engineering.cooling import raw_water_rise
    from engineering.measures import Kind
    from findings.cautions import HOT_COOLANT, ROTATING
    from findings.bench.tool import (
        ToolContext, Bounds, Choice, Example, Figure, Given, Group, Outcome, Prefill, Quantity, Rows, Tool, Words,
    )


    def _rated_rpm(at: ToolContext) -> Prefill | None:
        if at.engine is None or at.engine.rated_rpm_high is None:
            return None
        return Prefill(f"{at.engine.rated_rpm_high} rpm", "top of the rated range on the engine's record")


    def _work(given: Given) -> Outcome:
        outlet_c = given.number("outlet")
        rise_k = raw_water_rise(in_c=given.number("inlet"), out_c=outlet_c)  # may raise .sentence, .field
        rise = given.show(rise_k, "degC", is_difference=True)                # a rise of 25 °C is 45 °F, not 77 °F
        return Outcome(
            f"The raw water warms by {rise} at {given.show(given.number('speed'), 'rpm')}.",
            main=Figure("Raw water outlet", outlet_c, "degC"),    # what the log keeps, as the parameter of logs_as
            figures=(Figure("Flow", 12.1, "L/min", us="gal/min"),),
            band=given.band("limits"),                            # verdict and range strip come from it
            notes=("Check the strainer first.",),
        )


    TOOLS = (
        Tool(
            slug="raw-water-rise",                # the address: /jobs/<number>/bench/raw-water-rise/
            title="Raw water temperature rise",
            group=Group.MECHANICAL,
            purpose="How much the raw water warms on its way, against the card.",
            fields=(
                Quantity("inlet", "Water in", Kind.TEMPERATURE, "degC", argument="in_c"),
                Quantity("outlet", "Water out", Kind.TEMPERATURE, "degC", argument="out_c", hint="At the elbow."),
                Quantity("speed", "Engine speed", Kind.ROTATION, "rpm", default=_rated_rpm),
                Words("where", "Measured at", required=False),
                Bounds("limits", "Limits", Kind.TEMPERATURE, "degC", parameter="Coolant temperature"),
            ),
            work=_work,
            formula="rise = outlet − inlet",
            source="Common practice, no source",
            cautions=(HOT_COOLANT, ROTATING),     # "the maker's current manual comes first" is added by itself
            # a name of findings.readings.parameters, or a new one; "" logs a note
            logs_as="Raw water outlet temperature",
            example=Example(
                {"inlet": "20 °C", "outlet": "45 °C", "speed": "3000 rpm", "limits": ("", "60 °C")},
                expects={"Raw water outlet": "113 °F"},
                source="Where the figures are from",
            ),
        ),
    )

Rules.

- **Fields** (``findings/bench/fields.py``): ``Quantity``, ``Whole``, ``Choice``, ``Words``, ``Day``, ``Rows`` (a
  value a cylinder, pairs, a table to edit), ``Bounds`` (limits from the spec card or typed; never hard-code one),
  ``FromRecords`` (a fault or a parameter of the vessel; ``load`` reads the data so that the work stays pure). A
  ``default`` is a text or a function of ``ToolContext`` (job, vessel, engine, spec limits, hours). ``presets`` fill
  several fields at once ("Flooded", "AGM"; "240–33 Ω", "10–180 Ω").
- **Work** gets ``Given``: floats in the unit that each field's ``to`` names, and returns an ``Outcome``
  (``findings/bench/outcome.py``). It reads no database and no clock (``given.today``). Numbers in sentences go
  through ``given.show``, which speaks the shop's units.
- **One judgment**: what a band judges is compared nowhere else. ``given.judge(main, band)`` tells the work function
  what page, strip and log will say of the main figure; its ``shown``, ``high`` and ``is_out`` go into the sentence.
  A value that was typed carries ``entered="<control>"`` and is judged, shown and kept as typed. A table or limit that
  is for something else (temperature, kind, voltage, size) gives ``not_judged="why"`` and no verdict at all. What can
  hurt somebody goes into ``warnings``.
- **What can be true**: ``Quantity(least=, most=)`` and ``engineering.plausible`` refuse slips of point and unit.
- **Errors**: raise, or let pass, any ``ValueError`` with ``.sentence``. With ``.field`` it stands beside that field
  (by name, or by the field's ``argument``), else on top of the form. ``ToolProblem(sentence, field="…")`` is for what
  the tool itself must refuse.
- **Example**: what a person types, and the texts that figures show in a US shop, from a named source. Write units
  into the inputs ("0.35 V"), so that they hold in any shop. Every registered tool is opened by one test: its example
  is worked and compared, and every field gets bad input. With ``FromRecords`` leave that field out; the test picks
  the first record, and ``expects`` may be empty.
- **Logging**: ``logs_as`` keeps ``main`` as a reading of that parameter with ``worked_from`` (inputs as typed,
  sentence, formula, source). Without it the result is a note with the same words. ``is_logged=False`` for what is no
  finding (a converter). ``is_of_boat=True`` for what belongs to no engine (a tank, a house battery): the page then
  starts with the boat chosen. ``is_of_instruments=True`` where the figure is worked out of nothing but what
  instruments showed of the engine, so that a report counts it as measured; one that is kept as typed counts so by
  itself. Choose ``main``'s unit so that four decimals are enough (mΩ, not Ω).
'''

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, field
from enum import StrEnum

from engineering.limits import Verdict
from findings.bench.context import ToolContext
from findings.bench.fields import (
    Bounds,
    Choice,
    Day,
    Field,
    FromRecords,
    Inputs,
    Option,
    Prefill,
    Quantity,
    Rows,
    Whole,
    Words,
)
from findings.bench.given import Given
from findings.bench.outcome import Band, Column, Figure, Outcome, Table, Told

__all__ = [
    "Band",
    "Bounds",
    "Choice",
    "Column",
    "Day",
    "Example",
    "Field",
    "Figure",
    "FromRecords",
    "Given",
    "Group",
    "Inputs",
    "Option",
    "Outcome",
    "Prefill",
    "Preset",
    "Quantity",
    "Rows",
    "Table",
    "Told",
    "Tool",
    "ToolContext",
    "ToolProblem",
    "Verdict",
    "Whole",
    "Words",
]


class Group(StrEnum):
    """The subjects of the Bench, in the order of the page."""

    ELECTRICAL = "Electrical"
    BATTERIES = "Batteries"
    SENSORS = "Sensors"
    TANKS = "Tanks"
    PROPULSION = "Propulsion"
    MECHANICAL = "Mechanical"
    CODES = "Codes"
    HISTORY = "History and service"
    UNITS = "Units"


class ToolProblem(ValueError):  # noqa: N818 - named after what it tells the user
    """What a tool itself refuses: a sentence that can be acted on, and the field that it belongs to."""

    def __init__(self, sentence: str, *, field: str = "") -> None:
        """Keep the sentence for the field, or for the top of the form."""
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


@dataclass(frozen=True)
class Example:
    """Inputs as typed, and what the figures then show in a US shop, by label. ``says`` are words of the sentence."""

    inputs: Inputs
    _: KW_ONLY
    expects: Mapping[str, str] = field(default_factory=dict)
    says: str = ""
    source: str = ""


@dataclass(frozen=True)
class Preset:
    """Inputs to fill in together, under one name; ``source`` says where they are from."""

    label: str
    inputs: Inputs
    _: KW_ONLY
    source: str = ""


@dataclass(frozen=True)
class Tool:
    """One tool of the Bench. See the top of this module."""

    slug: str
    title: str
    group: Group
    purpose: str
    fields: Sequence[Field]
    work: Callable[[Given], Outcome]
    formula: str
    source: str
    example: Example
    _: KW_ONLY
    cautions: Sequence[str] = ()
    logs_as: str = ""
    is_logged: bool = True
    is_of_boat: bool = False
    is_of_instruments: bool = False
    presets: Sequence[Preset] = ()

    def field_for(self, name: str) -> Field | None:
        """The field of that name, or the one whose engineering argument has it."""
        by_name = next((field for field in self.fields if field.name == name), None)
        return by_name or next((field for field in self.fields if field.argument and field.argument == name), None)
