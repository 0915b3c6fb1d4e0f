"""Abroad: what other languages call the things that recipes name, by language.

Conventions
-----------
Lines are as in `stemwright.stems.vocabulary`, which adds them to its own and whose meaning of a word counts first. Accents are
dropped by the speller, so that most words are written without. Which word means what is general knowledge, no source.
"""

from __future__ import annotations

from stemwright.stems.abroad_east import AFRICAN, ARABIC, CHINESE, GREEK, INDIAN, JAPANESE, KOREAN, TURKISH
from stemwright.stems.abroad_north import FINNISH, HUNGARIAN, MORE_DUTCH, MORE_GERMAN, MORE_NORDIC, ROMANIAN
from stemwright.stems.abroad_romance import FRENCH, ITALIAN, PORTUGUESE, SPANISH
from stemwright.stems.abroad_slavic import CZECH, POLISH, RUSSIAN, SOUTH_SLAVIC
from stemwright.stems.abroad_smaller import SMALLER
from stemwright.stems.abroad_south import MORE_FRENCH, MORE_ITALIAN, MORE_PORTUGUESE, MORE_SPANISH

GERMAN = """
kick: basstrommel fusstrommel grossetrommel
snare: schnarrtrommel wirbeltrommel
brush: besen jazzbesen balais balai escobillas escobilla spazzole spazzola vassourinha vassourinhas kwasten vispar
hat: hut huete hihats hihatbecken
cymbal: crashbecken ridebecken splashbecken
clap: klatscher haendeklatschen
snap: schnippen schnippser fingerschnippen fingerschnipsen fingerschnipser
shaker: schuttler schuettler schuttelei schuettelei schuettel schuttelrohr schuttelei rumbakugeln schuttelei
tambourine: schellenring schellenstab
cowbell: kuhglocke kuhglocken
woodblock: holzblock tempelblock
clave: klangholz klangholzer
castanet: kastagnette kastagnetten
ratchet: ratsche
timpani: pauke kesselpauke
frame drum: rahmentrommel
hand drum: handtrommel handtrommeln
tubular bells: rohrenglocke rohrenglocken
chime: windspiel klangspiel
percussion: schlagwerk perkussionen perk
drum: drumsumme schlagzeugspur trommelgruppe
drum loop: schlagzeugloop trommelschleife
bass: bassgitarre bassspur basslauf bassgitarren elektrobass
double bass: kontrabasse kontrabaesse stehbass
sub: subsinus
guitar: stromgitarre elektrogitarre egitarre egitarren
rhythm guitar: rhythmusgitarre rhythmusgitarren rhythmusgit
lead guitar: leadgitarre sologitarre
acoustic guitar: akustikgitarren akustikklampfe
piano: klaviere stutzflugel
electric piano: eklavier
organ: kirchenorgel orgeln
accordion: ziehharmonika quetschkommode
synth: synthies synthis synthesizerspur synthi saegezahn sagezahn
super saw: supersagezahn supersaegezahn supersage
square: rechteck
sine: sinus sinuston
acid: saure saeure
pad: flachen flaechen flachenklang teppichklang synthflache streicherflache
string: streichersatz streichergruppe streichorchester streichquartett bratschen
brass: blechblaser blechblaeser blaesersatz
flugelhorn: flugelhorn fluegelhorn flugelhorner
saxophone: saxophon saxophone saxofone altsaxophon altsaxofon tenorsaxophon tenorsaxofon baritonsaxophon baritonsaxofon
flute: floten floeten panflote altflote piccoloflote
clarinet: bassklarinette
woodwind: holzblaser holzblaeser
vocal: gesange stimmen saenger singstimme
lead vocal: leadstimme hauptgesang sologesang
backing vocal: begleitgesang begleitstimmen backgroundgesang hintergrundstimmen
harmony: zweitstimmen drittstimme
double: dopplungen doppelungen gedoppelt dopplerspur
whisper: fluesterstimme flusterstimme
hum: summen
scream: gebrull
vocal sample: stimmfetzen gesangsschnipsel stimmschnipsel gesangsfetzen sprachsample vokalschnipsel vokalsample
speech: sprache
crackle: knistern
impact: einschlag einschlage aufschlag knall
riser: anstieg aufbau
transition: ubergang uebergang ubergange
noise: rauscher
white noise: weissrauschen
reference: bezugsmix rohmischung vormischung vorproduktion
mix: mischung gesamtmischung
click: klicks klickspur
"""

DUTCH = """
effect: effecten
backing vocal: koortje koortjes
guitar: gitaartje
acoustic: akoestische
kick: basdrum grotetrom basdrums
snare: kleinetrom
cymbal: bekken bekkens
tom: vloertom
clap: handgeklap klappen
shaker: schudei sambaballen sambabal skaker skakere risteegg
tambourine: tamboerijn
cowbell: koebel
drum: drumstel
bass: basgitaren
double bass: contrabas contrabassen
guitar: gitaren slaggitaar sologitaar
synth: synthesizers
string: strijkkwartet
violin: viool violen
viola: altviool
trumpet: trompetten
trombone: schuiftrompet
horn: hoorn hoorns
flute: dwarsfluit fluiten blokfluit
oboe: hobo hobos
clarinet: klarinet klarinetten
saxophone: saxofoon altsax
harmonica: mondharmonica
vocal: zanger zangeres zangstem
lead vocal: leadzang hoofdzang
backing vocal: achtergrondzang achtergrondkoor
double: dubbel dubbels dubbelt
whisper: gefluister
noise: ruis
reference: referenties
"""

NORDIC = """
flute: tvarflojt tverrfloyte fløyte fløyter fløjte fløjter
choir: korsang
vocal: vokaler
pad: flate flater
kick: bastrumma basstrommer stortromme stortrumma basstromme
snare: skarptromme lilletromme virvelen skarp skarpen
hat: hihatt hatten
cymbal: cymbaler bekkener baekken
tom: golvpuka hangpuka gulvtam
timpani: puka pukor pauker
drum: trumset trommesett trommesaet
clap: handklapp handklappar klapp klapping
snap: fingerknapp knips knipsing
cowbell: koklocka kobjelle kobjaelde
percussion: slagtoj slagverken
bass: elbas elbass basgang
double bass: stabas stabass kontrabas kontrabassen
guitar: gura elgura elgitarr elgitar elguitar kompgitarr kompgitar gitarrer gitarer
piano: flygel flygelet
keys: klaviatur tangenter
accordion: dragspel trekkspill
synth: synt syntar syntmatta
pad: matta mattan
string: strak strakar strykere strygere strykmatta
violin: fiol fioler fiolin
viola: bratsch
brass: blasare blasere
trumpet: trumpeter trompeter
trombone: trombon basun basuner
horn: valthorn valdhorn
flute: flojt flojter floyte flojte
clarinet: klarinett
saxophone: saksofon saksofoner
harmonica: munspel munnspill mundharpe
vocal: rost roster sangare
lead vocal: huvudsang hovedvokal
backing vocal: bakgrundssang kor korer koring korstemmer
harmony: stamma stammor
double: dubbning dubbar
whisper: viskning viskningar hvisking
scream: skrik
effect: ljudeffekt ljudeffekter lydeffekt lydeffekter
noise: brus
thunder: aska torden
reference: referens referanse skiss
click: klikk
"""

SLAVIC = """
kick: stopa kopak
snare: werbel virbl
cymbal: talerze cinely
clap: klaskanie klaski tlesk
shaker: grzechotka
drum: bebny perkusja bubny
bass: basy basa baskytara
double bass: kontrabasu
guitar: gitary kytara kytary
keys: klawisze klavesy
organ: organy varhany
accordion: akordeonu
string: smyczki smycce
violin: skrzypiec
viola: altowka
cello: wiolonczela violoncelo
trumpet: trabka trubka trabki
trombone: puzon pozoun
horn: waltornia
flute: flet
clarinet: klarnet
oboe: oboj
saxophone: saksofon
vocal: wokale zpev spiew glos
backing vocal: chorki sbory
choir: chor sbor
effect: efekty
noise: szum
"""

OTHERS = """
drum: rummut rummutus dobok
kick: basari
snare: virveli
cymbal: symbaalit
vocal: laulu enek
guitar: kitarat gitarok chitara
bass: basszus
keys: koskettimet
piano: zongora
violin: viulu hegedu vioara
cello: sello
choir: kuoro korus
"""

# Of these languages many words are near everyday ones of others: they are read as they are spelt, and a part of another
# word or the right spelling of a wrong one only if they are long.
STRANGERS = "".join(
    (
        *(MORE_GERMAN, MORE_DUTCH, MORE_NORDIC, FINNISH, HUNGARIAN, ROMANIAN),
        *(MORE_FRENCH, MORE_SPANISH, MORE_PORTUGUESE, MORE_ITALIAN),
        *(POLISH, CZECH, SOUTH_SLAVIC, RUSSIAN),
        *(TURKISH, ARABIC, GREEK, INDIAN, JAPANESE, CHINESE, KOREAN, AFRICAN, SMALLER),
    )
)
ABROAD = f"{GERMAN}{FRENCH}{SPANISH}{PORTUGUESE}{ITALIAN}{DUTCH}{NORDIC}{SLAVIC}{OTHERS}{STRANGERS}"

# How, where and which one, as in `stemwright.stems.vocabulary`.
MODIFIERS_ABROAD = """
neu neue neuer nuevo nueva nuova nuovo nouveau nouvelle novo nova nieuw ny ish dessus dessous inside outside mikro mikrofon
hoch tief tiefer hoher laut leise dunkel hell kurz lang mitte nah fern trocken nass gedampft gedaempft gezogen gestrichen gesampelt
gefiltert rollend gruppe spur spuren teil strophe anfang ende oben unten vorne hinten weich hart breit eng einzeln eingefroren getunt
getuned geschnitten bearbeitet fertig roh satz tel achtel viertel sechzehntel auf ab zu offen geschlossen geoffnet
court courts longue grave graves aigu aigue haut haute sec mouille propre sale centre proche loin ouvert ouverte ferme fermee doux
douce triste sombre debut partie prise couplet rythmique brut brute inverse inversee contretemps temoins petit petite
izquierda izquierdo derecha derecho cerca lejos arriba abajo agudo aguda agudos seco seca limpio limpia sucio sucia saturado saturada
distorsion distorsionada ritmica ritmico linea parte estrofa puente verso abierto abierta abiertas cerrado cerrada cerradas viejo
vieja junto junta entera ultima ultimo listo lista ok esq dir direita esquerda limpo suja sujo distorcida refrao ponte estrofe aberto
aberta fechado fechada versao destra sinistra sopra sotto pulito pulita distorta distorto secco secca strofa traccia aperto
aperta chiuso chiusa acuto acuta versione prova
hoog laag droog nat dichtbij brug schoon vuil spoor vanster hoger venstre hoyre hojre hog lag hoy lav refrang torr refreng omkvaed
acik kapali sicak prawy lewy prawa lewa zamkniety otwarty stary stara dolny gorny oikea vasen puhdas sordina sordino dempad
"""
