"""CSV for a spreadsheet: numbers by hand, units in the heads, and readings that a weigh-in can name again."""

import csv
import io
from pathlib import Path

import pytest

from ballast.jobs.history import history
from ballast.jobs.weigh import weigh
from ballast.records.files import read_answer, read_question, read_visits, read_weigh_in
from ballast.showing.spreadsheet import plates_as_csv, readings_as_csv, visits_as_csv

ROOT = Path(__file__).parents[2]
PLANS = ROOT / "tests" / "golden" / "plans"
COUPE, SALOON, OVAL = (ROOT / "examples" / name for name in ("beam-axle-coupe", "circuit-saloon", "short-oval"))


def rows(text: str, separator: str = ",") -> list[dict[str, str]]:
    """The lines of a CSV text by their heads."""
    return list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline=""), delimiter=separator))


@pytest.mark.parametrize("name", ["circuit-saloon", "short-oval", "two-drivers", "endurance-four"])
def test_the_plates_of_a_plan(name: str) -> None:
    """Every plate of the plan on its mount, and what comes off: counts as in the plan, masses count times one plate."""
    answer = read_answer(PLANS / f"{name}.json")
    units = answer.question.car.units.units()
    shown = rows(plates_as_csv(answer))
    assert {(row["mount"], row["plate"], row["driver"]): int(row["count"]) for row in shown if row["count"] != "0"} == {
        (row.mount, row.plate, row.driver or ""): row.count for row in answer.plan.fit
    }
    changed = {(row["mount"], row["plate"]) for row in shown if row["count"] != row["count now"]}
    assert changed == {(row.mount, row.plate) for row in answer.plan.changes}
    unit = units.name("mass")
    for row in shown:
        total = int(row["count"]) * float(row[f"one plate [{unit}]"])
        assert float(row[f"together [{unit}]"]) == pytest.approx(total)


def test_the_plates_of_the_example_line_by_line() -> None:
    """By hand, from the saved plan: heads with units, one line for each kind on each mount in the order of the car."""
    text = plates_as_csv(read_answer(PLANS / "circuit-saloon.json"))
    lines = text.splitlines()
    assert lines[0] == "mount,driver,plate,count,count now,one plate [kg],together [kg]"
    assert "seat rail left,,5 kg,2,0,5.02,10.04" in lines


def test_readings_with_their_figures() -> None:
    """By hand, from the first settling of the saloon: what the pads showed, their sum, and shares of it."""
    question = read_question(SALOON / "car.toml", SALOON / "weigh-in.toml")
    first, *_, mean = rows(readings_as_csv(question, weigh(question)))
    reading = question.weigh_in.readings[0]
    loads = {corner: getattr(reading, corner) for corner in ("LF", "RF", "LR", "RR")}
    total = sum(loads.values())
    assert {corner: float(first[f"{corner} [kg]"]) for corner in loads} == pytest.approx(loads)
    assert float(first["# total [kg]"]) == pytest.approx(total, abs=0.051)
    assert float(first["# front [%]"]) == pytest.approx(100 * (loads["LF"] + loads["RF"]) / total, abs=0.0051)
    assert float(first["# left [%]"]) == pytest.approx(100 * (loads["LF"] + loads["LR"]) / total, abs=0.0051)
    assert float(first["# RF+LR [%]"]) == pytest.approx(100 * (loads["RF"] + loads["LR"]) / total, abs=0.051)
    assert mean["# settling"] == "# mean"
    assert float(mean["# total [kg]"]) == pytest.approx(3180.4 / 3, abs=0.051)


@pytest.mark.parametrize("decimal_comma", [False, True])
@pytest.mark.parametrize("folder", [SALOON, OVAL, COUPE], ids=lambda folder: folder.name)
def test_readings_come_back_as_they_went_out(folder: Path, decimal_comma: bool, tmp_path: Path) -> None:
    """The file of readings, named in a weigh-in, gives the readings it was written from, without mean or figures."""
    question = read_question(folder / "car.toml", folder / "weigh-in.toml")
    text = readings_as_csv(question, weigh(question), decimal_comma)
    assert (";" in text) == decimal_comma
    (tmp_path / "readings.csv").write_text(text, encoding="utf-8", newline="")
    path, units = tmp_path / "weigh-in.toml", question.weigh_in.units
    path.write_text(
        f'[units]\nmass = "{units.mass}"\nlength = "{units.length}"\n\n[weigh_in]\ndate = 2026-05-02\n\n'
        '[readings]\nfile = "readings.csv"\n',
        encoding="utf-8",
    )
    again = read_weigh_in(path).readings
    assert len(again) == len(question.weigh_in.readings)
    for read, given in zip(again, question.weigh_in.readings, strict=True):
        assert read.in_order() == pytest.approx(given.in_order())


def test_corrected_readings_keep_what_the_pads_showed() -> None:
    """Pads that were proved: as read in the columns of the readings, corrected beside them, turned ones as remarks."""
    question = read_question(COUPE / "car.toml", COUPE / "weigh-in-pads.toml")
    weighed = weigh(question)
    shown = rows(readings_as_csv(question, weighed))
    as_read = question.weigh_in.as_read()
    assert [float(row["LF [kg]"]) for row in shown[:-1]] == pytest.approx([loads[0] for loads in as_read], abs=0.051)
    assert float(shown[-1]["# RF corrected [kg]"]) == pytest.approx(weighed.measured.corner_loads.RF, abs=0.051)
    turned = [row["# settling"] for row in shown if row["# settling"].startswith("# turned")]
    assert len(turned) == len(question.weigh_in.turned) > 0


def test_a_line_for_each_visit() -> None:
    """By hand, from the files: the totals of three visits over their settlings; oldest first, by day."""
    names = ("weigh-in.toml", "weigh-in-february.toml", "weigh-in-march.toml")
    visits = read_visits(COUPE / "car.toml", [COUPE / name for name in names])
    shown = rows(visits_as_csv(visits, history(visits)))
    assert [row["date"] for row in shown] == sorted(row["date"] for row in shown)
    assert len(shown) == 3
    assert float(shown[-1]["total [kg]"]) == pytest.approx(3222.8 / 3, abs=0.051)


def test_letters_beyond_ascii_are_told_to_the_spreadsheet() -> None:
    """A byte order mark stands in front where there is a letter it matters for, and nowhere else."""
    answer = read_answer(PLANS / "circuit-saloon.json")
    assert not plates_as_csv(answer).startswith("\ufeff")
    car = answer.question.car
    mounts = tuple(mount.replace(name=f"{mount.name} é") for mount in car.mounts)
    fit = tuple(row.replace(mount=f"{row.mount} é") for row in answer.plan.fit)
    question = answer.question.replace(car=car.replace(mounts=mounts))
    other = answer.replace(question=question, plan=answer.plan.replace(fit=fit, changes=()))
    assert plates_as_csv(other).startswith("\ufeffmount,")
