"""Changes that no test can notice, since what comes out is the same: module, line, what was changed, and why it is."""

from __future__ import annotations

EQUIVALENT: dict[tuple[str, str, str], str] = {
    (
        "dsp/rings/bell_fit.py",
        "at = np.clip(start, _LOWEST + 1e-6, _HIGHEST - 1e-6)",
        "Add -> Sub",
    ): "a start a millionth outside its bound: the first step is clipped to the bounds, and is no shorter than that",
}
