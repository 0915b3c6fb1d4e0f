"""The commands as a user meets them: output, exit codes, no terminal, hostile names."""

from __future__ import annotations

import json
import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import pytest
import soundfile

from stemwright.cli import main
from stemwright.cli.console import table
from stemwright.recipes.schema import build_recipe_schema


@pytest.fixture
def run(capsys):
    """Return a runner in this process: (exit code, stdout, stderr)."""

    def go(*arguments):
        code = main([str(argument) for argument in arguments])
        out = capsys.readouterr()
        return code, out.out, out.err

    return go


def test_help_of_every_command_stands_alone(run):
    code, out, _ = run("--help")
    commands = [line.split()[0] for line in out.split("Commands:")[1].splitlines() if line.strip()]
    assert code == 0
    assert {"look", "prep", "verify", "rings", "recipes"} <= set(commands)
    for command in commands:
        code, out, _ = run(command, "--help")
        assert code == 0
        assert out.startswith(f"Usage: stemwright {command} ")


def test_help_loads_none_of_the_heavy_libraries():
    code = (
        "import sys; from stemwright.cli import main; main(['--help']); "
        "heavy = ('numpy', 'scipy', 'soundfile', 'pedalboard', 'jsonschema', 'yaml', 'rich', 'jinja2', 'PIL'); "
        "print([m for m in heavy if m in sys.modules])"
    )
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert result.stdout.splitlines()[-1] == "[]"


def test_look_prep_verify_from_start_to_end(run, make_song):
    song = make_song({"HiHat 01_PRINT.wav": None, "pno.wav": None})
    code, out, _ = run("look", song)
    assert code == 0
    assert out.splitlines()[-1] == "Ready: stemwright prep SONG"
    assert not (song / "passes").exists()
    code, out, err = run("prep", song)
    assert code == 0
    *_, counted, where, page = out.splitlines()
    assert counted == "pass-01: 2 written, 0 taken over byte for byte, 0 failed: 2 stems"
    assert where == f"in {song / 'passes' / 'pass-01'}"
    assert err.splitlines() == ["stems done: 2 of 2"]
    assert page.startswith(f"page: {song / 'passes' / 'pass-01' / 'report.html'} (")
    code, out, _ = run("verify", song)
    assert code == 0
    assert out.splitlines()[-1] == "pass-01: 4 files identical; all as the manifest says."
    code, out, _ = run("prep", song)
    assert code == 0
    assert out.splitlines()[-1] == "Nothing differs from pass-01, so there is no new pass."


def test_a_stem_nobody_knows_is_a_finding_and_exit_code_1(run, make_song):
    song = make_song({"Aud 07.wav": None})
    code, out, _ = run("look", song)
    assert code == 1
    assert "warn  Aud 07.wav: no recipe takes this name [no-recipe]\n" in out
    assert run("prep", song)[0] == 1


def test_json_is_json_and_nothing_else_on_stdout(run, make_song):
    song = make_song({"kick.wav": None})
    code, out, _ = run("look", song, "--json")
    assert (code, json.loads(out)["stems"][0]["recipe"]) == (0, "kick")
    code, out, _ = run("prep", song, "--plan", "--json")
    assert json.loads(out)[0]["stem"] == "kick.wav"
    assert not (song / "passes").exists()
    code, out, _ = run("prep", song, "--json")
    assert json.loads(out)["pass"] == "pass-01"
    code, out, _ = run("verify", song, "--json")
    assert json.loads(out)["good"] is True
    code, out, _ = run("recipes", "list", "--json")
    assert "hats" in [recipe["recipe"] for recipe in json.loads(out)]
    code, out, _ = run("recipes", "show", "hats", "--json")
    assert json.loads(out)["moves"][0]["kind"] == "high_pass"


def test_the_plan_says_every_move_and_why(run, make_song):
    code, out, _ = run("prep", make_song({"hats.wav": None}), "--plan")
    assert code == 0
    assert "    high-pass 250 Hz 12 dB/oct  [roll-off] nothing useful sounds under the stick" in out


BAD_RECIPE = """\
recipe: hats
version: 1
about: five mistakes
stems: {names: [hats]}
moves:
  - high_pas: {freq: 250 Hz}
  - bell: {freq: 3 kHz, gain: +40 dB}
  - bell: {frequency: 3 kHz, gain: +4 dB}
  - notch: {freq: 3 sec, gain: -3 dB}
  - high_shelf: {freq: 9 kHz, gain: +1 dB}
    of: true
"""


def test_a_recipe_with_five_mistakes_lists_five_and_writes_nothing(run, make_song):
    song = make_song({"hats.wav": None})
    (song / "recipes").mkdir()
    (song / "recipes" / "hats.yaml").write_text(BAD_RECIPE)
    code, out, err = run("prep", song)
    lines = err.splitlines()
    assert (code, out) == (2, "")
    for line, at in zip(lines, ("6:", "7:", "8:", "9:", "11:"), strict=True):
        assert f"hats.yaml:{at}" in line
    assert not (song / "passes").exists()


def test_two_recipes_for_one_name_are_a_finding_that_says_how_to_settle_it_and_the_rest_is_prepped(run, make_song):
    song = make_song({"zither.wav": None, "kick.wav": None})
    (song / "recipes").mkdir()
    for name in ("one", "two"):
        text = f"recipe: {name}\nabout: x\nstems: {{names: [zither]}}\nmoves: []\n"
        (song / "recipes" / f"{name}.yaml").write_text(text)
    code, out, _ = run("look", song, "--json")
    found = {each["id"]: each for each in json.loads(out)["findings"]}
    assert code == 1
    assert found["two-readings"]["measured"] == "one (its name has 'zither') or two (its name has 'zither')"
    assert found["two-readings"]["do"] == 'in session.yaml, under stems: "zither.wav": {role: two}, or the other'
    run("prep", song)
    assert (song / "passes/pass-01/stems/zither.wav").read_bytes() == (song / "zither.wav").read_bytes()
    assert (song / "passes/pass-01/stems/kick.wav").read_bytes() != (song / "kick.wav").read_bytes()


def test_check_says_which_names_two_of_ones_own_recipes_take(run, tmp_path):
    for name, names in (("stage keys", "[wobble, honk]"), ("toy keys", "[wobble]"), ("my piano", "[piano]")):
        (tmp_path / f"{name}.yaml").write_text(f"recipe: {name}\nabout: a\nstems: {{names: {names}}}\nmoves: []\n")
    code, out, _ = run("recipes", "check", tmp_path)
    said = " ".join(out.split())
    assert code == 0
    assert '"wobble" is taken by stage keys' in said
    assert said.count("warn") == 1  # "piano" is the house's as well, and one's own comes first


@pytest.mark.parametrize("command", ["look", "prep", "verify"])
def test_a_song_that_is_a_file_is_exit_code_2(run, tmp_path, command):
    (tmp_path / "beat.wav").write_bytes(b"x")
    code, _, err = run(command, tmp_path / "beat.wav")
    assert code == 2
    assert "this is a file; a song is the folder that holds the stems" in err


HOSTILE = ["[bold]kick[red].wav", "kick\x1b[31m.wav", "kick\u202egnp.wav", "kick \U0001f941.wav", "k\nick.wav", "-kick.wav"]


def test_hostile_names_are_shown_harmless_and_prepped(run, make_song):
    song = make_song(dict.fromkeys(HOSTILE))
    code, out, _ = run("prep", song)
    assert code in (0, 1)
    assert "\x1b" not in out
    assert "\u202e" not in out
    assert "[bold]kick[red].wav" in out
    written = {path.name for path in (song / "passes/pass-01/stems").iterdir()}
    assert written == set(HOSTILE)
    for command in (("look", song), ("verify", song), ("compare", song, "1", "1"), ("history", song)):
        out = run(*command, "--json")[1]
        assert out.isascii()
        assert {char for char in out if not char.isprintable()} == {"\n"}


# 80 columns are what a terminal opens with (DEC VT100): a number that is cut at the edge is another number.
@pytest.mark.parametrize("name", ["Audio 07.wav", "Lead Vocal main double left 01.wav"])
def test_a_table_of_80_columns_cuts_nothing(capsys, monkeypatch, name):
    monkeypatch.setenv("COLUMNS", "80")
    cells = [
        name,
        "lead vocal",
        "high-pass 80 Hz 12 dB/oct, bell 260 Hz -1.5 dB q 1, high shelf 24 kHz +3 dB",
        "-20.8",
        "-21.9",
        "+3.1, goes over",
    ]
    table(["stem", "recipe", "moves", "LUFS in", "out", "peak dB"], [cells], right=[3, 4, 5])
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 80
    assert all(number in " ".join(lines) for number in cells[3:])
    assert "".join("".join(lines).split()).count("peakdB") == 1
    first = "".join(line[1 : 1 + min(len(name), 24)] for line in lines[3:])
    assert "".join(first.split()) == "".join(name.split())


def test_an_undecodable_name_loses_nothing(run, make_song):
    song = make_song({"kick.wav": None})
    odd = os.fsdecode(b"kick \xff.wav")
    (song / "kick.wav").rename(song / odd)
    assert run("prep", song)[0] in (0, 1)
    assert (song / "passes/pass-01/stems" / odd).is_file()
    assert run("verify", song)[0] == 0


def test_every_word_of_the_table_is_there_at_80_columns(make_song):
    song = make_song({"HiHat 01_PRINT with a very long name that strangers like to give.wav": None})
    environment = {**os.environ, "COLUMNS": "80"}
    command = [sys.executable, "-m", "stemwright", "look", str(song)]
    result = subprocess.run(command, capture_output=True, text=True, check=True, env=environment)
    assert max(map(len, result.stdout.splitlines())) <= 80
    first_column = "".join(line[:30] for line in result.stdout.splitlines() if line)
    assert "strangers" in "".join(first_column.split()) or "strangers" in result.stdout


def test_no_color_is_honoured_in_a_terminal(make_song):
    song = make_song({"kick.wav": None})
    primary, secondary = pty.openpty()
    environment = {**os.environ, "NO_COLOR": "1", "TERM": "xterm-256color"}
    command = [sys.executable, "-m", "stemwright", "look", str(song)]
    with subprocess.Popen(command, stdout=secondary, stderr=secondary, env=environment) as process:
        os.close(secondary)
        seen = b""
        while True:
            try:
                chunk = os.read(primary, 4096)
            except OSError:
                break
            if not chunk:
                break
            seen += chunk
    os.close(primary)
    assert process.returncode == 0
    assert b"kick.wav" in seen
    assert not any(f"\x1b[{colour}".encode() in seen for colour in (*range(30, 38), *range(90, 98)))


def test_rings_names_bounds_that_cross_and_a_file_that_is_not_there(run, make_song):
    song = make_song({"kick.wav": None})
    code, _, err = run("rings", song / "kick.wav", "--from", "3 kHz", "--to", "1 kHz")
    assert (code, err) == (2, "stemwright: rings: from (3000 Hz) must be below to (1000 Hz)\n")
    code, _, err = run("rings", song / "no.wav")
    assert code == 2
    assert err.endswith("no.wav: there is no such file; give one audio file\n")


def test_our_own_bug_is_exit_code_3_with_a_log_and_no_traceback(run, make_song, monkeypatch):
    from stemwright.passes import look

    def broken(*_, **__):
        raise KeyError("x")

    monkeypatch.setattr(look, "look", broken)
    code, _, err = run("look", make_song({"kick.wav": None}))
    assert code == 3
    assert "Traceback" not in err
    log = Path(err.split("Please send us ")[1].strip())
    assert "KeyError" in log.read_text()
    log.unlink()


def test_a_reader_that_leaves_is_no_error(make_song):
    song = make_song({f"kick {number}.wav": soundfile_silence() for number in range(3)})
    command = f"{sys.executable} -m stemwright recipes list --song {song} | head -1"
    result = subprocess.run(["bash", "-o", "pipefail", "-c", command], capture_output=True, text=True, check=False)
    assert result.stderr == ""


def soundfile_silence():
    import numpy as np

    return np.zeros((100, 1))


def test_soundfile_is_imported_where_audio_is_read_and_written_and_click_and_pedalboard_in_one_place():
    import stemwright

    root = Path(stemwright.__file__).parent
    for library, home in (
        ("soundfile", ("stems/audio.py", "stems/encoding.py")), ("pedalboard", "dsp/pedals.py"), ("click", "cli/"),
    ):  # fmt: skip
        for path in root.rglob("*.py"):
            text = path.read_text(encoding="utf-8")
            if f"import {library}" in text:
                assert path.relative_to(root).as_posix().startswith(home), (library, path)
    assert soundfile.__name__ == "soundfile"


def test_the_readmes_command_puts_the_schema_where_the_readmes_recipe_looks_for_it(run):
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    written = re.search(r"recipes show --schema >\s*SONG/recipes/(\S+)`", readme)[1]
    assert f"# yaml-language-server: $schema={written}\nrecipe: hats\n" in readme
    code, out, _ = run("recipes", "show", "--schema")
    assert (code, json.loads(out)) == (0, build_recipe_schema())
