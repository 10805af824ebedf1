"""The state table of a fault, every row, the cases beside it, and that the order of arrival does not matter."""

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from types import UnionType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.codes import CodeStatus
from engineering.faults import (
    Absent,
    Cleared,
    Evidence,
    FaultState,
    Hold,
    Length,
    Seen,
    Worked,
    go_on,
    replay,
    settle,
)

START = datetime(2026, 5, 1, 9, 0, tzinfo=UTC)
ACTIVE, STORED, PENDING, PERMANENT = CodeStatus.ACTIVE, CodeStatus.STORED, CodeStatus.PENDING, CodeStatus.PERMANENT


def _at(days: float) -> datetime:
    return START + timedelta(days=days)


def _hours(hours: float | None) -> Decimal | None:
    return None if hours is None else Decimal(str(hours))


def seen(day: float, status: CodeStatus, hours: float | None = None, key: str = "", visit: str | None = None) -> Seen:
    return Seen(key or f"scan {day}", _at(day), _hours(hours), status, visit)


def absent(day: float, hours: float | None = None, key: str = "", visit: str | None = None) -> Absent:
    return Absent(key or f"scan {day}", _at(day), _hours(hours), visit)


def cleared(day: float, hours: float | None = None, key: str = "", visit: str | None = None) -> Cleared:
    return Cleared(key or f"clear {day}", _at(day), _hours(hours), visit)


def worked(day: float, hours: float | None = None, key: str = "", visit: str | None = None) -> Worked:
    return Worked(key or f"work {day}", _at(day), _hours(hours), visit)


class TestFirstSighting:
    @pytest.mark.parametrize("status", [ACTIVE, PENDING])
    def test_active_or_pending_opens_the_first_episode(self, status):
        history = replay([seen(0, status, 100)])
        assert history.state is FaultState.ACTIVE
        assert history.status_now is status
        assert history.is_open
        assert len(history.episodes) == 1
        assert not history.episodes[0].beginning_unknown
        assert (history.episodes[0].closed_by, history.episodes[0].closed_at) == (None, None)
        assert history.episodes[0].opened_hours == 100

    @pytest.mark.parametrize("status", [STORED, PERMANENT])
    def test_stored_or_permanent_opens_it_with_its_beginning_unknown(self, status):
        history = replay([seen(0, status, 100)])
        assert history.state is FaultState.STORED
        assert history.status_now is status
        assert history.is_open
        assert history.episodes[0].beginning_unknown
        assert history.permanent_copy is (status is PERMANENT)

    def test_nothing_at_all_is_no_fault(self):
        history = replay([])
        assert history.state is FaultState.NONE
        assert not history.is_open
        assert history.episodes == ()
        assert history.returns == 0
        assert history.first_seen_at is None

    def test_absent_or_cleared_before_it_was_ever_seen_stays_nothing(self):
        history = replay([absent(0, 100), cleared(1, 101)])
        assert history.state is FaultState.NONE
        assert history.unused_keys == ("scan 0", "clear 1")
        assert history.cleared_at is None
        assert history.proven_to_at is None


class TestOpen:
    def test_active_seen_stored_is_stored_in_the_same_episode(self):
        history = replay([seen(0, ACTIVE, 100), seen(1, STORED, 101)])
        assert history.state is FaultState.STORED
        assert history.status_now is STORED
        assert len(history.episodes) == 1
        assert history.episodes[0].sightings == 2
        assert history.episodes[0].status_changes == 1
        assert history.last_seen_hours == 101

    def test_stored_seen_active_is_active_in_the_same_episode(self):
        history = replay([seen(0, STORED), seen(1, ACTIVE)])
        assert history.state is FaultState.ACTIVE
        assert len(history.episodes) == 1
        assert history.episodes[0].beginning_unknown

    def test_coming_and_going_is_one_intermittent_episode(self):
        history = replay([seen(0, ACTIVE), seen(1, STORED), seen(2, PENDING), seen(3, STORED)])
        assert history.state is FaultState.STORED
        assert history.episodes[0].status_changes == 3
        assert history.sightings == 4

    @pytest.mark.parametrize("first", [ACTIVE, STORED, PENDING])
    def test_permanent_only_keeps_the_status_and_flags_the_copy(self, first):
        history = replay([seen(0, first), seen(1, PERMANENT)])
        assert history.status_now is first
        assert history.state is (FaultState.STORED if first is STORED else FaultState.ACTIVE)
        assert history.permanent_copy
        assert (history.episodes[0].sightings, history.last_seen_at) == (1, _at(0))
        assert history.episodes[0].keys == ("scan 0", "scan 1")

    @pytest.mark.parametrize(
        ("then", "status", "sightings", "last"),
        [
            # nothing but the copy was ever listed: that is what is seen once more
            ([seen(5, PERMANENT, 150)], PERMANENT, 2, 150),
            # the copy first, then the code itself, then the copy alone: the code was last there in between
            ([seen(3, STORED, 120), seen(5, PERMANENT, 150)], STORED, 2, 120),
            ([seen(3, PERMANENT, 120), seen(5, ACTIVE, 150), seen(7, PERMANENT, 170)], ACTIVE, 3, 150),
            # a scan that lists both is one of the code
            ([seen(5, STORED, 150, key="both"), seen(5, PERMANENT, 150, key="both")], STORED, 2, 150),
        ],
    )
    def test_a_copy_that_was_listed_first_is_seen_until_the_code_itself_is(self, then, status, sightings, last):
        history = replay([seen(0, PERMANENT, 100), *then])
        assert history.state is (FaultState.ACTIVE if status is ACTIVE else FaultState.STORED)
        assert history.status_now is status
        assert (history.episodes[0].sightings, history.last_seen_hours) == (sightings, last)

    @pytest.mark.parametrize("status", [ACTIVE, STORED])
    def test_a_clear_ends_the_episode(self, status):
        history = replay([seen(0, status, 100), cleared(1, 102)])
        assert history.state is FaultState.CLEARED
        assert history.status_now is None
        assert not history.is_open
        episode = history.episodes[0]
        assert (episode.closed_by, episode.closed_hours, episode.closed_at) == ("clear", 102, _at(1))
        assert (history.cleared_hours, history.proven_to_hours) == (102, None)
        assert episode.keys == ("scan 0", "clear 1")

    @pytest.mark.parametrize("status", [ACTIVE, STORED])
    def test_an_absence_ends_it_with_no_clear_of_ours(self, status):
        history = replay([seen(0, status, 100), absent(1, 110)])
        assert history.state is FaultState.HISTORIC
        assert (history.episodes[0].closed_by, history.episodes[0].closed_hours) == ("absent", 110)
        assert not history.held
        assert history.cleared_at is None
        assert history.proven_to_hours == 110


class TestCleared:
    def test_absent_before_the_hold_is_holding_and_proven_to_that_hour(self):
        history = replay([seen(0, ACTIVE, 100), cleared(1, 100), absent(2, "149.9")])
        assert history.state is FaultState.CLEARED
        assert history.proven_to_hours == Decimal("149.9")
        assert not history.held

    @pytest.mark.parametrize("hours", [150, 151, 900])
    def test_absent_at_or_past_the_hold_is_historic(self, hours):
        history = replay([seen(0, ACTIVE, 100), cleared(1, 100), absent(2, hours)])
        assert history.state is FaultState.HISTORIC
        assert history.held
        assert history.episodes[0].closed_by == "clear"

    def test_the_shop_sets_the_hold(self):
        evidence = [seen(0, ACTIVE, 100), cleared(1, 100), absent(2, 120)]
        assert replay(evidence, hold=Hold(hours=Decimal(20))).state is FaultState.HISTORIC
        assert replay(evidence, hold=Hold(hours=Decimal("20.1"))).state is FaultState.CLEARED

    @pytest.mark.parametrize(("clear_hours", "absent_hours"), [(None, None), (100, None), (None, 900)])
    @pytest.mark.parametrize(("days", "state"), [(364.4, FaultState.CLEARED), (364.9, FaultState.HISTORIC)])
    def test_without_both_hours_a_year_counts(self, clear_hours, absent_hours, days, state):
        history = replay([seen(0, ACTIVE), cleared(1, clear_hours), absent(1 + days, absent_hours)])
        assert history.state is state

    def test_with_hours_known_a_year_alone_proves_nothing(self):
        history = replay([seen(0, ACTIVE, 100), cleared(1, 100), absent(800, 101)])
        assert history.state is FaultState.CLEARED

    def test_hours_that_run_backward_are_as_good_as_unknown(self):
        history = replay([seen(0, ACTIVE, 100), cleared(1, 100), absent(400, 90)])
        assert history.state is FaultState.HISTORIC

    def test_permanent_only_stays_cleared_and_is_flagged(self):
        history = replay([seen(0, ACTIVE), cleared(1), seen(2, PERMANENT)])
        assert history.state is FaultState.CLEARED
        assert history.permanent_copy
        assert len(history.episodes) == 1
        assert history.last_seen_at == _at(0)
        assert "scan 2" in history.episodes[0].keys

    def test_a_copy_that_is_all_that_was_ever_listed_is_not_ended_by_a_clear_that_leaves_it(self):
        history = replay([seen(0, PERMANENT, 100), cleared(1, 100), seen(2, PERMANENT, 110)])
        assert (history.state, history.status_now, history.sightings) == (FaultState.STORED, PERMANENT, 2)
        assert (history.cleared_at, history.last_seen_hours, history.returns) == (None, 110, 0)
        ended = replay(
            [seen(0, PERMANENT, 100), cleared(1, 100), seen(2, PERMANENT, 110), cleared(3, 111), absent(4, 120)]
        )
        assert (ended.state, ended.cleared_hours, ended.away) == (FaultState.CLEARED, 111, Length(Decimal(9), 1))

    def test_a_copy_that_is_all_that_was_ever_listed_returns_after_a_scan_without_it(self):
        history = replay([seen(0, PERMANENT, 100), cleared(1, 100), absent(2, 110), seen(3, PERMANENT, 120)])
        assert (history.state, history.status_now, history.returns) == (FaultState.RETURNED, PERMANENT, 1)

    def test_a_complete_scan_without_the_code_takes_the_flag_away(self):
        history = replay([seen(0, ACTIVE), cleared(1), seen(2, PERMANENT), absent(3)])
        assert not history.permanent_copy

    def test_a_second_clear_restarts_nothing(self):
        evidence = [seen(0, ACTIVE, 100), cleared(1, 100), cleared(2, 140)]
        assert replay([*evidence, absent(3, 149)]).state is FaultState.CLEARED
        history = replay([*evidence, absent(3, 150)])
        assert history.state is FaultState.HISTORIC
        assert history.episodes[0].closed_hours == 100
        assert history.cleared_hours == 100
        assert history.episodes[0].keys == ("scan 0", "clear 1", "clear 2", "scan 3")
        back = replay([*evidence, seen(4, ACTIVE, 150)])
        assert back.episodes[1].gap_hours == 50

    def test_a_clear_all_before_each_scan_of_400_hours_hides_none_of_them(self):
        evidence: list[Evidence] = [seen(0, ACTIVE, 100), cleared(1, 100)]
        for visit in range(1, 9):
            evidence += [cleared(30 * visit, 100 + 50 * visit), absent(30 * visit + 1, 100.5 + 50 * visit)]
        history = replay(evidence, hold=Hold(hours=Decimal(1000)))
        assert (history.state, history.away) == (FaultState.CLEARED, Length(Decimal("400.5"), 240))

    def test_up_to_where_it_is_shown_away_before_a_later_clear_may_have_hidden_a_return(self):
        evidence = [seen(0, ACTIVE, 100), cleared(1, 100), absent(2, 101), cleared(70, 170), absent(71, 175)]
        history = replay(evidence)
        (episode,) = history.episodes
        assert (episode.again_hours, episode.shown_hours, history.away) == (170, 101, Length(Decimal(75), 70))
        back = replay([*evidence, seen(80, ACTIVE, 180)])
        assert (back.episodes[1].gap_hours, back.episodes[1].gap_least_hours) == (80, 1)

    def test_a_scan_right_before_a_later_clear_leaves_nothing_to_hide(self):
        history = replay([seen(0, ACTIVE, 100), cleared(1, 100), absent(69, 170), cleared(70, 170), absent(71, 175)])
        assert history.episodes[0].again_at is None
        assert history.away == Length(Decimal(75), 70)

    @pytest.mark.parametrize(("minutes", "may_hide"), [(1, False), (60, False), (61, True)])
    def test_without_hours_a_scan_within_the_hour_is_right_before(self, minutes, may_hide):
        history = replay([seen(0, ACTIVE), cleared(1), absent(400), cleared(400 + minutes / 1440)])
        assert (history.episodes[0].again_at is not None) is may_hide


class TestWork:
    def test_what_is_found_gone_after_work_is_away_since_the_work(self):
        history = replay([seen(0, ACTIVE, 100), worked(1, 101), absent(60, 150)])
        assert history.state is FaultState.HISTORIC
        assert history.away == Length(Decimal(49), 59)
        assert not history.held
        episode = history.episodes[0]
        assert (episode.closed_by, episode.closed_hours, episode.since_hours) == ("absent", 150, 101)
        assert episode.after_work
        assert replay([seen(0, ACTIVE, 100), worked(1, 101), absent(60, 151)]).held
        back = replay([seen(0, ACTIVE, 100), worked(1, 101), absent(60, 150), seen(70, ACTIVE, 160)])
        assert back.episodes[1].gap_hours == 59

    def test_what_was_seen_after_the_work_was_not_ended_by_it(self):
        history = replay([seen(0, ACTIVE, 100), worked(1, 101), seen(2, STORED, 102), absent(60, 150)])
        assert (history.away, history.episodes[0].after_work) == (Length(Decimal(0), 0), False)

    def test_a_permanent_copy_does_not_tell_that_it_is_there(self):
        history = replay([seen(0, ACTIVE, 100), worked(1, 101), seen(2, PERMANENT, 102), absent(60, 150)])
        assert history.episodes[0].since_hours == 101

    def test_a_fault_that_went_after_work_is_followed_from_what_is_stored(self):
        """What was stored of it says when the work was: the hold, and what comes back, still count from there."""
        stored = settle([seen(0, ACTIVE, 100), worked(1, 101), absent(60, 150)])
        held, _ = go_on(*stored, [absent(61, 151)])
        assert (held.state, held.held, held.away) == (FaultState.HISTORIC, True, Length(Decimal(50), 60))
        back, _ = go_on(*stored, [seen(70, ACTIVE, 160)])
        assert (back.episodes[0].since_at, back.episodes[1].gap_hours) == (_at(1), 59)

    def test_a_clear_starts_the_clock_whatever_was_done_before_or_after(self):
        history = replay([seen(0, ACTIVE, 100), worked(1, 101), cleared(2, 110), worked(3, 120), absent(4, 130)])
        assert (history.state, history.away) == (FaultState.CLEARED, Length(Decimal(20), 2))

    def test_work_alone_changes_no_state(self):
        assert replay([worked(0, 1)]).state is FaultState.NONE
        assert replay([seen(0, ACTIVE, 100), worked(1, 101)]).state is FaultState.ACTIVE


class TestUnfinishedJob:
    def test_back_on_the_sea_trial_of_the_job_is_not_fixed_yet(self):
        history = replay(
            [seen(0, ACTIVE, 100, visit="j1"), cleared(1, 100, visit="j1"), seen(2, ACTIVE, 101, visit="j1")]
        )
        assert (history.state, history.returns, history.is_open) == (FaultState.NOT_FIXED_YET, 0, True)
        assert history.episodes[1].not_fixed_yet

    UNFIXED = (seen(0, ACTIVE, 100), cleared(1, 100, visit="j1"), seen(2, ACTIVE, 101, visit="j1"))

    @pytest.mark.parametrize(
        ("then", "state", "returns", "episodes"),
        [
            # the job is finished with the code still there, and it is seen later: it was never shown to be away
            ([seen(30, STORED, 130, visit="j2")], FaultState.NOT_FIXED_YET, 0, 2),
            ([seen(30, ACTIVE, 130)], FaultState.NOT_FIXED_YET, 0, 2),
            # worked on once more, but nobody cleared it or saw it gone: there is nothing to return from
            ([worked(3, 101, visit="j1"), seen(30, ACTIVE, 130, visit="j2")], FaultState.NOT_FIXED_YET, 0, 2),
            # a second repair on the same job that does not hold either
            ([cleared(3, 101, visit="j1"), seen(4, ACTIVE, 102, visit="j1")], FaultState.NOT_FIXED_YET, 0, 3),
            # the second repair ended it, the job was finished, and it is back on the next one
            ([cleared(3, 101, visit="j1"), seen(30, ACTIVE, 130, visit="j2")], FaultState.RETURNED, 1, 3),
            ([absent(3, 101, visit="j1"), seen(30, ACTIVE, 130)], FaultState.RETURNED, 1, 3),
            # and then not fixed on that one either: it had returned once, and now is not fixed yet
            (
                [
                    cleared(3, 101, visit="j1"),
                    seen(30, ACTIVE, 130, visit="j2"),
                    cleared(31, 130, visit="j2"),
                    seen(32, PENDING, 131, visit="j2"),
                ],
                FaultState.NOT_FIXED_YET,
                1,
                4,
            ),
            ([cleared(3, 101, visit="j1")], FaultState.CLEARED, 0, 2),
            ([absent(3, 101, visit="j1")], FaultState.HISTORIC, 0, 2),
            ([seen(3, PERMANENT, 101, visit="j1")], FaultState.NOT_FIXED_YET, 0, 2),
        ],
    )
    def test_what_follows_what_is_not_fixed_yet(self, then, state, returns, episodes):
        evidence = [*self.UNFIXED, *then]
        history = replay(evidence)
        assert (history.state, history.returns, len(history.episodes)) == (state, returns, episodes)
        assert replay(evidence[::-1]) == history

    def test_a_clear_that_arrives_late_makes_it_a_return(self):
        first, *rest = [*self.UNFIXED, seen(30, ACTIVE, 130, visit="j2")]
        late = cleared(3, 101, visit="j1")
        assert replay([first, *rest]).state is FaultState.NOT_FIXED_YET
        assert replay([first, *rest, late]).state is FaultState.RETURNED

    def test_also_after_a_scan_had_shown_it_gone(self):
        history = replay(
            [
                seen(0, ACTIVE, 100),
                cleared(1, 100, visit="j1"),
                absent(1.5, 100.5, visit="j1"),
                seen(2, ACTIVE, 101, visit="j1"),
            ]
        )
        assert history.returns == 0

    @pytest.mark.parametrize("visits", [("j1", "j2"), (None, None), ("j1", None), (None, "j1")])
    def test_on_another_job_or_none_it_has_returned(self, visits):
        ended, back = visits
        history = replay([seen(0, ACTIVE, 100), cleared(1, 100, visit=ended), seen(2, ACTIVE, 101, visit=back)])
        assert (history.returns, history.episodes[1].not_fixed_yet) == (1, False)


class TestHistoric:
    def test_absent_again_is_proven_further(self):
        history = replay([seen(0, ACTIVE, 100), cleared(1, 100), absent(2, 160), absent(3, 200)])
        assert history.state is FaultState.HISTORIC
        assert history.proven_to_hours == 200
        assert history.held

    def test_a_clear_changes_nothing(self):
        history = replay([seen(0, ACTIVE, 100), absent(1, 110), cleared(2, 111)])
        assert history.state is FaultState.HISTORIC
        assert history.episodes[0].closed_by == "absent"
        assert history.cleared_at is None
        assert history.unused_keys == ("clear 2",)

    def test_permanent_only_stays_historic_and_is_flagged(self):
        history = replay([seen(0, ACTIVE), absent(1), seen(2, PERMANENT)])
        assert history.state is FaultState.HISTORIC
        assert history.permanent_copy
        assert history.returns == 0


class TestReturned:
    @pytest.mark.parametrize("status", [ACTIVE, STORED, PENDING])
    @pytest.mark.parametrize("end", [cleared(1, 110), absent(1, 110)])
    def test_seen_after_its_end_is_a_new_episode_with_its_gap(self, status, end):
        history = replay([seen(0, ACTIVE, 100), end, seen(32.5, status, "194.5")])
        assert history.state is FaultState.RETURNED
        assert history.status_now is status
        assert history.is_open
        assert history.returns == 1
        episode = history.episodes[1]
        assert episode.number == 2
        assert (episode.gap_hours, episode.gap_days) == (Decimal("84.5"), 31)
        assert episode.opened_with is status
        assert episode.beginning_unknown is (status is STORED)
        assert history.proven_to_at is None

    def test_after_the_hold_was_met_it_returns_too_and_the_gap_counts_from_the_clear(self):
        history = replay([seen(0, ACTIVE, 100), cleared(1, 110), absent(50, 170), seen(60, ACTIVE, 200)])
        assert history.state is FaultState.RETURNED
        assert history.episodes[1].gap_hours == 90
        assert not history.held

    def test_the_gap_is_in_days_alone_where_hours_are_unknown(self):
        history = replay([seen(0, ACTIVE), cleared(1), seen(10, ACTIVE, 200)])
        assert (history.episodes[1].gap_hours, history.episodes[1].gap_days) == (None, 9)

    def test_stored_now_is_still_returned_in_the_same_episode(self):
        history = replay([seen(0, ACTIVE), cleared(1), seen(2, ACTIVE), seen(3, STORED)])
        assert history.state is FaultState.RETURNED
        assert history.status_now is STORED
        assert len(history.episodes) == 2
        assert history.episodes[1].status_changes == 1

    def test_permanent_only_keeps_the_status(self):
        history = replay([seen(0, ACTIVE), cleared(1), seen(2, PENDING), seen(3, PERMANENT)])
        assert (history.state, history.status_now, history.permanent_copy) == (FaultState.RETURNED, PENDING, True)

    def test_cleared_again(self):
        history = replay([seen(0, ACTIVE, 1), cleared(1, 2), seen(2, ACTIVE, 3), cleared(3, 4)])
        assert history.state is FaultState.CLEARED
        assert [episode.closed_hours for episode in history.episodes] == [2, 4]

    def test_gone_by_itself(self):
        history = replay([seen(0, ACTIVE), cleared(1), seen(2, ACTIVE), absent(3)])
        assert history.state is FaultState.HISTORIC
        assert [episode.closed_by for episode in history.episodes] == ["clear", "absent"]
        assert not history.held

    def test_three_returns_are_counted(self):
        evidence: list[Evidence] = []
        for round_ in range(4):
            evidence += [seen(10 * round_, ACTIVE), cleared(10 * round_ + 1)]
        history = replay(evidence)
        assert history.returns == 3
        assert [episode.number for episode in history.episodes] == [1, 2, 3, 4]


class TestOneInstant:
    def test_the_scan_comes_before_the_clear_and_the_proof_after_it(self):
        history = replay([cleared(0), absent(0, key="proof"), seen(0, ACTIVE, key="arrival")])
        assert history.state is FaultState.CLEARED
        assert history.episodes[0].keys == ("arrival", "clear 0", "proof")
        assert history.proven_to_at == _at(0)

    def test_an_absence_against_a_sighting_is_not_used(self):
        history = replay([absent(0, key="b"), seen(0, ACTIVE, key="a")])
        assert history.state is FaultState.ACTIVE
        assert history.proven_to_at is None

    def test_of_two_scans_the_stronger_status_stands(self):
        for keys in (("a", "b"), ("b", "a")):
            history = replay([seen(0, STORED, key=keys[0]), seen(0, ACTIVE, key=keys[1])])
            assert (history.state, history.sightings) == (FaultState.ACTIVE, 2)

    def test_one_scan_with_several_statuses_is_one_sighting(self):
        history = replay([seen(0, status, key="a") for status in (PERMANENT, STORED, PENDING)])
        assert (history.state, history.status_now, history.sightings) == (FaultState.ACTIVE, PENDING, 1)
        assert history.permanent_copy

    def test_the_same_instant_in_another_zone_is_the_same_instant(self):
        east = timezone(timedelta(hours=5))
        history = replay([Cleared("c", START.astimezone(east), None), seen(0, ACTIVE)])
        assert history.state is FaultState.CLEARED


def test_a_late_clear_is_put_where_it_happened():
    on_time = [seen(0, ACTIVE, 100), cleared(1, 101), seen(5, ACTIVE, 120)]
    assert replay([on_time[0], on_time[2], on_time[1]]) == replay(on_time)
    assert replay(on_time).state is FaultState.RETURNED


def test_a_time_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="zone"):
        replay([Seen("a", START.replace(tzinfo=None), None, ACTIVE)])


MOMENTS = st.integers(0, 6).map(lambda day: START + timedelta(days=100 * day))
HOURS = st.none() | st.integers(0, 120).map(Decimal)
KEYS = st.sampled_from("abcdef")
EVIDENCE = st.lists(
    st.builds(Seen, KEYS, MOMENTS, HOURS, st.sampled_from(CodeStatus))
    | st.builds(Absent, KEYS, MOMENTS, HOURS)
    | st.builds(Cleared, KEYS, MOMENTS, HOURS)
    | st.builds(Worked, KEYS, MOMENTS, HOURS),
    max_size=12,
)
# Each happening on a day of its own, with hours that grow where they are known, so that no rule for ties decides.
STORY = st.lists(
    st.tuples(
        st.integers(0, 200),
        st.booleans(),
        st.sampled_from([*CodeStatus, "absent", "absent", "clear", "clear", "work"]),
        st.sampled_from([None, "j1", "j2"]),
    ),
    max_size=14,
    unique_by=lambda happening: happening[0],
)


def _told(story) -> list[Evidence]:
    made: list[Evidence] = []
    for day, with_hours, what, visit in story:
        hours = float(day) if with_hours else None
        if what == "absent":
            made.append(absent(day, hours, visit=visit))
        elif what == "clear":
            made.append(cleared(day, hours, visit=visit))
        elif what == "work":
            made.append(worked(day, hours, visit=visit))
        else:
            made.append(seen(day, what, hours, visit=visit))
    return made


def _apart(start: Evidence, end: Evidence) -> tuple[Decimal | None, int]:
    hours = None if start.hours is None or end.hours is None else end.hours - start.hours
    return hours, (end.at - start.at).days


def _has_real(lines: list[Evidence], start: int, end: int) -> bool:
    """Whether more than the permanent copy was listed in these lines."""
    return any(isinstance(line, Seen) and line.status is not PERMANENT for line in lines[start:end])


def _end_by_hand(lines: list[Evidence], start: int) -> tuple[int | None, set[int]]:
    """The line that ends an episode. A clear ends nothing where the copy, all that was listed, is listed next.

    Also the lines in between, when it stood as cleared: work then was not about what was there by the record.
    """
    between: set[int] = set()

    def next_of(kinds: type | UnionType, after: int) -> int | None:
        return next((n for n in range(after + 1, len(lines)) if isinstance(lines[n], kinds)), None)

    end = next_of(Cleared | Absent, start)
    while end is not None and isinstance(lines[end], Cleared) and not _has_real(lines, start, end):
        told = next_of(Seen | Absent, end)
        if told is None or isinstance(lines[told], Absent) or _has_real(lines, told, told + 1):
            break
        between |= set(range(end, told))
        end = next_of(Cleared | Absent, told)
    return end, between


def _by_hand(evidence: list[Evidence]) -> dict[str, object]:
    """The state table read anew, without the program's words: each episode by its first and last lines."""
    lines = sorted(evidence, key=lambda line: line.at)
    real = [n for n, line in enumerate(lines) if isinstance(line, Seen) and line.status is not PERMANENT]
    first = next((n for n, line in enumerate(lines) if isinstance(line, Seen)), None)
    starts, ends = [], []
    cleared_then: set[int] = set()
    at = first
    while at is not None:
        starts.append(at)
        end, between = _end_by_hand(lines, at)
        cleared_then |= between
        if end is None:
            break
        ends.append(end)
        back = real if _has_real(lines, at, end) else [n for n, line in enumerate(lines) if isinstance(line, Seen)]
        at = next((n for n in back if n > end), None)
    clocks = []
    for start, end in zip(starts, ends, strict=False):
        last_seen = max([n for n in real if start <= n < end], default=start)
        works = [n for n in range(last_seen, end) if isinstance(lines[n], Worked) and n not in cleared_then]
        found_gone = isinstance(lines[end], Absent)
        clocks.append((lines[works[-1]] if found_gone and works else lines[end], not found_gone or bool(works)))
    is_open = len(starts) > len(ends)
    proofs = [] if is_open or not ends else [line for line in lines[ends[-1] :] if isinstance(line, Absent)]
    held = False
    for proof in proofs:
        hours, _ = _apart(clocks[-1][0], proof)
        enough = hours >= 50 if hours is not None else proof.at - clocks[-1][0].at >= timedelta(days=365)
        held = held or (clocks[-1][1] and enough)
    return {
        "episodes": len(starts),
        "open": is_open,
        "gaps": [_apart(clock, lines[start]) for (clock, _), start in zip(clocks, starts[1:], strict=False)],
        "away": _apart(clocks[-1][0], proofs[-1]) if proofs else None,
        "held": held,
        "not fixed yet": is_open
        and len(starts) > 1
        and lines[ends[-1]].visit is not None
        and lines[ends[-1]].visit == lines[starts[-1]].visit,
        "unfixed": [
            lines[end].visit is not None and lines[end].visit == lines[start].visit
            for end, start in zip(ends, starts[1:], strict=False)
        ],
    }


@given(STORY)
def test_a_reading_of_the_table_by_hand_says_the_same(story):
    evidence = _told(story)
    history = replay(evidence)
    assert _by_hand(evidence) == {
        "episodes": len(history.episodes),
        "open": history.is_open,
        "gaps": [(episode.gap_hours, episode.gap_days) for episode in history.episodes[1:]],
        "away": None if history.away is None else (history.away.hours, history.away.days),
        "held": history.held,
        "not fixed yet": history.state is FaultState.NOT_FIXED_YET,
        "unfixed": [episode.not_fixed_yet for episode in history.episodes[1:]],
    }


@given(STORY, st.lists(st.integers(1, 250), max_size=5, unique=True))
def test_clears_after_the_end_never_shorten_a_hold(story, days):
    evidence = _told(story)
    before = replay(evidence)
    if before.is_open or before.state is FaultState.NONE:
        return
    ended = before.episodes[-1].closed_at
    later = [cleared((ended - START).days + day, key=f"again {day}") for day in days]
    after = replay([*evidence, *later])
    assert (after.away, after.held, after.state) == (before.away, before.held, before.state)
    assert [episode.gap_hours for episode in after.episodes] == [episode.gap_hours for episode in before.episodes]


@given(EVIDENCE, st.randoms(use_true_random=False))
def test_any_order_of_arrival_gives_the_same_history(evidence, random):
    shuffled = list(evidence)
    random.shuffle(shuffled)
    assert replay(shuffled) == replay(evidence)


@given(EVIDENCE, st.data())
def test_evidence_sent_twice_changes_nothing(evidence, data):
    again = data.draw(st.lists(st.sampled_from(evidence), max_size=5)) if evidence else []
    assert replay([*evidence, *again]) == replay(evidence)


@given(EVIDENCE)
def test_what_holds_for_every_history(evidence):
    history = replay(evidence)
    opened = any(isinstance(item, Seen) for item in evidence)
    assert (history.state is FaultState.NONE) is not opened
    assert history.is_open is (history.status_now is not None)
    for episode in history.episodes[:-1]:
        assert episode.closed_at is not None
    if history.episodes:
        assert (history.episodes[-1].closed_at is None) is history.is_open
    for before, after in zip(history.episodes, history.episodes[1:], strict=False):
        assert before.closed_at is not None
        assert before.closed_at <= after.opened_at
        assert after.gap_days is not None
        assert after.gap_days >= 0
        assert after.gap_hours is None or after.gap_hours >= 0
    assert all(episode.sightings >= 1 for episode in history.episodes)
    assert not (history.held and history.state is not FaultState.HISTORIC)


def _cut(evidence: list[Evidence], at: datetime) -> tuple[list[Evidence], list[Evidence]]:
    """What happened by a time, and what after it; of one key with several times, the first decides as it does whole."""
    return [item for item in evidence if item.at <= at], [item for item in evidence if item.at > at]


def _one_time_a_key(evidence: list[Evidence]) -> list[Evidence]:
    """One entry happens at one time, whatever was said of it."""
    first: dict[tuple[type, str], datetime] = {}
    return [item for item in evidence if first.setdefault((type(item), item.key), item.at) == item.at]


@given(EVIDENCE)
def test_going_on_from_any_time_gives_the_whole_history(evidence):
    told = _one_time_a_key(evidence)
    whole = settle(told)
    for at in {item.at for item in told}:
        before, after = _cut(told, at)
        assert go_on(*settle(before), after) == whole


@given(STORY)
def test_going_on_one_by_one_gives_the_whole_history(story):
    told = _told(story)
    history, rest = settle([])
    for at in sorted({item.at for item in told}):
        history, rest = go_on(history, rest, [item for item in told if item.at == at])
    assert (history, rest) == settle(told)


@pytest.mark.parametrize("stated", [(ACTIVE, PENDING), (PENDING, STORED), (STORED, PERMANENT), (ACTIVE, PERMANENT)])
@pytest.mark.parametrize("turned", [False, True])
def test_of_several_statuses_in_one_scan_the_strongest_stands(stated, turned):
    listed = [seen(0, status, 100, key="scan") for status in stated]
    history = replay(listed[::-1] if turned else listed)
    assert history.status_now is stated[0]
    assert history.permanent_copy is (PERMANENT in stated)
    assert (history.sightings, history.episodes[0].status_changes) == (1, 0)


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("make", [cleared, absent])
def test_of_two_versions_of_one_happening_the_earlier_counts_then_the_one_with_fewer_hours(make, turned):
    def closed_hours(*versions: Evidence) -> Decimal | None:
        told = versions[::-1] if turned else versions
        return replay([seen(0, ACTIVE, 80), *told]).episodes[0].closed_hours

    assert closed_hours(make(1, 95, key="it"), make(1, 90, key="it")) == 90
    assert closed_hours(make(2, 85, key="it"), make(1, 90, key="it")) == 90
    assert closed_hours(make(1, None, key="it"), make(1, 90, key="it")) == 90


WEST = timezone(timedelta(hours=-5))
LATE, NEXT_MORNING = 0.75, 1.25
"""3 AM and 3 PM of May 2 in UTC; five hours west of it the evening of May 1 and the morning after."""


@pytest.mark.parametrize(("zone", "days"), [(None, 0), (WEST, 1)])
def test_days_are_those_of_the_shop_in_whatever_zone_the_evidence_is_given(zone, days):
    evidence = [seen(0, ACTIVE), cleared(LATE), seen(NEXT_MORNING, ACTIVE)]
    history = replay(evidence, hold=Hold(zone=zone))
    assert history.episodes[1].gap_days == days
    assert history.episodes[1].opened_at.utcoffset() == (zone or UTC).utcoffset(None)
    assert [one.opened_at for one in history.episodes] == [_at(0), _at(NEXT_MORNING)]


@pytest.mark.parametrize(("zone", "state"), [(None, FaultState.CLEARED), (WEST, FaultState.HISTORIC)])
def test_a_hold_of_one_day_is_over_on_the_shops_next_day(zone, state):
    """Also where the replay goes on from what was stored in another zone."""
    hold = Hold(days=1, zone=zone)
    assert replay([seen(0, ACTIVE), cleared(LATE), absent(NEXT_MORNING)], hold=hold).state is state
    first, rest = settle([seen(0, ACTIVE), cleared(LATE)])
    assert go_on(first, rest, [absent(NEXT_MORNING)], hold=hold)[0].state is state
