"""The benchmark runs from beginning to end, on ground of its own, and says every figure."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from benchmarks import both_sizes, fleet, layout, money, money_filling, service_due
from benchmarks.both_sizes import Looked, row_of
from benchmarks.measuring import Measured, Samples
from benchmarks.pages import PAGES, hull_of_round
from benchmarks.run import Wanted, _table_of_pages
from shopfloor.database import ROOT


def test_both_sizes_hold_the_entries_asked_for_and_the_same_hulls() -> None:
    small, large = layout.layouts(10_000, 1_000_000)

    assert sum(large.entries_of(hull) for hull in range(large.hulls)) == 1_000_000
    assert sum(small.entries_of(hull) for hull in range(small.hulls)) == 10_000
    assert small.entries_of(0) == large.entries_of(0) == 5_000
    looked_at = {hull_of_round(number, large) for number in range(40)}
    assert looked_at == {hull_of_round(number, small) for number in range(40)}
    assert [small.entries_of(hull) for hull in looked_at] == [large.entries_of(hull) for hull in looked_at]


def test_what_is_told_apart_is_told_apart() -> None:
    hulls = range(10_000)
    customers = {layout.customer_of(hull) for hull in hulls}

    assert len({layout.hin(hull) for hull in hulls}) == len({layout.berth(hull) for hull in hulls}) == 10_000
    assert len({layout.phone(customer) for customer in customers}) == len(customers)
    assert len({layout.customer_name(customer) for customer in customers}) == len(customers)


def test_too_small_a_shop_is_refused() -> None:
    with pytest.raises(ValueError, match="30 hulls or more"):
        layout.layouts(10, 1_000)


def test_a_goal_that_is_missed_is_said_to_be_missed() -> None:
    small, large = layout.layouts(60, 4_000)
    bare = Samples([0.005], [0.005], {3}, size=1024)
    quick = Samples([0.010], [0.010], {7}, size=2048)
    slow = Samples([0.020], [0.020], {7, 9}, size=2048)

    (row,) = (
        line
        for line in _table_of_pages([Measured("fault page", "fault", quick, slow, bare)], small, large, Wanted())
        if line.startswith("| fault page")
    )

    assert row == (
        "| fault page | 20.0 | **4.00** missed | **4.00** missed | **2.00** missed | **2.00** missed | 7 / 7–9 | 2 |"
    )


def test_a_slower_answer_than_asked_for_is_said_to_be_missed() -> None:
    lines = fleet.table(fleet.Figures(0.4, 0.1, 0.8, 0.2, 1_000, 500, 40), 9)

    assert any("| 800 | **2.00** missed times as fast | at least 3 |" in line for line in lines)
    assert any("| 100 | **4.00** missed times its time |" in line for line in lines)


@pytest.mark.parametrize("jobs", [2, 20, 200, 600, 100_000])
def test_each_round_looks_at_a_job_that_has_ended_and_is_there_at_both_sizes(jobs: int) -> None:
    page = Looked("a job’s lines", "/jobs/{old}/lines/")
    there = min(both_sizes.OLD_JOBS, money.BENCH.old_jobs(jobs))
    numbers = [int(re.findall(r"\d+", both_sizes.address(page, number, there))[0]) for number in range(300)]
    assert 1001 <= min(numbers) <= max(numbers) <= 1000 + min(money_filling.ended_of(jobs), both_sizes.OLD_JOBS)


def test_what_is_asked_for_whole_is_held_against_no_page() -> None:
    bare, whole = Samples([0.01], [0.01], {3}, {4}, 2048), Samples([2.0], [1.5], {7}, {900}, 1_048_576)
    half = Samples([1.0], [0.75], {7}, {450}, 524_288)
    told = row_of(Measured("journal", "journal", half, whole, bare, both_sizes.WHOLE))
    assert told == "| journal | 1,500.0 |  | none set | 2.00 | 7 | 450 / 900 | 1,024 |"
    missed = row_of(Measured("board", "board", half, whole, bare, 6.0))
    assert missed == "| board | 1,500.0 | **150.00** missed | 6 | **2.00** missed | 7 | 450 / 900 | 1,024 |"


@pytest.mark.long
@pytest.mark.timeout(900)
def test_a_quick_run_says_every_figure_and_leaves_the_shop_alone(tmp_path: Path) -> None:
    environment = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    environment |= {"GARBOARD_VAR": str(tmp_path), "GARBOARD_SETTINGS": os.devnull}

    done = subprocess.run(
        [sys.executable, "-m", "benchmarks", "--quick"],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 0, done.stderr
    assert re.search(r"bench_small: filled in \d+ s and proven on a sample: .*1,000 log entries", done.stdout)
    assert re.search(r"bench_large: filled in \d+ s and proven on a sample: .*4,000 log entries", done.stdout)
    pages, _, of_money = done.stdout.partition("Jobs and money.")
    table = dict(re.findall(r"^\| ([^|]+) \| \d+\.\d \|(.*)\|$", pages, re.MULTILINE))
    assert set(table) == {page.label for page in PAGES} | {"the bare page itself"}
    for label, cells in table.items():
        *ratios, queries, size = (cell.strip() for cell in cells.split("|"))
        assert all(re.fullmatch(r"\d+\.\d\d|\*\*\d+\.\d\d\*\* missed", ratio) for ratio in ratios), (label, cells)
        assert len(ratios) == 4, (label, cells)
        assert re.fullmatch(r"\d+", queries), f"{label} asks another number of queries of each boat: {queries}"
        assert re.fullmatch(r"\d+", size), (label, cells)
    assert re.search(r"a signed report of 5 pages against WeasyPrint alone .*: .* wall, .* processor", done.stdout)
    assert re.search(r"peak memory of a web worker .* \| \d+ MB; \d+ MB after its first answer", done.stdout)
    assert re.search(r"Recurrence by code over 20,000 sightings and 5,000 episodes, 40 codes", done.stdout)
    assert re.search(r"pandas, reading the tables and grouping \| \d+ \| (\d+\.\d\d|\*\*.*missed) times", done.stdout)
    for bench, said in zip((money.BENCH, service_due.BENCH), of_money.split("Service due. Large"), strict=True):
        looked_at = dict(re.findall(r"^\| ([^|]+) \| [\d,]+\.\d \|(.*)\|$", said, re.MULTILINE))
        assert set(looked_at) == {page.label for page in bench.pages} | {"the bare page itself"}
    assert {path.name for path in tmp_path.iterdir()} == {"bench", "secret_key"}
