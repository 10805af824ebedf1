"""The numbers at the top of a report."""

from __future__ import annotations

from dataclasses import replace

import pytest

from findings.reports.page_one import figures_of
from tests.findings.reports import sample


def returned(findings) -> str:
    return next(figure.value for figure in figures_of(findings) if figure.label == "returned, of those open")


@pytest.mark.parametrize(("not_fixed_yet", "counted"), [(False, 1), (True, 0)])
def test_what_is_back_on_the_job_that_was_to_mend_it_is_not_counted_as_returned(not_fixed_yet, counted):
    findings = sample.record().findings
    others = [one for one in findings.faults if one.state != "returned"]
    back = next(one for one in findings.faults if one.state == "returned")
    last = replace(back.episodes[-1], not_fixed_yet=not_fixed_yet)
    state = "not fixed yet" if not_fixed_yet else "returned"
    back = replace(back, state=state, unit=findings.scans[0].unit, episodes=(*back.episodes[:-1], last))
    assert returned(replace(findings, faults=(*others, back))) == str(counted)
