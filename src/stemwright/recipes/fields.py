"""Fields: the numbers a move may have, each with its unit, range and default; and what a kind of move is."""

from __future__ import annotations

from dataclasses import dataclass

from stemwright.recipes.units import UNITS, Quantity, show


@dataclass(frozen=True, kw_only=True)
class Field:
    """One number of a move.

    ``key`` is its name in a recipe, ``setting`` its name with the unit. ``default`` None means that it must be given.
    ``one_of`` are the only values there are, where it is not empty.
    """

    key: str
    setting: str
    quantity: Quantity
    lowest: float
    highest: float
    about: str
    default: float | None = None
    one_of: tuple[float, ...] = ()

    @property
    def allowed(self) -> str:
        """Return the range in the trade's form: ``10 Hz to 80 kHz``."""
        if self.one_of:
            return ", ".join(f"{value:g}" for value in self.one_of[:-1]) + f", {show(self.quantity, self.one_of[-1])}"
        return f"{show(self.quantity, self.lowest)} to {show(self.quantity, self.highest)}"

    @property
    def example(self) -> str:
        """Return a value that may be written here."""
        return show(self.quantity, -6.0) if self.highest == 0.0 else UNITS[self.quantity].example.split(" or ")[0]

    @property
    def wanted(self) -> str:
        """Say what to write."""
        return f"write {UNITS[self.quantity].what}, as in {self.example}"

    def refusal(self, value: float) -> str | None:
        """Say what is wrong with a number in the base unit, or None."""
        if self.one_of and value not in self.one_of:
            near = min(self.one_of, key=lambda candidate: abs(candidate - value))
            return f"did you mean {show(self.quantity, near)}? allowed: {self.allowed}"
        if not self.lowest <= value <= self.highest:
            return f"allowed: {self.allowed}"
        return None


@dataclass(frozen=True, kw_only=True)
class Kind:
    """A kind of move.

    ``scalar`` is the field that may stand in place of the mapping (``- gain: -3 dB``), ``word`` the only word for a kind
    without numbers (``- polarity: flip``). Of each pair in ``rising`` the first must be smaller. ``own_stage`` is for a kind
    that sections cannot say: it is made by a stage of its own, whether it has sections or not.
    """

    name: str
    about: str
    fields: tuple[Field, ...] = ()
    scalar: str | None = None
    word: str | None = None
    rising: tuple[tuple[str, str], ...] = ()
    own_stage: bool = False

    def field(self, key: str) -> Field:
        """Return the field of this key; KeyError if there is none."""
        return {candidate.key: candidate for candidate in self.fields}[key]
