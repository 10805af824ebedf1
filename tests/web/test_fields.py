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
