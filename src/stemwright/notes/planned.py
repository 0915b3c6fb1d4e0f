"""Planned: what notes ask of a stem of a pass to know what it may be called."""

from __future__ import annotations

from typing import Protocol


class Planned(Protocol):
    """What is asked of a plan item: its stem, what it is, and whether it has a file."""

    @property
    def stem(self) -> str:
        """Its name."""

    @property
    def role(self) -> str | None:
        """What it is."""

    @property
    def family(self) -> str | None:
        """Drums, music or vocals."""

    @property
    def status(self) -> str:
        """What the pass made of it."""

    @property
    def deliver_as(self) -> object:
        """The file it has, or None."""
