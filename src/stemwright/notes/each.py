"""Each: one verb for two shares or two frequencies, said again for each of them: cut 500 and 1k on the keys."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable

_SHARE: Final = r"(?:half|(?:an?|one|two) (?:third|quarter)s?|three quarters|\d{1,2}\s?(?:%|percent\b|per cent\b))"
# Take back half on the vocal and a third on the keys.
SHARES: Final = re.compile(
    r"^((?:please |can you |can we |could you |just )*(?:(?:take|dial|pull|roll) back|undo|keep)) "
    rf"{_SHARE}(?: (?=(?:on|for|from|of) (?!it\b|that\b|this\b|what)).*| ?$)",
    re.IGNORECASE,
)
_EACH_SHARE: Final = re.compile(
    rf"(^.*?|,? and |, ?)({_SHARE}) (?:of (?=(?:on|for|from)\b))?(?=(?:on|for|from)\b)", re.IGNORECASE
)


def with_each_share(match: re.Match[str]) -> str:
    """Return shares of what was done as those of it, each with its verb."""
    done = r"(?:change|tweak|move|boost|cut|edit)s?\b"
    said = re.sub(
        rf" of (?:the|my|that|this) (?:last |latest )?{done}|(?<={match[1]} )({_SHARE}) ?$", r"\1 of it", match[0], count=1
    )
    said = re.sub(rf" of the (\w+) {done}", r" of it on the \1", said)
    verb = match[1]
    return _EACH_SHARE.sub(lambda each: f"{each[1] if each.start() == 0 else f'{each[1]}{verb} '}{each[2]} of it ", said)


# Cut 500 and 1k by 2 dB on the keys.
_HZ: Final = r"(?:\d{2,5}(?:\s?hz)?|\d+(?:\.\d+)?\s?k(?:hz)?)"
TWO_PLACES: Final = re.compile(
    rf"^(cut|boost|notch|dip|lift|scoop|notch out|take out|pull out|add)(?: at)? ({_HZ})(?:,| and| &) ({_HZ})"
    r"(?: by (\d+(?:\.\d+)?(?:\s?dbs?)?))? (?:on|in|from|of|out of) (\D{2,40})$",
    re.IGNORECASE,
)


def with_each_place(match: re.Match[str]) -> str:
    """Return one verb for two places as one for each, with the stem before them."""
    gain = f" {match[4]} at" if match[4] else ""
    return f"{match[5]}: {match[1]}{gain} {match[2]} and {match[1]}{gain} {match[3]}"


# Vocal up 1 dB, backing vocals up half that; not: vocal up 1 dB and keep the keys the same.
AS_MUCH: Final = re.compile(
    r"^(?!.*\b(?:keep|leave|stays?|leaving)\b)(\D*)(\d+(?:\.\d+)?)(\s?dbs?\b)"
    r"(\D*?\b(?:up|down|louder|quieter|softer|lower|raise|boost|cut)\b\D*?)\s(?:by )?"
    r"(half (?:of )?(?:that|as much)|(?:by )?the same(?: amount)?|as much)\s*(?:please|pls)?\s*$",
    re.IGNORECASE,
)


def with_its_figure(match: re.Match[str]) -> str:
    """Return dB said by those before them as figures: half that, the same amount."""
    amount = float(match[2]) * (0.5 if match[5].lower().startswith("half") else 1.0)
    return f"{match[1]}{match[2]}{match[3]}{match[4]} {amount:g} dB"


# The 808 thing you did last time, only do like half; that vocal cut at 3k was too much, do half.
_MADE: Final = r"(?:thing|change|move|stuff|cut|boost|lift|dip|tweak|edit|eq|notch)"
_ABOUT: Final = r"(?:but |so |just |only |please |like |about |maybe |roughly |then |we |you )*"
_OF_IT: Final = rf"({_SHARE})(?: (?:of (?:it|that)|as much|the amount))?\s*(?:please|pls)?\s*$"
_DONE: Final = (
    r"(?: (?:that )?(?:you|u|we) (?:did|made|put|gave))?(?: last(?: time| pass)?)?(?: (?:at|around) [\d.]+ ?(?:k|hz|khz)?)?"
)
_TOO_MUCH: Final = (
    r"(?: (?:was|is)(?: right| good| nice| ok| fine)?,?(?: but)?(?: a (?:bit|little))?(?: way)? too (?:much|strong|deep|big)"
    r"| feels? like too much)"
)
SHARE_OF_A_CHANGE: Final = re.compile(
    rf"^(?:the|that|this) ([\w ]{{2,24}}?) {_MADE}{_DONE}{_TOO_MUCH}?[,;.]? {_ABOUT}(?:do |make it |give me |keep "
    rf"|take )?{_ABOUT}{_OF_IT}",
    re.IGNORECASE,
)
# The last tweak to the keys was too much, meet me in the middle.
MEET_ME: Final = re.compile(
    rf"^(?:the|that|this) (?:last |latest )?{_MADE} (?:on|to|of|in) ([\w ]{{2,24}}?){_TOO_MUCH}[,;.]? {_ABOUT}"
    r"(?:meet (?:me|us) (?:in the middle|half ?way)|split the difference|(?:do|make it|give me|keep|take)?(?: like|"
    r" about| only| just)? ?half(?: of (?:it|that))?)"
    r"\s*(?:please|pls)?\s*$",
    re.IGNORECASE,
)
TWICE_TOO_MUCH: Final = re.compile(
    rf"^(?:the|that|this) {_MADE} (?:on|to|of|in) (the [\w ]{{2,24}}?|[\w ]{{2,24}}?)(?: (?:was|is)(?: right| good|"
    rf" nice| ok| fine)?,?(?: but)?) "
    r"(?:twice|double) (?:as much|as strong|what|too much)\b.*$",
    re.IGNORECASE,
)
# Snare up, kick up, toms up, all by one.
ALL_BY: Final = re.compile(
    r"^(?P<said>\D*\b(?:up|down|louder|quieter)\b\D*?),? (?:all|each|both)(?: of (?:them|those))? (?:by"
    r" )?(?P<figure>\d+(?:\.\d+)?)(?:\s?dbs?)?\s*$",
    re.IGNORECASE,
)


def with_all_their_figure(match: re.Match[str]) -> str:
    """Return several turned by one figure with the figure at each of them."""
    return re.sub(r"\b(up|down|louder|quieter)\b", rf"\1 {match['figure']} dB", match["said"], flags=re.IGNORECASE)


# Take 2 off the snare, cut 3 at 4k: dB, though nobody says so.
BARE_DB: Final = re.compile(
    r"\b((?:take|takes|knock|shave|lose|trim|drop|pull)) (about |like |maybe |another |around )?(\d(?:\.\d+)?) (?=(?:off|out)\b)",
    re.IGNORECASE,
)
DROP_DB: Final = re.compile(
    r"^((?:please |can you |could you |i'd |just )*)drop (?=(?:the |my |our )?[a-z]\D* \d+(?:\.\d+)?\s?dbs?\b)",
    re.IGNORECASE,
)
# More body on the snare, about 2 dB at 180.
MORE_BY: Final = re.compile(
    rf"^((?:please |can we have |give me |i want |a bit |a little |some )*(more|less) [a-z][a-z ]*? (?:on|in|for|to"
    rf"|from) [a-z][a-z ]*?),? (?:about |like |say |maybe )?"
    rf"(\d+(?:\.\d+)?)\s?dbs? (at|around) ({_HZ})\s*$",
    re.IGNORECASE,
)
# The pad has hiss above 10k, can you low pass it there: at that place.
_IT_THERE: Final = r"\b(?:low|high)[ -]?pass(?: (?:it|them|that))*"
THERE: Final = re.compile(
    rf"^(.*?\w),? (?:at|around|above|over|near|below|under) ({_HZ}(?:hz)?)\b(.*?[,;] ?.*?{_IT_THERE}) (?:right |down "
    rf"|up |in )?there\b",
    re.IGNORECASE,
)
# Gtr 1 is 2 dB louder than gtr 2, even them out.
EVEN: Final = re.compile(
    r"^([\w ]{2,24}?) (?:is|are|sits|seems) (?:about |like |maybe |around |roughly )?(?:(an?|half a"
    r"|\d+(?:\.\d+)?)\s?dbs? )(louder|hotter|higher|quieter|lower|softer) than "
    r"([\w ]{2,24}?)[,;.]? (?:so |and |please |can you |could you |just )*(?:even|level|match|balance|fix|make"
    r"|correct) (?:them|it|that|those|the two|both)\b.*$",
    re.IGNORECASE,
)
FORMER: Final = re.compile(
    r"^(?:between |of )(?:the )?([\w ]{2,20}?) and (?:the )?([\w ]{2,20}?),? (?:i'?d say |i think )?(?:the )?(former"
    r"|latter|first|second)(?: one)?\b",
    re.IGNORECASE,
)

# Down 1 dB: hats, pad, snare.
ACTION_FIRST: Final = re.compile(
    r"^((?:up|down) (?:by )?\d+(?:\.\d+)?\s?dbs?|[+-]\s?\d+(?:\.\d+)?\s?dbs?)\s?:\s?([a-z][^:\d]+?)\s*$", re.IGNORECASE
)
# Hats down 1 dB, the pad the same but 2.
SAME_BUT_DB: Final = re.compile(
    r",? (?:and )?((?:the |my )?[a-z]\w*(?: \w+)?) (?:is |are )?(?:the )?same,? but (\d+(?:\.\d+)?)(?:\s?dbs?)?\s*$",
    re.IGNORECASE,
)
_WAYS: Final = re.compile(r"\b(?:up|down|louder|quieter)\b", re.IGNORECASE)
ARROW: Final = re.compile(r"\b\d+(?:\.\d+)?\s?(?:k|hz|khz)?\s?(?:\u2192|->|=>)\s?(?=\d)", re.IGNORECASE)
NOT_THAT_PLACE: Final = re.compile(rf"(?<=\d|k|z),? not (?:at )?{_HZ}(?:hz)?(?![\d.]|\s?db)", re.IGNORECASE)
REASON_BEHIND: Final = re.compile(
    rf"({_HZ}(?:hz)?)\s?\((?!(?:high|low|wide|narrow|broad|q|shelf|bell|notch|peak|cut|boost|not)\b)[a-z][a-z -]{{2,16}}\)",
    re.IGNORECASE,
)
GIVEN_BACK: Final = re.compile(r"\bgive ((?:the |my )?[a-z][\w ]{1,20}?) back (?=\d+(?:\.\d+)?\s?dbs?\b)", re.IGNORECASE)
GAINS: Final = re.compile(
    r"\b(?:gets?|gains?) (?:about |another )?(\d+(?:\.\d+)?)(?:\s?dbs?)?(?=\s*(?:[.,;]|$| and\b))", re.IGNORECASE
)
ONTO: Final = re.compile(r"(?<![+-])\b(\d+(?:\.\d+)?\s?dbs?) onto\b", re.IGNORECASE)
LOW_BY: Final = re.compile(r"\b(is|are) (\d+(?:\.\d+)?\s?dbs?) (low|high)\b(?! shel| pass| mid| end)", re.IGNORECASE)

# Stems by number alone: 05 has no bottom; nudge 10 up; not: bar 05, 05 dB.
_IS_TURNED: Final = (
    r"(?:up|down|is|are|has|needs?|could|sounds?|feels?|a bit|a little|too|louder|quieter|brighter|darker|[+-]\d)"
)
_BEFORE_ONE: Final = r"(?:please |nudge |turn |bring |push |pull |take |cut |boost |lift |tracks? |on |in |from )"
ZERO_FIRST: Final = re.compile(
    rf"((?:^|[,;] ?|\band )(?:{_BEFORE_ONE})*|{_BEFORE_ONE})0([1-9])(?= ?(?:$|[,;]|(?:and|at|by|on)\b|{_IS_TURNED}(?:\b|\d)))",
    re.IGNORECASE,
)
TEN_AND_UP: Final = re.compile(
    rf"((?:^|[,;] ?|\band )(?:(?:please |nudge |turn |bring |push |pull )*))"
    rf"([1-9]\d)(?= {_IS_TURNED}(?:\b|\d))(?! (?:up|down) (?:to|and)\b)"
    r"(?!.*\b(?:on|in|of|for) (?:the |my |our )?[a-z])",  # 80 is boomy on the kick
    re.IGNORECASE,
)
EASE_WHAT: Final = re.compile(
    rf"\b(?:ease off|back off|dial back|pull back|reduce|soften) (?:on )?what (?:you|u|we) did(?: (?:there|last time|before))?"
    rf"(?: (?:to|on|with) ((?:the |my )?\w+(?: \w+)?))? by ({_SHARE})",
    re.IGNORECASE,
)


def with_half_of_it(match: re.Match[str]) -> str:
    """Return what is to be eased off by a share of it as the share of it."""
    return f"{f'{match[1]}: ' if match[1] else ''}{match[2]} of that"


def with_its_way(match: re.Match[str]) -> str:
    """Return the same but other dB as those dB the way that was said before; as it is, where none was."""
    ways = _WAYS.findall(match.string[: match.start()])
    return f", {match[1]} {ways[-1]} {match[2]} dB" if ways else match[0]


def with_its_fault(match: re.Match[str]) -> str:
    """Return dB that a level is low or high by as those it is too quiet or too loud."""
    return f"{match[1]} {match[2]} too {'quiet' if match[3].lower() == 'low' else 'loud'}"


def with_even_level(match: re.Match[str]) -> str:
    """Return what is louder than another as what makes it even."""
    amount = {"a": "1", "half a": "0.5"}.get(match[2].lower(), match[2])
    way = "up" if match[3].lower() in ("quieter", "lower", "softer") else "down"
    return f"{match[1]} {way} {amount} dB"


def with_the_one_meant(match: re.Match[str]) -> str:
    """Return the former or the latter by its name."""
    return match[1] if match[3].lower() in ("former", "first") else match[2]


def with_its_sign(match: re.Match[str]) -> str:
    """Return dB behind a sound of which more or less is asked as figures with their sign."""
    return f"{match[1]} {'+' if match[2].lower() == 'more' else '-'}{match[3]} dB at {match[5]}"


SAYINGS: Final[tuple[tuple[re.Pattern[str], str | Callable[[re.Match[str]], str]], ...]] = (
    (SHARE_OF_A_CHANGE, r"\1: \2 of that"),
    (MEET_ME, r"\1: half of that"),
    (TWICE_TOO_MUCH, r"\1: half of that"),
    (ALL_BY, with_all_their_figure),
    (ZERO_FIRST, r"\1track \2"),
    (TEN_AND_UP, r"\1track \2"),
    (EASE_WHAT, with_half_of_it),
    (ACTION_FIRST, r"\2 \1"),
    (SAME_BUT_DB, with_its_way),
    (ARROW, ""),
    (NOT_THAT_PLACE, ""),
    (REASON_BEHIND, r"\1"),
    (GIVEN_BACK, r"give \1 "),
    (GAINS, r"up \1 dB"),
    (ONTO, r"+\1 on"),
    (LOW_BY, with_its_fault),
    (BARE_DB, r"\1 \3 dB "),
    (DROP_DB, r"\1turn down "),
    (MORE_BY, with_its_sign),
    (THERE, r"\1\3 at \2"),
    (EVEN, with_even_level),
    (FORMER, with_the_one_meant),
)
