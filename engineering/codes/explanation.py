"""What a code says by itself, in our own words, and who defines the rest."""

from dataclasses import dataclass

from engineering.codes import j1587
from engineering.codes.code import Code, CodeSystem
from engineering.codes.code_blocks import code_block, is_block_from_memory
from engineering.codes.failure_types import failure_type_group, failure_type_meaning
from engineering.codes.fmi import fmi_meaning
from engineering.codes.generic import generic_meaning
from engineering.codes.network_status import status_words
from engineering.codes.obd import FAMILIES, controlled_by
from engineering.codes.spn import FIRST_MAKER_SPN
from engineering.codes.spn_names import SPN_NAMES

_SEE_MANUAL = "The engine maker's current manual says what it means on this engine and what to do."


@dataclass(frozen=True, slots=True)
class Explanation:
    """A code in words: ``title`` on one line, ``facts`` as whole sentences, ``source`` naming where they come from."""

    title: str
    facts: tuple[str, ...]
    source: str


def explain(code: Code) -> Explanation:
    """Say what the code means as far as an open standard defines it, and who defines the rest.

    Expects a code from ``make_code``; raises ValueError for a text that is not canonical.
    """
    if code.system is CodeSystem.SPN:
        return _explain_spn(code.text)
    if code.system is CodeSystem.J1587:
        return _explain_j1587(code.text)
    if code.system is CodeSystem.OBD:
        return _explain_obd(code.text)
    if code.system is CodeSystem.FLASH:
        return Explanation(
            "A code blinked by a lamp",
            ("A flash code is blinked by a lamp, and the engine's maker defines it.", _SEE_MANUAL),
            "The maker's manual for this engine",
        )
    if code.system is CodeSystem.STATUS:
        return _explain_status(code.text)
    return Explanation(
        "A code of the engine's maker",
        ("This code belongs to the engine's maker, who alone defines it.", _SEE_MANUAL),
        "The maker's manual for this engine",
    )


def _explain_status(key: str) -> Explanation:
    words = status_words(key)
    facts = (
        f"The unit says “{words}” on the network by one bit of its status; no instrument asked for a code.",
        "What makes a unit set the bit, and at which limit, is for its maker to say.",
        _SEE_MANUAL,
    )
    return Explanation(
        "A status bit on the network, not a code that an instrument read",
        facts,
        "Name of the bit: open canboat database, PGN 127489 and 127493",
    )


def _explain_spn(text: str) -> Explanation:
    spn, fmi = (int(part) for part in text.split("-"))
    name, meaning = SPN_NAMES.get(spn), fmi_meaning(fmi)
    facts = []
    if name:
        facts.append(f"SPN {spn} is the {name}.")
    elif spn >= FIRST_MAKER_SPN:
        facts.append(f"SPN {spn} is in the range that each engine maker assigns for itself.")
    else:
        facts.append(f"SPN {spn} has no name in the short list kept here; the maker's manual has it.")
    facts.append(f"FMI {fmi}: {meaning}." if meaning else f"FMI {fmi} is reserved and has no agreed meaning.")
    facts.append(_SEE_MANUAL)
    said = meaning or f"FMI {fmi}, which is reserved"
    title = f"{name}: {said}" if name else said
    title = title[0].upper() + title[1:]
    return Explanation(title, tuple(facts), "SAE J1939-73 failure modes; SPN names from memory")


def _explain_j1587(text: str) -> Explanation:
    parts = j1587.parts_of(text)
    if parts is None:
        raise ValueError(f"{text} is not canonical.")
    mid, kind, number, fmi = parts
    subject, failure = j1587.subject_words(mid, kind, number), j1587.failure_words(fmi)
    sender = j1587.SENDERS.get(mid)
    what = "signal" if kind.endswith("P") else "part"
    numbered = f"Which {what} {kind}ID {number} is, the manual says."
    if len(kind) > 1:
        numbered = f"{kind}ID {number} is a {what} that the maker of the unit numbers for itself."
    facts = [
        f"MID {mid} is the {sender}." if sender else f"Which unit MID {mid} is, the maker's manual says.",
        f"{kind}ID {number} is the {subject}." if subject else numbered,
        f"FMI {fmi}: {failure}." if failure else f"FMI {fmi} is reserved and has no agreed meaning.",
        _SEE_MANUAL,
    ]
    said = failure or f"FMI {fmi}, which is reserved"
    title = f"{subject}: {said}" if subject else said
    return Explanation(title[0].upper() + title[1:], tuple(facts), "SAE J1587; numbers and names from memory")


def _explain_obd(text: str) -> Explanation:
    base, _, failure_type = text.partition("-")
    family = FAMILIES[base[0]]
    owner, owned = _OWNERS[controlled_by(base)]
    facts = [f"{base[0]} codes are about the {family}.", owned]
    title = f"{family[0].upper()}{family[1:]} code, {owner}"
    source = (
        "SAE J2012 / ISO 15031-6 code structure; failure types after public lists of SAE J2012-DA; ranges of P3, B, C "
        "and U from memory"
    )
    if known := generic_meaning(base):
        title = known.words[0].upper() + known.words[1:]
        facts = [f"{base} says: {known.words}.", f"Subsystem: {known.subsystem}.", owned]
        source = f"Meaning of the number {known.source}; {source}"
    elif controlled_by(base) == "ISO/SAE":
        facts.extend(_of_a_number_without_meaning(base))
    if failure_type:
        facts.append(_failure_type_sentence(int(failure_type, 16)))
    facts.append(_SEE_MANUAL)
    meaning = failure_type_meaning(int(failure_type, 16)) if failure_type and failure_type != "00" else None
    return Explanation(f"{title}: {meaning}" if meaning else title, tuple(facts), source)


def _of_a_number_without_meaning(base: str) -> list[str]:
    """That nothing is known of the number, and what its block is about where that is known."""
    said = [f"No generic meaning of {base} is known here: the number is reserved, or not in the list kept here."]
    if block := code_block(base):
        known = " (from memory)" if is_block_from_memory(base) else ""
        said.append(
            f"The standard keeps {base[:3]} for {block}{known}. The block says where the code was put, and not what it "
            "means: single codes in a block can be about something else."
        )
    return said


_OWNERS = {
    "ISO/SAE": ("generic", "This range is controlled by ISO/SAE: the code means the same on every make."),
    "maker": ("maker's own", "This range is the maker's own: the same code may mean something else on another make."),
    "reserved": (
        "reserved",
        "This range is reserved by ISO/SAE; what a number in it means is not known here.",
    ),
}


def _failure_type_sentence(failure_type: int) -> str:
    meaning, group = failure_type_meaning(failure_type), failure_type_group(failure_type)
    if meaning:
        return f"Failure type {failure_type:02X}: {meaning}."
    if group:
        return f"Failure type {failure_type:02X} belongs to the group of {group}."
    return f"Failure type {failure_type:02X} has no meaning in the short list kept here."
