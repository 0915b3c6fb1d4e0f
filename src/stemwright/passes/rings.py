"""Rings of a song: the finder run over each stem (a pair as one), its rings turned into notch moves."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from concurrent.futures import Executor

    from stemwright.passes.assignment import Assignment
    from stemwright.passes.planning import RingMoves
    from stemwright.stems.survey import StemFacts


def find_all(
    facts: Mapping[str, StemFacts], assignments: Mapping[str, Assignment], executor: Executor
) -> dict[str, dict[str, RingMoves]]:
    """Find the rings every stem's recipe asks for."""
    return {}
