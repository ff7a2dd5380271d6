"""CSV for a spreadsheet: the plates of a plan, the readings of a visit with their figures, or a line for each visit.

Numbers are rounded as on the sheet, and the head of a column says their unit. In a file of readings, whatever is none
stands below a head or in a line that begins with "#": a weigh-in may name the file as it is.
"""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from statistics import fmean

from ballast.corners import CORNERS
from ballast.records.history import History
from ballast.records.plan import Answer
from ballast.records.question import Question
from ballast.records.weighed import CaseLoads, Repeat, Weighed
from ballast.showing.rounding import Rounding, rounding

NUMBER = re.compile(r"-?\d+(\.\d+)?")


def plates_as_csv(answer: Answer, decimal_comma: bool = False) -> str:
    """A line for each kind of plate on each mount: how many stand there when the work is done, and how many now."""
    show, plan = rounding(answer.question), answer.plan
    mass = {plate.name: plate.mass for plate in answer.question.car.plates}
    counts = {(row.mount, row.driver, row.plate): (row.count, row.count) for row in plan.fit}
    counts |= {(row.mount, row.driver, row.plate): (row.after, row.before) for row in plan.changes}
    kg = show.units.name("mass")
    rows = [
        (
            *(mount.name, driver or "", plate, str(after), str(before)),
            *(show.as_written(each, "mass", unit=False) for each in (mass[plate], after * mass[plate])),
        )
        for mount in answer.question.car.mounts
        for (where, driver, plate), (after, before) in counts.items()
        if where == mount.name
    ]
    head = ("mount", "driver", "plate", "count", "count now", f"one plate [{kg}]", f"together [{kg}]")
    return _written([head, *rows], 3, decimal_comma)


def readings_as_csv(question: Question, weighed: Weighed, decimal_comma: bool = False) -> str:
    """A line for each settling with its figures, then one for their mean."""
    show, as_read = rounding(question), question.weigh_in.as_read()
    first = len(as_read) - len(question.weigh_in.turned)
    names = [str(n + 1) if n < first else f"# turned {n + 1 - first}" for n in range(len(as_read))]
    mean = tuple(map(fmean, zip(*as_read, strict=True)))
    rows = []
    for name, loads, case in zip(
        (*names, "# mean"), (*as_read, mean), (*weighed.settlings, weighed.measured), strict=True
    ):
        shown = [show.mass(load, unit=False) for load in loads]
        if weighed.corrected:
            shown += _loads(case, show)
        rows.append((name, *shown, *_figures(case, weighed.repeat, show)))
    kg = show.units.name("mass")
    heads = [f"{corner} [{kg}]" for corner in CORNERS]
    heads += [f"# {corner} corrected [{kg}]" for corner in CORNERS] * bool(weighed.corrected)
    return _written([("# settling", *heads, *(f"# {head}" for head in _heads(show))), *rows], 1, decimal_comma)


def visits_as_csv(visits: Sequence[Question], found: History, decimal_comma: bool = False) -> str:
    """A line for each visit, oldest first: the mean of its settlings."""
    show = max((rounding(question) for question in visits), key=lambda each: each.mass_decimals)
    repeat = Repeat(
        settlings=found.repeat.settlings,
        assumed=False,
        factor=found.repeat.factor,
        total=found.repeat.total,
        front_percent=found.repeat.front_percent,
        left_percent=found.repeat.left_percent,
        diagonal_percent=found.repeat.diagonal_percent,
        rear_pair=found.repeat.rear_pair,
    )
    rows = [
        (
            *(visit.visit.date.isoformat(), visit.visit.seated or visit.visit.driver or "", visit.visit.note),
            *(str(visit.settlings), *_loads(visit.measured, show), *_figures(visit.measured, repeat, show)),
        )
        for visit in found.visits
    ]
    corners = [f"{corner} [{show.units.name('mass')}]" for corner in CORNERS]
    return _written([("date", "driver", "note", "settlings", *corners, *_heads(show)), *rows], 3, decimal_comma)


def _heads(show: Rounding) -> list[str]:
    kg, mm = show.units.name("mass"), show.units.name("length")
    shares = [f"{name} [%]" for name in ("front", "rear", "left", "RF+LR", "LF+RR")]
    places = [f"centre of gravity {where} [{mm}]" for where in ("behind front axle", "left of centre")]
    return [f"total [{kg}]", *shares, f"rear pair LR less RR [{kg}]", *places]


def _loads(case: CaseLoads, show: Rounding) -> list[str]:
    return [show.mass(getattr(case.corner_loads, corner), unit=False) for corner in CORNERS]


def _figures(case: CaseLoads, repeat: Repeat, show: Rounding) -> list[str]:
    both, centre = case.diagonal_percent, case.centre_of_gravity
    shares = (
        (case.front_percent, repeat.front_percent),
        (case.rear_percent, repeat.front_percent),
        (case.left_percent, repeat.left_percent),
        (both.rf_lr, repeat.diagonal_percent),
        (both.lf_rr, repeat.diagonal_percent),
    )
    return [
        show.mass(case.total, unit=False),
        *(show.percent(share, uncertainty, unit=False) for share, uncertainty in shares),
        show.mass(case.rear_pair, unit=False),
        show.length(centre.behind_front_axle, unit=False),
        show.length(centre.left_of_centre, unit=False),
    ]


def _written(rows: Iterable[Sequence[str]], texts: int, decimal_comma: bool) -> str:
    """CSV with commas and points, or with semicolons and decimal commas. texts : columns at the left that are text.

    A byte order mark in front tells spreadsheets of UTF-8, where there is more than ASCII.
    """
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, delimiter=";" if decimal_comma else ",")
    for row in rows:
        numbers = (cell.replace(".", ",") if decimal_comma and NUMBER.fullmatch(cell) else cell for cell in row[texts:])
        writer.writerow([*row[:texts], *numbers])
    text = stream.getvalue()
    return text if text.isascii() else f"\ufeff{text}"
