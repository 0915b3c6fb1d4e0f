"""Plain asks amid what people write round them: praise, a contrast, what is to stay, another ask, and what is said not to be so.

Run: python tests/bench/amid_notes.py [SEED] [COUNT]

Made of parts and not of any hand; what is right is how the sentences are said in English.
"""

from __future__ import annotations

import random
import sys
from collections import Counter, defaultdict

from notes import EFFECTS, VOCABULARY, Stem

from stemwright.notes.language import read
from stemwright.notes.targets import targets_of

STEMS = {
    "kick": Stem("Kick.wav", "kick", "drums"), "hats": Stem("Hats.wav", "hats", "drums"), "snare": Stem("Snare.wav", "snare", "drums"),
    "bass": Stem("Bass.wav", "bass", "music"), "keys": Stem("Keys.wav", "keys", "music"), "pad": Stem("Pad.wav", "pad", "music"),
    "vocal": Stem("Lead Vox.wav", "lead vocal", "vocals"), "guitar": Stem("Gtr.wav", "guitar", "music"),
}  # fmt: skip
BY_NAME = {stem.stem: stem for stem in STEMS.values()}
TARGETS = targets_of(STEMS.values())
# What answers more, and what answers less, of a sound.
WAYS = {
    "loud": ({"louder"}, {"quieter"}),
    "top": ({"more highs", "more presence"}, {"less highs", "less presence"}),
    "low": ({"more lows", "more low mids"}, {"less lows", "less low mids"}),
    "bite": ({"more presence", "more highs", "more mids"}, {"less presence", "less highs", "less mids"}),
}
ASKS = (
    ("the {s} {is} too loud", "-loud"), ("the {s} {is} a bit too bright", "-top"), ("the {s} {is} too quiet", "+loud"),
    ("the {s} need{v} more air", "+top"), ("the {s} could use more low end", "+low"), ("the {s} {isnt} loud enough", "+loud"),
    ("the {s} {isnt} bright enough", "+top"), ("the {s} should be louder", "+loud"), ("turn the {s} down a bit", "-loud"),
    ("more bite on the {s}", "+bite"), ("less low end in the {s}", "-low"), ("bring the {s} up", "+loud"),
    ("the {s} lack{v} air", "+top"),
    ("can you brighten the {s}", "+top"), ("i want the {s} brighter", "+top"), ("the {s} feel{v} boomy", "-low"),
    ("the {s} {is} a little harsh", "-bite"),
)  # fmt: skip
PRAISE = (
    "love it", "great work", "this is fire", "sounds amazing", "the mix is great", "everything sounds good", "it's almost there",
    "nice one", "really happy with this", "the {s} {is} perfect", "love the {s}", "the {s} sound{v} great now", "so much better",
    "better than the last one", "we're nearly there", "the balance is great", "big improvement", "i'm happy with the rest",
    "thanks for the quick turnaround",
)  # fmt: skip
JOINS = (", but ", ". ", ", just ", " but ", "! ", " - ", ". Only thing: ", ", only ", ", though ", "\n")
ENDS = (
    "", "", " please", " thanks", ", otherwise perfect", ", the rest is great", ", that's all", "!", ", then it's done",
    ". Otherwise approved", ", don't change anything else", ". Rest is perfect",
)  # fmt: skip
CONTRASTS = (
    "the {o} {is} fine but {a}", "{a}, the {o} {is} fine", "the {o} {is} better now, {a} though", "not the {o}, {a}",
    "{a}, not the {o}", "{a}, leave the {o}", "{a} and leave the {o} alone", "{a} because i can't hear the {o}",
    "{a} so the {o} can breathe", "it's not the {o}, {a}", "{a} without touching the {o}", "don't touch the {o} but {a}",
)  # fmt: skip
KEPT = (
    "keep the {o}, {a}", "keep the {o} as it is and {a}", "{o} good, {a}", "i like the {o} now. {a}", "the {o} {is} exactly right. {a}",
    "{a}, love the {o}", "leave the {o} as is, {a}", "{a}. {o} {is} great",
)  # fmt: skip
AND = (" and ", ", ", ". ", " but ", "; ", "\n- ", ", and also ", ". Also ", ". And ")
DENIED = (
    ("don't make the {s} brighter", ""), ("the {s} {is} not too bright", ""), ("the {s} {isnt} too loud, i like it", ""),
    ("i don't think the {s} need{v} to be louder", ""), ("the {s} {isnt} harsh anymore", ""), ("no need to touch the {s}", ""),
    ("not as much low end on the {s}", "-low"), ("the {s} {is} nowhere near loud enough", "+loud"),
    ("the {s} {isnt} as bright as i'd like", "+top"), ("the {s} could be less bright", "-top"),
    ("the {s} {is} a bit less bright than i'd like", "+top"), ("the {s} never sound{v} bright enough", "+top"),
    ("there's no air on the {s}", "+top"), ("there's hardly any low end in the {s}", "+low"),
)  # fmt: skip


def of(text: str, name: str, **more: str) -> str:
    """Return a part with a stem's name and the verbs that go with it."""
    many = name in ("hats", "keys")
    verbs = {"is": "are", "isnt": "aren't", "v": ""} if many else {"is": "is", "isnt": "isn't", "v": "s"}
    return text.format(s=name, o=name, **verbs, **more)


def made(rng: random.Random) -> tuple[str, str, dict[str, str]]:
    """Return what kind of note it is, the note, and what it asks of each stem."""
    kind = rng.choice(("praise", "contrast", "kept", "two", "denied"))
    name, other = rng.sample(list(STEMS), 2)
    form, way = rng.choice(ASKS)
    ask = of(form, name)
    if kind == "praise":
        text = of(rng.choice(PRAISE), other) + rng.choice(JOINS) + ask + rng.choice(ENDS)
    elif kind in ("contrast", "kept"):
        text = of(rng.choice(CONTRASTS if kind == "contrast" else KEPT), other, a=ask)
    elif kind == "two":
        second, its_way = rng.choice(ASKS)
        return kind, ask + rng.choice(AND) + of(second, other) + rng.choice(ENDS[:6]), {name: way, other: its_way}
    else:
        form, way = rng.choice(DENIED)
        text = of(form, name)
    return kind, text, {name: way} if way else {}


def verdict(text: str, asked: dict[str, str]) -> str:
    """Return what became of a note."""
    reading = read(text, TARGETS, VOCABULARY)
    done: dict[str, set[str]] = defaultdict(set)
    for ask in reading.asks:
        for stem in ask.stems:
            done[stem] |= set(EFFECTS.of_ask(ask, BY_NAME[stem].role, BY_NAME[stem].family))
    wanted = {STEMS[name].stem: WAYS[way[1:]][0 if way[0] == "+" else 1] for name, way in asked.items()}
    if not asked:
        return "WRONG" if (done or reading.backs) and not reading.problems else "right"
    if reading.backs or set(done) - set(wanted) or any(not ways & wanted[stem] for stem, ways in done.items()):
        return "WRONG"
    if reading.problems or not done:
        return "refused"
    return "right" if set(done) == set(wanted) else "a part lost"


def main() -> None:
    """Make notes, read them, and count."""
    rng = random.Random(int(sys.argv[1]) if len(sys.argv) > 1 else 1)
    notes = {
        text: (kind, asked)
        for kind, text, asked in (made(rng) for _ in range(int(sys.argv[2]) if len(sys.argv) > 2 else 1000))
    }
    found = {text: verdict(text, asked) for text, (_, asked) in notes.items()}
    for kind in ("praise", "contrast", "kept", "two", "denied"):
        print(f"{kind:9s}", dict(Counter(found[text] for text, (own, _) in notes.items() if own == kind)))
    for text, what in found.items():
        if what != "right":
            print(f"  {what}: {text!r}")


if __name__ == "__main__":
    main()
