"""Read-outs in words: codes, statuses, counts, headings, tables, lamps."""

import pytest

from engineering.codes import CodeStatus, CodeSystem, Readout, read_text

ACTIVE, STORED, PENDING, PERMANENT = CodeStatus.ACTIVE, CodeStatus.STORED, CodeStatus.PENDING, CodeStatus.PERMANENT


def _seen(readout: Readout) -> list[tuple[str, CodeStatus | None, int | None]]:
    return [(seen.code.text, seen.status, seen.count) for seen in readout.codes]


@pytest.mark.parametrize(
    ("line", "seen"),
    [
        ("SPN 110 FMI 0", [("110-0", None, None)]),
        ("SPN:110, FMI: 0 OC 3", [("110-0", None, 3)]),
        ("SPN=110;FMI=0;OC=3;active", [("110-0", ACTIVE, 3)]),
        ("SPN 110 (Engine Coolant Temperature) FMI 0 (Above normal), active", [("110-0", ACTIVE, None)]),
        ("SPN/FMI: 110/0 active", [("110-0", ACTIVE, None)]),
        ("SPN 110/0", [("110-0", None, None)]),
        ("SPN 110.0", [("110-0", None, None)]),
        ("FMI 5 SPN 620", [("620-5", None, None)]),
        ("S168 F3 inactive", [("168-3", STORED, None)]),
        ("110-0", [("110-0", None, None)]),
        ("110/0 active", [("110-0", ACTIVE, None)]),
        ("110-0, 100-1 previously active", [("110-0", STORED, None), ("100-1", STORED, None)]),
        ("SPN 110 FMI 0, SPN 100 FMI 1", [("110-0", None, None), ("100-1", None, None)]),
        ("SPN 110 FMI 0 (110-0) active", [("110-0", ACTIVE, None)]),
        ("P0118 act x4, P0562 hist x1", [("P0118", None, 4), ("P0562", STORED, 1)]),
        ("P0118 sporadisch, P0562 permanent", [("P0118", None, None), ("P0562", PERMANENT, None)]),
        ("P0118, P0562 x2 stored", [("P0118", STORED, None), ("P0562", STORED, 2)]),
        ("flash code 23", [("23", None, None)]),
        ("flash 23 and 24", [("23", None, None), ("24", None, None)]),
        ("flash 2-3 & 4-1", [("2-3", None, None), ("4-1", None, None)]),
        ("P0217", [("P0217", None, None)]),
        ("p0217-00 confirmed", [("P0217-00", STORED, None)]),
        ("P0217: pending", [("P0217", PENDING, None)]),
        ("1. P0217 - Engine over temperature (permanent)", [("P0217", PERMANENT, None)]),
        ("P0217 active x3", [("P0217", ACTIVE, 3)]),
        ("P0217 ×3", [("P0217", None, 3)]),
        ("P0217 3x", [("P0217", None, 3)]),
        ("3 times P0217", [("P0217", None, 3)]),
        ("P0217 count: 3", [("P0217", None, 3)]),
        ("P0217 occurrence count 3 history", [("P0217", STORED, 3)]),
        ("P0217 stored 3", [("P0217", STORED, 3)]),
        ("P0217, stored, 3", [("P0217", STORED, 3)]),
        ("P0217 - coolant hot - pending: 2.", [("P0217", PENDING, 2)]),
        ("SPN 110 FMI 0 active 5", [("110-0", ACTIVE, 5)]),
        ("110-0 active 127", [("110-0", ACTIVE, None)]),
        ("SPN 110 FMI 0 OC 127", [("110-0", None, None)]),
        ("P0217 active, P0118 stored", [("P0217", ACTIVE, None), ("P0118", STORED, None)]),
        (
            "Active: P0217, Stored: P0118, P0119",
            [("P0217", ACTIVE, None), ("P0118", STORED, None), ("P0119", STORED, None)],
        ),
        ("P0217 stored, permanent", [("P0217", STORED, None), ("P0217", PERMANENT, None)]),
        ("P0217 x2, P0118 x5", [("P0217", None, 2), ("P0118", None, 5)]),
        ("flash code 23 active", [("23", ACTIVE, None)]),
        ("Blink codes: 2-3, 4-1", [("2-3", None, None), ("4-1", None, None)]),
        ("P0217 no longer active", [("P0217", STORED, None)]),
        ("P0217 not active", [("P0217", STORED, None)]),
    ],
)
def test_the_usual_notations(line, seen):
    readout = read_text(line)
    assert _seen(readout) == seen
    assert readout.lines[0].understood, readout.lines[0].sentence
    assert readout.lines[0].kind == "code"


@pytest.mark.parametrize(
    "line",
    [
        "Fault 23 flash: 2 long 3 short",  # blinks that are counted are no code of their own
        "flash 2 times then 3",
    ],
)
def test_what_is_no_code_is_not_read_as_one(line):
    assert _seen(read_text(line)) == []


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("2-3", "blink code or a date"),
        ("12/03", "blink code or a date"),
        ("SPN 110", "without an FMI"),
        ("FMI 3 active", "without an SPN"),
        ("SPN 110 SPN 100 FMI 1", "SPN 110 stands without an FMI"),
        ("SPN 600000 FMI 1", "too large"),
        ("SPN 110 FMI 32", "too large"),
        ("P0000", "empty place"),
        ("PO217 active", "If P0217 is meant"),
        ("P0217, 110-0", "“110-0” was not read"),
        ("P0217 stored 412", "write “count 412” after its code"),
        ("P0217 P0118 stored 3", "“3” was not read"),
        ("flash 23, 24 stored 3", "“3” was not read"),
        ("stored P0217 3", "“3” was not read"),
        ("P0217 x2 stored 3", "The count 3 belongs to no code"),
        ("hello world", "The text is kept"),
        ("P0217 x2 x3", "belongs to no code"),
        ("12.4 V", "The text is kept"),
        ("2026-05-01", "The text is kept"),
        ("05/01/2026 09:30", "The text is kept"),
        ("23", "The text is kept"),
    ],
)
def test_what_is_not_understood_says_why(line, says):
    readout = read_text(line)
    (read,) = readout.lines
    assert not read.understood
    assert says in read.sentence
    assert readout.not_understood_lines == (read,)


def test_what_is_understood_in_a_line_stays_though_the_rest_is_not():
    readout = read_text("SPN 110 FMI 0 active, SPN 100")
    assert _seen(readout) == [("110-0", ACTIVE, None)]
    assert not readout.lines[0].understood


class TestHeadings:
    def test_a_heading_gives_its_status_to_the_lines_after_it(self):
        readout = read_text("Active codes:\nP0217\n\n  P0118\nStored DTCs\nP0300\nP0420 pending\n")
        assert _seen(readout) == [
            ("P0217", ACTIVE, None),
            ("P0118", ACTIVE, None),
            ("P0300", STORED, None),
            ("P0420", PENDING, None),
        ]
        assert readout.not_understood_lines == ()

    @pytest.mark.parametrize(
        ("heading", "status"),
        [
            ("Active", ACTIVE), ("ACTIVE CODES", ACTIVE), ("--- Previously active faults ---", STORED), ("Inactive:",
            STORED),
            ("History:", STORED), ("Current DTCs:", ACTIVE), ("Pending", PENDING), ("Permanent trouble codes",
            PERMANENT),
            ("DM1", ACTIVE), ("DM2:", STORED), ("Mode 03:", STORED), ("Service 07", PENDING), ("Mode $0A", PERMANENT),
            ("Active and stored codes:", None), ("Fault codes:", None),
        ],
    )  # fmt: skip
    def test_the_usual_headings(self, heading, status):
        readout = read_text(f"{heading}\nP0217")
        assert readout.lines[0].kind == "heading"
        assert _seen(readout) == [("P0217", status, None)]

    def test_a_status_alone_under_a_code_without_one_may_belong_to_either(self):
        readout = read_text("P0217\nStored\nP0118")
        assert not readout.lines[1].understood
        assert _seen(readout) == [("P0217", None, None), ("P0118", None, None)]

    def test_once_headings_are_used_a_status_alone_is_one(self):
        assert _seen(read_text("Active\nP0217\nStored\nP0118")) == [("P0217", ACTIVE, None), ("P0118", STORED, None)]


class TestTables:
    @pytest.mark.parametrize(
        ("head", "row"),
        [
            ("SPN\tFMI\tOC\tStatus", "110\t0\t3\tActive"),
            ("SPN FMI Count", "110 0 3 active"),
            ("SPN;FMI;OC;Status", "110;0;3;Active"),
            ("| SPN | FMI | Count | Status |", "| 110 | 0 | 3 | Active |"),
            ("SPN, FMI, Occurrence count, Status", "110, 0, 3, active"),
            ("FMI  SPN  Occurrences", "0  110  3  active"),
        ],
    )
    def test_rows_under_a_head(self, head, row):
        readout = read_text(f"{head}\n{row}\n")
        assert _seen(readout) == [("110-0", ACTIVE, 3)]
        assert readout.not_understood_lines == ()

    def test_without_a_head_numbers_alone_are_not_read(self):
        assert read_text("110 0 3").codes == ()

    def test_a_row_out_of_range_says_so(self):
        readout = read_text("SPN FMI\n110 77")
        assert "too large" in readout.lines[1].sentence


class TestWordsBelowACode:
    @pytest.mark.parametrize(
        "text",
        ["SPN 110 FMI 0\nhello world", "P0217\nhello world", "110-0 x3\nfoo bar", "P0217\nhello world\nfoo bar",
         "  P0217\n  ran fine on the way home"],
    )  # fmt: skip
    def test_a_line_that_may_be_anything_is_not_said_to_belong_to_the_code(self, text):
        readout = read_text(text, preferred=CodeSystem.OBD)
        for line in readout.lines[1:]:
            assert not line.understood, line
            assert "Not understood" in line.sentence
            assert "The text is kept" in line.sentence

    @pytest.mark.parametrize(
        "text",
        ["SPN 110 FMI 0 Engine coolant temperature is\nabove what is allowed",
         "SPN 110 FMI 0\nengine coolant temperature high",
         "SPN 110 FMI 0\n    data valid, most severe",
         "P0217 the words of this code are long and were broken off\nhere in the middle",
         "SPN:\n110\nFMI: 0"],
    )  # fmt: skip
    def test_a_line_that_the_one_above_waits_for_is_read_with_it(self, text):
        readout = read_text(text, preferred=CodeSystem.SPN)
        assert readout.lines[1].understood, readout.lines
        assert "Goes on" not in readout.lines[1].sentence


class TestPairsOutOfRange:
    @pytest.mark.parametrize(
        ("text", "said"),
        [
            ("999999999-77", "SPN 999999999 is too large: an SPN is from 0 to 524287. FMI 77 is too large"),
            ("SPN 999999999 FMI 77", "SPN 999999999 is too large: an SPN is from 0 to 524287. FMI 77 is too large"),
            ("110-32", "FMI 32 is too large: an FMI is from 0 to 31."),
            ("524288-3 active", "SPN 524288 is too large: an SPN is from 0 to 524287."),
        ],
    )
    def test_it_is_said_which_and_what_is_allowed(self, text, said):
        readout = read_text(text, preferred=CodeSystem.SPN)
        assert readout.codes == ()
        assert said in readout.lines[0].sentence
        assert "Enter both" not in readout.lines[0].sentence


class TestNoCodes:
    @pytest.mark.parametrize(
        "line",
        ["No codes", "no active codes", "No fault codes found.", "0 DTCs", "Stored codes: none", "Active faults: 0",
         "None",
         "Pending - none", "NO TROUBLE CODES STORED"],
    )  # fmt: skip
    def test_lines_that_say_so(self, line):
        readout = read_text(line)
        assert readout.no_codes_stated
        assert readout.lines[0].kind == "no codes"
        assert readout.lines[0].understood

    @pytest.mark.parametrize(
        "line", ["No. of codes: 3", "Number of codes: 3", "No codes cleared, 2 codes left", "", "P0217"]
    )
    def test_lines_that_do_not(self, line):
        assert not read_text(line).no_codes_stated

    def test_no_answer_is_no_statement(self):
        readout = read_text("NO DATA")
        assert not readout.no_codes_stated
        assert readout.lines[0].kind == "note"


@pytest.mark.parametrize(
    ("line", "lamps"),
    [
        ("MIL: ON", ("malfunction indicator lamp on",)),
        ("Check engine light is: flashing", ("malfunction indicator lamp flashing",)),
        ("Red stop lamp = on, amber warning lamp = off", ("red stop lamp on",)),
        ("Protect lamp off", ()),
    ],
)
def test_lamps_in_words(line, lamps):
    readout = read_text(line)
    assert readout.lamps == lamps
    assert readout.lines[0].kind == "lamp"


class TestPreferredSystem:
    @pytest.mark.parametrize(
        ("line", "codes"),
        [
            ("23", ["23"]), ("2-3 active", ["2-3"]), ("12 x4", ["12"]), ("Codes: 23, 31", ["23", "31"]),
            ("code 23 low oil pressure", ["23"]), ("P0217", ["P0217"]), ("12.4 V", []), ("12/03/2026", []),
        ],
    )  # fmt: skip
    def test_flash(self, line, codes):
        assert [seen.code.text for seen in read_text(line, preferred=CodeSystem.FLASH).codes] == codes

    def test_flash_codes_without_commas_are_not_dropped_silently(self):
        readout = read_text("43 01 33", preferred=CodeSystem.FLASH)
        assert not readout.lines[0].understood
        assert "“01 33” was not read" in readout.lines[0].sentence

    @pytest.mark.parametrize(
        ("line", "codes"),
        [("E12-4 pump active", ["E12-4"]), ("Code: 4711", ["4711"]), ("Pump fault", []), ("SPN 110 FMI 0", ["110-0"])],
    )
    def test_the_makers_own(self, line, codes):
        assert [seen.code.text for seen in read_text(line, preferred=CodeSystem.MAKER).codes] == codes

    @pytest.mark.parametrize(("line", "text"), [("2-3", "2-3"), ("12/03", "12-3"), ("110.0", "110-0")])
    def test_spn(self, line, text):
        assert [seen.code.text for seen in read_text(line, preferred=CodeSystem.SPN).codes] == [text]


def test_what_stood_there_is_kept_beside_the_code():
    readout = read_text("\n  spn 110  fmi 0 active\n")
    (seen,) = readout.codes
    assert seen.line == 2
    assert seen.raw == "SPN 110 FMI 0"
    assert readout.lines[1].text == "  spn 110  fmi 0 active"
    assert [line.kind for line in readout.lines] == ["blank", "code"]
    assert readout.lines[1].understood


def test_a_reserved_failure_mode_is_told_beside_the_code():
    (seen,) = read_text("SPN 110 FMI 25").codes
    assert seen.problem == "FMI 25 is reserved."


def test_a_line_that_tells_a_phone_number_heads_no_list():
    readout = read_text("Phone 555-0177\nP0300 stored")
    assert readout.lines[0].sentence.startswith("Nothing in it was read as a code")
    assert _seen(readout) == [("P0300", STORED, None)]
    assert readout.codes[0].certain


def test_a_heading_of_something_else_says_what_becomes_of_the_lines_below_it():
    readout = read_text("Parts list:\nP0300")
    assert readout.lines[0].sentence == (
        "A heading of something else than codes: what stands below it is not read as a code."
    )
    assert readout.codes == ()


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("P 0562 Sys volt low, occ. 12 STORED", "“P 0562” stands there: read as P0562, with a space in it."),
        ("P-0562 stored", "“P-0562” stands there: read as P0562, with a hyphen in it."),
    ],
)
def test_a_code_that_is_written_apart_is_offered_and_says_so(line, reason):
    (seen,) = read_text(line).codes
    assert (seen.code.text, seen.status, seen.reason, seen.certain) == ("P0562", STORED, reason, False)


@pytest.mark.parametrize(
    ("text", "all_of_them"),
    [
        ("No codes", True),
        ("No codes present", True),
        ("Active faults: none", False),
        ("Present faults: none", False),
        ("Faults present: none", False),
        ("Codes present: 0", False),
        ("Codes:\nnone", True),
        ("Active codes:\nnone", False),
        ("Current faults\n  None", False),
        ("Mode 07\nNo codes", False),
        ("Past faults:\nnone", False),
        ("Active codes:\nnone\nStored codes:\nnone", False),
    ],
)
def test_a_list_of_what_is_there_now_says_nothing_of_what_was(text: str, all_of_them: bool) -> None:
    said = read_text(f"{text}\n")
    assert (said.no_codes_stated, said.no_codes_at_all) == (True, all_of_them)


@pytest.mark.parametrize("line", ["P0420 P0430 P0300-P0308", "Stored: P0118, P0300-P0304"])
def test_a_range_beside_other_codes_is_not_lost_in_silence(line):
    readout = read_text(line)
    assert "P0300" not in {seen.code.text for seen in readout.codes}
    assert "is a range: write each code that the unit lists." in readout.not_understood_lines[0].sentence


@pytest.mark.parametrize(
    ("line", "units"),
    [
        ("SPN 639 FMI 9 SA 0 active, SPN 639 FMI 9 SA 3 active", ["SA 0", "SA 3"]),
        ("SPN 110 FMI 0 SA: 0x21", ["SA: 0x21"]),
        ("SPN 110 FMI 0 source address 3", ["source address 3"]),
        ("SPN 110 FMI 0", [None]),
        ("SPN 110 FMI 0, count 3", [None]),
    ],
)
def test_two_senders_of_one_code_are_told_apart(line, units):
    assert [seen.unit for seen in read_text(line).codes] == units
