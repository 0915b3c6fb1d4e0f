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

from stemwright.report.spectra import POINTS_HZ
from stemwright.report.svg import to_svg
from stemwright.stems.names import safe

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from stemwright.passes.manifest import Manifest
    from stemwright.report.beat import Beat
    from stemwright.report.listening import Heard
    from stemwright.report.looking import StemView
    from stemwright.report.rows import StemRow
    from stemwright.stems.findings import Finding

SCRIPTS = ("plots.js", "player.js", "blind.js", "table.js")
MINUS = re.compile(r"(?<![\w.)-])-(?=\d)")
CLIPS_HERE = Markup("<!--clips-->")
FORM_WORDS = {
    "flac16": "16-bit FLAC",
    "flac24": "24-bit FLAC",
    "mp3": "MP3, which changes the sound a little; the differences were made before",
}


@dataclass(frozen=True, kw_only=True)
class StemSection:
    """One stem on the page: its words, what was found, and its plots in two widths."""

    row: StemRow
    view: StemView
    spectrum: tuple[Markup, ...]
    wave: tuple[Markup, ...]


@dataclass(frozen=True, kw_only=True)
class PageContent:
    """All that is on a page. ``names`` is what each side is called; ``findings`` are the song's own, None if not looked for."""

    manifest: Manifest
    since: str | None
    names: dict[str, str]
    stems: tuple[StemSection, ...]
    beat: Beat | None
    findings: tuple[Finding, ...] | None
    audio: str | None


def render_page(content: PageContent) -> list[bytes]:
    """Return the page as HTML in UTF-8, in pieces: the audio is most of it, and is not copied about."""
    page = self_contained(
        "page.html.j2",
        SCRIPTS,
        page=content,
        manifest=content.manifest,
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
    heard = [(section.row.id, section.view.heard) for section in content.stems]
    for player, sounds in [("beat", content.beat.heard if content.beat else None), *heard]:
        for clip in sounds.clips if sounds else ():
            yield f'<script type="text/plain" class="clip" data-of="{player}" data-clip="{clip.side}">'.encode()
            yield clip.data
            yield b"</script>\n"


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
    environment.filters["neat"] = neat
    environment.globals |= {"svg": to_svg, "sides": _sides, "gain_words": _gain_words}
    return environment.get_template(name)


def neat(text: str) -> str:
    """Return a text with a minus sign, not a hyphen, in front of its numbers, and a real arrow."""
    return MINUS.sub("\N{MINUS SIGN}", text).replace("->", "\N{RIGHTWARDS ARROW}")


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


def _sides(heard: Heard, names: dict[str, str]) -> list[tuple[str, str]]:
    """Return the positions of a player in the order they were made: received, that pass, this pass."""
    there = {clip.side for clip in heard.clips}
    return [(side, names[side]) for side in ("received", "that", "this") if side in there]


def _gain_words(heard: Heard, names: dict[str, str]) -> str:
    """Say how the sides were matched."""
    gains = {names[side]: gain for side, gain in heard.matched.gains_db.items()}
    if len(gains) == 1:
        return "as received: one position says it all"
    if heard.matched.by == "nothing":
        return "silence, nothing to match"
    lowered = [f"{name} {gain:+.1f} dB" for name, gain in gains.items() if gain <= -0.05]
    how = "loudness (BS.1770)" if heard.matched.by == "LUFS" else "RMS (too short or too quiet for BS.1770)"
    return f"matched by {how}: " + (", ".join(lowered) or "already equal")
