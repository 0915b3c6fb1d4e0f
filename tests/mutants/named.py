"""Mutants that once lived: what was changed, where, from what to what, and the tests that must notice."""

from __future__ import annotations

SRC = "src/stemwright/"
CODES, DECISIONS = "tests/cli/test_exit_codes.py", "tests/passes/test_decisions.py"
NAMED = [
    ("verify is always 0", f"{SRC}cli/verify.py", "    )\n    return int(not result.good)", "    )\n    return 0", CODES),
    ("recall is always 0", f"{SRC}cli/recall.py", "return int(not result.good)", "return 0", CODES),
    (
        "a note with a failed stem is 0",
        f"{SRC}cli/note.py",
        "int(bool(plan.flagged or made.failed))",
        "int(bool(plan.flagged))",
        CODES,
    ),
    ("polarity flips nothing", f"{SRC}plan/resolve.py", "((-1.0, 0.0", "((1.0, 0.0", DECISIONS),
    ("an audition may be louder by its mean", f"{SRC}handover/audition.py", ", (_rms(audio), _rms(than)))", ",)", DECISIONS),
    ("the last bit is 18 dB too lenient", f"{SRC}passes/difference.py", "2.0 ** (1 - min", "2.0 ** (4 - min", DECISIONS),
    (
        "dither knows no stem",
        f"{SRC}plan/resolve.py",
        "{item.stem}\\n{item.received.sha256}",
        "{item.received.sha256}",
        DECISIONS,
    ),
    (
        "recipes moved by version",
        f"{SRC}passes/history.py",
        "source.sha256 in known",
        "source.version in known.values()",
        DECISIONS,
    ),
    ("no stems in such folders at any depth", f"{SRC}passes/song.py", "(top and name in", "(name in", DECISIONS),
    (
        "the mean leads the compressor",
        f"{SRC}dsp/dynamics.py",
        "np.abs(block).max(axis=1)",
        "np.abs(block).mean(axis=1)",
        DECISIONS,
    ),
    ("a note behind the trim", f"{SRC}notes/applying.py", "*notes, *trim)", "*trim, *notes)", DECISIONS),
]
