"""Around: what stands round what is asked and asks for nothing: why, and that nothing else is to change; and how much is enough."""

from __future__ import annotations

import re
from typing import Final

_I_LIKE: Final = (
    r"(?:i|we|he|she|they)(?:'d|d|\s+would)?\s+(?:like|want|love|prefer|need|hope)(?:d|ed)?"
    r"(?:\s+(?:it|them))?(?:\s+to\s+be)?(?:\s+it)?\b"
)
# The snare isn't as bright as I'd like: not bright enough.
AS_I_LIKE: Final = re.compile(rf"\b(isn'?t|aren'?t|is not|are not|not) (?:quite )?as (\w+) as {_I_LIKE}", re.IGNORECASE)
LESS_THAN_I_LIKE: Final = re.compile(
    rf"(?:\ba (?:bit|little|touch|tad) |\bslightly )?\bless (\w+) than {_I_LIKE}", re.IGNORECASE
)
# Turn the pad down because I can't hear the guitar; brighten the hats without touching the kick.
_HEARS: Final = r"(?:can'?t|cannot|can (?:barely|hardly)|could ?n[o']t|don'?t|hardly|barely) (?:really )?hear"
REASON: Final = re.compile(
    rf"(?<=\w),? (?:(?:because|'?cause|coz|cuz|since|as) (?:i|you|we|it|they|he|she|nobody|no one) (?:{_HEARS}|can hear)\b[^.;\n]*"
    r"|without (?:touching|changing|affecting|moving|messing with) (?:the |my |our |any )?\w+(?: \w+)?\s*$)",
    re.IGNORECASE,
)
_ASKED: Final = r"(?:louder|quieter|up|down|more|less|too|brighter|darker|warmer|boost|cut|enough|needs?|softer|back)"
BECAUSE: Final = re.compile(
    rf"^(.*\b{_ASKED}\b.*?),? (?:because|'?cause|coz|cuz|since) (?:the|my|our)\b[^.;\n]*$", re.IGNORECASE
)
# More weight but not more volume; a touch louder, though not as loud as the kick.
NOR: Final = re.compile(
    r"(?<=\w),? (?:but|though|just) not (?:(?:any )?(?:more|less) \w+(?: end| mids?)?|(?:quite )?as \w+ as (?:the |my"
    r" )?\w+(?: \w+)?)"
    r"\s*(?=[.,;!]|$)",
    re.IGNORECASE,
)
BUT_NOT_ENOUGH: Final = re.compile(r",? but not (?=(?:quite )?\w+ enough\b)", re.IGNORECASE)
# The hats don't need to be so loud; the snare doesn't need more level, it needs more body.
NEITHER_IS: Final = re.compile(r"\bneither (?:of the )?(\w+?)s? (?:is|are) (\w+ enough)\b", re.IGNORECASE)
NEITHER_NOR: Final = re.compile(r"\b(?:is|are) neither (\w+ enough) nor (\w+ enough)\b", re.IGNORECASE)
COULD_LOSE: Final = re.compile(r"\bcould (?:stand|afford) to lose\b", re.IGNORECASE)
SO_LOUD: Final = re.compile(
    r"\b(?:do(?:es)?n'?t|do not|does not) (?:need|have) to be (?:quite )?(?:so|that|this|as) (\w+)\b(?! as\b)", re.IGNORECASE
)
NOT_THAT: Final = re.compile(
    r"\b(?:do(?:es)?n'?t|do not|does not) need (?:any )?more \w+(?: end| mids?)?,? (?:but )?(?:just |it |they"
    r" )+needs? (?=more|less)",
    re.IGNORECASE,
)
FAR_TOO: Final = re.compile(r"\b(?:way|far|much) too (?!much\b|many\b)(?=\w)", re.IGNORECASE)
# That's too much on the hats; a bit less of that on the hats; more of that on the keys.
TOO_MUCH_OF_IT: Final = re.compile(
    r"^(?:ok(?:ay)?,? |hm+,? |ah,? )?(?:that'?s|that was) (?:a (?:bit|little|touch) |way |far )?too much on (?=\w)"
    r"|\b(?:a (?:bit|little|touch|tad) )?less of (?:that|it|this) on (?=\w)",
    re.IGNORECASE,
)
MORE_OF_IT: Final = re.compile(r"^(?:a (?:bit|little|touch|tad) )?more of (?:that|it|this) on (?=\w)", re.IGNORECASE)
# The hats are harsh and so are the guitars.
SO_IS: Final = re.compile(r",? and so (?:is|are|does|do) ((?:the |my |our )?\w+(?: \w+)?)\s*(?=[.,;!]|$)", re.IGNORECASE)
# More lows instead of more highs on the bass; cut it at 400 instead of 250.
INSTEAD: Final = re.compile(
    r",? (?:instead of|rather than) (?:(?:more|less) [a-z][a-z ]*?|(?:at )?\d+(?:\.\d+)?\s?(?:khz|hz|k)?)"
    r"(?=\s(?:on|in|of|for|from)\b|\s*(?:[.,;!]|$))",
    re.IGNORECASE,
)
# They sound harsher than before: it says what changed, and takes nothing back.
THAN_BEFORE: Final = re.compile(r"\b(?!better\b)(\w{3,}er) than (?:before|last time|it was|they were)\b", re.IGNORECASE)
KEPT_HERE: Final = re.compile(
    r"\b((?:keep|leave) [\w ]{2,30}?) (?:from|in|of) (?:this|the current|the new|the latest) (?:version|pass|mix|one"
    r"|bounce|round)\b",
    re.IGNORECASE,
)
SAME_BUT: Final = re.compile(r"\b(?:the )?same,? (?:but|just) (?=at \d)", re.IGNORECASE)
NOTHING_ELSE: Final = re.compile(
    r"(?<=\w)\s*[,-]*\s*(?:(?:and|but|please)\s+)*(?:don'?t (?:change|touch|move) anything else|nothing else(?: (?:please|needed))?"
    r"|that'?s (?:all|it)|then (?:it'?s|we'?re) (?:done|good|there))[\s.!]*$",
    re.IGNORECASE,
)

# And if it's too much just go back: what is done now is what stands before it.
IF_NOT: Final = re.compile(
    r"(?<=\w),? (?:and |but |then )?if (?:it|that|this|you|i|we)(?:'s|'re| is| are| gets?| sounds?| feels?| makes?| does"
    r" ?n[o']?t| do ?n[o']?t)\b[^.;\n]*"
    r"(?:\b(?:go back|undo|revert|put it back|take it back|roll it back|drop it|forget it|leave it|"
    r"back (?:it )?off|pull it back|turn it (?:back )?down)\b)[^.;\n]*$",
    re.IGNORECASE,
)
WHATEVER_YOU_THINK: Final = re.compile(
    r",? (?:and |then )?whatever (?:you (?:think|like|want|feel)|works|sounds (?:good|best|right))(?: is (?:best|right|good))?"
    r" (?:for|on|with) ((?:the |my |our )?\w+(?: \w+)?)\s*$",
    re.IGNORECASE,
)
ONLY_A_LITTLE: Final = re.compile(
    r"(?<=\w),? but (?:only|just) (?:by )?(a (?:little(?: bit)?|bit|touch|tad|hair|shade)|slightly)\b(?= *(?:[.,;!]|$))",
    re.IGNORECASE,
)
AT_THE_END: Final = re.compile(r"\bat the (?:very )?end\b(?! of\b)", re.IGNORECASE)
AT_THE_START: Final = re.compile(
    r"\bat the (?:very )?(?:start|beginning)\b(?: of the (?:song|track|tune))?(?! of\b)", re.IGNORECASE
)
STUFF: Final = re.compile(r"(?<=[a-z][a-z][a-z])-(?:y|ish)\b", re.IGNORECASE)  # the whistle-y stuff
IN_LEVEL: Final = re.compile(r"\b(up|down|back) in (?:level|volume)\b", re.IGNORECASE)
LESS_SO: Final = re.compile(r",? (?:but |just |only )+(?:a (?:bit|little) )?less so\b", re.IGNORECASE)
HALF_THE_SAME: Final = re.compile(
    r"\b(same\b[^,;.]*?),? but (?:only |just )?half(?: as much| of (?:it|that))?\s*$", re.IGNORECASE
)
NOT_AS_FINE: Final = re.compile(
    r"(?<!but )(?<!just )(?<!only )(?<!little )(?<!bit )\bless so\b(?=,? (?:it|they)(?:'s|'re| is| are)\b)", re.IGNORECASE
)
A_SHADE: Final = re.compile(r"\bjust (?=a (?:shade|hair|smidge|whisker|notch) )", re.IGNORECASE)
HALVE_IT: Final = re.compile(
    r"\b(loud|level|volume)\b([^.;]*?)\b(?:i'?d |i would |please )?(?:half|halve) it\b", re.IGNORECASE
)
NOT_BY_MUCH: Final = re.compile(r"(?<=\w),? (?:but |though |just |only )?not by (?:that |too |very )?much\b", re.IGNORECASE)
# Everything around the vocal; not: everything around 300.
EVERYTHING_AROUND: Final = re.compile(
    r"\b(?:everything|everyone|everybody) (?:else )?(?:that(?:'s| is) )?(?:all )?(?:a?round|surrounding) "
    r"(?=(?:the|my|our|her|his) [a-z])"
    r"(?!(?:the|my|our|her|his) [a-z]+(?: [a-z]+)? (?:is|are|sounds?|feels?|works?|sits?|seems?) (?!(?:a (?:bit|little) |way )?too\b))",
    re.IGNORECASE,
)
EVERYTHING_AROUND_IT: Final = re.compile(
    r"\b(?:everything|everyone|everybody) (?:else )?(?:that(?:'s| is) )?(?:all )?(?:a?round|surrounding) (?:it|them|him|her|me)\b",
    re.IGNORECASE,
)
# Could we hear more of the brushes: more of a stem is its level.
HEAR_MORE: Final = re.compile(
    r"\b(?:(?:can|could|may) (?:i|we|you) |(?:i|we|you)(?:'d| would)? (?:need|want|like|love|should|must|have) (?:to )?)"
    r"(?:please |just |maybe )?(?:hear|have|get) ((?:a (?:bit|little|touch|tad|lot) |some |slightly |even |way |much"
    r" )?(?:more|less)) of "
    r"(?=(?:the|my|our|her|his|those|these|it|them|him) ?)",
    re.IGNORECASE,
)
A_PASS_AT: Final = re.compile(
    r"\b((?:high|hi|low|lo)[ -]?pass)(?: filter)?,? (?:say|maybe|like|perhaps|something like|about|around)?,? ?(?=\d)",
    re.IGNORECASE,
)
# 8k or so; like 40 Hz: where, not how sure.
_PLACE: Final = r"\d+(?:\.\d+)?\s?(?:k(?:hz)?|hz)\b"
OR_SO: Final = re.compile(rf",? (?:around |about |at )?({_PLACE}) or (?:so|thereabouts|something)\b", re.IGNORECASE)
LIKE_AT: Final = re.compile(
    rf",? (?:like|say|probably|maybe|i think|i guess),? (?:at |around |about )?(?={_PLACE})", re.IGNORECASE
)
BEFORE_YOU: Final = re.compile(
    r"\b(better|nicer|fine|good|great|perfect) before (?:you|we) (?:touched|changed|did|messed|started|worked|tweaked"
    r"|moved)\b[^,.;\n]*",
    re.IGNORECASE,
)
LAST_CHANGE: Final = re.compile(
    r"\b(?:the |that )?last ([a-z]{3,}) (change|move|tweak|edit)\b(?= (?:was|is|made|you))", re.IGNORECASE
)
A_SHELF: Final = re.compile(r", ?(?=(?:as a |with a )?(?:high |low )?shelf\s*$)", re.IGNORECASE)
GIVE_BACK: Final = re.compile(
    r"^(?:you|we) (?:took|cut|pulled|turned down) (?:a (?:bit|little) |way )?too much (?:off|from|out of) ([\w ]{2,24}?)[,;.]? "
    r"(?:so |and |please |can you |could you |just )*(?:give|put|bring|add) (?:me |us |it |back )?(\d+(?:\.\d+)?)"
    r" ?dbs?(?: back)?\s*$",
    re.IGNORECASE,
)
TOP_AND_BOTTOM: Final = re.compile(
    r"\b(kick|kik|bd|snare|snr|sd|bass|toms?) (in|top) (?:and|&|\+) (out|bottom|bot)\b(?! end)", re.IGNORECASE
)
# All three guitars; kick +1, snare -1, bass 0.
ALL_SO_MANY: Final = re.compile(
    r"\ball (?:of )?(?:the |my |our )?(?:two|three|four|five|six|seven|eight|[2-8]) (?:of the )?(?=[a-z]+s\b)", re.IGNORECASE
)
NOTHING_FOR: Final = re.compile(
    r"(?<=\d),? (?:and )?(?:the )?([a-z0-9][\w ]{1,20}?) (?:at )?(?:0|zero)(?: ?dbs?)?(?=\s*(?:,|$))", re.IGNORECASE
)

SAYINGS: Final[tuple[tuple[re.Pattern[str], str], ...]] = (
    (IF_NOT, ""),
    (NOT_BY_MUCH, " a little"),
    (ONLY_A_LITTLE, r" \1"),
    (AT_THE_END, "in the outro"),
    (AT_THE_START, "in the intro"),
    (LESS_SO, " a bit"),
    (NOT_AS_FINE, ""),
    (HALF_THE_SAME, r"\1 a touch"),
    (A_SHADE, ""),
    (IN_LEVEL, r"\1"),
    (STUFF, ""),
    (HALVE_IT, r"\1\2half the level"),
    (EVERYTHING_AROUND, "everything but "),
    (EVERYTHING_AROUND_IT, "everything else"),
    (HEAR_MORE, r"i want \1 of "),
    (A_PASS_AT, r"\1 at "),
    (OR_SO, r" around \1"),
    (LIKE_AT, " around "),
    (ALL_SO_MANY, "the "),
    (NOTHING_FOR, r", leave \1"),
    (WHATEVER_YOU_THINK, r", \1 needs something"),
    (BEFORE_YOU, r"\1 before"),
    (LAST_CHANGE, r"the \2 on the \1"),
    (A_SHELF, " "),
    (GIVE_BACK, r"\1 +\2 dB"),
    (TOP_AND_BOTTOM, r"\1 \2 and \1 \3"),
    (AS_I_LIKE, r"\1 \2 enough"),
    (LESS_THAN_I_LIKE, r"not \1 enough"),
    (REASON, ""),
    (BECAUSE, r"\1"),
    (NOR, ""),
    (BUT_NOT_ENOUGH, " and not "),
    (NEITHER_IS, r"\1s aren't \2"),
    (NEITHER_NOR, r"isn't \1 and isn't \2"),
    (COULD_LOSE, "could lose"),
    (INSTEAD, ""),
    (THAN_BEFORE, r"\1"),
    (KEPT_HERE, r"\1"),
    (SAME_BUT, ""),
    (SO_IS, r", \1 too"),
    (SO_LOUD, r"is too \1"),
    (NOT_THAT, "needs "),
    (MORE_OF_IT, "keep going on "),
)
