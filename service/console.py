"""What the commands share: refusing in a sentence, reading and writing files, leaving when interrupted."""

from __future__ import annotations

import math
import os
import shutil
import signal
import stat
import sys
import threading
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import Any, NoReturn

import click

EXIT_STOP = 1  # something stops, or is not known
EXIT_BAD = 1  # the trail is broken; the file is not what was signed by those who are trusted
EXIT_REFUSED = 2
EXIT_INTERRUPTED = 130  # 128 + SIGINT, as shells have it
OUT = ("-o", "--out", "--output", "out")  # one name for where results go, in every command

folder_type = click.Path(file_okay=False, path_type=Path)
file_type = click.Path(dir_okay=False, path_type=Path)
_written: list[Path] = []


class Number(click.FloatRange):
    """A figure from `min` to `max`; what is no number is none of them."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The figure."""
        found = super().convert(value, param, ctx)
        if not math.isfinite(found):
            self.fail(f"{found:g} is not in the range {self._describe_range()}.", param, ctx)
        return float(found)


class Refusal(click.ClickException):
    """An input that cannot be used: said in a sentence, exit status 2, nothing written."""

    exit_code = EXIT_REFUSED


def called() -> str:
    """This program as the reader has to type it: with its folder where the shell would not find it without."""
    name = Path(sys.argv[0])
    return str(name) if name.stem == "rangehand" and shutil.which("rangehand") is None else "rangehand"


def read_file(path: Path) -> bytes:
    """A file's bytes. What is no file is refused before it is opened: a pipe would wait for ever."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            kind = "a folder" if path.is_dir() else "no file but a pipe or a device"
            raise Refusal(f"{path}: found {kind}; expected a file")
        return path.read_bytes()
    except (OSError, ValueError) as error:
        raise Refusal(f"{path}: {_why(error)}") from None


def ready_folder(path: Path) -> None:
    """Refuse a folder that results could not be written to, before there are any."""
    nearest = path
    while not os.path.lexists(nearest) and nearest != nearest.parent:
        nearest = nearest.parent
    if not nearest.is_dir():
        what = "that is a file" if nearest == path else f"{nearest} is a file"
        raise Refusal(f"{path}: {what}; expected a folder to write to. Nothing was done.")
    if not os.access(nearest, os.W_OK | os.X_OK):
        raise Refusal(f"{path}: nothing may be written in {nearest}; give another place. Nothing was done.")


def ready_file(path: Path) -> None:
    """Refuse a file that could not be written, before there is anything to write."""
    if path.is_dir():
        raise Refusal(f"{path}: that is a folder; expected a file to write. Nothing was done.")
    if path.exists() and not path.is_file():
        raise Refusal(f"{path}: found no file but a pipe or a device; expected a file to write. Nothing was done.")
    ready_folder(path.parent)


def ready_files(folder: Path, names: Iterable[str], source: Path) -> None:
    """Refuse a folder where one of these files could not be written, or would go over the document they come from."""
    ready_folder(folder)
    for name in names:
        not_over(source, folder / name)
        ready_file(folder / name)


def tell_and_keep(lines: Iterable[str], folder: Path | None, files: Mapping[str, bytes]) -> None:
    """Write files into a folder, each whole, where one was named; then print, and say what was written.

    In this order: whoever reads on the terminal may leave after a page, and what was asked for is kept all the same.
    """
    written = [folder / name for name in files] if folder is not None else []
    for path in written:
        write_file(path, files[path.name])
    for line in lines:
        click.echo(line)
    for path in written:
        click.echo(f"wrote {path}")


def not_over(source: Path, output: Path) -> None:
    """Refuse to write a result over the document it comes from."""
    if output.exists() and source.exists() and output.samefile(source):
        raise Refusal(f"{output}: that is the launch-day document itself; give another file for the result")


def write_file(path: Path, data: bytes) -> None:
    """Write a file whole, or say why it cannot be written."""
    from service.planning.files import write_whole

    try:
        write_whole(path, data)
    except OSError as error:
        raise Refusal(f"{path}: not written: {_why(error)}") from None
    _written.append(path)


def list_faults(refused: Any, end: str = "nothing was written") -> NoReturn:
    """Every fault of a refused document, then how many; leaves with the status of a refusal."""
    for fault in refused.faults:
        click.echo(str(fault), err=True)
    count = len(refused.faults)
    click.echo(f"{refused.name}: {count} fault{'' if count == 1 else 's'}; {end}", err=True)
    raise SystemExit(EXIT_REFUSED)


def _why(error: Exception) -> str:
    return (getattr(error, "strerror", None) or "it cannot be used").lower()


def _farewell() -> str:
    """What an interruption leaves behind."""
    if not _written:
        return "Interrupted: nothing was written."
    return f"Interrupted: {', '.join(map(str, _written))} had been written, whole; nothing after."


class Commands(click.Group):
    """A group of commands that leaves with a sentence when it is interrupted."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command."""
        _written.clear()
        try:
            return super().invoke(ctx)
        except (KeyboardInterrupt, click.Abort):
            click.echo(f"\n{_farewell()}", err=True)
            raise SystemExit(EXIT_INTERRUPTED) from None


@contextmanager
def long_work() -> Iterator[None]:
    """Within it an interruption ends the process at once, flights in other threads included.

    Nothing is being written meanwhile: files are written whole, after the work.
    """
    usual = threading.current_thread() is threading.main_thread()
    if not usual or signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield
        return
    signal.signal(signal.SIGINT, _leave)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def _leave(_number: int, _frame: FrameType | None) -> NoReturn:
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except (OSError, RuntimeError):  # nobody listens any more, or it was being written to just now
            pass
    os.write(2, f"\n{_farewell()}\n".encode())
    os._exit(EXIT_INTERRUPTED)
