"""The straight-line drive as an elastic machine: stiffnesses, clearances and errors of geometry, estimated or given."""

from collections import namedtuple
from dataclasses import replace

import numpy as np

from vmech_core.base.results import Estimate, record
from vmech_core.machine import ends

#: Contact stiffness per length of a conforming steel contact over (pi / 8) E / (1 - nu^2): low, likely, high. The full
#: value is the order of a line contact (K. L. Johnson, Contact Mechanics); housings are softer, own judgement.
SOFTER = (0.03, 0.15, 0.6)
POISSON = 0.3


#: An oil film as a spring at each end of a part: how far it reaches into the clearance [m] (all of it for a squeezed
#: film), its stiffness [N/m], infinite for a film that does not give way, and the clearance for which both hold [m].
FilmSpring = namedtuple("FilmSpring", "reach stiffness clearance")


@record("backlash mesh bearing_clearance bearing guide_span guide_rides guide_clearance guide bore_span "
        "bore_clearance bore pin_clearance pin bending", carrier_error=0.0, pin_error=0.0, phase_error=0.0,
        guide_offset=0.0, bore_offset=0.0, bearing_film=None, guide_film=None)
class Elastic:
    """Stiffnesses, clearances and errors of one machine; every number may be an array (N,) over cases.

    Attributes
    ----------
    backlash : float or (N,) array [m]
        Play of each mesh along the working pitch circle.
    mesh : float or (N,) array [N/m]
        Stiffness of one mesh along its line of action.
    bearing_clearance : float or (N,) array [m]
        Radial clearance of the crank in its carrier and of the carrier in the block together.
    bearing : float or (N,) array [N/m]
        Radial stiffness of the two together, at one end.
    guide_span : tuple of two float [m]
        Ends of the guide: from the main axis O if it stands above the crank, from the pin if it rides at the big end.
    guide_rides : bool [-]
        True for a guide at the big end.
    guide_clearance : float or (N,) array [m]
        Radial clearance in the guide.
    guide : float or (N,) array [N/m]
        Stiffness of each end of the guide.
    bore_span : tuple of two float [m]
        Lower and upper edge of the piston, from the pin.
    bore_clearance : float or (N,) array [m]
        Radial clearance of the piston in its bore.
    bore : float or (N,) array [N/m]
        Stiffness of each edge of the piston.
    pin_clearance : float or (N,) array [m]
        Radial clearance of the rod on its crankpin.
    pin : float or (N,) array [N/m]
        Stiffness of that bearing.
    bending : float or (N,) array [N m2]
        Bending stiffness of the rod; counts where the pin overhangs the guide.
    carrier_error : float or (N,) array [m]
        Carrier radius less a quarter of the stroke.
    pin_error : (K,) or (N, K) array [m]
        Pin radius less a quarter of the stroke.
    phase_error : (K,) or (N, K) array [rad]
        Angle of each pin on the crank, with the assembly error of the pinion, ahead of where it should be.
    guide_offset : (K,) or (N, K) array [m]
        Place of each guide beside its cylinder line.
    bore_offset : (K,) or (N, K) array [m]
        Place of each bore beside its cylinder line.
    bearing_film, guide_film : FilmSpring or None [-]
        Oil film as a spring; None for a dry seat, or one whose film was not computed.
    """

    def seat(self, name):
        """Clearance left by the oil film, and stiffness of solid and film in series.

        Parameters
        ----------
        name : str [-]
            ``bearing`` or ``guide``.

        Returns
        -------
        clearance : float or (N,) array [m]
            Not below zero.
        stiffness : float or (N,) array [N/m]
            Both in series.

        Valid: a film that fills its clearance c is one that is squeezed: at another c it still fills it, and is softer
            or stiffer by c^3 (within 30 % between half and twice the clearance); a thinner one stays as it is.
        Source: springs in series; squeeze of a film, any text on lubrication.
        """
        film = getattr(self, f"{name}_film")
        clearance, solid = (np.asarray(getattr(self, part), dtype=float) for part in (f"{name}_clearance", name))
        reach, soft = 0.0, 1.0 / solid
        if film is not None and film.reach < film.clearance:
            reach, soft = film.reach, soft + 1.0 / film.stiffness
        elif film is not None:  # squeezed
            reach, grown = clearance, film.clearance / np.maximum(clearance, 1e-9)
            soft = soft + 1.0 / (film.stiffness * grown**3)
        return np.maximum(clearance - reach, 0.0), 1.0 / soft

    def of(self, name, k):
        """Value for one cylinder of a number that may be the same for all.

        Parameters
        ----------
        name : str [-]
            A field: ``pin_error``, ``phase_error``, ``guide_offset`` or ``bore_offset``.
        k : int [1]
            Cylinder, from 0.

        Returns
        -------
        () or (N,) array [-]
            In the unit of the field.

        Valid: any.
        Source: none needed.
        """
        value = np.asarray(getattr(self, name), dtype=float)
        return value if value.ndim == 0 else value[..., k]

    def pin_offset(self, phi, radius, k):
        """Lateral error of a pin from errors of its radius and phase; the carrier's acts through the bearing.

        Parameters
        ----------
        phi : (N,) array [rad]
            Carrier angle from the cylinder line.
        radius : float [m]
            Carrier radius.
        k : int [1]
            Cylinder, from 0.

        Returns
        -------
        (N,) array [m]
            Along i u.

        Valid: small errors.
        Source: P = a e^(i theta) + (a + e2) e^(i (2 alpha - theta + eps)), across the line.
        """
        return self.of("phase_error", k) * radius * np.cos(phi) - self.of("pin_error", k) * np.sin(phi)

    def joint(self, rod, place):
        """Lateral stiffness between pin and rod, and the stop where the play of the pin is used up.

        A rod that is pressed on its pin by Q lies at the bottom of the play c and comes back like a pendulum, with
        Q / c, in series with the bearing and the overhang of the rod. Beyond the play only these two give way.

        Parameters
        ----------
        rod : (N,) array [N]
            Size of the rod force.
        place : (N,) array [m]
            Distance of the pin from O, outward.

        Returns
        -------
        stiffness : (N,) array [N/m]
            Of all three in series; zero without load.
        gap : (N,) array [m]
            Play and what bearing and overhang give at a lateral force as large as the rod force.
        stop : (N,) array [N/m]
            Stiffness that comes in addition beyond the gap.

        Valid: displacement small against the play; rod clamped by its guide as a cantilever.
        Source: statics of a pin in a round hole, a pendulum spring with a stop in series with a spring; 3 E I / l^3 of
            any text on strength of materials.
        """
        overhang = np.zeros(1) if self.guide_rides else np.maximum(self.guide_span[0] - place, 0.0)
        soft = overhang**3 / (3.0 * self.bending) + 1.0 / self.pin
        gap = rod * soft + self.pin_clearance
        some = gap > 0.0
        stiffness = np.divide(rod, gap, out=np.zeros(np.shape(gap)), where=some)
        share = np.divide(self.pin_clearance, gap, out=np.ones(np.shape(gap)), where=some)
        return stiffness, gap, share / soft

    def softened(self, crank):
        """The same machine with a crank that bends, in series with its bearings.

        Parameters
        ----------
        crank : float [N/m]
            Bending stiffness of the crank, from ``crank_bending``; shared by both bearings.

        Returns
        -------
        Elastic [-]
            With softer bearings.

        Valid: loads in the middle between the bearings.
        Source: springs in series.
        """
        return replace(self, bearing=1.0 / (1.0 / np.asarray(self.bearing) + 2.0 / crank))


def contact_stiffness(length, youngs_modulus):
    """Stiffness of a conforming contact of two equal metals.

    Parameters
    ----------
    length : float [m]
        Length of the contact.
    youngs_modulus : float [Pa]
        Young's modulus.

    Returns
    -------
    Estimate [N/m]
        Share ``SOFTER`` of a solid line contact.

    Valid: order of magnitude; dry solids, an oil film is softer still.
    Source: K. L. Johnson, Contact Mechanics, line contact (order of magnitude); range: own judgement.
    """
    full = 0.25 * np.pi * youngs_modulus / (2.0 * (1.0 - POISSON**2)) * length
    return Estimate(*(share * full for share in SOFTER), "N/m", "share of a solid line contact")


def from_design(design, drive):
    """Elastic machine of a design, with likely stiffnesses and no errors.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : HypocycloidDrive [-]
        Its drive.

    Returns
    -------
    Elastic [-]
        Clearances are half of the plays in the file.

    Valid: steel rod and guides.
    Source: the design file; ``contact_stiffness``, ``ends.mesh_stiffness``.
    """
    guide, crank, bearings, gears = design.guide.si, design.crank.si, design.bearings.si, design.gear_pair.si
    steel, middle = gears.pinion_youngs_modulus, guide_middle(design)

    def likely(length):
        return contact_stiffness(length, steel).likely

    journal, block = likely(crank.journal_length), likely(design.carrier.si.bearing_length)
    return Elastic(
        backlash=gears.backlash,
        mesh=ends.mesh_stiffness(gears.face_width, steel, gears.ring_youngs_modulus).likely,
        bearing_clearance=0.5 * (bearings.crank_clearance + bearings.carrier_clearance),
        bearing=journal * block / (journal + block),
        guide_span=(middle - 0.5 * guide.length, middle + 0.5 * guide.length),
        guide_rides=design.guide.place == "big_end",
        guide_clearance=0.5 * guide.clearance, guide=likely(0.5 * guide.length),
        bore_span=(guide.rod_length - guide.piston_length, guide.rod_length),
        bore_clearance=0.5 * guide.piston_clearance, bore=likely(0.5 * guide.piston_length),
        pin_clearance=0.5 * bearings.crankpin_clearance, pin=likely(crank.pin_length),
        bending=steel * np.pi * guide.rod_diameter**4 / 64.0,
    )


def crank_bending(design):
    """Bending stiffness of the crank between its two journals, loaded in the middle.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    Estimate [N/m]
        Beam of the crankpin's diameter, steel: low 0.4 times a simply supported one (webs and pins beside one another),
        likely simply supported, high clamped.

    Valid: order of magnitude; a crank is no straight beam.
    Source: 48 E I / l^3 and 192 E I / l^3 of any text on strength of materials; the 0.4 is own judgement.
    """
    crank, gears = design.crank.si, design.gear_pair.si
    span = crank.mesh_span + design.journals_outward * (gears.face_width + crank.journal_length)
    beam = 48.0 * gears.pinion_youngs_modulus * np.pi * crank.pin_diameter**4 / 64.0 / span**3
    return Estimate(0.4 * beam, beam, 4.0 * beam, "N/m", "beam of the crankpin's diameter")


def guide_middle(design):
    """Middle of the guide along the cylinder line.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    float [m]
        From the main axis O, above the sweep of the big end; 0 (from the pin) for a guide at the big end.

    Valid: as drawn by ``drawing.machine``.
    Source: own layout: half the stroke, three quarters of the pin diameter, half the guide.
    """
    if design.guide.place == "big_end":
        return 0.0
    return 0.5 * design.cylinders.si.stroke + 0.75 * design.crank.si.pin_diameter + 0.5 * design.guide.si.length
