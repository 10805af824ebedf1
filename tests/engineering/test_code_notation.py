"""From what is typed to one canonical code."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.codes import Code, CodeProblem, CodeSystem, make_code, recognize

SPN, OBD, FLASH, MAKER = CodeSystem.SPN, CodeSystem.OBD, CodeSystem.FLASH, CodeSystem.MAKER


@pytest.mark.parametrize(
    ("system", "text", "canonical"),
    [
        (SPN, "110-0", "110-0"), (SPN, "110/0", "110-0"), (SPN, "110.0", "110-0"), (SPN, "110 0", "110-0"),
        (SPN, "00110-03", "110-3"), (SPN, "SPN 110 FMI 0", "110-0"), (SPN, "spn:110, fmi: 0", "110-0"),
        (SPN, "SPN=110;FMI=0", "110-0"), (SPN, "S110 F0", "110-0"), (SPN, "110–0", "110-0"), (SPN, "2-3", "2-3"),
        (SPN, "524287-31", "524287-31"), (SPN, "0-2", "0-2"),
        (OBD, "p0217", "P0217"), (OBD, " P0217-00 ", "P0217-00"), (OBD, "P0217:1f", "P0217-1F"),
        (OBD, "u3fff", "U3FFF"),
        (FLASH, "23", "23"), (FLASH, "2-3", "2-3"), (FLASH, "2 3", "2-3"), (FLASH, "1-2-4", "1-2-4"),
        (FLASH, "007", "007"),
        (FLASH, "flash code 23", "23"), (FLASH, "blink: 2-3", "2-3"),
        (MAKER, "e12.4", "E12.4"), (MAKER, "ab 12", "AB 12"), (MAKER, "7", "7"),
    ],
)  # fmt: skip
def test_the_ways_of_writing_one_code(system, text, canonical):
    assert make_code(system, text) == Code(system, canonical)


@pytest.mark.parametrize(
    ("system", "text", "says"),
    [
        (SPN, "110", "Enter both"), (SPN, "524288-0", "too large"), (SPN, "110-32", "too large"),
        (SPN, "0-0", "no code"), (SPN, "P0217", "not an SPN"), (SPN, "-110-0", "not an SPN"),
        (OBD, "PO217", "If P0217 is meant"), (OBD, "P4217", "not a P, C, B or U code"), (OBD, "X0217", "not a P, C, B"),
        (OBD, "P0000", "empty place"), (OBD, "P02177", "not a P, C, B"), (OBD, "P0217-0", "not a P, C, B"),
        (FLASH, "1234", "flash code"), (FLASH, "A", "flash code"), (FLASH, "23 45", "flash code"),
        (MAKER, "-12", "maker's code"), (MAKER, "X" * 25, "maker's code"), (MAKER, "é1", "maker's code"),
        (SPN, "  ", "Enter the code"),
    ],
)  # fmt: skip
def test_what_is_no_code_of_the_system_is_refused_with_a_sentence(system, text, says):
    with pytest.raises(CodeProblem) as refused:
        make_code(system, text)
    assert says in refused.value.sentence
    assert refused.value.sentence.endswith(".")


@pytest.mark.parametrize("preferred", [None, *CodeSystem])
@pytest.mark.parametrize(
    ("text", "code"),
    [("SPN 110 FMI 0", Code(SPN, "110-0")), ("p0217", Code(OBD, "P0217")), ("flash code 23", Code(FLASH, "23"))],
)
def test_what_names_its_system_is_read_so_whatever_is_preferred(text, code, preferred):
    assert recognize(text, preferred=preferred) == code


@pytest.mark.parametrize(
    ("text", "preferred", "code"),
    [
        ("110-0", None, Code(SPN, "110-0")),
        ("110/0", None, Code(SPN, "110-0")),
        ("110.0", None, None),
        ("110.0", SPN, Code(SPN, "110-0")),
        ("2-3", None, None),
        ("2-3", SPN, Code(SPN, "2-3")),
        ("2-3", FLASH, Code(FLASH, "2-3")),
        ("12/03", None, None),
        ("12/03", SPN, Code(SPN, "12-3")),
        ("12-3", None, Code(SPN, "12-3")),
        ("23", None, None),
        ("23", FLASH, Code(FLASH, "23")),
        ("23", MAKER, Code(MAKER, "23")),
        ("23", SPN, None),
        ("110-0", MAKER, Code(MAKER, "110-0")),
        ("E12.4", None, None),
        ("110-40", None, None),
        ("", FLASH, None),
        ("P0217 active", None, None),
    ],
)
def test_what_fits_several_systems_is_decided_by_the_preferred_one(text, preferred, code):
    assert recognize(text, preferred=preferred) == code


@given(st.text() | st.text("SPNFMI 0123456789-/.:PCBU", max_size=20), st.sampled_from([None, *CodeSystem]))
def test_no_text_makes_it_stumble_and_what_is_recognized_is_canonical(text, preferred):
    code = recognize(text, preferred=preferred)
    if code is not None:
        assert make_code(code.system, code.text) == code


@given(
    st.integers(0, 524287), st.integers(0, 31), st.sampled_from(["SPN {} FMI {}", "{}-{}", "spn:{} fmi:{}", "{}/{}"])
)
def test_every_spn_and_fmi_is_read_back(spn, fmi, written):
    if (spn, fmi) != (0, 0):
        assert recognize(written.format(spn, fmi), preferred=SPN) == Code(SPN, f"{spn}-{fmi}")


def test_a_code_reads_as_the_trade_says_it():
    assert str(Code(SPN, "110-0")) == "SPN 110 FMI 0"
    assert str(Code(OBD, "P0217")) == "P0217"
