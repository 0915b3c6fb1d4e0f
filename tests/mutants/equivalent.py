"""Changes that no test can notice, since what comes out is the same: module, line, column in it, the change; and why it is."""

from __future__ import annotations

EQUIVALENT: dict[tuple[str, str, int, str], str] = {
    (
        "dsp/rings/bell_fit.py",
        "at = np.clip(start, _LOWEST + 1e-6, _HIGHEST - 1e-6)",
        20,
        "Add -> Sub",
    ): "a start a millionth outside its bound: the first step that is taken ends inside the bounds",
    (
        "dsp/fit.py",
        "if gained < _FLAT * cost:",
        3,
        "Lt -> LtE",
    ): "differs only where a step gains exactly that share, and then by one step of a fit that stands still",
    (
        "dsp/dither.py",
        "if scaled.size and (scaled.max() > top or scaled.min() < -self._scale):",
        42,
        "Lt -> LtE",
    ): "at exactly the lowest value nothing is counted and nothing clipped in the branch either",
    (
        "dsp/cascade.py",
        "sos = np.array(sections, dtype=np.float64).reshape(-1, 6) if np.size(sections) else np.zeros((0, 6))",
        52,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
}
