"""Languages: words that show which language a song's names are in, as written, so that short words of it can be read."""

from __future__ import annotations

_TURKISH = """
davul trampet kapali kapalı acik açık yayli yaylı yaylilar yaylılar baglama bağlama klavye alkis alkış kasik kaşık geri vurma elektro
kemence darbuka
"""  # noqa: RUF001 (a dotless i on purpose)
_JAPANESE = """
taiko shamisen shakuhachi shami uta doramu eleki ereki shinse besu beesu hamori sunea kikku koto biwa bokaru
"""
_CHINESE = "jita guzheng erhu pipa dizi beisi gangqin zhudi hesheng jiazigu xian"
_ARABIC = "qanun oud tabla riqq riq kamanjat kamanja sawt katem darbuka kanun"
_SOUTH_SLAVIC = "tapan dobos tarabuka saks violina bubnjevi cinele harmonika klavijature prateci prateći pratece gitare"
_KIT_OF_ROMANCE = "bombo caja tarola redoblante platillos cassa rullante piatti"
_BRAZILIAN = "surdo pandeiro atabaque tamborzao berimbau zabumba"
_MANDE = "kora djembe ngoni dununba calebasse"
_WELSH = "drymiau drwm gitarau llais lleisiau allweddellau telyn ffidil dwbl llinynnau"

TURKISH = frozenset(_TURKISH.split())
JAPANESE = frozenset(_JAPANESE.split())
CHINESE = frozenset(_CHINESE.split())
ARABIC = frozenset(_ARABIC.split())
SOUTH_SLAVIC = frozenset(_SOUTH_SLAVIC.split())
KIT_OF_ROMANCE = frozenset(_KIT_OF_ROMANCE.split())
BRAZILIAN = frozenset(_BRAZILIAN.split())
MANDE = frozenset(_MANDE.split())
WELSH = frozenset(_WELSH.split())
