"""House words on real recordings: each moves the spectrum in the direction it names, and its opposite does the reverse.

The recordings are Debian's sonic-pi-samples (CC0). Which part of the spectrum a word names is common practice in mixing,
no source; the figures are bands a listener would point at, wider than the words' own moves and written down apart from them.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
import soundfile
from scipy.signal import sosfilt

from stemwright.notes.applying import Asked, changed
from stemwright.notes.language import Ask
from stemwright.plan.items import DeliverAs, InputFacts, PlanItem
from stemwright.recipes.words_library import load_vocabulary, words_dirs

SAMPLES = Path("/usr/share/sonic-pi/samples")
pytestmark = pytest.mark.skipif(
    not SAMPLES.is_dir(), reason="REAL RECORDINGS NOT TESTED: Debian's package sonic-pi-samples is not installed"
)
FFT = 2**17  # a second and a half of each recording, faded out, then silence for the filters to end in
VOCABULARY = load_vocabulary(words_dirs(None, []))
# Role and family of each recording.
RECORDINGS = {
    "ambi_piano": ("piano", "music"),
    "guit_em9": ("guitar", "music"),
    "drum_cymbal_open": ("cymbals", "drums"),
    "drum_snare_hard": ("snare", "drums"),
    "bd_haus": ("kick", "drums"),
    "bass_woodsy_c": ("bass", "music"),
    "ambi_choir": ("choir", "vocals"),
}
# A band of the spectrum, in Hz, that a plain "more" of the word makes more of, measured against the whole; by role where it
# differs. None is level.
BANDS = {
    "bright": (2_000, 20_000),
    "air": (8_000, 20_000),
    "open": (5_000, 20_000),
    "crisp": {"": (5_000, 14_000), "bass": (1_500, 5_000)},
    "sibilant": (5_000, 11_000),
    "bite": {"": (2_000, 5_500), "bass": (600, 1_400)},
    "edge": {"": (2_500, 7_000), "bass": (1_000, 2_500)},
    "presence": {"": (2_000, 6_500), "bass": (700, 2_000)},
    "definition": {"": (1_300, 4_000), "bass": (450, 1_100)},
    "harsh": (2_500, 7_500),
    "shrill": (4_000, 11_000),
    "nasal": (700, 1_500),
    "mids": {"": (500, 2_000), "bass": (300, 1_200)},
    "boxy": (280, 700),
    "weight": {"": (20, 200), "cymbals": (20, 800)},
    "body": {"": (90, 350), "cymbals": (350, 900)},
    "full": {"": (40, 400), "cymbals": (40, 900)},
    "warm": (120, 500),
    "muddy": (180, 500),
    "boomy": (60, 220),
    "rumble": {"": (10, 60), "cymbals": (20, 260)},
    "punch": {"": (60, 300), "kick": (50, 110), "bass": (70, 140), "snare": (120, 260), "cymbals": (120, 260)},
    "attack": {"": (2_500, 8_000), "bass": (1_200, 2_800)},
    "sub": {"": (20, 130), "cymbals": (20, 260)},
    "filled": (180, 800),
    "tinny": (1_000, 4_500),
    "crack": {"": (2_000, 6_500), "bass": (1_200, 3_500)},
    "metallic": (2_800, 7_500),
    "fizzy": {"": (4_500, 16_000), "bass": (2_500, 16_000)},
    "uncovered": {"": (2_200, 20_000), "bass": (1_200, 20_000), "kick": (1_200, 20_000)},
    "covering": {"": (1_000, 5_000), "kick": (50, 130), "bass": (50, 130)},
    "loud": None,
    "forward": None,
}


@cache
def recording(name):
    audio, rate_hz = soundfile.read(SAMPLES / f"{name}.flac", always_2d=True)
    sound = audio[: FFT // 2, 0]
    fade = np.minimum(1.0, np.arange(len(sound))[::-1] / 4000)  # an end cut off would sound in every band
    return np.pad(sound * fade, (0, FFT - len(sound))), rate_hz


def noted(name, word, amount):
    """Return a recording with a word done to it, by the very moves a pass would render."""
    role, family = RECORDINGS[name]
    audio, rate_hz = recording(name)
    item = PlanItem(
        stem=name, role=role, family=family, recipe=role, matched_by="", status="prepped", why="",
        input=InputFacts(path=name, sha256="0" * 64, frames=len(audio), channels=1, rate_hz=rate_hz, container="WAV", subtype="PCM_24"),
        deliver_as=DeliverAs(path=name, container="WAV", subtype="PCM_24", rate_hz=rate_hz, frames=len(audio)),
    )  # fmt: skip
    understood = VOCABULARY.understand(word, role, family)
    ask = Ask(stems=(name,), named=True, word=word, amount=amount, gain_db=None, text=word)
    moves = changed(item, Asked(ask=ask, understood=understood, number=1, by=None)).moves
    return sosfilt(np.array([row for move in moves for row in move.sections]), audio)


def share_db(audio, rate_hz, band):
    """Return the energy of a band against the whole, or the whole against full scale, in dB."""
    power = np.abs(np.fft.rfft(audio, FFT)) ** 2
    if band is None:
        return 10 * np.log10(power.sum())
    freq_hz = np.fft.rfftfreq(FFT, 1 / rate_hz)
    inside = power[(freq_hz >= band[0]) & (freq_hz <= band[1])].sum()
    return 10 * np.log10(inside / (power.sum() - inside))


def band_of(word, role):
    bands = BANDS[word]
    return bands if bands is None or isinstance(bands, tuple) else bands.get(role, bands[""])


def test_every_house_word_with_moves_is_measured_here():
    with_moves = {name for name, words in VOCABULARY.words.items() if any(meaning.moves for meaning in words[0].means)}
    assert with_moves == set(BANDS)
    # A word without moves is another's opposite, turned round; ringing turns notches and is measured where there are some.
    turned = {name for name, words in VOCABULARY.words.items() if words[0].opposite in with_moves}
    assert turned | with_moves | {"ringing", "dead"} == set(VOCABULARY.words)


@pytest.mark.parametrize("name", RECORDINGS)
@pytest.mark.parametrize("word", BANDS)
def test_a_word_moves_the_spectrum_as_it_says_and_its_opposite_the_other_way(word, name):
    _, rate_hz = recording(name)
    band = band_of(word, RECORDINGS[name][0])
    before = share_db(recording(name)[0], rate_hz, band)
    opposite = VOCABULARY.words[word][0].opposite
    more, a_lot, less, turned = (
        share_db(noted(name, *each), rate_hz, band) - before
        for each in ((word, 1.0), (word, 2.0), (word, -1.0), (opposite, 1.0))
    )
    assert a_lot > more > 0.05
    assert turned < -0.05
    assert less == pytest.approx(turned, abs=1e-9)


@pytest.mark.parametrize("name", RECORDINGS)
@pytest.mark.parametrize(
    ("word", "sign"), [("bright", 1), ("dark", -1), ("thin", 1), ("full", -1), ("dull", -1), ("tight", 1)]
)
def test_words_of_colour_move_the_spectral_centroid(word, sign, name):
    # Centroid: sum(f P) / sum(P), the usual measure of brightness (from memory: Grey & Gordon, JASA 63(5), 1978).
    audio, rate_hz = recording(name)

    def centroid_hz(signal):
        power = np.abs(np.fft.rfft(signal, FFT)) ** 2
        return (np.fft.rfftfreq(FFT, 1 / rate_hz) * power).sum() / power.sum()

    assert sign * (centroid_hz(noted(name, word, 1.0)) - centroid_hz(audio)) > 0
