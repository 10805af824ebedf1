"""Forms of jobs."""

from workorders.forms.board import BoardFilterForm
from workorders.forms.charges import ChargeForm, JobDiscountForm
from workorders.forms.editing import IntakeForm, LineForm, NewLineForm
from workorders.forms.moving import MoveForm

__all__ = ["BoardFilterForm", "ChargeForm", "IntakeForm", "JobDiscountForm", "LineForm", "MoveForm", "NewLineForm"]
