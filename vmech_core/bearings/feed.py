"""Where the oil of each part comes from, and what breaks its way: bearings, crankpins, guides, pistons.

Rollers run in mist and pass no oil on, so a plain bearing behind them has none. Guides that no drilling feeds live on
what the crankpins throw off.
"""

from collections import namedtuple

import numpy as np

from vmech_core.base.results import Estimate
from vmech_core.bearings.films import oil_path

#: Share of a guide that oil wets: fed with pressure, or by splash. Own judgement.
PRESSED, SPLASH = (Estimate(*share, "1", "own judgement") for share in ((0.9, 1.0, 1.0), (0.4, 0.7, 1.0)))


#: Oil of one part; its fields are what ``oil_supply`` returns.
Feed = namedtuple("Feed", "part way pressure wetted broken")


def oil_supply(design, drive):
    """List the oil's way to each part, and what breaks it.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : HypocycloidDrive [-]
        Its drive.

    Returns
    -------
    list of Feed [-]
        In the order in which the oil comes.

        part : str [-]
            Words for the part.
        way : str [-]
            Where its oil comes from.
        pressure : float or None [Pa]
            Least pressure with which it is fed, above the crankcase; None for splash and mist.
        wetted : Estimate or None [1]
            Share of a sliding face that oil wets; None for a round bearing.
        broken : str [-]
            What breaks the way, in one sentence; empty if nothing does.

    Raises
    ------
    InputError
        If the machine runs dry.

    Valid: no loss by flow in the drillings; whether splash suffices is not computed.
    Source: ``films.oil_path``; wetted shares: own judgement.
    """
    kinds, oil, pressures = design.bearings, design.lubricant, oil_path(design, drive)
    rows, passed = [], ""
    for part, words, place in (("carrier_in_block", "carrier in block", "supply"),
                               ("crank_in_carrier", "crank in carrier", "crank journal")):
        rolling = getattr(kinds, part) == "rolling"
        way = "mist" if rolling else "drilling in the block" if place == "supply" else "drilling in the carrier"
        rows.append(Feed(words, way, None if rolling else pressures[place], None, "" if rolling else passed))
        if rolling and oil.crankpin_feed == "carriers":
            passed = passed or f'bearings.{part} = "rolling" passes no oil on'
    pin = pressures["crankpin, least"]
    low = "" if pin > 0.0 else f"at this speed the pressure falls to {pin / 1e5:.2g} bar at the crankpin"
    if kinds.crankpin == "rolling":
        rows.append(Feed("rod big end on crankpin", "mist", None, None, ""))
    else:
        through = oil.crankpin_feed == "carriers"
        way = "through carriers and crank journals" if through else "on the crank's axis, at its ends"
        rows.append(Feed("rod big end on crankpin", way, pin, None, passed or low))
    little = 'bearings.crankpin = "rolling" throws off little oil'
    dry = rows[-1].broken or (little if kinds.crankpin == "rolling" else "")
    if oil.guide_feed == "pressed":
        rows.append(Feed("guides", "drilling in the block", pressures["supply"], PRESSED, ""))
    else:
        rows.append(Feed("guides", "splash from the crankpins", None, SPLASH, dry))
    rows.append(Feed("pistons and bores", "splash from the crankpins", None, SPLASH, dry))
    return rows


def guide_need(film, width, speed):
    """Oil that a guide drags through its film.

    Parameters
    ----------
    film : float or (...) array [m]
        Film thickness.
    width : float or (...) array [m]
        Wetted width across the sliding, for a round rod its circumference.
    speed : float or (...) array [m/s]
        Mean sliding speed.

    Returns
    -------
    (...) array [m3/s]
        Flow through the film; most of it goes to and fro, so a guide that is fed less starves sooner or later.

    Valid: order of size.
    Source: shear flow between plates, half the speed times the gap.
    """
    return 0.5 * np.asarray(film) * width * speed
