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
    (
        "passes/branches.py",
        "part = slice(int(some[0]), int(some[-1]) + 1)",
        43,
        "1 -> 2",
    ): "one frame more, in which the weight is 0",
    (
        "dsp/compressor.py",
        "now_db += (self._attack if wanted_db > now_db else self._release) * (wanted_db - now_db)",
        27,
        "Gt -> GtE",
    ): "where both are equal nothing is to be done, at either speed",
    (
        "dsp/rings/bell_fit.py",
        "start[:, 3] = np.median(level, axis=1) - 2",
        14,
        "Sub -> Add",
    ): "where the base starts; the curve depends on it in a straight line, so the first step finds it from anywhere",
    (
        "dsp/rings/bell_fit.py",
        "start[:, 3] = np.median(level, axis=1) - 2",
        41,
        "2 -> 4",
    ): "where the base starts; the curve depends on it in a straight line, so the first step finds it from anywhere",
    (
        "dsp/rings/bell_fit.py",
        "bend += np.eye(at.shape[1]) * (damping[:, np.newaxis, np.newaxis] * bend + 1e-9)",
        31,
        "Add -> Sub",
    ): "a billionth that keeps a matrix of zeros solvable; there is none on a curve with points",
    (
        "dsp/rings/bell_fit.py",
        "bend += np.eye(at.shape[1]) * (damping[:, np.newaxis, np.newaxis] * bend + 1e-9)",
        75,
        "1e-09 -> 2e-09",
    ): "a billionth that keeps a matrix of zeros solvable; there is none on a curve with points",
    (
        "dsp/compressor.py",
        "gains = (ends[:-1, np.newaxis] + np.diff(ends)[:, np.newaxis] * rise).reshape(-1, 1)",
        79,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
    (
        "dsp/compressor.py",
        "peaks = np.abs(sound).reshape(-1, self._step * sound.shape[1]).max(axis=1)",
        31,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
    (
        "dsp/de_ess.py",
        "gains = (ends[:-1, np.newaxis] + np.diff(ends)[:, np.newaxis] * rise).reshape(-1, 1)",
        79,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
    (
        "dsp/de_ess.py",
        "squares = [np.square(part).reshape(-1, self._step * self._channels).mean(axis=1).tolist() for part in (band, sound)]",
        36,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
    (
        "dsp/rings/curves.py",
        "thinned = local_level[:, : len(freq_hz) // THIN * THIN].reshape(len(active), -1, THIN).mean(axis=2)",
        78,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
    (
        "dsp/rings/evidence.py",
        'part = np.pad(level, reach, mode="edge")[place : place + 2 * reach + 1].reshape(-1, _CELL).mean(axis=1)',
        81,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
    (
        "dsp/rings/judge.py",
        "mean: Floats = curve[: len(curve) // THIN * THIN].reshape(-1, THIN).mean(axis=1)",
        59,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
    (
        "dsp/rings/judge.py",
        'mine[f"weights.{n}"].reshape(_TAPS, -1, len(mine[f"offsets.{n}"])), mine[f"offsets.{n}"], mine.get(f"whole.{n}")',
        37,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
    (
        "dsp/rings/moments.py",
        "rises: Singles = change.reshape(len(score), -1)[chosen]",
        45,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
    (
        "dsp/sections.py",
        "quadratics = [(t2, t1, t0) for t2, t1, t0 in prototype.reshape(-1, 3).tolist() if t2 and t0]",
        64,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
    (
        "dsp/starts.py",
        "pairs = np.array(tops + bottoms).reshape(-1, 2)",
        42,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
    (
        "dsp/zero_phase.py",
        "radii = [abs(root) for row in np.asarray(sections).reshape(-1, 6) for root in np.roots(row[3:])]",
        60,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
    (
        "passes/bounds.py",
        "rows = np.array([row for move in moves for row in move.sections], dtype=np.float64).reshape(-1, 6)",
        93,
        "1 -> 2",
    ): "numpy works out whichever length is negative",
    (
        "plan/sections.py",
        "if after is not None and seconds >= bar_start(timeline, after.bar) - 1e-9:",
        25,
        "GtE -> Gt",
    ): "differs a billionth of a second before a bar alone, which no time in a sheet is",
}
