"""Numbers of the running machine: who carries the side load, what rubs, and the films of all bearings."""

from vmech_core import bearings, machine
from vmech_core.base.results import MACHINES, Quantity
from vmech_core.sheet.stages import peak, rms

#: Beginning of the keys of each machine; in them, the names of bearings.
BEGIN = {"straight": "straight-line", "ordinary": "ordinary"}
BEARING = {"crankpin": "rod_big_end_on_crankpin", "wrist_pin": "wrist_pin", "crank_in_carrier": "crank_in_carrier",
           "carrier_in_block": "carrier_in_block", "main_bearing": "main_journal_in_block"}


def _sharing(a):
    result = {}
    for name, words in {"mesh": "teeth, both ends", "guide": "one guide", "bore": "one piston on its bore"}.items():
        result[f"shared_{name}"] = peak(a.shared[name], f"{words}: peak with running plays", True)
        result[f"shared_{name}_rms"] = rms(a.shared[name], f"{words}: root mean square", True)
    return result


def _contacts(a):
    crank, carrier = a.design.crank.si, a.design.carrier.si
    own = {"crankpin": crank.pin_diameter, "crank_in_carrier": crank.journal_diameter,
           "carrier_in_block": carrier.bearing_diameter}
    other = {"crankpin": crank.pin_diameter, "main_bearing": crank.journal_diameter,
             "wrist_pin": machine.masses.WRIST_PIN_OVER_BORE * a.design.cylinders.si.bore}
    pairs = {"straight": machine.hypocycloid.contacts(a.drive, own),
             "ordinary": machine.slider_crank.contacts(a.ordinary, other)}
    return {f"{BEGIN[id_]}_{k}": Quantity(c.speed, "m/s", f"{MACHINES[id_]}: {c.count} x {c.label}, top rubbing speed")
            for id_, found in pairs.items() for k, c in enumerate(found) if c.kind != "mesh"}


def _bearings(a):
    film = bearings.film_thickness(a.warm.journals, a.warm.orbit).min(axis=1)
    ratio, result = bearings.film_ratio(a.warm.journals, a.warm.orbit).min(axis=1), {}
    for id_, part in dict.fromkeys((seat.machine, seat.part) for seat in a.seats):
        own = [k for k, seat in enumerate(a.seats) if (seat.machine, seat.part) == (id_, part)]
        key, words = f"{BEGIN[id_]}_{BEARING[part]}", f"{MACHINES[id_]}: {a.seats[own[0]].kin}"
        words += "" if a.warm.converged[own].all() else " (not settled: do not trust)"
        loss = float(a.warm.power[own].sum())
        result |= {
            f"{key}_film": Quantity(float(film[own].min()), "m", f"{words}, least film", "um", True),
            f"{key}_ratio": Quantity(float(ratio[own].min()), "1", f"{words}, least film over roughness", "", True),
            f"{key}_loss": Quantity(loss, "W", f"{words}, loss of {len(own)} as plain bearings", "", True),
        }
    return result
