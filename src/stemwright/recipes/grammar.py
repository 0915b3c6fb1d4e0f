"""Grammar: the note language's own words, which no word of an approver's may take.

Conventions
-----------
An amount of 1 is a plain "more"; a direction is its sign. Phrases are what `stemwright.stems.names.split_words` makes of
text: lower case, digits apart.
"""

from __future__ import annotations

from typing import Final

Phrase = tuple[str, ...]


def _phrases(text: str) -> tuple[Phrase, ...]:
    return tuple(tuple(each.split()) for each in text.split(","))


def _table(rows: dict[str, float]) -> dict[Phrase, float]:
    return {phrase: value for texts, value in rows.items() for phrase in _phrases(texts)}


# Common practice, no source: what an engineer does when somebody says so.
AMOUNTS: Final = _table(
    {
        "a touch,touch,a hair,a tad,tad": 0.25,
        "a little,little,a little bit,a bit,bit,slightly,somewhat": 0.5,
        "a lot,lot,much,way,far": 2.0,
    }
)
SOFTENERS: Final = _table({"subtle,subtly,gently,gentle": 0.5})
DIRECTIONS: Final = _table(
    {
        "more,extra,add,not enough,too little": 1.0,
        "less,reduce,too,too much,not so,not so much,not as,not as much": -1.0,
    }
)
SEPARATORS: Final = frozenset(_phrases("and,but,with"))
EXCEPTIONS: Final = frozenset(_phrases("but,except,except for,apart from,but not"))
ALL: Final = frozenset(_phrases("all,everything,all stems"))
# What several roles or families are called together; a role or family of that very name counts before it.
GROUPS: Final[dict[Phrase, tuple[str, ...]]] = {
    ("keys",): ("piano", "keys", "organ"),
    ("guitars",): ("guitar", "acoustic guitar"),
    ("synths",): ("synth", "synth lead", "pluck", "pad"),
    ("horns",): ("brass", "woodwinds"),
    ("percussion",): ("percussion", "shaker", "rim", "snap", "clap"),
    ("vox",): ("vocals",),
    ("voices",): ("vocals",),
}
# Said without changing the meaning.
FILLERS: Final = frozenset(
    _phrases(
        "a,an,the,on,in,of,to,for,by,is,are,it,its,be,make,needs,need,want,wants,please,sounds,sound,feels,could,can,should,"
        "would,use,have,has,get,give,i,we,you,bring,turn,push,pull,take,set,there,that,this,them,was,were,at"
    )
)
RESERVED: Final = frozenset({*AMOUNTS, *SOFTENERS, *DIRECTIONS, *SEPARATORS, *EXCEPTIONS, *ALL, *FILLERS})
