"""Make plain notes from parts: who is meant and who is not in the simplest words, of which the notes in written hold too few.

What is asked and of whom follows from the parts a note is made of; words of sound do what the house's words do. Names are roles, as the
program itself takes them for a song's stems.
"""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

from written import WRITTEN, Note, Song, songs

from stemwright.errors import StemwrightError
from stemwright.notes.targets import targets_of
from stemwright.stems.names import split_words

if TYPE_CHECKING:
    from stemwright.notes.gist.effects import Effects
    from stemwright.recipes.words import Vocabulary

CALLED = {
    "lead vocal": ("vocal", "lead vocal", "vox", "lead", "voice"), "backing vocals": ("backing vocals", "bvs", "backings"),
    "ad-libs": ("ad libs", "adlibs"), "hats": ("hats", "hi hats", "hat"), "cymbals": ("overheads", "cymbals"),
    "guitar": ("guitar", "guitars", "gtr", "gtrs"), "acoustic guitar": ("acoustic", "acoustic guitar"), "keys": ("keys",),
    "drum loop": ("loop", "drum loop"), "vocal sample": ("sample", "vocal sample"), "synth lead": ("lead synth", "synth lead"),
    "percussion": ("percussion", "perc"), "snare": ("snare", "snr"), "strings": ("strings",), "brass": ("brass", "horns"),
}  # fmt: skip
EVERY = ("everything", "the whole mix", "all of it", "drums", "vocals", "all the drums", "everyone")
BUT = ("but", "except", "apart from", "other than", "except for", "but not")
FIRST = (
    "",
    "",
    "",
    "",
    "hi, ",
    "ok so ",
    "hey! ",
    "listened in the car. ",
    "thanks for this. ",
    "great work so far. ",
    "quick one: ",
)
LAST = (
    "",
    "",
    "",
    "",
    " thanks",
    " please",
    ". rest is great",
    ". that's all",
    ", cheers",
    " :)",
    ". everything else stays",
)
FINE = (
    "love the {}", "the {} is great", "{} is fine", "{}: fine", "happy with the {}", "the {} sits right", "{}: no change",
    "leave the {}",     "we love the {}", "the {} works now", "glad about the {}", "no notes on the {}", "we recorded the {} in a hall",
    "it is all fine until the {} comes in", "the {} sounds just as I hoped", "good that the {} is out of the way",
)  # fmt: skip
CONTRASTS = (  # more of one word here, less of it there
    "more {w} on the {}, less on the {o}", "more {w} on the {} but less on the {o}", "{}: more {w}; {o}: less",
    "{} needs more {w}, {o} less", "give the {} more {w} and the {o} less", "less {w} on the {o}, more on the {}",
    "less {w} on the {o} but more on the {}", "take some {w} out of the {o} and give it to the {}",
)  # fmt: skip
BETTER = (  # of the last change: asks for nothing, and what stands behind it is meant
    "the last change was good, but ", "much better than before, but ", "that last round helped. now ", "we liked what you did. ",
    "the change you made works, only ", "better than last time! ",
)  # fmt: skip
BETWEEN = (", but ", " but ", ". ", "; ", ", ", ". but ", "\n- ", " and ", "... ", ", though ")
LOUDER = (
    "{} up",
    "turn up the {}",
    "{} louder",
    "more {}",
    "bring up the {} a little",
    "{} is too quiet",
    "can't hear the {}",
    "push the {}",
    "the {} isn't loud enough",
    "more {}, not less",
)
QUIETER = (
    "{} down",
    "turn down the {}",
    "{} quieter",
    "less {}",
    "pull the {} back a bit",
    "{} is too loud",
    "tuck the {} in",
    "lower the {}",
    "less {}, not more",
)
FAULT = (
    "{} is too {w}",
    "{} is {w}",
    "the {} sounds {w}",
    "{} a bit {w}",
    "less {w} on the {}",
    "{}: {w}",
    "the {} gets {w}",
    "{} so {w}",
    "not happy with the {}, too {w}",
)
MORE = (
    "{} needs more {w}",
    "more {w} on the {}",
    "{}: more {w}",
    "give the {} some {w}",
    "I miss the {w} in the {}",
    "{} could use {w}",
    "no {w} in the {}",
    "bring up the {w} on the {}",
    "turn up the {w} of the {}",
    "bring the {w} of the {} up",
    "turn the {w} up on the {}",
    "boost the {w} on the {}",
    "add some {w} to the {}",
    "lift the {w} in the {} a bit",
    "{w} up on the {}",
    "the {} lacks {w}",
)
LESS = (
    "less {w} on the {}",
    "{}: less {w}",
    "too much {w} in the {}",
    "take some {w} out of the {}",
    "{} has too much {w}",
    "the {} is all {w}",
    "turn down the {w} on the {}",
    "turn the {w} of the {} down",
    "bring the {w} down on the {}",
    "pull the {w} of the {} back",
    "cut some {w} from the {}",
    "cut the {w} on the {}",
    "reduce the {w} of the {}",
    "tame the {w} of the {}",
    "the {w} on the {} could come down",
    "roll off some {w} on the {}",
    "get rid of some {w} in the {}",
    "drop the {w} on the {} a bit",
    "ease off the {w} in the {}",
    "{w} down on the {}",
)
TURNED = (
    "{} {w}",
    "the {} {w}",
    "make the {} {w}",
    "{} a bit {w}",
    "can the {} be {w}",
    "could you make the {} {w}",
    "{} should be {w}",
)

DENIED = (  # of a level: nothing is asked
    "don't turn the {} {d}", "please don't turn {d} the {}", "no need to turn the {} {d}", "I would never make the {} {l}",
    "the {} doesn't need to be {l}", "the {} isn't too {e}", "nobody says the {} is too {e}", "I never said the {} was too {e}",
    "I wouldn't say the {} is too {e}", "the {} should not be {l}", "not asking for the {} to be {l}", "the {} can't get any {l}",
    "don't you dare turn {d} the {}", "I don't want the {} {l}", "don't make the {} any {l}", "the {} is not {e} at all",
    "never turn the {} {d}", "the {} must not get {l}", "it is not that the {} is {e}", "I don't think the {} is too {e}",
)  # fmt: skip
NO_FAULT = (
    "the {} isn't {w}", "the {} is not too {w}", "I don't think the {} is {w}", "I wouldn't call the {} {w}", "nobody finds the {} {w}",
    "the {} aren't {w} at all", "it's not that the {} is {w}", "I never said the {} was {w}", "the {} isn't {w} to me, or to anybody",
    "the {} was never {w}", "don't make the {} {w}", "hardly {w}, the {}", "I can't say that the {} sounds {w}",
)  # fmt: skip
NO_MORE = (
    "the {} doesn't need more {w}", "no need for more {w} on the {}", "don't add {w} to the {}", "no more {w} on the {}",
    "I don't want more {w} on the {}", "the {} has enough {w}", "don't take the {w} out of the {}", "keep the {w} in the {}",
    "don't lose the {w} of the {}", "I don't want less {w} on the {}", "the {} needs no {w}", "not asking for {w} on the {}",
)  # fmt: skip
NOT_ENOUGH = (
    "the {} doesn't have enough {w}", "not enough {w} in the {}", "there is no {w} in the {}", "the {} has no {w}",
    "the {} isn't getting any {w}", "I can't hear any {w} in the {}",
)  # fmt: skip


class Maker:
    """Makes notes on songs whose stems are known."""

    def __init__(self, vocabulary: Vocabulary, effects: Effects, seed: int) -> None:
        self._dice = random.Random(seed)
        self._effects = effects
        self._forms = [(" ".join(form), name, more) for form, (name, more) in vocabulary.forms.items()]
        self._faults = {name for name, words in vocabulary.words.items() if any(word.fault for word in words)}

    def songs(self, count: int) -> list[Song]:
        """Return songs with made notes on them."""
        written = [song for path in sorted(WRITTEN.glob("*.txt")) for song in songs(path)]
        return [self._song(self._dice.choice(written), 25) for _ in range(count // 25)]

    def _song(self, song: Song, count: int) -> Song:
        targets = targets_of(song.stems)
        self._roles = {stem.stem: (stem.role, stem.family) for stem in song.stems}

        def stems_of(name: str) -> tuple[str, ...]:
            try:
                found = targets.called(split_words(name))
            except StemwrightError:
                return ()
            return found.stems if found is not None else ()

        roles = dict.fromkeys(stem.role for stem in song.stems if stem.role)
        names = {name: stems_of(name) for role in roles for name in CALLED.get(role, (role,))}
        self._names = {name: stems for name, stems in names.items() if stems}
        self._every = {name: stems_of(name.removeprefix("all the ")) for name in EVERY}
        everything = tuple(self._roles)
        for name in ("everything", "the whole mix", "all of it", "everyone"):
            self._every[name] = everything
        return Song(song.stems, tuple(self._note() for _ in range(count))) if len(self._names) > 2 else Song(song.stems, ())

    def _note(self) -> Note:
        dice = self._dice
        parts, wants, used = [], [], set()
        how = dice.random()
        if how < 0.3:
            text, wanted = self._of_all() if how < 0.2 else self._contrast()
            parts.append(text)
            wants += wanted
        else:
            kinds = dice.choice(
                ("a", "fa", "af", "aa", "faf", "aaf", "faa", "ffa", "aaa", "n", "n", "na", "an", "nf", "fn", "nan", "nn")
            )
            for kind in kinds:
                left = [name for name, stems in self._names.items() if not used & set(stems)]
                if not left:
                    break
                name = dice.choice(left)
                used |= set(self._names[name])
                if kind == "f":
                    parts.append(dice.choice(FINE).format(name))
                    continue
                if kind == "n":
                    parts.append(self._denial(name, self._names[name]))
                    continue
                text, ways = self._ask(name, self._names[name])
                if dice.random() < 0.12 and len(left) > 2:
                    other = dice.choice([each for each in left if not set(self._names[each]) & used] or [name])
                    if other != name:
                        used |= set(self._names[other])
                        text += dice.choice((", same for the {}", ". {} too", ", and the {} as well")).format(other)
                        wants += [((stem,), ways[1](stem)) for stem in self._names[other]]
                parts.append(text)
                wants += [((stem,), ways[1](stem)) for stem in self._names[name]]
        text = parts[0]
        joined = dice.choice(BETWEEN)
        for part in parts[1:]:
            text += (joined if dice.random() < 0.7 else dice.choice(BETWEEN)) + part
        first = dice.choice(BETTER if wants and dice.random() < 0.05 else FIRST)
        text = f"{first}{text}{dice.choice(LAST)}"
        wanted = tuple(want for want in wants if want[1])
        return Note(text, "asks" if wanted else "unclear", (wanted,))

    def _contrast(self):
        """Return more of a word asked of one name, and less of it of another."""
        dice = self._dice
        for _ in range(50):
            name, other = dice.sample(list(self._names), 2)
            form, word, more = dice.choice(self._forms)
            stems, others = self._names[name], self._names[other]
            done = [self._does(word, stem, more=True) for stem in stems] + [
                self._does(word, stem, more=False) for stem in others
            ]
            if not more and word not in self._faults and all(done) and not set(stems) & set(others):
                break
        text = dice.choice(CONTRASTS).format(name, w=form, o=other)
        return text, [((stem,), tuple(sorted(does))) for stem, does in zip((*stems, *others), done, strict=True)]

    def _denial(self, name: str, stems: tuple[str, ...]) -> str:
        """Return what is said not to be so, or not to be done: nothing is asked by it."""
        dice = self._dice
        how = dice.random()
        if how < 0.5:
            direction = dice.choice((("up", "louder", "quiet"), ("down", "quieter", "loud")))
            return dice.choice(DENIED).format(name, **dict(zip("dle", direction, strict=True)))
        for _ in range(20):
            form, word, more = dice.choice(self._forms)
            if (
                not more
                and (word in self._faults) == (how < 0.75)
                and all(self._does(word, stem, more=True) for stem in stems)
            ):
                break
        return dice.choice(NO_FAULT if how < 0.75 else NO_MORE).format(name, w=form)

    def _ask(self, name: str, stems: tuple[str, ...]):
        """Return an ask in words, and what it does to a stem."""
        dice = self._dice
        if dice.random() < 0.3:
            up = dice.random() < 0.5
            return dice.choice(LOUDER if up else QUIETER).format(name), (1, lambda _: ("louder" if up else "quieter",))
        for _ in range(20):
            form, word, more = dice.choice(self._forms)
            fault = word in self._faults
            if more:
                frames, sign = TURNED, True
            elif fault:
                frames, sign = (FAULT, False) if dice.random() < 0.7 else (LESS, False)
            else:
                frames, sign = (dice.choice((MORE, MORE, NOT_ENOUGH)), True) if dice.random() < 0.6 else (LESS, False)
            if all(self._does(word, stem, more=sign) for stem in stems):
                break
        text = dice.choice(frames).format(name, w=form)
        return text, (1, lambda stem: tuple(sorted(self._does(word, stem, more=sign))))

    def _does(self, word: str, stem: str, *, more: bool) -> frozenset[str]:
        return self._effects.of(word, *self._roles[stem], more=more)

    def _of_all(self):
        """Return an ask of many stems, mostly with one left out."""
        dice = self._dice
        every = dice.choice([name for name, stems in self._every.items() if len(stems) > 1])
        stems = self._every[every]
        inside = [name for name, own in self._names.items() if set(own) < set(stems)]
        text, ways = self._ask("\0", stems)
        left = ()
        said = every
        if inside and dice.random() < 0.75:
            out = dice.choice(inside)
            left = self._names[out]
            if dice.random() < 0.6:
                said = f"{every} {dice.choice(BUT)} the {out}"
            else:
                behind = dice.choice(
                    (", not the {}", " but not the {}", ". don't touch the {}", ", leave the {} alone", ", {} stays")
                )
                text += behind.format(out)
        article = "the " if said.startswith(("drums", "vocals")) else ""
        text = text.replace("the \0", article + said).replace("\0", said)
        return text, [((stem,), ways[1](stem)) for stem in stems if stem not in left]
