"""JSON Schemas of the files that people write: builds, calibrations, names of log channels, price lists, shop settings.

Made from the same models and words that the readers use, so that an editor completes and checks while one types.  What
only a reader knows (units by dimension, bounds, what goes together) stays with `check`.
"""

from __future__ import annotations

from typing import Any, get_args

from pydantic import BaseModel

from enginelimits.description import calibration
from enginelimits.description.fields import BASES, Choice, FieldKind, OrNone, Several, Text, ThreadText
from enginelimits.description.models import Build
from enginelimits.description.physical import BySpeed, Count, Octane, Physical, Ratio, YesNo
from enginelimits.measured import names
from enginelimits.measured.channels import CHANNELS
from enginelimits.shop import DYNOS, UNIT_SYSTEMS

Schema = dict[str, Any]
DRAFT = "https://json-schema.org/draft/2020-12/schema"
TEXT: Schema = {"type": "string", "minLength": 1}
_NUMBER = r"[+\-−]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?"
# A number with its unit, with a spread, or a range; units are told apart by the reader.
_AMOUNT = rf"^\s*{_NUMBER}[^,;]*$"
_SPEED = rf"^\s*{_NUMBER}\s*[A-Za-z/]+\s*$"


def build_schema() -> Schema:
    """Of a build file."""
    return {"$schema": DRAFT, "title": "A build of engine-limits", **_model(Build), "$defs": _DEFINITIONS}


def _model(model: type[BaseModel]) -> Schema:
    properties: Schema = {}
    required = []
    for name, info in model.model_fields.items():
        key = info.alias or name
        field = next((m for m in info.metadata if isinstance(m, FieldKind)), None)
        if field is not None:
            properties[key] = _field(field)
        else:
            inner, many = _inner(info.annotation)
            of = _model(inner)
            properties[key] = {"type": "array", "items": of, "maxItems": 64} if many else of
            if any(isinstance(m, OrNone) for m in info.metadata):
                properties[key] = {"anyOf": [{"const": "none"}, of]}
        if info.is_required():
            required.append(key)
    made: Schema = {"type": "object", "properties": properties, "additionalProperties": False}
    return {**made, "required": required} if required else made


def _inner(annotation: Any, many: bool = False) -> tuple[type[BaseModel], bool]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation, many
    listed = many or getattr(annotation, "__origin__", None) is tuple
    for each in get_args(annotation):
        try:
            return _inner(each, listed)
        except TypeError:
            continue
    raise TypeError(annotation)


def _field(field: FieldKind) -> Schema:
    """What one key takes, with an example where the field has one."""
    match field:
        case BySpeed(of=of):
            return {"anyOf": [_field(of), {"type": "object", "minProperties": 1, "additionalProperties": False,
                                           "patternProperties": {_SPEED: _field(of)}}]}
        case Several(of=of, longest=longest, none=none):
            listed = {"type": "array", "items": _field(of), "minItems": 0 if none else 1, "maxItems": longest}
            return {"anyOf": [{"const": "none"}, listed]} if none else listed
        case Count(floor=floor, ceiling=ceiling):
            number = {"anyOf": [{"type": "integer", "minimum": floor, "maximum": ceiling},
                                {"type": "string", "pattern": r"^\s*[+-]?\d+(\.0*)?\s*$"}]}
            return {"anyOf": [*number["anyOf"], _mapping({"value": number, **_KNOWN}, ("value",))]}
        case Physical():
            return {"$ref": "#/$defs/ratio" if isinstance(field, Ratio) else "#/$defs/amount",
                    "description": _wanted(field), "examples": [field.such_as]}
        case Choice(names=known):
            return {"enum": list(known)}
        case YesNo():
            return {"$ref": "#/$defs/yes-no"}
        case ThreadText():
            return {**TEXT, "examples": ["M9x1.0", "3/8-24"]}
        case Text(pattern=pattern, longest=longest):
            # 10.9 and 40 are numbers to YAML, and words to the file
            made: Schema = {"type": ["string", "number"], "minLength": 1, "maxLength": longest,
                            "description": field.wanted}
            return {**made, "pattern": f"^(?:{pattern})$"} if pattern else made
    raise TypeError(field)


def _wanted(field: Physical) -> str:
    words = field.wanted.replace("`", "")
    return f"{words}; {' or '.join(field.scales)}" if isinstance(field, Octane) else words


def _mapping(properties: Schema, required: tuple[str, ...] = ()) -> Schema:
    made: Schema = {"type": "object", "properties": properties, "additionalProperties": False}
    return {**made, "required": list(required)} if required else made


_KNOWN: Schema = {"basis": {"enum": list(BASES)}, "note": TEXT}
_WRITTEN: Schema = {"type": "string", "pattern": _AMOUNT}
_PLAIN: Schema = {"anyOf": [{"type": "number"}, _WRITTEN]}


def _value(written: Schema) -> Schema:
    """One number in its written form, or with its range and basis."""
    of = dict.fromkeys(("value", "low", "high"), written)
    either = {"anyOf": [{"required": ["value"]}, {"required": ["low", "high"]}]}
    return {"anyOf": [written, {**_mapping({**of, **_KNOWN}), **either}]}


_DEFINITIONS: Schema = {
    "amount": _value(_WRITTEN),
    "ratio": _value(_PLAIN),
    "yes-no": {"anyOf": [
        {"type": "boolean"}, {"enum": ["yes", "no", "true", "false"]},
        _mapping({"probability": {"$ref": "#/$defs/ratio"}, **_KNOWN}, ("probability",)),
    ]},
}


def calibration_schema() -> Schema:
    """Of a calibration file, as `pull --fit` writes it."""
    anchor = _PLAIN
    anchors = {calibration.FILLING: {"type": "object", "minProperties": 1, "additionalProperties": False,
                                     "patternProperties": {_SPEED: anchor}},
               **dict.fromkeys(calibration.SINGLE, anchor)}
    numbers = {"type": "array", "items": {"type": "array", "items": {"type": "number", "minimum": -1, "maximum": 1}}}
    taken = {**dict.fromkeys(("speed", "boost", "octane", "ethanol"), _WRITTEN), "dyno": {"enum": list(DYNOS)},
             **dict.fromkeys(("induction", "drive", "gearbox"), TEXT)}
    log = _mapping({"file": TEXT, "sha256": {"type": "string"}}, ("file", "sha256"))
    properties: Schema = {
        "engine": _mapping({"family": TEXT}, ("family",)),
        "date": {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"},
        **{key: {"type": "string"} for key in ("author", "note", "method", "filling_of")},
        "taken_at": _mapping(taken, ("speed", "boost")),
        "logs": {"type": "array", "items": log},
        "anchors": {**_mapping(anchors), "minProperties": 1},
        "moved": {"type": "array", "items": TEXT},
        "correlation": numbers,
    }
    return {"$schema": DRAFT, "title": "A calibration of engine-limits",
            **_mapping(properties, ("engine", "date", "taken_at", "anchors"))}


def names_schema() -> Schema:
    """Of logs.yaml, which says what a logger's headers mean."""
    channel = {"enum": list(CHANNELS)}
    name = _mapping({"is": channel, "unit": TEXT,
                     "stoichiometric": {"type": "number", "minimum": 5, "maximum": 20}}, ("is",))
    dyno = _mapping({
        "kind": {"enum": list(names.DYNOS)}, "inertia": _WRITTEN,
        "ratio": {"type": "number", "minimum": 0.2, "maximum": 50}, "correction": {"enum": list(names.CORRECTIONS)},
    })
    properties = {
        "delimiter": {"enum": list(names.DELIMITERS)}, "decimal": {"enum": list(names.DECIMALS)}, "clock": TEXT,
        "names": {"type": "object", "additionalProperties": {"anyOf": [channel, name]}}, "interval": _WRITTEN,
        "dyno": dyno,
    }
    return {"$schema": DRAFT, "title": "Names of log channels for engine-limits", **_mapping(properties)}


def prices_schema() -> Schema:
    """Of a price list: remedies by their ids."""
    currency = {"type": "string", "pattern": "^[A-Z]{3}$"}
    price = _mapping({"price": {"type": "number", "minimum": 0}, "currency": currency}, ("price", "currency"))
    return {"$schema": DRAFT, "title": "Prices of remedies for engine-limits", "type": "object",
            "additionalProperties": price}


def shop_schema() -> Schema:
    """Of shop.yaml, the settings of the house."""
    site = dict.fromkeys(("altitude", "air_temperature", "relative_humidity", "hot_day_temperature",
                          "calibrated_altitude", "calibrated_temperature"), _WRITTEN)
    properties = {"site": _mapping(site), "dyno": {"enum": list(DYNOS)}, "units": {"enum": list(UNIT_SYSTEMS)},
                  "loss": _mapping(dict.fromkeys(("fixed", "proportional"), _WRITTEN)), "record": TEXT}
    return {"$schema": DRAFT, "title": "Settings of a shop for engine-limits", **_mapping(properties)}


FILE_SCHEMAS = {
    "build.schema.json": build_schema,
    "calibration.schema.json": calibration_schema,
    "logs.schema.json": names_schema,
    "prices.schema.json": prices_schema,
    "shop.schema.json": shop_schema,
}
