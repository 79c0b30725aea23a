"""Cylindrical and needle roller bearings: ratings, life, friction, film, and bearings that orbit.

SI throughout; arrays (N,) are bearings, (N, A) bearings by equal steps of angle. ``relative_speed`` is that of one ring
against the other: what fatigues and rubs. In the bearing of the planet crank the rings turn at -omega and +omega, so it
is 2 omega. A load fixed in space then passes round both rings; one that turns with the carrier stays on one spot of the
outer ring. Not counted: dirt and the factor a_ISO, misalignment, edge stress, slip of the rollers, end thrust.
"""

from collections import namedtuple

import numpy as np

from vmech_core.base import estimates, record, refuse

LIFE_EXPONENT = 10.0 / 3.0  #: line contact; 3 for ball bearings (ISO 281, from memory)
QUALITY = 1.1  #: b_m of ISO 281 for cylindrical and machined needle bearings; 1.0 for drawn cups (from memory)
REDUCTION = 0.83  #: lambda nu of Lundberg and Palmgren; chosen so that f_c meets the table of ISO 281 within 0.1 %
STEEL, GRAVITY = 7850.0, 9.80665  #: kg/m3, m/s2
#: Own rules for proportions, the share of the most loaded roller and the limit of speed; of ``FRICTION``, Palmgren's f0
#: (oil bath) and f1 by kind of bearing, as in Harris: those of needle rollers are the less sure.
OWN = estimates("rollers")
PEAK_ROLLER, SPEED_FACTOR = OWN["peak_roller"], OWN["speed_factor"]
FRICTION = {kind: (OWN[f"{kind} f0"], OWN[f"{kind} f1"]) for kind in ("cylindrical", "needle")}
#: Rollers longer than this many times their diameter are needles (from memory).
NEEDLE = 2.5
#: What a viscosity ratio below each limit says (limits as in ISO 281, from memory; a screening).
FILM = ((1.0, "mixed: surfaces touch in part"), (4.0, "mostly parted by oil"), (np.inf, "fully parted by oil"))


@record("bore roller_diameter roller_length count width", cage_mass=0.0, estimated=False)
class RollerBearing:
    """One row of cylindrical rollers in a cage, or (N,) such bearings; compare a catalogue before buying one.

    Attributes
    ----------
    bore, roller_diameter, roller_length, width : (N,) array [m]
        Diameter of the inner raceway, sizes of a roller, whole width with the cage.
    count : (N,) array [1]
        Number of rollers, 3 or more.
    cage_mass : (N,) array [kg]
        Mass of the cage.
    estimated : bool [-]
        Whether the sizes come from the rules of ``estimate``, not from data.
    """

    def __post_init__(self):
        units = dict(bore="m", roller_diameter="m", roller_length="m", count="", width="m", cage_mass="kg")
        for name, unit in units.items():
            value = np.asarray(getattr(self, name), float)
            object.__setattr__(self, name, value)
            refuse(~(value >= 0.0 if name == "cage_mass" else value > 0.0), name, value, "not above 0", unit)
        roller, most = self.roller_diameter, _most_rollers(self.gamma)
        refuse(self.gamma >= 0.9, "roller_diameter", roller, "not below 0.9 of the pitch diameter", "m")
        refuse((self.count < 3) | (self.count > most), "count", self.count,
               "fewer than 3 or more than fit round the circle", nearest=np.clip(self.count, 3, most))
        refuse(self.width <= self.roller_length, "width", self.width, "not above the length of the rollers", "m")

    @property
    def pitch_diameter(self):
        """Diameter of the circle of roller centres [m]."""
        return self.bore + self.roller_diameter

    @property
    def gamma(self):
        """Roller diameter as a share of the pitch diameter [1]."""
        return self.roller_diameter / self.pitch_diameter

    @property
    def roller_mass(self):
        """Mass of one steel roller [kg]."""
        return STEEL * np.pi / 4.0 * self.roller_diameter**2 * self.roller_length

    @property
    def rating_factor(self):
        """Factor f_c of Lundberg and Palmgren, sizes in mm and rating in N [1]: ISO 281, Harris (from memory)."""
        gamma, ratio = self.gamma, (1.0 - self.gamma) / (1.0 + self.gamma)
        both_rings = (1.0 + (1.04 * ratio ** (143 / 108)) ** 4.5) ** (-2 / 9)
        return 207.9 * REDUCTION * gamma ** (2 / 9) * (1.0 - gamma) ** (29 / 27) / (1.0 + gamma) ** 0.25 * both_rings

    @property
    def dynamic_rating(self):
        """Load for a life of a million revolutions, ISO 281 (from memory) [N]; its table ends at gamma 0.3."""
        size = (1e3 * self.roller_length) ** (7 / 9) * (1e3 * self.roller_diameter) ** (29 / 27)
        return QUALITY * self.rating_factor * size * self.count**0.75

def _most_rollers(gamma):
    return np.floor(np.pi / np.arcsin(gamma) + 1e-9)


def _beside(value, like):
    """A value per bearing, with an axis for the angles where ``like`` has one."""
    value = np.asarray(value, float)
    return value[..., None] if 0 < value.ndim < np.ndim(like) else value


def estimate(journal_diameter, width, roller_share=OWN["roller_share"].likely,
             length_share=OWN["length_share"].likely, filling=OWN["filling"].likely):
    """A roller bearing of ordinary proportions, where no catalogue data is at hand.

    Parameters
    ----------
    journal_diameter, width : (N,) array [m]
        Journal on which the rollers run, and the width there is for the bearing.
    roller_share, length_share, filling : float or (N,) array [1]
        Proportions; ranges are at the head of the module.

    Returns
    -------
    RollerBearing [-]
        Marked as estimated.

    Valid: caged rollers on a hardened journal, 10 to 100 mm; steel cage.
    Source: own rules, stated with their ranges.
    """
    bore, width = np.broadcast_arrays(np.asarray(journal_diameter, float), np.asarray(width, float))
    roller, length = roller_share * bore, length_share * width
    count = np.floor(filling * _most_rollers(roller / (bore + roller)))
    around = np.pi * (bore + roller) * width - count * roller * length
    return RollerBearing(bore=bore, roller_diameter=roller, roller_length=length, count=count, width=width,
                         cage_mass=STEEL * OWN["cage_share"].likely * roller * around, estimated=True)


def equivalent_load(load, relative_speed=1.0, exponent=LIFE_EXPONENT):
    """Steady load that costs as much life as a load that varies over a cycle.

    Parameters
    ----------
    load : (..., A) array [N]
        Load at equal steps of time, of either sign.
    relative_speed : float or (..., A) array [rad/s]
        Speed of the inner against the outer ring; the weight of each step.
    exponent : float [1]
        Life exponent.

    Returns
    -------
    (...) array [N]
        Equivalent load.

    Valid: damage that adds up whatever the order (Palmgren, Miner).
    Source: A. Palmgren, Ball and Roller Bearing Engineering (from memory).
    """
    turn = np.broadcast_to(np.abs(relative_speed), np.shape(load))
    return (np.sum(turn * np.abs(load) ** exponent, -1) / np.sum(turn, -1)) ** (1.0 / exponent)


def rating_life(rating, load, relative_speed):
    """Rating life: what nine bearings in ten outlast.

    Parameters
    ----------
    rating, load : (...) array [N]
        Dynamic rating and equivalent load.
    relative_speed : (...) array [rad/s]
        Mean speed of the inner against the outer ring.

    Returns
    -------
    revolutions : (...) array [1]
        Turns of the inner against the outer ring.
    time : (...) array [s]
        How long that takes.

    Valid: clean oil film, load below about half the rating; no factor a_ISO.
    Source: ISO 281 (from memory).
    """
    revolutions = 1e6 * (np.asarray(rating, float) / load) ** LIFE_EXPONENT
    return revolutions, 2.0 * np.pi * revolutions / np.abs(relative_speed)


def friction(bearing, load, relative_speed, viscosity, f0, f1):
    """Friction torque and power loss by Palmgren's two terms.

    Parameters
    ----------
    bearing : RollerBearing [-]
        Bearings (N,).
    load : (N, A) or (N,) array [N]
        Radial load, of either sign.
    relative_speed : array, as ``load`` or (N,) [rad/s]
        Speed of the inner against the outer ring.
    viscosity : float or (N,) array [m2/s]
        Kinematic viscosity of the oil at working temperature.
    f0, f1 : float or (N,) array [1]
        Coefficients of the oil and of the load term, from ``FRICTION``.

    Returns
    -------
    torque : (N, A) array [N m]
        Size of the torque between the rings, against their relative motion.
    power : (N, A) array [W]
        Heat made.

    Valid: moderate load and speed, no end thrust; within about 2 either way.
    Source: A. Palmgren 1959; T. A. Harris, Rolling Bearing Analysis (from memory).
    """
    pitch = _beside(1e3 * bearing.pitch_diameter, load)
    speed = np.abs(_beside(relative_speed, load))
    oil = 1e6 * _beside(viscosity, load) * speed * 30.0 / np.pi
    viscous = 1e-7 * _beside(f0, load) * np.where(oil >= 2000.0, oil ** (2 / 3), 160.0) * pitch**3
    torque = 1e-3 * (viscous + _beside(f1, load) * np.abs(load) * pitch)
    return torque, torque * speed


def kind_of(bearing):
    """What a catalogue calls a roller bearing.

    Parameters
    ----------
    bearing : RollerBearing [-]
        One bearing.

    Returns
    -------
    str [-]
        ``needle`` or ``cylindrical``, as in ``FRICTION``.

    Valid: one row of rollers.
    Source: ``NEEDLE``.
    """
    return "needle" if bearing.roller_length > NEEDLE * bearing.roller_diameter else "cylindrical"


def viscosity_ratio(bearing, viscosity, relative_speed):
    """Viscosity of the oil over the one that parts the surfaces well enough, kappa.

    Parameters
    ----------
    bearing : RollerBearing [-]
        Bearings (N,).
    viscosity : float or (N,) array [m2/s]
        Kinematic viscosity at working temperature.
    relative_speed : float or (N,) array [rad/s]
        Speed of the inner against the outer ring.

    Returns
    -------
    (N,) array [1]
        kappa; ``FILM`` says what it means.

    Valid: screening, mineral oil. Seen from the cage both surfaces of a contact draw oil in, whichever ring turns.
    Source: ISO 281 (relation from memory).
    """
    rpm = np.abs(np.asarray(relative_speed, float)) * 30.0 / np.pi
    needed = np.where(rpm < 1000.0, 45000.0 * rpm**-0.83, 4500.0 * rpm**-0.5) * (1e3 * bearing.pitch_diameter) ** -0.5
    return 1e6 * np.asarray(viscosity, float) / needed


#: Motion and body forces of rollers and cage in a bearing whose centre goes round a circle; fields as
#: ``orbiting`` returns them.
Orbiting = namedtuple("Orbiting", "cage_speed roller_speed carry_force own_force cage_force pocket_pressure "
                      "guide_pressure acceleration share speed_factor")


def orbiting(bearing, inner_speed, outer_speed, load, radius=0.0, orbit_speed=0.0):
    """Cage, rollers and body forces of a bearing that may orbit; with radius 0, of an ordinary main bearing.

    Parameters
    ----------
    bearing : RollerBearing [-]
        Bearings (N,).
    inner_speed, outer_speed : float or (N,) array [rad/s]
        Speeds of the rings; a planet crank has -omega and +omega, a main bearing omega and 0.
    load : float or (N,) array [N]
        Working load, not zero.
    radius : float or (N,) array [m]
        Distance of the bearing's axis from the axis it goes round.
    orbit_speed : float or (N,) array [rad/s]
        How fast it goes round.

    Returns
    -------
    cage_speed, roller_speed : (N,) array [rad/s]
        Turning speeds of cage and rollers, seen from axes that do not turn.
    carry_force, own_force, cage_force : (N,) array [N]
        On a roller from the orbit, outward from the main axis; on a roller from the turning of the cage, outward from
        the bearing's axis; on the cage from the orbit.
    pocket_pressure, guide_pressure : (N,) array [Pa]
        Specific loads: ``carry_force`` on the side of a pocket; cage and rollers on the guiding lands, upper bound.
    acceleration, share : (N,) array [1]
        Of the bearing's centre in multiples of g; both forces on a roller over the load of the most loaded one.
    speed_factor : (N,) array, mm rev/min [-]
        Relative speed of the rings times pitch diameter; compare ``SPEED_FACTOR``.

    Valid: rolling without slip, steady speeds, steel rollers; cage guided by the outer ring beside the rollers.
    Source: kinematics of rolling; body forces m a omega^2; guide load with half the rollers' mass: own reasoning.
    """
    gamma, pitch, roller = bearing.gamma, bearing.pitch_diameter, bearing.roller_mass
    inner, outer = np.asarray(inner_speed, float) * (1.0 - gamma), np.asarray(outer_speed, float) * (1.0 + gamma)
    cage, pull = (inner + outer) / 2.0, np.asarray(radius, float) * np.asarray(orbit_speed, float) ** 2
    carry, own = roller * pull, roller * pitch / 2.0 * cage**2
    lands = (pitch + bearing.roller_diameter) * (bearing.width - bearing.roller_length)
    return Orbiting(
        cage_speed=cage, roller_speed=(outer - inner) / (2.0 * gamma), carry_force=carry, own_force=own,
        cage_force=bearing.cage_mass * pull, pocket_pressure=carry / (bearing.roller_diameter * bearing.roller_length),
        guide_pressure=(bearing.cage_mass + bearing.count * roller / 2.0) * pull / lands, acceleration=pull / GRAVITY,
        share=(carry + own) * bearing.count / (PEAK_ROLLER.likely * np.abs(load)),
        speed_factor=np.abs(np.subtract(inner_speed, outer_speed)) * 30.0 / np.pi * 1e3 * pitch,
    )
