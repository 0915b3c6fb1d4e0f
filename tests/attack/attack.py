"""The standing attack: broken texts, broken audio, a strike at every moment a command changes the disk, runs at once.

    .venv/bin/python tests/attack/attack.py --seconds 3600                       # an hour of all of it
    .venv/bin/python tests/attack/attack.py --only texts --count 10000 --seed 7  # the bar
    .venv/bin/python tests/attack/attack.py --only texts --seed 7 --first 123 --count 1   # one trial again

Whatever happens: exit codes 0, 1 and 2 only, under 5 s of a processor, under 400 MiB, the stems and the earlier passes as they
were; after a kill, a full disk or one failed call the next run gives the bytes of an undisturbed one, and nothing is left lying.
"""

from __future__ import annotations

import argparse
import itertools
import os
import random
import resource
import shutil
import sys
import tempfile
import time
from pathlib import Path

from moments import LOADED, MOST_S, ended, fork, preload
from song import DRAFTING, WRITERS, came_from, kept, left_lying, make_song, outcome, run, safe_files
from trials import MOST_MIB, Trials

KINDS = ("texts", "audio", "kill", "full", "once", "pairs")
ALL = 1 << 30


class Attack:
    """One kind of attack on copies of one song, and what failed."""

    def __init__(self, seed: int, folder: Path) -> None:
        self.seed, self.folder = seed, folder
        self.failures: list[str] = []
        self._base = folder / "base"
        make_song(self._base)

    def fail(self, what: str) -> None:
        self.failures.append(what)
        print("FAILED", what, flush=True)

    def check(self, what: str, good: object) -> None:
        if not good:
            self.fail(what)

    def again(self, command: tuple[str, ...], song: Path) -> tuple[int, str]:
        """Run a command that nothing strikes; one that takes too long has failed as well."""
        began = time.process_time()
        code, said = run(command, song)
        took = time.process_time() - began
        self.check(f"{' '.join(command)}: {took:.1f} s of a processor", took <= MOST_S)
        return code, said

    def song(self, command: tuple[str, ...] = ()) -> Path:
        target = self.folder / "song"
        shutil.rmtree(target, ignore_errors=True)
        shutil.copytree(self._base, target, symlinks=True)
        if DRAFTING in command:
            (target / "session.yaml").unlink()
        return target

    def trials(self, kind: str, first: int, count: int, ends: float) -> str:
        trials = Trials(kind, self.seed, self._base, self.fail)
        done = trials.run(first, count, ends)
        slowest = f"slowest {trials.slowest_s:.1f} s of a processor, {trials.longest_s:.1f} s by the clock"
        return f"{done} trials, exit codes {dict(sorted(trials.codes.items()))}, {slowest}"

    def moments(self, how: str, first: int, count: int, ends: float) -> str:
        """Strike at every moment of every command, in the order the seed gives; `count` of each command's at most."""
        struck = there = 0
        plans = []
        for command in WRITERS:
            song = self.song(command)
            code = ended(fork(command, song, "count"))
            self.check(f"{command} undisturbed: exit {code}", code in (0, 1))
            many = int((self.folder / "moments").read_text())
            there += many
            chosen = random.Random(f"{self.seed}-{how}-{command}").sample(range(many), many)[first : first + count]
            plans.append([(command, moment, many, outcome(song)) for moment in chosen])
        for plan in itertools.chain.from_iterable(itertools.zip_longest(*plans)):
            if plan is None:
                continue
            if time.monotonic() > ends:
                break
            self._strike(how, *plan)
            struck += 1
        return f"{struck} of {there} moments of {len(WRITERS)} commands"

    def _strike(self, how: str, command: tuple[str, ...], moment: int, many: int, undisturbed: dict[str, str]) -> None:
        song = self.song(command)
        before, was = safe_files(song), outcome(song)
        if DRAFTING in command:
            before.pop(str(song / "session.yaml"), None)
        code = ended(fork(command, song, how, moment))
        what = f"{how} {moment} of {many} in {' '.join(command)} (exit {code})"
        self.check(f"{what}: exit code", code in ((-9, 0, 1) if how == "kill" else (0, 1, 2)))
        now = safe_files(song)
        self.check(
            f"{what}: stems or an earlier pass changed", all(now.get(path) == sha256 for path, sha256 in before.items())
        )
        said = "as after an undisturbed one"
        if outcome(song) != undisturbed:
            again, said = self.again(command, song)
            self.check(f"{what}: the next run ended with {again}: {said}", again in (0, 1))
        found = outcome(song)
        differ = sorted(name for name in found.keys() | undisturbed.keys() if found.get(name) != undisturbed.get(name))
        self.check(f"{what}: the next run gave something else: {differ}, from {len(was)} files; {said}", not differ)
        if left_lying(song):
            for each in (command, ("prep", "@", "--no-page")):
                self.again(each, song)
        self.check(f"{what}: left lying: {left_lying(song)}", not left_lying(song))

    def pairs(self, first: int, count: int, ends: float) -> str:
        """Run every two commands at once, each twice: four at once."""
        done = 0
        slow = "slow" if LOADED in os.environ else ""
        every = list(itertools.combinations_with_replacement(WRITERS, 2))
        for pair in random.Random(self.seed).sample(every, len(every))[first : first + count]:
            if time.monotonic() > ends:
                break
            song = self.song()
            before = safe_files(song)
            what = " | ".join(" ".join(command) for command in pair)
            codes = [
                ended(child)
                for child in [fork(command, song, slow, self.seed + at) for at, command in enumerate((*pair, *pair))]
            ]
            done += 1
            self.check(f"{what}: exits {codes}", set(codes) <= {0, 1, 2})
            now = safe_files(song)
            self.check(
                f"{what}: stems or an earlier pass changed", all(now.get(path) == sha256 for path, sha256 in before.items())
            )
            self.check(f"{what}: an update was lost ({codes}): {kept(song)}", _as_told(pair, codes, kept(song)))
            passes = sorted(path.name for path in song.glob("passes/pass-*"))
            self.check(f"{what}: {passes}", len(passes) == 4 or {command[0] for command in pair} != {"prep"})
            self.check(f"{what}: a pass was passed over: {came_from(song)}", _in_a_row(came_from(song)))
            for each in passes:
                code, said = self.again(("verify", "@", each), song)
                self.check(f"{what}: {each} is not whole: {said}", code == 0)
            for command in pair:
                code, said = self.again(command, song)
                self.check(f"{what}: {command[0]} after it ended with {code}: {said}", code in (0, 1, 2))
            self.again(("keep", "@", "all", "--release"), song)
            code, said = self.again(("recall", "@", "1", "--no-page"), song)
            newest = max(song.glob("passes/pass-*"))
            stems = [
                {path.name: path.read_bytes() for path in each.glob("stems/*")} for each in (newest, song / "passes/pass-01")
            ]
            self.check(f"{what}: pass 1 cannot be recalled ({code}: {said})", code == 0 and stems[0] == stems[1])
            self.check(f"{what}: left lying: {left_lying(song)}", not left_lying(song))
        return f"{done} of {len(every)} pairs, four runs at once"


def _as_told(pair: tuple[tuple[str, ...], ...], codes: list[int], there: set[str]) -> bool:
    """Whether what is kept is what those runs asked for that said they had done it; the kick was kept before."""
    done = [command for command, code in zip((*pair, *pair), codes, strict=True) if command[0] == "keep" and code == 0]
    gone = any("--release" in command for command in done)
    new = any("--release" not in command for command in done)
    return there == {"kick.wav"} - ({"kick.wav"} if gone else set()) | ({"piano.wav"} if new else set())


def _in_a_row(chain: dict[str, tuple[str, str]]) -> bool:
    """Whether every pass began at the one before it; only a recall begins at another."""
    names = list(chain)
    return all(before == names[at - 1] for at, (kind, before) in enumerate(chain.values()) if at > 0 and kind != "recall")


def attack(kinds: list[str], seed: int, seconds: float, first: int, count: int) -> list[str]:
    """Attack for so many seconds at most; returns what failed."""
    failures: list[str] = []
    ends = time.monotonic() + seconds
    with tempfile.TemporaryDirectory() as name:
        for left, kind in zip(range(len(kinds), 0, -1), kinds, strict=True):
            folder = Path(name) / kind
            folder.mkdir()
            one = Attack(seed, folder)
            until = time.monotonic() + (ends - time.monotonic()) / left
            if kind in ("texts", "audio"):
                said = one.trials(kind, first, count, until)
            elif kind == "pairs":
                said = one.pairs(first, count, until)
            else:
                said = one.moments(kind, first, count, until)
            failures += one.failures
            print(f"{kind}: seed {seed}: {said}, {len(one.failures)} failures", flush=True)
    # Not our own: on Linux that outlives exec, so it may be the memory of whoever started us.
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss >> 10
    print(f"most memory of any command: {peak} MiB")
    return failures + ([f"{peak} MiB"] if peak > MOST_MIB else [])


def main() -> int:
    reader = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    reader.add_argument("--seconds", type=float, default=120.0)
    reader.add_argument("--seed", type=int)
    reader.add_argument("--only", choices=KINDS, action="append")
    reader.add_argument("--first", type=int, default=0, help="number of the first trial")
    reader.add_argument("--count", type=int, default=ALL, help="trials of a kind, or moments of a command, at most")
    asked = reader.parse_args()
    kinds = asked.only or list(KINDS)
    with tempfile.TemporaryDirectory() as folder:  # a shim once loaded may lose its file
        if not preload(Path(folder)):
            kinds = [kind for kind in kinds if kind in ("texts", "audio", "pairs")]
            print("no C compiler, or not Linux: no kills and no full disks")
    seed = int(time.time()) if asked.seed is None else asked.seed
    return bool(attack(kinds, seed, asked.seconds, asked.first, asked.count))


if __name__ == "__main__":
    sys.exit(main())
