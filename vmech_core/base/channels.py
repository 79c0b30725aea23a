"""What each named load is: the text under every plot axis and in every table.

A channel has its quantity, its symbol in the course (notation page of notebook 00), its SI unit and its sign convention
in words.
"""

from collections import namedtuple
from types import MappingProxyType

_Channel = namedtuple("_Channel", "quantity symbol unit sign")

#: Every load channel that a mechanism may fill. A mechanism that has no such part leaves the channel out.
CHANNELS = MappingProxyType({
    "gas": _Channel("gas force on the piston", "G", "N", "positive toward the main axis O"),
    "rod": _Channel("force of the piston rod on its pin along the cylinder line", "Q", "N", "positive toward O"),
    "pin": _Channel("force of the rod on its crankpin", "F_pin", "N", "plane vector"),
    "wrist": _Channel("force of the rod on the wrist pin", "F_wrist", "N", "plane vector in cylinder axes"),
    "guide": _Channel("lateral force of the guide on the piston rod", "N", "N", "positive along i u (anticlockwise)"),
    "bore": _Channel("lateral force of the bore on the piston", "N_b", "N", "positive along i u (anticlockwise)"),
    "mesh": _Channel("tangential tooth force on the pinions, both ends together", "F_t", "N",
                     "positive along i e^(i theta)"),
    "separating": _Channel("separating force on the pinions, both ends together", "F_s", "N", "positive toward O"),
    "crank_bearing": _Channel("force of the crank on the carriers", "F_c", "N", "plane vector"),
    "main": _Channel("force of the turning parts on the main bearings", "F_m", "N", "plane vector"),
    "frame": _Channel("resultant of all forces on the frame", "F_f", "N", "plane vector"),
    "torque": _Channel("torque delivered by the machine", "T", "N m", "positive drives the load"),
    "guide_couple": _Channel("couple of the guides on the yoke", "M_g", "N m", "positive anticlockwise"),
    "mesh_end": _Channel("tangential tooth force on the pinion of each end", "F_t,i", "N", "along i e^(i theta)"),
    "separating_end": _Channel("separating force on the pinion of each end", "F_s,i", "N", "positive toward O"),
    "crank_bearing_end": _Channel("force of the crank on the carrier of each end", "F_c,i", "N", "plane vector"),
    "main_end": _Channel("force of the carrier of each end on its main bearing", "F_m,i", "N", "plane vector"),
    "tie": _Channel("torque of the tie on the carrier of end 1", "T_tie", "N m", "positive anticlockwise"),
})
