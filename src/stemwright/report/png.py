"""The plots as PNG files, for those who paste them into a mail: the very drawings of the page, painted with Pillow."""

from __future__ import annotations

import io
import itertools
import re
import unicodedata
from typing import TYPE_CHECKING

from PIL import Image, ImageDraw, ImageFont

from stemwright.errors import SongError
from stemwright.report.drawing import Badge, Box, Drawing, Path, Words
from stemwright.report.plots import WIDE, scale_of, spectrum_plot
from stemwright.report.svg import BADGE_RADIUS, badge_outline
from stemwright.report.waves import wave_plot
from stemwright.stems.whole import write_whole

if TYPE_CHECKING:
    import pathlib
    from collections.abc import Iterator, Sequence

    from stemwright.report.drawing import Point
    from stemwright.report.looking import StemView
    from stemwright.report.rows import StemRow

SCALE = 2  # pixels a unit
FINER = 2  # painted larger by this and brought down, since Pillow draws hard edges
MARGIN, TITLE = 12.0, 28.0
PAPER, INK, SOFT = "#ffffff", "#1d1f21", "#5d6166"
# Style: colour, width, and the dash pattern where there is one, as in the page's style sheet.
LINES: dict[str, tuple[str, float, tuple[float, ...]]] = {
    "grid": ("#e8e6df", 1.0, ()),
    "zero": (SOFT, 1.0, ()),
    "line received": ("#6b6f75", 1.6, (4.0, 2.5)),
    "line that": ("#8a5a00", 2.0, (1.5, 2.5)),
    "line this": ("#0b5c8a", 2.0, ()),
    "line total": (INK, 2.0, ()),
    "line move": ("#b4b6b8", 1.0, ()),
}
FILLS = {"covered": "#9c2f1f", "wave": "#b9bcc0", "wave after": "#0b5c8a", "clipped": "#9c2f1f", "excerpt": "#e6eef3"}


def write_pictures(folder: pathlib.Path, rows: Sequence[StemRow], views: Sequence[StemView], names: dict[str, str]) -> int:
    """Write one picture a stem: spectrum, moves and waveform under each other.

    Parameters
    ----------
    folder : Path
        Made if it is not there; pictures of the same names are replaced.
    rows, views : sequence of StemRow and of StemView
        The page's.
    names : dict of str to str
        What each side is called.

    Returns
    -------
    int
        How many were written.

    Raises
    ------
    SongError
        If one cannot be written.
    """
    written, scale = 0, scale_of(views)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for number, (row, view) in enumerate(zip(rows, views, strict=True), start=1):
            drawings = []
            if view.seen is not None or view.curves is not None:
                drawings.append(spectrum_plot(view, WIDE, names, scale))
            if view.seen is not None:
                drawings.append(wave_plot(view.seen, WIDE))
            if drawings:
                picture = io.BytesIO()
                paint(drawings, row.stem).save(picture, "PNG", optimize=True)
                write_whole(folder / f"{number:02d} {file_name(row.stem)}.png", [picture.getvalue()])
                written += 1
    except OSError as error:
        raise SongError(f"{folder}: the plots cannot be written ({error.strerror or error}); give another folder") from error
    return written


def file_name(stem: str) -> str:
    """Return a stem's name as a file name that every system takes: letters, digits and a few marks, at most 80 of them."""
    plain = re.sub(r"[^\w .()+-]+", "_", unicodedata.normalize("NFC", stem.replace("/", " - ")))
    return plain.strip(" .")[:80] or "stem"


def paint(drawings: Sequence[Drawing], title: str) -> Image.Image:
    """Return drawings under each other with a title over them."""
    unit = SCALE * FINER
    width = max(drawing.width for drawing in drawings) + 2.0 * MARGIN
    height = sum(drawing.height + MARGIN for drawing in drawings) + TITLE + MARGIN
    image = Image.new("RGB", (round(width * unit), round(height * unit)), PAPER)
    brush = _Brush(ImageDraw.Draw(image), unit)
    if title.isascii() or title.encode("latin-1", "ignore").decode("latin-1") == title:  # what the built-in font can write
        brush.words(Words((MARGIN + 4.0, 24.0), title, "title"))
    top = TITLE + MARGIN
    for drawing in drawings:
        brush.origin = (MARGIN, top)
        for shape in drawing.shapes:
            brush.shape(shape)
        top += drawing.height + MARGIN
    return image.resize((round(width * SCALE), round(height * SCALE)), Image.Resampling.LANCZOS)


class _Brush:
    def __init__(self, draw: ImageDraw.ImageDraw, unit: int) -> None:
        self._draw = draw
        self._unit = unit
        self._fonts = {style: ImageFont.load_default(size * unit) for style, size in (("tick", 11.0), ("title", 15.0))}
        self.origin = (0.0, 0.0)

    def shape(self, shape: Path | Box | Words | Badge) -> None:
        if isinstance(shape, Words):
            self.words(shape)
        elif isinstance(shape, Badge):
            self._badge(shape)
        elif isinstance(shape, Box):
            corner = (shape.left + shape.width, shape.top + shape.height)
            self._draw.rectangle([self._at((shape.left, shape.top)), self._at(corner)], fill=FILLS[shape.style])
        elif shape.filled:
            self._draw.polygon([self._at((x, y)) for x, y in shape.points.tolist()], fill=FILLS[shape.style])
        else:
            colour, width, dashes = LINES[shape.style]
            for part in _dashed([(x, y) for x, y in shape.points.tolist()], dashes):
                line = [self._at(point) for point in part]
                self._draw.line(line, fill=colour, width=round(width * self._unit), joint="curve")

    def words(self, words: Words) -> None:
        anchor = {"start": "ls", "middle": "ms", "end": "rs"}[words.anchor]
        colour = SOFT if words.style == "tick" else INK
        # The font that Pillow carries has a hyphen for the minus sign and no minus.
        text = words.text.replace("\N{MINUS SIGN}", "-")
        font = self._fonts.get(words.style, self._fonts["tick"])
        self._draw.text(self._at(words.at), text, fill=colour, font=font, anchor=anchor)

    def _badge(self, badge: Badge) -> None:
        x, y = badge.at
        width = round(1.3 * self._unit)
        outline = badge_outline(badge.at, ring=badge.ring)
        if outline:
            corners = [self._at(point) for point in outline]
            self._draw.polygon(corners, fill=PAPER, outline=FILLS["clipped"], width=width)
        else:
            box = [self._at((x - BADGE_RADIUS, y - BADGE_RADIUS)), self._at((x + BADGE_RADIUS, y + BADGE_RADIUS))]
            self._draw.ellipse(box, fill=PAPER, outline=INK, width=width)
        self.words(Words((x, y + 3.5), str(badge.number), "label", "middle"))

    def _at(self, point: Point) -> tuple[float, float]:
        return ((point[0] + self.origin[0]) * self._unit, (point[1] + self.origin[1]) * self._unit)


def _dashed(points: list[Point], dashes: tuple[float, ...]) -> Iterator[list[Point]]:
    """Yield the parts of a line that are drawn."""
    if not dashes:
        yield points
        return
    drawn, left, part = True, dashes[0], [points[0]]
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        length, done = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5, 0.0
        while length - done > left:
            done += left
            corner = (x0 + (x1 - x0) * done / length, y0 + (y1 - y0) * done / length)
            if drawn:
                yield [*part, corner]
            part, drawn = [corner], not drawn
            left = dashes[0] if drawn else dashes[1]
        left -= length - done
        part.append((x1, y1))
    if drawn and len(part) > 1:
        yield part
