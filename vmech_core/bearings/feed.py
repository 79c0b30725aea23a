"""Where the oil of each part comes from, and what breaks its way: bearings, crankpins, guides, pistons.

Rollers run in mist and pass no oil on, so a plain bearing behind them has none. Guides that no drilling feeds live on
what the crankpins throw off.
"""

from collections import namedtuple

import numpy as np

from vmech_core.base import Estimate, estimates
from vmech_core.bearings import oils
from vmech_core.bearings.films import oil_path

#: Share of a guide that oil wets: fed with pressure, or by splash. What meets the mouth of a guide of all that the
#: crankpins throw off, over its rod as a share of the circle about O there; share of the oil that a rod carries out of
#: its guide and does not bring back.
PRESSED, SPLASH, CAUGHT, LOST = map(estimates("feed").get, ("pressed", "splash", "caught", "lost"))


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


#: Oil balance of one guide; its fields are what ``guide_balance`` returns.
Balance = namedtuple("Balance", "supply carried break_even wetted")


def guide_balance(design, drive, thrown, caught=CAUGHT, lost=LOST):
    """Balance the oil of one guide: what comes on its way against what the sliding rod carries out and loses.

    Parameters
    ----------
    design : Design [-]
        The running design.
    drive : HypocycloidDrive [-]
        Its drive.
    thrown : float [m3/s]
        Oil that leaves all crankpins.
    caught, lost : Estimate [1]
        Shares as at the head of this file.

    Returns
    -------
    Balance [-]
        Of one guide.

        supply : float [m3/s]
            Likely flow to it: thrown oil, or what the pressure of a drilling in its middle pushes through its play.
        carried : float [m3/s]
            Flow that the rod of a full guide carries to and fro.
        break_even : float [1]
            Share lost of what is carried at which the guide begins to starve.
        wetted : Estimate [1]
            Share of the guide that stays full; all causes at the same end together.

    Valid: order of size; rod in the middle of its guide; oil that is lost goes as what is carried.
    Source: conservation of volume: full share = supply / (lost carried), at most 1; flow through a thin ring by
        Poiseuille's law; both shares own estimates.
    """
    guide, around = design.guide.si, np.pi * design.guide.si.rod_diameter
    carried = guide_need(0.5 * guide.clearance, around, float(drive.stroke) * drive.speed / np.pi)
    if design.lubricant.guide_feed == "pressed":
        oil = design.lubricant.si
        thick = oils.viscosity(oils.oil(design.lubricant.grade), oil.temperature)
        supply = around * (0.5 * guide.clearance) ** 3 * oil.supply_pressure / (3.0 * thick * guide.length)
        caught = Estimate(1.0, 1.0, 1.0, "1", "a drilling")
    else:
        mouth = 0.5 * float(drive.stroke) + 0.5 * design.crank.si.pin_diameter
        supply = thrown * guide.rod_diameter / (2.0 * np.pi * mouth)
    share = (np.minimum(1.0, own * supply / (away * carried)) for own, away in
             ((caught.low, lost.high), (caught.likely, lost.likely), (caught.high, lost.low)))
    return Balance(float(caught.likely * supply), float(carried), float(caught.likely * supply / carried),
                   Estimate(*map(float, share), "1", "oil balance; own estimates"))


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
