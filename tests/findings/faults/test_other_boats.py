"""A pasted text that names another boat of the shop says so before it is logged; the table was judged first."""

from __future__ import annotations

import pytest

from findings.faults.models import Scan
from findings.faults.other_boats import other_boats_said
from vessels.models import Vessel

SAID = "“{}” stands in the text: that is the name of another boat in the records."
OF_THIS = " This job is for Second Wind: make sure that the codes are from that boat."


@pytest.fixture
def others(cast):
    """Other boats, some with names that texts have anyway."""
    names = ["Sea Note", "Sea Note II", "Heron", "O'Brien's Folly", "Active", "Port Engine", "Wind", "Lot", "Örn"]
    boats = [
        Vessel.objects.create(name=name, kind="inboard", maker="Tidewright", model="28", owner=cast.customer)
        for name in names
    ]
    Vessel.objects.filter(pk=boats[2].pk).update(hin="GBD54321B626")
    return boats


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("P0118 active on Sea Note", SAID.format("Sea Note") + OF_THIS),
        ("Boat: SEA NOTE\nP0118 active", SAID.format("SEA NOTE") + OF_THIS),
        ("sea note: P0118", SAID.format("sea note") + OF_THIS),
        ("(Sea Note), P0118", SAID.format("Sea Note") + OF_THIS),
        ("Sea Note II P0118", SAID.format("Sea Note II") + OF_THIS),
        ("Heron's codes", ""),
        ("Heron: P0118\nSea Note: P0113", f"{SAID.format('Sea Note')} {SAID.format('Heron')}{OF_THIS}"),
        ("vessel\tO'Brien's Folly\nP0118\tactive", SAID.format("O'Brien's Folly") + OF_THIS),
        (
            "HIN GBD54321B626 P0118",
            "“GBD54321B626” stands in the text: that is the HIN of another boat in the records, Heron." + OF_THIS,
        ),
        ("Örn P0118", SAID.format("Örn") + OF_THIS),
        ("Second Wind, as on Sea Note: P0118 active", ""),
        ("second  wind beside Sea Note: P0118", ""),
        ("hull GBD12345A525, mail of Sea Note", ""),
        ("P0118 Active", ""),
        ("Port Engine\nP0118 active", ""),
        ("no sea, note: P0118", ""),
        ("a lot of P0118", ""),
        ("the heron flew off, P0118", ""),
        ("Second Wind P0118", ""),
        ("P0118 active", ""),
        ("", ""),
    ],
)
def test_another_boat_in_the_text_is_told_and_nothing_else(cast, others, text, said):
    assert other_boats_said(text, cast.vessel) == said


def test_the_name_of_this_boat_is_looked_for_in_the_whole_text(cast, others):
    far = "\n".join(["P0118 active"] * 5000)
    assert other_boats_said(f"Sea Note\n{far}\nSecond Wind", cast.vessel) == ""
    assert other_boats_said(f"Sea Note\n{far}", cast.vessel).startswith("“Sea Note”")


def test_a_boat_whose_name_is_part_of_the_others_is_not_taken_for_named(cast, others):
    assert other_boats_said("Sea Note II P0118", others[0]) == (
        SAID.format("Sea Note II") + " This job is for Sea Note: make sure that the codes are from that boat."
    )


def test_a_boat_without_a_name_is_called_by_its_make(cast, others):
    nameless = Vessel.objects.create(kind="inboard", maker="Tidewright", model="28", owner=cast.customer)
    assert other_boats_said("Heron P0118", nameless).endswith(
        " This job is for Tidewright 28: make sure that the codes are from that boat."
    )


def test_boats_are_found_in_one_question_however_long_the_text(cast, others, django_assert_num_queries):
    with django_assert_num_queries(1):
        other_boats_said("Heron Sea Note P0118 active and more words here\n" * 4000, cast.vessel)


def test_the_preview_shows_it_and_writes_nothing(tech, job, cast, others):
    sent = {"phase": "arrival", "hours": "", "text": "", "unit": cast.port_unit.pk, "do": "read"}
    page = tech.post(f"/jobs/{job.number}/paste/", {**sent, "pasted": "P0118 active on Sea Note"})
    assert "Another boat stands in the text" in page.content.decode()
    assert SAID.format("Sea Note") + OF_THIS in page.content.decode()
    assert not Scan.objects.exists()
    page = tech.post(f"/jobs/{job.number}/paste/", {**sent, "pasted": "P0118 active"})
    assert "Another boat" not in page.content.decode()
