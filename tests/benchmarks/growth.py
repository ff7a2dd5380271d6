"""How the cost of a plan grows with each thing that can be counted, as a table for DEVELOPERS.md."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from statistics import median

from ballast.planning.task import task
from tests.benchmarks.families import Family, question
from tests.benchmarks.runs import ours

SINGLE, CREW = Family(12, 6), Family(12, 6, 4, 3)
COMMAND = "python -m tests.benchmarks --growth"
STEPS: tuple[tuple[str, tuple[Family, ...]], ...] = (
    ("mounts, 6 kinds of plate", tuple(replace(SINGLE, mounts=m) for m in (6, 12, 24, 48, 96))),
    ("kinds of plate, 12 mounts", tuple(replace(SINGLE, kinds=k) for k in (2, 4, 6, 8, 12, 16))),
    ("drivers, 3 fuel states, 12 x 6", tuple(replace(CREW, drivers=d) for d in (1, 2, 3, 4, 5, 6))),
    ("fuel states, 4 drivers, 12 x 6", tuple(replace(CREW, points=p) for p in (1, 2, 3))),
)
OF: tuple[Callable[[Family], int], ...] = (
    lambda family: family.mounts,
    lambda family: family.kinds,
    lambda family: family.drivers,
    lambda family: family.points,
)


def growth(seeds: int, seconds: float, tell: Callable[[str], None]) -> Iterator[str]:
    """Lines of Markdown: for each thing that grows, how many there are, and our times over some seeds."""
    yield f"`{COMMAND} --seeds {seeds} --seconds {seconds:g}` (reachable targets):"
    yield ""
    yield "| what grows | how many | median s | greatest s | proved |"
    yield "|---|---|---|---|---|"
    for (what, families), count in zip(STEPS, OF, strict=True):
        for family in families:
            spent, proved = _times(family, range(1, seeds + 1), seconds)
            tell(f"{what}: {count(family)}, median {median(spent):.3f} s")
            yield f"| {what} | {count(family)} | {median(spent):.2f} | {max(spent):.2f} | {proved}/{seeds} |"


def _times(family: Family, seeds: Sequence[int], seconds: float) -> tuple[list[float], int]:
    runs = [ours(task(question(family, "reachable", seed, seconds))) for seed in seeds]
    return [run.seconds for run in runs], sum(run.proved for run in runs)
