"""What the benchmark says: tables of 100 characters at most, and what is to be said below them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import exp, log
from statistics import median
from textwrap import wrap

from tests.benchmarks.families import Family, Kind
from tests.benchmarks.processes import Measured
from tests.benchmarks.runs import OURS, STRAYS, Run

GOALS = (
    ("single-6x4", 0.1),
    ("single-12x6", 0.1),
    ("single-30x8", 0.1),
    ("weighed-12x26", 1.0),
    ("crew-4x3-12x6", 1.0),
    ("crew-6x3-16x8", 3.0),
)
"""Seconds in which a family's plans are to be found."""
BEST_PART = 0.5
"""Of the best single alternative's time: ours is to be at most this much, as a geometric mean over the families."""


@dataclass(frozen=True)
class Instance:
    """One question, and what every engine made of it."""

    family: Family
    kind: Kind
    seed: int
    building: float
    """seconds for the rows in PuLP, which every run has in it"""
    runs: tuple[Run, ...]
    disagreements: tuple[str, ...]


@dataclass(frozen=True)
class Times:
    """Of one engine over the questions of one family. [s]"""

    median: float
    greatest: float
    cores: float
    """median of the seconds of a core"""
    proved: int
    asked: int


def times(instances: Sequence[Instance], family: str, engine: str) -> Times | None:
    """An engine's times for a family; none where it was not asked."""
    runs = [run for one in instances if one.family.name == family for run in one.runs if run.engine == engine]
    if not runs:
        return None
    spent = [run.seconds for run in runs]
    return Times(
        median(spent), max(spent), median(run.cores for run in runs), sum(run.proved for run in runs), len(runs)
    )


def by_family(instances: Sequence[Instance], engines: Sequence[str]) -> Iterator[str]:
    """A row for each family and engine: median, greatest, share proved, and our median beside its."""
    heads = f"{'median s':>10}{'greatest s':>12}{'core s':>10}{'proved':>9}{'%':>5}{'ours / it':>11}"
    yield f"{'family':16}{'engine':12}{heads}"
    for family in _families(instances):
        found = {engine: times(instances, family, engine) for engine in engines}
        ours, best = found.get(OURS), _best(found)
        for number, (engine, here) in enumerate(found.items()):
            if here is None:
                continue
            ratio = f"{ours.median / here.median:.2f}" if ours and engine != OURS else ""
            share = f"{here.proved}/{here.asked}"
            yield (
                f"{'' if number else family:16}{engine:12}{here.median:10.3f}{here.greatest:12.3f}{here.cores:10.3f}"
                f"{share:>9}{100 * here.proved / here.asked:5.0f}{ratio:>11}{'  best other' if engine == best else ''}"
            )
        building = median(one.building for one in instances if one.family.name == family)
        yield f"{'':16}{'(the rows alone, in each of them)':40}{building:.3f} s"


def over_families(instances: Sequence[Instance], engines: Sequence[str]) -> Iterator[str]:
    """Geometric means of the medians, and ours beside the best alternative's."""
    families = _families(instances)
    means: dict[str, float] = {}
    for engine in engines:
        found = [here.median for family in families if (here := times(instances, family, engine))]
        means[engine] = _geometric(found)
        yield f"{engine:16}{means[engine]:10.3f} s"
    others = {engine: mean for engine, mean in means.items() if engine != OURS}
    if OURS not in means or not others:
        return
    single = min(others, key=lambda engine: others[engine])
    ratio = means[OURS] / means[single]
    met = "met" if ratio <= BEST_PART else "missed"
    yield f"ours / {single}, the best single alternative: {ratio:.2f}  (goal: at most {BEST_PART:g}, {met})"
    each = []
    for family in families:
        found_here = {engine: times(instances, family, engine) for engine in engines}
        best, ours = found_here[_best(found_here) or OURS], found_here[OURS]
        if best and ours:
            each.append(ours.median / best.median)
    yield f"ours / the best alternative of each family by itself: {_geometric(each):.2f}"


def goals(instances: Sequence[Instance]) -> Iterator[str]:
    """The goals in seconds, with what came out."""
    for family, most in GOALS:
        if here := times(instances, family, OURS):
            met = "met" if here.median <= most else f"missed by {here.median / most:.1f} times"
            always = "always met" if here.greatest <= most else f"greatest {here.greatest / most:.1f} times the goal"
            yield f"{family:16}median {here.median:7.3f} s, goal {most:g} s: {met}; {always}"
    mine = [(one, run) for one in instances for run in one.runs if run.engine == OURS]
    open_ones = [f"{one.family.name} {one.kind} {one.seed}" for one, run in mine if not run.proved]
    yield f"not proved in the time: {len(open_ones)} of {len(mine)}"
    yield from (f"    {name}" for name in open_ones)


def doubts(instances: Sequence[Instance]) -> Iterator[str]:
    """Where engines contradict each other, or an answer breaks a row; and whether unreachable targets are that."""
    found = [
        f"{one.family.name}, {one.kind}, seed {one.seed}: {said}" for one in instances for said in one.disagreements
    ]
    compared = sum(len(one.runs) > 1 for one in instances)
    yield f"engines compared on {compared} questions; disagreements: {len(found)}"
    yield from (line for said in found for line in wrap(said, 96, initial_indent="    ", subsequent_indent="        "))
    wishes = [wish for one in instances for run in one.runs if run.engine != OURS for wish in run.wishes]
    strayed = sum(wish.answered and wish.strays > STRAYS for wish in wishes)
    yield f"not compared, being over an earlier hold by rounding: {strayed} of {len(wishes)} wishes of the others"
    far = [run for one in instances if one.kind == "unreachable" for run in one.runs if run.wishes]
    if far:
        short = sum(run.wishes[0].value > run.wishes[0].resolution for run in far)
        yield f"unreachable targets are out of reach in {short} of {len(far)} answers"


def of_processes(found: dict[str, Measured]) -> Iterator[str]:
    """Whole processes: seconds and peak memory."""
    yield f"{'whole process':40}{'median s':>10}{'greatest s':>12}{'peak MB':>10}"
    for name, here in found.items():
        yield f"{name:40}{here['median']:10.3f}{here['greatest']:12.3f}{here['peak']:10.0f}"


def _families(instances: Sequence[Instance]) -> list[str]:
    return list(dict.fromkeys(one.family.name for one in instances))


def _best(found: dict[str, Times | None]) -> str | None:
    """The alternative with the least median."""
    others = {engine: here.median for engine, here in found.items() if here and engine != OURS}
    return min(others, key=lambda engine: others[engine]) if others else None


def _geometric(values: Sequence[float]) -> float:
    return exp(sum(map(log, values)) / len(values)) if values else float("nan")
