"""The command that plans, and the files it may write."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from ballast.cli.door import (
    BROKEN,
    AsJson,
    CarFile,
    DecimalComma,
    Overwrite,
    RulesFile,
    WeighInFile,
    app,
    decimal_comma_goes_with_csv,
    may_be_written,
    show,
    tell,
    write,
)
from ballast.errors import Complaint, InputError

if TYPE_CHECKING:
    from ballast.records.plan import Answer
    from ballast.records.question import Question


DEFAULT_ALTERNATIVES = 5
"""Plans to choose from, where a curve is drawn and no number is given."""


@app.command()
def plan(
    car: CarFile,
    weigh_in: WeighInFile,
    rules: RulesFile = None,
    ledger: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Your own readings against official ones (TOML).")
    ] = None,
    changed: Annotated[
        Path | None, typer.Option(metavar="FILE", help="What was done to the car since it was weighed (TOML).")
    ] = None,
    carried_out: Annotated[
        Path | None,
        typer.Option(metavar="PLAN", help="A saved plan carried out since the weigh-in: its plates stand now."),
    ] = None,
    success_ballast: Annotated[
        float | None,
        typer.Option(min=0, metavar="MASS", help="Success ballast now, in the car file's unit, for the rulebook's."),
    ] = None,
    json: AsJson = False,
    save: Annotated[Path | None, typer.Option(metavar="FILE", help="Keep the question and the plan (JSON).")] = None,
    picture: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Draw the car from above (.svg, .pdf or .png).")
    ] = None,
    side: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Draw the car from its side, with the heights of all that stands."),
    ] = None,
    bands: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Draw every target as a band, before and after.")
    ] = None,
    fuel: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Draw what burning fuel does to the balance, for each driver.")
    ] = None,
    write_lp: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the integer programme (LP format) and stop.")
    ] = None,
    alternatives: Annotated[
        int | None,
        typer.Option(
            min=2, max=20, metavar="N", help="Show up to N plans to choose from, and what mass buys in balance."
        ),
    ] = None,
    curve: Annotated[Path | None, typer.Option(metavar="FILE", help="Draw balance against mass.")] = None,
    order: Annotated[
        str | None, typer.Option(metavar="WISHES", help="The order of wishes, such as balance,changes,mass,height,aim.")
    ] = None,
    fewest_changes: Annotated[
        bool, typer.Option("--fewest-changes", help="Let few changes count next after balance.")
    ] = False,
    most_changes: Annotated[
        int | None, typer.Option(min=0, metavar="N", help="Greatest number of plates put on, taken off or moved.")
    ] = None,
    seconds: Annotated[
        float | None, typer.Option(min=0.01, max=86400, metavar="S", help="Time limit for the whole plan, in seconds.")
    ] = None,
    csv: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write plates, mounts and counts for a spreadsheet (CSV).")
    ] = None,
    decimal_comma: DecimalComma = False,
    overwrite: Overwrite = False,
) -> None:
    """Choose which plates stand on which mounts, so that the car is legal and on target.

    Example: ballast plan car.toml weigh-in.toml --rules rulebook.toml

    Exit status 0: a legal plan, even if it is off target. 1: a limit is broken, no plan is possible, or no answer was
    found. 2: the input cannot be used.
    """
    from ballast.jobs import plan as job
    from ballast.jobs.carried_out import carried_out as after
    from ballast.records import files
    from ballast.records.wishes import order_of

    views = {"plan": picture, "side": side, "bands": bands, "fuel": fuel, "curve": curve}
    pictures = {view: (path, _picture_kind(path)) for view, path in views.items() if path}
    rulebook = files.rulebook_path(rules) if rules else None
    outputs = [path for path in (save, *views.values(), csv, write_lp) if path]
    if write_lp and (len(outputs) > 1 or json):
        raise typer.BadParameter(
            "writes the programme and stops: leave out --save, --csv, --json and every picture.",
            param_hint="--write-lp",
        )
    decimal_comma_goes_with_csv(decimal_comma, csv)
    may_be_written(outputs, [car, weigh_in, rulebook, ledger, changed, carried_out], overwrite)
    question = files.read_question(car, weigh_in, rulebook, ledger, changed)
    _can_be_drawn(question, str(car), side, fuel)
    if carried_out:
        question = after(question, files.read_answer(carried_out), str(carried_out))
    if success_ballast is not None:
        question = question.with_success_ballast(success_ballast)
    question = question.with_wishes(most_changes, seconds, order_of(order), fewest_changes)
    if write_lp:
        write(write_lp, job.programme_text(question), overwrite)
        return
    answer = _planned(question, alternatives or (DEFAULT_ALTERNATIVES if curve else None))
    if save:
        write(save, files.as_json(answer), overwrite)
    if csv:
        from ballast.showing.spreadsheet import plates_as_csv

        write(csv, plates_as_csv(answer, decimal_comma), overwrite)
    for view, (path, kind) in pictures.items():
        from ballast.showing.pictures import VIEWS, rendered

        figure = VIEWS[view](answer)
        if figure is None:
            tell(f"Did not write {path}: there is no plan to draw.")
        else:
            write(path, rendered(figure, kind), overwrite)
    if json:
        show(files.as_json(answer))
    else:
        from ballast.showing.plan_sheet import plan_sheet

        show(plan_sheet(answer))
    if not answer.plan.legal:
        raise typer.Exit(BROKEN)


def _planned(question: "Question", alternatives: int | None) -> "Answer":
    """Plan, telling a terminal how far it is; Ctrl-C takes the best so far."""
    from ballast.jobs import plan as job
    from ballast.jobs.choices import choices
    from ballast.showing.rounding import rounding
    from ballast.showing.terminal import listening

    with listening(sys.stderr, rounding(question)) as told:
        return choices(question, alternatives, told) if alternatives else job.plan(question, told)


def _picture_kind(path: Path) -> Literal["svg", "png", "pdf"]:
    match path.suffix.lower():
        case ".svg":
            return "svg"
        case ".png":
            return "png"
        case ".pdf":
            return "pdf"
    raise InputError(
        [Complaint("is no kind of picture this can draw", "end the name in .svg, .pdf or .png.", file=str(path))]
    )


def _can_be_drawn(question: "Question", file: str, side: Path | None, fuel: Path | None) -> None:
    """Refuse, before any work, a picture of what the car file does not say."""
    found = []
    if side and question.car.chassis.centre_of_gravity_height is None:
        fix = "write centre_of_gravity_height = ...; `ballast height` works it out. Or leave out --side."
        found.append(
            Complaint(
                "is missing, and without it there is no side view", fix, "[car] centre_of_gravity_height", file=file
            )
        )
    if fuel and not question.car.tanks:
        fix = "add a table [[tanks]] for each tank, or leave out --fuel."
        found.append(Complaint("is missing, and without a tank nothing burns", fix, "[[tanks]]", file=file))
    if found:
        raise InputError(found)
