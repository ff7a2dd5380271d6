"""The door itself: options that several commands share, what is printed where, and every way out."""

import logging
import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ballast.errors import BallastError, InputError
from ballast.showing.streams import harmless, write_what_it_can

if TYPE_CHECKING:
    from ballast.showing.sheet import Sheet

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


def may_be_written(outputs: Iterable[Path | None], inputs: Iterable[Path | None], overwrite: bool) -> None:
    """Refuse, before any work, what would replace a file that is read or one that has to be kept."""
    from ballast.records import disk, files

    wanted = [path for path in outputs if path]
    files.refuse_clashes(wanted, [path for path in inputs if path])
    disk.refuse_existing(wanted, overwrite)


def decimal_comma_goes_with_csv(decimal_comma: bool, csv: Path | None) -> None:
    """Refuse the one without the other."""
    if decimal_comma and not csv:
        raise typer.BadParameter(
            "says how --csv FILE is written: add that, or leave it out.", param_hint="--decimal-comma"
        )


def write(path: Path, content: str | bytes, overwrite: bool) -> None:
    """Write a file whole, and say so."""
    from ballast.records.disk import write_whole

    write_whole(path, content, overwrite)
    tell(f"Wrote {path}.")


def show(answer: "Sheet | str") -> None:
    """Print a sheet as wide as the terminal is, or JSON in letters that any stream has a code for."""
    from ballast.showing.streams import columns, json_for

    if isinstance(answer, str):
        sys.stdout.write(json_for(sys.stdout, answer))
        return
    from ballast.showing.text import laid_out

    sys.stdout.write(laid_out(answer, columns(sys.stdout)))


def tell(text: str) -> None:
    """Say something beside the answer, on the standard error."""
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
        tell(str(error))
        sys.exit(UNUSABLE)
    except BallastError as error:
        tell(f"ballast: {error}")
        sys.exit(BROKEN)
    except BrokenPipeError:  # the reader of the pipe has gone: nothing left to say
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(DONE)
    except OSError as error:  # a full disk behind the standard output
        tell(f"ballast: cannot write: {error.strerror or error}")
        sys.exit(BROKEN)
    except KeyboardInterrupt:
        tell("Stopped.")
        sys.exit(STOPPED)
    except Exception as error:  # noqa: BLE001  the last line of defence: no traceback reaches a user
        tell(f"ballast: {type(error).__name__}: {error}")
        tell("    Fix: this is a fault in the program, not in your files: please report it, with the files.")
        sys.exit(BROKEN)
