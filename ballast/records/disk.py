"""Files as the disk has them, before and after anybody understands them: read whole, written whole or not at all."""

import codecs
import os
import tempfile
from collections.abc import Iterable
from pathlib import Path

from ballast.errors import Complaint, InputError, nearest


def text(path: Path) -> str:
    """What a text file holds. Raises InputError when it cannot be read, or is no UTF-8 text."""
    data = raw(path)
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) or 3 * data.count(0) > len(data) > 0:
        fix = "save it again as UTF-8: the editor's Save As has a choice called encoding."
        raise InputError([Complaint("is UTF-16 text", fix, file=str(path))])
    if b"\0" in data:
        fix = "give the text file; spreadsheets, pictures and programs cannot be read."
        raise InputError([Complaint("is not a text file", fix, file=str(path))])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        fix = "save it again as UTF-8 (the editor's Save As has a choice called encoding), or give the text file."
        raise InputError([Complaint("is not UTF-8 text", fix, f"line {line}", file=str(path))]) from error


def raw(path: Path) -> bytes:
    """What a file holds. Raises InputError when it cannot be read."""
    try:
        return path.read_bytes()
    except FileNotFoundError as error:
        raise InputError([_no_such_file(path)]) from error
    except IsADirectoryError as error:
        raise InputError([Complaint("is a folder", "name a file inside it.", file=str(path))]) from error
    except PermissionError as error:
        fix = "change its permissions, or copy it to a folder of your own."
        raise InputError([Complaint("may not be read", fix, file=str(path))]) from error
    except OSError as error:
        fix = "check the name, the folder and the disk."
        raise InputError([Complaint(f"cannot be read ({error.strerror or error})", fix, file=str(path))]) from error


def _no_such_file(path: Path) -> Complaint:
    if path.is_symlink():
        return Complaint("is a link to a file that is not there", "give the file itself.", file=str(path))
    try:
        near = nearest(path.name, [other.name for other in path.parent.iterdir() if other.is_file()])
    except OSError:
        near = None
    otherwise = "check the name and the folder; `ballast new FOLDER` writes starter files."
    fix = f"did you mean '{near}'?" if near else otherwise
    return Complaint("there is no such file", fix, file=str(path))


def refuse_existing(paths: Iterable[Path], overwrite: bool) -> None:
    """Raise InputError about every one of these that exists already, when the user did not ask to replace it."""
    fix = "choose another name, or add --overwrite to replace it."
    found = [Complaint("is there already", fix, file=str(path)) for path in paths if not overwrite and is_taken(path)]
    if found:
        raise InputError(found)


def is_taken(path: Path) -> bool:
    """Whether something has this name, be it a link to nothing; a name nobody may look at shows when it is written."""
    try:
        path.lstat()
    except OSError:
        return False
    return True


def write_whole(path: Path, content: str | bytes, overwrite: bool) -> None:
    """Write a file whole or not at all. Raises InputError when it may not be written, or exists and must be kept."""
    data = content.encode("utf-8") if isinstance(content, str) else content
    try:
        if path.is_dir():
            raise InputError([Complaint("is a folder", "name a file inside it.", file=str(path))])
        if not path.parent.is_dir():
            fix = "make the folder first, or choose another."
            raise InputError([Complaint(f"there is no folder {path.parent}", fix, file=str(path))])
        refuse_existing([path], overwrite)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:50]}.")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            Path(temporary).chmod(0o644)
            Path(temporary).replace(path)
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise
    except OSError as error:
        fix = "choose a folder that you may write to, on a disk that has room."
        raise InputError([Complaint(f"cannot be written ({error.strerror or error})", fix, file=str(path))]) from error
