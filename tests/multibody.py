"""An independent plane multibody solution with sympy.physics.mechanics: absolute coordinates and Lagrange multipliers.

Every body has three coordinates of its own (x and y of its centre of gravity, and its turn). Joints are constraint
equations; joint forces are their multipliers. None of the core's closed forms is used: positions come from
Newton's method on the constraints, velocities and accelerations from their derivatives, multipliers from a linear
solve.
"""

import numpy as np
import sympy as sp
from sympy.physics.mechanics import LagrangesMethod, Point, ReferenceFrame, RigidBody, dynamicsymbols, inertia

T = dynamicsymbols._t
REACH = 0.03  # distance of the rod's centre of gravity from its pin [m]; without effect on plane joint forces
AHEAD = 0.2  # distance of the piston of a crosshead engine from its wrist pin [m]; without effect as well


class System:
    """Bodies, constraints and forces; constraints are named so that their multipliers can be asked for by name."""

    def __init__(self):
        self.frame, self.origin = ReferenceFrame("F"), Point("O")
        self.origin.set_vel(self.frame, 0)
        self.q, self.bodies, self.holonomic, self.velocity, self.forces = [], [], {}, {}, []

    def body(self, name, mass, turn_inertia):
        """Add a free rigid body; returns a function that gives the place of a point fixed on it."""
        x, y, turn = dynamicsymbols(f"x_{name} y_{name} psi_{name}")
        axes = self.frame.orientnew(f"B_{name}", "Axis", (turn, self.frame.z))
        centre = self.origin.locatenew(f"G_{name}", x * self.frame.x + y * self.frame.y)
        centre.set_vel(self.frame, x.diff(T) * self.frame.x + y.diff(T) * self.frame.y)
        self.bodies.append(RigidBody(name, centre, axes, mass, (inertia(axes, 0, 0, turn_inertia), centre)))
        self.q += [x, y, turn]

        def place(p, q=0):
            return sp.Matrix([x + p * sp.cos(turn) - q * sp.sin(turn), y + p * sp.sin(turn) + q * sp.cos(turn)])

        return place, axes, centre, sp.Matrix([x, y]), turn

    def join(self, name, expressions):
        """Add holonomic constraints (each expression must stay zero)."""
        self.holonomic[name] = list(expressions)

    def roll(self, name, velocity_expression, integral):
        """Add a velocity constraint together with its integral, which serves the position solve alone."""
        self.velocity[name] = (velocity_expression, integral)

    def compile(self, parameters):
        """Form Lagrange's equations with multipliers and turn all of it into numeric functions of the parameters."""
        hol = [e for group in self.holonomic.values() for e in group]
        vel = [pair[0] for pair in self.velocity.values()]
        names = [n for n, group in self.holonomic.items() for _ in group] + list(self.velocity)
        kinetic = sum(body.kinetic_energy(self.frame) for body in self.bodies)
        method = LagrangesMethod(
            kinetic,
            self.q,
            hol_coneqs=hol or None,
            nonhol_coneqs=vel or None,
            forcelist=self.forces or None,
            frame=self.frame,
        )
        method.form_lagranges_equations()
        q, v, acc = sp.Matrix(self.q), sp.Matrix(self.q).diff(T), sp.Matrix(self.q).diff(T, 2)
        symbols = [sp.Dummy() for _ in range(3 * len(self.q))]
        swap = list(zip([*acc, *v, *q], symbols, strict=True))
        rate = sp.Matrix([e.diff(T) for e in hol] + vel)
        position = sp.Matrix(hol + [pair[1] for pair in self.velocity.values()])
        n = len(self.q)

        def numeric(matrix):
            arguments = [symbols[2 * n :], symbols[n : 2 * n], symbols[:n], T, list(parameters)]
            return sp.lambdify(arguments, matrix.xreplace(dict(swap)), "numpy", cse=True)

        lam = method.lam_vec
        zero = {s: 0 for s in lam}
        return {
            "names": names,
            "n": n,
            "position": numeric(position),
            "jacobian": numeric(position.jacobian(q)),
            "rate_jac": numeric(rate.jacobian(v)),
            "rate_rest": numeric(rate.subs({e: 0 for e in v})),
            "acc_jac": numeric(rate.diff(T).jacobian(acc)),
            "acc_rest": numeric(rate.diff(T).subs({e: 0 for e in acc})),
            "eom_lam": numeric(method.eom.jacobian(lam)),
            "eom_rest": numeric(method.eom.subs(zero)),
        }


def solve(model, guess, time, values):
    """Joint forces by name at one time: Newton for positions, then three linear solves.

    A multiplier of sympy is the force that the first body of the joint exerts on the second (or on the frame).
    """
    n = model["n"]
    q, zero = np.array(guess, dtype=float), np.zeros(n)
    for _ in range(60):
        step = np.linalg.solve(
            model["jacobian"](q, zero, zero, time, values), -model["position"](q, zero, zero, time, values).ravel()
        )
        q += step
        if np.abs(step).max() < 1e-15:
            break
    v = np.linalg.solve(
        model["rate_jac"](q, zero, zero, time, values), -model["rate_rest"](q, zero, zero, time, values).ravel()
    )
    acc = np.linalg.solve(
        model["acc_jac"](q, v, zero, time, values), -model["acc_rest"](q, v, zero, time, values).ravel()
    )
    lam = np.linalg.solve(
        model["eom_lam"](q, v, acc, time, values), -model["eom_rest"](q, v, acc, time, values).ravel()
    )
    forces = {}
    for name, value in zip(model["names"], lam, strict=True):
        forces.setdefault(name, []).append(value)
    return q, {name: np.array(values) for name, values in forces.items()}


def turn(s, theta, omega, gains):
    """Let a shaft turn: at constant speed from angle 0, or with two more parameters, first angle and acceleration."""
    begin, gain = more = sp.symbols("begin gain") if gains else (0, 0)
    s.join("torque", [theta - begin - omega * T - gain * T**2 / 2])
    return more if gains else ()


def straight_line(cylinders, with_gear=True, hold=(), gains=False):
    """The hypocycloid drive; returns the system and its parameters, all of them symbols.

    Order of parameters: stroke, speed, crank mass, crank moment (2), separating force, then per cylinder bank angle,
    mass, gas force, guide force. ``hold`` lists cylinders whose guide is a constraint instead of a given force. A
    carrier that ``gains`` speed has two parameters more, as in ``turn``.
    """
    s = System()
    stroke, omega, crank_mass, u_x, u_y, separating = machine = sp.symbols("stroke omega m_c u_x u_y sep")
    per_cylinder = [sp.symbols(f"bank{k} m{k} gas{k} guide{k}") for k in range(cylinders)]
    radius, off_x, off_y = stroke / 4, u_x / crank_mass, u_y / crank_mass
    wheel, _, _, _, theta = s.body("carrier", sp.Float(1.7), sp.Float(0.01))
    crank, _, _, _, psi = s.body("crank", crank_mass, sp.Float(0.02))
    centre = crank(-off_x, -off_y)
    s.join("main", wheel(0))
    more = turn(s, theta, omega, gains)
    s.join("crank_bearing", centre - wheel(radius))
    if with_gear:
        x, y = centre
        tangential = (x * y.diff(T) - y * x.diff(T)) / sp.sqrt(x**2 + y**2) + radius * psi.diff(T)
        s.roll("mesh", tangential, radius * (psi + theta))
    axis = s.origin.locatenew("C", centre[0] * s.frame.x + centre[1] * s.frame.y)
    axis.set_vel(s.frame, centre[0].diff(T) * s.frame.x + centre[1].diff(T) * s.frame.y)
    s.forces.append((axis, -separating * (sp.cos(theta) * s.frame.x + sp.sin(theta) * s.frame.y)))
    for k, (bank, mass, gas, guide) in enumerate(per_cylinder):
        rod, _, rod_centre, xy, lean = s.body(f"rod{k}", mass, sp.Float(0.003))
        s.join(f"pin{k}", rod(-REACH) - crank(radius * sp.cos(2 * bank) - off_x, radius * sp.sin(2 * bank) - off_y))
        s.join(f"turn{k}", [lean - bank])
        if k in hold:
            s.join(f"guide{k}", [sp.cos(bank) * xy[1] - sp.sin(bank) * xy[0]])
        s.forces.append(
            (
                rod_centre,
                (-gas * sp.cos(bank) - guide * sp.sin(bank)) * s.frame.x
                + (-gas * sp.sin(bank) + guide * sp.cos(bank)) * s.frame.y,
            )
        )
    return s.compile([*machine, *(p for group in per_cylinder for p in group), *more])


def straight_line_guess(drive, angle):
    """Rough start for the position solve: parts where the eye would put them, a millimetre off."""
    radius = drive.stroke / 4
    centre = radius * np.exp(1j * angle)
    guess = [0, 0, angle, centre.real, centre.imag, -angle]
    for bank in drive.bank_angle:
        place = (2 * radius * np.cos(angle - bank) + REACH) * np.exp(1j * bank)
        guess += [place.real, place.imag, bank]
    return np.array(guess) + 1e-3


def slider(cylinders, crosshead=False, gains=False):
    """The ordinary crank drive; parameters: radius, rod length, cg share, offset, speed, crank moment (2), then per
    cylinder bank angle, pin angle, piston mass, rod mass, rod inertia, gas force.

    With a crosshead nothing holds the turn of piston, piston rod and crosshead (one body) but two bearings: the guide
    at the wrist pin and the bore a good way ahead of it. What the bore carries is then an answer, no assumption. A
    crank that ``gains`` speed has two parameters more, as in ``turn``."""
    s = System()
    radius, length, share, offset, omega, u_x, u_y = machine = sp.symbols("r L h e omega u_x u_y")
    per_cylinder = [sp.symbols(f"bank{k} delta{k} mp{k} mr{k} ir{k} gas{k}") for k in range(cylinders)]
    mass = sp.Float(4.0)
    crank, _, _, _, theta = s.body("crank", mass, sp.Float(0.02))
    s.join("main", crank(-u_x / mass, -u_y / mass))
    more = turn(s, theta, omega, gains)
    for k, (bank, delta, piston_mass, rod_mass, rod_inertia, gas) in enumerate(per_cylinder):
        rod, *_ = s.body(f"rod{k}", rod_mass, rod_inertia)
        piston, _, piston_centre, xy, lean = s.body(f"piston{k}", piston_mass, sp.Float(0.001))
        s.join(
            f"pin{k}",
            rod(-share * length) - crank(radius * sp.cos(delta) - u_x / mass, radius * sp.sin(delta) - u_y / mass),
        )
        s.join(f"wrist{k}", piston(0) - rod((1 - share) * length))
        s.join(f"guide{k}" if crosshead else f"bore{k}", [sp.cos(bank) * xy[1] - sp.sin(bank) * xy[0] - offset])
        if crosshead:
            ahead = piston(AHEAD)
            s.join(f"bore{k}", [sp.cos(bank) * ahead[1] - sp.sin(bank) * ahead[0] - offset])
        else:
            s.join(f"turn{k}", [lean - bank])
        s.forces.append((piston_centre, -gas * (sp.cos(bank) * s.frame.x + sp.sin(bank) * s.frame.y)))
    return s.compile([*machine, *(p for group in per_cylinder for p in group), *more])


def slider_guess(drive, angle):
    """Rough start: the rod along the cylinder line, the piston a rod length above the pin."""
    moment = complex(drive.crank_moment) / 4.0 * np.exp(1j * angle)
    guess = [moment.real, moment.imag, angle]
    for bank, delta in zip(drive.bank_angle, drive.crankpin_angle, strict=True):
        along = np.exp(1j * bank)
        pin = drive.crank_radius * np.exp(1j * (angle + delta))
        lateral = (pin * np.conj(along)).imag
        lean = -np.arcsin(lateral / drive.rod_length)
        rod = pin + drive.rod_cg * drive.rod_length * along * np.exp(1j * lean)
        top = pin + drive.rod_length * along * np.exp(1j * lean)
        guess += [rod.real, rod.imag, bank + lean, top.real, top.imag, bank]
    return np.array(guess) + 1e-4


def scotch_yoke(cylinders):
    """The scotch yoke; parameters: radius, speed, crank moment (2), then per cylinder bank angle, pin angle, mass, gas.

    The pin may slide along the slot, which is fixed on the yoke and turns with it: one constraint along the yoke's own
    axis. The guides hold the yoke's centre of gravity on its line (``guide``) and its turn (``turn``)."""
    s = System()
    radius, omega, u_x, u_y = machine = sp.symbols("r omega u_x u_y")
    per_cylinder = [sp.symbols(f"bank{k} delta{k} m{k} gas{k}") for k in range(cylinders)]
    mass = sp.Float(4.0)
    crank, _, _, _, theta = s.body("crank", mass, sp.Float(0.02))
    s.join("main", crank(-u_x / mass, -u_y / mass))
    s.join("torque", [theta - omega * T])
    for k, (bank, delta, yoke_mass, gas) in enumerate(per_cylinder):
        yoke, _, centre, xy, turn = s.body(f"yoke{k}", yoke_mass, sp.Float(0.003))
        pin = crank(radius * sp.cos(delta) - u_x / mass, radius * sp.sin(delta) - u_y / mass)
        s.join(f"slot{k}", [(yoke(-REACH) - pin).dot(sp.Matrix([sp.cos(turn), sp.sin(turn)]))])
        s.join(f"guide{k}", [sp.cos(bank) * xy[1] - sp.sin(bank) * xy[0]])
        s.join(f"turn{k}", [turn - bank])
        s.forces.append((centre, -gas * (sp.cos(bank) * s.frame.x + sp.sin(bank) * s.frame.y)))
    return s.compile([*machine, *(p for group in per_cylinder for p in group)])


def scotch_yoke_guess(drive, angle):
    """Rough start: each yoke on its line, a third of a millimetre off."""
    moment = complex(drive.crank_moment) / 4.0 * np.exp(1j * angle)
    guess = [moment.real, moment.imag, angle]
    for bank, delta in zip(drive.bank_angle, drive.crankpin_angle, strict=True):
        place = (0.5 * drive.stroke * np.cos(angle + delta - bank) + REACH) * np.exp(1j * bank)
        guess += [place.real, place.imag, bank]
    return np.array(guess) + 3e-4
