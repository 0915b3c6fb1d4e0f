"""Drawn: the plots of one stem and of the beat, as pictures for the page in two widths."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.report.places import ride_of
from stemwright.report.plots import NARROW, WIDE, ring_plot, spectrum_plot
from stemwright.report.svg import to_svg
from stemwright.report.template import StemSection
from stemwright.report.waves import beat_plot, wave_plot

if TYPE_CHECKING:
    from collections.abc import Sequence

    from markupsafe import Markup

    from stemwright.report.excerpt import Excerpt
    from stemwright.report.looking import StemView
    from stemwright.report.places import PlaceOnPage
    from stemwright.report.plots import Scale
    from stemwright.report.rows import StemRow

SIZES = ((WIDE, "wide"), (NARROW, "narrow"))


def strip_of(views: list[StemView], excerpts: Sequence[Excerpt], places: Sequence[PlaceOnPage]) -> list[Markup]:
    """Return the beat from start to end in each width; nothing where no stem could be looked at."""
    seen = [view.seen for view in views if view.seen is not None]
    return [to_svg(beat_plot(seen, size, excerpts, places), kind) for size, kind in SIZES] if seen else []


def section_of(  # noqa: PLR0913, PLR0917 - all that a stem's drawings show
    row: StemRow,
    view: StemView,
    names: dict[str, str],
    scale: Scale,
    excerpts: Sequence[Excerpt],
    places: Sequence[PlaceOnPage],
) -> StemSection:
    """Return a stem as the page shows it, its plots drawn; ``places`` are those of all stems."""
    drawn = view.seen is not None or view.curves is not None
    seen = view.seen
    ride = ride_of(view.entry)
    covered = [each for each in places if each.stem == row.stem]
    return StemSection(
        row=row,
        view=view,
        spectrum=tuple(to_svg(spectrum_plot(view, size, names, scale), kind) for size, kind in SIZES) if drawn else (),
        wave=tuple(to_svg(wave_plot(seen, size, excerpts, ride, covered), kind) for size, kind in SIZES) if seen else (),
        rings=tuple((around, to_svg(ring_plot(around, names), "close")) for around in seen.around) if seen else (),
        ride=bool(ride),
        covered=bool(covered),
    )
