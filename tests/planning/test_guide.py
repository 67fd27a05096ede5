"""How far a guide holds a rocket, by where its lugs sit."""

from __future__ import annotations

import pytest

from service.flight.errors import OutsideModel
from service.planning.assess import assess_entry
from service.planning.errors import DocumentRefused
from service.planning.flight_inputs import flight_inputs
from tests.planning.quick import put, quick_day

LUGS = "/entries/0/rocket/airframe/lugs_from_nose_m"


def inputs_of(*changes, entry: str = "n1"):
    day = quick_day(*changes)
    return flight_inputs(day, day.entry_by_id(entry), day.conditions)


def test_travel_ends_where_the_forward_lug_leaves():
    # common practice: the guide's length less how far the forward lug stands above the aft end
    rocket = quick_day().entry_by_id("n1").rocket
    length_m, guide_m = rocket.airframe.length_m, quick_day().field.pads[0].guide_length_m
    one = inputs_of(put(LUGS, [length_m - 0.2])).setup.guide
    assert one.length_m == pytest.approx(guide_m - 0.2) and one.pivot_travel_m == 0.0
    two = inputs_of(put(LUGS, [length_m - 0.2, length_m - 0.05])).setup.guide
    assert two.length_m == pytest.approx(guide_m - 0.2)
    assert two.pivot_travel_m == pytest.approx(0.15) and two.pivot_from_nose_m == pytest.approx(length_m - 0.05)


def test_lugs_nobody_stated_are_taken_at_the_loaded_centre_of_gravity_and_said_so():
    inputs = inputs_of()
    rocket = quick_day().entry_by_id("n1").rocket
    above_m = rocket.airframe.length_m - float(inputs.setup.mass.cg_from_nose_m[0])
    assert inputs.setup.guide.length_m == pytest.approx(quick_day().field.pads[0].guide_length_m - above_m)
    day = quick_day()
    found = assess_entry(day, day.entry_by_id("n1"))
    assert any("launch lugs" in sentence for sentence in found.unknowns)
    assert found.estimate.guided_travel_m == inputs.setup.guide.length_m


def test_stated_lugs_leave_nothing_to_say():
    length_m = quick_day().entry_by_id("n1").rocket.airframe.length_m
    day = quick_day(put(LUGS, [length_m - 0.1]))
    assert not any("lug" in sentence for sentence in assess_entry(day, day.entry_by_id("n1")).unknowns)


def test_a_lug_lower_down_leaves_faster():
    length_m = quick_day().entry_by_id("n1").rocket.airframe.length_m
    speeds = []
    for above_m in (0.3, 0.2, 0.1):
        day = quick_day(put(LUGS, [length_m - above_m]))
        speeds.append(assess_entry(day, day.entry_by_id("n1")).estimate.exit_speed_mps.nominal)
    assert speeds == sorted(speeds) and speeds[2] > 1.05 * speeds[0]


def test_a_guide_that_ends_below_the_lug_holds_nothing():
    length_m = quick_day().entry_by_id("n1").rocket.airframe.length_m
    changes = (put(LUGS, [length_m - 0.21]), put("/field/pads/0/guide_length_m", 0.2))
    with pytest.raises(OutsideModel, match=r"forward lug stands 0.21 m above its foot"):
        inputs_of(*changes)
    day = quick_day(*changes)
    found = assess_entry(day, day.entry_by_id("n1"))
    assert found.estimate is None and found.standing in ("unknown", "stop")


@pytest.mark.parametrize(
    "lugs, pointer",
    [([0.01], f"{LUGS}/0"), ([9.0], f"{LUGS}/0"), ([0.3, 0.2], f"{LUGS}/1"), ([], LUGS), ([-1.0], f"{LUGS}/0")],
)
def test_lugs_off_the_tube_or_out_of_order_are_refused(lugs, pointer):
    with pytest.raises(DocumentRefused) as refused:
        quick_day(put(LUGS, lugs))
    assert [fault.pointer for fault in refused.value.faults] == [pointer]
