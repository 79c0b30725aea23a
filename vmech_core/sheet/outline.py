"""Numbers of room and parts: how high, wide, long and heavy both machines are, and how many parts they have."""

from vmech_core import size
from vmech_core.base.results import Quantity
from vmech_core.sheet.stages import STRAIGHT


def _outline(a):
    rival = "crosshead" if a.design.design.machine == "pump" else "ordinary"
    result = {}
    for key, machine, words in (("", "straight", STRAIGHT), ("ordinary_", rival, size.OUTLINED[rival])):
        made = size.outline(a, machine)
        total = size.totals(size.part_list(a, made))
        lengths = {"deck": (made.deck, "main axis to top of the bore"), "below": (made.below, "below the main axis"),
                   "width": (made.box[0], "width"), "height": (made.box[1], "height"),
                   "length": (made.length, "length along the axis")}
        counts = {"parts": total.parts, "ground surfaces": total.grounds, "plays to keep": total.fits,
                  "gears": total.gears, "rolling bearings": total.rolling, "plain bearings": total.plain}
        result |= {f"{key}{name}": Quantity(float(value), "m", f"{words}: {label}", "mm")
                   for name, (value, label) in lengths.items()}
        result[f"{key}box"] = Quantity(made.volume, "m3", f"{words}: box around it, heads on", "cm3", True)
        result[f"{key}total_mass"] = Quantity(total.mass.likely, "kg", f"{words}: mass of all parts listed", "", True)
        result |= {f"{key}{name.replace(' ', '_')}": Quantity(float(value), "1", f"{words}: {name}")
                   for name, value in counts.items()}
    return result
