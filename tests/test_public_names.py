"""The public interface: every name is there, sorted, and loads."""

from __future__ import annotations

import re

import pytest

import stemwright


def test_names_are_sorted_and_each_loads():
    assert stemwright.__all__ == sorted(stemwright.__all__)
    assert set(stemwright.__all__) == set(stemwright._HOME_OF)
    for name in stemwright.__all__:
        assert getattr(stemwright, name) is not None


def test_a_name_that_is_not_there_is_an_attribute_error():
    with pytest.raises(AttributeError, match="has no attribute 'nonsense'"):
        stemwright.nonsense  # noqa: B018 - the access is the claim


def test_whatever_a_song_returns_is_public_and_turns_into_json():
    returned = {
        name
        for method in vars(stemwright.Song).values()
        if callable(method) and not method.__name__.startswith("_")
        for name in re.findall(r"[A-Z]\w+", str(method.__annotations__["return"]))
    }
    assert returned <= set(stemwright.__all__)
    assert all(callable(getattr(getattr(stemwright, name), "as_json", None)) for name in returned)
