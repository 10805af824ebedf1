"""The forms of one screen: whose boat, what is wrong, how it came in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar
from uuid import UUID

from django import forms
from django.utils import timezone

from commands.envelope import outcome_of
from vessels.forms import HoursForm, IntakeCustomerForm, NewEngineForm, VesselForm
from vessels.forms.fields import EntryForm
from vessels.models import Customer, Engine, EngineFamily, Vessel
from vessels.models.hulls import POSITION_WORDS
from vessels.queries.hours import hours_on_record
from web.texts import is_sound
from web.typed import whole_number
from workorders.forms.fields import DayField, TechnicianField, WordsField
from workorders.models import Job
from workorders.offered import Offered, offered_for
from workorders.queries.jobs import usual_place

MOST_CONCERNS = 12
MOST_ENGINES = 5


@dataclass(frozen=True)
class Choice:
    """Which boat the job is for: one on record, a new one of a customer on record, or all new."""

    vessel: Vessel | None = None
    customer: Customer | None = None
    is_new: bool = False

    @property
    def key(self) -> str:
        """The choice as the form carries it."""
        if self.vessel is not None:
            return f"boat:{self.vessel.pk}"
        if self.customer is not None:
            return f"customer:{self.customer.pk}"
        return "new" if self.is_new else ""

    @property
    def is_made(self) -> bool:
        """Whether it is known which boat."""
        return bool(self.key)

    @property
    def needs_boat(self) -> bool:
        """Whether a boat is added with the job."""
        return self.is_made and self.vessel is None


def choice_of(key: str) -> Choice:
    """The choice that a key stands for; one that leads nowhere is no choice."""
    what, _, number = key.partition(":")
    if what == "new":
        return Choice(is_new=True)
    pk = whole_number(number)
    if pk is None:
        return Choice()
    if what == "boat":
        return Choice(vessel=Vessel.objects.select_related("owner").filter(pk=pk).first())
    if what == "customer":
        return Choice(customer=Customer.objects.filter(pk=pk).first())
    return Choice()


class CounterCustomerForm(IntakeCustomerForm):
    """A new customer, with no more than the counter asks for. The rest can be written down later."""

    look: ClassVar[dict[str, str]] = {"name": "third", "phone": "third", "email": "third"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in set(self.fields) - {"name", "phone", "email", "not_a_twin"}:
            del self.fields[name]

    def changes(self) -> dict[str, Any]:
        """The customer's own columns."""
        return {"name": self.cleaned_data["name"]}


class CounterBoatForm(VesselForm):
    """A new boat, with what is read off the hull while it is tied up."""

    kept: ClassVar[tuple[str, ...]] = ("name", "kind", "hin", "hin_remark", "maker", "model", "model_year")
    look: ClassVar[dict[str, str]] = {
        "name": "half", "kind": "half", "hin": "half code-field", "hin_remark": "half",
        "maker": "third", "model": "third", "model_year": "third",
    }  # fmt: skip
    sections: ClassVar[list[tuple[str, str, list[str]]]] = []

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in set(self.fields) - set(self.kept):
            del self.fields[name]
        self.order_fields(["name", "kind", "maker", "model", "model_year", "hin", "hin_remark"])


class CounterEngineForm(NewEngineForm):
    """An engine of a new boat. Left wholly empty, it is not added."""

    look: ClassVar[dict[str, str]] = {
        "maker": "third", "model": "third", "family": "third", "serial": "half code-field", "meter_shown": "half",
    }  # fmt: skip
    units: ClassVar[dict[str, str]] = {"meter_shown": "h"}
    sections: ClassVar[list[tuple[str, str, list[str]]]] = []

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kept = ["position", "fuel", "maker", "model", "family", "serial", "meter_shown"]
        for name in set(self.fields) - set(kept):
            del self.fields[name]
        if not EngineFamily.objects.exists():
            del self.fields["family"]
        self.order_fields(kept)

    @property
    def is_told(self) -> bool:
        """Whether anything is said about it beyond where it would be."""
        return any(self.cleaned_data.get(name) not in (None, "") for name in self.said)

    said: ClassVar[tuple[str, ...]] = ("maker", "model", "family", "serial", "meter_shown")


class ArrivalHoursForm(HoursForm):
    """What one engine's hour meter shows as the boat comes in, if it was read."""

    look: ClassVar[dict[str, str]] = {"shown": "half"}

    def __init__(self, *args: Any, engine: Engine, **kwargs: Any) -> None:
        super().__init__(*args, engine=engine, **kwargs)
        for name in ("entry_id", "happened_at", "text", "told_hours"):
            self.fields.pop(name, None)
        self.fields["shown"].required = False
        self.fields["shown"].label = f"Hours, {engine}"
        self.fields["shown"].widget.attrs |= {"autocomplete": "off", "data-read-now": ""}


class NoBoatForm(forms.Form):
    """Where the boat is looked for, while none is chosen: a job is not opened without one."""

    q = forms.CharField(label="Boat", required=False, max_length=100, widget=forms.TextInput(attrs={"id": "open-q"}))

    def clean(self) -> dict[str, Any]:
        """Ask for the boat, whatever is looked for."""
        self.add_error("q", "Choose the boat first, or add it. What you wrote below is kept.")
        return self.cleaned_data


class ConcernForm(forms.Form):
    """One concern, and the engine that it is about where there is a choice."""

    text = WordsField(label="Concern", required=False, rows=2)
    engine = forms.ChoiceField(label="About", required=False)

    def __init__(self, *args: Any, engines: Sequence[tuple[str, str]], position: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["text"].label = "Concern" if position == 0 else f"Concern {position + 1}"
        if position == 0:
            self.fields["text"].help_text = "In the customer's own words."
            self.fields["text"].required = True
            self.fields["text"].error_messages["required"] = "Enter at least one concern, in the customer's own words."
        field = self.fields["engine"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101  (for the type checker: declared above)
        field.choices = [("", "Boat, or not known"), *engines]
        if len(engines) < 2:
            del self.fields["engine"]
        self.look = {"text": "two-thirds", "engine": "third"} if len(engines) > 1 else {}


class ArrivalForm(EntryForm):
    """How the boat came in. Where it is has to be said: what was not asked would be printed on its tag as a fact."""

    location = forms.ChoiceField(
        label="Where the boat is",
        choices=Job.LOCATIONS,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose where the boat is."},
    )
    spot = forms.CharField(label="Slip, rack or spot", max_length=40, required=False)
    promised_on = DayField(label="Promised for", required=False)
    technician = TechnicianField()
    keys = forms.CharField(label="Where the keys are", max_length=80, required=False)
    contents = WordsField(label="Contents on arrival", required=False, rows=2, help_text="Loose gear, papers, fuel.")
    condition = WordsField(label="Condition on arrival", required=False, rows=2, help_text="Damage and wear seen now.")
    look: ClassVar[dict[str, str]] = {
        "spot": "third", "promised_on": "third", "technician": "third",
        "keys": "third", "contents": "third", "condition": "third",
    }  # fmt: skip

    def clean_promised_on(self) -> Any:
        """A day that is still to come."""
        day = self.cleaned_data["promised_on"]
        if day is not None and day < timezone.localdate():
            raise forms.ValidationError("This day is past. Promise today or later, or leave it empty.")
        return day


class OffersForm(forms.Form):
    """What the boat could have done now, each with a tick."""

    def __init__(self, *args: Any, offers: Sequence[Offered], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offers = {f"offer-{one.key}": one for one in offers}
        for name, one in self.offers.items():
            self.fields[name] = forms.BooleanField(label=one.words, required=False, help_text=one.hint)

    def taken(self) -> list[Offered]:
        """What was ticked."""
        return [one for name, one in self.offers.items() if self.cleaned_data.get(name)]

    def is_any_ticked(self) -> bool:
        """Whether something was, before the form is judged."""
        return any(self.data.get(self.add_prefix(name)) for name in self.offers)


class Opening:
    """All forms of the screen, for one choice of boat.

    With ``data`` they are checked; with ``kept`` they only show what was typed so far.
    """

    def __init__(
        self,
        choice: Choice,
        *,
        data: Mapping[str, Any] | None = None,
        kept: Mapping[str, Any] | None = None,
        concerns: int = 1,
        engines: int = 1,
    ) -> None:
        self.choice = choice
        self._data, self._kept = data, kept or {}
        self.no_boat = self._made(NoBoatForm, "") if not choice.is_made else None
        self.customer = self._made(CounterCustomerForm, "customer") if choice.is_new else None
        self.boat = self._made(CounterBoatForm, "boat") if choice.needs_boat else None
        count = min(max(engines, 1), MOST_ENGINES) if choice.needs_boat else 0
        self.engines = [self._made(CounterEngineForm, f"engine-{index}") for index in range(count)]
        self.fitted = _fitted(choice.vessel) if choice.vessel else []
        on_record = hours_on_record(self.fitted) if self.fitted else {}
        self.hours = [
            self._made(ArrivalHoursForm, f"hours-{one.pk}", engine=one, on_record=on_record[one.pk])
            for one in self.fitted
        ]
        self.concerns = [
            self._made(ConcernForm, f"concern-{index}", engines=self._engine_choices(), position=index)
            for index in range(min(max(concerns, 1), MOST_CONCERNS))
        ]
        offers = offered_for(choice.vessel, self.fitted) if choice.vessel else []
        self.offers = self._made(OffersForm, "", offers=offers) if offers else None
        if self.offers is not None and self.offers.is_any_ticked():
            self.concerns[0].fields["text"].required = False
        self.arrival = self._made(ArrivalForm, "", known=self._known())
        self._know_what_it_made()

    def _made(self, kind: type[Any], prefix: str, *, known: Mapping[str, Any] | None = None, **more: Any) -> Any:
        """A form that is bound, or that shows what was typed so far."""
        prefix_or_none = prefix or None
        if self._data is not None:
            return kind(self._data, prefix=prefix_or_none, **more)
        form = kind(prefix=prefix_or_none, initial=dict(known or {}), **more)
        typed = {name: self._kept[form.add_prefix(name)] for name in form.fields if form.add_prefix(name) in self._kept}
        form.initial.update(typed)
        return form

    def _know_what_it_made(self) -> None:
        """Sent a second time, the form finds the customer and the boat of its first sending: they are no twins."""
        job = outcome_of(_uuid((self._data or {}).get("entry_id")), "take_in")
        if isinstance(job, Job):
            if self.boat is not None:
                self.boat.made_before = job.vessel
            if self.customer is not None:
                self.customer.made_before = job.customer

    def _known(self) -> dict[str, Any]:
        """How the boat usually comes in: its berth, and the kind of place that it was last time it lay there."""
        vessel = self.choice.vessel
        if vessel is None:
            return {}
        before = usual_place(vessel)
        if before is None:
            return {"spot": vessel.berth} if vessel.berth else {}
        return {"spot": vessel.berth or before.spot, "location": before.location}

    def _engine_choices(self) -> list[tuple[str, str]]:
        if self.fitted:
            return [(str(one.pk), str(one)) for one in self.fitted]
        return [(f"new-{index}", f"Engine {index + 1}") for index in range(len(self.engines))]

    @property
    def everything(self) -> list[forms.Form]:
        """All forms in the order of the page, for the error summary."""
        return list(self._each())

    def _each(self) -> Iterator[forms.Form]:
        if self.no_boat is not None:
            yield self.no_boat
        if self.customer is not None:
            yield self.customer
        if self.boat is not None:
            yield self.boat
        yield from self.engines
        yield from self.concerns
        if self.offers is not None:
            yield self.offers
        yield self.arrival
        yield from self.hours

    def is_valid(self) -> bool:
        """Whether everything can be kept; every form is asked, so that every problem shows at once."""
        return all([is_sound(form) for form in self._each()])  # noqa: C419  (every form shows its errors)

    def said(self) -> list[tuple[str, str]]:
        """Each concern with the key of its engine, or nothing."""
        found = [(form.cleaned_data["text"], form.cleaned_data.get("engine", "")) for form in self.concerns]
        return [(text, engine) for text, engine in found if text.strip()]

    def taken(self) -> list[Offered]:
        """What was ticked of what the boat could have done now."""
        return self.offers.taken() if self.offers is not None else []


def _fitted(vessel: Vessel) -> list[Engine]:
    """The engines that are in a boat now, with their meters and in the order of their places."""
    places = {position: place for place, position in enumerate(POSITION_WORDS)}
    found = vessel.engines.filter(removed_on=None).prefetch_related("meters")
    return sorted(found, key=lambda engine: (places.get(engine.position, len(places)), engine.pk))


def _uuid(text: Any) -> UUID | None:
    try:
        return UUID(str(text))
    except ValueError:
        return None
