"""What all tests share: songs made of seeded noise, and hypothesis without a stopwatch."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
import soundfile
from hypothesis import settings

from stemwright.passes import prep
from stemwright.passes.look import look
from stemwright.passes.make import Maker
from stemwright.passes.note import answer, plan_note
from stemwright.passes.recall import recall
from stemwright.passes.song import open_song
from stemwright.recipes import words_library

# Two busy cores say nothing about correctness, so no example has a deadline.
settings.register_profile("stemwright", deadline=None, max_examples=60)
settings.load_profile("stemwright")

RATE_HZ = 48_000


@pytest.fixture(autouse=True, scope="session")
def words_are_read_once():
    """Read words without problems once only, as the program does with recipes: they are the same for each of many notes."""
    read, known = words_library.read_words, {}

    def reading(*asked):
        *texts, problems = asked
        if (key := (*texts,)) not in known:
            made = read(*asked)
            if any(problems.found_in(text) for text in texts):
                return made
            known[key] = made
        return list(known[key])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(words_library, "read_words", reading)
        yield


@pytest.fixture
def executor():
    with ThreadPoolExecutor(2) as pool:
        yield pool


@pytest.fixture(autouse=True)
def no_recipes_of_this_machine(monkeypatch):
    monkeypatch.delenv("STEMWRIGHT_RECIPES", raising=False)


@pytest.fixture
def noise():
    """Return a maker of seeded noise: (frames, channels), RMS 0.1."""

    def make(seconds=1.0, channels=2, seed=0, rate_hz=RATE_HZ):
        return np.random.default_rng(seed).standard_normal((round(seconds * rate_hz), channels)) * 0.1

    return make


@pytest.fixture
def make_song(tmp_path, noise):
    """Return a maker of songs: names of stems to audio (None: noise of so many seconds), and the session sheet's text.

    Looking for rings takes most of a small pass, and what is under three frames long is not looked at: who needs rings, or a
    loudness, asks for a second.
    """

    def make(stems, session=None, *, folder="song", subtype="PCM_24", rate_hz=RATE_HZ, seconds=0.17):
        song = tmp_path / folder
        song.mkdir()
        for seed, (name, audio) in enumerate(stems.items()):
            path = song / name
            path.parent.mkdir(parents=True, exist_ok=True)
            made = noise(seconds, seed=seed, rate_hz=rate_hz) if audio is None else audio
            soundfile.write(path, made, rate_hz, subtype)
        if session is not None:
            (song / "session.yaml").write_text(session, encoding="utf-8")
        return song

    return make


@pytest.fixture
def make_pass(executor):
    """Return a maker of passes: looks, plans and preps a song's folder."""

    def make(folder, *, only=(), recipe_dirs=()):
        seen = look(folder, executor, recipe_dirs=recipe_dirs, hashed=True)
        return prep.prep(seen, prep.plan(seen, executor), Maker(executor), only=only)

    return make


@pytest.fixture
def make_note(executor):
    """Return an answerer of notes on a song's newest pass: (plan, what was made)."""

    def answer_note(folder, text, *, by=None, recipe_dirs=()):
        plan = plan_note(open_song(folder), text, by, recipe_dirs, executor)
        return plan, answer(plan, Maker(executor))

    return answer_note


@pytest.fixture
def make_recall(executor):
    """Return a recaller of a song's passes."""

    def bring_back(folder, asked, *stems):
        return recall(open_song(folder), asked, stems, Maker(executor), executor)

    return bring_back
