from decimal import Decimal
import uuid
from vessels import actions
from vessels.log.verify import broken_link
from vessels.queries import find_vessels, hours_at, latest_hours


def test_story(cast):
    by = cast.desk
    c = actions.add_customer(
        by=by, name="Ann Reed", phones=[("mobile", "(555) 555-0144")], emails=[("", "ann@example.com")]
    )
    eid = uuid.uuid4()
    v = actions.add_vessel(
        by=by, owner=c, name="Marsh Wren", hin="", maker="Lowtide", length=Decimal(21), berth="B-14", entry_id=eid
    )
    assert actions.add_vessel(by=by, owner=c, name="Marsh Wren", entry_id=eid) == v
    e = actions.add_engine(
        by=by,
        vessel=v,
        family=cast.family,
        serial="AB-123",
        meter_shown=Decimal("350.5"),
        power=Decimal(150),
        entry_id=uuid.uuid4(),
    )
    u = actions.add_unit(by=by, vessel=v, engine=e, serial="77", software="1.2", entry_id=uuid.uuid4())
    actions.log_hours(by=by, engine=e, shown=Decimal("360"))
    m = actions.replace_meter(by=by, engine=e, old_shown=Decimal("370"))
    actions.log_hours(by=by, engine=e, shown=Decimal("3"))
    assert hours_at(e, Decimal(4)) == Decimal(374)
    n = actions.write_note(by=by, vessel=v, text="hello", engine=e)
    actions.amend_text(by=by, entry=n, text="hullo")
    actions.retract(by=by, entry=latest_hours(e), reason="x")
    assert latest_hours(e).engine_hours == 370
    actions.change_vessel(
        by=by, vessel=v, seen_version=1, changes={"name": "Marsh Hen", "length": Decimal(6), "length_unit": "m"}
    )
    actions.change_owner(by=by, vessel=v, new_owner=cast.customer)
    actions.change_engine(by=by, engine=e, seen_version=1, changes={"power": Decimal(200)})
    actions.remove_engine(by=by, engine=e)
    for t in ["hen", "harrow", "b14", "AB1", "555-0123", "(555) 555-0123"]:
        assert list(find_vessels(t)) and v in find_vessels(t), t
    assert broken_link(v) is None
    for entry in v.log.order_by("position"):
        print(entry.position, entry.kind, entry.summary)
    print(find_vessels("hen").explain())
