"""A ring fillet that does not fit, and crankpins with no web between them: refused or doubted, on both sides."""

import numpy as np
import pytest

from vmech_core.base.errors import InputError
from vmech_core.design.files import load_design
from vmech_core.gears.geometry import InternalPair
from vmech_core.gears.outline import ring_flank
from vmech_core.gears.strokes import stroke_options
from vmech_core.sheet.doubts import doubts

ENGINE = load_design("data/first_sketch.toml")
FILLET, PLACE, WEB = "gear_pair.ring_fillet_radius", "cylinders.axial_position_mm", "crank.web_mm"


def greatest(pair):
    """Radius of the largest circle that touches the root circle and both flanks, by bisection on the drawn flank."""
    sharp = ring_flank(InternalPair(pair.module, pair.pinion_teeth, pair.ring_teeth, pair.pressure_angle,
                                    ring_dedendum=pair.ring_dedendum, ring_fillet_radius=0.0), 4000)
    low, high = 0.0, pair.module
    for _ in range(60):
        radius = 0.5 * (low + high)
        room = abs(sharp[:-1] - (pair.ring_root_radius - radius)).min()
        low, high = (radius, high) if room >= radius * (1 - 1e-9) else (low, radius)
    return low / pair.module


@pytest.mark.parametrize(("teeth", "degrees", "deep"), [(23, 20, 1.25), (18, 25, 1.25), (12, 25, 1.25), (18, 25, 1.35)])
def test_greatest_fillet_is_the_circle_that_touches_root_and_both_flanks(teeth, degrees, deep):
    pair = InternalPair(0.002, teeth, 2 * teeth, np.radians(degrees), ring_addendum=0.8, ring_dedendum=deep)
    assert pair.most_ring_fillet == pytest.approx(greatest(pair), abs=1e-4)


def test_a_larger_fillet_is_refused_and_the_named_one_works():
    most = np.floor(1e3 * ENGINE.pair.most_ring_fillet) / 1e3
    assert ENGINE.changed(FILLET, most)
    with pytest.raises(InputError, match="too large for the space that the flanks leave at the ring's root") as refused:
        ENGINE.changed(FILLET, most + 0.001)
    assert f"nearest value that works: {most:g} modules" in str(refused.value)


def test_proposed_pairs_have_a_fillet_that_fits():
    """A stroke of 72 mm at 25 degrees: 18/36 of 2 mm is among them, and 0.25 module does not fit it."""
    options = stroke_options(0.072, np.radians(25), (0.002,), (17, 19))
    keys = next(option.keys for option in options if option.pair.pinion_teeth == 18)
    assert keys["ring_fillet_radius"] == 0.232 and keys["ring_teeth"] == 36


def test_pins_without_a_web_are_doubted_and_a_stated_web_is_kept():
    """Pins of 24 mm at +-12 mm touch; 0.15 bores between them are not doubted, a stated web decides by itself."""
    assert any("leaves 0 mm between crankpins 1 and 2" in said for said in doubts(ENGINE))
    room = {PLACE: [-17, 17], "crank.mesh_span_mm": 200}
    assert not any("crankpins 1 and 2" in said for said in doubts(ENGINE.changed(room)))
    near = {**room, PLACE: [-16.5, 16.5]}
    assert any("leaves 9 mm between" in said for said in doubts(ENGINE.changed(near)))
    stated = ENGINE.changed({**near, WEB: 9})
    assert not any("crankpins 1 and 2" in said for said in doubts(stated))
    with pytest.raises(InputError, match="and the web of 9.1 mm between them would overlap: .* at least 33.1 mm"):
        ENGINE.changed({**near, WEB: 9.1})


def test_pins_on_one_axis_need_no_web():
    """Cylinders of one direction share their pin's axis: the two crankpins are one long one."""
    one = ENGINE.changed({"cylinders.bank_angle_deg": [90, 90], PLACE: [-31.5, 31.5], "crank.mesh_span_mm": 210,
                          "crank.pin_length_mm": 60})
    assert not any("between crankpins" in said for said in doubts(one))
    assert one.changed(WEB, 20)
