"""Changes that no test can notice, since what comes out is the same: module, line, what was changed, and why it is."""

from __future__ import annotations

EQUIVALENT: dict[tuple[str, str, str], str] = {}
