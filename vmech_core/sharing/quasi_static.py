"""Who carries the side load: crank and piston rods as elastic bodies between gear, guides, bores and bearings.

Displacements are small and seen from axes that turn with the carrier: u outward and v forward at each end of the crank,
w the turn of the crank times the carrier radius, and, with two ends, s the turn of carrier 1 times that radius. Each
piston rod has its lateral place at the pin and its tilt times the rod length. Supports push and never pull; errors of
geometry are offsets of supports. The crank in its carrier and the carrier in the block are one round seat: both plays
add up, the gap closes radially, and both stiffnesses act in series along the force. With one end the two meshes and
bearings are lumped in the middle. Notebook 06 derives the model.
"""

import numpy as np

from vmech_core.base.results import Loads, some
from vmech_core.machine import hypocycloid
from vmech_core.sharing import springs
from vmech_core.sharing.contacts import Contacts

#: Every how many angles the search for a start is made.
COARSE = 6


def share(elastic, drive, loads, axis=None, start=None):
    """Rest position and forces at every angle of plane loads.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine.
    drive : HypocycloidDrive [-]
        One drive.
    loads : Loads [-]
        Plane loads of the drive; their channel ``rod`` loads the pins.
    axis : CrankAxis or None [-]
        Places along the axis, for two ends and a crank that tilts; None lumps both ends in the middle.
    start : (A, n) array or None [m]
        Displacements to begin with.

    Returns
    -------
    Loads [-]
        All channels of the plane loads, with bore besides; guide is the guide's own part. With an axis also mesh_end,
        separating_end and crank_bearing_end.
    rest : Rest [-]
        Displacements and support forces, one case for each angle.

    Valid: quasi-static; small displacements; no friction.
    Source: notebook 06; limits and a second solution in tests/sharing/test_sharing.py.
    """
    supports, load = assembly(elastic, drive, loads.angle, loads["rod"], axis)
    start = _near(supports, load) if start is None else start
    found = springs.rest(supports, load, start)
    return _whole(drive, loads, forces(elastic, drive, loads, found, axis)), found


def _whole(drive, loads, part):
    """All channels of the plane loads, with those that the sharing decides replaced."""
    base = hypocycloid.rigid_loads(drive, loads.angle, loads["gas"], part["guide"] + part["bore"])
    closer = (base["separating"] - part["separating"]) * np.exp(1j * loads.angle)
    moved = {name: base[name] + closer for name in ("crank_bearing", "main")}
    return Loads(loads.angle, {**base.channels, **moved, **part.channels}, part.model)


def _near(supports, load):
    """Displacements to start from: solved at every ``COARSE``-th case, and so on down, straight lines between."""
    count = len(load)
    if count <= 4 * COARSE:
        return None
    few = np.unique(np.append(np.arange(0, count, COARSE), count - 1))
    part = some(supports, few)
    found = springs.rest(part, load[few], _near(part, load[few])).displacement
    return np.stack([np.interp(np.arange(count), few, column) for column in found.T], axis=1)


def assembly(elastic, drive, angle, rod, axis=None):
    """Supports and loads of the elastic machine.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine; array numbers have one entry for each case.
    drive : HypocycloidDrive [-]
        One drive.
    angle : (N,) or (1,) array [rad]
        Carrier angle of each case, or one for all.
    rod : (K, N) or (K, 1) array [N]
        Force of each rod toward O.
    axis : CrankAxis or None [-]
        Places along the axis; None lumps both ends in the middle.

    Returns
    -------
    supports : Supports [-]
        One-sided supports in the order: two flanks of each mesh, then for each cylinder both ends of the guide, both
        edges of the piston and the play of the pin, each to the positive side first. One round seat for each end.
    load : (N, n) array [N]
        Loads.

    Valid: as ``share``.
    Source: notebook 06.
    """
    own, angle = Contacts(elastic, drive, axis), np.atleast_1d(np.asarray(angle, dtype=float))
    rod, pushes, planes, linear = np.asarray(rod, dtype=float), [], [], []
    load, law = _crank_loads(own, angle, rod), own.laws(angle, rod)
    for kind, k, row, offset in own.contacts(angle):
        gap, stiffness = law(kind, k)
        if kind == "bearing":
            planes.append(row)
        elif kind in ("pin", "tie"):
            linear.append((row, stiffness))
            load.append((row, stiffness * offset))
        else:
            pushes.append((row, gap + offset, stiffness))
            if kind != "flank":
                pushes.append((-row, gap - offset, stiffness))
    rows, gap, stiff = (np.stack(np.broadcast_arrays(*part), axis=1) for part in zip(*pushes, strict=True))
    linear = sum(k[:, None, None] * row[:, :, None] * row[:, None, :] for row, k in linear)
    load = sum(force[:, None] * row for row, force in load)
    count = max(map(len, (gap, load, rows, linear, stiff)))
    planes = np.stack(planes).reshape(1, own.ends, 2, own.size)
    return springs.Supports(linear, rows, gap, stiff, planes, *_seats(own)), np.broadcast_to(load, (count, own.size))


def _crank_loads(own, angle, rod):
    """Rows and forces of the crank's inertia and of the rods."""
    d, spin = own.drive, np.exp(1j * angle)
    turning = np.conj(d.crank_moment) * spin * spin * d.speed**2
    central = d.crank_mass * own.radius * d.speed**2 + np.conj(turning)
    found = [(own.row(*own.at(None, 1.0, 0.0)), np.real(central)), (own.row(*own.at(None, 0.0, 1.0)), np.imag(central)),
             (own.row((own.w, 1.0)), np.imag(turning))]
    for k, bank in enumerate(d.bank_angle):
        cosine, sine = np.cos(angle - bank), np.sin(angle - bank)
        found.append((own.row(*own.at(k, cosine, -sine), (own.w, sine)), -rod[k]))
    return found


def _seats(own):
    """Clearance, stiffness and middle of the round seats."""
    e, every = own.e, np.ones((1, own.ends))
    clearance, stiffness, error = (np.reshape(v, (-1, 1)) for v in (*e.seat("bearing"), e.carrier_error))
    middle = np.stack([error * every, 0.0 * error * every], axis=-1)
    return clearance * every, stiffness * every * (2 if own.ends == 1 else 1), middle


def channel_names(cylinders, ends):
    """Channels of shared loads, one by one.

    Parameters
    ----------
    cylinders, ends : int [1]
        Cylinders, and ends of the crank: 1 lumps both.

    Returns
    -------
    tuple of str [-]
        ``mesh`` or ``mesh 1``, ``mesh 2``; ``guide 1`` and ``bore 1`` for each cylinder; ``carriers`` or ``carrier 1``,
        ``carrier 2``.

    Valid: any.
    Source: none needed.
    """
    sides = [("mesh", "carriers")] if ends == 1 else [(f"mesh {i + 1}", f"carrier {i + 1}") for i in range(ends)]
    teeth, seats = zip(*sides, strict=True)
    return (*teeth, *(f"{kind} {k + 1}" for kind in ("guide", "bore") for k in range(cylinders)), *seats)


def forces(elastic, drive, loads, found, axis=None):
    """Loads by channel from the support forces.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine.
    drive : HypocycloidDrive [-]
        The drive.
    loads : Loads [-]
        Plane loads that were shared.
    found : Rest [-]
        Rest position.
    axis : CrankAxis or None [-]
        As in ``share``.

    Returns
    -------
    Loads [-]
        Channels rod, guide, bore (K, N), mesh, separating (N); with an axis mesh_end, separating_end and
        crank_bearing_end (2, N).

    Valid: as ``share``.
    Source: directions of the supports.
    """
    ends, cylinders = (1 if axis is None else 2), len(drive.bank_angle)
    sine, cosine = np.sin(drive.pressure_angle), np.cos(drive.pressure_angle)
    flanks = found.push[:, : 2 * ends].reshape(-1, ends, 2)
    tooth, apart = cosine * (flanks[..., 0] - flanks[..., 1]).T, sine * flanks.sum(axis=-1).T
    own = found.push[:, 2 * ends :].reshape(len(found.push), cylinders, 5, 2)
    lateral = own[..., 1] - own[..., 0]
    guide, bore = lateral[..., :2].sum(axis=-1).T, lateral[..., 2:4].sum(axis=-1).T
    channels = {"rod": loads["rod"], "guide": guide, "bore": bore, "mesh": tooth.sum(axis=0),
                "separating": apart.sum(axis=0)}
    if ends == 2:
        held = (found.radial @ [1.0, 1.0j]).T * np.exp(1j * loads.angle)
        channels |= {"mesh_end": tooth, "separating_end": apart, "crank_bearing_end": held}
    return Loads(loads.angle, channels, "elastic parts and clearances, quasi-static")


def peak_forces(elastic, drive, loads):
    """Peak of tooth force, guide force and bore force once the load is shared.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine.
    drive : HypocycloidDrive [-]
        One drive.
    loads : Loads [-]
        Plane loads.

    Returns
    -------
    (3,) tuple of float [N]
        Both meshes together, the harder worked guide, the harder worked bore.

    Valid: as ``share``.
    Source: ``share``.
    """
    shared, _ = share(elastic, drive, loads)
    return tuple(float(np.abs(shared[name]).max()) for name in ("mesh", "guide", "bore"))
