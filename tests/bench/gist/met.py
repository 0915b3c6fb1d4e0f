"""Write the words that the network has met: ``python tests/bench/gist/met.py --to src/stemwright/notes/gist/met.npy``.

Those of the notes in ``written`` that stand in at least `OFTEN` of them, as sorted checksums. To be run after a fit to other notes.
"""

from __future__ import annotations

import argparse
from collections import Counter
from pathlib import Path

import numpy as np
from written import WRITTEN, songs

from stemwright.notes.gist.met import OFTEN, checksum
from stemwright.notes.tokens import sentences_of, tokens_of


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--to", type=Path, required=True)
    asked = parser.parse_args()
    notes: Counter[str] = Counter()
    for path in sorted(WRITTEN.glob("*.txt")):
        for song in songs(path):
            for note in song.notes:
                tokens = (token for sentence in sentences_of(note.text) for token in tokens_of(sentence)[1])
                notes.update({token.text for token in tokens if token.kind == "word"})
    met = sorted({checksum(word) for word, number in notes.items() if number >= OFTEN})
    np.save(asked.to, np.array(met, np.uint32))
    print(f"{len(met)} words")


if __name__ == "__main__":
    main()
