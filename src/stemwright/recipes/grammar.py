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
        "a touch,touch,a hair,hair,a tad,tad,a smidge,smidge,tiny bit,a tiny bit,ten percent,small small": 0.5,
        "a little,little,a little bit,little bit,a bit,bit,slightly,somewhat,a notch,some,a dash": 0.7,
        "a lot,lot,lots,much,way,far,loads,a ton,tons": 2.0,
    }
)
SOFTENERS: Final = _table({"subtle,subtly,gently,gentle": 0.7})
DIRECTIONS: Final = _table(
    {
        "more,extra,not enough,too little,needs more,enough": 1.0,
        "less,too,too much,not so,not so much,not as,not as much,no more,not too": -1.0,
    }
)
# Verbs that ask for more or less of what is named beside them.
ASKING: Final = _table(
    {
        "add,need,needs,want,wants,give,gimme,missing,lacks,lack,lacking,where,wheres,loses,should,make,could,increase,increased,"
        "without,bring back,should feel,must,please,can,be,dont shine,miss,hear more": 1.0,
        "reduce,take out,lose,remove,get rid,kill,tame,ease,soften,fix,calm,control,shave,dip,scoop,take some,"
        "take,cut down,cut back,drop": -1.0,
    }
)
NEGATIONS: Final = frozenset(_phrases("not,isnt,arent,aint,wasnt,dont,doesnt,no,never,without,not getting,werent"))
SEPARATORS: Final = frozenset(_phrases("and,but,with"))
EXCEPTIONS: Final = frozenset(_phrases("but,except,except for,apart from,but not"))
ALL: Final = frozenset(_phrases("all,everything,all stems"))
# Said without changing the meaning.
FILLERS: Final = frozenset(_phrases("a,an,the,on,in,of,to,for,by,is,are,it,its,i,we,you,there,that,this,them,was,were,at"))
RESERVED: Final = frozenset({*AMOUNTS, *SOFTENERS, *DIRECTIONS, *SEPARATORS, *EXCEPTIONS, *ALL, *FILLERS})
