"""The lock under which a pass settles: who waits, for how long, what is said, and that nothing of it is left."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from filelock import Timeout

from stemwright.errors import SongError
from stemwright.passes import lock
from stemwright.passes.lock import locked

CANNOT = (
    "song: passes/.lock cannot be locked ({}), so nothing was changed; "
    "check the folder's permissions, or whether its file system has locks"
)


@pytest.fixture
def song(tmp_path):
    return SimpleNamespace(passes_dir=tmp_path, folder=SimpleNamespace(name="song"))


def failing(error):
    class Lock:
        def __init__(self, _path, *, timeout):
            assert timeout == 60.0  # "for a minute", as the message has it

        def acquire(self):
            raise error

    return Lock


@pytest.mark.parametrize(
    ("error", "message"),
    [
        (Timeout("x"), "song: another run has held passes/.lock for a minute; wait for its end"),
        (
            OSError(30, "Read-only file system"),
            CANNOT.format("Read-only file system"),
        ),
        (
            NotImplementedError("no locks here"),
            CANNOT.format("no locks here"),
        ),
    ],
)
def test_a_lock_that_cannot_be_had_is_said(song, monkeypatch, error, message):
    monkeypatch.setattr(lock, "FileLock", failing(error))
    with pytest.raises(SongError) as caught, locked(song):
        pytest.fail("worked without the lock")
    assert str(caught.value) == message


def test_nothing_of_it_is_left_even_where_somebody_took_its_file_away(song, tmp_path):
    with locked(song):
        assert (tmp_path / ".lock").exists()
    assert not any(tmp_path.iterdir())
    with locked(song):
        (tmp_path / ".lock").unlink()
    with pytest.raises(ZeroDivisionError), locked(song):
        raise ZeroDivisionError
    assert not any(tmp_path.iterdir())
