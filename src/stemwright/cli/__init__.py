"""The command line: one file a command; this one holds them together and turns errors into exit codes."""

from __future__ import annotations

import os
import sys
import traceback
from typing import TYPE_CHECKING

import click

from stemwright.cli.compare import compare
from stemwright.cli.history import history
from stemwright.cli.keep import keep
from stemwright.cli.look import look
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

DONE, NEEDS_A_PERSON, REFUSED, OUR_BUG, INTERRUPTED = 0, 1, 2, 3, 130


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


for command in (look, prep, note, recall, report, keep, compare, history, verify, rings, recipes, sum_, pack, words):
    app.add_command(command)


def main(arguments: Sequence[str] | None = None) -> int:  # noqa: PLR0911 - one return for each way to end
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
    # Before numpy loads: our parallel work is a pool of stems, and a second pool inside BLAS only costs.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
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
    except StemwrightError as error:
        from stemwright.cli.console import safe_lines  # noqa: PLC0415

        click.echo(f"stemwright: {safe_lines(str(error))}", err=True)
        return REFUSED
    except BrokenPipeError:
        # The reader of our output has left (``| head``): not our business, and no second error at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except Exception:  # noqa: BLE001 - the last line of defence: no traceback on a user's terminal
        return _our_bug()
    return code if isinstance(code, int) else DONE


def _our_bug() -> int:
    import tempfile  # noqa: PLC0415 - only when all else has failed

    with tempfile.NamedTemporaryFile("w", prefix="stemwright-", suffix=".log", delete=False) as log:
        traceback.print_exc(file=log)
    click.echo(f"stemwright: a bug of ours, sorry; nothing half-written is left. Please send us {log.name}", err=True)
    return OUR_BUG
