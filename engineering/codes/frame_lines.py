"""Lines that hold frames: candump lines of a CAN log, and service replies in hex."""

import re
from dataclasses import replace

from engineering.codes.candump import Frame, read_frame
from engineering.codes.code import Code, CodeStatus, CodeSystem
from engineering.codes.dm import DM_NAMES, DmMessage, read_dm
from engineering.codes.lines import Draft, SeenCode
from engineering.codes.long_replies import LongReplies, Part
from engineering.codes.plain_frames import read_plain_frame
from engineering.codes.service_replies import (
    REPLY_STATUS,
    HexLine,
    Reply,
    is_reply,
    older_bus_reply,
    read_bare_reply,
    read_hex_line,
    read_numbered_line,
    read_reply_with_count,
    read_reply_without_count,
    refusal,
)
from engineering.codes.spn import Dtc
from engineering.codes.status_replies import FORMAT_UNKNOWN, is_status_reply, read_status_reply
from engineering.codes.transport import TP_CM, TP_DT, Lost, Message, Transport

_FLOW_CONTROL = re.compile(r"\s*(?:7E[0-7]|18DA[0-9A-F]{2}F1) ?#?3[0-2]", re.IGNORECASE)
_MAY_BE_MIXED = "Its parts came out of order or twice: parts of two messages may be mixed in it."
_MOST_BETWEEN_PACKETS = 0.75
"""In seconds: T1 of SAE J1939-21, as published tutorials give it."""
_LONGEST_HEX = 260
_LENGTH_LINE = re.compile(r"0[0-9A-Fa-f]{2}")
_NUMBERED_SENDER = -1
_LABELED = re.compile(
    r"(?P<name>DM[0-9]{1,2})(?: ?\(?(?:SA|source|address)[ :=]{0,2}(?P<hex>0x)?(?P<source>[0-9]{1,3})\)?)?"
    r"(?: (?:data|raw|bytes|payload))?"
    r" ?[:=] ?(?P<data>(?:[0-9A-F]{2} ){5,120}[0-9A-F]{2})",
    re.IGNORECASE,
)
_PGN_OF = {name: pgn for pgn, (name, _) in DM_NAMES.items()}
_SERVICE_NAMES = {0x43: "03", 0x47: "07", 0x4A: "0A"}


class FrameReader:
    """Reads frames and replies; keeps what is needed to put longer ones together."""

    def __init__(self, preferred: CodeSystem | None) -> None:
        """With flash or the maker's codes preferred, bare hex is left to them."""
        self._bare_hex = preferred not in (CodeSystem.FLASH, CodeSystem.MAKER)
        self._transport = Transport()
        self._replies = LongReplies()
        self._announced: tuple[int, Draft] | None = None
        self._seen_at: dict[tuple[int, int], float] = {}
        self._lost: list[Lost] = []

    def read(self, draft: Draft) -> bool:
        """Read the line if it holds a frame or a reply; False where it holds none.

        Words, a prompt or a new question end the replies that are not complete: the parts after them are another's.
        """
        found = self._read(draft)
        if not found and not _FLOW_CONTROL.match(draft.text[:40]):
            self._lost += self._replies.give_up()
        return found

    def _read(self, draft: Draft) -> bool:
        frame = read_frame(draft.text)
        if isinstance(frame, str):
            draft.set("frame", frame, understood=False)
            return True
        if frame is not None:
            self._read_frame(draft, frame)
            return True
        plain = read_plain_frame(draft.text)
        if plain is not None:
            self._read_frame(draft, plain)
            return True
        return self._read_labeled(draft) or self._read_bare(draft)

    def _read_labeled(self, draft: Draft) -> bool:
        """A whole message in hex behind its name: "DM1: 04 FF 6E 00 00 01 FF FF"."""
        match = _LABELED.fullmatch(draft.text.strip()) if "DM" in draft.text[:12].upper() else None
        pgn = _PGN_OF.get(match["name"].upper()) if match else None
        if match is None or pgn is None:
            return False
        source = int(match["source"], 16 if match["hex"] else 10) if match["source"] else None
        self._read_message(draft, Message(pgn, source, bytes.fromhex(match["data"]), (draft.number,)))
        return True

    def _read_bare(self, draft: Draft) -> bool:
        """A reply in hex without the notation of a frame."""
        hex_line = read_hex_line(draft.text) if len(draft.text) <= _LONGEST_HEX else None
        if hex_line is not None and (self._bare_hex or hex_line.can_id is not None):
            return self._read_hex(draft, hex_line)
        numbered = read_numbered_line(draft.text) if self._bare_hex else None
        if numbered is not None:
            return self._read_numbered(draft, *numbered)
        if self._bare_hex and _LENGTH_LINE.fullmatch(draft.text.strip()):
            self._announced = (int(draft.text.strip(), 16), draft)
            draft.set("reply", "A length with no numbered reply after it.", understood=False)
            return True
        return False

    def finish(self, drafts: list[Draft]) -> None:
        """After the last line: mark the lines of messages that were never complete."""
        for lost in (*self._lost, *self._transport.unfinished(), *self._replies.unfinished()):
            for number in lost.lines:
                draft = drafts[number - 1]
                draft.set(draft.kind, f"{draft.sentence} {lost.reason}".strip(), understood=False)

    def _read_frame(self, draft: Draft, frame: Frame) -> None:
        if not frame.extended or frame.can_id >> 16 == 0x18DA:
            if not self._read_can_reply(draft, frame.can_id, frame.data):
                draft.set("frame", f"A frame with identifier {frame.can_id:X}, not a reply with fault codes.")
            return
        if frame.pgn in (TP_CM, TP_DT):
            self._end_what_is_too_old(frame)
            step = self._transport.push(frame.pgn, frame.source, frame.destination, frame.data, draft.number)
            draft.set("transport", step.sentence, understood=step.understood)
            self._lost += step.lost
            if step.message:
                self._read_message(draft, step.message)
        elif frame.pgn in DM_NAMES:
            self._read_message(draft, Message(frame.pgn, frame.source, frame.data, (draft.number,)))
        else:
            draft.set("frame", f"PGN {frame.pgn} from address {frame.source}, not a message with fault codes.")

    def _end_what_is_too_old(self, frame: Frame) -> None:
        """A packet that comes later than the protocol allows is no part of the message before it."""
        key = frame.source, frame.destination
        before = self._seen_at.get(key)
        if frame.time is None:
            return
        if before is not None and not 0 <= frame.time - before <= _MOST_BETWEEN_PACKETS:
            self._lost += self._transport.give_up(*key)
        self._seen_at[key] = frame.time

    def _read_message(self, draft: Draft, message: Message) -> None:
        if message.pgn not in DM_NAMES:
            draft.sentence += f" Completes PGN {message.pgn}, not a message with fault codes."
            return
        read = read_dm(message.pgn, message.payload)
        draft.lamps += [str(lamp) for lamp in read.lamps_not_off]
        draft.no_codes = draft.no_codes or read.no_code
        unreadable = [dtc for dtc in read.dtcs if dtc.spn is None]
        for dtc in read.dtcs:
            if dtc.spn is not None:
                seen = _seen_dtc(dtc, read.status, draft.number, message.source)
                draft.codes.append(seen if message.in_order else replace(seen, reason=_MAY_BE_MIXED))
        said = [_dm_sentence(read, message.source), *(_undecodable(dtc) for dtc in unreadable)]
        if read.problem:
            said.append(read.problem)
        understood = not unreadable and not read.problem
        draft.set("code", " ".join([draft.sentence, *said]).strip(), understood=understood)

    def _read_hex(self, draft: Draft, line: HexLine) -> bool:
        if line.can_id is not None:
            return self._read_can_reply(draft, line.can_id, line.data)
        if is_reply(line.data):
            self._take_reply(draft, read_bare_reply(line.data), None)
            return True
        if is_status_reply(line.data):
            _take_status_reply(draft, line.data, None, is_sure=False)
            return True
        return self._read_older_bus(draft, line.data) or self._read_framed(draft, line.data)

    def _read_older_bus(self, draft: Draft, data: bytes) -> bool:
        older = older_bus_reply(data)
        if isinstance(older, bytes):
            self._take_reply(draft, read_reply_without_count(older), data[2])
        elif older is not None:
            draft.set("reply", older, understood=False)
        return older is not None

    def _read_framed(self, draft: Draft, data: bytes) -> bool:
        """A refusal, or a reply that shows its framing bytes but no header."""
        refused = refusal(data) or (refusal(data[1:]) if data[0] == 3 else None)
        if refused:
            draft.set("reply", refused)
            return True
        kind = data[0] >> 4
        begins = (kind == 0 and data[0] > 0 and is_reply(data[1:])) or (kind == 1 and is_reply(data[2:]))
        goes_on = kind in (2, 3) and self._replies.is_waiting_for(_NUMBERED_SENDER)
        if begins or goes_on:
            self._take_part(draft, self._replies.take(_NUMBERED_SENDER, data, draft.number), None)
        return begins or goes_on

    def _read_can_reply(self, draft: Draft, can_id: int, data: bytes) -> bool:
        """A frame from one of the identifiers that services answer on: 7E8 to 7EF, or 18 DA F1 and the sender."""
        if not data or not (0x7E8 <= can_id <= 0x7EF or can_id >> 8 == 0x18DAF1):
            return False
        kind = data[0] >> 4
        body = data[2:] if kind == 1 else data[1:]
        refused = refusal(body) if kind == 0 else None
        if refused:
            draft.set("reply", refused)
            return True
        if kind > 3 or (kind in (0, 1) and not (is_reply(body) or is_status_reply(body))):
            return False
        sender = can_id & 0xFF if can_id > 0x7FF else can_id
        if kind == 3 and not self._replies.is_waiting_for(sender):
            return False
        self._take_part(draft, self._replies.take(sender, data, draft.number), sender)
        return True

    def _read_numbered(self, draft: Draft, number: int, data: bytes) -> bool:
        if number == 0 and (is_reply(data) or (self._announced and is_status_reply(data))):
            total = 2 + 2 * data[1]
            if self._announced:
                total, before = self._announced
                before.set("reply", f"Announces a reply of {total} bytes.")
                self._announced = None
            part = self._replies.begin(_NUMBERED_SENDER, total, data, draft.number)
        elif self._replies.is_waiting_for(_NUMBERED_SENDER):
            part = self._replies.go_on(_NUMBERED_SENDER, number, data, draft.number)
        else:
            return False
        self._take_part(draft, part, None)
        return True

    def _take_part(self, draft: Draft, part: Part, sender: int | None) -> None:
        draft.set("reply", part.sentence, understood=part.understood)
        self._lost += part.lost
        if part.payload is not None and is_status_reply(part.payload):
            _take_status_reply(draft, part.payload, sender, is_sure=(sender or 0) > 0xFF)
            if not part.in_order:
                draft.codes = [replace(seen, reason=_MAY_BE_MIXED) for seen in draft.codes]
        elif part.payload is not None and is_reply(part.payload):
            self._take_reply(draft, read_reply_with_count(part.payload), sender)
            if not part.in_order:
                draft.codes = [replace(seen, reason=_MAY_BE_MIXED) for seen in draft.codes]

    def _take_reply(self, draft: Draft, reply: Reply, sender: int | None) -> None:
        service = _SERVICE_NAMES[reply.service]
        if reply.problem:
            draft.set(
                "reply", f"{draft.sentence} Reply to service {service}: {reply.problem}".strip(), understood=False
            )
            return
        status = REPLY_STATUS[reply.service]
        for text in reply.codes:
            code = Code(CodeSystem.OBD, text)
            draft.codes.append(SeenCode(code, status, None, draft.number, sender, text))
        draft.no_codes = draft.no_codes or not reply.codes
        how = "with a count byte" if reply.with_count else "without a count byte"
        what = ", ".join(reply.codes) if reply.codes else "no codes"
        draft.set("reply", f"{draft.sentence} Reply to service {service}, {status} codes, read {how}: {what}.".strip())


def _take_status_reply(draft: Draft, payload: bytes, sender: int | None, *, is_sure: bool) -> None:
    """Put the codes of a reply of service 19 into its line. ``is_sure``: it came from where such codes are usual."""
    listed = read_status_reply(payload)
    if isinstance(listed, str):
        draft.set("reply", f"{draft.sentence} Reply to service 19: {listed}".strip(), understood=False)
        return
    there = [one for one in listed if one.is_there]
    reason = None if is_sure else FORMAT_UNKNOWN
    for one in there:
        code = Code(CodeSystem.OBD, one.text)
        draft.codes.append(SeenCode(code, one.status, None, draft.number, sender, one.text, None, reason, one.unread))
    said = [f"{one.text}, {one.status or 'status not read'}" for one in there]
    others = [one.text for one in listed if not one.is_there]
    if others:
        said.append(
            f"{', '.join(others)} not failing, pending or confirmed: not read as {'codes' if others[1:] else 'a code'}"
        )
    what = "; ".join(said) or "none of the status that was asked for"
    draft.set("reply", f"{draft.sentence} Reply to service 19, codes by their status: {what}.".strip())


def _seen_dtc(dtc: Dtc, status: CodeStatus, line: int, source: int | None) -> SeenCode:
    problem = f"FMI {dtc.fmi} is reserved." if 22 <= dtc.fmi <= 30 else None
    return SeenCode(Code(CodeSystem.SPN, dtc.text), status, dtc.count, line, source, dtc.raw.hex(" ").upper(), problem)


def _dm_sentence(read: DmMessage, source: int | None) -> str:
    lamps = ", ".join(str(lamp) for lamp in read.lamps_not_off)
    start = f"{read.name}{'' if source is None else f' from address {source}'}, {read.status} codes"
    listed = [
        f"SPN {d.spn} FMI {d.fmi}{f' count {d.count}' if d.count is not None else ''}" for d in read.dtcs if d.text
    ]
    if listed:
        what = ", ".join(listed)
    elif read.no_code:
        what = "no code"
    else:
        what = "none readable" if read.dtcs or read.problem else "no code given"
    return f"{start}: {what}{f'; {lamps}' if lamps else ''}."


def _undecodable(dtc: Dtc) -> str:
    possible = ", ".join(str(spn) for spn in dict.fromkeys(dtc.possible_spns))
    return (
        f"The SPN in {dtc.raw.hex(' ').upper()} cannot be known: the unit uses an older byte order and does not say "
        f"which (SPN {possible} are possible; FMI {dtc.fmi})."
    )
