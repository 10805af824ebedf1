"""Tanks against published worked examples. Each source stands beside its check."""

from math import pi

import pytest

from engineering.sensors.level_sender import AMERICAN, straight_sender
from engineering.tanks.calibration import SenderInTank, height_at, table_by_height, table_by_share
from engineering.tanks.measured_fills import MeasuredFills
from engineering.tanks.shapes import Box, HorizontalCylinder, Wedge

IN = 0.0254
GAL = 0.003785411784
L = 0.001


def test_a_worked_example_of_a_lying_cylinder():
    # A tank-volume formula reference, horizontal cylinder: 48 in by 96 in, filled to 19.2 in
    tank = HorizontalCylinder(48 * IN, 96 * IN)
    assert tank.capacity_m3 / GAL == pytest.approx(752, abs=0.5)
    assert tank.capacity_m3 / GAL == pytest.approx(pi * 24**2 * 96 / 231, rel=1e-12)
    assert tank.volume_m3(19.2 * IN) / GAL == pytest.approx(280.9, abs=0.05)
    assert tank.volume_m3(19.2 * IN) / tank.capacity_m3 == pytest.approx(0.374, abs=0.0005)


@pytest.mark.parametrize(("height", "share", "printed"), [
    (0.05, 0.018693, 1.9), (0.10, 0.052044, 5.2), (0.20, 0.142378, 14.2), (0.25, 0.195501, 19.6),
    (0.30, 0.252316, 25.2), (0.40, 0.373530, 37.4), (0.50, 0.5, 50), (0.60, 0.626470, 62.6),
    (0.75, 0.804499, 80.4), (0.90, 0.947956, 94.8),
])  # fmt: skip
def test_shares_of_a_lying_cylinder(height, share, printed):
    # The same reference prints the percentages; the shares to six places by quadrature
    tank = HorizontalCylinder(1, 1 / (pi / 4))
    assert tank.volume_m3(height) == pytest.approx(share, abs=6e-7)
    assert tank.volume_m3(height) * 100 == pytest.approx(printed, abs=0.05)


def test_a_metric_cylinder():
    # Computed: 0.5 m by 1.2 m, filled to 0.125 m
    tank = HorizontalCylinder(0.5, 1.2)
    assert tank.volume_m3(0.125) / L == pytest.approx(46.0639, abs=0.00005)
    assert tank.capacity_m3 / L == pytest.approx(235.6194, abs=0.00005)


def test_a_dip_chart_article():
    # "Horizontal tank dip stick chart calculation": 24 in by 48 in holds 18.4 gal at 6 in, not a quarter (23.5)
    tank = HorizontalCylinder(24 * IN, 48 * IN)
    assert tank.volume_m3(6 * IN) / GAL == pytest.approx(18.4, abs=0.05)
    assert tank.capacity_m3 / 4 / GAL == pytest.approx(23.5, abs=0.05)


@pytest.mark.parametrize(("length", "nominal"), [(65, 500), (72, 550), (130, 1000)])
def test_common_fuel_tanks_of_48_inches(length, nominal):
    # A programming page on fuel oil tanks: cylinders of 48 in and their nominal gallons, to 3 %
    assert HorizontalCylinder(48 * IN, length * IN).capacity_m3 / GAL == pytest.approx(nominal, rel=0.03)


def test_half_a_cylinder_is_half_its_height():
    # A dipstick guide: at the halfway mark the tank is exactly half full
    tank = HorizontalCylinder(48 * IN, 130 * IN)
    assert tank.volume_m3(24 * IN) == pytest.approx(tank.capacity_m3 / 2, rel=1e-14)


def test_web_pages_whose_arithmetic_is_wrong():
    # A web page has 237 gal at 12 in of a 48 in by 120 in cylinder of 940 gal, which is a straight quarter and more;
    # and a guide says 21 % and 79 % at a quarter and three quarters. It is 183.8 gal; 19.6 % and 80.4 %
    tank = HorizontalCylinder(48 * IN, 120 * IN)
    assert tank.capacity_m3 / GAL == pytest.approx(940, abs=0.5)
    assert tank.volume_m3(12 * IN) / GAL == pytest.approx(183.8, abs=0.05)
    assert tank.volume_m3(12 * IN) / tank.capacity_m3 == pytest.approx(0.196, abs=0.0005)
    assert tank.volume_m3(36 * IN) / tank.capacity_m3 == pytest.approx(0.804, abs=0.0005)


def test_a_box_of_231_cubic_inches_is_a_gallon():
    # The US gallon by definition (NIST Handbook 44, from memory)
    assert Box(7 * IN, 11 * IN, 3 * IN).capacity_m3 == pytest.approx(GAL, rel=1e-12)
    assert Box(7 * IN, 11 * IN, 3 * IN).volume_m3(1.5 * IN) == pytest.approx(GAL / 2, rel=1e-12)


def test_a_trapezoidal_tank_by_its_full_formula():
    # A page on trapezoidal storage tanks: V = (x_b + x_t)/2·y·z, and partial contents by the width at the surface
    tank = Wedge(length_m=2.0, top_width_m=0.8, v_height_m=0.5, bottom_width_m=0.2)
    assert tank.capacity_m3 == pytest.approx((0.2 + 0.8) / 2 * 0.5 * 2.0)
    width_at_half = 0.2 + (0.8 - 0.2) * 0.25 / 0.5
    assert tank.volume_m3(0.25) == pytest.approx((0.2 + width_at_half) / 2 * 0.25 * 2.0)


def test_a_sharp_v_holds_a_quarter_at_half_its_height():
    # Similar triangles: the area goes with the square of the height
    tank = Wedge(length_m=1, top_width_m=0.6, v_height_m=0.4)
    assert tank.volume_m3(0.2) == pytest.approx(tank.capacity_m3 / 4)
    assert height_at(tank, tank.capacity_m3 / 2) == pytest.approx(0.4 / 2**0.5)


def test_strapping_points_are_kept_and_straight_between():
    # How a level gauge takes a strapping table of height and contents: straight between its points (common practice)
    tank = MeasuredFills([(0.10, 0.012), (0.20, 0.026), (0.30, 0.041)])
    assert [tank.volume_m3(height) for height in (0.1, 0.2, 0.3)] == pytest.approx([0.012, 0.026, 0.041])
    assert tank.volume_m3(0.15) == pytest.approx(0.019)
    assert tank.volume_m3(0.05) == pytest.approx(0.006)


def test_a_calibration_table_with_a_senders_ohms():
    # Heights and gallons as in the worked example above; ohms of a straight 240–33.5 sender over the whole height
    tank = HorizontalCylinder(48 * IN, 96 * IN)
    sender = SenderInTank(straight_sender(240, 33.5), 0, tank.height_m)
    rows = table_by_height(tank, step_m=12 * IN, sender=sender)
    assert [row.sender_ohm for row in rows] == pytest.approx([240, 188.375, 136.75, 85.125, 33.5])
    assert [round(row.fraction * 100, 1) for row in rows] == [0, 19.6, 50, 80.4, 100]


def test_quarters_of_a_cylinder_are_no_quarters_of_its_height():
    # Inverse of the table above (25.2 % at 0.30): a quarter of the contents stands at 29.8 % of the height
    tank = HorizontalCylinder(1, 1)
    rows = table_by_share(tank, parts=4, sender=SenderInTank(AMERICAN, 0, 1))
    assert rows[1].height_m == pytest.approx(0.298, abs=0.0005)
    assert rows[3].height_m == pytest.approx(0.702, abs=0.0005)
    assert rows[2].sender_ohm == pytest.approx(103)
