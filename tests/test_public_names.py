"""The public interface: every name is there, sorted, and loads."""

from __future__ import annotations

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
