"""What people of Europe's smaller languages, the Caucasus, Israel, South East Asia and much of Africa call things, as in `abroad`."""

from __future__ import annotations

CELTIC = """
drum: druma drumai drymiau drwm drwms
guitar: giotar giotair gitarau
bass: dordghiotar dordghitear
violin: fidil fidleacha veidhlin fidheall ffidil ffidlau feiolin
flute: feadog feadoga fliuit ffliwt ffliwtiau
accordion: bosca cairdin consairtin acordion
harp: clairseach telyn delyn telynau telenn
bagpipe: piobai pibau
keys: mearchlar meochlar allweddellau allweddell
banjo: bainseo
vocal: guth guthanna llais lleisiau
backing: cefndir
choir: corau claisceadal
double: dwbl dubailte
harmony: harmoni armonai
trumpet: trwmped
string: llinynnau tannau teaghran
loop: dolen luban
"""

BALTIC = """
drum: trummid trumm trumme bungas bugnai bugnas
kick: basstrumm
snare: soolotrumm
cymbal: taldrikud skivji lekstes
percussion: loopmangud sitamie musamieji
guitar: kitarr kitarrid gitaras
acoustic: akustiline akustiska akustine
bass: basskitarr bosas bosine
keys: klahvpillid klahvid taustini klavisiniai
piano: klavieres fortepijonas pianinas
violin: viiul viiulid vijole vijoles smuikas smuikai
cello: tsello violoncele
string: keelpillid stigas styginiai
brass: vaskpillid varinstrumenti puciamieji
flute: floot
vocal: vokaal haal balss balsas vokalas
backing vocal: taustalaul taustavokaal pavadvokals pavadvokali pritariantys pritariamieji
choir: koris choras
pluck: kannel kankles
"""

IBERIAN = """
bass: baix baixua baxua
vocal: veus ahotsa ahotsak
keys: teclat teclats teklatua teklatuak
violin: biolina
drum: danborra danborrak
snare: kaxa
cymbal: platerak
accordion: trikitixa trikiti soinua
flute: txistu txirula
choir: koruak
guitar: gitarra gitarrak
tambourine: pandeireta panderoa
"""

ICELANDIC = """
drum: trommur tromma
kick: bassatromma
snare: snerill sneriltromma
guitar: rafgitar
acoustic guitar: kassagitar
bass: bassi
keys: hljombord
violin: fidla
vocal: raddir rodd
backing vocal: bakraddir
string: strengir
"""

CAUCASIAN_AND_HEBREW = """
drum: tupim
violin: kinor
piano: psanter
flute: salamuri
clarinet: duduki
pluck: panduri chonguri
choir: makhela
"""

SOUTH_EAST_ASIAN = """
drum: tambol
keys: kibor
violin: biola
vocal: suara boses
backing: latar
choir: paduan
flute: seruling
clap: palakpak tepukan
pluck: bandurya
"""

AFRICAN_EAST_AND_SOUTH = """
drum: isigubhu izigubhu kebero tanbou
guitar: isiginci
vocal: sauti izwi amazwi
choir: kwaya ikwaya
clap: makofi
flute: filimbi washint
string: masinko masenko
organ: kinanda
"""

SMALLER = f"{CELTIC}{BALTIC}{IBERIAN}{ICELANDIC}{CAUCASIAN_AND_HEBREW}{SOUTH_EAST_ASIAN}{AFRICAN_EAST_AND_SOUTH}"
