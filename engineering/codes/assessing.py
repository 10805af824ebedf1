"""How a code stands in its line: as one of a list, in a sentence, denied, or as something that only looks like a code.

Only what stands in a list is taken by itself. What may be there is offered with its reason. What the line says is not
there, or only may be, or is a part or a place, is told and not offered. Common practice of reading notes, no source.
"""

import re
from dataclasses import dataclass

from engineering.codes.assessing_words import (
    ANY,
    ASKED,
    CAME_BACK,
    CLAUSE_END,
    CLEARED_LABEL,
    DENIED_ALONE,
    DENIED_BEFORE,
    EMPTY_RESULT,
    FAULT_WORDS,
    FINDING,
    FIRST_WORD,
    FITTED,
    FOUND,
    HEDGES,
    JOINS,
    LAST_WORD,
    LEAD_OK,
    MAYBE_AFTER,
    MAYBE_BEFORE,
    NEVER_BACK,
    NEXT_DENIED,
    ONLY_JOINS,
    PARTS,
    PAST,
    PRICE,
    SENTENCE_WORDS,
    TIMES,
    WORDS,
    YEAR,
    without_harmless,
)
from engineering.codes.headings import ONLY_EXPLAINED, before_next_unit, may_name_units, without_units
from engineering.codes.vocabulary import HEADING_WORD, NOUN, SCAN_NOUN
from engineering.codes.wordings import DESCRIPTION

SENTENCE = "It stands in a sentence: check that it is there now."
TWO_NUMBERS = "Two numbers, without the words SPN and FMI and without a heading for codes."
NO_SIGN = "Nothing beside it says that it is a fault code: no status, no heading, no word for it."
NOT_NOW = "is named, but the line says or may say that it is not there now"
_IN_A_SENTENCE = "-"
UNTICKED = "stands behind a box that is not ticked, or is struck out"
A_RANGE = "It may be one end of a range: write each code that the unit lists."
_LABEL_OF_NEXT = re.compile(r"[,;|/.}\])\"']{1,3} ?[\"']?(?:[A-Z][A-Z'-]{1,14}[ _]?){1,3}[\"']? ?[:=][ \[({\"']*$")
"""Set off from the code before it: the "; cleared: " of "P0118; cleared: P0113"."""
_OVER = re.compile(r"(?<![A-Z])(?:CLEARED|ERASED|DELETED|GONE)(?![A-Z])")
UNDER_OTHER = "It stands below a line by which codes are not there or only explained: check that it is there now."
_FIELDS = re.compile(r"(?<![A-Z0-9_=])[A-Z_]{1,20}=[A-Z0-9_.:+-]{1,30}(?=[ ,;]{1,2}[A-Z])")
"""The other fields in front of a code's own: "time=09:12 unit=ECM dtc="."""
_FREEZE_FRAME = re.compile(r"(?:FREEZE FRAME|SNAPSHOT)(?: [0-9]{1,2}(?: OF [0-9]{1,2})?)? ?: ?$")
"""The values of a moment stand under the code that took them."""
_RANGE = re.compile(r" ?(?:-|\.\.|TO|THRU|THROUGH|UNTIL|BIS|TIL|TILL) ?")
ONE_OF_THEM = "“Or” leaves open which of them it is: write each code that the unit lists."
IN_ITS_PLACE = "The line says that one took the place of another: check which of them is there now."
_IN_PLACE_OF = re.compile(
    r"(?:[A-Z ]{0,9} )?(?:-+>|=+>|→|⇒|»|(?:WAS |GOT |IS |NOW )?(?:REPLACED|SUPERSEDED) (?:BY|WITH)|BECAME|TURNED INTO"
    r"|CHANGED (?:IN)?TO) ?"
)
"""Between two codes: "P0118 -> P0117", "P0118 active became P0117"."""
A_SHARE = "A percentage stands right before it: check what it says of the code."
_NONE_OF = re.compile(r"(?<![A-Z])(?:NONE|NIL) +$")
_SHARE = re.compile(r"[0-9] ?% ?$")
SLASHED = "A slash stands between two codes, which may mean “or”: write each code that the unit lists."
_OR = re.compile(r"(?<![A-Z])(?:OR|ODER|OU|OF|ELLER|TAI)(?![A-Z])")
MARKED = "A mark stands beside it: check whether it means that the code is there, or that it was dealt with."
OTHER_SCRIPT = "Beside it stand words in letters that are not read here: check what they say of the code."
_OTHER_SCRIPT = re.compile(r"[^\W\d_\x00-\x7f]{2}|[\u3040-\u30ff\u4e00-\u9fff\uac00-\ud7a3]")
_BOX = re.compile(r"\[ ?X? ?\]|[☐☑☒□❏]")
_EMPTY_BOX_BEHIND = re.compile(r"\W{0,3}(?:\[ ?\]|[☐□❏])")
_MARK = re.compile(r"\W{0,3}[✓✔√✗✘✕☑☒❌✅]")
_TICKED_BOX = re.compile(r"[\[(] ?X ?[\])]")
_ALL_ENGINES = re.compile(r"(?<![A-Z])(?:BOTH|ALL|BEIDE) (?:ENGINES|MOTORS|SIDES|MOTOREN)(?![A-Z])")
_MARK_BEFORE = re.compile(r"(?:[✓✔√✗✘✕☑☒❌✅]|\[ ?X ?\])\W{0,3}$")
_EMPTY_BOX = re.compile(r"(?:\[ ?\]|\( ?\)|☐|~~|<(?:S|DEL|STRIKE)>|<!--)\W{0,3}$")
WORDS_NOT_READ = "What the words behind it say of the code was not read: check that it is there now."
COUNT_IS_0 = "Its count is 0."
LOOKS_LIKE = "looks like a code, but may as well be a part, a place or a number"


@dataclass(frozen=True, slots=True)
class Place:
    """Where one code of a line stands, and what is known of it: its letter ("" for SPN), status or count, its name."""

    start: int
    end: int
    letter: str
    has_status: bool
    is_named: bool
    doubt: str = ""
    pair: str = ""
    denied: bool = False
    is_zero: bool = False
    is_counted: bool = False
    is_joined: bool = False


@dataclass(frozen=True, slots=True)
class Around:
    """What the lines around say: a heading of codes, a block of nothing else, a list of something else."""

    under_heading: bool = False
    in_list: bool = False
    under_other: str = ""
    is_typed: bool = False
    is_alone: bool = False
    under_noun: bool = False
    after_code: bool = False
    earlier: str = ""


@dataclass(frozen=True, slots=True)
class Assessment:
    """``told``: not offered, and why. Else ``reason``: why it is only offered; empty where it is taken."""

    reason: str = ""
    told: str = ""
    is_denied: bool = False
    """What was told is that it is not there, and not only that it may not be."""


def assess_codes(line: str, places: list[Place], around: Around) -> list[Assessment]:
    """How each code stands; ``line`` is tidied, with statuses and counts blanked out."""
    found: list[Assessment] = []
    listed = True
    parts = bool(PARTS.search(line[:300]))
    has_units = may_name_units(line)
    boxes_behind = bool(places and _BOX.search(line) and not _BOX.search(line, 0, places[0].start))
    for number, place in enumerate(places):
        before = line[places[number - 1].end if number else 0 : place.start]
        after = line[place.end : places[number + 1].start if number + 1 < len(places) else len(line)]
        if number and before.lstrip().startswith("~~") and line.count("~~", 0, place.start) % 2 == 0:
            before = before.replace("~~", "  ", 1)  # the end of what was struck out
        if number == 0:
            listed = _is_listed(before)
        joined = bool(number and JOINS.fullmatch(before))
        follows = joined and (found[-1].told or found[-1].reason == SENTENCE)
        if follows and not place.has_status and not place.doubt:
            found.append(found[-1])
            continue
        clause = CLAUSE_END.split(before[-80:] + " ")[-1]
        if number + 1 < len(places):
            after = _without_next(after)
        after = before_next_unit(after[:160]) if has_units else after
        is_empty = boxes_behind and _EMPTY_BOX_BEHIND.match(after) is not None
        before = _BOX.sub(" ", before) if boxes_behind else before
        assessed = (
            Assessment(told=UNTICKED)
            if is_empty
            else _assess_one(before[-80:], clause[-80:], after[:120], place, around, listed=listed, parts=parts)
        )
        if number and place.letter and FITTED.search(before[-80:]):
            assessed = Assessment(told=LOOKS_LIKE)
        unsure = number and found[-1].reason == NO_SIGN and not joined and assessed == Assessment()
        if unsure and not (place.has_status or place.is_named or around.under_heading or NOUN.search(before)):
            assessed = found[-1]
        if joined and found[-1].told and not assessed.told:
            assessed = Assessment(reason=SENTENCE)
        if number and place.letter and places[number - 1].letter and _RANGE.fullmatch(before):
            found[-1], assessed = (one if one.told else Assessment(reason=A_RANGE) for one in (found[-1], assessed))
        if number and place.letter and _IN_PLACE_OF.fullmatch(before.lstrip()):
            found[-1], assessed = Assessment(reason=IN_ITS_PLACE), Assessment(reason=IN_ITS_PLACE)
        if before == "/" and place.letter and len(places) == 2 and not around.under_heading:
            found[-1], assessed = (one if one.told else Assessment(reason=SLASHED) for one in (found[-1], assessed))
        if joined and _OR.search(before):
            found[-1], assessed = (one if one.told else Assessment(reason=ONE_OF_THEM) for one in (found[-1], assessed))
        found.append(assessed)
    return _back_over_lists(line, places, found)


def _back_over_lists(line: str, places: list[Place], found: list[Assessment]) -> list[Assessment]:
    """What stands behind the last code of "P0217, P0118: cleared" is said of all of them."""
    for at in range(len(found) - 2, -1, -1):
        between, last = line[places[at].end : places[at + 1].start], found[at + 1]
        is_said = last.told == NOT_NOW or last.reason == SENTENCE or last.reason.startswith("The line says")
        if is_said and not places[at].has_status and not found[at].told and ONLY_JOINS.fullmatch(between):
            found[at] = last
    return found


def _without_next(after: str) -> str:
    """What follows a code, less the word or the label at its end that is of the next one."""
    if label := _LABEL_OF_NEXT.search(after[-60:]):
        after = after[: max(0, len(after) - 60) + label.start()]
    denied = next(reversed(list(NEXT_DENIED.finditer(after[-40:]))), None)
    if denied and not after[-40:][denied.end() :].strip(" :"):
        return after[: max(0, len(after) - 40) + denied.start()]
    return after


def _assess_one(
    before: str, clause: str, after: str, place: Place, around: Around, *, listed: bool, parts: bool
) -> Assessment:
    told = _told(before, clause, after, place) if place.denied or WORDS.search(before) or WORDS.search(after) else ""
    if told == _IN_A_SENTENCE:
        return Assessment(reason=SENTENCE)
    has_own = not told and around.under_other == ONLY_EXPLAINED and place.has_status
    told = "" if has_own else told or around.under_other or (UNTICKED if _EMPTY_BOX.search(before) else "")
    if told:
        return Assessment(told=told, is_denied=told == NOT_NOW and not _is_only_maybe(before, after, place))
    if has_own or ("?" in before and not around.is_typed):
        return Assessment(reason=UNDER_OTHER if has_own else SENTENCE)
    if around.is_typed:
        return _typed(after, place)
    if place.pair:
        return _pair(place, around, before, after, listed=listed)
    found = _named(before, after, place, around, listed=listed, parts=parts)
    if not (found.told or found.reason):
        under = f"It stands under “{around.earlier}”: check that it is there now." if around.earlier else ""
        under = A_SHARE if not place.has_status and _SHARE.search(before) else under
        words = OTHER_SCRIPT if _OTHER_SCRIPT.search(before) or _OTHER_SCRIPT.search(after) else under
        said = place.has_status or around.under_heading
        is_marked = _MARK.match(after) or (not said and _MARK_BEFORE.search(before))
        found = Assessment(reason=MARKED if is_marked else words)
    return found


def _typed(after: str, place: Place) -> Assessment:
    """How a code stands that a person wrote as one: a question is none, and a mere pair stands alone."""
    if "?" in after:
        return Assessment(reason="A question mark stands behind it.")
    if place.pair and WORDS.search(after):
        return Assessment(reason=TWO_NUMBERS)
    return Assessment(reason=place.doubt)


def _named(before: str, after: str, place: Place, around: Around, *, listed: bool, parts: bool) -> Assessment:
    """How a code stands that is no mere pair of numbers."""
    said = place.has_status or around.under_heading
    if not said and (PRICE.search(after) or parts) and not (place.is_named and place.letter == ""):
        return Assessment(told=LOOKS_LIKE)
    counted = place.is_counted and (around.in_list or around.under_heading)
    evidence = said or counted or place.is_named or bool(NOUN.search(before))
    if place.letter in ("C", "B") and not evidence and (not listed or place.doubt or place.is_joined):
        return Assessment(told=LOOKS_LIKE)
    if place.doubt or (place.is_zero and not place.has_status):
        return Assessment(reason=place.doubt or COUNT_IS_0)
    if not listed:
        return Assessment(reason=SENTENCE) if _is_found(before, place) else Assessment(told=LOOKS_LIKE)
    return _listed(after, place, around, evidence=evidence)


def _is_found(before: str, place: Place) -> bool:
    """Whether a sentence leads up to a code as to one that was found: not "ticket P0217"."""
    if place.letter == "" and place.is_named:
        return True
    if _FREEZE_FRAME.search(before):
        return True
    if _NONE_OF.search(before):  # of one status or another, "active none stored P0118": of the code it says nothing
        return True
    word = LAST_WORD.search(before)
    if word is None:
        return place.has_status or NOUN.search(before) is not None
    return bool(FINDING.fullmatch(word[1]) or NOUN.fullmatch(word[1]) or LEAD_OK.fullmatch(word[1]))


def _pair(place: Place, around: Around, before: str, after: str, *, listed: bool) -> Assessment:
    """Two numbers without a name: a code under a heading of codes, and only there."""
    first, _, second = place.pair.partition("-")
    like_date = int(second) > 0 and (int(first) <= 31 or (1950 <= int(first) <= 2100 and int(second) <= 12))
    is_lone = not WORDS.search(after) and (not WORDS.search(before) or NOUN.search(before))
    if not listed or not (is_lone or around.under_heading):
        return Assessment(told=LOOKS_LIKE)
    if around.under_heading and around.under_noun:
        return Assessment()
    near = around.in_list or around.after_code
    if around.is_alone or (near and not like_date) or (around.under_heading and not like_date):
        return Assessment(reason=TWO_NUMBERS)
    return Assessment(told=LOOKS_LIKE)


def _listed(after: str, place: Place, around: Around, *, evidence: bool) -> Assessment:
    """How a code stands that begins its line or follows others."""
    is_empty = not evidence and EMPTY_RESULT.fullmatch(after) is not None
    if is_empty or (not ANY.search(after) and "?" not in after):
        return Assessment() if not is_empty and (evidence or around.in_list) else Assessment(reason=NO_SIGN)
    rest = without_harmless(after)
    first = FIRST_WORD.match(rest)
    is_sentence = bool((first and SENTENCE_WORDS.fullmatch(first[1])) or PAST.search(rest))
    may_be_part = place.letter in ("C", "B")
    is_part = may_be_part and not evidence and not (around.in_list and FAULT_WORDS.search(rest))
    if "?" in after or is_part or (is_sentence and not evidence):
        return Assessment(told=LOOKS_LIKE if may_be_part else NOT_NOW)
    if is_sentence:
        return Assessment(reason=SENTENCE)
    hedge = HEDGES.search(rest)
    is_sure = place.is_named or place.has_status or around.under_heading
    if hedge or (evidence and not is_sure and _is_unread(rest)):
        return Assessment(
            reason=f"The line says “{hedge[0]}”: check what it says of the code." if hedge else WORDS_NOT_READ
        )
    if evidence or (around.in_list and FAULT_WORDS.search(rest) and not place.is_joined):
        return Assessment()
    return Assessment(reason=NO_SIGN) if around.in_list or FAULT_WORDS.search(rest) else Assessment(told=LOOKS_LIKE)


def _is_unread(rest: str) -> bool:
    """Whether right behind a code stand a word or two, and none of them is known from the names of faults."""
    words = re.findall(r"[A-Z]{2,}", rest)
    is_set_off = re.match(r" ?[-:;,|(=–]", rest) is not None
    return 0 < len(words) <= 2 and not is_set_off and not (FAULT_WORDS.search(rest) or DESCRIPTION.search(rest))


def _told(before: str, clause: str, after: str, place: Place) -> str:
    """Why the code is not offered at all, or nothing."""
    if place.denied or CLEARED_LABEL.search(before) or ASKED.search(clause):
        return NOT_NOW
    denied = DENIED_BEFORE.search(without_harmless(clause))
    if denied:
        return _IN_A_SENTENCE if place.has_status and ":" in clause[denied.end() :] else NOT_NOW
    if not place.has_status and (MAYBE_BEFORE.search(before)):
        return NOT_NOW
    rest = without_harmless(after)
    if DENIED_ALONE.search(rest) or FOUND.search(rest):
        return _IN_A_SENTENCE if _came_back(rest) else NOT_NOW
    if MAYBE_AFTER.search(after) and not place.has_status:
        return NOT_NOW
    return ""


def _came_back(rest: str) -> bool:
    """Whether the words behind a code say that it was cleared and is there again: "cleared, came back"."""
    over = _OVER.search(rest)
    back = CAME_BACK.search(rest, over.end()) if over else None
    return back is not None and not NEVER_BACK.search(rest)


def _is_only_maybe(before: str, after: str, place: Place) -> bool:
    """Whether the words that keep a code from being offered may speak of another day or of what could be."""
    return not place.denied and bool(
        ASKED.search(before) or MAYBE_BEFORE.search(before) or MAYBE_AFTER.search(after) or "?" in before + after
    )


def _is_listed(lead: str) -> bool:
    """Whether what stands before the first code is no more than a number, a time, a label or nothing."""
    if lead.endswith("="):
        lead = _FIELDS.sub(" ", lead)
    words = re.findall(
        r"[A-Z][A-Z'/]*|[0-9]+", without_units(_ALL_ENGINES.sub(" ", TIMES.sub(" ", _TICKED_BOX.sub(" ", lead))))
    )
    if len(words) > 8 or any(YEAR.fullmatch(word) for word in words):
        return False
    return all(HEADING_WORD.fullmatch(word) or LEAD_OK.fullmatch(word) or SCAN_NOUN.fullmatch(word) for word in words)
