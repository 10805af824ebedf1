"""Passwords that somebody who knows the shop would try first."""

import pytest
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from shopfloor.demo.shop import HANDS
from staff.queries import shop_profile
from tests.cast import PASSWORD, make_cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast():
    shop = shop_profile()
    shop.name, shop.address = "Saltmarsh Engine Works", "14 Ropewalk Lane\nPort Ellery"
    shop.save()
    return make_cast()


@pytest.mark.parametrize(
    "password",
    [
        "garboard2026",
        "Garboard-2026!",
        "G4rb0ard!2026",
        "saltmarsh1994",
        "SaltmarshEngine",
        "Saltmarsh-Engine-Works-1",
        "portellery99",
        "PortEllery2026!",
        "ropewalk-14-lane",
        "orlabrandt1",
        "TomasReef2026",
        "dora-dora-dora",
        "secondwind25",
        "Second Wind 2026",
        "welcome-to-garboard",
        "passwordpassword",
        "P@ssw0rd-2026-!",
        "summer2026summer",
        "qwertyqwerty12",
        "boatyard-captain-1",
        "1234567890ab",
        "aaaaaaaaaaaa",
        "harbor marina dock",
    ],
)
def test_what_is_near_at_hand_is_refused(cast, password):
    with pytest.raises(ValidationError):
        validate_password(password, cast.tech)


@pytest.mark.parametrize(
    "password",
    [
        PASSWORD,
        "tidal-lantern-88",
        "copper-windlass-31",
        "correct horse battery staple",
        "Xk7#pQ9!vLm2",
        "violet kettle seven owls",
        "8f3a9c2e71",
        "orla8f3a9c2e71",
        "grüne-laterne-am-steg",
        "boat-of-my-grandmother",
        *(hand.password for hand in HANDS if len(hand.password) > 20),
    ],
)
def test_what_nobody_would_guess_is_taken(cast, password):
    validate_password(password, cast.tech)


def test_the_sentence_says_what_to_do(cast):
    with pytest.raises(ValidationError) as refused:
        validate_password("garboard2026", cast.tech)
    assert "Choose words that have nothing to do with them." in " ".join(refused.value.messages)


def test_a_password_in_another_script_is_not_refused_for_its_letters(cast):
    validate_password("морской-фонарь-снова", cast.tech)
    validate_password("海の灯台は夜に光る静かに", cast.tech)
