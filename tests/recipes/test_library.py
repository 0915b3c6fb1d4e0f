"""Where recipes are looked for, in which order, and what counts as one."""

from __future__ import annotations

import os
import pickle
from pathlib import Path

import pytest

from stemwright.errors import RecipeError, StemwrightError
from stemwright.recipes.folders import VARIABLE, house_dir, search_dirs
from stemwright.recipes.library import load_library

TEXT = "recipe: {name}\nabout: {about}\nstems: {{names: [{name}]}}\nmoves: []\n"


def write(folder, file, name="x", about="a"):
    folder.mkdir(parents=True, exist_ok=True)
    (folder / file).write_text(TEXT.format(name=name, about=about), encoding="utf-8")
    return folder


def test_the_order_is_song_then_asked_for_then_variable_then_house(tmp_path, monkeypatch):
    own, asked, first, second = (tmp_path / name for name in ("song/recipes", "asked", "first", "second"))
    for folder in (own, asked, first, second):
        folder.mkdir(parents=True)
    monkeypatch.setenv(VARIABLE, os.pathsep.join([str(first), str(second)]))
    assert search_dirs(tmp_path / "song", [asked]) == (own, asked, first, second, house_dir())


def test_a_folder_counts_once(tmp_path, monkeypatch):
    monkeypatch.setenv(VARIABLE, str(tmp_path))
    assert search_dirs(None, [tmp_path, Path(str(tmp_path) + "/.")]) == (tmp_path, house_dir())


def test_a_song_without_recipes_of_its_own_is_fine(tmp_path):
    assert search_dirs(tmp_path, []) == (house_dir(),)


def test_a_folder_that_is_not_there_is_said(tmp_path):
    missing = tmp_path / "no"
    with pytest.raises(StemwrightError) as caught:
        search_dirs(None, [missing])
    assert str(caught.value) == f"{missing}: there is no such folder; --recipes takes a folder with recipes (*.yaml) in it"


def test_a_file_in_the_variable_is_said(tmp_path, monkeypatch):
    file = tmp_path / "x.yaml"
    file.touch()
    monkeypatch.setenv(VARIABLE, str(file))
    with pytest.raises(StemwrightError) as caught:
        search_dirs(None, [])
    assert str(caught.value) == f"{file}: this is no folder; STEMWRIGHT_RECIPES takes a folder with recipes (*.yaml) in it"


def test_an_earlier_folder_shadows_a_later_one(tmp_path):
    first, second = write(tmp_path / "1", "a.yaml", about="first"), write(tmp_path / "2", "b.yaml", about="second")
    library = load_library([first, second])
    assert (library.get("x").about, [recipe.about for recipe in library.shadowed]) == ("first", ["second"])


def test_a_recipe_that_changed_is_read_again_though_its_size_and_time_are_the_same(tmp_path):
    file = write(tmp_path, "a.yaml", about="one") / "a.yaml"
    state = file.stat()
    assert load_library([tmp_path]).get("x").about == "one"
    write(tmp_path, "a.yaml", about="two")
    os.utime(file, ns=(state.st_atime_ns, state.st_mtime_ns))
    assert load_library([tmp_path]).get("x").about == "two"
    file.unlink()
    assert load_library([tmp_path]).recipes == {}


def test_recipes_that_did_not_change_are_parsed_once(tmp_path):
    write(tmp_path, "a.yaml")
    assert load_library([tmp_path]) is load_library([tmp_path])


def test_the_same_recipe_in_two_songs_is_each_songs_own(tmp_path):
    for name in ("one", "two"):
        folder = write(tmp_path / name / "recipes", "a.yaml")
        recipe = load_library([folder], song_dir=tmp_path / name).get("x")
        assert (recipe.came_from, recipe.path) == ("song", str(folder / "a.yaml"))
        assert load_library([folder], song_dir=tmp_path).get("x").came_from == f"{name}/recipes"


def test_only_visible_yaml_files_directly_in_the_folder_are_recipes(tmp_path):
    for number, file in enumerate(["a.yaml", "b.yml", ".c.yaml", "._d.yaml", "e.txt"]):
        write(tmp_path, file, f"x{number}")
    write(tmp_path / "words", "f.yaml", "x9")
    assert sorted(load_library([tmp_path]).recipes) == ["x0", "x1"]


def test_a_folder_named_like_a_recipe_is_said(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "x.yaml").mkdir()
    with pytest.raises(RecipeError) as caught:
        load_library([tmp_path])
    assert str(caught.value) == "x.yaml:1:1: not a regular file; move it away"


def test_a_name_that_is_no_recipes_is_said_with_the_nearest(tmp_path):
    library = load_library([write(tmp_path, "a.yaml", "piano")])
    with pytest.raises(RecipeError) as caught:
        library.get("pinao")
    assert str(caught.value) == "no recipe has this name (pinao); did you mean piano? allowed: piano"


def test_every_house_recipe_is_sound_and_sets_its_family():
    library = load_library([house_dir()])
    assert library.shadowed == ()
    families = {name: recipe.family for name, recipe in library.recipes.items()}
    assert families.pop("reference") is None  # what is no stem is of no family
    assert set(families.values()) == {"drums", "music", "vocals"}


def test_every_house_recipe_names_its_schema_in_its_first_line():
    first = "# yaml-language-server: $schema=../src/stemwright/recipes/schemas/recipe.schema.json\n"
    recipes = load_library([house_dir()]).recipes.values()
    assert [recipe.name for recipe in recipes if not recipe.text.startswith(first)] == []


def test_its_errors_come_back_whole_from_another_process():
    error = pickle.loads(pickle.dumps(RecipeError(["hats.yaml:1:1: first", "hats.yaml:2:1: second"])))  # noqa: S301 - our own
    assert error.problems == ("hats.yaml:1:1: first", "hats.yaml:2:1: second")
    assert str(error) == "hats.yaml:1:1: first\nhats.yaml:2:1: second"
