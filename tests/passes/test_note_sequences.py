"""Property: whatever is noted, kept, recalled and prepped, in any order, every stem not spoken of is the same bytes."""

from __future__ import annotations

import hashlib
import shutil
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
import soundfile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stemwright.errors import SongError
from stemwright.notes.language import NoteError
from stemwright.passes import keep as keeping
from stemwright.passes import prep
from stemwright.passes.history import read_pass
from stemwright.passes.look import look
from stemwright.passes.make import Maker
from stemwright.passes.note import answer, plan_note
from stemwright.passes.recall import recall
from stemwright.passes.song import open_song

STEMS = ("piano.wav", "hats.wav", "kick.wav", "Aud 07.wav")
TARGETS = {"piano": {"piano.wav"}, "drums": {"hats.wav", "kick.wav"}, '"Aud 07.wav"': {"Aud 07.wav"}, "all": set(STEMS)}
STEPS = st.one_of(
    st.tuples(
        st.just("note"),
        st.sampled_from(sorted(TARGETS)),
        st.sampled_from(["louder", "darker", "a lot brighter", "less body"]),
    ),
    st.tuples(st.just("keep"), st.sampled_from(STEMS), st.just("")),
    st.tuples(st.just("release"), st.sampled_from(STEMS), st.just("")),
    st.tuples(st.just("recall"), st.integers(1, 6), st.sampled_from(["", *STEMS])),
    st.tuples(st.just("prep"), st.just(""), st.just("")),
)


@pytest.fixture(scope="module")
def received(tmp_path_factory):
    folder = tmp_path_factory.mktemp("received") / "song"
    folder.mkdir()
    for seed, name in enumerate(STEMS):
        soundfile.write(folder / name, np.random.default_rng(seed).standard_normal((4000, 2)) * 0.05, 48_000, "PCM_16")
    with ThreadPoolExecutor(2) as pool:
        seen = look(folder, pool, hashed=True)
        prep.prep(seen, prep.plan(seen, pool), Maker(pool))
    return folder


def hashes(song, name):
    folder = song / "passes" / name / "stems"
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.iterdir()}


def do(song, step, pool):
    """Do one step; return the stems it may change."""
    kind, what, how = step
    opened = open_song(song)
    if kind == "note":
        answer(plan_note(opened, f"{what}: {how}", None, (), pool), Maker(pool))
        return TARGETS[what]
    if kind == "keep":
        keeping.keep(opened, read_pass(opened, None), [what], None)
        return set()
    if kind == "release":
        keeping.release(opened, [what])
        return set()
    if kind == "recall":
        recall(opened, str(what), [how] if how else [], Maker(pool), pool)
        return {how} if how else set(STEMS)
    seen = look(song, pool, hashed=True)
    prep.prep(seen, prep.plan(seen, pool), Maker(pool))
    return set()


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(steps=st.lists(STEPS, min_size=1, max_size=7))
def test_no_sequence_of_steps_moves_a_stem_it_does_not_speak_of(received, tmp_path, steps):
    song = tmp_path / "song"
    shutil.rmtree(song, ignore_errors=True)
    shutil.copytree(received, song)
    was, kept, every = hashes(song, "pass-01"), {}, {"pass-01": hashes(song, "pass-01")}
    with ThreadPoolExecutor(2) as pool:
        for step in steps:
            try:
                may_change = do(song, step, pool)
            except (SongError, NoteError):
                may_change = set()
            newest = open_song(song).passes()[-1]
            now = hashes(song, newest)
            assert {stem for stem in STEMS if now[stem] != was[stem]} <= may_change, step
            for stem, expected in kept.items():
                assert now[stem] == expected, step
            kept = {stem: now[stem] for stem in keeping.load_kept(open_song(song))}
            every[newest] = now
            was = now
    assert {name: hashes(song, name) for name in every} == every  # no earlier pass was touched
