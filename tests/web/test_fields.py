"""Figures and money as people write them, and what forms say of them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django import forms

from web.fields import FigureField, MoneyField


@pytest.mark.parametrize("text", ["5", "$5", "$ 5.00", "5 $", "5.00 USD", "USD 5", "€5,00", " 5 "])
def test_money_is_read_with_the_sign_of_a_currency(text):
    assert MoneyField().clean(text) == Decimal("5")


@pytest.mark.parametrize("text", ["$", "five", "$5$6", "5 dollars"])
def test_what_is_no_amount_is_refused(text):
    with pytest.raises(forms.ValidationError):
        MoneyField().clean(text)


def test_a_figure_takes_no_sign():
    with pytest.raises(forms.ValidationError, match="not a number"):
        FigureField().clean("$5")


@pytest.mark.parametrize("text", ["1 1/3", "1000000000"])
def test_a_figure_too_long_is_told_what_it_may_have(text):
    with pytest.raises(forms.ValidationError, match=r"At most 7 digits before the decimal point and 2 after it\."):
        FigureField(max_digits=9, decimal_places=2).clean(text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("9999999", []),
        ("10000000", ["No more than 9999999."]),
        ("99999999999", ["No more than 9999999."]),
        ("999999999999", ["No more than 9999999."]),
        ("9999999.99", ["No more than 9999999."]),
        ("-1", ["No less than 0."]),
        ("-99999999999", ["No less than 0."]),
        ("1.234", ["At most 2 digits after the decimal point."]),
        ("1 1/3", ["At most 2 digits after the decimal point."]),
        ("10000000.234", ["No more than 9999999.", "At most 2 digits after the decimal point."]),  # two faults
    ],
)
@pytest.mark.parametrize("field", [FigureField, MoneyField])
def test_one_limit_is_told_of_one_number(field: type[FigureField], text: str, said: list[str]) -> None:
    """What a number may come to is told; how many digits that has, where nothing else is."""
    asked = field(min_value=Decimal(0), max_value=Decimal(9999999), max_digits=11, decimal_places=2)
    form = type("Asking", (forms.Form,), {"sum": asked})({"sum": text})
    assert form.errors.get("sum", []) == said


def test_the_digits_are_told_where_no_limit_is() -> None:
    with pytest.raises(forms.ValidationError) as caught:
        FigureField(max_digits=11, decimal_places=2).clean("9999999999")
    assert caught.value.messages == ["At most 9 digits before the decimal point."]


def test_every_sentence_of_a_form_is_the_houses_own():
    class All(forms.Form):
        name = forms.CharField(max_length=3)
        mail = forms.EmailField()
        day = forms.DateField()
        count = forms.IntegerField(max_value=5)
        kind = forms.ChoiceField(choices=[("a", "A")])

    def said(**answers: str) -> dict[str, str]:
        return {name: sentences[0] for name, sentences in All(answers).errors.items()}

    assert said() == dict.fromkeys(All.base_fields, "Fill this in.")
    assert said(name="long name", mail="x", day="soon", count="9", kind="z") == {
        "name": "No more than 3 characters; this has 9.",
        "mail": "Enter an email address such as name@example.com.",
        "day": "Enter a date such as 2026-05-01.",
        "count": "No more than 5.",
        "kind": "Choose one from the list.",
    }


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (Decimal(140), "140.00"),
        (Decimal("140.5"), "140.50"),
        (Decimal("0"), "0.00"),
        (Decimal("0.01"), "0.01"),
        (Decimal("-5"), "-5.00"),
        (Decimal("0.005"), Decimal("0.005")),  # more than cents is shown as it is
        ("14o", "14o"),  # what was typed stays as it was typed
        ("140", "140"),
        (None, None),
    ],
)
def test_money_is_prefilled_with_its_cents(value: object, shown: object) -> None:
    assert MoneyField().prepare_value(value) == shown


@pytest.mark.parametrize(
    ("places", "text", "said"),
    [
        (1, "1.23", "At most 1 digit after the decimal point."),
        (2, "1.234", "At most 2 digits after the decimal point."),
        (0, "1.2", "At most 0 digits after the decimal point."),
        (1, "0.123456", "At most 1 digit after the decimal point."),
    ],
)
def test_one_digit_is_said_in_the_singular(places, text, said):
    class Meter(forms.Form):
        hours = FigureField(max_digits=9, decimal_places=places)

    assert Meter({"hours": text}).errors["hours"] == [said]
