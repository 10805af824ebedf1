"""Saved reading sheets of the scenario: a sea trial that everybody has, and one that a technician keeps to himself."""

from __future__ import annotations

from findings.readings.actions.saving import NewRow, save_sheet, save_sheet_version, share_sheet
from findings.readings.models import Parameter
from shopfloor.demo.stage import Stage

SEA_TRIAL = (
    ("Engine speed", "rpm"), ("Oil pressure", "psi"), ("Coolant temperature", "degF"), ("Boost pressure", "psi"),
    ("Exhaust gas temperature", "degF"), ("Charging voltage", "V"), ("Fuel rate", "gal/h"), ("Boat speed", "kn"),
)  # fmt: skip
BEFORE_START = (
    ("Battery voltage", "V"), ("Cranking voltage", "V"), ("Neutral switch", "on/off"),
    ("Emergency stop switch", "on/off"), ("Oil level switch", "on/off"),
)  # fmt: skip


def save_sheets(stage: Stage) -> None:
    """A shared sheet in its second version, and one of a technician's own."""
    parameters = {one.name: one for one in Parameter.objects.all()}
    rows = [NewRow(parameters[name], unit) for name, unit in SEA_TRIAL]
    gail, pim, family = stage.people["gail"], stage.people["pim"], stage.families["N6"]
    trial = save_sheet(by=gail, family=family, name="Sea trial", rows=rows[:-1], conditions=["Idle, warm", "2000 rpm"])
    save_sheet_version(
        by=gail, sheet=trial, seen_number=1, name="Sea trial", rows=rows,
        conditions=["Idle, warm", "2000 rpm", "Wide open"],
    )  # fmt: skip
    share_sheet(by=gail, sheet=trial, is_shared=True)
    own = [NewRow(parameters[name], unit) for name, unit in BEFORE_START]
    save_sheet(by=pim, family=family, name="Before the start", rows=own, conditions=["Key on"])
