"""The page of a pass: read its manifest and audio, look at every stem, and write one self-contained file beside them."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.errors import SongError, StemwrightError
from stemwright.handover.sum_story import tell_sum
from stemwright.passes.manifest_file import read_manifest
from stemwright.passes.story import story_of
from stemwright.recipes.session import SessionSheet, load_session
from stemwright.report.beat import BeatStem, hear_beat
from stemwright.report.drawn import section_of, strip_of
from stemwright.report.kept import kept_page
from stemwright.report.looking import LookJob, look_at
from stemwright.report.places import places_of
from stemwright.report.plots import scale_of
from stemwright.report.rows import same_file, stem_rows
from stemwright.report.template import PageContent, render_page
from stemwright.stems.whole import write_whole

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from concurrent.futures import Executor
    from pathlib import Path

    from stemwright.dsp.overview import Overview
    from stemwright.handover.sum_story import SumStory
    from stemwright.passes.entry import Entry
    from stemwright.passes.make import Made
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.plain import Plain
    from stemwright.recipes.timeline import Timeline
    from stemwright.report.beat import BeatOnPage
    from stemwright.report.kept import KeptPage
    from stemwright.report.looking import StemView
    from stemwright.report.rows import StemRow
    from stemwright.stems.findings import Finding
    from stemwright.stems.survey import StemFacts

PAGE_NAME = "report.html"
RECEIVED = "received"


@dataclass(frozen=True, kw_only=True)
class PageOptions:
    """What goes on the page.

    ``audio`` is the form of the excerpts: ``mp3``, ``flac24`` (lossless at the song's own rate), or None. ``since`` is the pass
    to compare with; None takes the one this pass came from (a recall: the one it left). ``check`` holds every file against its
    hash first. ``png`` is a folder for the plots as pictures.
    """

    audio: str | None = "mp3"
    since: str | None = None
    check: bool = False
    png: Path | None = None


@dataclass(frozen=True, kw_only=True)
class Written:
    """A page that was written: where, its size, how much of it is audio, pictures written, and stems it could not show."""

    path: Path
    size_bytes: int
    audio_bytes: int
    pictures: int
    problems: tuple[tuple[str, str], ...]

    def as_json(self) -> Plain:
        """Return it as plain JSON values."""
        return {
            "page": str(self.path),
            "size_bytes": self.size_bytes,
            "audio_bytes": self.audio_bytes,
            "pictures": self.pictures,
            "problems": [{"stem": stem, "problem": problem} for stem, problem in self.problems],
        }


def write_page(  # noqa: PLR0913 - the last four are what a caller may know already
    song: SongFolder,
    pass_name: str,
    executor: Executor,
    options: PageOptions | None = None,
    findings: Sequence[Finding] | None = None,
    *,
    manifest: Manifest | None = None,
    in_sum: SumStory | None = None,
    overviews: Mapping[str, dict[str, Overview]] | None = None,
) -> Written:
    """Write the page of a complete pass into its folder; an older page is replaced whole.

    Parameters
    ----------
    song : SongFolder
    pass_name : str
        A complete pass of it.
    executor : Executor
        Looks at the stems.
    options : PageOptions, optional
    findings : sequence of Finding, optional
        Of the intake; None where nobody listened for them.
    manifest : Manifest, optional
        The pass's, where a run has only just written it; read and checked otherwise.
    in_sum : SumStory, optional
        What the pass did to the sum; found out otherwise.
    overviews : mapping of str to dict of str to Overview, optional
        By stem and side, what the run that made the pass has seen of them; see `overviews_of`.

    Returns
    -------
    Written

    Raises
    ------
    ManifestError
        If a manifest cannot be read.
    SongError
        If the page cannot be written.
    """
    options = options or PageOptions()
    folder = song.passes_dir / pass_name
    manifest = manifest or read_manifest(folder)
    since = _since(song, manifest, options.since)
    seen = overviews or {}
    jobs = [_job(song, manifest, since, entry, options, seen.get(entry.stem, {})) for entry in manifest.stems]
    rows = stem_rows(manifest, since, findings or ())
    names = _names(manifest, since)
    views = list(executor.map(look_at, jobs))
    sheet = _sheet(song)
    kept = kept_page(song.passes_dir / since.name / PAGE_NAME) if since is not None and options.audio == "mp3" else None
    heard = options.audio is not None
    beat = _beat(rows, views, options.audio or "", names, (sheet.timeline, kept), executor) if heard else None
    excerpts = beat.excerpts if beat else ()
    scale = scale_of(views)
    in_sum = in_sum or _in_sum(song, manifest, since, views, executor)
    places = places_of(song, manifest)
    shared = ([each] * len(rows) for each in (names, scale, excerpts, places))
    drawn = executor.map(section_of, rows, views, *shared)
    content = PageContent(
        title=sheet.song or song.folder.name,
        manifest=manifest,
        since=since.name if since else None,
        story=story_of(manifest, since, _recalled(song, manifest)),
        names=names,
        stems=tuple(sorted(drawn, key=lambda section: section.row.rank)),
        beat=beat,
        strip=tuple(strip_of(views, excerpts, places)),
        findings=None if findings is None else tuple(each for each in findings if each.stem is None),
        audio=options.audio,
        places=places,
        in_sum=() if in_sum is None else in_sum.lines,
    )
    page = render_page(content)
    path = folder / PAGE_NAME
    replace_whole(path, page)
    return Written(
        path=path,
        size_bytes=sum(len(piece) for piece in page),
        audio_bytes=sum(len(clip.data) for each in beat.stems.values() for clip in each.clips) if beat else 0,
        pictures=_pictures(options.png, rows, views, names),
        problems=tuple((view.entry.stem, view.problem) for view in views if view.problem),
    )


def _since(song: SongFolder, manifest: Manifest, asked: str | None) -> Manifest | None:
    """Return the pass to compare with: the one asked for, or the one this pass came from if it is still there."""
    if asked is not None:
        name = song.find_pass(asked)
        if name == manifest.name:
            raise SongError(f"{name} cannot be compared with itself; give another pass")
        return read_manifest(song.passes_dir / name)
    names = song.passes()
    came_from = manifest.because.came_from
    if manifest.because.kind == "recall":  # what a recall is heard against is the pass it left
        at = names.index(manifest.name) if manifest.name in names else 0
        came_from = names[at - 1] if at else None
    if came_from is None or came_from == manifest.name or came_from not in names:
        return None
    return read_manifest(song.passes_dir / came_from)


def _recalled(song: SongFolder, manifest: Manifest) -> Manifest | None:
    """Return the pass that a recall brought back, where it can still be read."""
    asked = manifest.because.came_from
    if manifest.because.kind != "recall" or asked not in song.passes():
        return None
    with suppress(StemwrightError):
        return read_manifest(song.passes_dir / asked)
    return None


def _in_sum(
    song: SongFolder, manifest: Manifest, since: Manifest | None, views: list[StemView], executor: Executor
) -> SumStory | None:
    """Tell the sum where every file is there and can be read; what is wrong with one stands at its stem."""
    if any(view.problem for view in views):
        return None
    with suppress(SongError):
        return tell_sum(song, manifest, executor, since)
    return None


def _sheet(song: SongFolder) -> SessionSheet:
    """Return the session sheet; an empty one where it cannot be read: a page needs none."""
    with suppress(StemwrightError, OSError):
        return load_session(song.folder)
    return SessionSheet()


def overviews_of(made: Made, facts: Mapping[str, StemFacts]) -> dict[str, dict[str, Overview]]:
    """Return what a run has seen of its stems, by stem and side: while it listened to them, and while it wrote them."""
    received = {stem: each.heard.overview for stem, each in facts.items() if each.heard is not None}
    sides = {RECEIVED: received, "this": made.overviews}
    stems = [entry.stem for entry in made.manifest.stems]
    return {stem: {side: found for side, all_ in sides.items() if (found := all_.get(stem)) is not None} for stem in stems}


def _job(  # noqa: PLR0913, PLR0917 - a job's parts
    song: SongFolder,
    manifest: Manifest,
    since: Manifest | None,
    entry: Entry,
    options: PageOptions,
    overviews: dict[str, Overview],
) -> LookJob:
    folder = song.passes_dir / manifest.name / "stems"
    that, hashes = None, {}
    output, received = entry.output, entry.item.input
    old = since.entries.get(entry.stem) if since is not None else None
    if since is not None and old is not None and output and old.output and not same_file(entry, old):
        that = song.passes_dir / since.name / "stems" / old.output.path
        hashes["that"] = old.output.sha256
    if output and received:
        hashes |= {RECEIVED: received.sha256, "this": output.sha256}
    return LookJob(
        song=song.folder,
        entry=entry,
        received=song.folder / (received.path if received else entry.stem),
        this=folder / (output.path if output else entry.stem),
        that=that,
        before="that" if since is not None else RECEIVED,
        hashes=hashes,
        check=options.check,
        overviews=overviews,
    )


def _names(manifest: Manifest, since: Manifest | None) -> dict[str, str]:
    return {RECEIVED: "received", "that": since.name if since else "", "this": manifest.name}


def _beat(  # noqa: PLR0913, PLR0917 - all that the beat is made of
    rows: list[StemRow],
    views: list[StemView],
    form: str,
    names: dict[str, str],
    known: tuple[Timeline, KeptPage | None],
    executor: Executor,
) -> BeatOnPage | None:
    """Cut the excerpts of the stems that could be looked at, where those that changed sound."""
    stems = [
        BeatStem(
            id=row.id,
            stem=row.stem,
            files=view.files,
            of=view.of,
            moments=view.moments,
            changed="that" in view.files or (not names["that"] and "this" in view.files),
            seconds=view.seen.seconds,
            rate_hz=view.seen.rate_hz,
        )
        for row, view in zip(rows, views, strict=True)
        if view.seen is not None
    ]
    timeline, kept = known
    return hear_beat(stems, form, "that" if names["that"] else RECEIVED, timeline, executor, kept)


def replace_whole(path: Path, page: list[bytes]) -> None:
    """Write a page aside and rename it into place: an older one stays until the new one is whole."""
    try:
        write_whole(path, page)
    except OSError as error:
        raise SongError(f"{path.parent.name}/{path.name}: cannot be written ({error.strerror})") from error


def _pictures(folder: Path | None, rows: list[StemRow], views: list[StemView], names: dict[str, str]) -> int:
    if folder is None:
        return 0
    # Imported here: Pillow is only for those who ask for pictures.
    from stemwright.report.png import write_pictures  # noqa: PLC0415

    return write_pictures(folder, rows, views, names)
