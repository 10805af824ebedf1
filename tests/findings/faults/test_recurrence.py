"""Recurrence on pages: one fault's own, how repairs hold, and codes across the shop."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from engineering.recurrence import EventRecord, Held, away_of, holding_curve, laplace_test, sums_of
from findings.faults.actions import clear_codes, log_scan
from findings.faults.history import history_from_json
from findings.faults.models import Episode, Fault
from findings.insight.fleet import code_recurrence, fleet_recurrence
from findings.insight.holding_times import holding_groups, holding_seen
from findings.insight.queries import Scope, families, repairs_in
from findings.insight.repair_sorts import repair_sorts
from tests.cast import make_cast
from tests.findings.insight.test_insight import boat, look, repair
from tests.findings.story import COOLANT, LEAN, OIL, clear, fault, scan, seen
from vessels.actions import amend_text, retract
from vessels.models import EngineFamily, LogEntry

HOLD = Decimal(50)


def returns(cast, unit, code, gaps, *, away_now=None, family_days=900):
    """A fault that came back after each gap, each time repaired, and was proven away for the last one."""
    hours, day = 100.0, family_days
    repair(cast, unit, code, days_ago=day, hours=hours)
    for gap in gaps:
        hours, day = hours + gap, day - 30
        repair(cast, unit, code, days_ago=day, hours=hours)
    if away_now:
        look(cast, unit, [], days_ago=day - 30, hours=hours + away_now)
    return Fault.objects.get(unit=unit, code=code.text)


# ---- one fault


def test_three_returns_are_told_with_what_they_are_worth(client, cast):
    one = returns(cast, cast.port_unit, COOLANT, [80, 150, 110], away_now=270)
    client.force_login(cast.manager)
    body = client.get(f"/faults/{one.pk}/").content.decode()
    assert "Is it coming back more often?" in body
    assert "Not enough data to say whether it is coming back more often." in body
    assert "It has come back 3 times in 270 h to 610 h without it." in body
    assert "away for 270 h, longer than ever before; that alone is no proof." in body
    assert "3 times in 610 h, 270 h of them proven: seen 0.49 per 100 h" in body


def test_ever_shorter_gaps_are_evidence_on_the_page(client, cast):
    one = returns(cast, cast.port_unit, COOLANT, [400, 250, 150, 90, 50, 25, 10, 5], away_now=None)
    client.force_login(cast.tech)
    assert "Strong evidence that it is seen back more often" in client.get(f"/faults/{one.pk}/").content.decode()


def test_the_section_asks_the_database_nothing(cast, django_assert_num_queries):
    stored = returns(cast, cast.port_unit, COOLANT, [80, 150], away_now=270).history
    with django_assert_num_queries(0):
        drawn = render_to_string("findings/faults/parts/recurrence.html", {"history": history_from_json(stored)})
    assert "It has come back twice in 270 h to 500 h without it." in drawn


# ---- how repairs hold


@pytest.mark.usefixtures("db")
class TestHowRepairsHold:
    """Of one shop, which no test changes for the others."""

    @pytest.fixture(scope="class")
    @classmethod
    def cast(cls, class_db):
        return make_cast()

    @pytest.fixture(scope="class")
    @classmethod
    def holders(cls, cast):
        """Repairs of two codes on two families that came back or hold, at many different hours."""
        other = EngineFamily.objects.create(maker="Ostwind", name="V8")
        plan = [
            (COOLANT, cast.family, 12, True), (COOLANT, cast.family, 30, True), (COOLANT, cast.family, 55, False),
            (COOLANT, cast.family, 55, True), (COOLANT, cast.family, 90, False), (COOLANT, cast.family, 140, False),
            (OIL, other, 20, True), (OIL, other, 60, True), (OIL, other, 60, True), (OIL, other, 61, False),
            (OIL, other, 130, True), (LEAN, other, 70, False), (LEAN, cast.family, 10, False),
        ]  # fmt: skip
        for number, (code, family, hours, back) in enumerate(plan):
            unit = boat(cast, f"Boat {number}", family)
            repair(cast, unit, code, days_ago=300, hours=100)
            look(cast, unit, [seen(code)] if back else [], days_ago=200, hours=100 + hours)
        return cast

    def test_the_curve_of_a_scope_is_kaplan_and_meier_s(self, holders):
        answer = holding_seen(Scope(), HOLD)
        expected = held_of()
        assert answer.sentence == expected.sentence
        assert answer.picture.median == expected.median_h
        assert [(step.hours, step.share, step.least) for step in answer.picture.steps[1:]] == [
            (point.hours, point.most, point.least) for point in expected.points if point.hours
        ]
        assert "When they came back is only known between two scans." in answer.sentence
        assert answer.picture.steps[0].low < 1, "all of a few is not certain of all"
        assert [(hours, followed) for hours, _, _, followed in answer.shares] == [(25, 10), (50, 9)]

    def test_groups_summed_by_the_database_are_the_curves_of_each(self, holders):
        for by, conditions in (
            ("code", {"spn:110-0": {"fault__code": "110-0"}, "spn:100-1": {"fault__code": "100-1"}}),
            ("family", {str(family.pk): {"fault__engine__family": family} for family in EngineFamily.objects.all()}),
        ):
            groups = {group.key: group for group in holding_groups(Scope(), by, HOLD, families())}
            for key, condition in conditions.items():
                curve, group = held_of(**condition), groups[key]
                at_hold = curve.at(50)
                assert (group.repairs, group.came_back) == (curve.repairs, curve.came_back)
                if at_hold is None:  # fewer than five were followed that long
                    assert (group.share, group.median_h) == ("", None)
                    continue
                assert group.share == at_hold.words
                assert group.bounds == at_hold.bounds_words
                assert (None if group.median_h is None else float(group.median_h)) == curve.median_h
                if curve.median_h is not None:
                    low, high = group.median_bounds.split(" to ")
                    assert low == ("any time" if curve.median_low_h is None else f"{curve.median_low_h:g} h")
                    assert high == ("no end yet" if curve.median_high_h is None else f"{curve.median_high_h:g} h")

    def test_few_repairs_are_not_enough_for_a_share(self, holders):
        lean = next(group for group in holding_groups(Scope(), "code", HOLD, families()) if group.label == "P0171")
        assert (lean.repairs, lean.came_back, lean.share, lean.median_h) == (2, 0, "", None)

    def test_the_repairs_page_shows_the_curve_and_its_groups(self, client, holders):
        client.force_login(holders.manager)
        body = client.get("/insight/repairs/").content.decode()
        for words in (
            "How long repairs hold",
            "the dashed line the least",
            "By code",
            "By engine family",
            "Ostwind V8",
            "7 of 13 repairs",
        ):
            assert words in body, words
        one = client.get("/insight/repairs/?code=spn:110-0").content.decode()
        assert "3 of 6 repairs came back" in one
        assert "By code" not in one

    def test_what_came_of_it_does_not_bend_the_curve(self, client, holders):
        client.force_login(holders.manager)
        assert "7 of 13 repairs" in client.get("/insight/repairs/?outcome=held").content.decode()

    def test_later_pages_of_repairs_do_not_draw_it_again(self, client, holders):
        client.force_login(holders.manager)
        assert "How long repairs hold" not in client.get("/insight/repairs/?from=50").content.decode()


def held_of(**condition):
    rows = repairs_in(Scope()).filter(**condition)
    held = [
        Held(float(hours or 0), outcome == "returned", 1, hull, 0)
        for hours, outcome, hull in rows.values_list("outcome_hours", "outcome", "fault__vessel")
    ]
    return holding_curve(held, fewest_at_risk=5)


def test_where_none_came_back_yet_the_bound_does_not_look_sure(cast):
    for number, (hours, back) in enumerate([(60, True), (70, True), (80, False), (90, False), (95, False)]):
        unit = boat(cast, f"Boat {number}", cast.family)
        repair(cast, unit, OIL, days_ago=300, hours=100)
        look(cast, unit, [seen(OIL)] if back else [], days_ago=200, hours=100 + hours)
    (group,) = holding_groups(Scope(), "code", HOLD, families())
    assert (group.share, group.bounds) == ("60% to 100%", "1% to 100%")  # two of five may have come back before 50 h


def test_two_repairs_of_one_code_are_compared(client, cast):
    for number in range(16):
        unit = boat(cast, f"Boat {number}", cast.family)
        text = "Replaced the  sender." if number % 2 else "Cleaned the plug"
        repair(cast, unit, COOLANT, days_ago=300, hours=100, text=text)
        back = number % 2 == 0
        look(cast, unit, [seen(COOLANT)] if back else [], days_ago=200, hours=100 + (20 + number if back else 160))
    assert repair_sorts(Scope(code=OIL), HOLD) is None
    found = repair_sorts(Scope(code=COOLANT), HOLD)
    assert [(one.text, one.repairs, one.came_back) for one in found.sorts] == [
        ("Cleaned the plug", 8, 8), ("Replaced the  sender.", 8, 0),
    ]  # fmt: skip
    assert found.sentence.startswith("Fair evidence that “Replaced the sender” holds better at 50 h: ")
    client.force_login(cast.manager)
    body = client.get("/insight/repairs/?code=spn:110-0").content.decode()
    assert "Does one repair hold better than another?" in body
    assert "not left to chance" in body
    assert "Does one repair hold better" not in client.get("/insight/repairs/").content.decode()
    assert "Left out" not in found.sentence
    one = LogEntry.objects.filter(kind="work-done", text="Cleaned the plug").first()
    amend_text(by=cast.desk, entry=one, text="It was the sender that was cleaned.")
    told = repair_sorts(Scope(code=COOLANT), HOLD)
    assert [(sort.text, sort.repairs) for sort in told.sorts] == [("Replaced the  sender.", 8), ("Cleaned the plug", 7)]
    assert told.sentence.endswith(" Left out: 1 repair whose words were corrected.")


def test_no_repair_is_no_curve(client, cast):
    client.force_login(cast.manager)
    assert "Not enough data for a curve: 0 repairs" in client.get("/insight/repairs/").content.decode()


# ---- codes across the shop


@pytest.mark.usefixtures("db")
class TestCodesOfAFleet:
    """Of one shop, which no test changes for the others."""

    @pytest.fixture(scope="class")
    @classmethod
    def cast(cls, class_db):
        return make_cast()

    @pytest.fixture(scope="class")
    @classmethod
    def fleet(cls, cast):
        """One code that comes back ever sooner on three hulls, another that came up once."""
        for number in range(3):
            unit = boat(cast, f"Boat {number}", cast.family)
            returns(cast, unit, COOLANT, [200 + number, 60, 15, 6], away_now=3)
        returns(cast, boat(cast, "Once", cast.family), OIL, [], away_now=40)
        return cast

    def test_the_database_counts_as_the_ground_floor_does(self, fleet):
        rows = {row.code.text: row for row in fleet_recurrence(Scope(), 0, 50)}
        coolant = rows["110-0"]
        records = [away_of(history_from_json(one.history)).record() for one in Fault.objects.filter(code="110-0")]
        assert coolant.hulls == 3
        assert coolant.sightings == 15
        assert coolant.appearances == 15
        assert coolant.returns == sum(len(record.event_hours) for record in records) == 12
        assert float(coolant.away_h) == pytest.approx(sum(record.observed_h for record in records))
        assert coolant.trend_events == laplace_test(records).events
        assert coolant.trend_words == "too few hulls"
        oil = rows["100-1"]
        assert (oil.returns, oil.hulls, oil.rate_words, oil.bounds_words) == (0, 1, "none", "at most 9.2")
        assert oil.why_words == "on one hull"
        assert (coolant.bounds_words, coolant.why_words) == (
            "no bounds",
            "too few hulls, or most hours on a few of them",
        )
        sums = sums_of(records)
        assert (coolant.watched, coolant.spread) == (3, pytest.approx(sums.spread))
        assert (coolant.hours_squared, coolant.after_h) == pytest.approx((sums.hours_squared, sums.after_h))
        assert coolant.after_expected_h == pytest.approx(sums.after_expected_h)
        assert oil.trend_words == "not enough data"

    def test_family_period_and_code_narrow_it(self, fleet):
        other = EngineFamily.objects.create(maker="Ostwind", name="V8")
        returns(fleet, boat(fleet, "Foreign", other), LEAN, [30], away_now=20, family_days=60)
        assert [row.code for row in fleet_recurrence(Scope(family_id=other.pk), 0, 50)] == [LEAN]
        lately = timezone.now() - timedelta(days=100)
        assert [row.code for row in fleet_recurrence(Scope(since=lately), 0, 50)] == [LEAN]
        assert [row.code for row in fleet_recurrence(Scope(code=OIL), 0, 50)] == [OIL]

    def test_one_code_over_its_hulls(self, client, fleet):
        answer = code_recurrence(Scope(code=COOLANT))
        assert (answer.faults, answer.unusable, answer.are_more) == (3, 0, False)
        words = dict(answer.answers)
        assert words["More often? (MIL-HDBK-189 test)"].startswith("Not enough data for a trend over hulls")
        assert words["How often on one engine"].startswith(
            "Not told: when it came back is only known between two scans."
        )
        client.force_login(fleet.manager)
        body = client.get("/insight/recurrence/?code=spn:110-0").content.decode()
        for words in ("Over its hulls", "How its repairs hold", "too few hulls"):
            assert words in body

    def test_it_costs_the_same_at_any_size(self, client, fleet):
        client.force_login(fleet.manager)

        def cost(path: str) -> int:
            client.get(path)
            with CaptureQueriesContext(connection) as spent:
                client.get(path)
            return len(spent)

        paths = ["/insight/recurrence/", "/insight/recurrence/?code=spn:110-0", "/insight/repairs/"]
        few = [cost(path) for path in paths]
        for number in range(3):
            returns(fleet, boat(fleet, f"More {number}", fleet.family), COOLANT, [50], away_now=60)
        assert [cost(path) for path in paths] == few


def test_a_trend_over_hulls_counts_hulls_and_not_returns(cast):
    for number in range(6):
        unit = boat(cast, f"Boat {number}", cast.family)
        returns(cast, unit, COOLANT, [100, 90 + number, 40, 15, 5 + number], away_now=2)
    (row,) = fleet_recurrence(Scope(), 0, 50)
    faults = Fault.objects.filter(code="110-0")
    records = [replace(away_of(history_from_json(one.history)).record(), hull=one.vessel_id) for one in faults]
    expected = laplace_test(records)
    assert row.trend.statistic == pytest.approx(expected.statistic)
    assert row.trend.p_value == pytest.approx(expected.p_value)
    assert row.trend_words == "seen more often: strong evidence"
    # five hulls that show nothing of the kind, and one that is there with all returns: nothing is known of hulls
    alone = [replace(one, hull=0 if at < 5 else at) for at, one in enumerate(records)]
    assert "all or most of them are of 2 hulls" in laplace_test(alone).sentence


def test_the_return_that_ends_a_record_tells_of_no_trend(cast):
    returns(cast, cast.port_unit, COOLANT, [100, 80, 60, 40, 20], away_now=None)
    look(cast, cast.port_unit, [seen(COOLANT)], days_ago=600, hours=405)
    (row,) = fleet_recurrence(Scope(), 0, 50)
    record = away_of(history_from_json(fault().history)).record()
    assert (row.returns, row.trend_events) == (6, 5)
    assert record.ends_with_event
    assert row.trend.statistic == pytest.approx(laplace_test([record]).statistic)


def test_a_return_at_the_hours_of_its_clear_counts_as_it_is(cast):
    for day, hours in ((0, 100), (10, 100), (20, 150)):
        scan(cast, day, hours, [seen(COOLANT)], complete=False)
        clear(cast, day + 1, hours)
    scan(cast, 40, 180, [])
    (row,) = fleet_recurrence(Scope(), 0, 50)
    assert (row.returns, row.trend_events, float(row.away_h)) == (2, 2, 80)
    assert isinstance(away_of(history_from_json(fault().history)).record(), EventRecord)


def test_unknown_hours_are_said(cast):
    scan(cast, 0, None, [seen(COOLANT)], complete=False)
    clear(cast, 1, None)
    scan(cast, 20, None, [seen(COOLANT)], complete=False)
    (row,) = fleet_recurrence(Scope(), 0, 50)
    assert (row.came_back, row.returns, row.unknown, row.away_h, row.rate) == (1, 0, 1, 0, None)


def test_a_time_away_at_unknown_hours_is_no_return(client, cast):
    """P0171 was never back; the coolant code was back once, and two of its three times away have no hours."""
    scan(cast, 0, None, [seen(LEAN)], complete=False)
    clear(cast, 1, None)
    scan(cast, 20, None, [])
    repair(cast, boat(cast, "Once", cast.family), COOLANT, days_ago=600, hours=100)
    once = Fault.objects.get(code=COOLANT.text).unit
    look(cast, once, [seen(COOLANT)], days_ago=590, hours=118)
    clear_codes(by=cast.tech, unit=once, happened_at=timezone.now() - timedelta(days=580), engine_hours=None)
    look(cast, once, [], days_ago=500, hours=None)
    twice = boat(cast, "Unread", cast.family)
    repair(cast, twice, COOLANT, days_ago=600, hours=None)
    look(cast, twice, [], days_ago=500, hours=None)
    by_code = {row.label: row for row in fleet_recurrence(Scope(), 0, 50)}
    never = by_code["P0171"]
    assert (never.came_back, never.unknown, never.untimed, never.rate_words) == (0, 0, 1, "none")
    known = by_code["SPN 110 FMI 0"]
    assert (known.came_back, known.returns, known.unknown, known.untimed) == (1, 1, 0, 2)
    client.force_login(cast.manager)
    cells = told_cells(client)
    assert cells["P0171"]["Came back"] == "0"
    assert cells["P0171"]["Hours away"] == "0 h without 1 time away whose hours are not known"
    assert cells["SPN 110 FMI 0"]["Came back"] == "1"
    assert cells["SPN 110 FMI 0"]["Hours away"] == "18 h without 2 times away whose hours are not known"


def test_what_came_back_at_unknown_hours_only_has_no_rate(client, cast):
    """It was away for 900 h on another boat: "none" and "at most 0.3" per 100 h would hide that it came back."""
    scan(cast, 0, None, [seen(COOLANT)], complete=False)
    clear(cast, 1, None)
    scan(cast, 20, None, [seen(COOLANT)], complete=False)
    other = boat(cast, "Away", cast.family)
    repair(cast, other, COOLANT, days_ago=800, hours=100)
    look(cast, other, [], days_ago=10, hours=1000)
    (row,) = fleet_recurrence(Scope(), 0, 50)
    assert (row.came_back, row.returns, row.rate_words, row.bounds_words) == (1, 0, "", "")
    client.force_login(cast.manager)
    cells = told_cells(client)["SPN 110 FMI 0"]
    assert cells["Came back"] == "1 1 at unknown hours"
    assert cells["Per 100 h"] == "came back at unknown hours only"


def told_cells(client):
    """The words of the table of recurrence, by code and by label."""
    body = client.get("/insight/recurrence/").content.decode()
    table = body[body.index("<tbody>") : body.index("</tbody>")]
    found = {}
    for row in table.split("<tr>")[1:]:
        code = re.search(r'class="code"[^>]*>([^<]+)</a>', row).group(1)
        cells = re.findall(r'<td data-label="([^"]+)"[^>]*>(.*?)</td>', row, re.DOTALL)
        found[code] = {label: " ".join(re.sub(r"<[^>]+>", " ", words).split()) for label, words in cells}
    return found


def test_a_scan_that_was_taken_back_is_not_counted(cast):
    scan(cast, 0, 100, [seen(COOLANT)], complete=False)
    wrong = scan(cast, 1, 100, [seen(COOLANT)], complete=False)
    assert fleet_recurrence(Scope(), 0, 50)[0].sightings == 2
    retract(by=cast.manager, entry=wrong.entry, reason="Scanned the other boat.")
    assert fleet_recurrence(Scope(), 0, 50)[0].sightings == 1


def test_codes_come_in_pages(client, cast):
    from engineering.codes import Code, CodeSystem

    many = [Code(CodeSystem.SPN, f"{spn}-3") for spn in range(100, 155)]
    log_scan(
        by=cast.tech, unit=cast.port_unit, phase="arrival", is_complete=False, codes=[seen(code) for code in many],
        engine_hours=Decimal(10),
    )  # fmt: skip
    client.force_login(cast.manager)
    first = client.get("/insight/recurrence/").context
    second = client.get("/insight/recurrence/" + first["next_url"]).context
    assert (len(first["rows"]), len(second["rows"])) == (50, 5)


def test_nothing_on_record_is_said(client, cast):
    client.force_login(cast.owner)
    assert "No code is on record here." in client.get("/insight/recurrence/").content.decode()
    assert Episode.objects.count() == 0
    clear_codes(by=cast.tech, unit=cast.port_unit, faults=None)
    assert client.get("/insight/recurrence/?code=cut-off&family=x&months=7&from=-1").status_code == 200
