"""What names may be misspelled as, and what they sound like: keys that two spellings of one name share."""

from __future__ import annotations

import re
import unicodedata

import jellyfish

_LEAST_SOUND, _LEAST_LETTERS = 2, 3
_LEAST_TO_LEAVE_OUT = 4
MOST_WORDS = 8


def near_keys(*names: str) -> list[str]:
    """The keys of all words of some names, to be stored beside them, in order and each once."""
    return sorted({key for name in names for word in _words(name) for key in _keys(word)})


def asked_keys(text: str) -> list[list[str]]:
    """For each word that was typed, the keys of which a name has to have one."""
    return [sorted({*_keys(word), *_other_sounds(word)}) for word in _words(text)[:MOST_WORDS]]


def _words(text: str) -> list[str]:
    """Words in small letters without accents; what has no accents to leave out stays as it is."""
    plain = "".join(sign for sign in unicodedata.normalize("NFKD", text) if not unicodedata.combining(sign))
    return re.findall(r"\w+", plain.casefold().replace("’", "").replace("'", ""))


def _keys(word: str) -> list[str]:
    """The word, the word with each letter left out, and its sound.

    Two words that differ by a letter too many, too few, another or two that changed places share one of the first. The
    sound is that of Metaphone (L. Philips, 1990), marked with ``~``, for words of Latin letters.
    """
    keys = {word}
    if word.isalpha() and len(word) >= _LEAST_TO_LEAVE_OUT:
        keys |= {word[:at] + word[at + 1 :] for at in range(len(word))}
    if word.isascii() and word.isalpha() and len(word) >= _LEAST_LETTERS:
        sound = _sound(word)
        if len(sound) >= _LEAST_SOUND:
            keys.add(f"~{sound}")
    return sorted(keys)


def _sound(word: str) -> str:
    sound = jellyfish.metaphone(word)
    return sound[:1] + sound[1:].replace("W", "")  # Stewart is heard as Stuart


_HEARD_AS: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(pattern), other)
    for pattern, other in (
        ("(?<=.)w", "v"), ("(?<=.)v", "w"), ("th", "t"), ("^t(?!h)", "th"), ("(?:dt|[dt])$", "t"),
        ("(?:dt|[dt])$", "dt"),
        ("^sch", "sh"), ("^sh", "sch"), ("^sch", "sk"), ("^sk", "sch"), ("ij", "y"), ("y", "ij"), ("^ch(?=r)", "k"),
        ("^k(?=r)", "ch"), ("kw|qu|qv", "kv"), ("kv|kw", "qv"), ("x", "ks"), ("ks", "x"), ("^j", "y"), ("^y", "j"),
    )
)  # fmt: skip
"""Letters of German, Nordic and Dutch names that are heard as others; Metaphone, made for English, parts them."""
_LEAST_OTHER_SOUND = 3
"""A shorter sound fits too much: Wood would find Foot."""


def _other_sounds(word: str) -> set[str]:
    """The sounds of what a word may be written as by ear, with up to two of its spellings changed."""
    if not (word.isascii() and word.isalpha() and _LEAST_TO_LEAVE_OUT <= len(word) <= _LONGEST_BY_EAR):
        return set()
    once = {pattern.sub(other, word) for pattern, other in _HEARD_AS}
    twice = {pattern.sub(other, one) for one in once for pattern, other in _HEARD_AS}
    sounds = {_sound(one) for one in once | twice} - {_sound(word)}
    if word[0] in "vw":  # Metaphone takes v for f, so that West would find Fast: only in a long name is it heard
        begun = {_sound({"v": "w", "w": "v"}[one[0]] + one[1:]) for one in {word, *once}}
        sounds |= {sound for sound in begun if len(sound) >= _LEAST_LONG_SOUND}
    return {f"~{sound}" for sound in sounds if len(sound) >= _LEAST_OTHER_SOUND}


_LEAST_LONG_SOUND = 5
_LONGEST_BY_EAR = 30
