"""What a condition report says, as facts: the snapshot that is drawn on paper, embedded in it, and kept.

Everything on the paper is drawn from a ``Record`` alone, and a ``Record`` goes to JSON and back without loss. Decimals
are strings there and times ISO 8601 with the shop's offset. ``docs/report-schema.json`` is the published form.
"""

from findings.reports.record.aboard import CustomerFacts, EngineFacts, PersonFacts, ShopFacts, UnitFacts, VesselFacts
from findings.reports.record.codes import (
    ClearFacts,
    CorrectionFacts,
    EpisodeFacts,
    FaultFacts,
    ScanFacts,
    SeenFacts,
    WorkFacts,
)
from findings.reports.record.form import from_json, plain_facts, to_json
from findings.reports.record.happened import SEVERITIES, SORTS, VERDICTS, FunctionTestFacts, SettingFacts, VisualFacts
from findings.reports.record.job import (
    URGENCIES,
    CoverageFacts,
    InspectionFacts,
    JobFacts,
    LineFacts,
    PartFacts,
    Recommendation,
    RevisionFacts,
)
from findings.reports.record.measured import InputFacts, ReadingFacts, ResultFacts, WorkingFacts
from findings.reports.record.whole import FORMAT, KNOWN_FORMATS, WORDING, Findings, IssueFacts, Record

__all__ = [
    "FORMAT",
    "KNOWN_FORMATS",
    "SEVERITIES",
    "SORTS",
    "URGENCIES",
    "VERDICTS",
    "WORDING",
    "ClearFacts",
    "CorrectionFacts",
    "CoverageFacts",
    "CustomerFacts",
    "EngineFacts",
    "EpisodeFacts",
    "FaultFacts",
    "Findings",
    "FunctionTestFacts",
    "InputFacts",
    "InspectionFacts",
    "IssueFacts",
    "JobFacts",
    "LineFacts",
    "PartFacts",
    "PersonFacts",
    "ReadingFacts",
    "Recommendation",
    "Record",
    "ResultFacts",
    "RevisionFacts",
    "ScanFacts",
    "SeenFacts",
    "SettingFacts",
    "ShopFacts",
    "UnitFacts",
    "VesselFacts",
    "VisualFacts",
    "WorkFacts",
    "WorkingFacts",
    "from_json",
    "plain_facts",
    "to_json",
]
