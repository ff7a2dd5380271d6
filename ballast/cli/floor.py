"""Commands of the floor: what the scales say, what changes will do, platforms, trials, re-weighs, height."""

from pathlib import Path
from typing import Annotated

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
    write,
)


@app.command()
def weigh(
    car: CarFile,
    weigh_in: Annotated[
        list[Path], typer.Argument(metavar="WEIGH_IN", help="The weigh-in file (TOML), or those of several visits.")
    ],
    rules: RulesFile = None,
    json: AsJson = False,
    csv: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write readings and figures for a spreadsheet (CSV).")
    ] = None,
    decimal_comma: DecimalComma = False,
    overwrite: Overwrite = False,
) -> None:
    """Show what the scales say: percentages, diagonals, centre of gravity, repeatability; with --rules, the findings.

    Example: ballast weigh car.toml weigh-in.toml --rules rulebook.toml

    With the weigh-ins of several visits: what changed from one to the next, and how well they repeat; the findings are
    those of the newest.

    Exit status 0: done. 1: a limit of the rules is broken as the car stands. 2: the input cannot be used.
    """
    from ballast.records import files

    rulebook = files.rulebook_path(rules) if rules else None
    may_be_written([csv], [car, *weigh_in, rulebook], overwrite)
    decimal_comma_goes_with_csv(decimal_comma, csv)
    if len(weigh_in) == 1:
        from ballast.jobs.weigh import weigh as job
        from ballast.showing.weighing_sheet import weighing_sheet

        question = files.read_question(car, weigh_in[0], rulebook)
        weighed = job(question)
        findings = weighed.findings
        if csv:
            from ballast.showing.spreadsheet import readings_as_csv

            write(csv, readings_as_csv(question, weighed, decimal_comma), overwrite)
        show(files.as_json(weighed) if json else weighing_sheet(question, weighed))
    else:
        from ballast.jobs.history import history
        from ballast.showing.history_sheet import history_sheet

        visits = files.read_visits(car, weigh_in, rulebook)
        found = history(visits)
        findings = found.findings
        if csv:
            from ballast.showing.spreadsheet import visits_as_csv

            write(csv, visits_as_csv(visits, found, decimal_comma), overwrite)
        show(files.as_json(found) if json else history_sheet(visits, found))
    if any(finding.verdict == "fail" for finding in findings):
        raise typer.Exit(BROKEN)


@app.command()
def predict(
    car: CarFile,
    weigh_in: WeighInFile,
    changed: Annotated[Path, typer.Argument(metavar="CHANGES", help="The file of changes (TOML).")],
    rules: RulesFile = None,
    json: AsJson = False,
) -> None:
    """Say what parts taken off, put on or moved, and plates moved by hand, will do to the car, before it is weighed.

    Example: ballast predict car.toml weigh-in.toml changes.toml

    A file of changes has [units] like the others, then tables such as [[removed]] and [[added]] with name, mass,
    behind_front_axle and left_of_centre; [[moved]] with from and to; [[placed]] with mount, plate and count.

    Exit status 0: done. 1: a limit of the rules is broken as the car will stand. 2: the input cannot be used.
    """
    from ballast.jobs.predict import predict as job
    from ballast.records.files import as_json, read_question, rulebook_path

    question = read_question(car, weigh_in, rulebook_path(rules) if rules else None, changed=changed)
    predicted = job(question)
    if json:
        show(as_json(predicted))
    else:
        from ballast.showing.predicted_sheet import predicted_sheet

        show(predicted_sheet(question, predicted))
    if any(finding.verdict == "fail" for finding in predicted.findings):
        raise typer.Exit(BROKEN)


@app.command()
def height(
    car: CarFile,
    lifts: Annotated[Path, typer.Argument(metavar="LIFTS", help="The file of lifts (TOML).")],
    other_axle: Annotated[
        Path | None, typer.Argument(metavar="OTHER_LIFTS", help="A file of lifts with the other axle raised.")
    ] = None,
    json: AsJson = False,
) -> None:
    """Work out the height of the centre of gravity from what one axle carries while the other is raised.

    Example: ballast height car.toml lifts.toml

    Raising a car is for qualified hands: chock the axle on the ground, nobody beneath or inside, straps slack before
    the pads are read.

    A file of lifts has [units] like the others, then [lifts] with date, raised_axle, radius_front and radius_rear;
    [level] with axle_load and total; [[raised]] with height and axle_load for each lift. With a second file, for the
    other axle, the two heights are compared and combined.
    """
    from ballast.jobs import height as jobs
    from ballast.records import files
    from ballast.showing import height_sheet as sheets

    if other_axle is None:
        measured = jobs.height(*files.read_car_and_lifts(car, lifts), str(lifts))
        show(files.as_json(measured) if json else sheets.height_sheet(measured))
        return
    heights = jobs.both(*files.read_car_and_both_lifts(car, lifts, other_axle), (str(lifts), str(other_axle)))
    show(files.as_json(heights) if json else sheets.both_sheet(heights))


@app.command()
def wind(
    car: CarFile,
    weigh_in: WeighInFile,
    within: Annotated[
        float | None,
        typer.Option(metavar="LENGTH", help="How far ride height may move where it is held, in the car file's unit."),
    ] = None,
    json: AsJson = False,
) -> None:
    """Say which spring platforms to turn, and how far, so that the diagonal comes where it is wanted.

    Example: ballast wind car.toml weigh-in.toml

    Never under a car on a jack; load off a spring before its platform is turned. Needs [targets] diagonal or rear_pair,
    and springs with lift_per_turn, or load_per_turn, below [suspension.front] and [suspension.rear].

    Exit status 0: done. 1: no whole steps within the thread bring it into its band. 2: the input cannot be used.
    """
    from ballast.jobs.wind import wind as job
    from ballast.records.files import as_json, read_question

    question = read_question(car, weigh_in)
    wound = job(question, within, str(car), str(weigh_in))
    if json:
        show(as_json(wound))
    else:
        from ballast.showing.wind_sheet import wind_sheet

        show(wind_sheet(question, wound))
    if not wound.done:
        raise typer.Exit(BROKEN)


@app.command()
def trial(
    car: CarFile,
    weigh_in: WeighInFile,
    trials: Annotated[Path, typer.Argument(metavar="TRIALS", help="The file of trials (TOML).")],
    json: AsJson = False,
) -> None:
    """Learn how the car shares roll between its axles from trial weights, and the load of a turn from known turns.

    Example: ballast trial car.toml weigh-in.toml trials.toml

    A file of trials has [units] like the others, then [[weights]] with mass, behind_front_axle and left_of_centre, and
    below each a table [[weights.readings]] for each settling; [[turns]] with corner and turns, and [[turns.readings]].
    Without readings it says whether the trial would be worth doing.

    Exit status 0: done. 1: a trial cannot tell, or its weighings do not fit. 2: the input cannot be used.
    """
    from ballast.jobs.trial import trial as job
    from ballast.records.files import as_json, read_question_and_trials

    question, given = read_question_and_trials(car, weigh_in, trials)
    tried = job(question, given, str(trials))
    if json:
        show(as_json(tried))
    else:
        from ballast.showing.trial_sheet import trial_sheet

        show(trial_sheet(tried))
    if not tried.tells:
        raise typer.Exit(BROKEN)


@app.command()
def compare(
    plan: Annotated[Path, typer.Argument(metavar="PLAN", help="A plan kept by `ballast plan --save` (JSON).")],
    weigh_in: Annotated[Path, typer.Argument(metavar="WEIGH_IN", help="The weigh-in made after it (TOML).")],
    json: AsJson = False,
) -> None:
    """Compare a re-weigh with the plan: does the car stand as planned, and if not, what explains it.

    Example: ballast compare plan.json re-weigh.toml

    The weigh-in is a file like the first one. Without [[fitted]], the plates of the plan are taken to be in; with it,
    those named there. Driver and fuel may be others than at the first weigh-in where the car file describes them.

    Exit status 0: the car stands as planned, as far as the pads can tell. 1: it does not. 2: the input cannot be used.
    """
    from ballast.jobs.compare import compare as job
    from ballast.records.files import as_json, read_plan_and_weigh_in

    done, weighed = read_plan_and_weigh_in(plan, weigh_in)
    compared = job(done, weighed, (str(plan), str(weigh_in)))
    if json:
        show(as_json(compared))
    else:
        from ballast.showing.compare_sheet import compare_sheet

        show(compare_sheet(done, weighed, compared))
    if not compared.as_planned:
        raise typer.Exit(BROKEN)
