"""Tokens: a note cut into sentences, and a sentence into words, figures and signs, with where they stand."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from stemwright.notes import around, each
from stemwright.notes.complaints import COMPLAINTS
from stemwright.notes.number_words import ORDINALS
from stemwright.notes.numbers import CLOCK, NUMBER, Figure, Q, figure, spelled
from stemwright.stems.names import split_words

if TYPE_CHECKING:
    from collections.abc import Callable

TokenKind = Literal["word", "figure", "name", "colon", "break", "dash", "sign", "mark"]
_STRAIGHT: Final = str.maketrans(
    {"\u201c": '"', "\u201d": '"', "\u201e": '"', "\u2019": "'", "\u2018": "'", "\u2212": "-", "\u2026": ".", "\ufe0f": ""}
)
# What pictures say, in words; a heart or a flame is praise.
_PICTURES: Final = (
    ("10/10", " perfect "),
    ("\u2705", " is fine; "),
    ("\u2714", " is fine; "),
    ("\u274c", " ; "),
    ("\u2716", " ; "),
    *((one, " perfect ") for one in "\U0001f44d\U0001f525\U0001f44c\u2764\U0001f60d\U0001f64c\U0001f4af\U0001f929\U0001f970\u2728"),
    *((one, ", ") for one in "\U0001f62d\U0001f648\U0001f605\U0001f602\U0001f64f\U0001f600\U0001f642"),
)  # fmt: skip
_TOO: Final = "cloudy|loud|quiet|bright|dark|harsh|muddy|boomy|thin|much|low|high|hot|soft"
# A question that complains: do the hats need to be that loud?
_NEED: Final = re.compile(
    r"\b(?:does|do|did)\s+([^,.;?!]{2,40}?)\s+(?:really\s+)?(?:need|have)\s+to\s+be\s+(?:quite\s+)?(?:that|so|this)\b",
    re.IGNORECASE,
)
# What follows from a fault asks for nothing: and makes the whole thing feel small.
_FOLLOWS: Final = re.compile(
    r"(?<=[a-z])(?:\s*,)?\s+(?:(?:and|which|so|that)\s+)?(?:it\s+|that\s+)?(?:makes|making)\s+"
    r"(?:the\s+\w+(?:\s+\w+)?|everything|all of it)\s+(?:feel|sound|look|seem)s?\b[^,.;\n]*",
    re.IGNORECASE,
)
_SUPPOSED: Final = re.compile(
    r"\b(?:is|are|was|were)\s+([^,.;?!]{2,40}?)\s+(?:really\s+)?(?:supposed|meant)\s+to\s+be\s+(?:quite\s+)?(?:that|so|this)\b",
    re.IGNORECASE,
)
# A comparison that should not be: the doubles are louder than the lead, should be the other way round.
_OTHERWISE: Final = re.compile(
    r"([^.;,\n?!]{0,80}?\b)(louder|quieter) than ([^.;,\n?!]{1,60}?)[.,;?!\s]{1,4}(?:and |it |they |that |this |which )*"
    r"(?:should be the other way (?:a)?round|should ?n[o']?t be|should be under(?:neath)?|(?:please )?flip (?:it|that)|no bueno|"
    r"(?:the )?other way (?:a)?round(?= pls| please|$))\b(?: (?:louder|quieter)(?: than [^.;,\n?!]+)?)?",
    re.IGNORECASE,
)
_TURNABOUT: Final = re.compile(r"other way|should ?n[o']?t be|should be under|\bflip\b|no bueno", re.IGNORECASE)
# What was done to a stem was too much: to be undone.
_OVERDONE: Final = re.compile(
    r"\bwhat (?:you|u|we) did (?:to|on|with) ((?:the |my )?\w+(?: \w+)?)(?: last(?: time)?)? (?:was|is) (?:too much|a mistake)\b",
    re.IGNORECASE,
)
_COUNT: Final = "|".join(ORDINALS)
# Guitars 1 and 3, gtr 1/2; not: up 1 and 2 dB.
_SEVERAL_OF_A_NAME: Final = re.compile(
    r"\b((?!(?:by|at|up|down|to|from|pass|passes|version|versions|take|bars?|around|near|about|between|of|minus|plus|cut|boost|add|dip|"
    r"verses?|chorus(?:es)?|hooks?|under|over|below|above|and|tracks?|stems?|q)\b)[a-z]{2,}) ([1-9])(?:\s?[&/,]\s?|\s+and\s+)([1-9])\b"
    r"(?!\s?(?:[.:]\d|dbs?\b|decibels?\b|k\b|khz|hz|%))",
    re.IGNORECASE,
)
# 1 dB of air on the vocal; not: take 2 dB of mud out.
_SOME_DB_OF: Final = re.compile(
    r"((?:^|[,;]|\band\b|\bthen\b)(?:(?!\b(?:take|cut|remove|lose|loses|drop|less|pull|dip|roll|reduce|minus|shave|trim|scoop|tame|off|down)\b)"
    r"[^,;+-])*?)(?<![\d.+-])(\d+(?:\.\d+)?\s?(?:dbs?|decibels?) of (?!\w+ (?:out|off|down|less)\b))",
    re.IGNORECASE,
)
# Whatever you did to the bell, do like a third of it.
_WHATEVER: Final = re.compile(
    r"^(?:whatever|what) (?:you|u|we) did (?:to|on|with) ((?:the |my )?\w+(?: \w+)?),? "
    r"(?:do|keep|make it|leave|give me|only|just)(?: (?:like|about|maybe|only|just|roughly))* (.+ of (?:it|that))$",
    re.IGNORECASE,
)

_BOTH_SIDES: Final = re.compile(
    r"\b(?:both )?(?:the )?left (?:and|&|\+) (?:the )?right ((?!channel|side|ear|speaker|hand)[a-z]{3,}?)(?:s)?\b",
    re.IGNORECASE,
)


def straight(text: str) -> str:
    """Return a text with the quotes, apostrophes and signs that phones bend as a keyboard has them, and a line that goes on in one."""
    return _GOES_ON.sub(" ", text.translate(_STRAIGHT))


def _kept_of(match: re.Match[str]) -> str:
    """Return what is left of a change of which so much less is wanted: 30 % less of that."""
    return f"{100 - int(match[1])}% of "


_SAYINGS: Final[tuple[tuple[re.Pattern[str], str | Callable[[re.Match[str]], str]], ...]] = (
    (re.compile(r"^(\d)\.([0-5]\d)(?=\s+(?!dbs?\b|k\b|khz|hz|q\b|decibel)[a-z])", re.IGNORECASE), r"\1:\2"),
    (re.compile(r"\bu\b", re.IGNORECASE), "you"),
    (re.compile(r"(?<=\bsub )low[ -]pass\b", re.IGNORECASE), "lowpass"),  # no sub that is low
    (re.compile(r"^((?:please |can you |could you )?)de[- ]?ess(?=\s+\w)", re.IGNORECASE), r"\1less sibilance on"),
    (re.compile(r"(?<=\bneeds )(?:(?:some|a bit of|a little|a touch of) )?de[- ]?essing\b", re.IGNORECASE), "less sibilance"),
    # what is not to be done, or comes of what is: instead of boosting the vocal, cut the guitar so the vocal has more air
    (re.compile(r"^(?:instead of|rather than) \w+ing\b[^,;]*,\s*", re.IGNORECASE), ""),
    (re.compile(r"(?<=\w),? (?:instead of|rather than) \w+ing\b[^,.;]*", re.IGNORECASE), ""),
    (re.compile(r"(?<=\w) to (?:make|leave) (?:some |more )?(?:space|room) for (?:the |my )?\w+(?: \w+)?$", re.IGNORECASE), ""),
    (
        re.compile(
            r"(?<=\w),? so (?:that )?(?!(?:it|they|i|we|you|that)\b)(?:the |my |our |her |his )?[a-z][\w ]{2,30}? "
            r"(?:has|have|gets?|sounds?|sits?|comes?|feels?|(?:can|could) (?:breathe|cut|sit|be|come|speak|shine|stand))\b"
            r"(?! to\b)[^,.;\d]*$",
            re.IGNORECASE,
        ),
        "",
    ),
    (re.compile(r"\bhi[ -](?=(?:end|mids?|freqs?|frequencies)\b)", re.IGNORECASE), "high "),
    (re.compile(r"\blo[ -](?=(?:end|mids?|freqs?|frequencies)\b)", re.IGNORECASE), "low "),
    (re.compile(r"\bhear myself\b", re.IGNORECASE), "hear my voice"),
    (re.compile(r"\b\d+[ -]seconds? (?=version|edit|cut|clip|teaser)", re.IGNORECASE), "short "),
    (re.compile(r"\bno (\w+) no more\b", re.IGNORECASE), r"no \1"),
    (re.compile(r"^overall,? (?=(?:i|we|it|you|the balance|the mix)\b)", re.IGNORECASE), ""),
    (re.compile(r"(?:,?\s*\band)?\s*\b(?:it|that) makes me want to [^,.;\n]*", re.IGNORECASE), ""),
    *COMPLAINTS,
    *each.SAYINGS,
    (_WHATEVER, r"\1: \2"),
    *around.SAYINGS,
    (each.AS_MUCH, each.with_its_figure),
    (around.NOTHING_ELSE, ""),
    (each.SHARES, each.with_each_share),
    (each.TWO_PLACES, each.with_each_place),
    (_OVERDONE, r"\1: undo that"),
    (re.compile(r"\b(?:there(?:'s| is|s) )?no (?:real )?need (?:to|for)\b", re.IGNORECASE), "you don't need"),
    (re.compile(r"\b(?:thru|thro)\b", re.IGNORECASE), "through"),
    (re.compile(r"\bb4\b", re.IGNORECASE), "before"),
    (re.compile(r"\bw/\s?", re.IGNORECASE), "with "),
    (re.compile(r"\b(way|is|are|r) 2 (?=(?!dbs?\b|decibel|k\b|khz|hz)[a-z])", re.IGNORECASE), r"\1 too "),
    (re.compile(rf"(?<=[a-z]) 2 (?=(?:{_TOO})\b)", re.IGNORECASE), " too "),
    (around.FAR_TOO, "a lot too "),
    (re.compile(r"\b(?:c\.|round)\s?(?=\d)", re.IGNORECASE), "around "),
    (re.compile(r"(?<=\ddb) deep\b|(?<=\d db) deep\b", re.IGNORECASE), ""),
    (re.compile(r"(?<=[\dk])\s?-?ish\b", re.IGNORECASE), ""),
    (re.compile(r"(?<=\d)~(?=\d)"), "-"),
    (re.compile(r"~\s?(?=\d)"), "around "),
    (re.compile(r"\.{2,}\s*(?=[a-z])"), " "),
    (re.compile(r"\bto cut through\b", re.IGNORECASE), "more cut through"),
    (_NEED, r"\1 is too"),
    (_SUPPOSED, r"\1 is too"),
    (_FOLLOWS, ""),
    (re.compile(r"(?<=[a-z\d])\s+L\s?(?:[+/&]|\band\b)\s?R\b"), ""),  # both sides of a pair
    (re.compile(r"(?<=[a-z])-(?=[a-z])", re.IGNORECASE), " "),
    (re.compile(r"(?<=[a-z])/(?!oct)(?=[a-z])", re.IGNORECASE), " / "),  # kick/snare
    (re.compile(r"(?<!\w)#\s?(?=\d)"), "track "),
    (re.compile(r"\b([1-9])(?:st|nd|rd|th)\b", re.IGNORECASE), lambda match: ORDINALS[int(match[1]) - 1]),
    (re.compile(rf"\b({_COUNT}) (?:and|&) ({_COUNT}) (\w+)", re.IGNORECASE), r"\1 \3 and \2 \3"),
    (_SEVERAL_OF_A_NAME, r"\1 \2 and \1 \3"),
    (_BOTH_SIDES, r"left \1 and right \1"),
    (re.compile(r"\bfirst two ((?!pass|mix|version|note)\w+?)s\b", re.IGNORECASE), r"\1 1 and \1 2"),
    (re.compile(r"\bshel(?:f|ve) off\b", re.IGNORECASE), "shelf down"),
    (re.compile(r"\b(\d{1,2})\s?(?:%|percent|per cent) less of (?=that\b|it\b)", re.IGNORECASE), _kept_of),
    (re.compile(r"\ba third less of (?=that\b|it\b)", re.IGNORECASE), "two thirds of "),
    (re.compile(r"\ba quarter less of (?=that\b|it\b)", re.IGNORECASE), "three quarters of "),
    (around.TOO_MUCH_OF_IT, "two thirds of it on "),
    (re.compile(r"\bdouble what\b", re.IGNORECASE), "twice what"),  # no voice that is doubled
    (_SOME_DB_OF, r"\1+\2"),
    (re.compile(r",? (?:for the )?first time in (?:my|his|her|our|their) li(?:fe|ves)\b", re.IGNORECASE), ""),
    (re.compile(r"\b(\d+)'?s\b"), r"\1"),
)  # fmt: skip
_BULLET: Final = re.compile(r"(?m)^\s*(?:[-*\u2022\u00b7>\u2013\u2014]+\s+|\(?\d{1,2}[.)]\s+|[a-h]\)\s+)")
_HEADING: Final = re.compile(r"[^:\n]{1,60}[:.]?")
_INLINE: Final = re.compile(r"(?:\s|^)\(?\d\)\s")
_COUNTED: Final = re.compile(
    r"(?:^|(?<=\s))([1-9])[.)]?\s(?=(?!dbs?\b|db|k\b|khz|hz|decibel|or\b|of\b|to\b)[a-z])", re.IGNORECASE
)
LONGEST_NAME: Final = 4
_END: Final = re.compile(r"[;\n!?|]+|\.{2,}|(?<!\d)\.(?=[\s\"')]|$)|(?<=\d)\.(?=\s+[A-Za-z]|\s*$)|(?<=[a-z])\.(?=[A-Z])")
_TOKEN: Final = re.compile(
    r'"(?P<quoted>[^"\n]*)"|(?P<filename>[^\s",]+\.(?:wav|aiff?|flac|mp3|ogg|caf|w64|au|m4a)\b)'
    rf"|(?P<clock>{CLOCK})|(?P<q_figure>{Q})"
    r"|(?P<colon>:(?!\d)|=)|(?P<comma>[,&/()\u2014\[\]]|\+(?=\s*[a-zA-Z]))|(?P<dash>(?<=\s)[-\u2013]+(?=\s+[a-zA-Z]))"
    r"|(?P<sign_only>(?<=\s)[-+](?:\s?[-+])*(?=\s*(?:$|,))|[-+]{2,}|(?<=[a-zA-Z])[-+](?=\s*(?:$|,)))"
    rf"|(?P<figure>{NUMBER})|(?P<at>@)|(?P<word>[^\W\d_]+(?:'[^\W\d_]+)*)|(?P<digits>\d+)",
    re.IGNORECASE,
)
_HIDDEN_NAME: Final = re.compile(r'"q(\d+)q"')
_GOES_ON: Final = re.compile(r"\n[ \t]+(?=(?:at|around|on|by|with)\b)")
_QUOTED_NAME: Final = re.compile(r'"([^"\n]*)"')


@dataclass(frozen=True)
class Token:
    """One word, figure or sign of a sentence, and where it stands."""

    kind: TokenKind
    text: str
    start: int
    end: int
    figure: Figure | None = None


def _numbered(text: str) -> str:
    """Part a list whose numbers stand between its words: 1 the kick is dull 2 the bell is harsh; 1. kick darker 2. hat 1 up."""
    marks = list(_COUNTED.finditer(text))
    pointed = [mark for mark in marks if mark[0].rstrip()[-1] in ".)"]
    marks = pointed or marks
    numbers = [int(mark[1]) for mark in marks]
    start = 2 if pointed and numbers[:1] == [2] else 1  # the first, at a line's start, is off already
    named = not pointed and any(text[: mark.start()].strip() for mark in marks[:1])  # hat 1 louder, hat 2 darker
    if named or len(numbers) < 3 - start or numbers != list(range(start, start + len(numbers))):
        return text
    ends = [0, *(mark.end() for mark in marks)]
    starts = [*(mark.start() for mark in marks), len(text)]
    return "; ".join(text[end:start] for end, start in zip(ends, starts, strict=True))


def sentences_of(text: str) -> list[str]:
    """Cut a note into sentences; bullets and numbers before them go, quoted names stay whole."""
    names: list[str] = []

    def hidden(match: re.Match[str]) -> str:
        if len(match[1].split()) > LONGEST_NAME and "." not in match[1]:
            return f", {match[1]}, "  # somebody is cited
        names.append(match[0])
        return f'"{len(names) - 1}"'

    text = re.sub(r"\bno\. ?(?=\d)", "#", _QUOTED_NAME.sub(hidden, straight(text)), flags=re.IGNORECASE)
    for picture, words in _PICTURES:
        text = text.replace(picture, words)
    text = re.sub(r"\.{2,}\s+(?=[a-z])", " ", _INLINE.sub("; ", _numbered(_BULLET.sub("", text))))
    if _TURNABOUT.search(text):  # looked for alone: the whole takes long in a long text
        text = _OTHERWISE.sub(lambda match: f"{match[1]}too {match[2][:-2]} against {match[3]}; ", text)
    parts = (" ".join(part.split()).strip(" ,") for part in _END.split(text))
    return [_QUOTED_NAME.sub(lambda match: names[int(match[1])], part) for part in parts if part]


def without_headings(text: str, is_heading: Callable[[str], bool]) -> str:
    """Return a note without the lines that stand over a list and say nothing of it."""
    lines = text.split("\n")
    kept = [
        line
        for line, below in zip(lines, [*lines[1:], ""], strict=True)
        if not (_HEADING.fullmatch(line.strip()) and _BULLET.match(below) and is_heading(line))
    ]
    return "\n".join(kept)


def tokens_of(sentence: str) -> tuple[str, list[Token]]:
    """Return a sentence with its amounts as digits, and its tokens."""
    names: list[str] = []

    def hidden(match: re.Match[str]) -> str:
        names.append(match[0])
        return f'"q{len(names) - 1}q"'

    sentence = spelled(_QUOTED_NAME.sub(hidden, sentence))  # what is in quotes is a name, whatever it says
    for pattern, plain in _SAYINGS:
        sentence = pattern.sub(plain, sentence)
    sentence = _HIDDEN_NAME.sub(lambda match: names[int(match[1])], sentence)
    found: list[Token] = []
    for match in _TOKEN.finditer(sentence):
        groups = match.groupdict()
        at = (match.start(), match.end())
        if groups["quoted"] is not None or groups["filename"]:
            found.append(Token("name", match[0].strip('"'), *at))
        elif groups["clock"] or groups["q_figure"] or groups["figure"]:
            found.append(Token("figure", match[0].strip(), *at, figure=figure(match)))
        elif groups["word"]:
            found += _words(match[0], *at)
        elif groups["digits"]:
            found.append(Token("word", match[0], *at))
        else:
            kind: TokenKind = (
                "colon" if groups["colon"] else "break" if groups["comma"] else "dash" if groups["dash"]
                else "sign" if groups["sign_only"] else "mark"
            )  # fmt: skip
            found.append(Token(kind, match[0].replace(" ", ""), *at))
    return sentence, found


def _words(text: str, start: int, end: int) -> list[Token]:
    """Return a word's words: ``don't`` is one, ``kick's`` two, ``LeadVox`` two, as names are split."""
    plain = text
    own = []
    if text.lower().endswith("'s"):
        plain, own = text[:-2], [Token("word", "s", end - 1, end)]
    if plain.lower() == "we're":
        return [Token("word", "we", start, start + 2), Token("word", "are", start + 3, end)]  # and not "were"
    plain = plain.replace("'", "") if plain.lower() != "i'm" else "im"
    if text.lower() in ("it's", "that's", "there's", "what's", "where's", "let's", "here's", "who's", "he's", "she's"):
        return [Token("word", text.lower().replace("'", ""), start, end)]
    shouted = plain.isupper()
    words = (plain.lower(),) if shouted else split_words(plain)
    return [Token("word", word, start, end) for word in words] + own
