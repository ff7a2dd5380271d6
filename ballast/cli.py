"""The command line: parse, call one job, show. Heavy modules are imported inside the commands: help stays quick."""

import os
import sys
from pathlib import Path
from typing import Annotated, Literal

import typer

from ballast.errors import BallastError, Complaint, InputError

app = typer.Typer(
    help="Choose ballast plates and places from four corner loads: legal, balanced, checked.",
    add_completion=False,
    no_args_is_help=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

DONE, BROKEN, UNUSABLE, STOPPED = 0, 1, 2, 130

CarFile = Annotated[Path, typer.Argument(metavar="CAR", help="The car file (TOML).")]
WeighInFile = Annotated[Path, typer.Argument(metavar="WEIGH_IN", help="The weigh-in file (TOML).")]
RulesFile = Annotated[
    str | None, typer.Option("--rules", metavar="NAME_OR_FILE", help="A packaged rulebook by name, or a rulebook file.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object and nothing else.")]
Overwrite = Annotated[bool, typer.Option("--overwrite", help="Replace files that are there already.")]

FIRST_STEPS = """\
ballast: choose ballast plates and places from four corner loads.

  ballast new my-car                                        starter files: fill them in
  ballast weigh my-car/car.toml my-car/weigh-in.toml        what the scales say
  ballast plan my-car/car.toml my-car/weigh-in.toml --rules my-car/rulebook.toml
                                                            which plates go where

ballast --help lists everything; ballast plan --help explains one command."""


@app.callback(invoke_without_command=True)
def first(context: typer.Context) -> None:
    """Choose ballast plates and places from four corner loads: legal, balanced, checked."""
    if context.invoked_subcommand is None:
        print(FIRST_STEPS)  # noqa: T201


@app.command()
def weigh(car: CarFile, weigh_in: WeighInFile, rules: RulesFile = None, json: AsJson = False) -> None:
    """Show what the scales say: percentages, diagonals, centre of gravity, repeatability; with --rules, the findings.

    Example: ballast weigh car.toml weigh-in.toml --rules rulebook.toml

    Exit status 0: done. 1: a limit of the rules is broken as the car stands. 2: the input cannot be used.
    """
    from ballast.jobs.weigh import weigh as job
    from ballast.records.files import as_json, read_question, rulebook_path

    question = read_question(car, weigh_in, rulebook_path(rules) if rules else None)
    weighed = job(question)
    if json:
        _print(as_json(weighed))
    else:
        from ballast.showing.text import laid_out
        from ballast.showing.weighing_sheet import weighing_sheet

        _print(laid_out(weighing_sheet(question, weighed)))
    if any(finding.verdict == "fail" for finding in weighed.findings):
        raise typer.Exit(BROKEN)


@app.command()
def rules(
    name_or_file: Annotated[
        str | None, typer.Argument(metavar="[NAME_OR_FILE]", help="A packaged rulebook by name, or a rulebook file.")
    ] = None,
    json: AsJson = False,
) -> None:
    """List the packaged rulebooks, or show one: every limit with its clause, source and the day it was checked.

    Example: ballast rules kart-endurance
    """
    from ballast.records import files
    from ballast.showing.rules_sheet import list_of_rules, rules_sheet
    from ballast.showing.text import laid_out

    if name_or_file is None:
        books = {name: files.read_rulebook(files.rulebook_path(name)) for name in files.rulebook_names()}
        _print(files.books_as_json(books) if json else laid_out(list_of_rules(books)))
        return
    book = files.read_rulebook(files.rulebook_path(name_or_file))
    _print(files.as_json(book) if json else laid_out(rules_sheet(book)))


@app.command()
def plan(
    car: CarFile,
    weigh_in: WeighInFile,
    rules: RulesFile = None,
    ledger: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Your own readings against official ones (TOML).")
    ] = None,
    json: AsJson = False,
    save: Annotated[Path | None, typer.Option(metavar="FILE", help="Keep the question and the plan (JSON).")] = None,
    picture: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Draw the car from above (.svg or .png).")
    ] = None,
    write_lp: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the integer programme (LP format) and stop.")
    ] = None,
    most_changes: Annotated[
        int | None, typer.Option(min=0, metavar="N", help="Greatest number of plates put on, taken off or moved.")
    ] = None,
    seconds: Annotated[
        float | None, typer.Option(min=0.01, max=86400, metavar="S", help="Time limit for the whole plan, in seconds.")
    ] = None,
    overwrite: Overwrite = False,
) -> None:
    """Choose which plates stand on which mounts, so that the car is legal and on target.

    Example: ballast plan car.toml weigh-in.toml --rules rulebook.toml --picture plan.svg

    Exit status 0: a legal plan, even if it is off target. 1: a limit is broken, no plan is possible, or no answer was
    found. 2: the input cannot be used.
    """
    from ballast.jobs import plan as job
    from ballast.records import files

    kind = _picture_kind(picture) if picture else None
    rulebook = files.rulebook_path(rules) if rules else None
    outputs = [path for path in (save, picture, write_lp) if path]
    if write_lp and (len(outputs) > 1 or json):
        raise typer.BadParameter(
            "writes the programme and stops: leave out --save, --picture and --json.", param_hint="--write-lp"
        )
    files.refuse_clashes(outputs, [path for path in (car, weigh_in, rulebook, ledger) if path])
    files.refuse_existing(outputs, overwrite)
    question = files.read_question(car, weigh_in, rulebook, ledger)
    question = question.with_limits(most_changes=most_changes, seconds=seconds)
    if write_lp:
        files.write_whole(write_lp, job.programme_text(question), overwrite)
        _tell(f"Wrote {write_lp}.")
        return
    answer = job.plan(question)
    if save:
        files.write_whole(save, files.as_json(answer), overwrite)
        _tell(f"Wrote {save}.")
    if picture and kind:
        from ballast.showing.pictures import plan_view, rendered

        files.write_whole(picture, rendered(plan_view(answer), kind), overwrite)
        _tell(f"Wrote {picture}.")
    if json:
        _print(files.as_json(answer))
    else:
        from ballast.showing.plan_sheet import plan_sheet
        from ballast.showing.text import laid_out

        _print(laid_out(plan_sheet(answer)))
    if not answer.plan.legal:
        raise typer.Exit(BROKEN)


@app.command()
def new(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Where to write them; made when it is not there.")],
    overwrite: Overwrite = False,
) -> None:
    """Write starter files: car.toml, weigh-in.toml and rulebook.toml, explained and ready to run.

    Example: ballast new my-car
    """
    from ballast.jobs.new import new as job

    for path in job(folder, overwrite):
        _tell(f"Wrote {path}.")
    _tell("They run as they are. Fill in your own numbers, then:")
    _tell(f"  ballast plan {folder / 'car.toml'} {folder / 'weigh-in.toml'} --rules {folder / 'rulebook.toml'}")


def _picture_kind(path: Path) -> Literal["svg", "png"]:
    match path.suffix.lower():
        case ".svg":
            return "svg"
        case ".png":
            return "png"
    raise InputError(
        [Complaint("is no kind of picture this can draw", "end the name in .svg or .png.", file=str(path))]
    )


def _print(text: str) -> None:
    sys.stdout.write(text)


def _tell(text: str) -> None:
    print(text, file=sys.stderr)  # noqa: T201


def main() -> None:
    """Run the command line; every way out has its exit status and its sentence."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # names typed by the user, on a terminal that cannot show them
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
