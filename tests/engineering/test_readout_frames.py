"""Read-outs in raw frames: J1939 in candump notation, service replies in hex."""

import pytest

from engineering.codes import CodeStatus, CodeSystem, Readout, read_text

ACTIVE, STORED, PENDING, PERMANENT = CodeStatus.ACTIVE, CodeStatus.STORED, CodeStatus.PENDING, CodeStatus.PERMANENT
BAM = [
    "18ECFF00#20120003FFCAFE00",
    "18EBFF00#0100FF5B0003015C",
    "18EBFF00#020004025D000503",
    "18EBFF00#035E000604FFFFFF",
]


def _texts(readout: Readout) -> list[str]:
    return [seen.code.text for seen in readout.codes]


class TestJ1939:
    def test_one_code(self):
        readout = read_text("18FECA05#40FF5B000301FFFF")
        (seen,) = readout.codes
        assert (seen.code.text, seen.status, seen.count, seen.source_address) == ("91-3", ACTIVE, 1, 5)
        assert seen.raw == "5B 00 03 01"
        assert readout.lamps == ("malfunction indicator lamp on",)
        assert readout.lines[0].understood

    def test_the_second_message_lists_what_was_active_before(self):
        (seen,) = read_text("18FECB00#00FF5B000302FFFF").codes
        assert (seen.status, seen.count) == (STORED, 2)

    def test_a_count_of_127_is_none(self):
        (seen,) = read_text("18FECA00#00FF5B00037FFFFF").codes
        assert seen.count is None

    def test_no_code_is_stated(self):
        readout = read_text("18FECA00#00FF00000000FFFF")
        assert (readout.codes, readout.no_codes_stated, readout.lines[0].understood) == ((), True, True)

    def test_an_older_byte_order_is_not_guessed(self):
        readout = read_text("18FECA00#00FFD2040381FFFF")
        assert readout.codes == ()
        assert not readout.no_codes_stated
        assert not readout.lines[0].understood
        assert "D2 04 03 81 cannot be known" in readout.lines[0].sentence
        assert "1234" in readout.lines[0].sentence

    def test_several_codes_in_packets(self):
        readout = read_text("\n".join(BAM))
        assert _texts(readout) == ["91-3", "92-4", "93-5", "94-6"]
        assert {seen.line for seen in readout.codes} == {4}
        assert readout.not_understood_lines == ()

    def test_packets_out_of_order_and_twice(self):
        readout = read_text("\n".join([BAM[0], BAM[3], BAM[1], BAM[1], BAM[2]]))
        assert _texts(readout) == ["91-3", "92-4", "93-5", "94-6"]
        assert readout.not_understood_lines == ()

    def test_a_missing_packet_gives_nothing_and_marks_every_line_of_the_message(self):
        readout = read_text("\n".join([BAM[0], BAM[1], BAM[3], "P0217"]))
        assert _texts(readout) == ["P0217"]
        assert [line.number for line in readout.not_understood_lines] == [1, 2, 3]
        assert "packet 2 of 3 is missing" in readout.lines[0].sentence

    def test_other_messages_are_understood_as_such(self):
        readout = read_text("18F00400#F07D84B1120FF47D")
        assert readout.lines[0].understood
        assert "PGN 61444" in readout.lines[0].sentence
        assert readout.codes == ()

    def test_frames_of_other_log_styles_mix_with_words(self):
        readout = read_text(
            "Active:\n(1.0) can0 18FECB00#00FF5B000301FFFF\ncan0 18FECA01 [8] 00 FF 6E 00 00 01 FF FF\n110-0"
        )
        assert [(seen.code.text, seen.status, seen.source_address) for seen in readout.codes] == [
            ("91-3", STORED, 0),
            ("110-0", ACTIVE, 1),
            ("110-0", ACTIVE, None),
        ]

    def test_a_damaged_frame_says_so(self):
        readout = read_text("can0 18FECA00 [8] 40 FF 5B 00 03 01 FF")
        assert not readout.lines[0].understood
        assert readout.codes == ()


class TestServiceReplies:
    @pytest.mark.parametrize(
        ("line", "codes", "status"),
        [
            ("43 01 33 00 00 00 00", ["P0133"], STORED),
            ("43013300000000", ["P0133"], STORED),
            (">43 01 33 00 00 00 00", ["P0133"], STORED),
            ("43 01 33 02 17 04 20", ["P0133", "P0217", "P0420"], STORED),
            ("47 01 33 00 00 00 00", ["P0133"], PENDING),
            ("43 02 01 02 01 13", ["P0102", "P0113"], STORED),
            ("47 01 01 13", ["P0113"], PENDING),
            ("4A 01 01 33", ["P0133"], PERMANENT),
            ("4A 01 01 33 00 00 00", ["P0133"], PERMANENT),
            ("7E8 06 43 02 01 02 01 13", ["P0102", "P0113"], STORED),
            ("7E80643020102 0113".replace(" ", ""), ["P0102", "P0113"], STORED),
            ("7E8#06430201020113AA", ["P0102", "P0113"], STORED),
            ("can0 7E8 [8] 04 4A 01 01 33 00 00 00", ["P0133"], PERMANENT),
            ("18DAF110 06 43 02 01 02 01 13", ["P0102", "P0113"], STORED),
            ("18 DA F1 10 06 43 02 01 02 01 13", ["P0102", "P0113"], STORED),
            ("18DAF110#06430201020113AA", ["P0102", "P0113"], STORED),
            ("06 43 02 01 02 01 13", ["P0102", "P0113"], STORED),
            ("48 6B 10 43 01 33 00 00 00 00 3A", ["P0133"], STORED),
            ("87 F1 10 43 01 33 00 00 00 00 FF", ["P0133"], STORED),
        ],
    )
    def test_the_usual_prints(self, line, codes, status):
        readout = read_text(line)
        assert _texts(readout) == codes
        assert {seen.status for seen in readout.codes} == {status}
        assert readout.lines[0].understood, readout.lines[0].sentence

    def test_the_sender_is_kept(self):
        assert read_text("7E8 04 43 01 01 33").codes[0].source_address == 0x7E8
        assert read_text("18 DA F1 10 04 43 01 01 33").codes[0].source_address == 0x10
        assert read_text("48 6B 11 43 01 33 00 00 00 00 3B").codes[0].source_address == 0x11

    @pytest.mark.parametrize("line", ["43 00", "43 00 00 00 00 00 00", "7E8 02 43 00", "47 00", "4A 00"])
    def test_none_is_stated(self, line):
        readout = read_text(line)
        assert readout.no_codes_stated
        assert readout.codes == ()
        assert readout.lines[0].understood

    @pytest.mark.parametrize(
        ("line", "says"),
        [
            ("43 01 01 33 00", "with or without a count byte"),
            ("43 01 33", "with or without a count byte"),
            ("4A 01 33", "takes 2 bytes, but 1 follow"),
            ("43 03 01 02 01 13", "cut off"),
            ("43 01 01 33 02 17", "not padding"),
            ("7E8 06 43 02 01 02", "cut off"),
            ("48 6B 10 43 01 33 00 00 00 00 3C", "check byte"),
            ("86 F1 10 43 01 33 00 00 00 00 FF", "The header says 6 bytes"),
            ("7E8 21 02 17 00 00 00 00 00", "whose beginning is not here"),
        ],
    )
    def test_what_could_be_either_or_is_damaged_is_not_guessed(self, line, says):
        readout = read_text(line)
        assert readout.codes == ()
        assert not readout.lines[0].understood
        assert says in readout.lines[0].sentence

    def test_a_longer_reply_with_headers(self):
        readout = read_text("7E8 10 08 43 03 01 02 01 13\n7E0 30 00 00\n7E8 21 02 17 00 00 00 00 00")
        assert _texts(readout) == ["P0102", "P0113", "P0217"]

    def test_two_units_answer_at_once(self):
        readout = read_text(
            "7E8 10 08 43 03 01 02 01 13\n7E9 10 08 43 03 11 22 33 44\n"
            "7E8 21 02 17 00 00 00 00 00\n7E9 21 05 55 00 00 00 00 00"
        )
        assert _texts(readout) == ["P0102", "P0113", "P0217", "P1122", "P3344", "P0555"]

    def test_a_longer_reply_as_numbered_lines(self):
        readout = read_text("00A\n0: 43 04 01 02 01 13\n1: 02 17 03 00 AA AA AA")
        assert _texts(readout) == ["P0102", "P0113", "P0217", "P0300"]
        assert readout.not_understood_lines == ()

    def test_a_longer_reply_without_its_end(self):
        readout = read_text("7E8 10 08 43 03 01 02 01 13\nP0420")
        assert _texts(readout) == ["P0420"]
        assert [line.number for line in readout.not_understood_lines] == [1]
        assert "1 of 1 later parts is missing" in readout.lines[0].sentence

    def test_a_refusal_is_understood_and_states_nothing(self):
        readout = read_text("7F 03 11\n7E8 03 7F 0A 12")
        assert readout.not_understood_lines == ()
        assert "refused service 0A" in readout.lines[1].sentence
        assert not readout.no_codes_stated
        (pending,) = read_text("7F 03 78").lines
        assert pending.sentence == "The unit takes longer for service 03: its answer is still to come."

    def test_replies_of_other_services_are_not_codes(self):
        readout = read_text("41 00 BE 3E B8 11\n7E8 06 41 00 BE 3E B8 11\n7E8#064100BE3EB81100")
        assert readout.codes == ()

    def test_with_flash_codes_preferred_bare_hex_is_left_to_them(self):
        readout = read_text("43, 13\n7E8 04 43 01 01 33", preferred=CodeSystem.FLASH)
        assert _texts(readout) == ["43", "13", "P0133"]
