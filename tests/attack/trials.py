"""Trials: thousands in a row in a child that is ended by the system if one takes too long, so that nothing can hang us.

Each has a seed of its own, ``SEED-KIND-NUMBER``, and can be run again alone.
"""

from __future__ import annotations

import faulthandler
import json
import os
import random
import resource
import shutil
import signal
import time
import traceback
from typing import TYPE_CHECKING

from moments import MOST_S, MOST_WAITING_S, limit
from mutations import CONTAINERS, broken_audio, ending, mutated_text
from song import NOTE, READERS, left_lying, run, safe_files

from stemwright.passes.manifest_file import plan_hash
from stemwright.stems.survey import file_sha256

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

MOST_MIB = 400
_STOP_BYTES = 4 << 30
_BATCH = 250
TEXTS = ("session.yaml", "recipes/own.yaml", "words/ann.yaml", "passes/pass-01/manifest.json", "passes/pass-02/manifest.json",
         "passes/pass-03/manifest.json", "passes/kept.json")  # fmt: skip
HEARERS = tuple(
    tuple(line.split("|"))
    for line in (
        "look|@|--json", "prep|@|--no-page", "rings|@/piano.{}", "rings|@/piano.{}|--audition|@/passes/rings", "sum|@",
        f"note|@|{NOTE}|--no-page", "report|@", "report|@|--small", "report|@|--lossless", "recall|@|1|--no-page", "sum|@|3",
        "pack|@|3", "verify|@|3", "compare|@|1|3",
    )
)  # fmt: skip
OLD_ENOUGH = 5  # of those commands: they come before the first pass as well

Trial = tuple[str, tuple[str, ...]]


def text_trial(song: Path, chance: random.Random) -> Trial:
    """Break one text or two; any command that reads them."""
    names = chance.sample(TEXTS, chance.choice([1, 1, 2]))
    for name in names:
        (song / name).write_bytes(mutated_text((song / name).read_bytes(), name, chance))
    return " and ".join(names), chance.choice(READERS)


def audio_trial(song: Path, chance: random.Random) -> Trial:
    """Break a stem as received, before the first pass; or one in both its places, with manifests that have its new hash."""
    how = chance.choice(CONTAINERS)
    raw = broken_audio(how, chance)
    command = chance.choice(HEARERS)
    before = HEARERS.index(command) < OLD_ENOUGH
    end = ending(how) if before else "wav"
    if before:
        (song / "piano.wav").unlink()
        (song / f"piano.{end}").write_bytes(raw)
        shutil.rmtree(song / "passes")
        (song / "passes").mkdir()  # for what goes beside the passes
    else:
        both = chance.choice([("",), ("stems",), ("", "stems")])
        for path in [song / "piano.wav"] * ("" in both) + [*song.glob("passes/*/stems/piano.wav")] * ("stems" in both):
            path.write_bytes(raw)
        for path in song.glob("passes/*/manifest.json"):
            _hash_again(song, path)
    return how, tuple(part.format(end) for part in command)


def _hash_again(song: Path, path: Path) -> None:
    data = json.loads(path.read_text())
    for entry in data["stems"]:
        entry["input"]["sha256"] = file_sha256(song / entry["input"]["path"])
        entry["output"]["sha256"] = file_sha256(path.parent / "stems" / entry["output"]["path"])
    data["plan_sha256"] = plan_hash(data)
    path.write_text(json.dumps(data))


KINDS: dict[str, Callable[[Path, random.Random], Trial]] = {"texts": text_trial, "audio": audio_trial}


class Trials:
    """So many trials of one kind, or as many as there is time for."""

    def __init__(self, kind: str, seed: int, base: Path, fail: Callable[[str], None]) -> None:
        self._kind, self._seed, self._base, self._fail = kind, seed, base, fail
        self._song = base.parent / "song"
        self._progress = base.parent / "progress"
        self.slowest_s = self.longest_s = 0.0
        self.codes: dict[int, int] = {}

    def run(self, first: int, most: int, ends: float) -> int:
        """Return how many were done."""
        number = first
        while number < first + most and time.monotonic() < ends:
            self._progress.write_text("")
            child = os.fork()
            if not child:
                self._batch(number, min(number + _BATCH, first + most), ends)
            code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
            lines = [json.loads(line) for line in self._progress.read_text().splitlines()]
            for line in lines:
                if "failed" in line:
                    self._fail(line["failed"])
                elif "took" in line:
                    self.slowest_s = max(self.slowest_s, line["took"])
                    self.longest_s = max(self.longest_s, line["waited"])
                    self.codes[line["code"]] = self.codes.get(line["code"], 0) + 1
            number = max((line["began"] for line in lines if "began" in line), default=number) + 1
            if code:
                signals = {-signal.SIGPROF: f"over {MOST_S:g} s", -signal.SIGALRM: f"waited {MOST_WAITING_S:g} s"}
                self._fail(f"{self._kind} {self._seed}-{number - 1}: {signals.get(code, f'the process ended with {code}')}")
        return number - first

    def _batch(self, first: int, end: int, ends: float) -> None:
        code = 1
        try:
            faulthandler.disable()
            resource.setrlimit(resource.RLIMIT_AS, (_STOP_BYTES, _STOP_BYTES))
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
            with self._progress.open("a") as progress:
                for number in range(first, end):
                    if time.monotonic() > ends and number > first:
                        break
                    print(json.dumps({"began": number}), file=progress, flush=True)
                    for line in self._trial(number):
                        print(json.dumps(line), file=progress, flush=True)
            code = 0
        except BaseException:
            traceback.print_exc()
            raise
        finally:
            os._exit(code)

    def _trial(self, number: int) -> list[dict[str, object]]:
        label = f"{self._kind} {self._seed}-{number}"
        chance = random.Random(f"{self._seed}-{self._kind}-{number}")
        shutil.rmtree(self._song, ignore_errors=True)
        shutil.copytree(self._base, self._song, symlinks=True)
        what, command = KINDS[self._kind](self._song, chance)
        before = safe_files(self._song)
        limit()
        began, at = time.process_time(), time.monotonic()
        code, said = run(command, self._song)
        took, waited = time.process_time() - began, time.monotonic() - at
        limit(0, 0)
        label = f"{label} {what}: {' '.join(command)}"
        found: list[dict[str, object]] = [{"took": took, "waited": waited, "code": code}]
        if code not in (0, 1, 2):
            found.append({"failed": f"{label}: exit {code}: {said}"})
        now = safe_files(self._song)
        if any(now.get(path) != sha256 for path, sha256 in before.items()):
            found.append({"failed": f"{label}: stems or an earlier pass changed"})
        if left_lying(self._song):
            found.append({"failed": f"{label}: left lying: {left_lying(self._song)}"})
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss >> 10
        if peak > MOST_MIB:
            found.append({"failed": f"{label}: {peak} MiB"})
        return found
