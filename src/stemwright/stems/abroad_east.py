"""What Turkish, Arabic, Greek, Indian, Japanese, Chinese, Korean and West African people call things, in Latin letters.

As in `stemwright.stems.abroad`; short words that mean other things elsewhere are in `stemwright.stems.short_forms`.
"""

from __future__ import annotations

TURKISH = """
snare: trampet trampetler
cymbal: ziller
clap: alkis alkislar
tambourine: zillidef
rhythm: ritim ritimler ritam
percussion: kasik kasiklar vurmali vurmalilar kudum tarabuka
drum: bateri
bass: basgitar
electric guitar: elektrogitar
keys: klavye klavyeler tuslular
string: yayli yaylilar
violin: kemanlar
brass: nefesliler uflemeliler uflemeli
clarinet: girnata
saxophone: saksafon
vocal: vokal sarkici
hook: nakarat
shout: bagiris bagirma ciglik cigliklar
playback: altyapi
crackle: citirti hisirti
vinyl: plak
808: sekizyuzsekiz
rain: yagmur
storm: ruzgar
wave: dalga dalgalar
bird song: martilar
foghorn: vapur
"""

ARABIC = """
percussion: katem riqq doholla dohola daff iqaa
flute: mijwez
string: kamanjat kamangat kamanjas
vocal: sawt صوت mutrib mutriba
lead vocal: mawwal mawal
backing vocal: kural kawras كورال
clap: tasfeeq tasfiq
bell: ajras
oud: عود
kanun: قانون
ney: ناي
tabla: طبلة
percussion: إيقاع رق
violin: كمان كمنجات
piano: بيانو
guitar: جيتار
bass: باص
drum: درامز
vocal: avaz
"""

GREEK = """
kick: mpota μπότα
snare: tampouro ταμπούρο
drum: ntrams typana ντραμς τύμπανα
percussion: krousta κρουστά toumpeleki
tambourine: ντέφι
clap: palamakia παλαμάκια
bass: mpaso μπάσο
guitar: kithares κιθάρα κιθάρες
piano: πιάνο
keys: pliktra plhktra πλήκτρα
violin: violi βιολί
clarinet: klarino κλαρίνο
vocal: φωνή
backing vocal: fonitika fwnitika φωνητικά
choir: xorodia χορωδία
"""

INDIAN = """
clap: taali taaliyan
lead vocal: gaayika gayika gaayak gayak awaaz awaz aawaaz
verse: mukhda mukhra antra sthayi asthayi
adlib: sargam sargams
girl group: ladkiyan ladkiyaan
backing vocal: saathi
rain: baarish barish
thunder: bijli
percussion: tasha taasha nagada nagaada dhak dhaak jhanjh dhol dholaki mridhangam thavil ghatam morchang
flute: bansi baansuri
mallet: jaltarang
pluck: iktara veenai
organ: harmoniyam
woodwind: nadhaswaram shehnayi
talking: bolti bolta
"""

JAPANESE = """
kick: kikku bassudoramu basudora basudoramu basudorasu
snare: sunea
hat: haihatto
cymbal: shinbaru
clap: tebyoushi tebyoshi kurappu
shaker: sheika
tambourine: tanbarin
percussion: paakasshon pakasshon
bass: beisu uddobesu
guitar: gitaa eleki erekigita
acoustic guitar: akogi akoogi acogi akogita
electric piano: erepi
organ: orugan
synth: shinsesaiza
arp: arupejio arpejio
string: sutoringusu gengakki
violin: baiorin
cello: chero
brass: burasu kinkan kinkangakki
trumpet: toranpetto
saxophone: sakkusu arutosakkusu tenasakkusu
woodwind: mokkan mokkangakki
flute: furuto shinobue yokobue ryuteki
shakuhachi: shaku
shamisen: shami syamisen
erhu: kokyu kokyuu
marimba: mokkin
glockenspiel: tekkin
choir: gassho gasshou
lead vocal: utahime kashu
backing vocal: korasu
harmony: hamori hamoru
double: daburu
click: kurikku
"""

CHINESE = """
bass: beisi
guitar: jita dianjita
acoustic guitar: mujita
drum: jiazigu
snare: jungu xiaogu
percussion: dagu
cymbal: diaocha
piano: gangqin
string: xianyue
violin: xiaotiqin
cello: datiqin
synth: hechengqi
lead vocal: zhuchang
vocal: rensheng
backing vocal: hesheng banchang
choir: hechang
flute: zhudi
spoken: nianbai
"""

KOREAN = """
kick: kik
bass: beiseu
drum: deureom
vocal: bokeol
backing vocal: koreoseu
adlib: aedeulib aedeulibeu
harmony: hwaeum
hook: huryeom
string: seuteuring
storm: baram
"""

AFRICAN = """
percussion: donno dondo atumpan fontomfrom kidi kaganu gankogui frikyiwa firikyiwa dawuro dawuru prempensua
percussion: dununba doundounba doundoun sangban kenkeni karignan karinyan calebasse calebasses ngoma ngomas isukuti
pluck: seperewa seprewa bolon nyatiti adungu inanga
balafon: balafons
"""
