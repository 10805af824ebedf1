"""Failure modes and SPN names against public lists, by the words that matter; the wording here is our own."""

import pytest

from engineering.codes.fmi import fmi_meaning
from engineering.codes.spn_names import SPN_NAMES


@pytest.mark.parametrize(
    ("fmi", "words"),
    [
        # 0-19 and 31: AgIsoStack++ (MIT), enum FailureModeIdentifier, citing ISO 11783-12 Annex E
        (0, "above most severe"), (1, "below most severe"), (2, "erratic intermittent incorrect"),
        (3, "voltage above high"),
        (4, "voltage below low"), (5, "current below open"), (6, "current above grounded"),
        (7, "mechanical adjustment"),
        (8, "frequency pulse period"), (9, "update rate"), (10, "rate of change"), (11, "cause not known"),
        (12, "bad device component"), (13, "calibration"), (14, "special instructions"), (15, "above least severe"),
        (16, "above moderately severe"), (17, "below least severe"), (18, "below moderately severe"),
        (19, "network data error"), (31, "condition exists"),
        # 20 and 21: a second public list of FMI values
        (20, "drifted high"), (21, "drifted low"),
    ],
)  # fmt: skip
def test_failure_modes(fmi, words):
    meaning = fmi_meaning(fmi)
    assert meaning is not None
    assert all(word in meaning for word in words.split()), meaning


@pytest.mark.parametrize("fmi", range(22, 31))
def test_reserved_failure_modes_have_no_meaning(fmi):
    # the same second public list: 22 to 30 are reserved
    assert fmi_meaning(fmi) is None


@pytest.mark.parametrize(
    ("spn", "words"),
    [
        # A public SPN table in the source of an open telematics project (read up to SPN 168); names in our own words.
        (22, "crankcase blow-by pressure"), (27, "exhaust gas recirculation valve position"), (51, "throttle position"),
        (52, "intercooler temperature"), (91, "accelerator position 1"), (92, "load at current speed"),
        (94, "fuel delivery pressure"), (95, "fuel filter differential pressure"), (96, "fuel level 1"),
        (97, "water in fuel"), (98, "oil level"), (99, "oil filter differential pressure"), (100, "oil pressure"),
        (101, "crankcase pressure"), (102, "intake manifold pressure"), (103, "turbocharger 1 speed"),
        (105, "intake manifold 1 temperature"), (106, "air intake pressure"),
        (107, "air filter 1 differential pressure"),
        (108, "barometric pressure"), (109, "coolant pressure"), (110, "coolant temperature"), (111, "coolant level"),
        (114, "net battery current"), (115, "alternator current"), (123, "clutch pressure"),
        (124, "transmission oil level"), (126, "transmission filter differential pressure"),
        (127, "transmission oil pressure"), (132, "air mass flow"), (156, "injector timing rail 1 pressure"),
        (157, "injector metering rail 1 pressure"), (158, "battery key"), (161, "transmission input shaft speed"),
        (164, "injection control pressure"), (167, "charging voltage"), (168, "battery voltage"),
    ],
)  # fmt: skip
def test_spn_names(spn, words):
    assert all(word in SPN_NAMES[spn] for word in words.split()), SPN_NAMES[spn]
