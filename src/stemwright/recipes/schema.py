"""The JSON Schemas that editors complete and check by. The recipe's is built from the table of moves.

``python -m stemwright.recipes.schema > src/stemwright/recipes/schemas/recipe.schema.json`` writes it anew after a change to
the table. Two things a schema cannot say are left to the reader: ranges of values with a unit, and that a name is unique.
"""

from __future__ import annotations

import json
import sys
from importlib import resources
from typing import TYPE_CHECKING, Any

from stemwright.recipes.kinds import KINDS
from stemwright.recipes.move_reading import MOST_PLACES
from stemwright.recipes.moves import WHEN
from stemwright.recipes.reading import LONGEST_NAME
from stemwright.recipes.recipe import FAMILIES, HIGHEST_VERSION, SOUNDS
from stemwright.recipes.units import UNITS, Quantity, show

if TYPE_CHECKING:
    from stemwright.recipes.fields import Field, Kind

DIALECT = "https://json-schema.org/draft/2020-12/schema"
NUMBER = r"[-+\u2212]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][-+\u2212]?[0-9]{1,3})?"
JsonObject = dict[str, Any]

NAME: JsonObject = {"type": "string", "minLength": 1, "maxLength": LONGEST_NAME, "pattern": r"\S"}
TEXT: JsonObject = {"type": "string", "minLength": 1, "pattern": r"\S"}
# A plain 808 is a number to YAML and a name to a person.
NAME_OR_NUMBER: JsonObject = {**NAME, "type": ["string", "integer"]}


def read_schema(name: str) -> JsonObject:
    """Return a shipped schema.

    Parameters
    ----------
    name : {"recipe", "session"}

    Returns
    -------
    dict
    """
    text = (resources.files("stemwright.recipes.schemas") / f"{name}.schema.json").read_text(encoding="utf-8")
    schema: JsonObject = json.loads(text)
    return schema


def build_recipe_schema() -> JsonObject:
    """Build the schema of recipes from the table of moves."""
    kinds = list(KINDS.values())
    return {
        "$schema": DIALECT,
        "title": "A stemwright recipe",
        "description": "What to do to the stems of one role, in order, and which file names are of that role.",
        "type": "object",
        "properties": {
            "recipe": {**NAME_OR_NUMBER, "description": "The recipe's name.", "examples": ["hats"]},
            "version": {
                "type": "integer",
                "minimum": 1,
                "maximum": HIGHEST_VERSION,
                "default": 1,
                "description": "Raise it when the sound changes.",
            },
            "about": {**TEXT, "description": "In a sentence, what the recipe is for."},
            "role": {**NAME_OR_NUMBER, "description": "What the stems are; the parent's, else the recipe's own name."},
            "family": {"enum": list(FAMILIES), "description": "Which part of the beat the role belongs to."},
            "stems": {"$ref": "#/$defs/stems"},
            "based_on": {**NAME_OR_NUMBER, "description": "The recipe whose moves this one takes over."},
            "change": _change(kinds),
            "drop": _list(NAME_OR_NUMBER, "Names of the parent's moves that are left out.", [["air"]]),
            "moves": _list(
                {"$ref": "#/$defs/move"}, "The moves in order; after the parent's. [] leaves stems as received.", []
            ),
        },
        "additionalProperties": False,
        "required": ["recipe"],
        "if": {"required": ["based_on"]},
        "then": {},
        "else": {
            "required": ["about", "stems", "moves"],
            "properties": {"change": False, "drop": False},
        },
        "$defs": {
            "stems": _stems(),
            "move": _move(kinds),
            **{kind.name: _kind(kind) for kind in kinds},
        },
    }


def _list(items: JsonObject, description: str, examples: list[Any]) -> JsonObject:
    extra = {"examples": examples} if examples else {}
    return {"type": "array", "items": items, "description": description, **extra}


def _stems() -> JsonObject:
    phrases = _list(NAME_OR_NUMBER, "Words and phrases in file names; the longest wins.", [["hat", "hats", "hi hat"]])
    return {
        "description": "Which stems the recipe takes by their file names; the parent's where it is left out.",
        "type": "object",
        "properties": {
            "names": phrases,
            "general": {
                **phrases,
                "description": "Words and phrases that count only where the file name has none of any recipe's names.",
                "examples": [["drums"]],
            },
            "not": {**phrases, "description": "Words and phrases that a file name must not have.", "examples": [["that"]]},
            "sounds": {
                "enum": list(SOUNDS),
                "description": "Where such stems sound. Mostly above 2 kHz is no low sound, mostly below 200 Hz no high one,"
                " dead above 11 kHz no open one.",
            },
            "deep": {
                "type": "boolean",
                "default": False,
                "description": "true: what such stems have under 30 Hz is theirs, and intake does not call it rumble.",
            },
        },
        "additionalProperties": False,
        "anyOf": [{"required": ["names"]}, {"required": ["general"]}],
    }


def _notes() -> JsonObject:
    return {
        "why": {**TEXT, "description": "The reason for this move."},
        "off": {"type": "boolean", "default": False, "description": "true: written down but not done."},
        "when": {
            "enum": list(WHEN),
            "description": "rumble: only where intake finds rumble under the frequency; always: no condition of the parent's.",
        },
        "if_there": {
            **NAME_OR_NUMBER,
            "description": "Only where the song has a stem of this role or family.",
            "examples": ["lead vocal"],
        },
        "only": {
            "description": "Only there: a section of session.yaml, bars, a time, or a list of these.",
            "anyOf": [NAME_OR_NUMBER, {"type": "array", "minItems": 1, "maxItems": MOST_PLACES, "items": NAME_OR_NUMBER}],
            "examples": ["hook", ["hook", "0:45-1:10"]],
        },
    }


def _move(kinds: list[Kind]) -> JsonObject:
    names = [kind.name for kind in kinds]
    alone = [
        {"if": {"required": [name]}, "then": {"properties": {other: False for other in names if other != name}}}
        for name in names
    ]
    return {
        "description": "One move, and in words what it is called and why it is there.",
        "type": "object",
        "properties": {
            **{name: {"$ref": f"#/$defs/{name}"} for name in names},
            "name": {**NAME_OR_NUMBER, "description": "What the move is called; its kind where it is left out."},
            **_notes(),
        },
        "additionalProperties": False,
        "anyOf": [{"required": [name]} for name in names],
        "allOf": alone,
    }


def _kind(kind: Kind) -> JsonObject:
    if kind.word is not None:
        return {"const": kind.word, "description": kind.about}
    table = {
        "type": "object",
        "properties": {field.key: _field(field) for field in kind.fields},
        "additionalProperties": False,
        "required": [field.key for field in kind.fields if field.default is None],
    }
    if kind.scalar is None:
        return {"description": kind.about, **table}
    scalar = _field(kind.field(kind.scalar))
    return {
        "description": kind.about,
        "if": {"type": "object"},
        "then": table,
        "else": scalar,
        "examples": scalar["examples"],
    }


def _field(field: Field) -> JsonObject:
    """Describe one number: in the base unit within its range, or as text with a unit."""
    start = field.default if field.default is not None else None
    if UNITS[field.quantity].words:
        return {"description": field.about, "enum": list(UNITS[field.quantity].words)}
    schema: JsonObject = {
        "description": f"{field.about} Allowed: {field.allowed}.",
        "type": ["number", "string"],
        "examples": UNITS[field.quantity].example.split(" or "),
        **_pattern(field.quantity),
    }
    if start is not None:
        schema["default"] = show(field.quantity, start)
    if field.one_of:
        schema["examples"] = [show(field.quantity, value) for value in field.one_of]
        schema |= {"if": {"type": "number"}, "then": {"enum": [int(value) for value in field.one_of]}}
    else:
        schema |= {"minimum": _plain(field.lowest), "maximum": _plain(field.highest)}
    if field.quantity == "count":
        schema["multipleOf"] = 1
    return schema


def _pattern(quantity: Quantity) -> JsonObject:
    spellings = ("".join(_either_case(char) for char in spelling) for spelling in UNITS[quantity].scales)
    unit = "|".join(spellings)
    return {"pattern": rf"^\s*{NUMBER}\s*({unit})?\s*$" if unit else rf"^\s*{NUMBER}\s*$"}


def _either_case(char: str) -> str:
    return f"[{char.lower()}{char.upper()}]" if char.isalpha() else char


def _plain(value: float) -> float:
    return int(value) if value == int(value) else value


def _change(kinds: list[Kind]) -> JsonObject:
    fields: dict[str, list[Field]] = {}
    for kind in kinds:
        for field in kind.fields:
            fields.setdefault(field.key, []).append(field)
    properties = {}
    for key, same in fields.items():
        if UNITS[same[0].quantity].words:
            properties[key] = _field(same[0])
            continue
        limits = {"minimum": _plain(min(f.lowest for f in same)), "maximum": _plain(max(f.highest for f in same))}
        properties[key] = {"type": ["number", "string"], **_pattern(same[0].quantity), **limits}
    return {
        "description": "What changes in the parent's moves, by their names.",
        "examples": [{"air": {"gain": "+2 dB"}}],
        "type": "object",
        "additionalProperties": {
            "type": "object",
            "properties": {**properties, **_notes()},
            "additionalProperties": False,
        },
    }


if __name__ == "__main__":
    json.dump(build_recipe_schema(), sys.stdout, indent=2, ensure_ascii=True)
    sys.stdout.write("\n")
