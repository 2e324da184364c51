"""What `vrxapp interpret` tells programs: classes, standings, changes and queries as records."""

from typing import Any

from vrxapp.workflows.class_lines import ClassLine
from vrxapp.workflows.class_words import SALT_NOTE
from vrxapp.workflows.interpret import ChangeLine, Interpreted
from vrxapp.workflows.standing import standing_sentence


def interpreted_record(found: Interpreted, lines: list[ClassLine]) -> dict[str, Any]:
    """Classes, changes and queries for programs."""
    return {
        "classes": list(map(_class_record, lines)),
        "since": found.before,
        "changes": list(map(_change_record, found.changes)),
        "queries": [str(query) for query in found.queries],
    }


def _class_record(line: ClassLine) -> dict[str, Any]:
    return {
        "place": line.place,
        "depth_cm": line.depth_cm,
        "analyte": line.analyte.key,
        "value": line.value,
        "limit": line.limit,
        "unit": line.analyte.unit,
        "worked_out_from": line.basis,
        "is_estimate": line.is_estimate,
        "low": line.low,
        "high": line.high,
        "worked_out_by": line.worked_out_by,
        "class": line.words,
        "class_number": line.class_number,
        "class_count": line.class_count,
        "position": line.position,
        "range": line.range_text,
        "scale": line.scale.key if line.scale else "",
        "source": line.scale.source if line.scale else "",
        "where": line.where,
        "grade": str(line.scale.grade) if line.scale else "",
        "caution": line.scale.caution if line.scale else "",
        "span": line.span,
        "reason": line.reason,
        "doubt": line.doubt,
        "standing": _standing_record(line),
        "chances": [{"class": known.words, "chance": known.chance} for known in line.chances],
        "chances_from": line.chances_from,
        "salt_loss": f"{line.salt_loss} {SALT_NOTE}" if line.salt_loss else "",
    }


def _standing_record(line: ClassLine) -> dict[str, Any] | None:
    """How a result stands against what a rate aims at."""
    standing = line.standing
    if standing is None:
        return None
    return {
        "side": standing.side,
        "low": standing.low,
        "high": standing.high,
        "unit": standing.unit,
        "purpose": str(standing.aim.purpose),
        "text": standing_sentence(standing),
        "source": standing.aim.source,
        "where": standing.aim.where,
        "grade": str(standing.aim.grade),
    }


def _change_record(line: ChangeLine) -> dict[str, Any]:
    return {
        "place": line.place,
        "depth_cm": line.depth_cm,
        "analyte": line.analyte.key,
        "before": line.before,
        "now": line.now,
        "least_difference": line.least_difference,
        "unit": line.analyte.unit,
        "change": line.change,
        "source": line.source,
    }
