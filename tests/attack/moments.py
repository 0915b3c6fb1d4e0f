"""Moments: run a command in a process of its own, and strike at one of the moments at which it changes the disk.

``moments.c`` stands before the C library's calls; the attack starts itself again with it loaded (`preload`).
"""

from __future__ import annotations

import ctypes
import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path
from typing import NoReturn

from song import run

HOW = {"count": 0, "kill": 1, "full": 2, "once": 3, "slow": 4}
LOADED = "STEMWRIGHT_ATTACK_SHIM"
MOST_S = 5.0  # of a processor: others may be using the machine
MOST_WAITING_S = 60.0


def limit(most_s: float = MOST_S, most_waiting_s: float = MOST_WAITING_S) -> None:
    """Have the system end this process with SIGPROF or SIGALRM if it takes, or waits, longer from now on; 0 for as it likes."""
    signal.setitimer(signal.ITIMER_PROF, most_s)
    signal.setitimer(signal.ITIMER_REAL, most_waiting_s)


def preload(folder: Path) -> bool:
    """Start this program again with the shim before the C library; False where there is no compiler to make it."""
    compiler = shutil.which("cc") or shutil.which("gcc") or shutil.which("clang")
    if LOADED in os.environ:
        return True
    if compiler is None or sys.platform != "linux":
        return False
    shim = folder / "moments.so"
    source = Path(__file__).with_name("moments.c")
    subprocess.run([compiler, "-O1", "-shared", "-fPIC", "-o", str(shim), str(source), "-ldl"], check=True)
    environment = {**os.environ, "LD_PRELOAD": str(shim), LOADED: str(shim)}
    os.execve(sys.executable, [sys.executable, *sys.argv], environment)
    return True


def fork(command: tuple[str, ...], song: Path, how: str = "", moment: int = -1) -> int:
    """Run a command in a child that is struck at one moment; returns the child."""
    child = os.fork()
    return child or _struck(command, song, how, moment)


def _struck(command: tuple[str, ...], song: Path, how: str, moment: int) -> NoReturn:
    code = 70
    limit()
    try:
        shim = ctypes.CDLL(os.environ[LOADED]) if how else None
        if shim is not None:
            shim.counted.restype = ctypes.c_long
            shim.arm(os.fsencode(song), HOW[how], ctypes.c_long(moment))
        code, said = run(command, song)
        if code not in (0, 1, 2):
            print(f"    {command} {how} {moment}: exit {code}: {said}", flush=True)
        if shim is not None and how == "count":
            (song.parent / "moments").write_text(str(shim.counted()))
    finally:
        os._exit(code)


def ended(child: int) -> int:
    """Wait for a child and return its exit code, negative for a signal."""
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
