"""Lines with several lists, each behind its label: "Active: P0118 Stored: none". Common practice, no source."""

import re
from dataclasses import dataclass, replace

from engineering.codes.code import CodeStatus
from engineering.codes.headings import without_units
from engineering.codes.tokens import CODE_MARKS, Mark, Token
from engineering.codes.vocabulary import NONE_ELSEWHERE, NOUNS

_LABEL = re.compile(rf"(?: (?:{NOUNS}))?(?: ?\([0-9]{{1,3}}\))? ?: ?")
_NONE = re.compile(rf"(?:NONE|NIL|0|NO|KEIN|-{{1,3}}|{NONE_ELSEWHERE})(?= ?(?:$|[,;|/.]| [A-Z]))")
_SET_OFF = re.compile(r"[,;|/.] ?$")
_NOTHING = re.compile(r"[\W0-9]*")


@dataclass(frozen=True, slots=True)
class Labeled:
    """A line by its lists: the text with the empty ones blanked, the tokens of the others, what there is none of."""

    text: str
    lists: list[list[Token]]
    none_of: list[CodeStatus]


def labeled(text: str, tokens: list[Token]) -> Labeled:
    """The lists of a tidied line; a line without such labels is one list."""
    whole = Labeled(text, [tokens], [])
    if ":" not in text or len(tokens) < 2:
        return whole
    labels: dict[int, int] = {}
    for at, token in enumerate(tokens):
        if token.status is None or token.end > len(text):
            continue
        label = _LABEL.match(text, token.end)
        after = next((one for one in tokens[at + 1 :] if label and one.start >= label.end()), None)
        if label and after and after.start == label.end() and after.mark in CODE_MARKS:
            labels[at] = 0
        elif label and (none := _NONE.match(text, label.end())):
            labels[at] = none.end()
        elif token.mark is Mark.NO_STATUS and token.doubt and ":" in token.raw:
            labels[at] = token.end
    if not labels:
        return whole
    starts = 0 in labels and _NOTHING.fullmatch(without_units(text[: tokens[0].start])) is not None
    if not starts:
        labels = {at: end for at, end in labels.items() if not end and _SET_OFF.search(text, 0, tokens[at].start)}
    lists: list[list[Token]] = [[]]
    signs, end = list(text), 0
    for at, token in enumerate(tokens):
        if at in labels:
            denied = end and not re.search("[A-Z]", text[end : token.start])
            end = labels[at]
            lists.append([] if end else [replace(token, mark=Mark.STATUS) if denied else token])
            _blank(signs, token.start if end else token.end, end or _label_end(text, token))
        elif not (token.mark is Mark.UNCLEAR_COUNT and signs[token.start] == " "):
            lists[-1].append(token)
    none_of = [
        status for at, end in labels.items() if end and (status := tokens[at].status) and tokens[at].doubt in ("", "0")
    ]
    return Labeled("".join(signs), [one for one in lists if one], none_of)


def _label_end(text: str, status: Token) -> int:
    """Where the sign behind a label stands: how many codes its list has, "Stored (2):", is no code's count."""
    label = _LABEL.match(text, status.end)
    return text.rindex(":", 0, label.end()) if label else status.end


def _blank(signs: list[str], start: int, end: int) -> None:
    signs[start:end] = " " * (end - start)
