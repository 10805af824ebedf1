"""What a code says by itself, and who defines the rest."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.codes import CodeSystem, explain, make_code
from engineering.codes.fmi import fmi_meaning
from engineering.codes.obd import controlled_by


def _explained(system: str, text: str):
    return explain(make_code(CodeSystem(system), text))


def test_an_spn_with_a_known_name():
    explanation = _explained("spn", "110-0")
    assert explanation.title == "Engine coolant temperature: above the normal range, most severe"
    assert "SPN 110 is the engine coolant temperature." in explanation.facts
    assert "J1939-73" in explanation.source


def test_an_spn_without_a_name_here():
    assert _explained("spn", "400000-3").title == "Voltage above normal, or shorted high"


def test_an_spn_of_the_makers_own_range():
    assert "each engine maker assigns" in _explained("spn", "520192-9").facts[0]


def test_a_reserved_fmi_says_so():
    explanation = _explained("spn", "110-25")
    assert "reserved" in explanation.title
    assert "FMI 25 is reserved and has no agreed meaning." in explanation.facts


@pytest.mark.parametrize(
    ("text", "title", "fact"),
    [
        (
            "P0301",
            "Powertrain code, generic",
            "keeps P03 for ignition system or misfire.",
        ),
        ("P0217", "Powertrain code, generic", "not what it means"),
        ("P2610", "Powertrain code, generic", "(from memory)"),
        (
            "U0100",
            "Network and vehicle integration code, generic",
            "(from memory)",
        ),
        ("P2D00", "Powertrain code, generic", "the same on every make"),
        ("P1122", "Powertrain code, maker's own", "another make"),
        ("P3399", "Powertrain code, maker's own", "another make"),
        ("P3400", "Powertrain code, generic", "the same on every make"),
        ("C0035", "Chassis code, generic", "chassis"),
        ("B2234", "Body code, maker's own", "body"),
        ("U3FFF", "Network and vehicle integration code, reserved", "look again"),
        (
            "P0133-11",
            "Powertrain code, generic: circuit shorted to ground",
            "Failure type 11: circuit shorted to ground.",
        ),
        (
            "P0133-00",
            "Powertrain code, generic",
            "Failure type 00: no failure type given.",
        ),
        (
            "P0133-1A",
            "Powertrain code, generic: circuit resistance below threshold",
            "1A: circuit",
        ),
        ("P0133-2C", "Powertrain code, generic", "the group of general signal failures"),
        ("P0133-F0", "Powertrain code, generic", "no meaning in the short list"),
    ],
)
def test_families_ranges_and_failure_types(text, title, fact):
    explanation = _explained("obd", text)
    assert explanation.title == title
    assert any(fact in said for said in explanation.facts), explanation.facts


@pytest.mark.parametrize(("system", "text"), [("flash", "2-3"), ("maker", "E12")])
def test_flash_and_makers_codes_point_to_the_makers_manual(system, text):
    explanation = _explained(system, text)
    assert text not in explanation.title  # it stands beside the code
    assert "manual" in explanation.source
    assert any("maker" in fact for fact in explanation.facts)


@given(st.integers(0, 524287), st.integers(0, 31))
def test_every_spn_has_an_explanation_that_points_to_the_manual(spn, fmi):
    if (spn, fmi) != (0, 0):
        explanation = _explained("spn", f"{spn}-{fmi}")
        assert explanation.title
        assert "manual" in explanation.facts[-1]


@given(st.from_regex(r"[PCBU][0-3][0-9A-F]{3}(-[0-9A-F]{2})?", fullmatch=True))
def test_every_obd_code_has_an_owner(text):
    if not text.startswith("P0000"):
        assert controlled_by(text) in ("ISO/SAE", "maker", "reserved")
        assert "manual" in _explained("obd", text).facts[-1]


@pytest.mark.parametrize("fmi", [-1, 32])
def test_an_fmi_out_of_range_is_refused(fmi):
    with pytest.raises(ValueError, match="0 to 31"):
        fmi_meaning(fmi)
