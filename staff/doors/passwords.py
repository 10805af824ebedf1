"""Passwords that anybody who knows the shop would try: made of its own words, or of those that everybody uses."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from django.core.exceptions import ValidationError

from staff.models import Person
from staff.queries import shop_profile

LEAST_REST = 6  # letters that have to be left once the known words are out
LEAST_WORD = 3
LEAST_SIGNS = 5  # different ones
NUMBERS_AT_ENDS = re.compile(r"^\d+|\d+$")  # a year behind a name is no secret
RUNS = frozenset(["1234567890", "123456789", "12345678", "1234567", "123456", "12345", "0123456789", "987654321"])
LOOKALIKES = str.maketrans("013457@$!", "oieastasi")
SENTENCE = (
    "This is made of words that are easy to guess: names of the shop or its people, or very common words. Choose "
    "words that have nothing to do with them."
)
# From memory: what turns up at the head of published lists of leaked passwords, and what lies near in this trade.
FEW_SIGNS = "This repeats the same few characters. Use more different ones."
COMMON = frozenset(
    """
    password passwort passwd pass word login welcome admin administrator root user guest test demo letmein
    changeme default secret qwerty qwertz azerty asdf asdfgh zxcvbn qazwsx abc abcd abcdef iloveyou love
    sunshine princess monkey dragon football baseball master shadow superman batman hello freedom whatever
    trustno one two three four five six seven eight nine zero january february march april may june july august
    september october november december monday tuesday wednesday thursday friday saturday sunday spring summer
    autumn fall winter garboard marine marina boat boats boatyard yacht ship sail sailing sailor captain skipper
    harbor harbour anchor dock outboard inboard engine engines motor diesel propeller mechanic technician
    workshop shop service repair works yard owner manager desk front office company
    """.split()  # noqa: SIM905  (as a list it would be a page of its own)
)

Source = Callable[[], Iterable[str]]
_sources: list[Source] = []


def register_words(source: Source) -> None:
    """Have the words of an upper floor refused as well, such as the names of its boats."""
    if source not in _sources:
        _sources.append(source)


class OwnWordsValidator:
    """Refuses a password that is little more than words known to everybody around the shop."""

    def validate(self, password: str, user: Person | None = None) -> None:
        """Take the known words out and look at what is left. A password without such words is none of our business.

        Raises:
            ValidationError: too little is left, or it is hardly more than one sign.
        """
        plain = re.sub(r"[\W_]", "", password.lower())
        if len(set(plain)) < LEAST_SIGNS:
            raise ValidationError(FEW_SIGNS, code="password_few_signs")
        words = sorted(_known_words(user), key=len, reverse=True)
        for text in [plain, plain_letters(password)]:
            rest = text
            for word in words:
                rest = rest.replace(word, " ")
            if rest != text:
                if len(NUMBERS_AT_ENDS.sub("", rest.replace(" ", ""))) < LEAST_REST:
                    raise ValidationError(SENTENCE, code="password_own_words")
                return

    def get_help_text(self) -> str:
        """What to tell before."""
        return "Not the names of the shop, its town, its people or its boats."


def plain_letters(text: str) -> str:
    """The letters, small, with figures and signs that stand for letters read as those, and numbers left out."""
    return re.sub(r"[\W\d_]", "", re.sub(r"\d{2,}", "", text).lower().translate(LOOKALIKES))


def _known_words(user: Person | None) -> frozenset[str]:
    shop = shop_profile()
    texts = [shop.name, shop.address, shop.email]
    for name, username, email in Person.objects.values_list("name", "username", "email"):
        texts += [name, username, email]
    if user is not None:
        texts += [user.name, user.username, user.email]
    for source in _sources:
        texts += source()
    words = {word for text in texts for word in re.split(r"[\W\d_]+", text.lower())}
    words |= {plain_letters(text) for text in texts}
    return RUNS | COMMON | {word for word in words if len(word) >= LEAST_WORD}
