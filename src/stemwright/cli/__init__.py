"""The command line: one file a command; this one holds them together and turns errors into exit codes."""

from __future__ import annotations

import errno
import gc
import io
import os
import sys
from contextlib import suppress
from typing import TYPE_CHECKING

import click

from stemwright.cli.balance import balance
from stemwright.cli.compare import compare
from stemwright.cli.history import history
from stemwright.cli.index import index
from stemwright.cli.keep import keep
from stemwright.cli.look import look
from stemwright.cli.manual import completion, doctor, manual
from stemwright.cli.note import note
from stemwright.cli.pack import pack
from stemwright.cli.prep import prep
from stemwright.cli.recall import recall
from stemwright.cli.recipes import recipes
from stemwright.cli.report import report
from stemwright.cli.rings import rings
from stemwright.cli.sum import sum_
from stemwright.cli.verify import verify
from stemwright.cli.words import words
from stemwright.errors import StemwrightError

if TYPE_CHECKING:
    from collections.abc import Sequence

# Stems are worked on side by side already: threads of numpy's own for every product of a block take a core from another stem
# and wait for each other in a loop. Read by numpy when it is loaded, so it stands here, before any command imports it.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# Nearly all that is read at the start stays. Looking through it for what nobody needs, every 700 objects as Python does, was a
# thirtieth of a note.
gc.set_threshold(20_000)

DONE, NEEDS_A_PERSON, REFUSED, OUR_BUG, INTERRUPTED = 0, 1, 2, 3, 130
OUTPUT_ERRORS = (errno.ENOSPC, errno.EIO, errno.EBADF, errno.EDQUOT, errno.EFBIG)


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="stemwright", message="%(prog)s %(version)s")
def app() -> None:
    """Prep a folder of stems from per-role recipes, and get any pass back to the bit.

    A SONG is a folder with audio in it, or in its "stems" folder. Nothing in it is ever written to except its
    "passes" folder (and "words", by words learn). Start with: stemwright look SONG

    \b
    Exit codes:
      0    done
      1    done, and something needs a person (findings, a mismatch, a stem that failed)
      2    the request or a recipe is wrong; nothing was written
      3    our bug; the message says where the log is
      130  interrupted; nothing half-written is left
    """  # noqa: D301 - the \b is click's mark for "do not rewrap"


for command in (
    look,
    prep,
    note,
    recall,
    report,
    index,
    keep,
    compare,
    history,
    balance,
    verify,
    rings,
    recipes,
    sum_,
    pack,
    words,
    doctor,
    manual,
    completion,
):
    app.add_command(command)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line.

    Parameters
    ----------
    arguments : sequence of str
        Without the program's name; None takes the process's own.

    Returns
    -------
    int
        The exit code, as ``stemwright --help`` lists them.
    """
    _ready_the_output()
    try:
        code = app.main(args=None if arguments is None else list(arguments), prog_name="stemwright", standalone_mode=False)
        sys.stdout.flush()
    except click.exceptions.Exit as stop:
        return stop.exit_code
    except click.ClickException as error:
        error.show()
        return REFUSED
    except (KeyboardInterrupt, click.Abort):
        click.echo("interrupted; nothing half-written is left", err=True)
        return INTERRUPTED
    except (StemwrightError, OSError, MemoryError) as error:
        return _refused(error, sys.argv[1:] if arguments is None else arguments)
    except Exception as error:  # noqa: BLE001 - the last line of defence: no traceback on a user's terminal
        return _our_bug(error)
    return code if isinstance(code, int) else DONE


def _ready_the_output() -> None:
    """Escape what the terminal cannot show, and let nothing else be opened as an output that the shell has closed."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, os.fdopen(os.open(os.devnull, os.O_WRONLY), "w", encoding="utf-8"))
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _to_nowhere() -> None:
    """Leave nothing in the output that could fail once more when the process ends."""
    with suppress(OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _refused(error: StemwrightError | OSError | MemoryError, asked: Sequence[str]) -> int:
    """Say what cannot be done, and return the code for it; what the machine refused is no bug of ours."""
    from stemwright.cli.console import safe_lines  # noqa: PLC0415
    from stemwright.cli.outside import from_outside  # noqa: PLC0415

    code = REFUSED
    if isinstance(error, BrokenPipeError):  # the reader of our output has left (``| head``): not our business
        _to_nowhere()
        return DONE
    if isinstance(error, MemoryError):
        text = "too little memory; close other programs, or work on fewer stems at once: --jobs 1"
    elif isinstance(error, StemwrightError):
        text = str(error)
    elif error.filename is None and error.errno in OUTPUT_ERRORS:  # our own output is the only file without a name
        _to_nowhere()
        text = f"the output could not be written ({error.strerror}); what was made is whole: stemwright history SONG"
        code = NEEDS_A_PERSON
    elif not from_outside(error, asked):
        return _our_bug(error)
    else:
        where = f"{os.fsdecode(error.filename)}: " if isinstance(error.filename, str | bytes) else ""
        text = f"{where}{error.strerror or error}; check the disk, its permissions, and how many files may be open"
    with suppress(OSError):
        click.echo(f"stemwright: {safe_lines(text)}", file=sys.stderr)
    return code


def _our_bug(error: Exception) -> int:
    from stemwright.cli.console import log_of  # noqa: PLC0415 - only when all else has failed

    log = log_of(error)
    click.echo(f"stemwright: a bug of ours, sorry; nothing half-written is left. Please send us {log}", err=True)
    return OUR_BUG
