"""Films of a design: guide films as springs against a march in time, oil path against integration, heat, speed."""

import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad

from vmech_core import assess, load_design
from vmech_core.base.errors import InputError
from vmech_core.bearings import films, mobility, oils, pads, seats
from vmech_core.sharing import quasi_static, springs
from vmech_core.sharing.quasi_static import share

DATA = Path(__file__).resolve().parents[2] / "data"


@pytest.fixture(scope="module")
def engine():
    return assess(load_design(DATA / "first_sketch.toml"), 181)


def _squeeze_film(design, clearance):
    """Force per speed at one end of a guide, from the mobility of a round part squeezed along its load."""
    guide = design.guide.si
    viscosity = float(oils.viscosity(oils.oil(design.lubricant.grade), design.lubricant.si.temperature))
    ease = (2.0 * clearance / guide.rod_diameter) ** 2 / (viscosity * guide.length * guide.rod_diameter)

    def film(place, toward):
        e = np.clip(place * toward / clearance, -0.999, 0.999)
        return 0.5 / (ease * clearance * mobility.mobility(e + 0j, 1.0 + 0j, guide.length / guide.rod_diameter).real)

    return film


def march(assessment, elastic, cycles=2):
    """Tooth and guide forces with films that are squeezed in time, by implicit steps of Euler."""
    a = assessment
    period = 2.0 * np.pi * a.design.duty.cycle_turns / a.drive.speed
    step, film = period / (len(a.angle) - 1), _squeeze_film(a.design, elastic.guide_clearance)
    ends = 2 * a.design.n_cylinders
    place, toward, start, kept = np.zeros(ends), np.ones(ends), None, []
    guides = 2 + np.add.outer(10 * np.arange(a.design.n_cylinders), [0, 2]).ravel()  # rows to the positive side
    for i in [*range(len(a.angle) - 1)] * cycles:
        for _ in range(3):
            dry, load = quasi_static.assembly(elastic, a.drive, a.angle[i : i + 1], a.loads["rod"][:, i : i + 1])
            damping = np.array([film(*pair) for pair in zip(place, toward, strict=True)]) / step
            spring, rows = 1.0 / (1.0 / damping + 1.0 / elastic.guide), dry.rows[0, guides]
            others = ~np.isin(np.arange(dry.rows.shape[1]), [guides, guides + 1])
            cut = {name: getattr(dry, name)[:, others] for name in ("rows", "gap", "stiffness")}
            wet = replace(dry, springs=dry.springs + (rows.T * spring) @ rows, **cut)
            found = springs.rest(wet, load + (spring * place) @ rows, start)
            moved = rows @ found.displacement[0]
            force = spring * (moved - place)
            after = moved - force / elastic.guide
            toward = np.where(after >= place, 1.0, -1.0)
        assert found.solved.all()
        place, start, flanks = after, found.displacement, found.push[0, :2]
        tooth = np.cos(a.drive.pressure_angle) * (flanks[0] - flanks[1])
        kept.append([tooth, *-force.reshape(-1, 2).sum(axis=1)])
    return np.array(kept[-len(a.angle) + 1 :]).T


def test_film_springs_stand_for_films_that_are_squeezed_in_time(engine):
    """Own march in time with the film's damping; the spring is one number for a film that changes: 15 %."""
    elastic = engine.elastic
    tooth, *guides = march(engine, elastic)
    shared = share(elastic, engine.drive, engine.loads)[0]
    assert np.abs(shared["mesh"]).max() == pytest.approx(np.abs(tooth).max(), rel=0.1)
    assert np.abs(shared["guide"]).max() == pytest.approx(np.abs(guides).max(), rel=0.15)
    assert np.corrcoef(shared["guide"][0, :-1], guides[0])[0, 1] > 0.9
    dry = share(engine.dry_elastic, engine.drive, engine.loads)[0]
    assert np.abs(dry["mesh"]).max() > 1.05 * np.abs(tooth).max()  # without films the teeth carry visibly more


def test_film_springs_have_settled(engine):
    shared = share(engine.elastic, engine.drive, films.thinned(engine.loads))[0]
    effort = pads.enough(2, len(shared.angle))
    again, was = films._guide_film(engine.design, engine.drive, shared, effort), engine.elastic.guide_film
    assert again._asdict() == pytest.approx(was._asdict(), rel=0.05)
    again, was = films._bearing_film(engine.design, engine.drive, shared), engine.elastic.bearing_film
    assert again._asdict() == pytest.approx(was._asdict(), rel=0.1)


def test_a_spring_goes_through_the_film_at_the_peak_load():
    load, film = np.array([[1.0, 8.0, 2.0], [0.0, 0.0, 0.0]]), np.array([[5.0, 3.0, 4.0], [9.0, 9.0, 9.0]]) * 1e-6
    reach, soft = films._spring(load, film, np.array([20e-6, 20e-6]))
    assert (reach[0] - film[0, 1]) / soft[0] == pytest.approx(8.0)
    assert reach[1] == soft[1] == 0.0
    thick, _ = films._spring(load, film, np.array([4e-6, 4e-6]))
    assert thick[0] == pytest.approx(4e-6)  # not beyond the middle


def test_dry_machines_and_rollers_have_no_film(engine):
    desk = assess(load_design(DATA / "desk_model.toml"), 61)
    assert desk.elastic == desk.dry_elastic
    with pytest.raises(InputError, match="dry"):
        films.settle([], desk.design)
    on_rollers = engine.design.changed(**{"bearings.carrier_in_block": "rolling"})
    assert films._bearing_film(on_rollers, engine.drive, engine.shared) is None
    assert films._bearing_film(engine.design, engine.drive, engine.shared).reach > 0.0


def test_oil_pressure_is_the_integral_of_the_acceleration_along_the_drillings(engine):
    """Acceleration of points of carrier and crank by finite differences of their paths; scipy quad along the way."""
    drive, a = engine.drive, 0.25 * engine.drive.stroke
    design = engine.design.changed(**{"lubricant.crankpin_feed": "carriers"})
    found, rho = films.oil_path(design, drive), oils.oil(design.lubricant.grade).density
    crank, h = design.crank.si, 1e-5

    def acceleration(path, t):
        return (path(t + h) - 2.0 * path(t) + path(t - h)) / h**2

    def rise(point, begin, end, angle):
        """Pressure at the end less that at the beginning, along a straight drilling of a body."""
        way = (end - begin) / np.abs(end - begin)

        def slope(x):
            s = begin + x * way
            direction = point(angle / drive.speed, s + way) - point(angle / drive.speed, s)
            return -rho * (acceleration(lambda t: point(t, s), angle / drive.speed) * np.conj(direction)).real

        return quad(slope, 0.0, np.abs(end - begin))[0]

    def of_carrier(t, s):
        return s * np.exp(1j * drive.speed * t)

    def of_crank(t, s):
        return a * np.exp(1j * drive.speed * t) + s * np.exp(-1j * drive.speed * t)

    outside, into = 0.5 * design.carrier.si.bearing_diameter, a + 0.5 * crank.journal_diameter
    journal = found["supply"] + rise(of_carrier, outside + 0j, into + 0j, 0.3)
    assert found["crank journal"] == pytest.approx(journal, rel=1e-4)
    ends = 0.5 * crank.journal_diameter + 0j, a + 0.5 * crank.pin_diameter + 0j
    over = [journal + rise(of_crank, *ends, angle) for angle in np.linspace(0.0, np.pi, 25)]
    assert found["crankpin, least"] == pytest.approx(min(over), rel=1e-3)
    assert found["crankpin, greatest"] == pytest.approx(max(over), rel=1e-3)


def test_heat_leaves_with_the_oil(engine):
    warm, lubricant = engine.warm, engine.design.lubricant.si
    carried = 1.7e6 * warm.leakage * warm.outlet_rise
    np.testing.assert_allclose(carried, 0.8 * warm.power, rtol=1e-6)
    np.testing.assert_allclose(warm.temperature, lubricant.temperature + 0.5 * warm.outlet_rise, atol=0.2)
    oil = oils.oil(engine.design.lubricant.grade)
    np.testing.assert_allclose(warm.journals.viscosity, oils.viscosity(oil, warm.temperature), rtol=5e-3)


def test_sliders_move_and_are_pressed_as_their_machine_says(engine):
    a = engine
    made = {part: films.sliders(part, a.design, a.drive, a.shared) for part in ("guide", "piston")}
    made["skirt"] = films.sliders("skirt", a.design, a.ordinary, a.ordinary_loads)
    for part, motion, force in (("guide", a.motion, a.shared["guide"]), ("piston", a.motion, a.shared["bore"]),
                                ("skirt", a.ordinary_motion, a.ordinary_loads["bore"])):
        np.testing.assert_array_equal(made[part].load, force[:, :-1])
        np.testing.assert_allclose(made[part].speed, motion.velocity[:, :-1], atol=1e-9)
        assert pads.slide(made[part]).periodic.all()
    widths = (a.design.guide.si.rod_diameter, *(a.design.cylinders.si.bore,) * 2)
    assert tuple(one.width[0] for one in made.values()) == widths
    dry = a.design.changed(**{"lubricant.grade": "dry"})
    with pytest.raises(InputError, match="dry"):
        films.sliders("guide", dry, a.drive, a.shared)


def test_thinned_loads_are_some_of_the_loads(engine):
    few = films.thinned(engine.loads, 60)
    assert len(few.angle) == 61 and few.angle[-1] == engine.angle[-1]
    np.testing.assert_array_equal(few["rod"], engine.loads["rod"][:, ::3])


def test_all_bearings_of_both_machines_are_quick(engine):
    """One batched call to the periodic orbit, best of three; 720 samples of two turns. A core of a quiet machine takes
    0.35 s (tests/bench/bearing_speed.py); the limit of 0.5 s is doubled here for a busy one."""
    whole = assess(engine.design, 721)
    loads = films.with_ends(whole.design, whole.drive, whole.shared)
    found = seats.straight(whole.design, whole.drive, loads)
    found += seats.ordinary(whole.design, whole.ordinary, whole.ordinary_loads)
    batch, spent = films.journals(found, whole.design), []
    for _ in range(3):
        begun = time.process_time()
        orbit = mobility.orbit(batch)
        spent.append(time.process_time() - begun)
    assert len(found) == 12 and orbit.periodic.all()
    assert min(spent) <= 1.0
