"""Values that rooms hand each other: nobody who is given one can change it, and who makes one names its parts."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil

import pytest

ROOMS = ("dsp", "plan", "passes")
# Few parts in an order that nobody mixes up, or made in one place only.
BY_POSITION = {
    "Quantised", "Shape", "FitTarget", "Factors", "Levels", "Curves", "Layer", "Harmonics", "Judge", "Judges", "RingSettings",
    "RingEvidence", "Ring", "PlannedNotch", "BandLoss", "Fit", "_Pattern", "Spectra", "Phrase", "Search", "RingsInFile", "Span",
    "BarAt", "Change", "Recorded", "SongFolder", "Checked", "Overview",
}  # fmt: skip


def values():
    for room in ROOMS:
        package = importlib.import_module(f"stemwright.{room}")
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            for name, each in vars(importlib.import_module(found.name)).items():
                if inspect.isclass(each) and dataclasses.is_dataclass(each) and each.__module__ == found.name:
                    yield pytest.param(name, each, id=f"{found.name}.{name}")


@pytest.mark.parametrize(("name", "value"), [*values()])
def test_a_value_cannot_be_changed_and_its_parts_are_named(name, value):
    parts = dataclasses.fields(value)
    assert value.__dataclass_params__.frozen
    assert {part.kw_only for part in parts} == {name not in BY_POSITION}
