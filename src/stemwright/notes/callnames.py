"""Call names: stems by what people call them: their role, what several roles are called, and the telling words of their names.

Conventions
-----------
A word of a stem's name tells if not every stem has it, and if it is no word of speech: "dark" in ``dark pad`` is none. Words
count by their meaning in file names (`stemwright.stems.vocabulary`), one and many alike.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from stemwright.notes.held_names import DETERMINERS, HeldNames
from stemwright.notes.name_words import ALIKE, is_instrument, is_written_so, telling

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.recipes.grammar import Phrase

BESIDE_LEAD = ("doubles", "harmonies", "ad libs", "backing vocals")
OPEN = {"oh", "ohh", "open", "openhat", "ohat", "hho", "op", "opn", "o", "offen", "ouvert", "abierto"}
CLOSED = {
    "ch", "chh", "closed", "closedhat", "chat", "hhc", "cl", "cls", "clsd", "c", "zu", "geschlossen", "ferme", "cerrado",
}  # fmt: skip
HATS = {"open": OPEN, "closed": CLOSED, "close": CLOSED}
EFFECTS = {"fx", "sfx", "effect", "effects", "sound", "sounds", "all", "bus"}
LIGHT = ("shaker", "percussion", "effects")  # not what people mean by "drums" where there are no others
Said = tuple[Literal["stem", "role", "group"], tuple[str, ...]]


class CallNames(HeldNames):
    """What the stems of a song may be called, beside their own words: by role, by group, by kind."""

    def is_all(self, phrase: Phrase) -> bool:
        """Whether a phrase means every stem."""
        return bool(self._lexicon.whole(phrase, "every") or self._lexicon.whole(phrase, "other"))

    def said(self, phrase: Phrase) -> Said | None:  # noqa: PLR0911 - one reading after the other
        """Return what a phrase means by role, group or telling words; no stems where the song has no such role."""
        if not phrase or phrase[0] in DETERMINERS:
            return None
        roles = self._lexicon.whole(phrase, "role")
        by_name = self._numbered(phrase) or self._named(phrase) or (self.with_word("solo") if phrase == ("solo",) else ())
        groups = self._lexicon.whole(phrase, "group")
        hats = self._of_hats(phrase)
        if hats:
            return "stem", hats
        written = len(phrase) == 1 and any(is_written_so(phrase[0], self._raw[stem]) for stem in by_name)
        if groups and "; " in groups[0] and written and not set(groups[0].split("; ")) & {"drums", "music"}:
            return "stem", by_name  # "the horns" of a song with a stem Horns and a Bari Sax
        if groups and phrase[-1:] != ("drumz",):
            found = self._group(tuple(groups[0].split("; ")))
            return "group", self._without_winds(found) if phrase == ("horns",) else found
        if roles:
            return self._by_role(phrase, tuple(roles[0].split(", ")), by_name)
        if by_name:
            return "stem", by_name
        instruments = self._lexicon.whole(phrase, "instrument")
        if not instruments:
            return None
        found = self._same_instrument(phrase, self._of_role(instruments[:1]))
        if instruments[0] == "effects":  # the crowd is no sweep
            found = tuple(stem for stem in found if self._raw[stem] <= EFFECTS or self.has_words(stem, phrase))
            if not found:
                return None
        plural = phrase[-1].endswith("s")
        return "role", found if len(found) <= 1 or (plural and len(phrase) == 1) or self._one_pair(found) else ()

    def _by_role(  # noqa: PLR0911 - one reading after the other
        self, phrase: Phrase, roles: tuple[str, ...], by_name: tuple[str, ...]
    ) -> Said:
        found = self._plainly(phrase, self._of_role(roles))
        found = self._same_instrument(phrase, found) or found  # no acoustic is a banjo
        both = tuple(stem for stem in by_name if stem in found) or self._told_apart(phrase, found)
        plain = [word for word in phrase if not self._lexicon.whole((word,), "part")]
        if both and (
            len(plain) > 1
            or (roles[0] == "lead vocal" and len(both) < len(found))
            or not any(self._roles[stem][0] == roles[0] for stem in found)
            or (len(both) < len(found) and not telling(phrase) <= telling(roles[0].split()))  # overheads are no ride
            or (len(phrase) > 1 and len(both) < len(found) and all(self.has_words(stem, phrase) for stem in both))
        ):
            return "stem", both
        if phrase == ("lead",) and by_name:
            sung = tuple(stem for stem in by_name if self._roles[stem][0] == "lead vocal")
            return "stem", sung or by_name  # of a lead synth and a lead vocal the one who sings
        other_role = bool(found) and not any(self._roles[stem][0] == roles[0] for stem in found)
        own = (telling(phrase) != telling(roles[0].split()) or other_role) and roles[0] != "lead vocal"
        written = self.with_word(phrase[0]) if own and len(phrase) == 1 else ()
        if written and not set(written) & set(found) and not any(self.has_words(stem, phrase) for stem in found):
            return "stem", written  # "the drone" is SubDrone, and not the pad
        if found:
            return "role", self._written_so(phrase, found)
        if by_name:
            return "stem", by_name
        if roles[0] == "lead vocal":
            voices = [stem for stem, (role, family) in self._roles.items() if family == "vocals" and role != "vocal sample"]
            if len(self._sides(voices)) == 1 or self._one_pair(self._sides(voices)):
                return "role", self._sides(voices)
        return "role", ()

    def _written_so(self, phrase: Phrase, found: tuple[str, ...]) -> tuple[str, ...]:
        """Return those of a role whose names have the one word that is said, where the others have another: Acoustic, Nylon."""
        own = tuple(stem for stem in found if phrase[0] in self._raw[stem])
        if len(phrase) > 1 or not self.is_one(phrase) or not own:
            return found
        others = [stem for stem in found if stem not in own]
        alike = [stem for stem in others if self.has_words(stem, phrase) and not self._raw[stem] & HATS["open"]]
        return found if alike else own

    def _numbered(self, phrase: Phrase) -> tuple[str, ...]:
        """Return the one stem with a letter and a number in its name: b 3, where it is no version, pass or Q."""
        if len(phrase) != 2 or len(phrase[0]) != 1 or phrase[0] in "vpq" or not phrase[1].isdigit():
            return ()
        found = self._sides(
            stem for stem, raw in self._raw.items() if set(phrase) <= raw and "".join(phrase) in self._joined[stem]
        )
        return found if len(found) == 1 or self._one_pair(found) else ()

    def _of_hats(self, phrase: Phrase) -> tuple[str, ...]:
        """Return the open hat, or the closed one, where file names tell them by initials."""
        if len(phrase) != 2 or phrase[0] not in HATS or "hats" not in self._lexicon.whole(phrase[1:], "role"):
            return ()
        hats = [stem for stem, (role, _) in self._roles.items() if role == "hats"]
        return self._sides(stem for stem in hats if self._raw[stem] & HATS[phrase[0]])

    def _same_instrument(self, phrase: Phrase, found: tuple[str, ...]) -> tuple[str, ...]:
        """Return a role's stems without those whose names say another instrument: no flute is a bari sax."""
        asked = telling(phrase)
        left = []
        for stem in found:
            own = {word for word in self._bags[stem] if is_instrument(word)}
            if not own or own & asked or any(own & same and asked & same for same in ALIKE):
                left.append(stem)
        return tuple(left)

    def _plainly(self, phrase: Phrase, found: tuple[str, ...]) -> tuple[str, ...]:
        """Return a role's stems without a solo, unless it is said, and without other instruments beside those of the name."""
        bags = {stem: self._bags[stem] for stem in found}
        rhythm = tuple(stem for stem in found if "rhythm" in bags[stem])
        if rhythm and phrase[0] in ("palm", "power"):
            return rhythm  # palm mutes are played by the rhythm guitars
        solos = tuple(stem for stem in found if "solo" in bags[stem])
        plain = tuple(stem for stem in found if stem not in solos)
        if solos and phrase[0] == "lead" and not any("lead" in bags[stem] for stem in found):
            return solos  # a lead guitar plays the solo
        if plain and "solo" not in phrase and self.is_one(phrase) and len(phrase) > 1:
            found = plain
        carrying = tuple(stem for stem in found if telling(phrase) & bags[stem])
        others = [stem for stem in found if stem not in carrying]
        if (
            carrying
            and others
            and all(any(self._lexicon.whole((word,), "instrument") for word in bags[stem]) for stem in others)
        ):
            return carrying
        return found

    def _told_apart(self, phrase: Phrase, found: Sequence[str]) -> tuple[str, ...]:
        """Return those of a role's stems that a word of the phrase tells from the others: the rap vocal."""
        words = (
            telling(phrase) - {"vocal", "lead"} - telling(word for stem in found for word in self._roles[stem][0].split())
        )
        shared = frozenset.intersection(*(self._bags[stem] for stem in found)) if found else frozenset()
        apart = [stem for stem in found if (self._bags[stem] - shared) & words]
        return self._sides(apart) if len(phrase) > 1 and 0 < len(apart) < len(found) else ()

    def _of_role(self, roles: tuple[str, ...] | list[str]) -> tuple[str, ...]:
        for role in roles:
            stems = [stem for stem, (own, _) in self._roles.items() if own == role]
            if stems:
                return self._sides(stems)
        return ()

    def _group(self, members: tuple[str, ...]) -> tuple[str, ...]:
        if members[0] in ("keys", "percussion") and any(role == members[0] for role, _ in self._roles.values()):
            members = members[:1]
        if members == ("drums",) and all(role in LIGHT for role, family in self._roles.values() if family == "drums"):
            return ()
        return self._sides(
            stem for stem, (role, family) in self._roles.items()
            if role in members or (family in members and not (role == "vocal sample" and members == ("vocals",)))
        )  # fmt: skip

    def _without_winds(self, found: tuple[str, ...]) -> tuple[str, ...]:
        """Return horns without the winds of an orchestra, which are none, where there is brass."""
        brass = any(self._roles[stem][0] == "brass" for stem in found)
        return tuple(
            stem
            for stem in found
            if not brass or self._roles[stem][0] == "brass" or self._bags[stem] & {"saxophone", "tenor", "alto"}
        )

    def _named(self, phrase: Phrase) -> tuple[str, ...]:
        """Return the stems that have all these words in their names, at least one of them telling."""
        plain = [word for word in phrase if not self._lexicon.whole((word,), "part")] or list(phrase)
        if all(self._weak(word) for word in plain):
            return self._spelled(phrase)
        found = self._holding(telling(phrase)) or self._holding(telling(plain))  # "bass mic" is no bass DI
        leads = [stem for stem in found if self._roles[stem][0] == "lead vocal"]
        sung = [stem for stem in found if self._roles[stem][1] == "vocals"]
        if leads and all(stem in leads or self._roles[stem][0] in BESIDE_LEAD for stem in sung):
            found = leads  # a singer's name is the lead, unless more is said
        return self._sides(found)

    def _spelled(self, phrase: Phrase) -> tuple[str, ...]:
        """Return the one stem whose name has the common words of a phrase: noise sweep, the room mic."""
        plain = [word for word in phrase if not self._lexicon.whole((word,), "part")]
        if (
            len(phrase) < 2
            or not plain
            or any(
                word.isdigit() or self._lexicon.whole((word,), "place") or self._lexicon.whole((word,), "section")
                for word in phrase
            )
        ):
            return ()
        found = self._sides(self._holding(telling(phrase)) or self._holding(telling(plain)))
        return found if len(found) == 1 or self._one_pair(found) else ()
