"""Geometry of an internal involute gear pair: a pinion inside a ring gear.

Sign of a profile shift, for both gears: positive moves the tool outward from the axis, so that
ring tip radius = m (z2/2 - ha2 + x2) and pinion tip radius = m (z1/2 + ha1 + x1).
Points on the line of action are named by their distance from the point where it touches the pinion's base circle.
Every relation works for any tooth numbers; the straight-line drive uses ring_teeth = 2 pinion_teeth.
"""

from dataclasses import replace
from functools import cached_property

import numpy as np

from vmech_core.base import record, refuse
from vmech_core.gears.involute import STANDARD_ANGLE, involute, working_pressure_angle

#: Preferred modules of ISO 54:1996, first series, m.
MODULES_FIRST = tuple(v / 1000 for v in (1, 1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 16, 20, 25, 32, 40, 50))
_RANGES = {"pressure_angle": (0.1, 0.8, "rad"), "pinion_shift": (-2, 2, "modules"), "ring_shift": (-2, 2, "modules"),
           "pinion_addendum": (0.05, 2, "modules"), "ring_addendum": (0.05, 2, "modules"),
           "pinion_dedendum": (0.05, 2, "modules"), "ring_dedendum": (0.05, 2, "modules"),
           "tool_tip_radius": (0, 1, "modules"), "ring_fillet_radius": (0, 1, "modules")}


@record("module pinion_teeth ring_teeth", pressure_angle=STANDARD_ANGLE, pinion_shift=0.0, ring_shift=0.0,
        pinion_addendum=1.0, ring_addendum=1.0, pinion_dedendum=1.25, ring_dedendum=1.25, backlash=0.0,
        tool_tip_radius=0.38, ring_fillet_radius=0.25)
class InternalPair:
    """Pinion and ring gear: the given numbers, and everything that follows from them at once.

    All fields may be arrays that broadcast. The pinion is taken as cut by a rack tool with rounded tips, the ring as
    involute down to a circular fillet.

    Attributes
    ----------
    module : float or (...) array [m]
        Reference module.
    pinion_teeth : int or (...) array [1]
        Teeth of the pinion.
    ring_teeth : int or (...) array [1]
        Teeth of the ring gear, more than the pinion has.
    pressure_angle : float or (...) array [rad]
        Pressure angle of the basic rack.
    pinion_shift : float or (...) array [1]
        Profile shift of the pinion in modules, positive outward.
    ring_shift : float or (...) array [1]
        Profile shift of the ring in modules, positive outward.
    pinion_addendum : float or (...) array [1]
        Tooth height above the shifted reference circle, in modules.
    ring_addendum : float or (...) array [1]
        Tooth height inside the shifted reference circle, in modules.
    pinion_dedendum : float or (...) array [1]
        Tooth depth below the shifted reference circle, in modules.
    ring_dedendum : float or (...) array [1]
        Tooth depth outside the shifted reference circle, in modules.
    backlash : float or (...) array [m]
        Play at the working pitch circles, half of it taken off each gear's teeth; the centre distance stays.
    tool_tip_radius : float or (...) array [1]
        Tip radius of the pinion's rack tool in modules (ISO 53 profile A: 0.38), reduced if the tip has less room.
    ring_fillet_radius : float or (...) array [1]
        Root fillet of the ring in modules, reduced if the space has less room (0.25: common practice, no source).
    """

    def __post_init__(self):
        refuse(~np.greater(self.module, 0), "module", self.module, "not above 0", "m")
        refuse(np.less(self.pinion_teeth, 5), "pinion_teeth", self.pinion_teeth, "below 5", "teeth", "5 teeth")
        words = f"not above the pinion's {np.max(self.pinion_teeth)} teeth"
        refuse(~np.greater(self.ring_teeth, self.pinion_teeth), "ring_teeth", self.ring_teeth, words)
        for name, (low, high, unit) in _RANGES.items():
            value = np.asarray(getattr(self, name))
            refuse(~((value >= low) & (value <= high)), name, value, f"outside {low:g} to {high:g}", unit)
        refuse(~np.greater_equal(self.backlash, 0), "backlash", self.backlash, "below 0", "m", "0 m")
        refuse(self.ring_tip_radius <= 0, "ring_addendum", self.ring_addendum, "so long that teeth reach the axis")
        refuse(self.pinion_root_radius <= 0, "pinion_dedendum", self.pinion_dedendum, "so deep that roots meet")
        _ = self.working_angle

    @cached_property
    def working_angle(self):
        """Pressure angle at the working pitch circles [rad]."""
        return working_pressure_angle(self.pinion_teeth, self.ring_teeth, self.pressure_angle,
                                      np.subtract(self.ring_shift, self.pinion_shift))

    @cached_property
    def centre_distance(self):
        """Working centre distance, the offset of the carrier [m]."""
        return (self.ring_base_radius - self.pinion_base_radius) / np.cos(self.working_angle)

    @property
    def stroke(self):
        """Stroke of the straight-line drive, four centre distances [m]; nan unless the ring has twice the teeth."""
        double = np.equal(self.ring_teeth, np.multiply(2, self.pinion_teeth))
        return np.where(double, 4 * self.centre_distance, np.nan)[()]

    @property
    def pinion_radius(self):
        """Reference radius of the pinion [m]."""
        return np.multiply(self.module, self.pinion_teeth) / 2

    @property
    def ring_radius(self):
        """Reference radius of the ring [m]."""
        return np.multiply(self.module, self.ring_teeth) / 2

    @property
    def pinion_base_radius(self):
        """Base radius of the pinion [m]."""
        return self.pinion_radius * np.cos(self.pressure_angle)

    @property
    def ring_base_radius(self):
        """Base radius of the ring [m]."""
        return self.ring_radius * np.cos(self.pressure_angle)

    @property
    def pinion_working_radius(self):
        """Radius of the pinion's working pitch circle [m]; equal to the centre distance at 2:1."""
        return self.pinion_base_radius / np.cos(self.working_angle)

    @property
    def ring_working_radius(self):
        """Radius of the ring's working pitch circle [m]."""
        return self.ring_base_radius / np.cos(self.working_angle)

    @property
    def pinion_tip_radius(self):
        """Tip radius of the pinion [m]."""
        return self.pinion_radius + self.module * np.add(self.pinion_addendum, self.pinion_shift)

    @property
    def ring_tip_radius(self):
        """Tip radius of the ring, its smallest radius [m]."""
        return self.ring_radius - self.module * np.subtract(self.ring_addendum, self.ring_shift)

    @property
    def pinion_root_radius(self):
        """Root radius of the pinion [m]."""
        return self.pinion_radius - self.module * np.subtract(self.pinion_dedendum, self.pinion_shift)

    @property
    def ring_root_radius(self):
        """Root radius of the ring, its largest radius [m]."""
        return self.ring_radius + self.module * np.add(self.ring_dedendum, self.ring_shift)

    @property
    def pinion_half_angle(self):
        """Half the angle of a pinion tooth on the base circle [rad]."""
        thickness = (np.pi / 2 + 2 * self.pinion_shift * np.tan(self.pressure_angle)) / self.pinion_teeth
        return thickness + involute(self.pressure_angle) - self.backlash / (4 * self.pinion_working_radius)

    @property
    def ring_half_angle(self):
        """Half the angle of a ring space, its flanks extended to the base circle [rad]."""
        width = (np.pi / 2 + 2 * self.ring_shift * np.tan(self.pressure_angle)) / self.ring_teeth
        return width + involute(self.pressure_angle) + self.backlash / (4 * self.ring_working_radius)

    @property
    def base_gap(self):
        """Distance between the points where the line of action touches the two base circles [m]."""
        return self.centre_distance * np.sin(self.working_angle)

    @property
    def base_pitch(self):
        """Distance of neighbouring flanks along the line of action [m]."""
        return np.pi * self.module * np.cos(self.pressure_angle)

    @property
    def contact_start(self):
        """Contact at the ring's tip, as a point on the line of action [m]; negative means interference."""
        return _tangent_length(self.ring_tip_radius, self.ring_base_radius) - self.base_gap

    @property
    def contact_end(self):
        """Contact at the pinion's tip, as a point on the line of action [m]."""
        return _tangent_length(self.pinion_tip_radius, self.pinion_base_radius)

    @property
    def path_ratios(self):
        """Contact ratio from the ring's tip to the pitch point, and from there to the pinion's tip [1].

        Their sum is the contact ratio, and which one is approach depends on who drives; one is negative if the pitch
        point lies outside the path of contact.
        """
        pitch_point = self.pinion_working_radius * np.sin(self.working_angle)
        return (pitch_point - self.contact_start) / self.base_pitch, (self.contact_end - pitch_point) / self.base_pitch

    @property
    def rack_radius(self):
        """Tip radius of the pinion's tool that fits between its flanks [m]; nan if its flanks meet before the tip."""
        room = np.pi / 4 - self.pinion_dedendum * np.tan(self.pressure_angle)
        full = room * np.cos(self.pressure_angle) / (1 - np.sin(self.pressure_angle))
        return self.module * np.where(full > 0, np.minimum(self.tool_tip_radius, full), np.nan)[()]

    @property
    def pinion_form(self):
        """Lowest involute point of the pinion that its tool makes, on the line of action [m]; negative: undercut."""
        sine = np.sin(self.pressure_angle)
        depth = self.pinion_radius - self.pinion_root_radius - self.rack_radius * (1 - sine)
        return self.pinion_radius * sine - depth / sine

    @cached_property
    def ring_fillet(self):
        """Radius of the ring's root fillet that fits into its space [m]; nan if the flanks meet before the root."""
        base, radius = self.ring_base_radius, np.multiply(self.module, self.ring_fillet_radius)
        for _ in range(8):
            angle = np.arccos(base / np.maximum(self.ring_root_radius - radius, base))
            room = self.ring_half_angle - involute(angle) - radius / base
            radius = np.where(room < 0, radius + room * base / (1 - np.sin(angle)), radius)
        return np.where(radius >= 0, radius, np.nan)[()]

    @property
    def most_ring_fillet(self):
        """Greatest root fillet that the flanks leave at the ring's root, in modules [1]; nan if they meet before it."""
        return replace(self, ring_fillet_radius=1.0).ring_fillet / self.module

    @property
    def ring_form(self):
        """Outermost involute point of the ring above its fillet, on the line of action [m]."""
        centre = _tangent_length(self.ring_root_radius - self.ring_fillet, self.ring_base_radius)
        return centre + self.ring_fillet - self.base_gap


def contact_ratio(pair):
    """Contact ratio: length of the path of contact over the base pitch.

    Parameters
    ----------
    pair : InternalPair [-]
        The gear pair.

    Returns
    -------
    float or (...) array [1]
        Mean number of tooth pairs in contact.

    Valid: only if the pair is free of interference, which cuts the path of contact short.
    Source: Elements of Metric Gear Technology (SDP/SI), section 5; derived again here.

    Examples
    --------
    >>> print(f"{contact_ratio(InternalPair(0.002, 30, 60)):.3f}")
    1.998
    """
    return (pair.contact_end - pair.contact_start) / pair.base_pitch


def _tangent_length(radius, base):
    return np.sqrt(np.maximum(np.square(radius) - np.square(base), 0))
