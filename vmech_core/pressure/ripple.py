"""How even a pump's flow is: total ripple of the straight-line drive and of ordinary cranks against pressure."""

import numpy as np

from vmech_core.machine import hypocycloid, slider_crank
from vmech_core.pressure import pump
from vmech_core.pressure.liquid import Water

SUCTION = 1e5  # of the pumps whose ripple is compared [Pa]
WATER = Water(293.15)  # at 20 degrees Celsius


def _turn_of(rod_ratio=None):
    """Volume and rate, (A,), over one turn at equal steps of a cylinder with unit swept volume and no dead volume.

    From the outer dead centre, end point left out; a rod ratio of None is the straight-line drive.
    """
    angle = np.linspace(0.0, 2.0 * np.pi, 360, endpoint=False)
    if rod_ratio is None:
        found = hypocycloid.motion(hypocycloid.one_cylinder(1.0, 1.0), angle)
    else:
        found = slider_crank.motion(slider_crank.one_cylinder(1.0, rod_ratio, 1.0), angle)
    return found.position[0, 0] - found.position[0], -found.velocity[0]


def total_ripple(rod_ratios, cylinders, delivery, dead_volume_ratio, bulk_modulus=WATER):
    """Total flow variation of the straight-line drive and of ordinary cranks.

    Parameters
    ----------
    rod_ratios : sequence of float [1]
        Rod ratios of the ordinary cranks.
    cylinders : int [1]
        Evenly phased cylinders.
    delivery : (P,) array [Pa]
        Absolute delivery pressure.
    dead_volume_ratio : float [1]
        Dead volume over the swept volume.
    bulk_modulus : float or Water [Pa]
        Bulk modulus, or the liquid.

    Returns
    -------
    (1 + rod ratios, P) array [1]
        Highest less lowest flow over the mean; the straight-line drive first.

    Valid: as ``pump.flow_ripple``, from 1 bar suction; ordinary cranks without offset.
    Source: ``pump.flow_ripple``, exact motion of both mechanisms.
    """
    volume, rate = (np.stack(rows)[:, None] for rows in zip(_turn_of(), *map(_turn_of, rod_ratios), strict=True))
    return pump.flow_ripple(volume, rate, cylinders, suction=SUCTION, delivery=delivery, bulk_modulus=bulk_modulus,
                            dead_volume_ratio=dead_volume_ratio).total


def reversals(delivery, straight, ordinary):
    """Pressures at which the order of two ripples reverses.

    Parameters
    ----------
    delivery : (P,) array [Pa]
        Absolute delivery pressure, ascending.
    straight : (P,) array [1]
        Total ripple of the straight-line drive.
    ordinary : (P,) array [1]
        Total ripple of an ordinary crank.

    Returns
    -------
    (R,) array [Pa]
        Pressures between two samples of opposite order, by linear interpolation; empty if the order stays.

    Valid: samples so fine that the order changes at most once between two of them.
    Source: linear interpolation.

    Examples
    --------
    >>> reversals(np.array([1.0, 2.0, 3.0]), np.array([1.0, 2.0, 3.0]), np.array([1.5, 1.5, 1.5]))
    array([1.5])
    """
    gap = np.asarray(straight) - ordinary
    at = np.flatnonzero((gap[:-1] < 0.0) != (gap[1:] < 0.0))
    return delivery[at] + (delivery[at + 1] - delivery[at]) * gap[at] / (gap[at] - gap[at + 1])


def order_reversals(rod_ratios, cylinders, dead_volume_ratio, highest, bulk_modulus=WATER):
    """Pressures at which the straight-line drive changes from the smoother flow to the rougher, and back.

    Parameters
    ----------
    rod_ratios : sequence of float [1]
        Rod ratios of the ordinary cranks.
    cylinders : int [1]
        Evenly phased cylinders.
    dead_volume_ratio : float [1]
        Dead volume over the swept volume.
    highest : float [Pa]
        Highest absolute delivery pressure that is looked at.
    bulk_modulus : float or Water [Pa]
        Bulk modulus, or the liquid.

    Returns
    -------
    list of (R,) array [Pa]
        One for each rod ratio; the straight-line drive is the smoother up to the first, the rougher up to the
        second, and so on.

    Valid: as ``total_ripple``; 400 pressures, closer together where they are low.
    Source: ``total_ripple``, ``reversals``.
    """
    delivery = SUCTION + (highest - SUCTION) * np.linspace(0.0, 1.0, 400) ** 2
    total = total_ripple(rod_ratios, cylinders, delivery, dead_volume_ratio, bulk_modulus)
    return [reversals(delivery, total[0], ordinary) for ordinary in total[1:]]
