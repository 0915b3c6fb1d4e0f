"""The front door: everything a command does can be done from Python, with str or Path and any executor."""

from __future__ import annotations

from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from importlib.metadata import version
from pathlib import Path

import pytest

import stemwright
from stemwright import Song, SongError


class AtOnce(Executor):
    """An executor that does the work where it is asked for."""

    def submit(self, function, /, *args, **kwargs):
        future = Future()
        try:
            future.set_result(function(*args, **kwargs))
        except Exception as error:  # noqa: BLE001 - what an executor does
            future.set_exception(error)
        return future


@pytest.fixture
def folder(make_song):
    return make_song({"hats.wav": None, "piano.wav": None})


def hashes(folder, name):
    return {stem: entry.sha256 for stem, entry in manifest(folder, name).entries.items()}


def manifest(folder, name):
    return stemwright.read_manifest(Path(folder) / "passes" / name)


def test_a_song_from_the_first_look_to_the_pack(folder):
    song = Song(str(folder))
    assert {stem: one.recipe.name for stem, one in song.look().assignments.items()} == {
        "hats.wav": "hats",
        "piano.wav": "piano",
    }
    assert [item.stem for item in song.plan()] == ["hats.wav", "piano.wav"]
    assert song.passes == ()
    assert song.prep().name == "pass-01"
    assert song.prep().name is None
    assert "bite" in song.plan_note("piano: more bite").answered[0].words
    assert list(song.note("piano: more bite", by="Ann").rendered) == ["piano.wav"]
    assert [change.stem for change in song.compare(1, "pass-02").stems if change.fate != "same bytes"] == ["piano.wav"]
    assert list(song.keep("hats", by="Ann")) == ["hats.wav"]
    assert song.release("hats") == {}
    assert song.recall(1).made.name == "pass-03"
    assert hashes(folder, "pass-03") == hashes(folder, "pass-01")
    assert [one.name for one in song.history()] == list(song.passes) == ["pass-01", "pass-02", "pass-03"]
    assert song.verify().good
    assert song.sum(1).name == "pass-01"
    assert song.pack(2, zipped=True).path.is_file()
    assert song.rings("piano").rings is not None
    assert song.report().path.name == "report.html"


@pytest.mark.parametrize("pool", [AtOnce, lambda: ProcessPoolExecutor(1)])
def test_any_executor_makes_the_same_pass(make_song, pool):
    one, other = (make_song({"hats.wav": None}, folder=name) for name in ("one", "other"))
    Song(one).prep()
    with pool() as executor:
        Song(other, executor=executor).prep()
    assert hashes(one, "pass-01") == hashes(other, "pass-01")


def test_what_is_no_song_is_said_at_once(tmp_path):
    with pytest.raises(SongError, match="nothing here"):
        Song(tmp_path / "nothing here")


def test_the_version_is_the_packages():
    assert stemwright.__version__ == version("stemwright")


def test_the_python_in_the_readme_runs(make_song, monkeypatch):
    # The song it names is ours here: two stems of noise in its place.
    text = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")
    (block,) = [part.split("```", 1)[0] for part in text.split("```python\n")[1:]]
    folder = make_song({"hats.wav": None, "piano.wav": None}, folder="demo-beat")
    monkeypatch.chdir(folder.parent)
    names = {}
    exec(block.replace("examples/demo-beat", "demo-beat"), names)  # noqa: S102 - our own README
    assert names["made"].name == "pass-02"


class _LikeACluster(ThreadPoolExecutor):
    """As Dask's executor: what is mapped over must say how long it is."""

    def map(self, fn, *iterables, **options):
        assert {len(each) for each in iterables} == {len(iterables[0])}
        return super().map(fn, *iterables, **options)


def test_an_executor_that_must_know_how_much_there_is_will_do(make_song):
    with _LikeACluster(2) as executor:
        song = Song(make_song({"kick.wav": None, "pad.wav": None}), executor=executor)
        song.prep()
        assert song.verify().good
        assert song.report().problems == ()
