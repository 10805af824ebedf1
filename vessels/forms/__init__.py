"""Forms of customers, vessels, engines, units, hour meters and the log.

Each takes ``prefix``, so that several can stand on one page; ``answers()`` is what its adding action is called with and
``changes()`` what its changing action gets.
"""

from vessels.forms.customers import ContactForms, CustomerForm, IntakeCustomerForm, NewCustomerForm
from vessels.forms.engines import EngineForm, HoursForm, MeterForm, NewEngineForm, RemoveForm
from vessels.forms.hulls import OwnerForm, VesselForm
from vessels.forms.log import AmendForm, NoteForm, RetractForm
from vessels.forms.units import IdentifyForm, NewUnitForm, UnitForm

__all__ = [
    "AmendForm",
    "ContactForms",
    "CustomerForm",
    "EngineForm",
    "HoursForm",
    "IdentifyForm",
    "IntakeCustomerForm",
    "MeterForm",
    "NewCustomerForm",
    "NewEngineForm",
    "NewUnitForm",
    "NoteForm",
    "OwnerForm",
    "RemoveForm",
    "RetractForm",
    "UnitForm",
    "VesselForm",
]
