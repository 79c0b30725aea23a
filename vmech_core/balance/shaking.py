"""What shakes the frame, as rotating vectors: one list for any machine, one entry for each order of the speed.

A vector of order n turns n times as fast as the shaft, backward if n is negative. Its force is its mass moment times
(n omega)^2. Reciprocating motion gives each order twice, forward and backward: the straight-line drive has order 1
alone, and its two vectors are fixed on bodies that turn so anyhow, the carriers (+1) and the crank (-1). A couple is
the sum of force times place along the axis, in the direction of the force; its axis lies a right angle farther.
The reaction to the torque also shakes the frame; it is left out here. Notebook 07 derives it.
"""

from collections import namedtuple

import numpy as np

from vmech_core.base import InputError
from vmech_core.machine import harmonics, masses, slider_crank
from vmech_core.machine.masses import STEEL

#: Orders that are kept of an ordinary crank; what is left away is below 1e-9 of the first from a rod ratio of 3 on.
ORDERS = 16


class Unbalance(namedtuple("Unbalance", "order moment product")):
    """Rotating mass moments of a machine, by order.

    Attributes
    ----------
    order : (N,) array [1]
        Speed of the vector over that of the shaft; an order may stand more than once.
    moment : (N,) complex array [kg m]
        Mass times radius at shaft angle 0.
    product : (N,) complex array [kg m2]
        The same times the place along the axis, from the middle.
    """

    def __add__(self, other):
        return Unbalance(*map(np.concatenate, zip(self, other, strict=True)))

    def only(self, *orders):
        """Vectors of some orders.

        Parameters
        ----------
        *orders : int [1]
            Which; balance shafts at 1 and -1 leave the rest, for example.

        Returns
        -------
        Unbalance [-]
            Those alone.
        """
        return Unbalance(*(own[np.isin(self.order, orders)] for own in self))

    def without(self, *orders):
        """What ideal shafts of some orders leave, each with the moments of ``in_planes``.

        Parameters
        ----------
        *orders : int [1]
            Orders that are cancelled, force and couple.

        Returns
        -------
        Unbalance [-]
            The others.
        """
        return self.only(*set(self.order.tolist()).difference(orders))

    def force(self, angle, speed):
        """Force on the frame.

        Parameters
        ----------
        angle : (A,) array [rad]
            Angle of the shaft.
        speed : float [rad/s]
            Its speed, constant.

        Returns
        -------
        (A,) complex array [N]
            The hodograph.
        """
        return np.einsum("n,na", (speed * self.order) ** 2 * self.moment, np.exp(1j * np.outer(self.order, angle)))

    def couple(self, angle, speed):
        """Couple on the frame about the middle of the axis.

        Parameters
        ----------
        angle : (A,) array [rad]
            Angle of the shaft.
        speed : float [rad/s]
            Its speed, constant.

        Returns
        -------
        (A,) complex array [N m]
            Force times place, in the direction of the force.
        """
        return np.einsum("n,na", (speed * self.order) ** 2 * self.product, np.exp(1j * np.outer(self.order, angle)))

    def in_planes(self, order, planes):
        """Mass moments in two planes that cancel one order, force and couple.

        Parameters
        ----------
        order : int [1]
            Speed of the rotor over that of the shaft.
        planes : sequence of two float [m]
            Where its two counterweights stand.

        Returns
        -------
        (2,) complex array [kg m]
            Mass times radius at shaft angle 0.

        Raises
        ------
        InputError
            If both planes are one.
        """
        (low, high), own = planes, self.only(order)
        if low == high:
            raise InputError("planes", high, "not two different planes", "m")
        moment, product = own.moment.sum(), own.product.sum()
        return np.array([product - high * moment, low * moment - product]) / (high - low)


def rotating(moment, place, order=1):
    """Masses that turn with one rotor.

    Parameters
    ----------
    moment : (N,) complex array [kg m]
        Mass times radius times e^(i angle) of each at shaft angle 0.
    place : float or (N,) array [m]
        Place of each along the axis.
    order : int [1]
        Speed of the rotor over that of the shaft, negative if it turns backward.

    Returns
    -------
    Unbalance [-]
        One vector.

    Valid: rigid rotor.
    Source: centrifugal force; published examples in tests/published/test_balance.py.

    Examples
    --------
    >>> rotating(np.array([0.002, 0.001j]), np.array([0.0, 0.1])).in_planes(1, [0.0, 0.2]).round(9)
    array([-0.002-0.0005j,  0.   -0.0005j])
    """
    moment = np.asarray(moment, dtype=complex)
    return Unbalance(np.array([order]), np.array([moment.sum()]), np.array([(moment * place).sum()]))


def reciprocating(mass, bank_angle, crankpin_angle, place, amplitude):
    """Masses that move to and fro along lines through the axis, any number of cylinders and banks.

    Parameters
    ----------
    mass : float or (K,) array [kg]
        Mass of each.
    bank_angle : (K,) array [rad]
        Direction of its line, outward.
    crankpin_angle : float or (K,) array [rad]
        Angle of its crankpin at shaft angle 0.
    place : float or (K,) array [m]
        Place of the line along the axis.
    amplitude : (N,) array [m]
        Harmonics c_1 to c_N of the motion, x = Re sum c_n e^(i n phi), phi from the line to the pin. Slider-crank
        in textbooks: r and r^2 / (4 L); straight-line drive: half the stroke.

    Returns
    -------
    Unbalance [-]
        Forward and backward vector of each order.

    Valid: constant speed.
    Source: cos = half the sum of two turning vectors; published examples in tests/published/test_balance.py.

    Examples
    --------
    >>> half = reciprocating(1.0, np.array([0.0]), 0.0, 0.0, [0.04])
    >>> half.order, abs(half.moment)
    (array([ 1, -1]), array([0.02, 0.02]))
    """
    count = np.arange(1, len(amplitude) + 1)[:, None]
    along, turn = np.exp(1j * np.asarray(bank_angle)), np.exp(1j * count * np.subtract(crankpin_angle, bank_angle))
    wave = np.asarray(amplitude)[:, None] * turn
    moments = 0.5 * mass * along * np.concatenate([wave, wave.conj()])
    order = np.concatenate([count, -count])[:, 0]
    return Unbalance(order, moments.sum(axis=1), (moments * place).sum(axis=1))


def end_webs(case):
    """Room of the crank's end webs along its axis, and what their far halves weigh.

    Parameters
    ----------
    case : Case [-]
        The case.

    Returns
    -------
    low, high : float [m]
        From the outermost crankpin to the carrier that encloses the journal, or to the pinion.
    halves : float [kg]
        Of both together, opposite the pins, as far as they have room.
    web : float [kg]
        A whole web.

    Valid: as the rule that estimates the crank in ``machine.masses``: webs are plates as long as the throw of two pins.
    Source: common practice, no source.
    """
    crank, d, pin = case.design.crank.si, case.design, case.design.crank.si.pin_diameter
    low = np.abs(d.cylinders.si.axial_position).max() + 0.5 * crank.pin_length
    high = 0.5 * (crank.mesh_span - d.gear_pair.si.face_width) - crank.journal_length * (d.journals_outward < 0.0)
    web = masses.web(d)
    return low, high, web * min(max(high - low, 0.0) / (masses.WEB * pin), 1.0), web


def of_straight(case, bare=False):
    """Unbalance of the straight-line drive, as loads have it or bare.

    Parameters
    ----------
    case : Case [-]
        The case.
    bare : bool [-]
        Whether to leave all counterweights away: the end webs then end at the crank's axis, and the bores of enclosing
        carriers count. If not, the end webs are as long on the other side, the carriers have no moment, and the crank
        has the moment that its key asks for, by a counterweight in the middle.

    Returns
    -------
    Unbalance [-]
        Orders 1 (with the carriers) and -1 (with the crank).

    Valid: likely masses, schematic webs.
    Source: m_k a e^(i theta) and m_k a e^(i (2 alpha_k - theta)), derived in notebook 07; the frame of
        ``hypocycloid.rigid_loads`` and a general multibody model in tests/balance.
    """
    design, drive, radius, quarter = case.design, case.drive, 0.25 * case.drive.stroke, 0.25 * np.pi * STEEL
    crank, places, (low, high, halves, web) = design.crank.si, design.cylinders.si.axial_position, end_webs(case)
    order, pin = np.argsort(places), crank.pin_diameter
    throw, in_order, middle = radius * np.exp(2j * drive.bank_angle[order]), places[order], 0.5 * (low + high)
    ends = bare * halves * (2.0 / (3.0 * np.pi)) * (1.0 + 0.7 * pin / radius) * throw[[0, -1]]
    own = np.concatenate([quarter * pin**2 * crank.pin_length * throw, 0.5 * web * (throw[1:] + throw[:-1]), ends])
    at = np.concatenate([in_order, 0.5 * (in_order[1:] + in_order[:-1]), [-middle, middle]])
    hole = quarter * crank.journal_diameter**2 * 2.0 * design.carrier.si.bearing_length
    hole *= design.journals_outward < 0.0
    orbits = radius * (drive.crank_mass - bare * (halves + hole))
    found = reciprocating(drive.reciprocating_mass, drive.bank_angle, 0.0, places, [2.0 * radius])
    found = found + rotating([orbits], 0.0) + rotating(own, at, -1)
    return found if bare else found + rotating([drive.crank_moment - own.sum()], 0.0, -1)


def of_ordinary(case, turning=None, share=None):
    """Unbalance of the ordinary crank with its counterweights, each beside its pin.

    Rods on a common pin stand side by side, a pin length apart; other pins where those of the straight-line drive are.

    Parameters
    ----------
    case : Case [-]
        The case.
    turning : float or None [1]
        Share of the rods' rotating mass that is cancelled; None is that of the design.
    share : float or None [1]
        Share of the reciprocating mass that is cancelled besides; None is that of the design.

    Returns
    -------
    Unbalance [-]
        Orders up to ``ORDERS``, forward and backward.

    Valid: likely masses; pins and webs cancelled by counterweights of their own; forces of any rod exactly.
    Source: harmonics of the exact motion, rod as two masses with its centre of gravity, which is exact for forces; the
        frame of ``slider_crank.rigid_loads`` and a general multibody model in tests/balance.
    """
    d, own, place = case.ordinary, case.design.ordinary_crank, case.design.cylinders.si.axial_position
    if own.crankpin_layout == "common":
        place = case.design.crank.si.pin_length * (np.argsort(np.argsort(place)) - 0.5 * (len(place) - 1))
    turning = own.rotating_balance_fraction if turning is None else turning
    share = own.reciprocating_balance_fraction if share is None else share
    revolves, moves = d.rod_mass * (1.0 - d.rod_cg), d.piston_mass + d.rod_mass * d.rod_cg
    phi = np.linspace(0.0, 2.0 * np.pi, 256, endpoint=False)
    path = slider_crank.motion(d, phi - d.crankpin_angle[0] + d.bank_angle[0]).position[0]
    pins = (revolves * (1.0 - turning) - share * moves) * d.crank_radius * np.exp(1j * d.crankpin_angle)
    wave = harmonics(path, range(1, ORDERS + 1))
    return rotating(pins, place) + reciprocating(moves, d.bank_angle, d.crankpin_angle, place, wave)
