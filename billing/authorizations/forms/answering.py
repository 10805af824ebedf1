"""The form of a customer's answer to an estimate: in steps, as what has to be asked follows from what was declined."""

from __future__ import annotations

from enum import StrEnum
from typing import Any, ClassVar
from uuid import UUID

from django import forms

from billing.authorizations.answers import Answer, Chosen, Declined, Offer
from billing.authorizations.forms.agreeing import HowForm
from billing.authorizations.queries import Standing
from web.typed import uuid_of
from workorders.models import Job
from workorders.money import money_words

NONE_OF_THEM = "none"


class Step(StrEnum):
    """How far the answer is: choosing, telling how it was agreed, signing."""

    CHOOSE = "choose"
    TELL = "tell"
    SIGN = "sign"


class AnswerForm(HowForm):
    """What a customer takes and declines of an estimate, and how that was said."""

    revision = forms.IntegerField(widget=forms.HiddenInput)
    seen_sum = forms.DecimalField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, job: Job, standing: Standing, offer: Offer, step: Step, **kwargs: Any) -> None:
        super().__init__(*args, job=job, standing=standing, **kwargs)
        self.offer, self.step = offer, step
        self.initial.setdefault("revision", offer.estimate.revision)
        self.whole, self.rows = offer.total(offer.own), offer.rows(offer.own)
        self.choices = [*self._line_fields(), *self._option_fields()]
        self.told: list[str] = []
        if step is Step.CHOOSE:
            for name in set(HowForm.base_fields) - {"entry_id", "seen_total", "seen_authorized", "seen_open"}:
                del self.fields[name]
            yes = "Leave selected what the customer says yes to."
            sections = [
                ("The work", f"{yes} Each with its price{self._besides()}", self._line_names()),
                ("Options", "Each with what it adds to the whole of the work, with tax.", self._option_names()),
            ]
            self.lay_out(sections)

    def lay_out(self, sections: list[tuple[str, str, list[str]]]) -> None:
        """Show the fields in these sections, of which an empty one is left out."""
        self.sections = [one for one in sections if one[2]]  # type: ignore[misc]

    # what is chosen

    def _line_names(self) -> list[str]:
        return [name for name in self.choices if name.startswith("line-")]

    def _option_names(self) -> list[str]:
        return [name for name in self.choices if not name.startswith("line-")]

    def _money(self, value: Any) -> str:
        return money_words(value, self.offer.currency)

    def _besides(self) -> str:
        """What the whole of the work is made of besides the lines that can be chosen: with them it closes."""
        named = [f"{one.words}: {self._money(one.amount)}" for one in self.rows if one.key is None]
        if not named:
            return "."
        return f", to which comes: {'; '.join(named)}. With all of them it comes to {self._money(self.whole)}."

    def _line_fields(self) -> list[str]:
        names = []
        prices = {one.key: one.amount for one in self.rows}
        for line in self.offer.single:
            name = f"line-{line.key}"
            concern = f"{line.job_line.position}. " if line.job_line is not None else ""
            label = f"{concern}{line.description}: {self._money(prices.get(line.key, 0))}"
            self.fields[name] = forms.BooleanField(label=label, required=False, initial=True)
            names.append(name)
        return names

    def _option_fields(self) -> list[str]:
        """Each option, or a choice of those of which one can be had where its first one stands."""
        names: list[str] = []
        base = self.offer.total(self.offer.own)
        groups: dict[str, list[tuple[str, str]]] = {}
        for option in self.offer.options:
            of_it = [one for one in self.offer.lines if one.option_id == option.pk]
            adds = self._money(self.offer.total([*self.offer.own, *of_it]) - base)
            if option.alternatives:
                if option.alternatives not in groups:
                    names.append(f"group-{len(groups)}")
                groups.setdefault(option.alternatives, []).append((str(option.key), f"{option}: {adds}"))
            else:
                name = f"option-{option.key}"
                self.fields[name] = forms.BooleanField(label=f"{option}: {adds}", required=False)
                names.append(name)
        for number, (label, choices) in enumerate(groups.items()):
            self.fields[f"group-{number}"] = forms.ChoiceField(
                label=f"{label}: one of these, or none",
                choices=[*choices, (NONE_OF_THEM, "none of them")],
                initial=NONE_OF_THEM,
                required=False,
                widget=forms.RadioSelect,
            )
        return names

    def answer(self, said: dict[str, Any]) -> Answer:
        """The answer as the fields say it, from what was cleaned or from what was typed."""
        taken: list[UUID] = []
        declined: list[Declined] = []
        for line in self.offer.single:
            if not said.get(f"line-{line.key}"):
                declined.append(self._declined(line.key, said))
        for option in self.offer.options:
            chosen_by_group = [said.get(name) for name in self.choices if name.startswith("group-")]
            if said.get(f"option-{option.key}") or str(option.key) in chosen_by_group:
                taken.append(option.key)
            elif f"why-{option.key}" in self.fields:
                declined.append(self._declined(option.key, said))
        revision = self.offer.estimate.revision
        return Answer(revision, tuple(taken), tuple(declined))

    @staticmethod
    def _declined(key: UUID, said: dict[str, Any]) -> Declined:
        return Declined(key, str(said.get(f"why-{key}") or "").strip(), bool(said.get(f"safety-{key}")))

    # what is told of it

    def ask_about(self, found: Chosen) -> None:
        """Carry the choice along, and ask of each thing that was declined why, and whether it touches safety."""
        for name in self.choices:
            self.fields[name].widget = forms.HiddenInput()
        self.initial["seen_sum"] = found.total
        for one in found.declined:
            why, safety = f"why-{one.key}", f"safety-{one.key}"
            self.fields[why] = forms.CharField(label=f"Why not: {one.words}", max_length=200, required=False)
            self.fields[safety] = forms.BooleanField(
                label=f"Touches safety: {one.words}",
                required=False,
                help_text="It is told on the sheet and wherever this is offered again.",
            )
            self.told += [why, safety]
        sections = [
            ("What was declined", "It is kept as deferred work, and offered when the boat comes back.", self.told),
            ("How it was agreed", "", ["how", "who", "reached", "said_at", "is_ceiling", "words", "picture"]),
        ]
        self.lay_out(sections)
        self.look = {  # type: ignore[misc]
            **dict.fromkeys(self.told, "half"), "who": "half", "reached": "half", "said_at": "half",
            "picture": "half",
        }  # fmt: skip

    look: ClassVar[dict[str, str]] = {}

    def answers(self) -> dict[str, Any]:
        """What ``note_authorization`` is called with."""
        said = super().answers()
        own = {*HowForm.base_fields} & said.keys()
        return {name: said[name] for name in own} | {
            "amount": self.cleaned_data["seen_sum"],
            "answer": self.answer(self.cleaned_data),
        }


def typed_answer(form: AnswerForm, posted: dict[str, Any]) -> Answer:
    """The answer of what was posted, before anything was cleaned: a tick that is there is one."""
    said: dict[str, Any] = {}
    for name in form.choices:
        value = posted.get(name, "")
        said[name] = value if name.startswith("group-") else value not in {"", "False"}
    return form.answer({name: value for name, value in said.items() if not name.startswith("group-") or uuid_of(value)})
