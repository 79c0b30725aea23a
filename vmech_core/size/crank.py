"""A crank as a chain of straight bars in space: its shape, its loads over the cycle, what acts in each section, how it
bends.

Axes are fixed in the crank: z runs along it from end 1 to end 2. Shafts, pins and journals are round bars along z, a
web is a flat bar from axis to axis across z. Both machines go through the same code. On two journals the chain is
statically determinate, as the forces of the teeth are given.
"""

from collections import namedtuple
from itertools import pairwise

import numpy as np

from vmech_core.base import InputError, record
from vmech_core.machine.ends import end_loads
from vmech_core.machine.masses import STEEL, WEB, WEB_WIDTH

#: A web bends over its length less this share of both diameters: the part inside pin and journal hardly bends. Long in
#: use for the twist of crankshafts (W. Ker Wilson, Practical Solution of Torsional Vibration Problems; from memory).
SUNK_IN = 0.2
#: Steel left under the teeth of a pressed pinion, in modules: common practice, no source.
RIM = 1.25
_POISSON = 0.3
_STILL = np.zeros((2, 1))

#: One round part along the axis: name, middle along z [m], place of its axis [m, complex], length, diameter [m].
_Part = namedtuple("_Part", "name place axis length diameter")
#: Where the stress is looked at: words, kind (fillet, shoulder, hole, seat), bar, share of its length, diameter [m],
#: diameter of the thicker side [m], bar of the web beside it (-1: none), overlap with the part behind that web [m].
_Spot = namedtuple("_Spot", "name kind bar share diameter thick web overlap", defaults=(-1, np.nan))


@record("node bar free force couple at spots modulus angle")
class Chain:
    """A crank with its loads.

    Attributes
    ----------
    node : (N, 3) array [m]
        Places, in axes fixed in the crank.
    bar : (N - 1, 2) array [m]
        Diameter and 0 of a round bar, width and thickness of a web, between a node and the next.
    free : (N - 1,) array [1]
        Share of each bar that bends.
    force : (N, 3, A) array [N]
        On the nodes, with those of the bearings.
    couple : (N, A) array [N m]
        About z.
    at : dict of str to int [-]
        Name of a pin, journal or pinion to its node.
    spots : list of tuple [-]
        Where stress is looked at; a fillet has the ``overlap`` of the round parts on both sides of its web [m],
        negative for a gap.
    modulus : float [Pa]
        Young's modulus.
    angle : (A,) array [rad]
        Of the carrier, or of the ordinary crank.
    """

    def section(self, bar, share):
        """What the side of end 1 does to the other side in a section.

        Parameters
        ----------
        bar : int or (S,) array [1]
            Bar.
        share : float or (S,) array [1]
            Place along it, 0 to 1.

        Returns
        -------
        force : (S, 3, A) array [N]
            Shear and thrust.
        moment : (S, 3, A) array [N m]
            Two of bending and that of twist, about the section.

        Valid: loads on the nodes.
        Source: equilibrium of the part cut off; against a frame solved by a general library in
            tests/size/test_crank.py.
        """
        bar, share = np.atleast_1d(bar), np.atleast_1d(share)[:, None]
        force = np.cumsum(self.force, axis=0)[bar]
        about = np.cross(self.node[:, :, None], self.force, axis=1)
        about[:, 2] += self.couple
        place = self.node[bar] + share * (self.node[bar + 1] - self.node[bar])
        return force, np.cumsum(about, axis=0)[bar] - np.cross(place[:, :, None], force, axis=1)

    def bent(self):
        """How far each node moves and turns, with the middles of both journals held.

        Returns
        -------
        moved : (N, 3, A) array [m]
            Displacement.
        turned : (N, 3, A) array [rad]
            Small rotation, about z against the first journal.

        Valid: slender bars; a real web is none: a solid model (tests/size/test_crank.py) puts throws within a tenth,
            and slopes at the meshes at 0.7 to 0.9 of these. Bending, twist and shear, no thrust, which would
            add up to a fiftieth to the greatest deflections of the demos.
        Source: Mohr's integrals bar by bar, two Gauss points each, exact for loads on nodes.
        """
        start, along = self.node[:-1], np.diff(self.node, axis=0)
        length, shear = np.linalg.norm(along, axis=1), self.modulus * 0.5 / (1.0 + _POISSON)
        unit = along / np.maximum(length, 1e-12)[:, None]
        (wide, thick), is_round = self.bar.T, self.bar[:, 1] == 0.0
        first = np.where(is_round[:, None], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0])
        lines, flat = np.stack([unit, first, np.cross(unit, first)]), np.minimum(wide, thick) / np.maximum(wide, thick)
        polar = np.maximum(wide, thick) * np.minimum(wide, thick) ** 3 * (1 / 3 - 0.21 * flat * (1 - flat**4 / 12))
        inertia = np.where(is_round, np.pi * wide**4 / 64.0 * np.array([[2.0], [1.0], [1.0]]),
                           [polar, thick * wide**3 / 12.0, wide * thick**3 / 12.0])
        area = np.where(is_round, 0.9 * np.pi * wide**2 / 4.0, wide * thick / 1.2)
        stiff = inertia * np.array([shear, self.modulus, self.modulus])[:, None]
        soft = np.einsum("kei,kej->eij", lines / stiff[..., None], lines)
        slide = np.einsum("kei,kej->eij", lines[1:], lines[1:]) / (area * shear)[:, None, None]
        turn = gone = 0.0
        for side in (-1.0, 1.0):
            share = 0.5 + side * 0.5 * self.free / np.sqrt(3.0)
            force, moment = self.section(np.arange(len(length)), share)
            weight = (-0.5 * length * self.free)[:, None, None]
            small, place = weight * (soft @ moment), (start + share[:, None] * along)[:, :, None]
            turn, gone = turn + small, gone + weight * (slide @ force) - np.cross(small, place, axis=1)
        begin = np.zeros((1, *turn.shape[1:]))
        turned, gone = (np.concatenate([begin, np.cumsum(one, axis=0)]) for one in (turn, gone))
        moved = gone + np.cross(turned, self.node[:, :, None], axis=1)
        one, two = self.at["journal 1"], self.at["journal 2"]
        lean = (moved[two] - moved[one]) / (self.node[two, 2] - self.node[one, 2])
        back = np.stack([lean[1], -lean[0], -turned[one, 2]])
        moved = moved - moved[one] + np.cross(np.broadcast_to(back, moved.shape),
                                              (self.node - self.node[one])[:, :, None], axis=1)
        return moved, turned + back


def straight_crank(case, loads=None, factor=1.0):
    """The planet crank of a case, pinions and all.

    Parameters
    ----------
    case : Case [-]
        The case.
    loads : Loads [-]
        Plane loads; None for those that are shared with oil films. Ends that they hold themselves (``sharing.share``
        with an axis, ``March.loads``) are taken as they are, with the inertia of a crank that shakes.
    factor : float [1]
        On all loads, for peaks in time.

    Returns
    -------
    Chain [-]
        It orbits with the carrier and turns against it.

    Raises
    ------
    InputError
        If no web fits between two pins.

    Valid: as ``end_loads``; mass of the crank spread over its bars, counterweights in the outer webs. A web fills the
        gap between pins, or between pin and journal. Journals hold as points in their middles. What is left of the
        torque turns the mass of the bars.
    Source: the design file; equilibrium.
    """
    own, crank, drive = case.design, case.design.crank.si, case.drive
    loads = case.few if loads is None else loads
    ends, radius, spin = _ends(case, loads), 0.25 * float(drive.stroke), np.exp(1j * loads.angle)
    parts = [_Part(f"pin {k + 1}", z, radius * np.exp(2j * float(bank)), crank.pin_length, crank.pin_diameter)
             for k, (z, bank) in enumerate(zip(case.axis.axial_position, drive.bank_angle, strict=True))]
    forces, couples = {f"pin {k + 1}": force * spin for k, force in enumerate(loads["pin"])}, {}
    for end, side in enumerate((-0.5, 0.5)):
        parts += [_Part(f"pinion {end + 1}", side * case.axis.mesh_span, 0j, own.gear_pair.si.face_width,
                        2.0 * own.pair.pinion_root_radius),
                  _Part(f"journal {end + 1}", side * case.axis.bearing_span, 0j, crank.journal_length,
                        crank.journal_diameter)]
        forces[f"pinion {end + 1}"] = (1j * ends["mesh_end"][end] - ends["separating_end"][end]) * spin**2
        couples[f"pinion {end + 1}"] = radius * ends["mesh_end"][end]
    shake, turn = (loads.channels.get(f"crank_{name}", still) for name, still in (("shake", _STILL), ("spin", 0.0)))
    return _chain(own, parts, forces, couples, loads.angle, drive, factor, float(drive.crank_mass), radius * spin**2,
                  shake * spin, turn)


def ordinary_crank(case, loads=None, factor=1.0):
    """The ordinary crank of a case by the same rules: same pins, journals and width of webs, two main bearings.

    Parameters
    ----------
    case : Case [-]
        The case.
    loads : Loads [-]
        Plane loads; None for ``case.few_ordinary``.
    factor : float [1]
        On all loads.

    Returns
    -------
    Chain [-]
        Its torque is taken off behind journal 2.

    Raises
    ------
    InputError
        If no web fits between two pins.

    Valid: as ``straight_crank``; weight of the flywheel left out.
    Source: webs as in the design file, without one as in ``bearings.seats``; equilibrium.
    """
    own, crank, drive = case.design, case.design.crank.si, case.ordinary
    loads = case.few_ordinary if loads is None else loads
    place, spin = own.cylinders.si.axial_position, np.exp(-1j * loads.angle)
    pins = float(drive.crank_radius) * np.exp(1j * np.asarray(drive.crankpin_angle))
    parts = [_Part(f"pin {k + 1}", z, axis, crank.pin_length, crank.pin_diameter)
             for k, (z, axis) in enumerate(zip(place, pins, strict=True))]
    thick, web = crank.journal_diameter, crank.web or WEB * crank.pin_diameter
    out = np.abs(place).max() + 0.5 * crank.pin_length + web + 0.5 * crank.journal_length
    parts += [_Part(f"journal {k + 1}", side * out, 0j, crank.journal_length, thick) for k, side in enumerate((-1, 1))]
    parts.append(_Part("flywheel", out + 0.5 * crank.journal_length, 0j, 0.0, thick))
    forces = {f"pin {k + 1}": force * spin for k, force in enumerate(loads["pin"])}
    torque = (np.conj(pins)[:, None] * np.stack(list(forces.values()))).imag.sum(axis=0)
    return _chain(own, parts, forces, {"flywheel": -torque}, loads.angle, drive, factor)


def mesh_slopes(case, loads=None):
    """Slope at each mesh of the crank as it bends, along that mesh's line of action, journals held in their middles.

    Parameters
    ----------
    case : Case [-]
        The case.
    loads : Loads [-]
        As in ``straight_crank``.

    Returns
    -------
    (2, A) array [1]
        Signs as ``mesh_tilts``, whose bar without play it replaces.

    Raises
    ------
    InputError
        As ``straight_crank``.

    Valid: as ``Chain.bent``.
    Source: as ``Chain.bent``.
    """
    loads = case.few if loads is None else loads
    made, ends = straight_crank(case, loads), _ends(case, loads)
    turned = made.bent()[1][[made.at["pinion 1"], made.at["pinion 2"]]]
    tooth = 1j * ends["mesh_end"] - ends["separating_end"]
    slope = (turned[:, 1] - 1j * turned[:, 0]) * np.exp(-2j * loads.angle)
    return (slope * (tooth / np.maximum(np.abs(tooth), 1e-12)).conj()).real


def _ends(case, loads):
    return loads if "mesh_end" in loads else end_loads(case.axis, case.drive, loads)


def _chain(own, parts, forces, couples, angle, drive, factor, mass=None, orbit=0.0, shake=_STILL, spin=0.0):
    """Bars, spots and loads of the parts and of the mass that shakes; then what the two journals have to give."""
    node, bar, free, spots, at = _shape(own, sorted(parts, key=lambda part: part.place))
    webs, axis = np.flatnonzero(bar[:, 1] > 0.0), node[:, 0] + 1j * node[:, 1]
    length = np.linalg.norm(np.diff(node, axis=0), axis=1) + bar[:, 0] * (bar[:, 1] > 0.0)
    half = 0.5 * STEEL * length * bar[:, 0] * np.where(bar[:, 1] > 0.0, bar[:, 1], 0.25 * np.pi * bar[:, 0])
    weight = np.append(half, 0.0) + np.append(0.0, half)
    weight *= 1.0 if mass is None else mass / weight.sum()
    moment, turn = weight * axis, np.zeros((len(node), len(angle)))
    outer, rest = [webs[0], webs[-1] + 1], 0.5 * (complex(drive.crank_moment) - moment.sum())
    moment[outer] += rest
    plane = float(drive.speed) ** 2 * (weight[:, None] * orbit + moment[:, None] * np.ones(len(angle)))
    turn[outer] += float(drive.speed) ** 2 * (np.conj(rest) * orbit).imag
    for name, force in forces.items():
        plane[at[name]] += force
    for name, torque in couples.items():
        turn[at[name]] += torque
    one, two = at["journal 1"], at["journal 2"]
    along = ((node[:, 2] - node[one, 2]) / (node[two, 2] - node[one, 2]))[:, None]
    plane -= weight[:, None] * (shake[0] + along * (shake[1] - shake[0])) + 1j * moment[:, None] * spin
    turn -= weight[:, None] / weight.sum() * (turn + (axis.conj()[:, None] * plane).imag).sum(axis=0)
    plane = factor * plane
    held = (along * plane).sum(axis=0)
    plane[one] -= plane.sum(axis=0) - held
    plane[two] -= held
    return Chain(node=node, bar=bar, free=free, force=np.stack([plane.real, plane.imag, 0.0 * plane.real], axis=1),
                 couple=factor * turn, at=at, spots=spots, modulus=own.gear_pair.si.pinion_youngs_modulus, angle=angle)


def _shape(own, parts):
    """Nodes, bars and spots of parts in their order along z."""
    first, width, spots = parts[0], WEB_WIDTH * own.crank.si.pin_diameter, []
    rows, at = [(0.0, 0.0, 0.0, first.axis, first.place)], {first.name: 0}
    for last, part in pairwise(parts):
        reach, both, count = abs(part.axis - last.axis), (last.diameter, part.diameter), len(rows) - 1
        near, far = last.place + 0.5 * last.length, part.place - 0.5 * part.length
        if reach > 1e-9:
            if far - near < 1e-6:
                words = f"too narrow for a web between {last.name} and {part.name}: {1e3 * (far - near):.4g}, not > 0"
                raise InputError("cylinders.axial_position_mm", list(own.cylinders.axial_position_mm), words, "mm")
            middle, free = 0.5 * (near + far), max(1.0 - SUNK_IN * sum(both) / reach, 0.0)
            rows += [(last.diameter, 0.0, 1.0, last.axis, middle), (width, far - near, free, part.axis, middle)]
            for k, (one, other, share) in enumerate(((last, part, (near - last.place) / (middle - last.place)),
                                                     (part, last, (far - middle) / (part.place - middle)))):
                spots.append(_Spot(f"{one.name}, fillet to {other.name}", "fillet", count + 2 * k, share, one.diameter,
                                   width, count + 1, 0.5 * sum(both) - reach))
        elif part.diameter != last.diameter:
            rows.append((last.diameter, 0.0, 1.0, last.axis, near if part.name.startswith("pinion") else far))
            spots.append(_Spot(f"{last.name}, shoulder to {part.name}", "shoulder", count, 1.0, min(both), max(both)))
            if own.crank.pinion_seat == "pressed":
                d = own.crank.si.seat_diameter or 2.0 * (own.pair.pinion_root_radius - RIM * own.pair.module)
                spots[-1] = spots[-1]._replace(kind="seat", diameter=d)
        at[part.name] = len(rows)
        rows.append((part.diameter, 0.0, 1.0, part.axis, part.place))
        if part.name.startswith("pin "):
            spots.append(_Spot(f"{part.name}, oil hole", "hole", len(rows) - 2, 1.0, part.diameter, 0.0))
    wide, thick, free, axis, place = map(np.array, zip(*rows, strict=True))
    node, bar = np.column_stack([axis.real, axis.imag, place]), np.column_stack([wide, thick])[1:]
    return node, bar, free[1:], spots, at
