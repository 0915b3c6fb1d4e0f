"""The standing attack: broken texts, broken audio, a kill and a full disk at every moment, pairs of commands at once.

    .venv/bin/python tests/attack/attack.py --seconds 3600      # an hour; every failure is printed with its seed
    .venv/bin/python tests/attack/attack.py --seed 7 --only texts

Every trial works on a copy of one small song. Whatever happens: exit codes 0, 1 and 2 only, no trial over 5 s, the stems and
the earlier pass as they were; after a kill or a full disk the next run gives the bytes of an undisturbed one, and nothing is
left lying.
"""

from __future__ import annotations

import argparse
import contextlib
import errno
import hashlib
import io
import itertools
import json
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import soundfile

from stemwright.cli import main
from stemwright.errors import StemwrightError
from stemwright.passes.manifest_file import plan_hash
from stemwright.passes.song import open_song

SLOWEST_S = 5.0
TEXTS = ("session.yaml", "recipes/own.yaml", "words/ann.yaml", "passes/pass-01/manifest.json", "passes/kept.json")
NASTY = [None, True, -1, 0, 1, 10**12, 10**400, 1e308, -1e308, float("nan"), float("inf"), "", "../x", "/etc/passwd", [], {}]
NASTY += ["\u202e", "x" * 5000, "yes", "1e999", [[]], {"a": {}}, "NaN", "MP3", 2**64]
READERS = (
    ("prep", "--plan"), ("prep", "--no-page"), ("note", "piano: more bite", "--plan"), ("verify",), ("history",),
    ("compare", "1", "1"), ("recall", "1", "--no-page"), ("keep", "kick"), ("look",), ("report", "--no-audio"), ("pack", "1"),
)  # fmt: skip
WRITERS = (
    ("prep", "--jobs", "1"), ("note", "piano: more bite", "--jobs", "1"), ("keep", "piano"), ("keep", "kick", "--release"),
    ("pack", "1"), ("pack", "1", "--zip"), ("report", "1", "--no-audio"),
)  # fmt: skip
CONTAINERS = (
    "WAV PCM_24",
    "WAV FLOAT",
    "RF64 PCM_16",
    "AIFF PCM_24",
    "FLAC PCM_16",
    "CAF PCM_24",
    "W64 PCM_16",
    "AU PCM_16",
)
CONTAINERS += ("OGG VORBIS", "MP3 MPEG_LAYER_III")


class Attack:
    """Trials on copies of one song, and what failed."""

    def __init__(self, seed: int, ends: float, folder: Path) -> None:
        self.random, self.ends, self.folder = random.Random(seed), ends, folder
        self.failures: list[str] = []
        self.trials = 0
        self._base = folder / "base"
        _make_song(self._base)

    def song(self) -> Path:
        target = self.folder / "song"
        shutil.rmtree(target, ignore_errors=True)
        shutil.copytree(self._base, target, symlinks=True)
        return target

    @property
    def over(self) -> bool:
        return time.monotonic() > self.ends

    def check(self, what: str, good: object) -> None:
        if not good:
            self.failures.append(what)
            print("FAILED", what, flush=True)

    def texts(self) -> None:
        while not self.over:
            song, name, command = self.song(), self.random.choice(TEXTS), self.random.choice(READERS)
            path = song / name
            path.write_bytes(self._mutated(path.read_bytes(), name))
            self._trial(f"{name} {command}", song, command)

    def _mutated(self, raw: bytes, name: str) -> bytes:
        if name.endswith(".json") and self.random.random() < 0.7:
            data = json.loads(raw)
            for _ in range(self.random.randint(1, 3)):
                _break(data, self.random)
            with contextlib.suppress(Exception):  # where nothing is left to hash
                data["plan_sha256"] = plan_hash(data)
            return json.dumps(data).encode()
        data = bytearray(raw)
        for _ in range(self.random.randint(1, 4)):
            at, length = self.random.randrange(len(data) + 1), self.random.randint(0, 12)
            piece = self.random.choice(
                [b"", b"\x00", b": ", b"- ", b"[", b"{", b"&a *a", b"\n  ", b"\xff", b"1e999", b"-9" * 40]
            )
            data[at : at + length] = piece
        return bytes(data)

    def audio(self) -> None:
        for how in itertools.cycle(CONTAINERS):
            if self.over:
                return
            song = self.song()
            container, subtype = how.split()
            path = song / f"pad.{ {'RF64': 'wav', 'AIFF': 'aif'}.get(container, container.lower()) }"
            noise = np.random.default_rng(self.trials).standard_normal((4000, 2)) * 0.1
            soundfile.write(path, noise, 48_000, subtype, format=container)
            raw = bytearray(path.read_bytes())
            for _ in range(self.random.randint(1, 8)):
                reach = self.random.choice([64, 256, len(raw)])
                raw[self.random.randrange(min(reach, len(raw)))] = self.random.randrange(256)
            path.write_bytes(raw[: self.random.randint(1, len(raw))] if self.random.random() < 0.2 else raw)
            self._trial(f"{how} in prep", song, ("prep", "--no-page"))

    def _trial(self, what: str, song: Path, command: tuple[str, ...]) -> None:
        before, began = _safe_files(song), time.monotonic()
        code, said = _run(command, song)
        self.trials += 1
        took = time.monotonic() - began
        self.check(f"trial {self.trials} {what}: exit {code}, {took:.1f} s: {said}", code in (0, 1, 2) and took < SLOWEST_S)
        self.check(f"trial {self.trials} {what}: stems or an earlier pass changed", _safe_files(song) == before)

    def kills(self) -> None:
        self._moments("kill")

    def disk(self) -> None:
        self._moments("full")

    def _moments(self, how: str) -> None:
        for command in self.random.sample(WRITERS, len(WRITERS)):
            song = self.song()
            code = _forked(command, song)
            self.check(f"{command} undisturbed: exit {code}", code in (0, 1))
            undisturbed = _outcome(song)
            moments = int((self.folder / "moments").read_text())
            for moment in self.random.sample(range(moments), moments):
                if self.over:
                    return
                song = self.song()
                before, was = _safe_files(song), _outcome(song)
                code = _forked(command, song, how, moment)
                self.trials += 1
                what = f"{how} {moment} of {moments} in {command}"
                self.check(f"{what}: exit {code}", code in ((-9, 0, 1) if how == "kill" else (0, 1, 2)))
                self.check(f"{what}: stems or an earlier pass changed", _safe_files(song) == before)
                if _outcome(song) == was:
                    _run(command, song)
                self.check(f"{what}: the next run gave something else", _outcome(song) == undisturbed)
                _run(("prep", "--no-page"), song)
                _run(("pack", "1", "--zip"), song)
                left = [path for path in song.rglob(".*") if path.name != ".lock"]
                self.check(f"{what}: left lying: {left}", not left)

    def pairs(self) -> None:
        for pair in self.random.sample(list(itertools.combinations_with_replacement(WRITERS, 2)), 28):
            if self.over:
                return
            song = self.song()
            before = _safe_files(song)
            children = [_fork(command, song) for command in pair]
            codes = [_code(child) for child in children]
            self.trials += 1
            self.check(f"{pair} at once: exits {codes}", set(codes) <= {0, 1, 2})
            self.check(f"{pair} at once: stems or an earlier pass changed", _safe_files(song) == before)
            for name in open_song(song).passes():
                self.check(f"{pair} at once: {name} is not whole", _run(("verify", name), song)[0] == 0)
            self.check(f"{pair} at once: left lying", not list(song.rglob(".*")))


def _make_song(song: Path) -> None:
    for folder in (song, song / "recipes", song / "words"):
        folder.mkdir()
    for seed, name in enumerate(("kick.wav", "piano.wav")):
        noise = np.random.default_rng(seed).standard_normal((24_000, 2)) * 0.1
        soundfile.write(song / name, noise, 48_000, "PCM_24")
    (song / "session.yaml").write_text("song: attacked\napprover: Ann\nstems:\n  kick: {role: kick}\ndeliver: {bits: 24}\n")
    (song / "recipes/own.yaml").write_text(
        "recipe: piano\nbased_on: piano\nmoves:\n  - bell: {freq: 3 kHz, gain: +1 dB, q: 2}\n    name: more\n    why: ours\n"
    )
    (song / "words/ann.yaml").write_text(
        "by: Ann\nwords:\n  sparkly:\n    why: a\n    means:\n      - to: [music]\n        moves: [bell: {freq: 9 kHz, gain: 2 dB}]\n"
    )
    for command in (("prep", "--no-page"), ("keep", "kick")):
        code, said = _run(command, song)
        assert code in (0, 1), said
    (song / "session.yaml").write_text(
        (song / "session.yaml").read_text().replace("24}", "16}").replace("  kick", "  kick.wav")
    )


def _break(data: object, chance: random.Random) -> None:
    """Put something nasty somewhere into a tree of JSON, or take something away."""
    while isinstance(data, dict | list) and data:
        keys = list(data) if isinstance(data, dict) else list(range(len(data)))
        key = chance.choice(keys)
        inner = data[key]
        if isinstance(inner, dict | list) and inner and chance.random() < 0.85:
            data = inner
        elif chance.random() < 0.2:
            del data[key]
            return
        else:
            data[key] = chance.choice(NASTY)
            return


def _run(command: tuple[str, ...], song: Path) -> tuple[int, str]:
    said = io.StringIO()
    with contextlib.redirect_stderr(said), contextlib.redirect_stdout(io.StringIO()):
        code = main([command[0], str(song), *command[1:]])
    text = said.getvalue()
    if "Please send us " in text:
        log = Path(text.rpartition("Please send us ")[2].strip())
        text = "; ".join(log.read_text().splitlines()[-4:])
        log.unlink()
    return code, text[-400:]


def _hash(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _safe_files(song: Path) -> dict[str, str]:
    """Return the hashes of the stems as received and of the first pass's stems."""
    return {str(path): _hash(path) for path in (*song.glob("*.*"), *song.glob("passes/pass-01/stems/*")) if path.is_file()}


def _outcome(song: Path) -> dict[str, str]:
    """Return what a command made: audio by its bytes, what is kept by its text, all else by its being there."""
    found = {}
    for path in (song / "passes").rglob("*"):
        hashed = path.suffix == ".wav" or path.name == "kept.json"
        if path.is_file() and not any(part.startswith(".") for part in path.relative_to(song).parts):
            found[path.relative_to(song).as_posix()] = _hash(path) if hashed else ""
    # A page that a run did not come to is made by the report command, and is no part of the pass.
    return {name: value for name, value in found.items() if not name.endswith("report.html")}


def _fork(command: tuple[str, ...], song: Path, how: str = "", moment: int = -1) -> int:
    child = os.fork()
    if child:
        return child
    code = 70
    try:
        _arm(song, how, moment)
        code = _run(command, song)[0]
    finally:
        os._exit(code)


def _forked(command: tuple[str, ...], song: Path, how: str = "", moment: int = -1) -> int:
    return _code(_fork(command, song, how, moment))


def _code(child: int) -> int:
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _arm(song: Path, how: str, moment: int) -> None:
    """Count the moments at which this process changes the disk below a song, and strike at one of them."""
    count = 0
    counter = song.parent / "moments"

    def strike() -> None:
        nonlocal count
        at, count = count, count + 1
        if not how:
            handle = real_open(counter, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.write(handle, str(count).encode())
            os.close(handle)
        elif at == moment and how == "kill":
            os.kill(os.getpid(), signal.SIGKILL)
        elif at >= moment and how == "full":
            raise OSError(errno.ENOSPC, "No space left on device")

    def hook(event: str, arguments: tuple[object, ...]) -> None:
        grows = event in ("os.rename", "os.mkdir", "os.link") or (
            event == "open" and isinstance(arguments[2], int) and arguments[2] & (os.O_WRONLY | os.O_RDWR)
        )
        shrinks = event in ("os.remove", "os.rmdir") and how != "full"  # a full disk lets go of what it has
        if (grows or shrinks) and str(song) in os.fsdecode(str(arguments[0])):
            strike()

    real_open, real_sync = os.open, os.fsync

    def sync(handle: int) -> None:
        strike()
        real_sync(handle)

    os.fsync = sync
    sys.addaudithook(hook)


def attack(seconds: float, seed: int, only: str | None = None) -> list[str]:
    """Attack for so many seconds; returns what failed."""
    kinds = [only] if only else ["texts", "audio", "kills", "disk", "pairs"]
    failures: list[str] = []
    most = resource.RUSAGE_SELF
    with tempfile.TemporaryDirectory() as name:
        for number, kind in enumerate(kinds):
            folder = Path(name) / kind
            folder.mkdir()
            one = Attack(seed + number, time.monotonic() + seconds / len(kinds), folder)
            with contextlib.suppress(StemwrightError):
                getattr(one, kind)()
            failures += one.failures
            print(f"{kind}: seed {seed + number}, {one.trials} trials, {len(one.failures)} failures", flush=True)
    print(f"most memory: {resource.getrusage(most).ru_maxrss >> 10} MiB")
    return failures


if __name__ == "__main__":
    reader = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    reader.add_argument("--seconds", type=float, default=120.0)
    reader.add_argument("--seed", type=int, default=int(time.time()))
    reader.add_argument("--only", choices=["texts", "audio", "kills", "disk", "pairs"])
    asked = reader.parse_args()
    sys.exit(bool(attack(asked.seconds, asked.seed, asked.only)))
