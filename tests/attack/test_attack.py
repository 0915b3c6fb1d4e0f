"""The short form of the standing attack; the long one is run by hand."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest


@pytest.mark.skipif(sys.platform == "win32", reason="the attack forks")
def test_three_quarters_of_a_minute_of_attack_find_nothing():
    command = [sys.executable, str(Path(__file__).with_name("attack.py")), "--seconds", "45"]
    result = subprocess.run(command, capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stdout[-3000:] + result.stderr[-3000:]
    assert result.stdout.count(", 0 failures") == (3 if "no C compiler" in result.stdout else 6)
