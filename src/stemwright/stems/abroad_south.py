"""More of what French, Spanish, Portuguese and Italian call things; as in `stemwright.stems.abroad`."""

from __future__ import annotations

MORE_FRENCH = """
woodwind: bombarde biniou cabrette galoubet
jaw harp: guimbarde guimbardes
organ: limonaire
percussion: claquettes
spoken: parlee parlees
whistle: sifflement sifflements
clock: horloge tictac
shout: hurle
crowd: brouhaha
bird song: mouettes mouette
"""

MORE_SPANISH = """
trumpet: tpta tptas
brass: bronces
shaker: guache guaches maraquitas
clap: palmeo palmeos
riser: subidon subidones
bubble: burbujas burbuja
vocal: canta cantan cantando
adlib: soneo soneos pregon pregones guepaje wepaje
vocal sample: gemidos gemido jadeos
bird song: gaviotas gaviota
cricket: grillos grillo
crowd: murmullo murmullos gentio
clock: reloj
bell: campanadas campanada
whistle: silbato silbidos
dog: ladrido ladridos
reference: consola
jaw harp: birimbao
"""

MORE_PORTUGUESE = """
guitar: guita guitas
percussion: gongue timbau reco recos
frame drum: adufe adufes
saw: serrote
ambience: ambiencia ambiencias
bird song: gaivotas gaivota
dog: latido latidos
clock: relogio
xylophone: xilofone
vibraphone: vibrafone
talking: falando falada
street: rua
"""

MORE_ITALIAN = """
snare: cordiera rull
solo: assolo assoli
piano: pianof
viola: viole
dog: abbaia
sea: mare
ocean: spiaggia
frame drum: tammorra tammorre
woodwind: zampogna ciaramella
whistle: fischio fischi
clock: orologio
drone: bordone
bird song: gabbiani gabbiano
jaw harp: scacciapensieri
"""
