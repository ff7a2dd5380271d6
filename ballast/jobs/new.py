"""Starter files for a new car."""

from pathlib import Path

from ballast.errors import Complaint, InputError
from ballast.records.disk import refuse_existing, write_whole

STARTER = Path(__file__).parent.parent / "starter"
NAMES = ("car.toml", "weigh-in.toml", "rulebook.toml", "lifts.toml")


def new(folder: Path, overwrite: bool = False) -> tuple[Path, ...]:
    """Write the starter files into a folder, made when it is not there; none of them when one may not be replaced.

    Returns the files written. Raises InputError when the folder cannot be used or a file is there already.
    """
    paths = tuple(folder / name for name in NAMES)
    refuse_existing(paths, overwrite)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        fix = "choose a name that no file has, in a folder you may write to."
        raise InputError([Complaint(f"cannot be made ({error.strerror})", fix, file=str(folder))]) from error
    for path in paths:
        write_whole(path, (STARTER / path.name).read_bytes(), overwrite)
    return paths
