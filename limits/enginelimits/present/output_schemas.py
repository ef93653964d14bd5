"""JSON Schemas of what `--format json` prints: `check`, several checks, `pull`, `sweep`, and a report's data.

SI throughout, null for what is not known.  Paths of inputs and ids of rules are data, so they stay open; all the rest
is closed, so that a name that is dropped or added is seen.
"""

from __future__ import annotations

from typing import Any

from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.decisions.fleet.forms import FORM
from enginelimits.decisions.fleet.row import FAILED, JUDGED, LOST, REFUSED, columns
from enginelimits.decisions.fleet.run import SHOWN
from enginelimits.rules.grades import LOG_GRADES

Schema = dict[str, Any]
DRAFT = "https://json-schema.org/draft/2020-12/schema"
TEXT: Schema = {"type": "string"}
NUMBER: Schema = {"type": ["number", "null"]}
SCALAR: Schema = {"type": ["number", "string", "boolean", "null"]}
NUMBERS: Schema = {"type": "array", "items": NUMBER}
TEXTS: Schema = {"type": "array", "items": TEXT}
WHOLE: Schema = {"type": "integer"}
YES_NO: Schema = {"type": "boolean"}
GRADE: Schema = {"enum": list(LOG_GRADES)}
DATE: Schema = {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"}
MAPPING: Schema = {"type": "object"}


def _closed(properties: Schema, *may: str) -> Schema:
    """An object with these names; all but those in ``may`` are there."""
    return {"type": "object", "properties": properties, "additionalProperties": False,
            "required": [name for name in properties if name not in may]}


def _or_null(schema: Schema) -> Schema:
    return {"anyOf": [{"type": "null"}, schema]}


def _list(of: Schema) -> Schema:
    return {"type": "array", "items": of}


def _by_name(of: Schema) -> Schema:
    return {"type": "object", "additionalProperties": of}


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _definitions() -> Schema:
    ends = {"low": NUMBER, "high": NUMBER}
    at = _or_null(_closed({"engine_speed": NUMBER, "ambient": {"type": ["string", "null"]}}))
    of_list = {end: {"anyOf": [NUMBER, NUMBERS]} for end in ends}
    inputs = {"value": {"anyOf": [SCALAR, {"type": "array"}]}, "unit": TEXT, **of_list, "basis": TEXT, "source": TEXT,
              "kind": TEXT, "note": TEXT, "together": {}, "class": TEXT, "probability": NUMBER}
    limit = _closed({"name": TEXT, "value": SCALAR, "unit": TEXT, "sense": TEXT, "layer": TEXT,
                     "shipped_value": SCALAR, **ends})
    because: Schema = {
        **_closed({"quantity": TEXT, "input": TEXT, "fact": TEXT, "rule": TEXT, "value": SCALAR, "unit": TEXT, "at": at,
                   "limit": _or_null(limit)}, "quantity", "input", "fact", "rule"),
        "oneOf": [{"required": [kind]} for kind in ("quantity", "input", "fact", "rule")],
    }
    remedy = _closed({"id": TEXT, "kind": TEXT, "say": TEXT, "steps": _list(_list(MAPPING)), "shifts": TEXT})
    finding = _closed({
        "rule": TEXT, "title": TEXT, "family": TEXT, "grade": GRADE, "uncapped": GRADE, "could_be": _or_null(GRADE),
        "missing": TEXTS, "chance": NUMBER, "chance_error": NUMBER, "chances": _by_name(NUMBER), "chance_word": TEXT,
        "borderline": YES_NO, "message": TEXT, "why": TEXT, "because": _list(because), "remedies": _list(remedy),
        "caveats": TEXTS, "sources": _list(_by_name(TEXT)), "evidence": TEXT, "confidence": TEXT, "settled_by": TEXT,
    })
    curves = {"type": "object", "required": ["engine_speed"],
              "properties": {"engine_speed": _closed({"unit": {"const": "rad/s"}, "values": NUMBERS})},
              "additionalProperties": _closed({"unit": TEXT, "values": NUMBERS, "low": _or_null(NUMBERS),
                                               "high": _or_null(NUMBERS)})}
    return {
        "input": _closed(inputs, "kind", "note", "together", "class", "probability"),
        "quantity": _closed({"value": SCALAR, "unit": TEXT, **ends, "at": at, "basis": TEXT, "status": TEXT,
                             "reason": {"type": ["string", "null"]}}),
        "quantities": {**_by_name(_ref("quantity")), "propertyNames": {"enum": sorted(QUANTITIES)}},
        "curve": curves,
        "finding": finding,
        "silent": _closed({"rule": TEXT, "title": TEXT, "missing": TEXTS, "reason": TEXT}, "reason"),
        "verdict": _closed({"grade": GRADE, "complete": YES_NO, "open": TEXTS, "sentence": TEXT,
                            "limiting": _or_null(_closed({"rule": TEXT, "quantity": {"type": ["string", "null"]}}))}),
        "catalogue": _closed({"layers": _list(_closed({"name": TEXT, "version": TEXT, "digest": TEXT}))}),
        "samples": _closed({
            "asked": WHOLE, "valid": WHOLE, "seed": WHOLE, "chance_error": NUMBER, "tail_error": NUMBER,
            "power_error": _closed({"unit": {"const": "W"}, **ends}),
            "limits": _closed({"drawn": WHOLE, "spread": _or_null(_by_name(NUMBER))}),
        }),
        "check": _check(),
    }


def _check() -> Schema:
    return _closed({
        "schema": {"const": "enginelimits.check/1"}, "version": TEXT, "catalogue": _ref("catalogue"), "inference": TEXT,
        "samples": _ref("samples"), "ambients": _list(MAPPING), "as_of": DATE,
        "build": {"type": "object", "properties": {"name": TEXT}, "required": ["name"],
                  "additionalProperties": _ref("input")},
        "quantities": _ref("quantities"), "curve": _ref("curve"), "findings": _list(_ref("finding")),
        "not_judged": _list(_ref("silent")), "out_of_range": _list(_ref("silent")),
        "not_applicable": _list(_ref("silent")), "verdict": _ref("verdict"), "shop_values": TEXTS, "notices": TEXTS,
    })


def _schema(title: str, of: Schema) -> Schema:
    return {"$schema": DRAFT, "title": title, **of, "$defs": _definitions()}


def check_schema() -> Schema:
    """Of `check --format json`, of one build or of several."""
    several = _closed({"schema": {"const": "enginelimits.checks/1"}, "version": TEXT, "checks": _list(_ref("check")),
                       "failed": _list(MAPPING)}, "failed")
    return _schema("What enginelimits check prints as JSON", {"oneOf": [_ref("check"), several]})


def pull_schema() -> Schema:
    """Of `pull --format json`, of one log or of several."""
    header = _closed({"header": TEXT, "written_unit": TEXT})
    log = _closed({"file": TEXT, "sha256": TEXT, "rows": WHOLE, "remarks": TEXTS, "channels": _by_name(header),
                   "not_mapped": _list(_closed({"header": TEXT, "near": TEXTS}))})
    pulls = _closed({"number": WHOLE, "first": WHOLE, "last": WHOLE, "begins": NUMBER, "lasts": NUMBER, "filter": TEXT,
                     "remarks": TEXTS, "channels": _by_name(NUMBERS)})
    refused = _closed({"first": WHOLE, "last": WHOLE, "low": NUMBER, "high": NUMBER, "reason": TEXT})
    verdict = _closed({"grade": GRADE, "complete": YES_NO, "engine": _ref("verdict"),
                       "log": _closed({"grade": GRADE, "complete": YES_NO, "open": TEXTS})})
    one = _closed({
        "schema": {"const": "enginelimits.pull/1"}, "version": TEXT, "build": TEXT, "log": log, "pulls": _list(pulls),
        "refused": _list(refused), "read": MAPPING, "samples": _ref("samples"), "catalogue": _ref("catalogue"),
        "as_of": DATE, "verdict": verdict, "findings": _list(_ref("finding")), "not_judged": _list(_ref("silent")),
        "engine": _closed({"quantities": _ref("quantities"), "curve": _ref("curve")}), "notices": TEXTS,
        "several": MAPPING,
    }, "several")
    every = _closed({"schema": {"const": "enginelimits.pulls/1"}, "version": TEXT, "logs": _list(one),
                     "several": MAPPING}, "several")
    return _schema("What enginelimits pull prints as JSON", {"oneOf": [one, every]})


def report_schema() -> Schema:
    """Of `report --format json`, and of the data inside a report's page."""
    plot = _closed({"title": TEXT, "alt": TEXT, "data": MAPPING})
    file = _closed({"name": TEXT, "sha256": {"type": ["string", "null"]}})
    return _schema("The data of an enginelimits report", _closed({
        "schema": {"const": "enginelimits.report/1"}, "version": TEXT, "reader": TEXT, "title": TEXT, "as_of": DATE,
        "build_file": file, "parts": _list(MAPPING), "plots": _by_name(plot), "check": _ref("check"),
        "plan": _or_null(MAPPING), "ladder": _or_null(MAPPING), "without": MAPPING,
    }))


def sweep_schema() -> Schema:
    """Of `sweep --format json`; the rows kept in its folder hold these columns and more."""
    kinds = {"text": {"type": ["string", "null"]}, "number": NUMBER, "yes-no": {"type": ["boolean", "null"]},
             "texts": _or_null(TEXTS)}
    row = {column.name: kinds[column.kind] for column in columns(()) if column.name in SHOWN}
    row |= dict.fromkeys(("key", "case", "build", "file", "edits"), TEXT)
    row |= {"status": {"enum": [JUDGED, REFUSED, FAILED, LOST]}, "verdict": _or_null(GRADE)}
    return _schema("What enginelimits sweep prints as JSON", _closed({
        "schema": {"const": FORM}, "version": TEXT, "catalogue": _ref("catalogue"),
        "samples": _closed({"asked": WHOLE, "seed": WHOLE}), "as_of": DATE, "folder": TEXT,
        "form": {"enum": ["parquet", "csv"]}, "asked": WHOLE, "left": WHOLE, "there_before": WHOLE, "put_aside": WHOLE,
        "interrupted": YES_NO, "verdicts": _by_name(WHOLE), "rows": _list(_closed(row)), "caution": TEXT,
    }))


OUTPUT_SCHEMAS = {
    "check.output.schema.json": check_schema,
    "pull.output.schema.json": pull_schema,
    "report.output.schema.json": report_schema,
    "sweep.output.schema.json": sweep_schema,
}
