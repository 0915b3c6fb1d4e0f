"""Grammar: the note language's own words, which no word of an approver's may take.

Conventions
-----------
Phrases are what `stemwright.stems.names.split_words` makes of text: lower case, digits apart. What people's words do in a note
is the lexicon's business (`recipes/speech`); here is only what would make a note unreadable as a word of sound.
"""

from __future__ import annotations

from typing import Final

Phrase = tuple[str, ...]


def _phrases(text: str) -> frozenset[Phrase]:
    return frozenset(tuple(each.split()) for each in text.split(","))


# Words of how far in front a stem stands; beside another word of sound they only say which way.
LEVEL_WORDS: Final = ("loud", "quiet", "forward", "back", "buried")
RESERVED: Final = _phrases(
    "a touch,touch,a hair,hair,a tad,tad,a smidge,smidge,a little,little,a little bit,little bit,a bit,bit,slightly,somewhat,some,"
    "a lot,lot,lots,much,way,far,loads,subtle,subtly,gently,gentle,more,extra,enough,not enough,too little,less,too,too much,not so,"
    "not so much,not as,not as much,no more,not too,and,but,with,except,except for,apart from,but not,all,everything,all stems,"
    "a,an,the,on,in,of,to,for,by,is,are,it,its,i,we,you,there,that,this,them,was,were,at"
)
