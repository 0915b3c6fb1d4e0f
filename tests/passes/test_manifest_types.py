"""The manifest's schema and the types of the plan and its entries say the same: fields, kinds of value, what may be null."""

from __future__ import annotations

import json
from dataclasses import fields
from importlib import resources

import msgspec
import pytest

from stemwright.passes.entry import LevelPair, Output
from stemwright.passes.manifest import Because, MadeAt
from stemwright.plan.items import DeliverAs, InputFacts, NoteMark, PlanItem, PlannedMove, Said
from stemwright.plan.written import LATER
from stemwright.recipes.recipe import Source

SCHEMA = json.loads(resources.files("stemwright.passes").joinpath("manifest.schema.json").read_text(encoding="utf-8"))
ENTRY = SCHEMA["properties"]["stems"]["items"]
MOVE = ENTRY["properties"]["moves"]["items"]
NOTE = MOVE["properties"]["note"]["anyOf"][0]


def part(name):
    return ENTRY["properties"][name]["anyOf"][0]


def kinds(schema):
    """Return the JSON types a value may have, by JSON Schema 2020-12: type, enum, const, anyOf."""
    if "anyOf" in schema:
        return set().union(*map(kinds, schema["anyOf"]))
    if "enum" in schema:
        return {"null" if value is None else "string" for value in schema["enum"]}
    given = schema["type"]
    return set(given) if isinstance(given, list) else {given}


def of_type(kind, field):
    def refer(schema):
        return definitions[schema["$ref"].rpartition("/")[2]] if "$ref" in schema else schema

    def flat(schema):
        schema = refer(schema)
        return set().union(*map(flat, schema["anyOf"])) if "anyOf" in schema else kinds(schema)

    whole = msgspec.json.schema(kind, schema_hook=lambda _: {"type": "object"})
    definitions = whole.get("$defs", {})
    return flat(refer(whole)["properties"][field])


@pytest.mark.parametrize(
    ("kind", "schema", "renamed"),
    [
        (InputFacts, part("input"), {}),
        (DeliverAs, part("deliver_as"), {}),
        (Output, part("output"), {}),
        (LevelPair, ENTRY["properties"]["levels"], {}),
        (NoteMark, NOTE, {}),
        (Said, NOTE["properties"]["said"]["items"], {}),
        (Because, SCHEMA["properties"]["because"], {"came_from": "from"}),
        (MadeAt, SCHEMA["properties"]["made_at"], {}),
        (Source, SCHEMA["properties"]["recipes"]["items"], {}),
    ],
    ids=lambda each: getattr(each, "__name__", ""),
)
def test_a_type_and_its_schema_have_the_same_fields(kind, schema, renamed):
    names = {field.name: renamed.get(field.name, field.name) for field in fields(kind)}
    assert set(names.values()) == set(schema["properties"])
    assert not schema["additionalProperties"]
    for field, name in names.items():
        assert of_type(kind, field) == kinds(schema["properties"][name]), field


def test_a_move_and_an_item_are_their_types_laid_flat():
    moves = {field.name for field in fields(PlannedMove)} - {"settings"}
    assert moves == set(MOVE["properties"]) == {*MOVE["required"], *LATER}
    measured = {"output", "levels", "match_gain_db", "went_over", "taken_from"}
    items = {field.name for field in fields(PlanItem)} - {"seed"}  # which stands inside dither
    assert items | measured == set(ENTRY["properties"]) == set(ENTRY["required"])
    for field in ("stem", "role", "family", "recipe", "matched_by", "status", "why"):
        assert of_type(PlanItem, field) == kinds(ENTRY["properties"][field]), field
