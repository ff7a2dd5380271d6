"""The command line: parse, call one job, show. Heavy modules are imported inside the commands: help stays quick."""

import logging
import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from ballast.errors import BallastError, Complaint, InputError
from ballast.showing.streams import harmless, write_what_it_can

if TYPE_CHECKING:
    from ballast.records.plan import Answer
    from ballast.records.question import Question
    from ballast.showing.sheet import Sheet

app = typer.Typer(
    help="Choose ballast plates and places from four corner loads: legal, balanced, checked.",
    add_completion=False,
    no_args_is_help=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

DONE, BROKEN, UNUSABLE, STOPPED = 0, 1, 2, 130
DEFAULT_ALTERNATIVES = 5

CarFile = Annotated[Path, typer.Argument(metavar="CAR", help="The car file (TOML).")]
WeighInFile = Annotated[Path, typer.Argument(metavar="WEIGH_IN", help="The weigh-in file (TOML).")]
RulesFile = Annotated[
    str | None, typer.Option("--rules", metavar="NAME_OR_FILE", help="A packaged rulebook by name, or a rulebook file.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object and nothing else.")]
Overwrite = Annotated[bool, typer.Option("--overwrite", help="Replace files that are there already.")]

DECIMAL_COMMA = "--decimal-comma"
DecimalComma = Annotated[
    bool, typer.Option(DECIMAL_COMMA, help="Write --csv with semicolons and decimal commas: 278,4 for 278.4.")
]

FIRST_STEPS = """\
ballast: choose ballast plates and places from four corner loads.

Begin like this; it runs as it stands, then fill in your own numbers:
  ballast new my-car
  ballast weigh my-car/car.toml my-car/weigh-in.toml
  ballast plan my-car/car.toml my-car/weigh-in.toml --rules my-car/rulebook.toml

In the order of the work:
  new      starter files that explain themselves
  weigh    what the scales say, and whether that is good enough to plan on
  plan     which plates go where, and what the pads will show then
  compare  weighed again with the plates in: does the car stand as planned?
  wind     which spring platforms to turn for the diagonal, after the ballast
  sheet    the page for the scrutineer, to print and to sign

When it is asked for:
  rules    the packaged rulebooks, clause by clause
  predict  what another engine, a moved seat or moved plates will do
  trial    how the springs share a load, from known weights or turns
  height   how high the centre of gravity is, from a raised axle

ballast COMMAND --help explains one of them, with a line that works."""


def _say_version(asked: bool) -> None:
    if asked:
        from importlib.metadata import version

        print(f"ballast {version('ballast')}")  # noqa: T201
        raise typer.Exit


@app.callback(invoke_without_command=True)
def first(
    context: typer.Context,
    version: Annotated[  # noqa: ARG001  it is eager: its callback has done it
        bool, typer.Option("--version", callback=_say_version, is_eager=True, help="Say which version this is.")
    ] = False,
) -> None:
    """Choose ballast plates and places from four corner loads: legal, balanced, checked."""
    if context.invoked_subcommand is None:
        print(FIRST_STEPS)  # noqa: T201


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
    _may_be_written([csv], [car, *weigh_in, rulebook], overwrite)
    _decimal_comma_goes_with_csv(decimal_comma, csv)
    if len(weigh_in) == 1:
        from ballast.jobs.weigh import weigh as job
        from ballast.showing.weighing_sheet import weighing_sheet

        question = files.read_question(car, weigh_in[0], rulebook)
        weighed = job(question)
        findings = weighed.findings
        if csv:
            from ballast.showing.spreadsheet import readings_as_csv

            _write(csv, readings_as_csv(question, weighed, decimal_comma), overwrite)
        _show(files.as_json(weighed) if json else weighing_sheet(question, weighed))
    else:
        from ballast.jobs.history import history
        from ballast.showing.history_sheet import history_sheet

        visits = files.read_visits(car, weigh_in, rulebook)
        found = history(visits)
        findings = found.findings
        if csv:
            from ballast.showing.spreadsheet import visits_as_csv

            _write(csv, visits_as_csv(visits, found, decimal_comma), overwrite)
        _show(files.as_json(found) if json else history_sheet(visits, found))
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
        _show(as_json(predicted))
    else:
        from ballast.showing.predicted_sheet import predicted_sheet

        _show(predicted_sheet(question, predicted))
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
        _show(files.as_json(measured) if json else sheets.height_sheet(measured))
        return
    heights = jobs.both(*files.read_car_and_both_lifts(car, lifts, other_axle), (str(lifts), str(other_axle)))
    _show(files.as_json(heights) if json else sheets.both_sheet(heights))


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
        _show(as_json(wound))
    else:
        from ballast.showing.wind_sheet import wind_sheet

        _show(wind_sheet(question, wound))
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
        _show(as_json(tried))
    else:
        from ballast.showing.trial_sheet import trial_sheet

        _show(trial_sheet(tried))
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
        _show(as_json(compared))
    else:
        from ballast.showing.compare_sheet import compare_sheet

        _show(compare_sheet(done, weighed, compared))
    if not compared.as_planned:
        raise typer.Exit(BROKEN)


@app.command()
def sheet(
    plan: Annotated[Path, typer.Argument(metavar="PLAN", help="A plan kept by `ballast plan --save` (JSON).")],
    out: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Where to write it (.html); left out, beside the plan.")
    ] = None,
    overwrite: Overwrite = False,
) -> None:
    """Write the sheet for the scrutineer: one HTML file to print, with plates, fixings, findings and lines to sign.

    Example: ballast sheet plan.json --out sheet.html

    It needs no network. For a PDF, open it in a browser and print it to a file; it fits A4 and Letter.

    Exit status 0: done. 1: the plan breaks a limit, or there is none; the sheet is written and says so. 2: the input
    cannot be used.
    """
    from ballast.records import disk, files
    from ballast.showing.html import printable

    target = out or plan.with_suffix(".html")
    if target.suffix.lower() not in (".html", ".htm"):
        fix = "end the name in .html; for a PDF, open that in a browser and print it to a file."
        raise InputError([Complaint("is no kind of sheet this can write", fix, file=str(target))])
    files.refuse_clashes([target], [plan])
    disk.refuse_existing([target], overwrite)
    answer = files.read_answer(plan)
    disk.write_whole(target, printable(answer), overwrite)
    _tell(f"Wrote {target}.")
    if not answer.plan.legal:
        raise typer.Exit(BROKEN)


@app.command()
def rules(
    name_or_file: Annotated[
        str | None, typer.Argument(metavar="NAME_OR_FILE", help="A packaged rulebook by name, or a rulebook file.")
    ] = None,
    json: AsJson = False,
) -> None:
    """List the packaged rulebooks, or show one: every limit with its clause, source and the day it was checked.

    Example: ballast rules kart-endurance
    """
    from ballast.records import files
    from ballast.showing.rules_sheet import list_of_rules, rules_sheet

    if name_or_file is None:
        books = {name: files.read_rulebook(files.rulebook_path(name)) for name in files.rulebook_names()}
        _show(files.books_as_json(books) if json else list_of_rules(books))
        return
    book = files.read_rulebook(files.rulebook_path(name_or_file))
    _show(files.as_json(book) if json else rules_sheet(book))


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
    _decimal_comma_goes_with_csv(decimal_comma, csv)
    _may_be_written(outputs, [car, weigh_in, rulebook, ledger, changed, carried_out], overwrite)
    question = files.read_question(car, weigh_in, rulebook, ledger, changed)
    _can_be_drawn(question, str(car), side, fuel)
    if carried_out:
        question = after(question, files.read_answer(carried_out), str(carried_out))
    if success_ballast is not None:
        question = question.with_success_ballast(success_ballast)
    question = question.with_wishes(most_changes, seconds, order_of(order), fewest_changes)
    if write_lp:
        _write(write_lp, job.programme_text(question), overwrite)
        return
    answer = _planned(question, alternatives or (DEFAULT_ALTERNATIVES if curve else None))
    if save:
        _write(save, files.as_json(answer), overwrite)
    if csv:
        from ballast.showing.spreadsheet import plates_as_csv

        _write(csv, plates_as_csv(answer, decimal_comma), overwrite)
    for view, (path, kind) in pictures.items():
        from ballast.showing.pictures import VIEWS, rendered

        figure = VIEWS[view](answer)
        if figure is None:
            _tell(f"Did not write {path}: there is no plan to draw.")
        else:
            _write(path, rendered(figure, kind), overwrite)
    if json:
        _show(files.as_json(answer))
    else:
        from ballast.showing.plan_sheet import plan_sheet

        _show(plan_sheet(answer))
    if not answer.plan.legal:
        raise typer.Exit(BROKEN)


@app.command()
def new(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Where to write them; made when it is not there.")],
    overwrite: Overwrite = False,
) -> None:
    """Write starter files: car.toml, weigh-in.toml, rulebook.toml and lifts.toml, explained and ready to run.

    Example: ballast new my-car
    """
    from ballast.jobs.new import new as job

    for path in job(folder, overwrite):
        _tell(f"Wrote {path}.")
    _tell("They run as they are. Fill in your own numbers, then:")
    _tell(f"  ballast plan {folder / 'car.toml'} {folder / 'weigh-in.toml'} --rules {folder / 'rulebook.toml'}")


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


def _may_be_written(outputs: Iterable[Path | None], inputs: Iterable[Path | None], overwrite: bool) -> None:
    """Refuse, before any work, what would replace a file that is read or one that has to be kept."""
    from ballast.records import disk, files

    wanted = [path for path in outputs if path]
    files.refuse_clashes(wanted, [path for path in inputs if path])
    disk.refuse_existing(wanted, overwrite)


def _decimal_comma_goes_with_csv(decimal_comma: bool, csv: Path | None) -> None:
    if decimal_comma and not csv:
        raise typer.BadParameter(
            "says how --csv FILE is written: add that, or leave it out.", param_hint="--decimal-comma"
        )


def _write(path: Path, content: str | bytes, overwrite: bool) -> None:
    from ballast.records.disk import write_whole

    write_whole(path, content, overwrite)
    _tell(f"Wrote {path}.")


def _show(answer: "Sheet | str") -> None:
    """Print a sheet as wide as the terminal is, or JSON in letters that any stream has a code for."""
    from ballast.showing.streams import columns, json_for

    if isinstance(answer, str):
        sys.stdout.write(json_for(sys.stdout, answer))
        return
    from ballast.showing.text import laid_out

    sys.stdout.write(laid_out(answer, columns(sys.stdout)))


def _tell(text: str) -> None:
    print(harmless(text), file=sys.stderr)  # noqa: T201


def _hear_of_reading() -> None:
    """Have what was understood of a spreadsheet's file told on the standard error."""
    log = logging.getLogger("ballast")
    log.handlers[:] = [logging.StreamHandler(sys.stderr)]
    log.setLevel(logging.INFO)


def main() -> None:
    """Run the command line; every way out has its exit status and its sentence."""
    for stream in (sys.stdout, sys.stderr):
        write_what_it_can(stream)  # names typed by the user, on a terminal that cannot show them
    _hear_of_reading()
    try:
        app(standalone_mode=True)
    except InputError as error:
        _tell(str(error))
        sys.exit(UNUSABLE)
    except BallastError as error:
        _tell(f"ballast: {error}")
        sys.exit(BROKEN)
    except BrokenPipeError:  # the reader of the pipe has gone: nothing left to say
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(DONE)
    except OSError as error:  # a full disk behind the standard output
        _tell(f"ballast: cannot write: {error.strerror or error}")
        sys.exit(BROKEN)
    except KeyboardInterrupt:
        _tell("Stopped.")
        sys.exit(STOPPED)
    except Exception as error:  # noqa: BLE001  the last line of defence: no traceback reaches a user
        _tell(f"ballast: {type(error).__name__}: {error}")
        _tell("    Fix: this is a fault in the program, not in your files: please report it, with the files.")
        sys.exit(BROKEN)
