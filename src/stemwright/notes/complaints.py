"""Complaints: what is said of a stem in a form that asks only if it is turned round: it's not too loud, it's muddy; it goes click."""

from __future__ import annotations

import re
from typing import Final

_STEM: Final = r"(?:(?:the|my|our|her|his) )?[a-z0-9]+(?: (?!is\b|are\b|isn|aren|was\b|were\b|not\b)[a-z0-9]+){0,2}"
_NOW: Final = r"(?:,? (?:but |and )?|[,;.] ?)(?:now|and now|but now) "
_OPPOSITE: Final = {"up": "loud", "down": "quiet"}
# What was so, and is so no more: the toms were too loud, now they're too quiet.
_WAS: Final = re.compile(
    rf"^({_STEM}) (?:was|were) [^,;.]*?(?:too|so|very|really) [^,;.]*?{_NOW}(?:it|they|that)(?:'s|'re| is| are|s|re) (?=\w)",
    re.IGNORECASE,
)
# The hats aren't too loud, they're too sharp; it's not that the bass is too loud, it's just muddy.
_SOFTLY: Final = r"(?:just |really |actually |more |rather |simply |a bit |a little )*"
_NOT_BUT: Final = re.compile(
    rf"^({_STEM}) (?:isn'?t|aren'?t|(?:is|are) not)(?: even| really)?(?:(?: too| so| that)? \w+(?: enough)?)?,? (?:but )?"
    rf"(?:it|they)(?:'s|'re| is| are|s|re) ({_SOFTLY})(?=(?:too )?\w+(?:[.!,;]|$| (?:and|at|around)\b))",
    re.IGNORECASE,
)
_NOT_THAT: Final = re.compile(
    rf"^(?:it'?s |it is )?not that ({_STEM}) (?:is|are) (?:too )?\w+,? (?:but |it'?s that )?(?:it|they)(?:'s|'re| is|"
    rf" are|s|re) {_SOFTLY}",
    re.IGNORECASE,
)
_NEITHER: Final = re.compile(rf"^neither ({_STEM}) nor ({_STEM}) (?:is|are) (?=\w+ enough\b)", re.IGNORECASE)
_CREEPING: Final = re.compile(
    r"\b(?:(?:is|are|keeps?|has been|have been|'s) )?(?:slowly |a bit )?(?:creeping|creeps|crept) (?:up|forward)\b(?! to\b)",
    re.IGNORECASE,
)
_LIKED: Final = re.compile(r"\b(?:love|loves|like|likes|how|nicely|beautifully)\b", re.IGNORECASE)
_WHO_DID: Final = re.compile(
    rf"^(?:who|why did (?:you|u|we|they|he|she|someone)) (?:turn(?:ed)?|put|push(?:ed)?|brought|bring|pull(?:ed)?) ({_STEM}) "
    r"(up|down)\b[^,;.?]*(?:, (?:it|they) (?:was|were) (?:fine|good|better|great|perfect|ok) before)?",
    re.IGNORECASE,
)
# The kick goes click rather than thud.
_GOES: Final = re.compile(r"\bgoes \w+ (?:rather than|instead of|and not) (\w+)\b", re.IGNORECASE)
# I don't mind the toms but the snare is dull; synth 1 should be quieter than synth 2, now it's the opposite.
_MINDED: Final = re.compile(rf"^i do(?:n'?t| not) (?:really )?mind {_STEM},? (?:but|it'?s) ", re.IGNORECASE)
_NOW_OPPOSITE: Final = re.compile(
    r",? (?:but )?(?:right |just )?(?:now |currently )(?:it'?s|they'?re|that'?s) (?:the )?(?:opposite|other way"
    r" (?:a)?round|reverse)\s*$",
    re.IGNORECASE,
)
_ESSES: Final = re.compile(r"\b(?:that|those|her|his|my|the) s(?:'s)? (?=on\b|in\b|of\b|(?:is|are)\b)", re.IGNORECASE)

# The doubles under me a bit more; the pad a bit further behind her.
_WHO: Final = r"(?:me|him|her|them|it|us|everything(?: else)?|the rest|the others)"
_UNDER_MORE: Final = re.compile(
    rf"\b(?:under|behind|beneath|below) {_WHO} ((?:a (?:bit|little|touch|tad|lot) )?)(?:more|further)\b(?! \w)",
    re.IGNORECASE,
)
_MORE_UNDER: Final = re.compile(
    rf"\b((?:a (?:bit|little|touch|tad|lot) )?)(?:more|further) (?:under|behind|beneath|below) {_WHO}\b(?= *(?:[.,;!]|$))",
    re.IGNORECASE,
)

# Neither the bass nor the kick has enough weight; not so little bass on the kick.
_NEITHER_HAS: Final = re.compile(rf"^neither ({_STEM}) nor ({_STEM}) (?:has|have|gets?) enough (?=\w)", re.IGNORECASE)
_NOT_SO_LITTLE: Final = re.compile(r"\bnot (?:quite )?(?:so|too|that) little (?=\w)", re.IGNORECASE)
# A little more guitar wouldn't hurt: it is asked for, and hurts nobody.
_NO_HARM: Final = re.compile(
    r"\b(?:wouldn'?t|would not|won'?t|couldn'?t|can'?t) (?:hurt(?: anyone| anybody| us)?|go amiss|be (?:a )?(?:bad"
    r"|amiss|wrong)(?: thing)?)"
    r"\s*(?=[.,;!]|$)",
    re.IGNORECASE,
)
# Don't make the bass any louder, just give it more grind.
_ONLY_NOT: Final = re.compile(
    rf"^do(?:n'?t| not) (?:make|turn|push|bring) ({_STEM}) (?:any )?(?:louder|quieter|brighter|darker|up|down),?"
    rf" (?:but |just |only )+(?=\w)",
    re.IGNORECASE,
)
_GOTTEN: Final = re.compile(
    r"\b(?:has|have) (?:gotten|become|turned)\b(?= (?:\w+ )?(?:too|a bit|very|so|\w+er)\b)", re.IGNORECASE
)
_PLAYERS: Final = (
    r"(?:drummer|bassist|bass player|guitarist|guitar player|singer|vocalist|rapper|keyboardist|keys player|pianist|"
    r"producer|manager|label|director|client|band|boss|wife|husband|girlfriend|boyfriend|mum|mom|dad|sister|brother)"
)
_THEY_WANT: Final = re.compile(
    rf"\b(?:our|my|the|her|his) {_PLAYERS} (?:also )?(?:wants?|would like|'d like|would love|asks? for|asked for|keeps asking for) "
    r"(?=(?:a (?:bit|little|touch|lot) |some |way |much |slightly )?(?:more|less)\b)",
    re.IGNORECASE,
)
_DRAGGING: Final = re.compile(
    r"\b(drag(?:s|ging)?|lag(?:s|ging)?|rush(?:es|ing)?) (?:behind|ahead of) (?:the |my |our )?\w+", re.IGNORECASE
)
_SIMILE: Final = re.compile(r"\b(sounds? like) (?:it|they) (?:was|were|is|are) (?=\w+(?:ed|made|sung)\b)", re.IGNORECASE)
_OTHER_WAY: Final = re.compile(r",? (?:and )?not the other way (?:a)?round\b", re.IGNORECASE)

# Don't undo the bass, undo the kick; keep the keys' change, undo the rest.
_UNDO_ANOTHER: Final = re.compile(
    r"^(?:please )?do(?:n'?t| not) (?:undo|revert) [^,;.]+[,;.]? (?:but |just |only |instead )*(?=(?:undo|revert)\b)",
    re.IGNORECASE,
)
_UNDONE_FOR: Final = re.compile(
    r"^((?:please )?(?:undo|revert|take back) [^,;.]+),? (?:because |since )?(?:it|they)(?:'s|'re| is| are) "
    r"(?:a bit |a little |so |too )*\w+ now\s*$",
    re.IGNORECASE,
)
_UNDO_THE_REST: Final = re.compile(
    r"^keep (?:the )?([\w ]{2,24}?)(?:'s)? (?:change|tweak|move|edit)s?,? (?:and |but )?(?:undo|revert|take back) "
    r"(?:the (?:rest|others)|everything else|all (?:the )?others?)\b",
    re.IGNORECASE,
)
_WRONG_WAY: Final = re.compile(
    rf"^({_STEM}) (?:is|are|sounds?) (less|more) (\w+) than {_STEM}[,;.]? (?:it |they |that |and )?(?:should|must|needs to|has to) be "
    r"the other way (?:a)?round",
    re.IGNORECASE,
)
_COULD_NOT_BE: Final = re.compile(
    r"\b(?:could ?n[o']?t|can'?t) (?:possibly )?be (?:any )?(?!bett|happ|prou|fin|nic|sweet)(\w{3,}?)er\b", re.IGNORECASE
)
_BACK_UP_BY: Final = re.compile(
    rf"\b(?:put|bring|turn|push|pull) ({_STEM}) back (up|down) (?:by )?(\d+(?:\.\d+)?)(?:\s?dbs?)?"
    r"(?:,? (?:it|they) (?:was|were) (?:fine|good|better|ok|great|perfect) before)?",
    re.IGNORECASE,
)
_DONT_LOSE: Final = re.compile(r",? (?:but |and )?don'?t lose (?:it|that|them) when (?:you |we )?", re.IGNORECASE)


def _less(match: re.Match[str]) -> str:
    return f"{'more' if match[2].lower() == 'less' else 'less'} {match[3]} on {match[1]}"


def _too_loud(match: re.Match[str]) -> str:
    """Return what creeps up as too loud, unless somebody likes it."""
    return match[0] if _LIKED.search(match.string) else "is too loud"


def _turned(match: re.Match[str]) -> str:
    return f"{match[1]} is too {_OPPOSITE[match[2].lower()]}"


COMPLAINTS: Final = (
    (_WAS, r"\1 is "),
    (_NOT_BUT, r"\1 is \2"),
    (_NOT_THAT, r"\1 is "),
    (_NEITHER, r"\1 and \2 aren't "),
    (_CREEPING, _too_loud),
    (_WHO_DID, _turned),
    (_GOES, r"needs more \1"),
    (_MINDED, ""),
    (_NOW_OPPOSITE, ""),
    (_UNDER_MORE, r"\1quieter"),
    (_MORE_UNDER, r"\1quieter"),
    (_NEITHER_HAS, r"\1 and \2 need more "),
    (_NOT_SO_LITTLE, "more "),
    (_NO_HARM, ""),
    (_ONLY_NOT, r"\1: "),
    (_GOTTEN, "is"),
    (_THEY_WANT, "we want "),
    (_DRAGGING, r"\1"),
    (_SIMILE, r"\1 "),
    (_OTHER_WAY, ""),
    (_UNDO_ANOTHER, ""),
    (_UNDONE_FOR, r"\1"),
    (_UNDO_THE_REST, r"undo everything but \1"),
    (_WRONG_WAY, _less),
    (_COULD_NOT_BE, r"is too \1"),
    (_BACK_UP_BY, r"\1 \2 \3 dB"),
    (_DONT_LOSE, ", "),
    (_ESSES, "the sibilance "),
)
