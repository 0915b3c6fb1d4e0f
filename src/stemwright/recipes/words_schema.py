"""The JSON Schema of words files, built from the table of moves like the recipe's.

``python -m stemwright.recipes.words_schema > src/stemwright/recipes/schemas/words.schema.json`` writes it anew. Ranges of
values with a unit, circles of opposites and forms that two words claim are left to the reader.
"""

from __future__ import annotations

import json
import sys

from stemwright.recipes.schema import DIALECT, NAME, NAME_OR_NUMBER, NUMBER, TEXT, JsonObject, build_recipe_schema
from stemwright.recipes.words_reading import MOST_DB, RINGS, SCALABLE


def build_words_schema() -> JsonObject:
    """Build the schema of words files."""
    defs = build_recipe_schema()["$defs"]
    notes = {key: defs["move"]["properties"][key] for key in ("name", "why")}
    alone = [
        {"if": {"required": [kind]}, "then": {"properties": {other: False for other in SCALABLE if other != kind}}}
        for kind in SCALABLE
    ]
    move = {
        "description": f"One move at a plain 'more'; its gain up to {MOST_DB:g} dB each way, scaled with the amount.",
        "type": "object",
        "properties": {**{kind: {"$ref": f"#/$defs/{kind}"} for kind in SCALABLE}, **notes},
        "additionalProperties": False,
        "anyOf": [{"required": [kind]} for kind in SCALABLE],
        "allOf": alone,
    }
    return {
        "$schema": DIALECT,
        "title": "Words for stemwright notes",
        "description": "What approvers' words mean in moves; one person's, with 'by', or everybody's.",
        "type": "object",
        "properties": {
            "by": {**NAME_OR_NUMBER, "description": "Whose words these are; they count for this person's notes only."},
            "words": {
                "type": "object",
                "description": "By word, in small letters.",
                "propertyNames": {"minLength": 1},
                "additionalProperties": {"$ref": "#/$defs/word"},
            },
        },
        "additionalProperties": False,
        "required": ["words"],
        "$defs": {
            "word": _word(),
            "meaning": _meaning(),
            "move": move,
            **{kind: defs[kind] for kind in SCALABLE},
        },
    }


def _list(items: JsonObject, description: str) -> JsonObject:
    return {"type": "array", "items": items, "description": description}


def _word() -> JsonObject:
    return {
        "type": "object",
        "properties": {
            "why": {**TEXT, "description": "What the approver hears, and why these moves answer it."},
            "opposite": {**NAME, "description": "The word that this one turns round; without means it is just that."},
            "also": _list(NAME, "Other forms, said with more or less: brightness."),
            "more": _list(NAME, "Forms that say more by themselves: brighter."),
            "fault": {"type": "boolean", "description": "Who names it complains of it: 'the hats are harsh' asks for less."},
            "means": _list({"$ref": "#/$defs/meaning"}, "What a plain 'more' of it does; a role counts before a family."),
        },
        "additionalProperties": False,
        "required": ["why"],
        "anyOf": [{"required": ["means"]}, {"required": ["opposite"]}],
    }


def _meaning() -> JsonObject:
    return {
        "type": "object",
        "properties": {
            "to": _list(NAME_OR_NUMBER, "Roles and families it is said of; every stem where it is left out."),
            "moves": {"type": "array", "minItems": 1, "items": {"$ref": "#/$defs/move"}},
            "rings": {
                "description": f"{RINGS.about} Allowed: {RINGS.allowed}.",
                "type": ["number", "string"],
                "pattern": rf"^\s*{NUMBER}\s*(%)?\s*$",
                "minimum": 1,
                "maximum": 100,
                "examples": ["25 %"],
            },
        },
        "additionalProperties": False,
        "oneOf": [{"required": ["moves"]}, {"required": ["rings"]}],
    }


if __name__ == "__main__":
    json.dump(build_words_schema(), sys.stdout, indent=2, ensure_ascii=True)
    sys.stdout.write("\n")
