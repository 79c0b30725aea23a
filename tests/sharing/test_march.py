"""The march in time against integrators, closed forms and a multibody library written apart from the core."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from vmech_core import sharing
from vmech_core.case import Case
from vmech_core.design import load_design
from vmech_core.sharing import march as marching
from vmech_core.sharing import moving, stepping
from vmech_core.sharing.march import march

WINDOW = 100.0 / 720.0


@pytest.fixture(scope="module")
def engine():
    case = Case(load_design("data/v_twin_generator.toml"))
    return replace(case, trace=case.own_cycle.traces[0])


# --- 1. a window from rest --------------------------------------------------------------------------------------------


class Newton:
    """The V-twin written down body by body, with vectors in the block; nothing of the core's tables is used.

    Unknowns: place of C beside its circle (complex c), turn d of the crank [rad], for each rod its place y at the pin
    and its tilt b [rad]. Forces act on bodies; accelerations follow from Newton and Euler with the axial pin forces as
    unknowns (two more equations), so that the mass matrix of the core is not assumed.
    """

    def __init__(self, case, damping):
        self.e, d = case.dry_elastic, case.drive
        self.a, self.om, self.mc, self.al = d.stroke / 4, d.speed, d.crank_mass, d.bank_angle
        self.m, self.U, self.pa = d.reciprocating_mass, complex(d.crank_moment), d.pressure_angle
        self.J = self.mc * (sharing.flanks.GYRATION[1] * self.a) ** 2
        self.L = self.e.bore_span[1]
        top = moving.PISTON
        mid = 0.5 * sum(self.e.bore_span)
        self.h = top * mid + (1 - top) * self.L / 2  # centre of gravity of rod and piston, from the pin
        self.i = top * mid**2 + (1 - top) * self.L**2 / 3 - self.h**2  # about it, per mass
        waves = [np.fft.rfft(g[:-1]) / (len(g) - 1) for g in case.loads["gas"]]
        self.waves = [np.concatenate([w[:1], 2 * w[1:]]) for w in waves]
        self.order = np.arange(len(self.waves[0])) / 2.0
        self.damping = self._damping(damping)

    def gas(self, theta):
        return [float((w * np.exp(1j * self.order * theta)).real.sum()) for w in self.waves]

    def _damping(self, ratio):
        """Damping from the mean mobility of each contact over a cycle."""
        e, own = self.e, {}
        mob = {name: [] for name in ("flank", "bearing", "guide0", "guide1", "bore0", "bore1", "pin")}
        for theta in 4 * np.pi * np.arange(24) / 24:
            phi = theta - self.al
            axial = np.stack([np.cos(self.al), np.sin(self.al), np.sin(phi)], axis=1)
            mass = np.diag([self.mc, self.mc, self.J / self.a**2]) + (axial.T * self.m) @ axial
            free = np.linalg.inv(mass)
            u, v = np.array([np.cos(theta), np.sin(theta)]), np.array([-np.sin(theta), np.cos(theta)])
            for side in (-1, 1):
                row = np.append(np.sin(self.pa) * u + side * np.cos(self.pa) * v, side * np.cos(self.pa))
                mob["flank"].append((side, row @ free @ row))
            mob["bearing"].append(0.5 * (free[0, 0] + free[1, 1]))
            x = 2 * self.a * np.cos(phi)

            def rod(lever, k):
                return 1 / self.m[k] + (lever - self.h) ** 2 / (self.i * self.m[k])

            for k in range(2):
                for j in range(2):
                    mob[f"guide{j}"].append((k, rod(e.guide_span[j] - x[k], k)))
                    mob[f"bore{j}"].append((k, rod(e.bore_span[j], k)))
                row = np.array([-np.sin(self.al[k]), np.cos(self.al[k]), np.cos(phi[k])])
                mob["pin"].append((k, row @ free @ row + rod(0.0, k)))
        for name, values in mob.items():
            for key in {v[0] for v in values} if isinstance(values[0], tuple) else {None}:
                mean = np.mean([v[1] if isinstance(v, tuple) else v for v in values
                                if not isinstance(v, tuple) or v[0] == key])
                own[name, key] = 2 * ratio / np.sqrt(mean)
        return own

    def acting(self, t, z):
        """Accelerations, and tooth, guide, bore and carrier forces."""
        e, a, om = self.e, self.a, self.om
        theta, c, vc, (d, vd) = om * t, z[0] + 1j * z[1], z[7] + 1j * z[8], (z[2], z[9])
        turn = np.exp(1j * theta)
        force, couple = 0j, 0.0
        gap, (w, vw) = 0.5 * e.backlash * np.cos(self.pa), (a * d, a * vd)
        q, vq = c / turn, vc / turn - 1j * om * c / turn  # seen from the carrier
        tooth = 0.0
        for side in (-1, 1):
            over = np.sin(self.pa) * q.real + side * np.cos(self.pa) * (q.imag + w) - gap
            rate = np.sin(self.pa) * vq.real + side * np.cos(self.pa) * (vq.imag + vw)
            push = 0.0 if over <= 0 else max(0.0, 2 * e.mesh * over
                                             + self.damping["flank", side] * np.sqrt(2 * e.mesh) * rate)
            force -= push * (np.sin(self.pa) + 1j * side * np.cos(self.pa)) * turn
            couple -= push * side * np.cos(self.pa) * a
            tooth -= push * side * np.cos(self.pa)
        far = abs(c)
        held = 0.0
        if far > e.bearing_clearance:
            rate = (c.conjugate() * vc).real / far
            held = max(0.0, 2 * e.bearing * (far - e.bearing_clearance)
                       + self.damping["bearing", None] * np.sqrt(2 * e.bearing) * rate)
            force -= held * c / far
        across, turning, guide, bore = np.zeros(2), np.zeros(2), np.zeros(2), np.zeros(2)
        gas = self.gas(theta)
        for k in range(2):
            y, b, vy, vb = z[3 + 2 * k], z[4 + 2 * k], z[10 + 2 * k], z[11 + 2 * k]
            phi = theta - self.al[k]
            x, vx, ax = 2 * a * np.cos(phi), -2 * a * om * np.sin(phi), -2 * a * om**2 * np.cos(phi)

            def edge(lever, rate, clearance, stiffness, damping, y=y, b=b, vy=vy, vb=vb):
                place, speed = y + b * lever, vy + vb * lever + b * rate
                over = abs(place) - clearance
                push = 0.0 if over <= 0 else max(0.0, stiffness * over + damping * np.sqrt(stiffness)
                                                 * np.sign(place) * speed)
                return -push * np.sign(place)

            for j in range(2):
                n = edge(e.guide_span[j] - x, -vx, e.guide_clearance, e.guide, self.damping[f"guide{j}", k])
                guide[k] += n
                across[k] += n
                turning[k] += n * (e.guide_span[j] - x)
                n = edge(e.bore_span[j], 0.0, e.bore_clearance, e.bore, self.damping[f"bore{j}", k])
                bore[k] += n
                across[k] += n
                turning[k] += n * e.bore_span[j]
            along = 1j * np.exp(1j * self.al[k])
            pin = (c * along.conjugate()).real + a * d * np.cos(phi)
            vpin = (vc * along.conjugate()).real + a * vd * np.cos(phi) - a * d * om * np.sin(phi)
            rod = abs(gas[k] + self.m[k] * ax)
            over = max(e.guide_span[0] - x, 0.0)
            soft = over**3 / (3 * e.bending) + 1 / e.pin
            play = rod * soft + e.pin_clearance
            spring, stop = rod / play, e.pin_clearance / play / soft
            rel, vrel = y - pin, vy - vpin
            n = -spring * rel - self.damping["pin", k] * np.sqrt(spring) * vrel
            if abs(rel) > play:
                sign = np.sign(rel)
                soft_rate = -(over**2 / e.bending) * vx if over > 0 else 0.0
                at = theta, 1e-6
                ahead, behind = (abs(self.gas(at[0] + s * at[1])[k] - self.m[k] * 2 * a * om**2
                                     * np.cos(phi + s * at[1])) for s in (1, -1))
                widens = (ahead - behind) / (2 * at[1]) * om * soft + rod * soft_rate
                n -= sign * max(0.0, stop * (abs(rel) - play)
                                + self.damping["pin", k] * np.sqrt(stop) * (sign * vrel - widens))
            across[k] += n
            force -= n * along
            couple -= n * a * np.cos(phi)
        return self._solve(theta, d, vd, force, couple, across, turning, (gas, z[4:7:2])), (tooth, guide, bore, held)

    def _solve(self, theta, d, vd, force, couple, across, turning, rods):
        """Newton and Euler for the crank, and for each rod along its line with the pin force as an unknown."""
        a, om, (gas, tilts) = self.a, self.om, rods
        left, right = np.zeros((5, 5)), np.zeros(5)  # c'' (2), d'' , pin forces along the lines
        spin, pull = np.exp(-1j * theta), -self.mc * a * om**2 * np.exp(1j * theta)
        left[0, 0] = left[1, 1] = self.mc
        left[2, 2] = self.J
        right[:2] = force.real - pull.real, force.imag - pull.imag
        right[2] = couple
        # the crank's own moment, to first order: place i d U e^(-i theta), and its moment with the acceleration of C
        arm = self.U * spin
        for part, row in ((np.real, 0), (np.imag, 1)):
            left[row, 2] += part(1j * arm)
            right[row] -= part(2 * om * arm * vd - 1j * om**2 * arm * d - om**2 * arm)
        left[2, 0], left[2, 1] = np.real(1j * arm), np.imag(1j * arm)
        right[2] -= (np.conj(arm * (1 + 1j * d)) * pull / self.mc).imag
        for k in range(2):
            phi, along = theta - self.al[k], np.exp(1j * self.al[k])
            # pin force f outward on the rod, -f on the crank at its pin
            left[0, 3 + k], left[1, 3 + k], left[2, 3 + k] = along.real, along.imag, a * np.sin(phi)
            right[2] += (gas[k] - self.m[k] * 2 * a * om**2 * np.cos(phi)) * a * d * np.cos(phi)  # the turned arm
            # rod: m (x'' + r.q'' + ...) = f - G
            left[3 + k, 0], left[3 + k, 1], left[3 + k, 2] = (self.m[k] * v for v in
                                                              (along.real, along.imag, a * np.sin(phi)))
            left[3 + k, 3 + k] = -1.0
            right[3 + k] = -gas[k] - self.m[k] * (-2 * a * om**2 * np.cos(phi) + 2 * a * om * np.cos(phi) * vd
                                                  - a * om**2 * np.sin(phi) * d)
        found, rods = np.linalg.solve(left, right), []
        for k in range(2):
            b, ax = tilts[k], -2 * a * om**2 * np.cos(theta - self.al[k])
            # about the centre of gravity: gas at the crown, pin force at the pin, both along the line
            topple = gas[k] * b * (self.L - self.h) + (gas[k] + self.m[k] * ax) * b * self.h
            spin_up = (turning[k] - across[k] * self.h + topple) / (self.i * self.m[k])
            rods += [across[k] / self.m[k] - self.h * spin_up, spin_up]
        return np.concatenate([found[:3], rods])

    def peaks(self, turn, rtol):
        span = turn / self.om
        found = solve_ivp(lambda t, z: np.concatenate([z[7:], self.acting(t, z)[0]]), (0.0, span), np.zeros(14),
                          method="DOP853", rtol=rtol, atol=1e-12, max_step=1.5e-6)
        forces = [self.acting(t, z)[1] for t, z in zip(found.t, found.y.T, strict=True)]
        each = [np.abs(np.array([np.atleast_1d(f[i]) for f in forces])).max(axis=0) for i in range(4)]
        return np.concatenate(each), found.nfev


def test_window_by_an_independent_integrator(engine):
    """100 degrees from rest: peaks of all channels to 1e-3."""
    wanted, _ = Newton(engine, 0.05).peaks(np.radians(100.0), 1e-6)
    found = march(engine.dry_elastic, engine.drive, engine.loads, cycles=WINDOW, places=np.zeros((1, 7)), per_period=60)
    got = found.peak[0, 0]
    assert got == pytest.approx(wanted, rel=1e-3, abs=1.0)
    assert (wanted > 100.0).sum() >= 5
