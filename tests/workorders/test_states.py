"""The table of moves: every pair of states, and what holds for all of it."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workorders.states import (
    FINISHING,
    LABELS,
    MOVES,
    NEEDS_REASON,
    OPEN,
    WAITING,
    JobState,
    may_move,
    move_words,
    needs_reason,
)

# Written out a second time, by hand, so that a slip in the table shows. One row a state, in the table's own order of
# states: estimate, authorized, in work, waiting for parts, customer, weather (t), sea trial, ready, closed (x),
# canceled (k).
LETTERS = dict(zip("eawpctsrxk", JobState, strict=True))
ALLOWED = {
    "e": "ack",
    "a": "ewpctk",
    "w": "epctsrk",
    "p": "wctk",
    "c": "eawptsk",
    "t": "wpcsk",
    "s": "wpctr",
    "r": "wsx",
    "x": "w",
    "k": "e",
}
states = st.sampled_from(list(JobState))


@pytest.mark.parametrize("start", LETTERS)
@pytest.mark.parametrize("end", LETTERS)
def test_every_pair_is_allowed_or_refused_as_written(start: str, end: str) -> None:
    assert may_move(LETTERS[start], LETTERS[end]) is (end in ALLOWED[start])


def test_every_state_has_a_row_and_a_label() -> None:
    assert set(MOVES) == set(LABELS) == set(JobState)


@given(states)
def test_no_state_moves_to_itself_or_to_one_twice(state: JobState) -> None:
    assert state not in MOVES[state]
    assert len(set(MOVES[state])) == len(MOVES[state])


@given(states)
def test_a_job_can_always_come_to_its_end(start: JobState) -> None:
    reached, edge = {start}, {start}
    while edge:
        edge = {end for state in edge for end in MOVES[state]} - reached
        reached |= edge
    assert JobState.CLOSED in reached


@given(states)
def test_every_state_is_reached_from_an_estimate(goal: JobState) -> None:
    reached, edge = {JobState.ESTIMATE}, {JobState.ESTIMATE}
    while edge:
        edge = {end for state in edge for end in MOVES[state]} - reached
        reached |= edge
    assert goal in reached


@given(st.lists(states, max_size=12))
def test_a_job_is_never_closed_without_having_been_ready(wanted: list[JobState]) -> None:
    state, been = JobState.ESTIMATE, [JobState.ESTIMATE]
    for end in wanted:
        if may_move(state, end):
            state = end
            been.append(state)
    for before, after in pairwise(been):
        if after is JobState.CLOSED:
            assert before is JobState.READY


@given(states, states)
def test_waiting_canceling_and_opening_again_want_a_reason(start: JobState, end: JobState) -> None:
    expected = end in {*WAITING, JobState.CANCELED} or start in {JobState.CLOSED, JobState.CANCELED}
    assert needs_reason(start, end) is expected


def test_open_states_are_all_but_the_two_ends() -> None:
    assert set(JobState) - OPEN == {JobState.CLOSED, JobState.CANCELED}
    assert NEEDS_REASON - {JobState.CANCELED} <= OPEN
    assert {JobState.READY, JobState.CLOSED} == FINISHING


@pytest.mark.parametrize("start", JobState)
def test_buttons_of_one_state_say_different_things(start: JobState) -> None:
    words = [move_words(start, end) for end in MOVES[start]]
    assert len(set(words)) == len(words)
    assert all(words)


def test_labels_are_what_people_call_the_states() -> None:
    assert " · ".join(LABELS[state] for state in JobState) == (
        "Estimate · Authorized · In work · Waiting for parts · Waiting for customer · Waiting for weather · "
        "Sea trial · Ready · Closed · Canceled"
    )
    assert " ".join(JobState) == (
        "estimate authorized in-work waiting-parts waiting-customer waiting-weather sea-trial ready closed canceled"
    )


@pytest.mark.parametrize(
    ("moves", "words"),
    [
        ("ea", "Authorize"), ("aw", "Start work"), ("rw", "Back to work"), ("sw", "Back to work"),
        ("pw", "Go on with the work"), ("cw", "Go on with the work"), ("tw", "Go on with the work"),
        ("ae", "Back to estimate"), ("we", "Back to estimate"), ("wp", "Wait for parts"),
        ("wc", "Wait for the customer"), ("wt", "Wait for weather"), ("ws", "Go to sea trial"),
        ("rs", "Go to sea trial"), ("wr", "Mark ready"), ("rx", "Close the job"), ("wk", "Cancel the job"),
        ("xw", "Open it again"), ("ke", "Open it again"),
    ],
)  # fmt: skip
def test_a_button_says_what_its_move_does(moves: str, words: str) -> None:
    start, end = (LETTERS[letter] for letter in moves)
    assert move_words(start, end) == words


@pytest.mark.parametrize("start", LETTERS)
def test_what_usually_comes_next_is_offered_first(start: str) -> None:
    first = {"e": "a", "a": "w", "w": "r", "p": "w", "c": "a", "t": "w", "s": "r", "r": "x", "x": "w", "k": "e"}
    assert MOVES[LETTERS[start]][0] is LETTERS[first[start]]
