"""Conductors and circuits of a boat's direct-current system against published tables and worked examples."""

from math import pi

import pytest

from engineering.amounts import RangePosition
from engineering.electrical.circuits import PartDrop, drop_v, judge_drops, resistance_ohm
from engineering.electrical.conductors import (
    K_COPPER,
    Gauge,
    ampacity,
    awg_circular_mils,
    circular_mils_needed,
    conductor,
    copper_k,
    length_resistance_ohm,
    smallest_conductor,
    voltage_drop_v,
)
from engineering.electrical.nominal import (
    CONNECTION_V,
    CRANKING_GROUND_V,
    CRANKING_POSITIVE_V,
    CRITICAL_DROP_PERCENT,
    OTHER_DROP_PERCENT,
)

FOOT = 0.3048


@pytest.mark.parametrize(
    ("allowed_v", "circular_mils", "awg", "sae"),
    [
        # A marine catalog's example after ABYC E-11: bilge pump, 10 A, 11 ft out and 10 ft back on 12 V.
        # At 3 % 12 AWG is right, but SAE wire must be 10, as 12 SAE has only 5,833 cmil.
        (0.03 * 12, 6270.83, "12", "10"),
        # the same at 10 %: 16 AWG
        (0.10 * 12, 1881.25, "16", "16"),
        # the same catalog, 32 V: 2,352 cmil printed, 16 AWG by its table
        (0.03 * 32, 2351.56, "16", "14"),
    ],
)
def test_size_of_a_run(allowed_v, circular_mils, awg, sae):
    needed = circular_mils_needed(current_a=10, round_trip_m=(11 + 10) * FOOT, allowed_drop_v=allowed_v)
    assert needed == pytest.approx(circular_mils, abs=0.005)
    assert smallest_conductor(needed, Gauge.AWG).size == awg
    assert smallest_conductor(needed, Gauge.SAE).size == sae


def test_the_size_below_is_too_small():
    # same catalog: 18 AWG has 1,624 cmil (1,600 printed), too small for 1,881
    assert conductor(Gauge.AWG, "18").circular_mils == pytest.approx(1624, abs=0.5)
    assert conductor(Gauge.AWG, "16").circular_mils == pytest.approx(2583, abs=0.5)


def test_length_is_the_round_trip():
    # trap: some calculators take the one-way length and double it; taken so here, the size would be half
    one_way = circular_mils_needed(current_a=10, round_trip_m=10.5 * FOOT, allowed_drop_v=0.36)
    both = circular_mils_needed(current_a=10, round_trip_m=21 * FOOT, allowed_drop_v=0.36)
    assert both == pytest.approx(2 * one_way)


@pytest.mark.parametrize(
    ("k", "volts", "percent"),
    [
        # computed from CM = K·I·L/E for 12 AWG, 10 A, 21 ft: with K = 10.75, and by the table at 20 °C (1.588 Ω)
        (K_COPPER, 0.34571, 2.881),
        (copper_k(20), 0.33348, 2.779),
    ],
)
def test_drop_of_the_same_run(k, volts, percent):
    mils = 6530 if k == K_COPPER else awg_circular_mils(12)
    drop = voltage_drop_v(current_a=10, round_trip_m=21 * FOOT, circular_mils=mils, k=k)
    assert drop == pytest.approx(volts, abs=0.00006)
    assert drop / 12 * 100 == pytest.approx(percent, abs=0.001)


@pytest.mark.parametrize(
    ("size", "printed"),
    [
        # Ω per 1000 ft at 20 °C: NBS Handbook 100, "Copper Wire Tables" (1966), as printed (recalled from memory)
        ("4/0", "0.04901"), ("2/0", "0.07793"), ("1/0", "0.09827"), ("2", "0.1563"), ("4", "0.2485"), ("6", "0.3951"),
        ("8", "0.6282"), ("10", "0.9989"), ("12", "1.588"), ("14", "2.525"), ("16", "4.016"), ("18", "6.385"),
    ],
)  # fmt: skip
def test_copper_wire_table(size, printed):
    mils = conductor(Gauge.AWG, size).circular_mils
    ohms = length_resistance_ohm(length_m=1000 * FOOT, circular_mils=mils, k=copper_k(20))
    step = 10.0 ** -len(printed.partition(".")[2])
    assert ohms == pytest.approx(float(printed), abs=step)


@pytest.mark.parametrize("size", ["4/0", "1/0", "4", "10", "18"])
def test_resistance_by_the_international_standard_of_copper(size):
    # IACS: annealed copper at 20 °C has 1/58 Ω·mm²/m (IEC 28, quoted in NBS Handbook 100)
    wire = conductor(Gauge.AWG, size)
    ohms = length_resistance_ohm(length_m=100, circular_mils=wire.circular_mils, k=copper_k(20))
    assert ohms == pytest.approx(100 / 58 / wire.area_mm2, rel=2e-5)


def test_dimensions_of_10_awg():
    # ASTM B258: diameter 0.10190 in, 10,383 cmil, 5.261 mm²
    ten = conductor(Gauge.AWG, "10")
    assert ten.circular_mils == pytest.approx(10383, abs=0.5)
    assert ten.area_mm2 == pytest.approx(5.261, abs=0.0005)
    assert (ten.circular_mils**0.5) / 1000 == pytest.approx(0.10190, abs=0.000005)


def test_the_ends_of_the_gauge():
    # ASTM B258 defines 36 AWG as 0.0050 in and 4/0 as 0.4600 in
    assert awg_circular_mils(36) == pytest.approx(25.0)
    assert awg_circular_mils(-3) == pytest.approx(460.0**2)


@pytest.mark.parametrize(("temperature_c", "k"), [(20, 10.371), (29.3, 10.75), (75, 12.61)])
def test_the_constant_k_by_temperature(temperature_c, k):
    # computed with α = 0.00393 (NBS Handbook 100): K = 10.75 of the trade's formula is copper at 29.3 °C
    assert copper_k(temperature_c) == pytest.approx(k, abs=0.005)


@pytest.mark.parametrize(
    ("size", "sae", "outside_a", "inside_a"),
    [
        # two marine catalogs that print AWG and SAE areas side by side, after ABYC E-11; single conductor, 105 °C
        ("18", 1537, 20, 17), ("16", 2336, 25, 21), ("14", 3702, 35, 30), ("12", 5833, 45, 38), ("10", 9343, 60, 51),
        ("8", 14810, 80, 68), ("6", 24538, 120, 102), ("4", 37360, 160, 136), ("2", 62450, 210, 178),
        ("1", 77790, 245, 208), ("1/0", 98980, 285, 242), ("2/0", 125100, 330, 280), ("4/0", 205500, 445, 378),
    ],
)  # fmt: skip
def test_sae_areas_and_ampacities(size, sae, outside_a, inside_a):
    assert conductor(Gauge.SAE, size).circular_mils == sae
    carried = ampacity(size)
    assert carried is not None
    assert (carried.outside_a, carried.inside_a) == (outside_a, inside_a)
    # the same catalogs: the number alone does not say the copper, and SAE has less
    assert conductor(Gauge.SAE, size).circular_mils < conductor(Gauge.AWG, size).circular_mils


def test_square_millimeters_of_the_catalogs():
    # the same catalogs print 53 and 107 mm² for 1/0 and 4/0 AWG; ISO 6722-like metric sizes are not gauges
    assert round(conductor(Gauge.AWG, "1/0").area_mm2) == 53
    assert round(conductor(Gauge.AWG, "4/0").area_mm2) == 107
    # 1 cmil is π/4 of a square mil: NIST SP 811, 5.067075E-10 m²
    assert pi / 4 * 0.0254**2 == pytest.approx(5.067075e-4, rel=1e-7)


def test_drop_limits_by_circuit():
    # marine catalogs after ABYC E-11: 3 % for panel feeders, bilge blowers, navigation lights, electronics; 10 % others
    assert (CRITICAL_DROP_PERCENT, OTHER_DROP_PERCENT) == (3, 10)


def test_resistance_in_a_starter_circuit():
    # starter voltage-drop training text: 200 A through 0.01 Ω too much are 2.0 V
    assert drop_v(resistance_ohm=0.01, current_a=200) == pytest.approx(2.0)
    assert resistance_ohm(drop_v=2.0, current_a=200) == pytest.approx(0.01)


@pytest.mark.parametrize(
    ("part", "limit_v", "within_v", "above_v"),
    [
        # US Army TM 5-3805-254-14P-2 and a truck maker's manual: 0.5 V from battery to starter, cranking
        ("positive side", CRANKING_POSITIVE_V, 0.5, 0.51),
        # common practice: ground side 0.2 to 0.3 V
        ("ground side", CRANKING_GROUND_V, 0.2, 0.21),
        # starter training text: a connection 0.1 to 0.2 V
        ("connection", CONNECTION_V, 0.1, 0.11),
    ],
)
def test_cranking_drops(part, limit_v, within_v, above_v):
    within, above = judge_drops([PartDrop(part, within_v, limit_v), PartDrop(part, above_v, limit_v)])
    assert (within.standing, above.standing) == (RangePosition.WITHIN, RangePosition.ABOVE)
