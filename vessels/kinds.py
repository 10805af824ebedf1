"""The kinds of log entry that this floor writes."""

from staff.policy import Permission
from vessels.log import details
from vessels.log.registry import LogKind, register


def register_kinds() -> None:
    """Make them known."""
    register(
        LogKind(
            "note",
            "Note",
            icon="notebook-pen",
            to_amend=Permission.WRITE_NOTES,
            to_amend_others=Permission.VOID_OTHERS_NOTES,
        ),
        LogKind("vessel-added", "Vessel added", icon="vessels"),
        LogKind("engine-added", "Engine added", icon="engine"),
        LogKind("engine-removed", "Engine removed", icon="engine"),
        LogKind(
            "unit-added",
            "Control unit added",
            icon="unit",
            model="vessels.UnitFitting",
            facts=details.UNIT_FITTING,
            draw=details.unit_fitted,
        ),
        LogKind(
            "unit-removed",
            "Control unit removed",
            icon="unit",
            model="vessels.UnitFitting",
            facts=details.UNIT_FITTING,
            draw=details.unit_fitted,
        ),
        LogKind(
            "hours",
            "Hour meter read",
            icon="timer",
            model="vessels.HourReading",
            facts=details.HOURS,
            draw=details.hours_read,
            evidence=True,
            aboard=True,
            to_amend=Permission.EDIT_RECORDS,
        ),
        LogKind(
            "meter-replaced",
            "Hour meter replaced",
            icon="timer",
            model="vessels.MeterReplacement",
            template="vessels/log/meter_replaced.html",
            select=("old_meter", "new_meter"),
            aboard=True,
        ),
        LogKind(
            "owner-changed",
            "Owner changed",
            icon="customer",
            model="vessels.OwnerChange",
            template="vessels/log/owner_changed.html",
            select=("old_owner", "new_owner"),
        ),
        LogKind(
            "unit-identified",
            "Unit identified",
            icon="unit",
            model="vessels.UnitIdentification",
            facts=details.UNIT_IDENTIFICATION,
            draw=details.unit_identified,
            evidence=True,
            aboard=True,
            to_amend=Permission.EDIT_RECORDS,
        ),
        LogKind(
            "details-changed",
            "Details changed",
            icon="pencil",
            model="vessels.DetailsChange",
            template="vessels/log/details_changed.html",
        ),
        LogKind("retraction", "Entry voided", icon="ban"),
    )
