"""Change each module in small ways and see that its tests notice: ``make mutation``.

    python -m tests.mutation [--most N] [--seed N] [--maker PYTHON] [MODULE …]

Where a module has more mutants than ``--most``, that many are drawn by the seed. Prints each survivor, and a table with
the share that was killed; a mutant that never comes to an end counts as killed. Ends with 1 where a module is below
``LEAST`` percent.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from collections import Counter
from pathlib import Path

from tests.mutation.forks import ENDLESS, KILLED, SURVIVED, Subject, begin, judge, load_libraries
from tests.mutation.subjects import LEAST, SUBJECTS


def mutants(subject: Subject, most: int, seed: int, maker: str) -> tuple[int, list[dict[str, str]]]:
    """How many mutants there are, and those to be judged."""
    command = [maker, "tests/mutation/mutants.py", subject.path, str(most), str(seed)]
    first, *rest = subprocess.run(command, check=True, capture_output=True, text=True).stdout.splitlines()
    return int(first), [json.loads(line) for line in rest]


def share_killed(subject: Subject, most: int, seed: int, maker: str) -> float:
    """Judge the mutants of a module, say which survive, and answer with the percentage killed."""
    there, drawn = mutants(subject, most, seed, maker)
    needed = begin(subject)
    seconds = int(needed * 5) + 20
    found: Counter[str] = Counter()
    for mutant in drawn:
        verdict = judge(subject, mutant["source"], seconds=seconds)
        found[verdict] += 1
        if verdict == SURVIVED:
            print(f"  {subject.path}:{mutant['line']}  {mutant['was']}  →  {mutant['is']}", flush=True)
    if judge(subject, Path(subject.path).read_text(), seconds=seconds) != SURVIVED:
        raise RuntimeError(f"The tests of {subject.path} fail as it is by now: none of this counts.")
    killed = found[KILLED] + found[ENDLESS]
    share = 100 * killed / len(drawn)
    print(f"{subject.path}: {killed} of {len(drawn)} killed, {share:.0f} % ({len(drawn)} of {there} drawn)", flush=True)
    return share


def main() -> int:
    """Run over the modules named, or over all."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation")
    parser.add_argument("modules", nargs="*", metavar="MODULE")
    parser.add_argument("--most", type=int, default=60, help="mutants of a module, drawn by the seed where it has more")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--maker", default="var/mutation/bin/python", help="the Python that has mutmut")
    told = parser.parse_args()
    wanted = [one for one in SUBJECTS if not told.modules or one.path in told.modules]
    if missing := set(told.modules) - {one.path for one in wanted}:
        parser.error(f"not among the modules in tests/mutation/subjects.py: {', '.join(sorted(missing))}")
    load_libraries()
    shares = [share_killed(one, told.most, told.seed, told.maker) for one in wanted]
    return 0 if min(shares) >= LEAST else 1


if __name__ == "__main__":
    sys.exit(main())
