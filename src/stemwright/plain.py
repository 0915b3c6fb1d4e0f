"""Plain: typed values as what JSON can hold, and back, checked against their types on the way."""

from __future__ import annotations

from pathlib import PurePath
from threading import Lock
from typing import Any, TypeVar

import msgspec

Plain = dict[str, Any]  # one JSON object; only the modules that read and write files look into it
T = TypeVar("T")
# What msgspec finds out about a type the first time, it keeps half-made where another thread sees it: that ended the process.
_ONE_AT_A_TIME = Lock()


def plain(value: object) -> Any:  # noqa: ANN401 - any JSON value
    """Return a value as JSON could hold it: dataclasses and mappings become dicts, sequences lists, paths text.

    Parameters
    ----------
    value : object
        Built of dataclasses, mappings, sequences, paths, strings and numbers, numpy's included.
    """
    return _listed(msgspec.to_builtins(value, enc_hook=_as_text_or_number))


def typed(data: object, kind: type[T]) -> T:
    """Return plain data as a value of a type, every field of it checked.

    Raises
    ------
    ValueError
        Naming the first field that does not fit, as a path below the value.
    """
    with _ONE_AT_A_TIME:
        return msgspec.convert(data, kind)


def _listed(value: Any) -> Any:  # noqa: ANN401 - JSON but for its tuples
    if isinstance(value, dict):
        return {key: _listed(each) for key, each in value.items()}
    return [_listed(each) for each in value] if isinstance(value, list | tuple) else value


def _as_text_or_number(value: Any) -> Any:  # noqa: ANN401 - whatever msgspec does not know
    if isinstance(value, PurePath):
        return str(value)
    return value.item() if hasattr(value, "item") else plain(dict(value))
