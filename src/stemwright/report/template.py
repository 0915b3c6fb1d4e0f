"""The page itself: Jinja2 with everything from outside escaped, own style and script inside, and a policy that lets in no more."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any

import jinja2
import numpy as np
from markupsafe import Markup

from stemwright.passes.story import short_name
from stemwright.report.plots import clock
from stemwright.report.sheet import sheet_of
from stemwright.report.spectra import POINTS_HZ
from stemwright.report.svg import to_svg
from stemwright.stems.names import safe

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from stemwright.passes.manifest import Manifest
    from stemwright.passes.story import Story
    from stemwright.report.beat import BeatOnPage
    from stemwright.report.listening import Matched
    from stemwright.report.looking import StemView
    from stemwright.report.places import PlaceOnPage
    from stemwright.report.rings import Around
    from stemwright.report.rows import StemRow
    from stemwright.stems.findings import Finding

SCRIPTS = ("sound.js", "transport.js", "rows.js", "plots.js", "rings.js", "blind.js")
MINUS = re.compile(r"(?<![\w.)-])-(?=\d)")
UNITS = re.compile(r"(?<=\d) (?=(?:k?Hz|dB|ms|LUFS)\b)|(?<=\bq) (?=\d)")
CLIPS_HERE = Markup("<!--clips-->")
FORM_WORDS = {
    "flac24": "24-bit FLAC",
    "mp3": "MP3, which changes the sound a little; the differences were made before (stemwright report --lossless)",
}


@dataclass(frozen=True, kw_only=True)
class StemSection:
    """One stem on the page: its words, what was found, and its plots in two widths; its rings close up."""

    row: StemRow
    view: StemView
    spectrum: tuple[Markup, ...]
    wave: tuple[Markup, ...]
    rings: tuple[tuple[Around, Markup], ...]
    ride: bool
    covered: bool


@dataclass(frozen=True, kw_only=True)
class PageContent:
    """All that is on a page. ``names`` is what each side is called; ``findings`` are the song's own, None if not looked for.

    ``strip`` is the beat's outline in two widths, ``places`` where stems cover each other, ``in_sum`` what became of the
    sum, in lines.
    """

    title: str
    manifest: Manifest
    since: str | None
    story: Story
    names: dict[str, str]
    stems: tuple[StemSection, ...]
    beat: BeatOnPage | None
    strip: tuple[Markup, ...]
    findings: tuple[Finding, ...] | None
    audio: str | None
    places: tuple[PlaceOnPage, ...] = ()
    in_sum: tuple[str, ...] = ()


def render_page(content: PageContent) -> list[bytes]:
    """Return the page as HTML in UTF-8, in pieces: the audio is most of it, and is not copied about."""
    page = self_contained(
        "page.html.j2",
        SCRIPTS,
        page=content,
        manifest=content.manifest,
        sound=_json(_sound(content)),
        sheet=sheet_of(content.stems, content.manifest),
        read_outs=_json({section.row.id: _read_out(section.view) for section in content.stems}),
        form_words=FORM_WORDS.get(content.audio or "", ""),
        clips_here=CLIPS_HERE,
    )
    # What came from outside is escaped, so the mark is there once.
    head, tail = page.split(CLIPS_HERE.encode())
    return [head, *_clips(content), tail]


def self_contained(template: str, scripts: Iterable[str], **values: object) -> bytes:
    """Return a page as HTML in UTF-8, with the house's style and these scripts in it and a policy that lets in no more."""
    style = _asset("page.css")
    script = "\n".join(_asset(name) for name in scripts)
    policy = "; ".join(
        (
            "default-src 'none'",
            f"script-src '{_hash(script)}'",
            f"style-src '{_hash(style)}'",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )
    page = _template(template).render(
        policy=Markup(policy),  # noqa: S704 - our own hashes
        style=Markup(style),  # noqa: S704 - our own file
        script=Markup(script),  # noqa: S704 - our own file
        **values,
    )
    return page.encode("utf-8", "backslashreplace")


def _clips(content: PageContent) -> Iterator[bytes]:
    for stem, heard in (content.beat.stems if content.beat else {}).items():
        for clip in heard.clips:
            yield f'<script type="text/plain" class="clip" data-of="{stem}" data-clip="{clip.side}" data-in="{clip.excerpt}">'.encode()
            yield clip.data
            yield b"</script>\n"


def _sound(content: PageContent) -> dict[str, Any] | None:
    """Return what the player needs to know beside the clips."""
    beat = content.beat
    if beat is None:
        return None
    stems = {
        stem: {"scale": round(heard.scale_db, 3), "gains": [each.gains_db for each in heard.matched], "of": heard.of}
        for stem, heard in beat.stems.items()
    }
    return {
        "rate": beat.rate_hz,
        "quality": beat.quality,
        "excerpts": [{"start": one.start_s, "seconds": one.seconds} for one in beat.excerpts],
        "before": beat.before,
        "names": content.names,
        "gains": [each.gains_db for each in beat.matched],
        "title": content.title,
        "stems": stems,
        "start": beat.start_db,
    }


@cache
def _template(name: str) -> jinja2.Template:
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("stemwright.report", "assets"),
        autoescape=True,
        finalize=lambda value: "\n".join(map(safe, value.split("\n"))) if type(value) is str else value,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {"neat": neat, "tied": tied}
    environment.globals |= {
        "svg": to_svg,
        "positions": _positions,
        "gain_words": _gain_words,
        "clock": clock,
        "short_name": short_name,
    }
    return environment.get_template(name)


def neat(text: str) -> str:
    """Return a text with a minus sign, not a hyphen, in front of its numbers, and a real arrow."""
    return MINUS.sub("\N{MINUS SIGN}", text).replace("->", "\N{RIGHTWARDS ARROW}")


def tied(text: str) -> str:
    """Return a neat text whose numbers never part from their units at the end of a line."""
    return UNITS.sub("\N{NO-BREAK SPACE}", neat(text))


def _asset(name: str) -> str:
    return resources.files("stemwright.report").joinpath("assets", name).read_text(encoding="utf-8").strip()


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _json(data: Any) -> Markup:  # noqa: ANN401 - any JSON value
    """Return JSON that no parser of HTML sees an end tag or a comment in."""
    text = json.dumps(data, separators=(",", ":"), allow_nan=False)
    return Markup(text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026"))  # noqa: S704 - escaped here


def _read_out(view: StemView) -> dict[str, Any]:
    """Return the numbers behind a stem's plots, to a tenth, for the pointer."""
    found: dict[str, Any] = {"sides": {}, "moves": []}
    if view.seen is not None:
        found["points"] = _rounded(POINTS_HZ)
        found["sides"] = {side: _rounded(levels) for side, levels in view.seen.spectra_db.items()}
    if view.curves is not None:
        found["freqs"] = _rounded(view.curves.freq_hz)
        found["total"] = _rounded(view.curves.total_db, 2)
        found["moves"] = [None if curve is None else _rounded(curve, 2) for curve in view.curves.each_db]
    return found


def _rounded(values: np.ndarray, digits: int = 1) -> list[float]:
    return [float(value) for value in np.round(values, digits)]


def _positions(content: PageContent) -> list[tuple[str, str]]:
    """Return the positions of the player: what is compared first, then what was received, then the differences."""
    names = content.names
    sides = ["that", "this", "received"] if content.since else ["received", "this"]
    return [*((side, names[side]) for side in sides), ("changed", "what changed"), ("null", "null")]


def _gain_words(matched: Matched, names: dict[str, str]) -> str:
    """Say how the sides were matched."""
    gains = {names[side]: gain for side, gain in matched.gains_db.items()}
    if len(gains) == 1:
        return "as received: one position says it all"
    if matched.by == "nothing":
        return "silence here, nothing to match"
    lowered = [f"{name} {gain:+.1f} dB" for name, gain in gains.items() if gain <= -0.05]
    how = "loudness (BS.1770)" if matched.by == "LUFS" else "RMS (too short or too quiet for BS.1770)"
    return f"matched by {how}: " + (", ".join(lowered) or "already equal")
