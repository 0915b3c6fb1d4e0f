"""What a recalled stem is to the one it was, by what two manifests say; files are looked at only where they must be."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
import soundfile

from stemwright.passes.entry import Output
from stemwright.passes.recall import Recalled, Verdict, _made_by, judge
from stemwright.stems.survey import file_sha256


def one(stem_output, *, name, status="prepped", why="by its recipe", **versions):
    entry = SimpleNamespace(output=stem_output, item=SimpleNamespace(status=status, why=why))
    return SimpleNamespace(name=name, entries={"a.wav": entry}, made_by=versions)


def written(sha256, samples, subtype="PCM_24", path="a.wav"):
    return Output(path=path, container="WAV", subtype=subtype, sha256=sha256, samples_sha256=samples)


def verdict(was, now, song=None, **named):
    here = song or SimpleNamespace(passes_dir=None)
    return judge(here, one(was, name="pass-01", **named), one(now, name="pass-03", **named), "a.wav")


@pytest.mark.parametrize(
    ("was", "now"),
    [
        (written("1", "s"), written("1", "s")),
        (written("1", None), written("1", None)),  # a copy, whose samples nobody hashed
        (written("1", "s"), written("2", "s")),  # the same samples in other bytes
        (None, None),
    ],
)
def test_the_same_file_the_same_samples_and_no_file_again_are_identical(was, now):
    assert verdict(was, now).outcome == "identical"


@pytest.mark.parametrize("sides", [(written("1", "s"), None), (None, written("1", "s"))])
def test_a_file_where_there_was_none_or_none_where_there_was_one_is_different(sides):
    found = verdict(*sides, status="failed", why="cut short")
    assert (found.outcome, found.detail) == ("different", "failed in pass-01: cut short")


@pytest.fixture
def files(tmp_path):
    """Return a song and the outputs of two passes with so many steps of 24 bit between them."""

    def make(steps, *, subtype="PCM_24", samples=("s", "t"), intact=True):
        audio = np.zeros((100, 1), np.int32)
        outputs = []
        for name, level, hashed in (("pass-01", 0, samples[0]), ("pass-03", steps << 8, samples[1])):
            folder = tmp_path / name / "stems"
            folder.mkdir(parents=True)
            audio[50] = (1 << 20) + level
            soundfile.write(folder / "a.wav", audio, 48_000, "PCM_24")
            outputs.append(written(file_sha256(folder / "a.wav") if intact else name, hashed, subtype))
        return outputs, SimpleNamespace(passes_dir=tmp_path)

    return make


# A step of 24 bit is 20 lg 2^-23 = -138.47 dBFS, of 16 bit -90.31 dBFS: 256 of the smaller ones.
@pytest.mark.parametrize(
    ("steps", "subtype", "outcome", "dbfs"),
    [
        (1, "PCM_24", "equivalent", -138.47),
        (2, "PCM_24", "different", -132.45),
        (256, "PCM_16", "equivalent", -90.31),
        (257, "PCM_16", "different", -90.28),
    ],
)
def test_a_last_bit_is_equivalent_and_two_are_not(files, steps, subtype, outcome, dbfs):
    (was, now), song = files(steps, subtype=subtype)
    found = verdict(was, now, song)
    assert (found.outcome, found.largest_dbfs) == (outcome, dbfs)


def test_the_same_samples_by_looking_are_identical_and_told_to_be(files):
    (was, now), song = files(0, samples=(None, None), intact=False)
    was = written(file_sha256(song.passes_dir / "pass-01" / "stems" / "a.wav"), None)
    assert verdict(was, now, song) == Verdict(stem="a.wav", outcome="identical", detail="the same samples in another file")


def test_a_file_that_is_not_what_its_manifest_says_proves_nothing(files):
    (was, now), song = files(1, intact=False)
    found = verdict(was, now, song)
    assert (found.outcome, found.largest_dbfs) == ("different", None)
    assert found.detail == "its samples are not those of pass-01, whose file is gone, so it is not known by how much"


def test_the_versions_that_differ_are_named():
    old = one(None, name="pass-01", numpy="1.0", scipy="1.0", python="3.11")
    new = one(None, name="pass-03", numpy="2.0", scipy="1.0", soxr="0.5")
    assert _made_by(old, new) == "numpy 1.0 -> 2.0, soxr - -> 0.5"
    assert not _made_by(old, old)


def test_a_recall_is_good_as_long_as_no_stem_is_different():
    verdicts = tuple(Verdict(stem=outcome, outcome=outcome) for outcome in ("identical", "equivalent", "different"))
    assert Recalled(asked="pass-01", made=None, verdicts=verdicts[:2]).good
    assert not Recalled(asked="pass-01", made=None, verdicts=verdicts).good
