"""Endings: a word of a name read by its end: a compound by its last part, a diminutive by what it is small of.

Conventions
-----------
Words are as `stemwright.recipes.spelling` has them, in small letters without accents. Which endings a language has is general
knowledge, no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stemwright.recipes.spelling import Words

# Languages that write compounds as one word name the thing at the end, whatever stands before: "Truhenorgel" is an organ.
_HEADS = """
orgel gitarre gitarren gitarr gitaar gitaren gitar flote floten fluit floyte trommel geige geigen violine posaune posaunen trompete
trompeten klarinette klarinetten saxophon saxofon klavier schlagzeug gesang stimme stimmen glocken trumma tromme kitara kuoro rumpu
huilu akkordeon mandoline kontrabass gerausch gerausche gerauesche effekt effekte effekten rauschen zwitschern
gezwitscher synth orgeln klocka klockor klockan
"""
HEADS = frozenset(_HEADS.split())
SHORTEST_FRONT = 3

# Small or big ones of a thing, with the fewest letters in front, and what the thing may have ended in.
SMALL = {
    "cito": 4, "cita": 4, "citos": 4, "citas": 4, "sito": 4, "sita": 4, "zinho": 4, "zinha": 4, "inho": 5, "inha": 5, "inhos": 5,
    "inhas": 5, "ito": 5, "ita": 5, "itos": 5, "itas": 5, "etto": 5, "etta": 5, "etti": 5, "one": 6, "oni": 6, "tje": 4, "tjes": 4,
    "pje": 4, "pjes": 4, "je": 5, "jes": 5, "chen": 5, "zik": 3, "iczek": 4,
}  # fmt: skip
_ENDS = ("", "a", "o", "e")

# Like a thing: "vibraphoney", "guitarish".
LIKE = {"esque": 5, "ish": 6, "ey": 6, "y": 8}


def headed(word: str, known: Mapping[str, Words]) -> Words:
    """Return what a compound's last part means; nothing where it is none."""
    for at in range(SHORTEST_FRONT, len(word)):
        if word[at:] in HEADS and word[at:] in known:
            return known[word[at:]]
    return ()


def small(word: str, known: Mapping[str, Words]) -> Words:
    """Return what a diminutive, an augmentative or an adjective is made of."""
    for endings, ends in ((SMALL, _ENDS), (LIKE, ("", "e"))):
        for ending, shortest in endings.items():
            front = word.removesuffix(ending)
            if front == word or len(front) < shortest:
                continue
            found = next((known[front + end] for end in ends if front + end in known), ())
            if found:
                return found
    return ()


def folded(word: str) -> str:
    """Return a word whose umlauts are written as two letters with one: "gloeckchen"."""
    return word.replace("ae", "a").replace("oe", "o").replace("ue", "u")
