"""Every error stemwright raises on purpose, under one root, so that a caller can catch them all in one place."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


class StemwrightError(Exception):
    """Root of all errors a person can mend; the message says what, where, what is allowed and the next step."""


class AudioError(StemwrightError):
    """An audio file cannot be read or written as asked; the message names the file."""


class WriteError(StemwrightError):
    """A file cannot be written: the disk's fault, not a stem's, so it concerns the whole pass."""


class DesignError(StemwrightError):
    """A filter cannot be designed from the given numbers."""


class RecipeError(StemwrightError):
    """One or more problems in recipes, words or a session sheet, all of them at once in file order.

    Parameters
    ----------
    problems : sequence of str
        One line each: ``file:line:column: where: what (value); what is allowed``.
    """

    def __init__(self, problems: Sequence[str]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(self.problems))

    def __reduce__(self) -> tuple[type[RecipeError], tuple[tuple[str, ...]]]:
        # What pickle would hand over is the text, and a text is a sequence of letters.
        return type(self), (self.problems,)


class SongError(StemwrightError):
    """The song folder, a stem named on the command line, or a pass asked for is not usable."""


class ManifestError(StemwrightError):
    """A manifest is missing, damaged or newer than this program."""
