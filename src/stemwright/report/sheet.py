"""The recall sheet as a grid to pin up: one row a stem, one column a kind of move."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.plan.wording import decibels, describe, frequency, places_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.passes.manifest import Manifest
    from stemwright.plan.items import PlannedMove
    from stemwright.report.template import StemSection

COLUMNS = ("roll-offs", "bands", "shelves", "rings", "other")


@dataclass(frozen=True, kw_only=True)
class SheetRow:
    """A stem of the sheet: its name, its form, recipe and version, a cell for each of `COLUMNS`, levels, or why nothing."""

    stem: str
    form: str
    recipe: str
    cells: tuple[tuple[str, ...], ...]
    lufs: tuple[str, str]
    peak: tuple[str, str]
    why: str


def sheet_of(sections: Iterable[StemSection], manifest: Manifest) -> list[SheetRow]:
    """Return the rows of a pass's sheet, in the order of the names.

    Parameters
    ----------
    sections : iterable of StemSection
    manifest : Manifest
    """
    versions = {source.name: source.version for source in manifest.recipes}
    rows = []
    for section in sorted(sections, key=lambda each: each.row.stem):
        row, item = section.row, section.view.entry.item
        version = f" v{versions[item.recipe]}" if item.recipe in versions else ""
        cells: dict[str, list[str]] = {name: [] for name in COLUMNS}
        for move in item.moves:
            cells[_column(move)].append(_short(move))
        rows.append(
            SheetRow(
                stem=row.stem,
                form=row.form,
                recipe=f"{item.recipe}{version}" if item.recipe else "",
                cells=tuple(tuple(cell) for cell in cells.values()),
                lufs=row.lufs,
                peak=row.peak,
                why="" if item.moves else f"{item.status}: {item.why}",
            )
        )
    return rows


def _column(move: PlannedMove) -> str:
    if move.found is not None or move.kind == "notch":
        return "rings"
    kinds = {
        "high_pass": "roll-offs",
        "low_pass": "roll-offs",
        "bell": "bands",
        "low_shelf": "shelves",
        "high_shelf": "shelves",
    }
    return kinds.get(move.kind, "other")


def _short(move: PlannedMove) -> str:
    """Return a move without what its column says already, with where it is made."""
    return f"{_settings(move)}{places_of(move)}"


def _settings(move: PlannedMove) -> str:
    settings = move.settings
    if move.kind in ("high_pass", "low_pass"):
        linear = " lin" if settings.get("linear_phase") else ""
        return f"{'HP' if move.kind == 'high_pass' else 'LP'} {frequency(settings['freq_hz'])} {settings['slope_db_oct']:g}{linear}"
    if move.kind in ("bell", "notch"):
        return f"{frequency(settings['freq_hz'])} {decibels(settings['gain_db'])} q {settings['q']:.3g}"
    if move.kind in ("low_shelf", "high_shelf"):
        return f"{'low' if move.kind == 'low_shelf' else 'high'} {frequency(settings['freq_hz'])} {decibels(settings['gain_db'])}"
    return describe(move.kind, settings)
