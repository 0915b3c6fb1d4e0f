"""A worker may vanish in the middle, and its stem be rendered again, even twice: the pass has whole files and nothing else."""

from __future__ import annotations

from concurrent.futures import Executor, Future

import pytest

from stemwright.passes import prep
from stemwright.passes.look import look
from stemwright.passes.make import Maker
from stemwright.passes.render import RenderJob, render
from stemwright.passes.tries import PREFIX, a_try


class Clumsy(Executor):
    """Leaves half a file of each rendering, as a worker that was killed does, then does it twice."""

    def submit(self, function, /, *args, **kwargs):
        future = Future()
        if args and isinstance(args[0], RenderJob):
            half = args[0].folder.parent / f"{PREFIX}of-the-one-that-was-killed"
            half.mkdir(exist_ok=True)
            (half / "half.wav").write_bytes(b"RIFF")
            function(*args, **kwargs)
        future.set_result(function(*args, **kwargs))
        return future


def test_nothing_of_a_worker_that_was_killed_is_in_the_pass(make_song, make_pass):
    stems = {"kick.wav": None, "drums/hats.wav": None}
    whole = make_song(stems, folder="whole")
    make_pass(whole)
    song = make_song(stems)
    for step in ("prep", "again, with one stem taken over"):
        seen = look(song, Clumsy(), hashed=True)
        made = prep.prep(seen, prep.plan(seen, Clumsy()), Maker(Clumsy()))
        assert made.name is not None, step
        folder = song / "passes" / made.name
        assert sorted(path.name for path in folder.iterdir()) == ["manifest.json", "stems"], step
        files = sorted(path.relative_to(folder / "stems").as_posix() for path in folder.rglob("*.wav"))
        assert files == ["drums/hats.wav", "kick.wav"], step
        assert (folder / "stems" / "kick.wav").read_bytes() == (
            whole / "passes" / "pass-01" / "stems" / "kick.wav"
        ).read_bytes(), step
        (song / "session.yaml").write_text("stems: {hats: {leave: on purpose}}\n")


def test_a_worker_that_comes_back_late_writes_nothing(tmp_path, make_song, executor):
    song = make_song({"kick.wav": None})
    seen = look(song, executor, hashed=True)
    (item,) = prep.plan(seen, executor)
    gone = tmp_path / "gone" / "stems"
    job = RenderJob(
        item=item, source=song / "kick.wav", folder=gone, stamp=seen.facts["kick.wav"].stamp, float_path="kick.wav"
    )
    with pytest.raises(FileNotFoundError):
        render(job)
    assert not (tmp_path / "gone").exists()
    with pytest.raises(FileNotFoundError), a_try(gone):
        pass
