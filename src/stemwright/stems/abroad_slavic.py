"""What Polish, Czech, South Slavic and Russian (in Latin letters and its own) call things; as in `stemwright.stems.abroad`."""

from __future__ import annotations

POLISH = """
kick: stopka stopy centralka
snare: werbelek werble
hat: hajhet hajhety hajhat hajhaty hajhecik
cymbal: talerz talerzyk blacha blachy blaszki czynele
overhead: overy overki overheady
tom: kotly kociol tomy
clap: klasniecie klasniecia klask klaskania
snap: pstryk pstryki pstrykniecie pstrykniecia pstrykanie
shaker: szejker szejkery szejkerek grzechotki marakasy
tambourine: tamburyn tamburyno
triangle: trojkat
sleigh bell: janczary
percussion: przeszkadzajki przeszkadzajka perkusjonalia
jawbone: drumla
drum: perka perki beben bebenki bebenek
bass: basik basowka
sub: subik
arp: arpek
lead: leadzik
pad: padzik
guitar: gitka gitki gitarka gitarki gitarowe elektryk wioslo wiosla
solo: solowka solowki
acoustic guitar: pudlo akustyk
piano: fortepianik fortep
keys: klawisz klawiszki klawiatura
harmonica: organki harmonijka
accordion: harmoszka
synth: syntezator syntezatory syntek synty
string: smyki smyk smyczkowe
violin: skrzypki skrzypek
viola: altowki
cello: wiolonczele
brass: dete deciaki blaszane
trumpet: trabki traby trabeczka
trombone: puzony
saxophone: saks saksy saksik saksofony
flute: flety fletnia
vibraphone: wibrafon
xylophone: ksylofon
bell: dzwonki dzwonek dzwoneczki dzwon dzwony
vocal: wokalik wokalista wokalistka glosy
verse: zwrotka zwrotki zwrotek
hook: refren refreny
double: dubel duble dubelek dublowka dublowki
adlib: podbitki podbitka adliby adlibki
shout: krzyki krzyk okrzyki okrzyk
backing vocal: chorek chorkow
whisper: szept szepty
talking: gada mowi gadanie gadka
scratching: skrecze skrecz
noise: szumy
effect: odglosy odglos dzwieki
gunshot: strzal strzaly wystrzal
crowd: oklaski
explosion: wybuch
rain: deszcz
storm: burza
thunder: grzmot grzmoty
storm: wiatr
bird song: ptaki
footstep: kroki
traffic: pociag
room: pokoj
playback: podklad
mix: calosc zgranie
click: metronomik
"""

CZECH = """
hat: hajtka hajtky hihatka
cymbal: cinel cinelky
clap: tleskani tlesky tleskanie
snap: luskani luskanie lusknuti
shaker: chrastitko chrastitka chrastidlo
percussion: perkuse perkuze
bass: baskytary basovka
guitar: kytarka
acoustic guitar: spanelka spanelky
piano: klavir
brass: zeste dechy
trumpet: trumpeta
flute: fletna fletny
bell: zvonek zvonky zvonkohra zvony
vocal: zpevak zpevacka hlas hlasy
verse: sloka sloky
whisper: sepot
shout: vykriky
effect: ruchy
"""

SOUTH_SLAVIC = """
percussion: tapan tarabuke dajre
kick: basbubanj
snare: dobos dobosi
drum: bubanj bubnjevi
cymbal: cinele cinela
clap: pljesak pljeskanje tapsanje
shaker: zvecka zvecke
sleigh bell: praporci
bell: zvona zvonce
guitar: gitare
bass: basgitara basgitare
keys: klavijature klavijatura
accordion: harmonike
violin: violina
string: gudaci gudacki
brass: duvaci limeni
trumpet: trube
vocal: pevac pevacica pjevac pjevacica glasovi
backing vocal: prateci pratece
harmony: tercni
shout: uzvici uzvik
"""

RUSSIAN = """
kick: bochka bochki
snare: malyj
hat: khet хайхет хэты
cymbal: tarelki tarelka тарелка
drum: baraban barabany barabani udarnye барабан ударные
clap: hlopki hlopok khlopki хлопки
snap: щелчок щелчки shchelchok shchelchki
tambourine: бубен
guitar: gitara гитары
acoustic guitar: акустика
electric guitar: электрогитара elektrogitara
keys: klavishi klavishnye
accordion: баян аккордеон garmoshka гармошка
string: strunnye струны
violin: skripka skripki скрипки
cello: violonchel
trumpet: труба
brass: duhovye dukhovye
flute: fleyta fleita sopilka
horn: trembita
bell: kolokol kolokola kolokolchik kolokolchiki колокола колокольчик колокольчики
sleigh bell: bubentsy bubency бубенцы
choir: хор
vocal: golos golosa
verse: kuplet kuplety куплет
hook: pripev припев
backing vocal: bekvokal podpevki podpevka подпевки подпевка беки
double: dabl dably дабл даблы
adlib: эдлиб эдлибы
whisper: shepot шепот
scream: скрим
noise: шум
effect: эффекты effekty
click: метроном клик
mix: микс
reference: референс
playback: minusovka минусовка минус
"""  # noqa: RUF001 (Cyrillic on purpose)
