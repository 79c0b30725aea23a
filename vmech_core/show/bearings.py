"""Is there a film: figures of plain bearings, guides and oils of both machines."""

from dataclasses import replace

import numpy as np

from vmech_core.base import MACHINES, some, tables
from vmech_core.bearings import alone, films, journal, mobility, oils, pads, seats, steady, surfaces
from vmech_core.case import Case
from vmech_core.machine import hypocycloid, slider_crank
from vmech_core.plays.running import on_stub_shafts
from vmech_core.pressure.cycles import SAME_TRACE
from vmech_core.sharing.quasi_static import share
from vmech_core.show import style

FILM = "least film, $h_0$ [µm]"
GUIDING = style.OTHERS[:3]
LINES = ("-", "--", ":")
WORDS = {"crankpin": "big end on crankpin", "main_bearing": "main journal"}
#: Bearing of ``effective_speed``, its speed [rad/s] and load [N]. Invented: about the crank journal of the V-twin.
TURNED = {"diameter": 0.034, "length": 0.022, "clearance": 17e-6, "viscosity": 0.01}, 100.0 * np.pi, 2000.0


def validity():
    """Where the short bearing is off: its load against that of the finite tables, and its film.

    Returns
    -------
    Figure [-]
        Left its load over that of the tables at the same eccentricity; right film over clearance against Sommerfeld
        number, of the tables and of the short bearing.
    """
    fig, (left, right) = style.figure(9.4, 3.8, columns=2)
    eccentricity, number = np.linspace(0.1, 0.97, 100), np.geomspace(0.011, 1.3, 100)
    for slenderness, words, look in zip((0.25, 0.5, 1.0), ("1/4", "1/2", "1"), GUIDING, strict=True):
        left.plot(eccentricity, steady.short_bearing_error(eccentricity, slenderness), label=words, **look)
        found = steady.film_numbers(slenderness, number).film_ratio
        short = 1.0 - steady.short_eccentricity(slenderness, number)
        right.plot(number, found, label=f"{words}, tables", **{**look, "linestyle": "-"})
        right.plot(number, short, label=f"{words}, short", **{**look, "linestyle": ":"})
    left.axhline(1.0, **style.QUIET)
    style.label(left, "eccentricity, $\\varepsilon_j$ [1]", "load, short over tables, $W_s/W$ [1]",
                "load that the theory promises", yscale="log", ylim=(0.8, 20.0), yticks=(1, 2, 5, 10, 20),
                yticklabels=(1, 2, 5, 10, 20), xlim=(0.0, 1.0))
    left.minorticks_off()
    style.label(right, "Sommerfeld number, $Z$ [1]", "film over clearance, $h_0/c$ [1]", "film that it promises",
                xscale="log", ylim=(0.0, 1.0))
    style.legend(left, title="length over diameter", title_fontsize=style.FONT)
    style.legend(right, small=True, title="length over diameter", title_fontsize=style.FONT - 1)
    return style.below(fig, "steady load; finite lengths: tables in the data folder, sources there")


def effective_speed():
    """Film under a load that turns, for a sleeve at rest and for surfaces that turn against each other.

    Returns
    -------
    Figure [-]
        Least film over clearance against speed of the load over that of the shaft.
    """
    bearing, speed, load = TURNED
    fig, (ax,) = style.figure(8.4, 4.0)
    for words, own, sleeve, look in (
            ("sleeve at rest, journal $\\omega$", 1.0, 0.0, style.SECOND),
            ("sleeve $\\omega$, journal $-\\omega$ (crank in carrier)", -1.0, 1.0, style.LIMIT)):
        mean = 0.5 * (own + sleeve)  # a load that turns with it leaves only squeeze: the film thins for ever
        turn = np.round(np.arange(-3.0, 3.001, 0.05), 2)
        film, some = np.zeros(len(turn)), turn != mean
        period = 2.0 * np.pi / (speed * np.where(turn == 0.0, 1.0, np.abs(turn)))[some]
        force = load * np.exp(2j * np.pi * np.sign(turn)[some, None] * np.arange(36) / 36.0)
        ones = np.full((some.sum(), 1), speed)
        batch = mobility.Journals(**bearing, load=force, journal_speed=own * ones, sleeve_speed=sleeve * ones,
                                  period=period)
        film[some] = (1.0 - np.abs(mobility.orbit(batch, cycles=20).eccentricity)).min(axis=1)
        ax.plot(turn, film, label=words, **look)
        ax.plot(mean, 0.0, "o", color=look["color"], clip_on=False, zorder=5)
    style.label(ax, "speed of the load over that of the shaft, $\\omega_F/\\omega$ [1]",
                "least film over clearance, $h_0/c$ [1]", "a load of constant size that turns",
                xlim=(-3, 3), ylim=(0, 1))
    style.legend(ax, loc="upper center")
    sizes = "{diameter:g} x {length:g} mm, radial clearance {clearance:g} µm, {viscosity:g} mPa s".format(
        **{name: (1e6 if name == "clearance" else 1e3) * value for name, value in bearing.items()})
    return style.below(fig, f"invented example: {sizes}, {load / 1e3:g} kN, {30.0 / np.pi * speed:.0f} rev/min\n"
                       "dots: the load turns at the mean speed of both surfaces, and no film lasts")


def orbits(case):
    """Orbits of one bearing of each kind, in axes fixed in space.

    Parameters
    ----------
    case : Case [-]
        An assessed engine.

    Returns
    -------
    Figure [-]
        Top the straight-line drive, bottom the ordinary crank; eccentricity 1 is contact.
    """
    a, warm = case, case.warm
    film, path = journal.film_thickness(warm.journals, warm.orbit).min(axis=1), warm.orbit.eccentricity
    fires = {seats.STRAIGHT: hypocycloid.firing_angles(a.design, a.drive)[0],
             seats.ORDINARY: slider_crank.firing_angles(a.design, a.ordinary)[0]}
    fig, axes = style.figure(8.6, 6.6, columns=3, rows=2)
    for ax, ((machine, part), k) in zip(axes, alone.one_of_each(a.seats).items(), strict=True):
        begin = round(fires[machine] / a.angle[-1] * path.shape[1]) % path.shape[1]
        style.OrbitPicture(ax).show(path[k], begin, style.LOOKS[machine]["color"])
        ax.set_title(f"{WORDS.get(part, a.seats[k].kin)}: {1e6 * film[k]:.1f} µm", fontsize=style.FONT + 1, loc="left")
    return style.below(fig, f"{_caption(a)}\ntop: straight-line drive; bottom: ordinary crank; "
                            f"above each: its least film\n{style.OrbitPicture.KEY}")


def films_over_cycle(case):
    """Least film of one bearing of each kind over the cycle.

    Parameters
    ----------
    case : Case [-]
        An assessed engine.

    Returns
    -------
    Figure [-]
        Left the straight-line drive, right the ordinary crank, with bands of the film ratio.
    """
    warm, found = case.warm, case.seats
    film = 1e6 * journal.film_thickness(warm.journals, warm.orbit)
    fig, axes = style.figure(9.8, 3.9, columns=2)
    for machine, ax in zip(MACHINES, axes, strict=True):
        style.regimes(ax, (0.08, 60.0), 1e6 * float(warm.journals.roughness[0]))
        rows = [k for (own, _), k in alone.one_of_each(found).items() if own == machine]
        for k, look in zip(rows, GUIDING, strict=True):
            words = WORDS.get(found[k].part, found[k].kin)
            _closed(ax, case, film[k], label=f"{words}, least {film[k].min():.1f} µm", **look)
        style.legend(ax, small=True, loc="lower left")
        style.over_cycle(ax, np.degrees(case.angle), FILM, MACHINES[machine])
    return style.below(fig, f"{_caption(case)}\nlimits at 1 and 3 times the composite roughness; one bearing of "
                            "each kind, all taken as plain bearings")


def wrong_sleeve(case):
    """Film of the crank in its carrier, and what two common mistakes make of it.

    Parameters
    ----------
    case : Case [-]
        An assessed engine.

    Returns
    -------
    Figure [-]
        Over the cycle, end that drives: both absolute speeds; load in space with speeds seen from the carrier; load in
        the carrier's axes with absolute speeds. Dots: load and speeds seen from the carrier, which is right again.
    """
    k = alone.one_of_each(case.seats)[seats.STRAIGHT, "crank_in_carrier"]
    one = some(case.warm.journals, [k])
    from_carrier = np.exp(-1j * np.linspace(0.0, case.angle[-1], one.load.shape[1], endpoint=False))
    seen = {"journal_speed": one.journal_speed - one.sleeve_speed, "sleeve_speed": 0.0 * one.sleeve_speed}
    turned = {"load": one.load * from_carrier}
    cases = (("absolute speeds, load in space", {}, {"color": "#999933", "linewidth": 2.0}),
             ("wrong: fixed sleeve, journal $2\\omega$", seen, style.LIMIT),
             ("wrong: load seen from carrier, speeds not", turned, style.SECOND),
             ("load and speeds seen from carrier", {**seen, **turned},
              {"color": "black", "linestyle": "", "marker": ".", "markevery": 6}))
    fig, (ax,) = style.figure(9.4, 3.9)
    style.regimes(ax, (0.3, 60.0), 1e6 * float(one.roughness[0]))
    for words, change, look in cases:
        batch = replace(one, **change)
        film = 1e6 * journal.film_thickness(batch, mobility.orbit(batch, cycles=20))[0]
        _closed(ax, case, film, label=f"{words}: least {film.min():.1f} µm", **look)
    style.over_cycle(ax, np.degrees(case.angle), FILM, "crank in carrier, end that drives, as a plain bearing")
    style.legend(ax, beside=True, small=True)
    return style.below(fig, f"{style.named(case.design)}; same load, oil and temperature in all four\n{case.basis}")


def sweep(design, speeds_rpm):
    """Least film ratio and loss of all bearings against speed.

    Parameters
    ----------
    design : Design [-]
        An engine.
    speeds_rpm : sequence of float [rpm]
        Speeds of the shaft.

    Returns
    -------
    Figure [-]
        Left least film over roughness by kind of bearing, right the loss of each machine.
    """
    own, ratios, losses = Case(design, films.ANGLES + 1), {}, {machine: [] for machine in MACHINES}
    for speed in speeds_rpm:
        a = Case(design.changed(**{"duty.speed_rpm": float(speed)}), films.ANGLES + 1)
        shared = films.with_ends(a.design, a.drive, share(own.elastic, a.drive, a.loads)[0])
        found = seats.straight(a.design, a.drive, shared) + seats.ordinary(a.design, a.ordinary, a.ordinary_loads)
        warm = films.settle(found, a.design)
        least = journal.film_ratio(warm.journals, warm.orbit).min(axis=1)
        for k, seat in enumerate(found):
            ratios.setdefault((seat.machine, WORDS.get(seat.part, seat.kin)), {}).setdefault(speed, []).append(least[k])
        for machine, loss in losses.items():
            loss.append(sum(warm.power[k] for k, seat in enumerate(found) if seat.machine == machine))
    fig, (left, right) = style.figure(9.8, 4.0, columns=2, ratios=[1.6, 1.0])
    style.regimes(left, (0.15, 40.0))
    for (machine, words), by_speed in ratios.items():
        line = LINES[[name for own, name in ratios if own == machine].index(words)]
        left.plot(speeds_rpm, [min(values) for values in by_speed.values()], marker="o", markersize=3,
                  label=words, **{**style.LOOKS[machine], "linestyle": line})
    for machine, loss in losses.items():
        right.plot(speeds_rpm, loss, marker="o", markersize=3, label=MACHINES[machine], **style.LOOKS[machine])
    speed, loss = "speed, $n_s$ [rev/min]", "loss of all bearings"
    style.label(left, speed, "least film over roughness, $\\lambda$ [1]", "least film of each kind")
    style.label(right, speed, f"{loss}, $P$ [W]", loss, ylim=(0, None))
    style.legend(left, small=True, ncols=2, loc="lower right")
    style.legend(right, small=True)
    return style.below(fig, f"{style.named(design)}; comparison: {SAME_TRACE}, at every speed\n"
                            f"blue: straight-line drive; orange: ordinary crank; all as plain bearings\n{own.basis}")


def carriers(case):
    """Three ways to hold a shaft in the block: around the crank journal, on a stub shaft, and the ordinary crank's.

    Parameters
    ----------
    case : Case [-]
        An assessed engine whose carriers enclose the crank journals.

    Returns
    -------
    Figure [-]
        Loss of all such bearings, greatest rubbing speed and specific load, least film; usual limits as lines.
    """
    other = Case(on_stub_shafts(case.drawing), case.samples)
    cases = ((case, seats.STRAIGHT, "enclosing"), (other, seats.STRAIGHT, "stub shaft"),
             (case, seats.ORDINARY, "ordinary main"))
    metal = tables.row("materials", "material", films.SHELL)
    rough = 1e6 * float(case.warm.journals.roughness[0])
    parts = (("loss of all of them, $P$ [W]", ()),
             ("greatest rubbing speed, $v_r$ [m/s]",
              [float(metal[f"speed_limit_{end}_m_s"]) for end in ("low", "high")]),
             ("greatest specific load, $p$ [MPa]", [float(metal[f"load_limit_{end}_MPa"]) for end in ("low", "high")]),
             (FILM, [surfaces.BOUNDARY_BELOW * rough, surfaces.FULL_ABOVE * rough]))
    fig, axes = style.figure(10.4, 2.9, columns=len(parts))
    colors = [style.LOOKS[machine]["color"] for _, machine, _ in cases]
    for ax, (words, limits), values in zip(axes, parts, zip(*(_held(*case[:2]) for case in cases)), strict=True):
        bars = ax.barh(range(len(cases)), values, height=0.5, color=colors)
        for limit in limits:
            ax.axvline(limit, color="black", linestyle=":", zorder=1.5)
        for text in ax.bar_label(bars, fmt="%.3g", padding=3, fontsize=style.FONT):
            text.set_bbox({"facecolor": "white", "edgecolor": "none", "pad": 1.0})
        ax.margins(x=0.22)
        style.rows(ax, [name if ax is axes[0] else "" for *_, name in cases], words)
    return style.below(fig, f"{_caption(case)}; as plain bearings\ndotted: usual ends of the limit of "
                            f"{films.SHELL} shells (from memory); film: 1 and 3 times the roughness")


def _held(case, machine):
    """Of all bearings in the block of one machine: loss [W], rubbing speed [m/s], load [MPa], least film [um]."""
    own = [k for k, seat in enumerate(case.seats) if seat.machine == machine and "block" in seat.bodies]
    film, found = journal.film_thickness(case.warm.journals, case.warm.orbit), case.seats
    return (sum(case.warm.power[own]), max(found[k].rubbing_speed for k in own),
            1e-6 * max(found[k].specific_load for k in own), 1e6 * film[own].min())


def guides(case):
    """One guide of the straight-line drive and one skirt of the ordinary piston over the cycle.

    Parameters
    ----------
    case : Case [-]
        An assessed engine.

    Returns
    -------
    Figure [-]
        Left lateral forces, right least films over roughness with the bands of the film ratio.
    """
    both = (films.sliders("guide", case.design, case.drive, case.few),
            films.sliders("skirt", case.design, case.ordinary, case.few_ordinary))
    fig, (left, right) = style.figure(9.8, 3.9, columns=2)
    style.regimes(right, (0.5, 200.0))
    for batch, words, look in zip(both, ("guide 1", "skirt 1, ordinary piston"), style.LOOKS.values(), strict=True):
        force, film = batch.load[0] / 1e3, pads.film_thickness(batch, pads.slide(batch))
        _closed(left, case, force, label=f"{words}, peak {np.abs(force).max():.2f} kN", **look)
        _closed(right, case, film[0] / batch.roughness[0], label=f"{words}, least {1e6 * film[0].min():.1f} µm", **look)
    style.over_cycle(left, np.degrees(case.angle), "lateral force, $N$, $N_b$ [kN]", "lateral force")
    style.over_cycle(right, np.degrees(case.angle), "least film over roughness, $\\lambda$ [1]", "film")
    for ax in (left, right):
        style.legend(ax, small=True, loc="upper center")
    return style.below(fig, f"{_caption(case)}; flooded; skirt sizes assumed")


def oils_chart():
    """Dynamic viscosity of oils against temperature.

    Returns
    -------
    Figure [-]
        Five engine oils and two industrial ones, logarithmic.
    """
    warmth = np.linspace(0.0, 150.0, 151)
    fig, (ax,) = style.figure(8.4, 4.0)
    grades = [*(f"SAE {n}" for n in (10, 20, 30, 40, 50)), "ISO VG 32", "ISO VG 100"]
    for k, grade in reversed(list(enumerate(grades))):
        look = {"color": f"{0.68 - 0.17 * k:.2f}"} if k < 5 else (style.LIMIT, style.SECOND)[k - 5]
        ax.plot(warmth, 1e3 * oils.viscosity(oils.oil(grade), warmth + 273.15), label=grade, **look)
    style.label(ax, "temperature, $T_o$ [°C]", "dynamic viscosity, $\\mu$ [mPa s]", "typical single-grade mineral oils",
                yscale="log", xlim=(0, 150))
    style.legend(ax, beside=True)
    return style.below(fig, "typical values of each grade, not of a product; Walther's line through 40 and 100 °C")


def film_springs(case):
    """Lateral force of a guide against its place: dry contact with play, and the oil film as a spring.

    Parameters
    ----------
    case : Case [-]
        An assessed engine.

    Returns
    -------
    Figure [-]
        Both laws, and the places through which the marched film goes; what is fed back to the sharing is the spring.
    """
    elastic, batch = case.elastic, films.sliders("guide", case.design, case.drive, case.few)
    place, film = np.linspace(-1.2, 1.2, 481) * elastic.guide_clearance, pads.slide(batch)
    fig, (ax,) = style.figure(9.0, 4.0)
    dry = elastic.guide_clearance, elastic.guide
    for (play, stiff), words, look in ((dry, "dry contact with play", style.SECOND),
                                       (elastic.seat("guide"), "oil film as a spring, and metal", style.OTHERS[2])):
        pressed = np.sign(place) * np.maximum(np.abs(place) - play, 0.0)
        ax.plot(1e6 * place, 2.0 * stiff * pressed / 1e3, label=words, **look)  # a spring at each end of the guide
    ax.plot(1e6 * film.offset[0] * batch.clearance[0], batch.load[0] / 1e3, ".", color="#444444", markersize=4,
            label="film marched through the cycle")
    for sign in (-1, 1):
        ax.axvline(sign * 1e6 * elastic.guide_clearance, **style.QUIET)
    most = 1.6 * np.abs(batch.load[0]).max() / 1e3
    style.label(ax, "lateral place of the rod in its guide, $y$ [µm]", "force of guide 1, $N$ [kN]",
                "a guide as a spring", ylim=(-most, most))
    style.legend(ax, beside=True)
    spring = elastic.guide_film
    return style.below(fig, f"{style.named(case.design, sizes=True)}; dotted: play used up\nthe film reaches "
                            f"{1e6 * spring.reach:.1f} µm into the play; alone {2e-6 * spring.stiffness:.0f} N/µm\n"
                            f"{case.basis}")


def _closed(ax, case, values, **look):
    """Draw values of one cycle with its end repeated."""
    ax.plot(np.degrees(np.linspace(0.0, case.angle[-1], len(values) + 1)), np.append(values, values[0]), **look)


def _caption(case):
    return f"{style.named(case.design)}; comparison: {SAME_TRACE}\n{case.basis}"
