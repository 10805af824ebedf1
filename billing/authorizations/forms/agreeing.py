"""Forms of what a customer agreed to, and of a manager's word to go on."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS

from billing.authorizations.models import MOST, NOTHING, Authorization
from billing.authorizations.queries import Standing
from staff.models import ShopProfile
from vessels.forms.fields import EntryForm, WhenField
from web.fields import MoneyField
from workorders.forms.charges import LineField
from workorders.forms.fields import WordsField
from workorders.models import Job
from workorders.money import currency_sign

ORDER = (
    "is_open",
    "amount",
    "likely",
    "adds",
    "is_ceiling",
    "how",
    "who",
    "reached",
    "said_at",
    "line",
    "words",
    "picture",
)


class HowForm(EntryForm):
    """How somebody agreed, and what has to be known of that. What was shown beside it is carried along."""

    how = forms.ChoiceField(choices=Authorization.HOW, initial=Authorization.PHONE, widget=forms.RadioSelect)
    who = forms.CharField(label="Who agreed", max_length=80)
    reached = forms.CharField(label="Phone number or address", max_length=80, required=False)
    said_at = WhenField(
        label="When",
        help_text="Day and time at which it was agreed. Empty, in person or signed on the screen, it is now.",
    )
    is_ceiling = forms.BooleanField(label="Not to exceed: nothing is allowed on top of it", required=False)
    words = WordsField(
        label="What was agreed",
        required=False,
        max_length=3000,
        help_text="Of a message its text; on paper, where the sheet is kept. A typed name is no signature.",
    )
    picture = forms.FileField(
        label="Photo of the signed sheet",
        required=False,
        help_text="PNG, JPEG or WebP, up to 15 MB. Where it was taken is removed from it.",
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/webp"}),
    )
    strokes = forms.CharField(required=False, widget=forms.HiddenInput(attrs={"data-signature-strokes": ""}))
    seen_sheet = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    seen_total = forms.DecimalField(widget=forms.HiddenInput)
    seen_authorized = forms.DecimalField(widget=forms.HiddenInput, required=False)
    seen_open = forms.BooleanField(widget=forms.HiddenInput, required=False)
    asked_sometimes: ClassVar[frozenset[str]] = frozenset({"reached", "said_at", "words"})

    def __init__(self, *args: Any, job: Job, standing: Standing, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("who", job.customer.contact or job.customer.name)
        self.initial.setdefault("seen_total", standing.total)
        self.initial.setdefault("seen_authorized", standing.limit.authorized)
        self.initial.setdefault("seen_open", standing.limit.is_open)

    @property
    def is_to_be_signed(self) -> bool:
        """Whether it is all there but the signature."""
        return self.cleaned_data.get("how") == Authorization.DRAWN and not self.cleaned_data.get("strokes")

    @property
    def is_told(self) -> bool:
        """Whether every field was right, so that what is refused is said of the whole."""
        return self.is_bound and set(self.errors) <= {NON_FIELD_ERRORS}

    def look_again(self, standing: Standing) -> None:
        """The page shows the job as it is now: sent again, it is what was seen."""
        self.data = self.data.copy()  # type: ignore[attr-defined]
        authorized = standing.limit.authorized
        self.data["seen_total"] = str(standing.total)  # type: ignore[index]
        self.data["seen_authorized"] = "" if authorized is None else str(authorized)  # type: ignore[index]
        self.data["seen_open"] = str(standing.limit.is_open)  # type: ignore[index]

    def answers(self) -> dict[str, Any]:
        """What ``note_authorization`` is called with."""
        told = dict(self.cleaned_data)
        picture = told.pop("picture")
        told["picture"] = picture.read() if picture is not None else None
        if told["how"] == Authorization.DRAWN:
            told["said_at"] = None
        return told


class AuthorizationForm(HowForm):
    """What a customer agreed to. ``answers()`` goes into ``note_authorization``."""

    is_open = forms.ChoiceField(
        label="The customer authorizes",
        choices=[("no", "a sum"), ("yes", "time and materials, with no ceiling: no sum stops a charge")],
        initial="no",
        required=False,
        widget=forms.RadioSelect,
    )
    amount = MoneyField(
        label="Sum, with tax", min_value=NOTHING, max_value=MOST, max_digits=11, decimal_places=2, required=False,
        help_text="Zero where nothing is charged, as under warranty; write why below. Empty at time and materials.",
    )  # fmt: skip
    likely = MoneyField(
        label="Likely to come to, with tax", min_value=NOTHING, max_value=MOST, max_digits=11, decimal_places=2,
        required=False, help_text="For time and materials, where it was told. It stops nothing.",
    )  # fmt: skip
    adds = forms.ChoiceField(
        label="It is",
        choices=[("no", "all that is authorized"), ("yes", "on top of what was authorized before")],
        initial="no",
        widget=forms.RadioSelect,
    )
    line = LineField()
    asked_sometimes = HowForm.asked_sometimes | {"is_open", "amount"}
    look: ClassVar[dict[str, str]] = {
        "amount": "half", "likely": "half", "who": "half", "reached": "half", "said_at": "half", "line": "half",
        "picture": "half",
    }  # fmt: skip

    def __init__(self, *args: Any, job: Job, standing: Standing, **kwargs: Any) -> None:
        super().__init__(*args, job=job, standing=standing, **kwargs)
        self.units = dict.fromkeys(("amount", "likely"), currency_sign(standing.currency))
        self.order_fields(ORDER)
        field = self.fields["line"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  (for the type checker: declared above)
        field.queryset = job.lines.order_by("position")

    def clean(self) -> dict[str, Any]:
        """A sum has to be said; zero is one."""
        told = super().clean() or self.cleaned_data
        if (
            "is_open" not in self.errors
            and told.get("is_open") != "yes"
            and told.get("amount") is None
            and "amount" not in self.errors
        ):
            self.add_error("amount", "Enter the sum. Zero is one, with the reason below.")
        return told

    def answers(self) -> dict[str, Any]:
        """What ``note_authorization`` is called with."""
        said = super().answers()
        is_open = said["is_open"] == "yes"
        return said | {"adds": said["adds"] == "yes", "is_open": is_open, "amount": said["amount"] or NOTHING}


class GoOnForm(EntryForm):
    """A manager's word to go on."""

    up_to = MoneyField(label="Up to, with tax", min_value=NOTHING, max_value=MOST, max_digits=11, decimal_places=2)
    reason = forms.CharField(label="Why", max_length=300)
    look: ClassVar[dict[str, str]] = {"up_to": "half"}

    def __init__(self, *args: Any, shop: ShopProfile, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = {"up_to": currency_sign(shop.currency)}


class LetGoForm(EntryForm):
    """Why nobody is asked any more about charges that were stopped."""

    reason = forms.CharField(label="Why nobody is to be asked", max_length=300)


class WithdrawForm(EntryForm):
    """Why an authorization no longer stands."""

    reason = forms.CharField(label="Why it no longer stands", max_length=200)
