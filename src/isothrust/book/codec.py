"""Records to plain nested values and back, with the polars type of each: read off the records' own annotations.

One rule for each kind of annotation, so that a field added to a record is stored without a second description of it:
a mapping becomes a list of (name, value), an array keeps its shape beside its values, a record becomes a struct.
"""

from __future__ import annotations

import types
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, Final, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np
import polars as pl

__all__ = ["decode", "dtype_of", "encode", "field_types"]

_SCALARS: Final[Mapping[Any, pl.DataType]] = {
    str: pl.String(),
    float: pl.Float64(),
    int: pl.Int64(),
    bool: pl.Boolean(),
}
_ARRAY = pl.Struct({"shape": pl.List(pl.Int64()), "values": pl.List(pl.Float64())})


@cache
def field_types(record: type) -> dict[str, Any]:
    """Return a record's field names with their resolved annotations, in order."""
    hints = get_type_hints(record)
    return {field.name: hints[field.name] for field in fields(record)}


def dtype_of(annotation: Any) -> pl.DataType:  # noqa: ANN401 (an annotation has no narrower type)
    """Return the polars type that holds values of `annotation`."""
    kind, inner = _resolve(annotation)
    if kind == "scalar":
        return _SCALARS[inner]
    if kind == "array":
        return _ARRAY
    if kind == "record":
        return pl.Struct({name: dtype_of(hint) for name, hint in field_types(inner).items()})
    if kind == "mapping":
        return pl.List(pl.Struct({"name": pl.String(), "value": dtype_of(inner)}))
    return pl.List(dtype_of(inner))


def encode(value: Any, annotation: Any) -> Any:  # noqa: ANN401 (any record's value)
    """Return `value` as lists, dicts and scalars that `dtype_of(annotation)` takes."""
    if value is None:
        return None
    kind, inner = _resolve(annotation)
    if kind == "scalar":
        return inner(value)
    if kind == "array":
        array = np.asarray(value, dtype=np.float64)
        return {"shape": list(array.shape), "values": array.ravel().tolist()}
    if kind == "record":
        return {name: encode(getattr(value, name), hint) for name, hint in field_types(inner).items()}
    if kind == "mapping":
        return [{"name": name, "value": encode(item, inner)} for name, item in value.items()]
    return [encode(item, inner) for item in value]


def decode(plain: Any, annotation: Any) -> Any:  # noqa: ANN401 (any record's value)
    """Return the value that `encode` was given."""
    if plain is None:
        return None
    kind, inner = _resolve(annotation)
    if kind == "scalar":
        return plain
    if kind == "array":
        return np.array(plain["values"], dtype=np.float64).reshape(plain["shape"])
    if kind == "record":
        return inner(**{name: decode(plain[name], hint) for name, hint in field_types(inner).items()})
    if kind == "mapping":
        return {entry["name"]: decode(entry["value"], inner) for entry in plain}
    return tuple(decode(item, inner) for item in plain)


@cache
def _resolve(annotation: Any) -> tuple[str, Any]:  # noqa: ANN401
    """Name the rule for an annotation and what it holds; `X | None` counts as X, since every column may be null."""
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin in {Union, types.UnionType}:
        held = [argument for argument in arguments if argument is not types.NoneType]
        return _resolve(_only(held, annotation))
    if origin is Literal:
        return "scalar", str
    if origin is np.ndarray:
        return "array", None
    if origin in {tuple, Sequence}:
        return "tuple", _only(
            list(dict.fromkeys(argument for argument in arguments if argument is not ...)), annotation
        )
    if origin is not None and issubclass(origin, Mapping):
        return "mapping", arguments[1]
    if annotation in _SCALARS:
        return "scalar", annotation
    if is_dataclass(annotation):
        return "record", annotation
    message = f"no column type is known for {annotation!r}"
    raise TypeError(message)


def _only(held: list[Any], annotation: Any) -> Any:  # noqa: ANN401
    if len(held) != 1:
        message = f"{annotation!r} mixes types that one column cannot hold"
        raise TypeError(message)
    return held[0]
