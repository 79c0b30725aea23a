"""Bearings of both machines as data: loads add up and keep their moments, speeds agree with the motion of the parts."""

from pathlib import Path

import numpy as np
import pytest

from vmech_core import assess, load_design
from vmech_core.bearings import films, seats
from vmech_core.machine import hypocycloid, masses, slider_crank

DATA = Path(__file__).resolve().parents[2] / "data"
NAMES = ("first_sketch", "star_pump", "air_compressor")


@pytest.fixture(scope="module", params=NAMES)
def machine(request):
    a = assess(load_design(DATA / f"{request.param}.toml"), 361)
    return a, films.with_ends(a.design, a.drive, a.loads)


def _of(found, part, **which):
    """Seats of one part, and of one end or place."""
    return [seat for seat in found if seat.part == part and all(getattr(seat, k) == v for k, v in which.items())]


def test_a_seat_is_known_by_data_and_called_by_words(machine):
    a, loads = machine
    both = [*seats.straight(a.design, a.drive, loads), *seats.ordinary(a.design, a.ordinary, a.ordinary_loads)]
    assert len({(seat.machine, seat.part, seat.index, seat.place) for seat in both}) == len(both)
    cylinders = range(1, a.design.n_cylinders + 1)
    pins = [f"rod big end on crankpin {k}" for k in cylinders]
    places = [", near", ", far"] if a.design.carrier.support == "stub_shaft" else [""]
    words = {seats.STRAIGHT: [*pins, *(f"crank in carrier, end {k}" for k in (1, 2)),
                              *(f"carrier in block, end {k}{place}" for k in (1, 2) for place in places)],
             seats.ORDINARY: [*pins, *(f"wrist pin {k}" for k in cylinders), "main journal in block, end 1",
                              "main journal in block, end 2"]}
    for own, names in words.items():
        assert [seat.name for seat in both if seat.machine == own] == names
    for seat in both:
        assert seat.name.startswith(seat.kin) and seat.of_end == (", end " in seat.name)


def test_declared_rubbing_speeds_are_those_of_the_bodies(machine):
    a, loads = machine
    for seat in [*seats.straight(a.design, a.drive, loads), *seats.ordinary(a.design, a.ordinary, a.ordinary_loads)]:
        assert seat.rubbing_speed == pytest.approx(seat.contact.speed, rel=1e-3)


def test_members_turn_as_the_motion_of_the_parts_says(machine):
    """Direction between two points of a part, differentiated (finite differences; common practice, no source)."""
    a, loads = machine
    step, at = 1e-4, loads.angle[:-1]
    drive, radius = a.drive, 0.25 * a.drive.stroke
    alpha = float(drive.bank_angle[0])

    def pin(angle):
        return hypocycloid.motion(drive, angle).position[0] * np.exp(1j * alpha)

    def centre(angle):
        return radius * np.exp(1j * angle)

    crank = np.angle((pin(at + step) - centre(at + step)) / (pin(at - step) - centre(at - step)))
    carrier = np.angle(centre(at + step) / centre(at - step))
    made = seats.straight(a.design, drive, loads)
    for seat in _of(made, "crank_in_carrier"):
        np.testing.assert_allclose(seat.journal_speed, drive.speed * crank / (2 * step), rtol=1e-6)
        np.testing.assert_allclose(seat.sleeve_speed, drive.speed * carrier / (2 * step), rtol=1e-6)
        assert seat.orbit == pytest.approx(radius)
    for seat in _of(made, "crankpin"):  # the rod keeps its direction: its guide does not turn
        np.testing.assert_allclose(seat.journal_speed, drive.speed * crank / (2 * step), rtol=1e-6)
        assert not seat.sleeve_speed.any()


def test_ordinary_rods_swing_as_their_ends_move(machine):
    a, _ = machine
    drive, at, step = a.ordinary, a.angle[:-1], 1e-4
    made = seats.ordinary(a.design, drive, a.ordinary_loads)

    def rod(angle, k):
        big = drive.crank_radius * np.exp(1j * (angle + drive.crankpin_angle[k] - drive.bank_angle[k]))
        return big - (slider_crank.motion(drive, angle).position[k] + 1j * drive.wrist_pin_offset)

    for part in ("crankpin", "wrist_pin"):
        for k, seat in enumerate(_of(made, part)):
            turn = np.angle(rod(at + step, k) / rod(at - step, k)) / (2 * step) * drive.speed
            np.testing.assert_allclose(seat.sleeve_speed, turn, atol=1e-5 * drive.speed)


def test_loads_of_the_ends_add_up_and_keep_their_moment(machine):
    a, loads = machine
    mains = _of(seats.ordinary(a.design, a.ordinary, a.ordinary_loads), "main_bearing")
    total = a.ordinary_loads["main"][:-1]
    np.testing.assert_allclose(sum(seat.load for seat in mains), total, atol=1e-9 * np.abs(total).max())
    pins, place = a.ordinary_loads["pin"][:, :-1], np.asarray(a.design.cylinders.si.axial_position)
    crank = a.design.crank.si
    reach = np.abs(place).max() + 0.5 * crank.pin_length + masses.WEB * crank.pin_diameter + 0.5 * crank.journal_length
    moment = (place[:, None] * pins).sum(axis=0)
    np.testing.assert_allclose(reach * (mains[1].load - mains[0].load), moment, atol=1e-9 * np.abs(pins).max())
    crank_seats = _of(seats.straight(a.design, a.drive, loads), "crank_in_carrier")
    for seat, force in zip(crank_seats, loads["crank_bearing_end"], strict=True):
        np.testing.assert_array_equal(seat.load, force[:-1])


def test_a_pressed_rod_pushes_the_pin_against_its_upper_shell(machine):
    """At the peak of the rod force the journal lies outward in its bearing, in both machines."""
    a, loads = machine
    alpha = np.asarray(a.drive.bank_angle)
    both = (seats.straight(a.design, a.drive, loads), a.loads), (
        seats.ordinary(a.design, a.ordinary, a.ordinary_loads), a.ordinary_loads)
    for made, own in both:
        for k, seat in enumerate(_of(made, "crankpin")):
            at = int(np.argmax(own["rod"][k, :-1]))
            if own["rod"][k, at] > 0.0:
                assert (seat.load[at] * np.exp(-1j * alpha[k])).real > 0.9 * np.abs(seat.load[at])


def test_a_stub_shaft_balances_the_overhung_load(machine):
    a, loads = machine
    d = a.design
    values = {"carrier.support": "stub_shaft", "carrier.bearing_diameter_mm": d.crank.journal_diameter_mm}
    stub = seats.straight(d.changed(**values), a.drive, loads)
    crank, length = d.crank.si, d.carrier.si.bearing_length
    for end in (0, 1):
        near, far = (_of(stub, "carrier_in_block", index=end, place=place)[0].load for place in ("near", "far"))
        load = loads["main_end"][end, :-1]
        np.testing.assert_allclose(near + far, load, atol=1e-9 * np.abs(load).max())
        arm = 0.5 * (crank.journal_length + length)  # journal to near bearing, side by side
        moment = near * arm + far * (arm + seats.STUB_SPACING * length)
        np.testing.assert_allclose(moment, 0.0, atol=1e-9 * np.abs(load).max())
