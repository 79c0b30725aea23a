"""Statics along the axis of the straight-line drive: what each end of the planet crank carries.

End 1 lies at negative z, end 2 at positive z; end 2 drives the load. In axes that turn with the carriers, the crank is
a rigid beam. Its journals rest in the carriers at z = -+b, its pinions mesh at z = -+m. Where one carrier drives, the
other is free to turn: it holds the crank toward the main axis O, not sideways, so its mesh has to do that. A layshaft
that ties the two carriers helps as far as it is stiff against the meshes. Notebook 05 derives it.
"""


import numpy as np

from vmech_core.base import Loads, column, record, refuse
from vmech_core.gears.mesh import mesh_stiffness


@record("axial_position mesh_span bearing_span driving mesh_stiffness", tie_stiffness=0.0, tie_phase_error=0.0)
class CrankAxis:
    """Places along the axis of the crank, and what holds its two ends; or a batch of them.

    Attributes
    ----------
    axial_position : (..., K) array [m]
        Place of each crankpin, from the middle between the meshes.
    mesh_span : float or (...) array [m]
        Distance between the middles of the two meshes, 2 m.
    bearing_span : float or (...) array [m]
        Distance between the middles of the two crank journals in the carriers, 2 b.
    driving : str [-]
        ``one``: carrier 2 drives and carrier 1 is free to turn; ``both``: a layshaft ties carrier 1 to carrier 2, from
        which the load is taken.
    mesh_stiffness : float or (...) array [N/m]
        Tangential stiffness of one mesh; counts only if both drive.
    tie_stiffness : float or (...) array [N m/rad]
        Torsional stiffness of the tie, referred to the carriers; infinite for an ideal one; counts only if both drive.
    tie_phase_error : float or (...) array [rad]
        Angle by which the unloaded tie sets carrier 1 ahead of carrier 2; counts only if both drive.
    """

def mesh_of_design(design, drive):
    """Tangential stiffness of each mesh of a design.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : HypocycloidDrive [-]
        Its drive.

    Returns
    -------
    Estimate [N/m]
        Low, likely and high.

    Valid: as ``mesh_stiffness``.
    Source: as ``mesh_stiffness``; the design file.
    """
    own = design.gear_pair.si
    return mesh_stiffness(own.face_width, own.pinion_youngs_modulus, own.ring_youngs_modulus, drive.pressure_angle)


def from_design(design, drive):
    """Places and supports of the crank of a design.

    A carrier that encloses the crank's journal stands inside its pinion, one with a stub shaft outside; journal and
    pinion lie side by side without a gap, or the journal in the bore of the pinion, in the plane of its mesh.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : HypocycloidDrive [-]
        Its drive.

    Returns
    -------
    CrankAxis [-]
        With the likely stiffness of the meshes.

    Valid: equal ends.
    Source: the design file; journal beside pinion is our own layout.
    """
    crank, place = design.crank.si, design.cylinders.si.axial_position
    step = design.gear_pair.si.face_width + crank.journal_length
    span = crank.mesh_span + design.journals_outward * step
    return CrankAxis(axial_position=place, mesh_span=crank.mesh_span, bearing_span=span,
                     driving=crank.driving_carriers, mesh_stiffness=mesh_of_design(design, drive).likely,
                     tie_stiffness=crank.tie_stiffness, tie_phase_error=crank.tie_phase_error)


def meshes_against_tie(axis, drive):
    """Stiffness of the two meshes against a turn of carrier 1, with which the tie competes.

    Carrier 1 turns by d: the crank tilts, and its pinions shift against each other by a d m / b at the meshes. A tie of
    this stiffness goes half of the way from the free carrier to the ideal tie; a good one is many times stiffer.

    Parameters
    ----------
    axis : CrankAxis [-]
        Places and supports, or a batch.
    drive : HypocycloidDrive [-]
        The drive, or a batch.

    Returns
    -------
    float or (...) array [N m/rad]
        Half the stiffness of a mesh times (a m / b) squared.

    Valid: rigid crank and bearings, meshes without backlash; a crank that twists makes it smaller.
    Source: moment balance of crank and carrier 1, derived in notebook 05; checked in space in
        tests/machine/test_axial_statics.py.
    """
    lever = 0.25 * np.asarray(drive.stroke) * axis.mesh_span / axis.bearing_span
    return 0.5 * axis.mesh_stiffness * lever**2


def phase_force(axis, drive):
    """Tooth force that the phase error of the tie alone locks into the two meshes, equal and opposite.

    A phase error between the two ring gears, or between the two pinions, acts in the same way.

    Parameters
    ----------
    axis : CrankAxis [-]
        Places and supports, or a batch.
    drive : HypocycloidDrive [-]
        The drive, or a batch.

    Returns
    -------
    float or (...) array [N]
        Force on the pinion of end 2 along i e^(i theta); on end 1 its opposite; zero where one carrier drives.

    Raises
    ------
    InputError
        If ``axis.driving`` is neither ``one`` nor ``both``.

    Valid: rigid crank and bearings. Meshes without backlash: while the machine idles, the teeth of a real pair float in
        their backlash instead, and only under load, with both meshes on the same flank, the full difference appears.
    Source: tie and meshes as two springs in series, derived in notebook 05; checked in space in
        tests/machine/test_axial_statics.py.
    """
    return _tie(axis, drive)[1] * axis.bearing_span / axis.mesh_span


def shares(axis, drive, tooth_force):
    """Share of each end in the tooth force of both, for a load in the middle and idle guides.

    With r = mesh span / bearing span, end 1 takes 1/2 - c / r and end 2 takes 1/2 + c / r; c is 1 where carrier 1 is
    free and falls to 0 with an ideal tie. The phase error adds its own constant force: its share falls with the load.

    Parameters
    ----------
    axis : CrankAxis [-]
        Places and supports, or a batch; the places of the cylinders are not looked at.
    drive : HypocycloidDrive [-]
        The drive, or a batch.
    tooth_force : float or (...) array [N]
        Tangential force of both meshes together, not zero; it counts only with a phase error.

    Returns
    -------
    (..., 2) array [1]
        Share of end 1 and of end 2; their sum is 1.

    Raises
    ------
    InputError
        If ``axis.driving`` is neither ``one`` nor ``both``.

    Valid: rigid crank and bearings, meshes without backlash, all cylinders in the middle between the ends, guides idle,
        no mass moment of the crank of its own.
    Source: moment balance along the axis, derived in notebook 05; checked in space in
        tests/machine/test_axial_statics.py.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> shares(CrankAxis(np.zeros(1), 0.1, 0.1, "one", 1e8), SimpleNamespace(stroke=0.06), 1e3)
    array([-0.5,  1.5])
    """
    free, locked = _tie(axis, drive)
    first = 0.5 - (free + locked / tooth_force) * axis.bearing_span / axis.mesh_span
    return np.stack([first, 1.0 - first], axis=-1)


def end_loads(axis, drive, loads):
    """Loads of each end of the crank, from the plane loads of the whole.

    Tooth forces of the two ends add up to the plane ``mesh`` exactly. The separating force of a mesh follows the size
    of its own tooth force, so where the two meshes push against each other the ends add up to more than the plane
    ``separating``; the crank's bearing forces add up to the plane ``crank_bearing`` with that separating force in it.

    Parameters
    ----------
    axis : CrankAxis [-]
        Places and supports, or a batch.
    drive : HypocycloidDrive [-]
        The drive, or a batch, that gave the loads.
    loads : Loads [-]
        Plane loads, from ``hypocycloid.rigid_loads`` with any guide forces.

    Returns
    -------
    Loads [-]
        Channels mesh_end, separating_end, crank_bearing_end, main_end, each (..., 2, A), and tie, (..., A).

    Raises
    ------
    InputError
        If ``axis.driving`` is neither ``one`` nor ``both``.

    Valid: rigid crank, journals and carriers; no friction. Mass and own mass moment of the crank act in the middle,
        with no couple. Tied carriers: each mesh is one spring for both flanks, without backlash; where the tied ends
        come out with opposite signs, backlash has to be crossed first, and the truth lies between that and no force at
        all on the weaker end. Each carrier bears in the block in the plane of its crank journal (a stub shaft bears
        farther out and carries a couple as well); forces of the tie's own gears on the carriers are left out.
    Source: force and moment balance of crank and carriers, derived in notebook 05; checked by bodies in space with
        multipliers in tests/machine/test_axial_statics.py.
    """
    spin = np.exp(1j * loads.angle)
    free, locked = _tie(axis, drive)
    direct = _without_teeth(axis, drive, loads["pin"], spin)
    lever, half = column(axis.mesh_span / axis.bearing_span, 1), 0.5 * loads["mesh"]
    needed, locked = direct[..., 0, :].imag + half, column(locked, 1)
    first = half - (column(free, 1) * needed + locked) / lever
    mesh = np.stack([first, 2.0 * half - first], axis=-2)
    separating = np.abs(mesh) * np.tan(column(drive.pressure_angle, 2))
    tooth, near = 1j * mesh - separating, 0.5 * (1.0 + column(lever, 1))
    bearing = (direct + near * tooth + (1.0 - near) * tooth[..., ::-1, :]) * spin
    carrier = (0.5 * column(drive.carrier_moment, 2) * column(drive.speed, 2) ** 2) * spin
    channels = {"mesh_end": mesh, "separating_end": separating, "crank_bearing_end": bearing,
                "main_end": bearing + carrier,
                "tie": column(0.25 * np.asarray(drive.stroke), 1) * (locked - (1.0 - column(free, 1)) * needed)}
    words = "carrier 2 drives, carrier 1 is free" if axis.driving == "one" else "both carriers drive, tied"
    return Loads(loads.angle, channels, f"{loads.model}; rigid crank; {words}")


def mesh_tilts(axis, drive, loads, ends, bending, clearance=0.0, stiffness=np.inf):
    """Slope of the crank at each mesh, along that mesh's line of action: a first estimate of what loads one tooth end.

    The crank is one beam of even stiffness on its two journals. Each journal is pressed through its play in the
    direction of its force; as the ends carry unequal forces, that tilts the crank as a whole.

    Parameters
    ----------
    axis : CrankAxis [-]
        Places and supports (no batch).
    drive : HypocycloidDrive [-]
        The drive.
    loads : Loads [-]
        Plane loads with the channel ``pin``.
    ends : Loads [-]
        The same by ``end_loads``.
    bending : float [N m2]
        E I of the crank.
    clearance : float [m]
        Radial play of journal and carrier bearing together.
    stiffness : float [N/m]
        Of both bearings in series beyond the play.

    Returns
    -------
    (2, A) array [1]
        Slope; times the face width it is the misalignment of that mesh. Positive where the side of the pinion toward
        end 2 gives way, so that the other side carries more.

    Valid: order of magnitude: webs and pins side by side are softer than a beam, long journals stiffer; rigid, straight
        carriers and rings; mass of the crank in the middle. The slope changes sign over a cycle.
    Source: beam theory, any text on strength of materials; checked against closed forms in
        tests/machine/test_axial_statics.py.
    """
    spin = np.exp(1j * loads.angle)
    places = np.concatenate([axis.axial_position, [0.0], np.array([-0.5, 0.5]) * axis.mesh_span])
    seats = np.array([-0.5, 0.5]) * axis.bearing_span
    mesh = ends["mesh_end"]
    tooth, held = 1j * mesh - ends["separating_end"], -ends["crank_bearing_end"] / spin
    middle = -held.sum(axis=0) - (loads["pin"] / spin).sum(axis=0) - tooth.sum(axis=0)
    forces = np.concatenate([loads["pin"] / spin, middle[None], tooth, held])
    places = np.concatenate([places, seats])
    sunk = -held / stiffness - clearance * held / np.maximum(np.abs(held), 1e-12)

    def bent(at, power, factor):
        return np.maximum(np.subtract.outer(at, places), 0.0) ** power @ forces / (factor * bending)

    low, high = sunk - bent(seats, 3, 6.0)
    slope = bent(places[-4:-2], 2, 2.0) + (high - low) / axis.bearing_span
    normal = tooth / np.maximum(np.abs(tooth), 1e-12)
    return (slope * normal.conj()).real


def _tie(axis, drive):
    """Part of the free carrier's effect that the tie leaves, and its phase error as a force at carrier radius [N].

    Both at bearing 1; tie and meshes are springs in series.
    """
    refuse(axis.driving not in ("one", "both"), "driving", axis.driving, "not one of one, both")
    if axis.driving == "one":
        return 1.0, 0.0
    meshes = meshes_against_tie(axis, drive)
    free = 1.0 / (1.0 + np.asarray(axis.tie_stiffness) / meshes)
    return free, (1.0 - free) * meshes * axis.tie_phase_error / (0.25 * np.asarray(drive.stroke))


def _without_teeth(axis, drive, pin, spin):
    """Force on the carrier of each end, (..., 2, A), in axes that turn with the carriers, if the teeth gave none."""
    speed2 = column(drive.speed, 1) ** 2
    centrifugal = column(drive.crank_mass, 1) * 0.25 * column(drive.stroke, 1) * speed2
    own = column(drive.crank_moment, 1) * speed2 * spin.conj()
    to_first = 0.5 - np.asarray(axis.axial_position) / column(axis.bearing_span, 1)
    first = (to_first[..., None] * pin).sum(axis=-2) + 0.5 * own
    second = pin.sum(axis=-2) + own - first
    return np.stack(np.broadcast_arrays(first, second), axis=-2) * spin.conj() + 0.5 * column(centrifugal, 1)
