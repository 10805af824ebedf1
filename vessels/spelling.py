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
    return [_keys(word) for word in _words(text)[:MOST_WORDS]]


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
        sound = jellyfish.metaphone(word)
        sound = sound[:1] + sound[1:].replace("W", "")  # Stewart is heard as Stuart
        if len(sound) >= _LEAST_SOUND:
            keys.add(f"~{sound}")
    return sorted(keys)
