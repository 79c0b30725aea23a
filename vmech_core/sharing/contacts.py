"""Contacts of crank and rods with all that holds them: where each pushes, how far it has to go, and how stiff it is.

Displacements, in this order: u and v of the crank's axis C along and across the carrier arm (at each end, where two
ends are wanted), w, the turn of the crank times the carrier radius a, s, the turn of carrier 1 times a (two ends), and
for each rod its lateral place y at the pin and its tilt t times the rod length.
"""

import numpy as np


class Contacts:
    """Contacts of one elastic machine, one by one.

    Attributes
    ----------
    e, drive, axis : object [-]
        The machine, its drive, and the places along its axis; None lumps both ends in the middle.
    count, ends, size, w, first : int [1]
        Cylinders, ends, displacements, places of w and of the first rod among them.
    radius : float [m]
        Carrier radius.
    elastic : Elastic [-]
        Argument: the machine.
    """

    def __init__(self, elastic, drive, axis=None):
        self.e, self.drive, self.axis = elastic, drive, axis
        self.count, self.ends = len(drive.bank_angle), 1 if axis is None else 2
        self.radius, self.w = 0.25 * float(drive.stroke), 2 * self.ends
        self.first = self.w + self.ends
        self.size = self.first + 2 * self.count

    def row(self, *pairs):
        """A row from pairs of place and value.

        Parameters
        ----------
        pairs : tuple of (int, float or (A,) array) [-]
            Place among the displacements, and what is added there.

        Returns
        -------
        (1, n) or (A, n) array [1]
            The row.

        Valid: any.
        Source: none needed.
        """
        row = np.zeros((max(np.size(value) for _, value in pairs), self.size))
        for index, value in pairs:
            row[:, index] += value
        return row

    def at(self, k, first, second):
        """Pairs for a displacement of the crank's axis beside a cylinder.

        Parameters
        ----------
        k : int or None [1]
            Cylinder, from 0; None for the middle.
        first, second : float or (A,) array [1]
            Its two parts.

        Returns
        -------
        list of tuple [-]
            For ``row``: parts of each end.

        Valid: a rigid crank.
        Source: straight line between the bearings.
        """
        return self._along(0.0 if k is None or self.axis is None else float(self.axis.axial_position[k]), first, second)

    def _along(self, z, first, second):
        if self.ends == 1:
            return [(0, first), (1, second)]
        near = 0.5 - z / self.axis.bearing_span
        return [(0, near * first), (1, near * second), (2, (1 - near) * first), (3, (1 - near) * second)]

    def contacts(self, angle):
        """Every contact with its row.

        Parameters
        ----------
        angle : (A,) array [rad]
            Carrier angles.

        Yields
        ------
        kind, owner : str, int [-]
            ``flank`` (two for each mesh), ``bearing`` (two rows for each round seat) and ``tie`` with their end;
            ``guide`` and ``bore`` (two each), ``pin`` and ``stop`` with their cylinder.
        row : (1, n) or (A, n) array [1]
            Approach per displacement, to the positive side.
        offset : float or (N,) array [m]
            How far off the middle its seat is.

        Valid: small displacements.
        Source: notebook 06.
        """
        e, w, ends = self.e, self.w, range(self.ends)
        sine, cosine = np.sin(self.drive.pressure_angle), np.cos(self.drive.pressure_angle)
        for end in ends:
            z = 0.0 if self.axis is None else (-0.5, 0.5)[end] * self.axis.mesh_span
            for side in (-1.0, 1.0):
                yield "flank", end, self.row(*self._along(z, sine, side * cosine), (w, side * cosine)), 0.0
        for end in ends:
            turns = [(w + 1, -1.0)] if self.ends == 2 and end == 0 else []
            yield "bearing", end, self.row((2 * end, 1.0)), e.carrier_error
            yield "bearing", end, self.row((2 * end + 1, 1.0), *turns), 0.0
        if self.ends == 2 and self.axis.driving == "both":
            yield "tie", 0, self.row((w + 1, 1.0)), self.radius * self.axis.tie_phase_error
        for k, bank in enumerate(self.drive.bank_angle):
            phi, place, length = angle - bank, self.first + 2 * k, e.bore_span[1]
            shift = 0.0 if e.guide_rides else 2.0 * self.radius * np.cos(phi)
            for kind, levers in (("guide", [lever - shift for lever in e.guide_span]), ("bore", e.bore_span)):
                for lever in levers:
                    yield kind, k, self.row((place, 1.0), (place + 1, lever / length)), e.of(f"{kind}_offset", k)
            pin = [(i, -value) for i, value in self.at(k, np.sin(phi), np.cos(phi))]
            row, error = self.row((place, 1.0), *pin, (w, -np.cos(phi))), e.pin_offset(phi, self.radius, k)
            yield "pin", k, row, error
            yield "stop", k, row, error

    def laws(self, angle, rod):
        """Gap and stiffness of every contact.

        Parameters
        ----------
        angle : (A,) array [rad]
            Carrier angles.
        rod : (K, A) array [N]
            Force of each rod toward O.

        Returns
        -------
        callable [-]
            Gap [m] and stiffness [N/m], arrays (1 or N,), of a kind and its owner; with one end both meshes or seats
            together.

        Valid: as ``Elastic``.
        Source: ``Elastic``.
        """
        e, both = self.e, 2.0 if self.ends == 1 else 1.0
        gap, seat = e.seat("bearing")
        known = {"flank": (0.5 * e.backlash * np.cos(self.drive.pressure_angle), both * e.mesh),
                 "bearing": (gap, both * seat), "guide": e.seat("guide"), "bore": (e.bore_clearance, e.bore),
                 "tie": (0.0, 0.0 if self.axis is None else self.axis.tie_stiffness / self.radius**2)}
        for k, bank in enumerate(self.drive.bank_angle):
            soft, play, stop = e.joint(np.abs(rod[k]), 2.0 * self.radius * np.cos(angle - bank))
            known["pin", k], known["stop", k] = (0.0, soft), (play, stop)
        return lambda kind, k: tuple(map(np.atleast_1d, known.get(kind) or known[kind, k]))
