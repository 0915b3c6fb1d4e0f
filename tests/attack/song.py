"""Song: the small song that is attacked, the commands, and what must not change on disk."""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
from pathlib import Path

import numpy as np
import soundfile
from scipy.signal import sosfilt

from stemwright.cli import main
from stemwright.dsp.sections import design
from stemwright.stems.names import safe

NOTE = "piano: more bite"
READERS = tuple(
    tuple(line.split("|"))
    for line in (
        "prep|@|--plan", "prep|@|--no-page|--json", f"note|@|{NOTE}|--plan", f"note|@|{NOTE}|--no-page|--json", "verify|@|1",
        "history|@|--json", "compare|@|1|2", "recall|@|1|--no-page", "keep|@|kick|--json", "look|@|--json", "report|@|1|--no-audio",
        "pack|@|1", "sum|@|1", "index|@|--to|@/passes/index.html", "words|learn|@|3|--by|Ann", "recipes|check|@/recipes/own.yaml",
        "recipes|drift|@", "recipes|pack|@/recipes|--to|@/passes/house.zip", "words|list|@",
    )
)  # fmt: skip
WRITERS = tuple(
    tuple(line.split("|"))
    for line in (
        "prep|@|--jobs|1|--no-page", f"note|@|{NOTE}|--jobs|1|--no-page", "recall|@|1|--jobs|1|--no-page", "keep|@|piano",
        "keep|@|kick|--release", "pack|@|1", "pack|@|1|--zip", "report|@|1|--no-audio", "report|@|1|--no-audio|--png|@/passes/png",
        "sum|@|1|--jobs|1", "words|learn|@|3|--by|Bea", "look|@|--write-session", "index|@|--to|@/passes/index.html",
        "recipes|pack|@/recipes|--to|@/passes/house.zip", "recipes|add|@/own.zip|--to|@/passes/house",
        "rings|@/recipes/rung.wav|--audition|@/passes/rings",
    )
)  # fmt: skip
DRAFTING = "--write-session"


def make_song(song: Path) -> None:
    """Make a song of two stems with three passes, one stem kept, its own recipe and words, and something to do for prep."""
    for folder in (song, song / "recipes", song / "words"):
        folder.mkdir()
    for seed, name in enumerate(("kick.wav", "piano.wav")):
        noise = np.random.default_rng(seed).standard_normal((24_000, 2)) * 0.1
        soundfile.write(song / name, noise, 48_000, "PCM_24")
    soundfile.write(song / "recipes/rung.wav", _ringing(), 48_000, "PCM_16")  # not a stem, being where it is
    sheet = "song: attacked\napprover: Ann\nstems:\n  kick.wav: {role: kick}\ndeliver: {bits: 24}\n"
    (song / "session.yaml").write_text(sheet)
    (song / "recipes/own.yaml").write_text(
        "recipe: piano\nbased_on: piano\nmoves:\n  - bell: {freq: 3 kHz, gain: +1 dB, q: 2}\n    name: more\n    why: ours\n"
    )
    (song / "words/ann.yaml").write_text(
        "by: Ann\nwords:\n  sparkly:\n    why: a\n    means:\n      - to: [music]\n        moves: [bell: {freq: 9 kHz, gain: 2 dB}]\n"
    )
    before = (
        ("prep", "@", "--no-page"), ("note", "@", NOTE, "--by", "Bea", "--no-page"),
        ("note", "@", "piano: a bit more bite", "--by", "Bea", "--no-page"), ("keep", "@", "kick"),
        ("recipes", "pack", "@/recipes", "--to", "@/own.zip"),
    )  # fmt: skip
    for command in before:
        code, said = run(command, song)
        assert code in (0, 1), said
    (song / "session.yaml").write_text(sheet.replace("24}", "16}"))


def _ringing() -> np.ndarray:
    """Noise in bursts with a narrow bell in it, which the rings command finds."""
    noise = np.random.default_rng(3).standard_normal((4 * 48_000, 1)) * 0.03
    noise *= 0.3 + np.exp(-5.0 * (np.arange(len(noise)) / 48_000 * 2.0 % 1.0))[:, None]
    return sosfilt(design("bell", {"freq_hz": 3000.0, "gain_db": 12.0, "q": 30.0}, 48_000).copy(), noise, axis=0)


def run(command: tuple[str, ...], song: Path) -> tuple[int, str]:
    """Run a command on a song; returns its exit code and the end of what it said, or of the log where it was our bug."""
    said, shown = io.StringIO(), io.StringIO()
    with contextlib.redirect_stderr(said), contextlib.redirect_stdout(shown):
        code = main([part.replace("@", str(song)) for part in command])
    text = said.getvalue()
    raw = [line for line in (text + shown.getvalue()).splitlines() if safe(line) != line]
    if raw:
        return 71, f"control or direction characters on the terminal: {raw[:1]!r}"
    if "Please send us " in text:
        log = Path(text.rpartition("Please send us ")[2].strip())
        text = "; ".join(log.read_text().splitlines())
        log.unlink()
    return code, text[-1500:]


def _hash(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def safe_files(song: Path) -> dict[str, str]:
    """Return the hashes of what nothing may change: the stems as received, recipes, and all files of the three passes."""
    found = (*song.glob("*.*"), *song.glob("recipes/*"), *song.glob("passes/pass-0[123]/**/*"))
    return {str(path): _hash(path) for path in found if path.is_file() and path.name != "report.html"}


def outcome(song: Path) -> dict[str, str]:
    """Return what a command made: by its bytes where they are always the same, by its being there elsewhere."""
    found = {}
    for path in song.rglob("*"):
        hashed = path.suffix in (".wav", ".zip", ".yaml", ".png", ".flac") or path.name == "kept.json"
        if path.is_file() and not any(part.startswith(".") for part in path.relative_to(song).parts):
            found[path.relative_to(song).as_posix()] = _hash(path) if hashed else ""
    return found


def left_lying(song: Path) -> list[Path]:
    """Return what a run has left behind; a lock's file is let go of by the next run."""
    return [path for path in song.rglob(".*") if path.name != ".lock"]


def kept(song: Path) -> set[str]:
    """Return the stems that are signed off."""
    return {each["stem"] for each in json.loads((song / "passes/kept.json").read_text())["kept"]}


def came_from(song: Path) -> dict[str, tuple[str, str]]:
    """Return each pass's kind and the pass it says it came from, oldest first."""
    because = {
        path.parent.name: json.loads(path.read_text())["because"] for path in sorted(song.glob("passes/*/manifest.json"))
    }
    return {name: (each["kind"], each["from"]) for name, each in because.items()}
