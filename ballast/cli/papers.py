"""Commands about paper: the sheet, the rulebooks, the starter files."""

from pathlib import Path
from typing import Annotated

import typer

from ballast.cli.door import BROKEN, AsJson, Overwrite, app, show, tell
from ballast.errors import Complaint, InputError


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
    tell(f"Wrote {target}.")
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
        show(files.books_as_json(books) if json else list_of_rules(books))
        return
    book = files.read_rulebook(files.rulebook_path(name_or_file))
    show(files.as_json(book) if json else rules_sheet(book))


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
        tell(f"Wrote {path}.")
    tell("They run as they are. Fill in your own numbers, then:")
    tell(f"  ballast plan {folder / 'car.toml'} {folder / 'weigh-in.toml'} --rules {folder / 'rulebook.toml'}")
