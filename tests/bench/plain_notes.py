"""Plain notes made of a sound, a verb and a stem: ``python tests/bench/plain_notes.py [--show]``. How many are read as they say.

Every third of all there can be, and every 29th of them amid politeness. Right: that stem alone is turned, that way, in a part of
the spectrum where the sound lies. Verbs and sounds are common practice, no source.
"""

from __future__ import annotations

import sys
from collections import Counter
from itertools import product

from notes import EFFECTS, VOCABULARY, Stem

from stemwright.notes.language import read
from stemwright.notes.targets import targets_of

STEMS = {
    "kick": Stem("Kick.wav", "kick", "drums"), "hats": Stem("Hats.wav", "hats", "drums"), "snare": Stem("Snare.wav", "snare", "drums"),
    "bass": Stem("Bass.wav", "bass", "music"), "keys": Stem("Keys.wav", "keys", "music"),
    "vocal": Stem("Lead Vox.wav", "lead vocal", "vocals"), "guitar": Stem("Gtr.wav", "guitar", "music"),
}  # fmt: skip
TARGETS = targets_of(STEMS.values())
NEAR = {
    "lows": ("lows", "low mids"), "low mids": ("low mids", "lows"), "mids": ("mids", "low mids"),
    "presence": ("presence", "mids", "highs"),
    "highs": ("highs", "presence"), "esses": ("esses", "highs", "presence"),
}  # fmt: skip
SOUNDS = {
    "lows": ("lows", "low end", "bottom", "bottom end", "sub", "weight"), "low mids": ("low mids", "body", "warmth"), "mids": ("mids",),
    "presence": ("upper mids", "bite", "presence", "attack"), "highs": ("highs", "top", "top end", "high end", "treble", "air"),
}  # fmt: skip
FAULTS = {"low mids": ("mud", "boxiness"), "presence": ("harshness",), "highs": ("fizz",), "esses": ("sibilance",)}
MORE = (
    "more {n} on the {s}", "more {n} in the {s}", "{s}: more {n}", "a bit more {n} on the {s} please", "the {s} needs more {n}",
    "the {s} could use more {n}", "bring up the {n} on the {s}", "bring the {n} up on the {s}", "turn up the {n} on the {s}",
    "turn the {n} of the {s} up", "boost the {n} on the {s}", "add {n} to the {s}", "add some {n} to the {s}", "give the {s} more {n}",
    "give the {s} a bit of {n}", "lift the {n} of the {s}", "raise the {n} on the {s} a little", "{n} up on the {s}",
    "the {s} lacks {n}", "not enough {n} on the {s}", "the {s} has too little {n}", "increase the {n} of the {s}", "{s} {n} up",
    "can we get more {n} out of the {s}?", "i miss the {n} in the {s}", "push the {n} on the {s}",
)  # fmt: skip
LESS = (
    "less {n} on the {s}", "less {n} in the {s}", "{s}: less {n}", "a bit less {n} on the {s} please", "the {s} needs less {n}",
    "the {s} could use less {n}", "turn down the {n} on the {s}", "turn the {n} down on the {s}", "bring the {n} of the {s} down",
    "cut the {n} on the {s}", "cut some {n} from the {s}", "take some {n} out of the {s}", "take out some of the {n} in the {s}",
    "reduce the {n} on the {s}", "lower the {n} of the {s}", "tame the {n} on the {s}", "the {s} has too much {n}",
    "too much {n} on the {s}", "{n} down on the {s}", "not so much {n} on the {s}", "the {n} of the {s} is too much",
    "pull the {n} down on the {s}", "pull some {n} out of the {s}", "roll off some {n} on the {s}", "drop the {n} on the {s} a bit",
    "dial back the {n} on the {s}", "get rid of some {n} in the {s}", "remove some {n} from the {s}",
    "the {n} on the {s} could come down", "ease off the {n} on the {s}",
)  # fmt: skip
AMID = (
    "hey man, hope you are well! {} - appreciate it", "{}, that would make my day", "{} if you can, no stress",
    "Really nice work on this one. Only thing: {}. Otherwise we are happy", "I listened twice today and i think {}",
    "ok one last thing, {}, then we are there", "my manager asked if {} lol",
)  # fmt: skip


def verdict(text: str, called: str, near: str, *, more: bool) -> str:
    """Return what became of a note."""
    reading = read(text, TARGETS, VOCABULARY)
    if reading.problems or reading.backs or not reading.asks:
        return "refused"
    stem = STEMS[called]
    wanted = {f"{'more' if more else 'less'} {what}" for what in NEAR[near]}
    done = [(each, EFFECTS.of_ask(ask, stem.role, stem.family)) for ask in reading.asks for each in ask.stems]
    return "right" if all(each == stem.stem and did & wanted for each, did in done) else "wrong"


def main() -> None:
    every = [
        (form.format(n=sound, s=called), called, near, more)
        for more, forms in ((True, MORE), (False, LESS))
        for form, (near, sounds) in product(forms, [*SOUNDS.items(), *(() if more else FAULTS.items())])
        for sound, called in product(sounds, STEMS)
    ]
    amid = [(AMID[number % len(AMID)].format(text), *rest) for number, (text, *rest) in enumerate(every)]
    for what, notes in (("alone", every[::3]), ("amid politeness", amid[::29])):
        found: Counter[str] = Counter()
        for text, called, near, more in notes:
            each = verdict(text, called, near, more=more)
            found[each] += 1
            if "--show" in sys.argv and each != "right":
                print(f"{each}: {text}")
        print(f"{what}: of {len(notes)} " + ", ".join(f"{each} {found[each]}" for each in ("right", "refused", "wrong")))


if __name__ == "__main__":
    main()
