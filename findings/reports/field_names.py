"""What the fields of a record are called where a sentence names one, and the plain words of a stored choice."""

from __future__ import annotations

FIELD_NAMES = {
    "hin": "HIN",
    "hin_remark": "remark on the HIN",
    "hin_found": "HIN on the hull",
    "length_m": "length, m",
    "rated_power_kw": "rated power, kW",
    "rated_rpm_low": "rated speed from, rpm",
    "rated_rpm_high": "rated speed to, rpm",
    "meter_replaced": "hour meter replaced",
    "hours_at": "hours read on",
    "hours_in_doubt": "hours in doubt",
    "unread_since": "hours not known since",
    "hours_before": "last hours before that",
    "hours_before_at": "last hours before that read on",
    "identified_at": "identified on",
    "read_earlier": "read earlier",
    "another_unit": "whether another unit may have been read",
    "not_understood": "lines not understood",
    "is_complete": "complete",
    "tells_codes": "tells codes",
    "by_hand": "value of the log",
    "file_sha256": "digest of the log it was read from",
    "afloat": "afloat or ashore",
    "attended": "attended by",
    "inspected_on": "date of the inspection",
    "status_now": "status",
    "in_this_job": "on this job",
    "proven_to_at": "known to be gone until",
    "proven_to_hours": "known to be gone until, h",
    "last_work": "last work on it",
    "at": "time",
    "says": "what is said of it",
    "seen": "codes seen",
    "working": "calculation",
    "done_on": "day of the work",
    "corrected_at": "correction written down on",
    "minimum": "lowest seen",
    "maximum": "highest seen",
    "sort": "what it is of",
    "after": "after the change",
    "before": "before the change",
    "set_back_at": "set back on",
    "low": "lower limit",
    "high": "upper limit",
    "nominal": "nominal value",
}
"""Only those whose own word, with spaces, would not be plain."""
HIN_WORDS = {
    "matches": "read, the same as on record",
    "differs": "read, different from the record",
    "not-read": "not read on this job",
    "unreadable": "not legible",
    "none": "the hull carries none",
}
CHOICES = {"hin_found": HIN_WORDS}


def name_of(field: str) -> str:
    """What a field is called in a sentence."""
    return FIELD_NAMES.get(field, field.replace("_", " "))
