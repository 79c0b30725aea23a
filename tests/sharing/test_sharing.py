"""Who carries the side load: a second solution from the bodies up that shares no code, closed forms, and limits.

Outside sources: exact positions of crank, pins, rods, seats and involute flanks in complex numbers, differentiated
numerically, with equilibrium and complementarity solved by scipy.optimize.nnls, round seats by Newton's method on the
forces they exchange; the closed forms of the rigid machine, themselves proved by multipliers in
tests/test_multibody.py and tests/test_axial_statics.py; design theory for the limits stated beside each check.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import nnls

from vmech_core import assess, load_design
from vmech_core.base.results import Loads
from vmech_core.bearings.surfaces import contact_modulus
from vmech_core.machine import ends as axial
from vmech_core.machine import hypocycloid
from vmech_core.sharing import quasi_static, springs
from vmech_core.sharing.elastic import Elastic, FilmSpring, contact_stiffness, crank_bending, from_design

DATA = Path(__file__).resolve().parents[2] / "data"
DEMOS = ("first_sketch", "star_pump", "air_compressor", "desk_model")
CLEARANCES = ("backlash", "bearing_clearance", "guide_clearance", "bore_clearance", "pin_clearance")
CYCLE = np.linspace(0.0, 2.0 * np.pi, 145)


# --- the second solution: one angle of one machine --------------------


class Bodies:
    """One machine at one carrier angle, as exact positions of bodies; x holds all displacements.

    Per end the shift of the crank's axis in space (two numbers), then the turn of the crank, the turn of carrier 1 (two
    ends), and for each rod its shift beside O, its tilt, and the place of its big-end bearing beside the line.
    """

    def __init__(self, e, d, theta, rod, axis=None):
        self.e, self.d, self.theta, self.rod, self.axis = e, d, theta, rod, axis
        self.ends, self.k, self.a = 1 if axis is None else 2, len(rod), d.stroke / 4.0
        self.line = np.exp(1j * np.asarray(d.bank_angle))
        self.out = 2.0 * self.a * np.cos(theta - np.asarray(d.bank_angle))
        self.size = 3 * self.ends + 3 * self.k
        self.turn, self.first = 2 * self.ends, 3 * self.ends

    def of(self, value, k):
        return self.small * (value if np.ndim(value) == 0 else value[k])

    def centre(self, x, z):
        """Axis of the crank at z."""
        shift = x[: 2 * self.ends].reshape(self.ends, 2) @ [1.0, 1.0j]
        if self.ends == 1:
            return self.a * np.exp(1j * self.theta) + shift[0]
        share = z / self.axis.bearing_span + 0.5
        return self.a * np.exp(1j * self.theta) + (1.0 - share) * shift[0] + share * shift[1]

    def pin(self, x, k):
        """Centre of a pin: pin radius and phase with their errors, on a crank that has turned by -theta."""
        z = 0.0 if self.axis is None else self.axis.axial_position[k]
        arm = self.a + self.of(self.e.pin_error, k)
        phase = 2.0 * self.d.bank_angle[k] - self.theta + x[self.turn] + self.of(self.e.phase_error, k)
        return self.centre(x, z) + arm * np.exp(1j * phase)

    def flank(self, x, end, side):
        """Approach along the line of action of an involute pinion in a fixed internal gear, on one flank."""
        z = 0.0 if self.axis is None else (end - 0.5) * self.axis.mesh_span
        alpha, centre = self.d.pressure_angle, self.centre(x, z) * np.exp(-1j * self.theta)
        now = np.arccos(self.a * np.cos(alpha) / abs(centre))
        wedge = self.a * np.cos(alpha) * ((np.tan(now) - now) - (np.tan(alpha) - alpha))
        return side * self.a * np.cos(alpha) * (x[self.turn] + np.angle(centre)) + wedge

    def seat(self, x, end):
        """Journal from the middle of its seat in the carrier, in axes of that carrier."""
        ahead = x[self.turn + 1] if self.ends == 2 and end == 0 else 0.0
        frame = np.exp(1j * (self.theta + ahead))
        journal = self.centre(x, 0.0 if self.axis is None else (end - 0.5) * self.axis.bearing_span)
        return (journal - (self.a + self.small * self.e.carrier_error) * frame) / frame

    def beside(self, x, k, distance):
        """Place of a rod beside its line at a distance from O."""
        return x[self.first + 3 * k] + distance * x[self.first + 3 * k + 1]

    def foot(self, x, k):
        """Big-end bearing from the pin, across the line."""
        return x[self.first + 3 * k + 2] - (np.conj(self.line[k]) * self.pin(x, k)).imag

    def contacts(self):
        """Each contact: name, approach as a function of x, play, stiffness (infinite for a stop)."""
        e, both, found = self.e, 3 - self.ends, []
        for end in range(self.ends):
            for side in (-1.0, 1.0):
                play = 0.5 * e.backlash * np.cos(self.d.pressure_angle)
                found.append((("mesh", end), lambda x, end=end, s=side: self.flank(x, end, s), play, both * e.mesh))
        for k in range(self.k):
            for side in (1.0, -1.0):
                for lever in e.guide_span:
                    at = lever + (self.out[k] if e.guide_rides else 0.0)
                    found.append(self.wall("guide", k, side, at, e.guide_offset, e.guide_clearance, e.guide))
                for lever in e.bore_span:
                    at = lever + self.out[k]
                    found.append(self.wall("bore", k, side, at, e.bore_offset, e.bore_clearance, e.bore))
                found.append((("stop", k), lambda x, k=k, s=side: s * self.foot(x, k), e.pin_clearance, np.inf))
        return found

    def wall(self, name, k, side, at, offset, play, stiffness):
        return (name, k), lambda x: side * (self.beside(x, k, at) - self.of(offset, k)), play, stiffness

    def springs(self):
        """Each linear spring: stretch as a function of x, stiffness."""
        e, found = self.e, []
        for k in range(self.k):
            over = 0.0 if e.guide_rides else max(e.guide_span[0] - self.out[k], 0.0)
            found.append((lambda x, k=k: self.beside(x, k, self.out[k]) - x[self.first + 3 * k + 2],
                          1.0 / (1.0 / e.pin + over**3 / (3.0 * e.bending))))
            found.append((lambda x, k=k: self.foot(x, k), abs(self.rod[k]) / e.pin_clearance))
        if self.ends == 2 and self.axis.driving == "both":
            ahead = self.axis.tie_phase_error
            found.append((lambda x: x[self.turn + 1] - self.small * ahead, self.axis.tie_stiffness))
        return found

    def work(self, x):
        """Work of rod forces and of the inertia of a crank made of two point masses, one on its axis."""
        d, arm = self.d, self.d.crank_moment * np.exp(1j * (x[self.turn] - self.theta))
        rest = self.d.crank_moment * np.exp(-1j * self.theta)
        orbit = d.speed**2 * self.a * np.exp(1j * self.theta)
        middle, one = self.centre(x, 0.0), self.centre(x, 0.0) + arm
        done = (np.conj((d.crank_mass - 1.0) * orbit) * middle + np.conj(orbit + d.speed**2 * rest) * one).real
        return done - sum(q * (np.conj(u) * self.pin(x, k)).real for k, (q, u) in enumerate(zip(self.rod, self.line)))

    def slope(self, f, step=1e-6):
        """Derivative to all displacements, and what the errors of geometry alone do, to first order."""
        self.small = 0.0
        row = np.array([(f(s) - f(-s)) / (2.0 * step) for s in step * np.eye(self.size)])
        error = []
        for self.small in (0.1, -0.1):
            error.append(f(np.zeros(self.size)))
        self.small = 0.0
        return row, (error[0] - error[1]) / 0.2

    def model(self):
        """Stiffness matrix and load of what is linear; rows, gaps, compliances and names of the contacts."""
        load, matrix = self.slope(self.work)[0], np.zeros((self.size, self.size))
        for f, k in self.springs():
            row, error = self.slope(f)
            matrix += k * np.outer(row, row)
            load = load - k * error * row
        found = self.contacts()
        slopes = [self.slope(f) for _, f, _, _ in found]
        rows = np.array([row for row, _ in slopes])
        gaps = np.array([play - error for (_, _, play, _), (_, error) in zip(found, slopes)])
        soft = np.array([0.0 if np.isinf(k) else 1.0 / k for *_, k in found])
        return matrix, load, rows, gaps, soft, [name for name, *_ in found]

    def solve(self):
        """Contact forces f >= 0 with soft f + gap >= row x, equal where f > 0; and forces by name as plane vectors."""
        matrix, load, rows, gaps, soft, names = self.model()
        size = np.ones(self.size)
        size[self.turn : self.first] = self.a
        size[self.first + 1 :: 3] = self.e.bore_span[1]
        weak = 1e-11 / soft[soft > 0.0].min()
        seats = [self.slope(lambda x, e=end: self.seat(x, e)) for end in range(self.ends)]
        seats = [(np.array([row.real, row.imag]), np.array([error.real, error.imag])) for row, error in seats]
        c, stiff = self.e.bearing_clearance, (3 - self.ends) * self.e.bearing
        force = [np.zeros(2) for _ in seats]
        for turn in range(500):
            held, wanted, parts = matrix + weak * np.diag(size**2), load, []
            for f, (row, error) in zip(force, seats):
                far = np.hypot(*f)
                hard, place = np.zeros((2, 2)), np.zeros(2)
                if far > 0.0:  # the seat gives F / K along the force and c all round it
                    n = f / far
                    hard = np.linalg.inv(np.eye(2) / stiff + c / far * (np.eye(2) - np.outer(n, n)))
                    place = f / stiff + c * n
                held = held + row.T @ hard @ row
                wanted = wanted - row.T @ (f + hard @ (error - place))
                parts.append((hard, place))
            push, x = self.push(held, wanted, rows, gaps, soft)
            after, most = [], max(push.max(initial=0.0), np.abs(self.rod).max())
            for f, (row, error), (hard, place) in zip(force, seats, parts):
                r = row @ x + error
                far, new = np.hypot(*r), f + hard @ (r - place)
                if not f.any() or new @ f <= 0.0:
                    new = stiff * max(far - c, 0.0) * r / max(far, 1e-30)
                after.append(new)
            change = max(np.abs(new - f).max() for new, f in zip(after, force))
            before = force
            force = [f + (1.0 if turn < 20 else 0.3) * (new - f) for new, f in zip(after, force)]
            settled = all(np.abs(new - f).max() <= 1e-5 * np.abs(f).max() for new, f in zip(after, before))
            if change < 1e-9 * most and settled:
                break
        assert change < 1e-7 * most
        rows = np.vstack([rows, *(row for row, _ in seats)])
        names = names + [("seat", end) for end in range(self.ends) for _ in (0, 1)]
        return np.concatenate([push, *force]), rows, names

    @staticmethod
    def push(matrix, load, rows, gaps, soft):
        lower = np.linalg.cholesky(matrix)
        # (1/2) |L^-1 (p - A' f)|^2 + (1/2) f.soft.f + g.f; where a stop has no softness, a little is lent to it
        soft = np.where(soft > 0.0, soft, 1e-8 * soft[soft > 0.0].min())
        top, aim = np.linalg.solve(lower, rows.T), np.linalg.solve(lower, load)
        scale = np.abs(top).max(axis=0) + np.sqrt(soft)
        whole = np.vstack([top, np.diag(np.sqrt(soft))]) / scale
        push = nnls(whole, np.append(aim, -gaps / np.sqrt(soft)), maxiter=10_000)[0] / scale
        return push, np.linalg.solve(matrix, load - rows.T @ push)

    def loads(self):
        """Channels from the contact forces, each force on the crank or rod minus its row."""
        push, rows, names = self.solve()
        back, spin = -push[:, None] * rows, np.exp(1j * self.theta)
        channels = {name: np.zeros(self.k) for name in ("guide", "bore")}
        tooth, seat = np.zeros(self.ends, dtype=complex), np.zeros(self.ends, dtype=complex)
        for force, (name, which) in zip(back, names):
            if name in channels:
                channels[name][which] += force[self.first + 3 * which]
            elif name != "stop":
                on_crank = force[: 2 * self.ends].reshape(self.ends, 2).sum(axis=0) @ [1.0, 1.0j]
                tooth[which] += on_crank / spin if name == "mesh" else 0.0
                seat[which] -= on_crank if name == "seat" else 0.0
        return {**channels, "mesh_end": tooth.imag, "separating_end": -tooth.real, "crank_bearing_end": seat}


def random_drive(rng, cylinders):
    return hypocycloid.HypocycloidDrive(
        rng.uniform(0.03, 0.1), rng.uniform(-np.pi, np.pi, cylinders), rng.uniform(0.1, 0.9, cylinders),
        rng.uniform(-400.0, 400.0), rng.uniform(0.25, 0.5), rng.uniform(0.5, 3.0),
        0.01 * complex(rng.normal(), rng.normal()), 0.03 * rng.normal(),
    )


def random_elastic(rng, drive):
    """Stiffnesses over two decades, clearances of 1 to 100 um or none, errors of some 10 um."""
    cylinders, stroke = len(drive.bank_angle), drive.stroke

    def stiff():
        return 10.0 ** rng.uniform(7.0, 9.0)

    def play(least=0.0):
        return max(least, 10.0 ** rng.uniform(-6.0, -4.0) * (rng.random() < 0.8))

    rides, start, length = rng.random() < 0.4, rng.uniform(0.6, 1.0) * stroke, rng.uniform(2.0, 3.0) * stroke
    span = (-0.2 * stroke, 0.3 * stroke) if rides else (start, start + 0.5 * stroke)
    return Elastic(
        play(), stiff(), play(), stiff(), span, rides, play(), stiff(), (0.8 * length, length), play(), stiff(),
        play(1e-6), stiff(), 10.0 ** rng.uniform(2.0, 4.0), 2e-5 * rng.normal(), 2e-5 * rng.normal(size=cylinders),
        5e-4 * rng.normal(size=cylinders), 2e-5 * rng.normal(size=cylinders), 2e-5 * rng.normal(size=cylinders),
    )


def random_axis(rng, drive):
    span = rng.uniform(0.05, 0.3)
    return axial.CrankAxis(
        rng.uniform(-0.4, 0.4, len(drive.bank_angle)) * span, span, span * rng.uniform(0.4, 1.6),
        rng.choice(["one", "both"]), 1e8, 10.0 ** rng.uniform(3.0, 6.0), np.radians(rng.uniform(-0.1, 0.1)),
    )


def difference(elastic, drive, loads, axis):
    """Largest difference from the second solution over the largest force, over all angles."""
    shared, found = quasi_static.share(elastic, drive, loads, axis)
    assert found.solved.all()
    worst = 0.0
    for j, theta in enumerate(loads.angle):
        other = Bodies(elastic, drive, theta, loads["rod"][:, j], axis).loads()
        size = max(np.abs(values).max() for values in (*other.values(), loads["rod"][:, j]))
        if axis is None:
            other["mesh"], other["separating"] = other.pop("mesh_end")[0], other.pop("separating_end")[0]
            other["crank_bearing"] = other.pop("crank_bearing_end")[0]
        else:
            other["mesh"], other["crank_bearing"] = other["mesh_end"].sum(), other["crank_bearing_end"].sum()
        for name, value in other.items():
            worst = max(worst, np.abs(shared[name][..., j] - value).max() / size)
    return worst


@pytest.mark.parametrize("ends", [1, 2])
def test_second_solution_on_random_machines(rng, ends):
    """30 machines at 8 angles each; 1e-6 of the largest force."""
    worst = 0.0
    for _ in range(30):
        drive = random_drive(rng, int(rng.integers(1, 5)))
        angle = rng.uniform(-np.pi, np.pi, 8)
        gas = 10.0 ** rng.uniform(2.0, 4.5) * rng.normal(size=(len(drive.bank_angle), 8))
        loads = hypocycloid.rigid_loads(drive, angle, gas)
        axis = random_axis(rng, drive) if ends == 2 else None
        worst = max(worst, difference(random_elastic(rng, drive), drive, loads, axis))
    print(f"{ends} ends: largest difference {worst:.1e} of the largest force")
    assert worst < 1e-6


# --- the demo designs --------------------


def demo(name, angles=145):
    """Assessment of a demo design over one whole working cycle, its elastic machine and its axis."""
    a = assess(load_design(DATA / f"{name}.toml"), angles)
    return a, from_design(a.design, a.drive), axial.from_design(a.design, a.drive)


@pytest.mark.parametrize("two_ends", [False, True], ids=["plane", "two ends"])
@pytest.mark.parametrize("name", DEMOS)
def test_solved_and_in_balance_over_a_whole_cycle(name, two_ends):
    """Moment about C, sum of forces on the crank, torque at the carrier; 1e-6 of the largest load."""
    a, elastic, axis = demo(name, 721)
    for factor in (0.0, 1.0, 5.0):
        play = {c: factor * getattr(elastic, c) for c in CLEARANCES}
        shared, found = quasi_static.share(replace(elastic, **play), a.drive, a.loads, axis if two_ends else None)
        assert found.solved.all()
        in_balance(a.drive, a.loads, shared, centring_force(elastic))


def centring_force(elastic):
    """What the centring spring takes; it counts for the desk model alone, where 0.04 N meets plays of 0.3 mm."""
    stiffest = 2.0 * max(getattr(elastic, name) for name in ("mesh", "bearing", "guide", "bore", "pin"))
    return 10.0 * springs.CENTRING * stiffest * max(getattr(elastic, name) for name in CLEARANCES)


def in_balance(drive, loads, shared, slack):
    phi = loads.angle - drive.bank_angle[:, None]
    side, spin = shared["guide"] + shared["bore"], np.exp(1j * loads.angle)
    own = (np.conj(drive.crank_moment) * spin**2).imag * drive.speed**2
    radius = 0.25 * drive.stroke
    crank = (drive.crank_mass * radius * spin + drive.crank_moment * np.conj(spin)) * drive.speed**2
    limit = slack + 1e-6 * max(np.abs(f).max() for f in (loads["rod"], shared["mesh"], crank))
    needed = (loads["rod"] * np.sin(phi) - side * np.cos(phi)).sum(axis=0) - own
    assert np.abs(shared["mesh"] - needed).max() < limit
    pins = ((1j * side - loads["rod"]) * np.exp(1j * drive.bank_angle)[:, None]).sum(axis=0)
    teeth = (1j * shared["mesh"] - shared["separating"]) * spin
    assert np.abs(pins + teeth + crank - shared["crank_bearing"]).max() < limit
    at_carrier = radius * (shared["crank_bearing"] * np.conj(spin)).imag
    assert np.abs(at_carrier - shared["torque"]).max() < radius * limit
    if "mesh_end" in shared.channels:
        for total, part in (("mesh", "mesh_end"), ("separating", "separating_end"),
                            ("crank_bearing", "crank_bearing_end")):
            assert np.abs(shared[part].sum(axis=0) - shared[total]).max() < limit


@pytest.mark.parametrize("name", DEMOS)
def test_second_solution_on_the_demo_designs(name):
    """As designed, with errors of geometry, in plane and with two ends; 13 angles; 1e-6 of the largest force."""
    a, elastic, axis = demo(name, 13)
    worn = replace(elastic, carrier_error=1.5e-5, pin_error=-1e-5, phase_error=2e-4, guide_offset=2e-5)
    for machine in (elastic, worn):
        for places in (None, axis):
            slack = centring_force(elastic) / np.abs(a.loads["rod"]).max()
            assert difference(machine, a.drive, a.loads, places) < 1e-6 + slack


def test_start_does_not_matter(rng):
    a, elastic, axis = demo("first_sketch")
    for places in (None, axis):
        shared, found = quasi_static.share(elastic, a.drive, a.loads, places)
        for size in (1e-6, 1e-4, 1e-2):
            start = size * rng.normal(size=found.displacement.shape)
            other, again = quasi_static.share(elastic, a.drive, a.loads, places, start)
            assert again.solved.all()
            assert np.abs(other["guide"] - shared["guide"]).max() < 1e-6 * np.abs(a.loads["rod"]).max()
            assert np.abs(again.push - found.push).max() < 1e-6 * found.push.max()


def test_many_machines_at_once_equal_each_alone(rng):
    """Arrays over cases at one angle, and one machine per angle."""
    a, elastic, axis = demo("star_pump", 25)
    names = (*CLEARANCES, "mesh", "bearing", "guide", "bore", "pin", "bending")
    many = {name: getattr(elastic, name) * rng.uniform(0.5, 2.0, 25) for name in names}
    many |= {"carrier_error": 1e-5 * rng.normal(size=25)}
    many |= {n: 1e-5 * rng.normal(size=(25, 3)) for n in ("pin_error", "phase_error", "guide_offset", "bore_offset")}
    whole = replace(elastic, **many)
    for places in (None, axis):
        at_once, _ = quasi_static.share(whole, a.drive, a.loads, places)
        for j in range(0, 25, 4):
            single = replace(elastic, **{name: values[j] for name, values in many.items()})
            one = Loads(a.angle[j : j + 1], {k: v[..., j : j + 1] for k, v in a.loads.channels.items()}, "")
            alone, _ = quasi_static.share(single, a.drive, one, places)
            for name in ("guide", "bore", "mesh", "separating"):
                limit = 1e-6 * np.abs(a.loads["rod"][:, j]).max()
                assert np.abs(at_once[name][..., j] - alone[name][..., 0]).max() < limit
            supports, load = quasi_static.assembly(whole, a.drive, one.angle, one["rod"], places)
            found = springs.rest(supports, np.broadcast_to(load, (25, load.shape[1])))
            every = quasi_static.forces(whole, a.drive, one, found, places)
            assert np.abs(every["guide"][:, j] - alone["guide"][:, 0]).max() < limit


# --- limits --------------------


def at_the_pin(drive, mesh, guide):
    """A short guide at the pin; all else stiff, without play; pistons free in their bores."""
    stiff = 2e4 * guide
    return Elastic(0.0, mesh, 0.0, stiff, (-0.005, 0.005), True, 0.0, guide, (0.08, 0.1), 1.0, guide,
                   0.0, stiff, 1e12)


LAYOUTS = {
    "single": [0.3],
    "parallel": [0.3, 0.3],
    "opposite": [0.3, 0.3 + np.pi],
    "V 90": [0.25 * np.pi, 0.75 * np.pi],
    "V 120": [0.0, 2.0 * np.pi / 3.0],
    "star": [0.0, 2.0 * np.pi / 3.0, 4.0 * np.pi / 3.0],
}


@pytest.mark.parametrize("layout", LAYOUTS)
def test_stiff_guides_at_the_pin_become_guides_alone(rng, layout):
    """Closed form of the rigid machine without a gear, wherever the sum of cos^2 is not small."""
    bank = np.array(LAYOUTS[layout])
    drive = replace(random_drive(rng, len(bank)), bank_angle=bank)
    gas = 1e4 * rng.normal(size=(len(bank), CYCLE.size))
    alone = hypocycloid.rigid_loads(drive, CYCLE, gas, "alone")
    shared, found = quasi_static.share(at_the_pin(drive, 1e1, 1e7), drive, alone)
    holds = (np.cos(CYCLE - bank[:, None]) ** 2).sum(axis=0) > 0.05
    assert found.solved.all() and holds.sum() > 100
    error = np.abs(shared["guide"] - alone["guide"])[:, holds].max()
    assert error < 3e-3 * np.abs(alone["guide"][:, holds]).max()
    assert np.abs(shared["mesh"][holds]).max() < 1e-3 * np.abs(alone["rod"]).max()
    assert np.abs(shared["bore"]).max() == 0.0


@pytest.mark.parametrize("layout", ["single", "parallel", "opposite"])
def test_at_mid_stroke_guides_cannot_help_and_the_teeth_carry_all(rng, layout):
    """Singular exactly where the sum of cos^2 vanishes; beside it, by the ratio of stiffnesses.

    Moment about C with springs in parallel (design theory): F_t = R k_t / (k_t + k_g sum cos^2), with k_t tangential.
    """
    bank, mesh, guide = np.array(LAYOUTS[layout]), 1e6, 1e7
    drive = replace(random_drive(rng, len(bank)), bank_angle=bank)
    angle = bank[0] + 0.5 * np.pi + np.array([0.0, 1e-9, 0.003, 0.01, 0.03, 0.1, 0.5, np.pi])
    loads = hypocycloid.rigid_loads(drive, angle, 1e4 * rng.normal(size=(len(bank), angle.size)))
    shared, found = quasi_static.share(at_the_pin(drive, mesh, guide), drive, loads)
    tooth, both = 2.0 * mesh * np.cos(drive.pressure_angle) ** 2, 2.0 * guide
    part = tooth / (tooth + both * (np.cos(angle - bank[:, None]) ** 2).sum(axis=0))
    assert found.solved.all()
    assert shared["mesh"] == pytest.approx(part * loads["mesh"], rel=2e-3, abs=1e-6 * np.abs(loads["rod"]).max())
    assert shared["mesh"][[0, 1, -1]] == pytest.approx(loads["mesh"][[0, 1, -1]], rel=3e-5)  # centring spring
    assert np.abs(shared["guide"][:, [0, -1]]).max() < 1e-3 * np.abs(loads["rod"]).max()


@pytest.mark.parametrize("name", DEMOS)
def test_without_guides_the_teeth_carry_all(name):
    a, elastic, axis = demo(name)
    away = replace(elastic, guide_clearance=0.1, bore_clearance=0.1)
    for places in (None, axis):
        shared, found = quasi_static.share(away, a.drive, a.loads, places)
        assert found.solved.all() and not shared["guide"].any() and not shared["bore"].any()
        assert np.abs(shared["mesh"] - a.loads["mesh"]).max() < 1e-6 * np.abs(a.loads["rod"]).max()


@pytest.mark.parametrize("driving", ["one", "both"])
def test_rigid_seats_without_guides_give_the_ends_of_the_rigid_crank(rng, driving):
    """``axial.end_loads``: zero play, seats 10,000 times stiffer than meshes; the phase error of the tie included."""
    for _ in range(10):
        drive = random_drive(rng, int(rng.integers(1, 4)))
        mesh = 10.0 ** rng.uniform(7.0, 8.0)
        axis = replace(random_axis(rng, drive), driving=driving,
                       mesh_stiffness=mesh * np.cos(drive.pressure_angle) ** 2)
        loads = hypocycloid.rigid_loads(drive, CYCLE, 1e4 * rng.normal(size=(len(drive.bank_angle), CYCLE.size)))
        rigid = axial.end_loads(axis, drive, loads)
        elastic = replace(at_the_pin(drive, mesh, 1e7), bearing=1e4 * mesh, guide_clearance=0.1, bore_clearance=0.1)
        shared, found = quasi_static.share(elastic, drive, loads, axis)
        assert found.solved.all()
        for name in ("mesh_end", "separating_end", "crank_bearing_end"):
            assert np.abs(shared[name] - rigid[name]).max() < 2e-3 * np.abs(rigid["crank_bearing_end"]).max()


def test_play_that_vanishes_gives_the_machine_without_play():
    """Forces come nearer in proportion to the play, once it is small against what the seats give."""
    a, elastic, axis = demo("first_sketch")

    def side(factor, places):
        play = {c: factor * getattr(elastic, c) for c in CLEARANCES}
        return quasi_static.share(replace(elastic, **play), a.drive, a.loads, places)[0]["guide"]

    for places in (None, axis):
        none = side(0.0, places)
        off = [np.abs(side(factor, places) - none).max() for factor in (1e-2, 1e-3, 1e-4, 1e-5)]
        print(off, np.abs(none).max())
        assert np.isfinite(none).all()
        assert off[3] < 0.2 * off[2] < 0.06 * off[1] and off[3] < 1e-3 * np.abs(none).max()


def test_no_rod_force_and_no_play_at_the_pin_is_no_gap_in_the_joint():
    """Bearing and overhang in series, whatever the rod force; a stop in series with them beyond the play."""
    _, elastic, _ = demo("first_sketch", 13)
    place = np.array([-0.02, 0.0, 0.02])
    over = elastic.guide_span[0] - place
    series = 1.0 / (1.0 / elastic.pin + over**3 / (3.0 * elastic.bending))
    for play, rod in ((0.0, 0.0), (0.0, 1e3), (2e-5, 0.0), (2e-5, 1e3)):
        machine, force = replace(elastic, pin_clearance=play), np.full(3, rod)
        inside, gap, stop = machine.joint(force, place)
        assert gap == pytest.approx(play + rod / series)
        assert inside + stop == pytest.approx(series)
        assert inside == pytest.approx(1.0 / (1.0 / series + play / rod) if rod else np.zeros(3))


def test_a_crank_of_twice_the_span_bends_eight_times_as_easily():
    """48 E I / l^3, any text on strength of materials: 206 GPa, 30 mm, 86 mm between the journals."""
    design = load_design(DATA / "first_sketch.toml")
    place = {"crank.pin_diameter_mm": 30, "crank.journal_length_mm": 20, "gear_pair.face_width_mm": 30}
    one, two = (design.changed(**place, **{"crank.mesh_span_mm": 50.0 + span, "carrier.support": "enclosing"})
                for span in (86.0, 172.0))
    assert crank_bending(one).likely == pytest.approx(48.0 * 206e9 * np.pi * 0.03**4 / 64.0 / 0.086**3, rel=1e-9)
    assert crank_bending(one).likely == pytest.approx(8.0 * crank_bending(two).likely, rel=1e-9)
    assert crank_bending(one).high == pytest.approx(4.0 * crank_bending(one).likely)  # clamped: 192 E I / l^3


def test_contacts_and_seats_keep_the_shares_and_the_series_that_they_state():
    """Full line contact: (pi / 4) E' L with Johnson's E'; of it 0.03 to 0.6, likely 0.15. Two seats make a series."""
    full = 0.25 * np.pi * contact_modulus(206e9, 0.3, 206e9, 0.3) * 0.02
    found = contact_stiffness(0.02, 206e9)
    assert np.array([found.low, found.likely, found.high]) / full == pytest.approx([0.03, 0.15, 0.6], rel=1e-9)
    design = load_design(DATA / "first_sketch.toml")
    lengths = (design.crank.si.journal_length, design.carrier.si.bearing_length)
    assert lengths[0] != lengths[1]
    steel = design.gear_pair.si.pinion_youngs_modulus
    softness = sum(1.0 / contact_stiffness(length, steel).likely for length in lengths)
    assert 1.0 / from_design(design, assess(design, 181).drive).bearing == pytest.approx(softness, rel=1e-9)


def test_a_soft_crank_and_films_are_springs_in_series():
    """Springs in series: any text on mechanics; a film that fills its play softens with the cube of the play."""
    design = load_design(DATA / "first_sketch.toml")
    machine = from_design(design, assess(design, 181).drive)
    bend = crank_bending(design)
    assert bend.low < bend.likely < bend.high
    soft = machine.softened(bend.likely)
    assert 1.0 / soft.bearing == pytest.approx(1.0 / machine.bearing + 2.0 / bend.likely)
    assert machine.seat("guide") == pytest.approx((machine.guide_clearance, machine.guide))
    thin = replace(machine, bearing_film=FilmSpring(reach=10e-6, stiffness=1e8, clearance=42.5e-6))
    clearance, stiffness = thin.seat("bearing")
    assert clearance == pytest.approx(machine.bearing_clearance - 10e-6)
    assert 1.0 / stiffness == pytest.approx(1.0 / machine.bearing + 1e-8)
    filled = replace(machine, guide_film=FilmSpring(reach=15e-6, stiffness=1e9, clearance=15e-6),
                     guide_clearance=np.array([15e-6, 30e-6]))
    clearance, stiffness = filled.seat("guide")
    assert (clearance == 0.0).all()
    assert 1.0 / stiffness == pytest.approx(1.0 / machine.guide + np.array([1e-9, 8e-9]))
