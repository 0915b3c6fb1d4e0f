"""What arrived: each stem's header, hash and state, gathered once before anything is planned."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from stemwright.errors import AudioError
from stemwright.stems.audio import probe
from stemwright.stems.findings import Finding
from stemwright.stems.intake import listen, no_numbers
from stemwright.stems.marks import Marks, read_marks
from stemwright.stems.opening import open_file

if TYPE_CHECKING:
    from concurrent.futures import Executor, Future
    from hashlib import _Hash as Hash
    from pathlib import Path

    from stemwright.stems.info import AudioInfo
    from stemwright.stems.intake import Heard


@dataclass(frozen=True)
class Stamp:
    """Size, times of change and place on the disk of a file: cheap evidence that it is still the one that was hashed."""

    size: int
    mtime_ns: int
    ctime_ns: int
    inode: int


@dataclass(frozen=True, kw_only=True)
class StemFacts:
    """One stem as received. ``info`` and ``sha256`` are None where the file could not be read; a finding says why.

    ``heard`` is None where there was nothing to hear, or nobody asked.
    """

    stem: str
    source: Path
    info: AudioInfo | None
    sha256: str | None
    stamp: Stamp | None
    findings: tuple[Finding, ...]
    heard: Heard | None = None
    marks: Marks = field(default_factory=Marks)

    @property
    def usable(self) -> bool:
        """Whether the stem can be worked on."""
        return self.info is not None and all(finding.severity != "stop" for finding in self.findings)


def stamp_of(path: Path) -> Stamp:
    """Return the stamp of a file."""
    state = path.stat()
    return Stamp(state.st_size, state.st_mtime_ns, state.st_ctime_ns, state.st_ino)


def file_sha256(path: Path) -> str:
    """Return the SHA-256 of a file's bytes, in hex."""
    with open_file(path) as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def survey_stem(stem: str, source: Path, *, hashed: bool = True, heard: bool = False) -> StemFacts:
    """Look at one stem.

    Parameters
    ----------
    stem : str
        Its name.
    source : Path
        Its file.
    hashed : bool
        Whether to hash it; a mere look needs no hash.
    heard : bool
        Whether to listen to all of its audio; recall and verify need not.

    Returns
    -------
    StemFacts
        Never raises for a bad file: what is wrong with it is a finding.
    """
    try:
        stamp = stamp_of(source)
        info = probe(source)
        facts = StemFacts(
            stem=stem, source=source, info=info, sha256=None, stamp=stamp, findings=tuple(_header_findings(stem, info))
        )
        if heard and facts.usable:
            facts = _with_sound(facts, info, hashlib.sha256() if hashed else None)
        if hashed and facts.sha256 is None:
            facts = replace(facts, sha256=file_sha256(source))
    except (AudioError, OSError) as error:
        stop = _stop("unreadable", stem, _without_name(str(error), source.name))
        return StemFacts(stem=stem, source=source, info=None, sha256=None, stamp=None, findings=(stop,))
    return facts


def _with_sound(facts: StemFacts, info: AudioInfo, digest: Hash | None) -> StemFacts:
    """Listen to a stem; its bytes are hashed on the way, so that the file is read once."""
    try:
        sound = listen(facts.source, info, digest)
        marks = read_marks(facts.source, info)
    except (AudioError, OSError) as error:
        stop = _stop("damaged", facts.stem, _without_name(str(error), facts.source.name))
        return replace(facts, findings=(*facts.findings, stop))
    bad = no_numbers(facts.stem, sound, info.rate_hz)
    findings = facts.findings if bad is None else (*facts.findings, bad)
    sha256 = None if digest is None else digest.hexdigest()
    return replace(facts, sha256=sha256, heard=sound, marks=marks, findings=findings)


def begin_survey(sources: dict[str, Path], executor: Executor, *, hashed: bool) -> list[Future[StemFacts]]:
    """Begin to look at every stem and to listen to it, over an executor; the answers come in the order given."""
    return [executor.submit(survey_stem, stem, source, hashed=hashed, heard=True) for stem, source in sources.items()]


def _without_name(text: str, name: str) -> str:
    return text.removeprefix(f"{name}: ")


def _stop(kind: str, stem: str, measured: str) -> Finding:
    return Finding(
        id=kind,
        severity="stop",
        stem=stem,
        measured=measured,
        why="this stem cannot be prepped; the others are not affected",
        do="replace the file, or tell session.yaml to skip it with a reason",
    )


def _header_findings(stem: str, info: AudioInfo) -> list[Finding]:
    findings = []
    if info.cut_short:
        measured = f"cut short: the header promises {info.promised_frames} frames, {info.frames} are there"
        findings.append(_stop("cut-short", stem, measured))
    elif info.frames == 0:
        findings.append(_stop("no-audio", stem, "the file holds 0 frames of audio"))
    if info.lossy:
        findings.append(
            Finding(
                id="lossy",
                severity="warn",
                stem=stem,
                measured=f"{info.container} {info.subtype}: a lossy source",
                why="what the encoder threw away does not come back; the prepped stem becomes a 24-bit WAV",
                do="ask for the uncompressed original",
            )
        )
    return findings
