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
        ("P0301", "Misfire detected, cylinder 1", "P0301 says: misfire detected, cylinder 1."),
        ("P0217", "Engine coolant over temperature", "Subsystem: engine temperature, oil and coolant."),
        ("P0117", "Engine coolant temperature sensor 1, signal low", "the same on every make"),
        ("U0100", "Lost communication with the engine control module A", "Subsystem: network and messages."),
        ("P0399", "Powertrain code, generic", "No generic meaning of P0399 is known here"),
        ("P0399", "Powertrain code, generic", "keeps P03 for ignition system or misfire."),
        ("P2699", "Powertrain code, generic", "(from memory)"),
        ("P2699", "Powertrain code, generic", "not what it means"),
        ("U0199", "Network and vehicle integration code, generic", "No generic meaning of U0199 is known here"),
        ("P2D00", "Powertrain code, generic", "the same on every make"),
        ("P1122", "Powertrain code, maker's own", "another make"),
        ("P3399", "Powertrain code, maker's own", "another make"),
        ("P3400", "Powertrain code, generic", "the same on every make"),
        ("C0035", "Chassis code, generic", "chassis"),
        ("B2234", "Body code, maker's own", "body"),
        ("U3FFF", "Network and vehicle integration code, reserved", "not known here"),
        (
            "P0133-11",
            "Oxygen sensor, bank 1 sensor 1, slow to respond: circuit shorted to ground",
            "Failure type 11: circuit shorted to ground.",
        ),
        (
            "P0133-00",
            "Oxygen sensor, bank 1 sensor 1, slow to respond",
            "Failure type 00: no failure type given.",
        ),
        (
            "P0133-1A",
            "Oxygen sensor, bank 1 sensor 1, slow to respond: circuit resistance below threshold",
            "1A: circuit",
        ),
        ("P0133-2C", "Oxygen sensor, bank 1 sensor 1, slow to respond", "the group of general signal failures"),
        ("P0133-F0", "Oxygen sensor, bank 1 sensor 1, slow to respond", "no meaning in the short list"),
    ],
)
def test_families_ranges_and_failure_types(text, title, fact):
    explanation = _explained("obd", text)
    assert explanation.title == title
    assert any(fact in said for said in explanation.facts), explanation.facts


@pytest.mark.parametrize("text", ["P1122", "P3000", "P33FF", "U1100", "B0001", "C0035", "U3FFF", "P2D00", "P0A00"])
def test_no_meaning_is_made_up_for_a_number_that_is_not_known(text):
    explanation = _explained("obd", text)
    assert explanation.title.split(", ")[-1] in ("generic", "maker's own", "reserved")
    assert not any(" says: " in fact for fact in explanation.facts)
    assert ("No generic meaning" in " ".join(explanation.facts)) == explanation.title.endswith("generic")


def test_a_meaning_says_where_its_words_come_from():
    assert "from memory, SAE J2012 numbering" in _explained("obd", "P0217").source
    assert "numbering" not in _explained("obd", "P0399").source


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


def test_a_subsystem_is_true_of_each_of_its_codes():
    # engine overspeed stood among temperatures, oil and coolant
    assert "Subsystem: engine speed." in explain(make_code(CodeSystem.OBD, "P0219")).facts
