"""Tolerances of the straight-line drive: symmetries, closed forms, two ways to solve, heat, the command."""

import runpy
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from vmech_core import accuracy, assess, load_design, plays
from vmech_core.base import sampling
from vmech_core.base.errors import InputError
from vmech_core.base.sampling import Dimension
from vmech_core.machine import train
from vmech_core.plays import heat
from vmech_core.sharing import quasi_static as sharing
from vmech_core.show import tolerances as pictures

DATA = Path(__file__).resolve().parents[2] / "data"
ENGINE = DATA / "first_sketch.toml"
FILES = ("first_sketch", "star_pump", "air_compressor", "desk_model")


@pytest.fixture(scope="module")
def design():
    return load_design(ENGINE)


@pytest.fixture(scope="module")
def engine(design):
    return assess(design, 91)


@pytest.fixture(scope="module")
def scatter(design):
    return accuracy.monte_carlo(design, count=300, angles=61, seed=4)


def nominal(design, **changed):
    values = {d.name: np.array([d.nominal]) for d in accuracy.dimensions_of(design)}
    return {**values, **{name: np.atleast_1d(value) for name, value in changed.items()}}


def solved(engine, design, **changed):
    elastic = accuracy.machines(engine, nominal(design, **changed))
    return accuracy.evaluate(engine, elastic, 1)


@pytest.mark.parametrize("name", FILES)
def test_every_demo_design_has_limits_with_a_source(name):
    found = accuracy.dimensions_of(load_design(DATA / f"{name}.toml"))
    assert all(d.lower < d.upper and d.source for d in found)
    assert all(d.lower > 0 for d in found if d.name.endswith("play") or d.name == "backlash")


def test_a_play_too_fine_for_grade_4_is_held_by_sorted_rollers_and_by_nothing_else():
    """A printed example with rollers in 2 um lots between H6 and h5 keeps 17 to 25 um: 4 um each way."""
    design = load_design(DATA / "v_twin_generator.toml")
    found = {d.name: d for d in accuracy.dimensions_of(design)}
    assert found["crank_play"].upper - found["crank_play"].lower == pytest.approx(25e-6 - 17e-6)
    assert "ISO 3096" in found["crank_play"].source and "ISO 286" in found["guide_play"].source
    with pytest.raises(InputError, match="too small to be held"):
        accuracy.dimensions_of(design.changed(**{"bearings.crank_in_carrier": "journal"}))


def test_a_drawn_length_may_be_off_by_half_the_width_of_grade_7():
    """ISO 286-1: IT7 is 18 um from 10 to 18 mm, so js7 of the 17.25 mm crank radius is 9 um to either side."""
    design = load_design(ENGINE).changed(**{"design.name": "copy"})
    found = {d.name: d for d in accuracy.dimensions_of(design)}
    assert 0.25 * design.cylinders.si.stroke == pytest.approx(17.25e-3)
    assert (found["carrier_radius"].lower, found["carrier_radius"].upper) == pytest.approx((-9e-6, 9e-6))
    assert found["pinion_phase"].upper == pytest.approx(9e-6 / 17.25e-3)


def test_plays_of_the_drawing_run_warmer(engine):
    """By hand: 40 + 60 um on the diameter as made; the seat in the aluminium block takes (21.5 - 11.5) x 90 x 80 = 72
    um on. A play that is not given is that of the design; both plays of the crank add up to one clearance."""
    both = {"crank_play": np.array([40e-6]), "carrier_play": np.array([60e-6])}
    assert accuracy.machines(engine, both).bearing_clearance == pytest.approx([86e-6])
    assert accuracy.machines(engine, {}).bearing_clearance == pytest.approx(engine.elastic.bearing_clearance)
    with pytest.raises(InputError, match=r"^guide.piston_clearance_um = '440' is used up in the tightest machine of "
                       r"this study when it runs: not above 479.1 µm; nearest value that works: 480 µm.$"):
        accuracy.machines(engine, {"piston_play": np.array([100e-6, 300e-6])})


def test_the_last_column_of_a_report_is_the_largest(scatter):
    line = next(line for line in accuracy.report(scatter).split("\n") if line.startswith("tooth force"))
    *_, ninety_five, largest, unit = line.split()
    assert unit == "kN" and float(largest) == pytest.approx(1e-3 * scatter.values["tooth_peak"].max(), rel=5e-3)
    assert float(largest) > float(ninety_five) > 1e-3 * scatter.values["tooth_peak"].min()


def test_a_play_has_the_widths_of_hole_and_shaft(design):
    """ISO 286-1, IT6 at 22 mm is 13 um (published table): a play scatters by 13 + 13 um about its middle."""
    play = next(d for d in accuracy.dimensions_of(design) if d.name == "guide_play")
    assert (play.upper - play.lower, play.upper + play.lower) == pytest.approx((26e-6, 2 * design.guide.si.clearance))


def test_nominal_dimensions_give_the_machine_of_the_file(engine, design):
    own, made = engine.elastic, accuracy.machines(engine, nominal(design))
    for name, value in vars(own).items():
        found = getattr(made, name)
        assert found == value if name.endswith("film") else np.allclose(found, value, rtol=1e-12, atol=1e-18), name


def test_many_machines_at_each_angle_equal_one_machine_at_all_angles(engine, design):
    """Two orders of the same work: ``sharing.share`` solves all angles of one machine at once."""
    samples = sampling.sample(accuracy.dimensions_of(design), 6, 9)
    many = accuracy.evaluate(engine, accuracy.machines(engine, samples), 6)
    for k in range(6):
        one = accuracy.machines(engine, {name: v[k] for name, v in samples.items()})
        loads, _ = sharing.share(one, engine.drive, engine.loads)
        for name, channel in (("tooth", "mesh"), ("guide", "guide"), ("bore", "bore")):
            values = loads[channel][..., :-1]
            assert many[f"{name}_peak"][k] == pytest.approx(np.abs(values).max(), rel=1e-6, abs=1e-3)
            assert many[f"{name}_rms"][k] == pytest.approx(np.sqrt(np.mean(values**2)), rel=1e-6, abs=1e-3)
    assert many["solved"].all()


def test_equal_radius_errors_change_nothing_but_the_backlash(engine, design):
    """Involute pair: moving the axes apart by e closes the backlash by 2 e tan(alpha), any text on gears. With that
    given back, a carrier and pins that are too large by the same amount feel no different."""
    e = 8e-6
    opened = engine.elastic.backlash + 2 * e * np.tan(engine.drive.pressure_angle)
    shifted = solved(engine, design, carrier_radius=e, pin_radius_1=e, pin_radius_2=e, backlash=opened)
    plain = solved(engine, design)
    for name in ("tooth", "guide", "bore", "pin"):
        for kind in ("peak", "rms"):
            assert shifted[f"{name}_{kind}"] == pytest.approx(plain[f"{name}_{kind}"], rel=1e-6)
    assert abs(solved(engine, design, carrier_radius=e)["guide_peak"] / plain["guide_peak"] - 1) > 0.02


@pytest.mark.parametrize(("name", "ring", "line"), [("ring_phase", 1, 0), ("line_angle_1", 0, 1)])
def test_angles_of_ring_and_line_act_as_turned_pictures(engine, design, name, ring, line):
    """A ring turned by d gives the whole path of notebook 01 turned by d and begun later by d; a line turned by b looks
    at the path from another direction. First order: the rest is of the size of the square."""
    angle, a = 3e-4, 0.25 * engine.drive.stroke
    phi = np.linspace(0.0, 2.0 * np.pi, 97)
    path = train.pin_path(phi - ring * angle, a, a) * np.exp(1j * (ring - line) * angle)
    made = accuracy.machines(engine, nominal(design, **{name: angle}))
    assert made.pin_offset(phi, a, 0) == pytest.approx(path.imag, abs=2 * a * angle**2)
    assert np.abs(path.imag).max() > 0.9 * 2 * a * angle


def test_scatter_of_a_linear_chain_has_its_closed_form(design, engine):
    """Rigid lateral error at the dead centre: deviations add as squares; limits at 3 sigma cut 1.34 % off each."""
    found = accuracy.dimensions_of(design)
    samples = sampling.sample(found, 50_000, 1)
    made = accuracy.machines(engine, samples)
    a = 0.25 * engine.drive.stroke
    off = made.pin_offset(0.0, a, 0)
    factors = {"pin_phase_1": 1, "pinion_phase": 1, "ring_phase": 2, "line_angle_1": 2}
    third = {d.name: d.upper / 3 for d in found}
    closed = a * np.sqrt(sum((k * third[name]) ** 2 for name, k in factors.items()))
    assert off.std() == pytest.approx(0.98658 * closed, rel=0.01)
    assert off.mean() == pytest.approx(0.0, abs=4 * closed / np.sqrt(off.size))
    assert np.abs(off).max() < a * sum(k * 3 * third[name] for name, k in factors.items())


def test_small_errors_give_the_variance_of_the_tangent(design):
    """While no contact changes, forces are linear: mean and variance of the sample follow from central differences."""
    tiny = [Dimension(n, 0.0, -w, w) for n, w in (("guide_offset_1", 2e-8), ("carrier_radius", 2e-8))]
    rest = [d for d in accuracy.dimensions_of(design) if d.name not in ("guide_offset_1", "carrier_radius")]
    frozen = [replace(d, lower=d.nominal, upper=d.nominal) for d in rest]
    found = accuracy.monte_carlo(design, [*tiny, *frozen], count=1500, angles=61)
    a, squares = assess(design, 61), 0.0
    for d in tiny:
        low, high = (solved(a, design, **{d.name: end})["guide_rms"][0] for end in (d.lower, d.upper))
        squares += ((high - low) / 2 / 3 * 0.98658) ** 2
    values = found.values["guide_rms"]
    assert values.std() == pytest.approx(np.sqrt(squares), rel=0.06)
    assert values.mean() == pytest.approx(found.nominal["guide_rms"], abs=4 * values.std() / np.sqrt(values.size))


def test_the_worst_corner_bounds_all_samples(design, scatter):
    worst = accuracy.worst_case(design, angles=61, corners=60)
    limits = {d.name: (d.lower, d.upper) for d in scatter.dimensions}
    for name, found in worst.items():
        assert found.value >= scatter.values[name].max()
        assert found.value >= max(found.by_sign, found.by_chance)
        assert all(value in limits[key] for key, value in found.corner.items())


def test_no_machine_is_left_unsolved_and_shares_make_up_the_whole(scatter):
    assert scatter.unsolved == 0
    shares = sampling.contributions(scatter.samples, scatter.values["guide_peak"])
    assert len(shares) == len(scatter.dimensions) + 1
    assert sum(shares.values()) == pytest.approx(1.0, abs=0.15)


def test_the_tooth_peak_of_parts_that_only_move_stops_at_idle_guides(scatter, design):
    """Limit of notebook 05: with idle guides the teeth carry everything. Forced guides can exceed it, rarely."""
    ceiling = np.abs(assess(design, 61).loads["mesh"]).max()
    assert np.mean(scatter.values["tooth_peak"] > 1.001 * ceiling) < 0.05


def test_running_and_cold_use_the_same_numbers(design):
    warm, cold = (accuracy.monte_carlo(design, count=20, angles=31, state=state) for state in ("running", "cold"))
    assert all(np.array_equal(cold.samples[name], warm.samples[name]) for name in cold.samples)
    assert not np.allclose(cold.values["guide_peak"], warm.values["guide_peak"])


def test_cancel_comes_through(design):
    with pytest.raises(sampling.Cancelled, match="after 0 of 10"):
        accuracy.monte_carlo(design, count=10, angles=31, cancel=lambda: True)


def test_a_machine_of_one_metal_that_warms_evenly_feels_nothing(design, engine):
    """Similarity: every length grows by 0.09 %, so do clearances, which is 0.1 um at most."""
    rises = dict.fromkeys(heat.RISES, 80.0)
    metal = {f"{part}_material": "steel" for part in ("block", "guide", "piston", "cylinder")}
    made = (plays.warmed(engine.elastic, engine.design, heat.Heat(**each, **metal)) for each in (rises, {}))
    hot, cold = (accuracy.evaluate(engine, e, 1) for e in made)
    for name in ("tooth_peak", "guide_peak", "bore_peak"):
        assert hot[name] == pytest.approx(cold[name], rel=1e-6)


def test_many_temperatures_at_once_equal_one_by_one(design, engine):
    shares, own = np.array([0.25, 0.5, 1.0]), plays.heat_of(engine.design)
    many = accuracy.evaluate(engine, plays.warmed(engine.elastic, engine.design, plays.scaled(own, shares)), 3)
    for k, share in enumerate(shares):
        one = plays.warmed(engine.elastic, engine.design, plays.scaled(own, share))
        assert accuracy.evaluate(engine, one, 1)["guide_peak"] == pytest.approx(many["guide_peak"][k], rel=1e-9)


def test_causes_one_at_a_time_against_designs_written_by_hand(design):
    """The drawing plays of before, at the given trace: each cause as a design that holds running plays by itself."""
    old = design.changed(**{"guide.piston_clearance_um": 200, "guide.clearance_um": 30, "duty.pressure_from": "trace",
                            "bearings.crankpin_clearance_um": 30, "bearings.carrier_clearance_um": 70})
    found = accuracy.one_at_a_time(old, 241)
    piston = old.changed(**{"running_state.plays": "running", "guide.piston_clearance_um": 200 - 139.104})
    bearing = old.changed(**{"running_state.plays": "running", "bearings.carrier_clearance_um": 142})
    for words, one in (("piston play", piston), ("bearing play", bearing), ("all", old)):
        shared = assess(one, 241).shared
        assert found[words] == pytest.approx({name: np.abs(shared[name]).max() for name in found[words]}, rel=1e-9)
    guides = {words: each["guide"] for words, each in found.items()}
    assert guides["all"] > guides["piston play"] > guides["bearing play"] > 1.2 * guides["as made"]
    assert guides["guide play"] < 1.1 * guides["as made"] and guides["backlash"] == pytest.approx(guides["as made"])
    assert guides["all, block of iron"] - guides["as made"] > 0.5 * (guides["all"] - guides["as made"])
    assert found["as made"]["bore"] < found["bearing play"]["bore"] < found["piston play"]["bore"]


def test_one_tooth_out_turns_the_line_by_half_a_pitch():
    """Notebook 01: pi over the pinion's teeth; stroke 69 mm and 23 teeth put the pin 4.7 mm off."""
    path = train.jam_path(0.069, 23, np.linspace(0.0, np.pi, 721))
    assert np.degrees(np.arctan(path.imag / path.real)) == pytest.approx(180.0 / 23, abs=1e-6)
    assert np.abs(path.imag).max() == pytest.approx(0.0345 * np.sin(np.pi / 23), rel=1e-4)


def test_the_scene_follows_and_says_when_it_jams(design):
    scene = pictures.ToleranceScene(design)
    scene.update(guide_um=40.0)
    loose = scene._text.text
    scene.update(guide_um=10.0, rise=60.0)
    assert scene._text.text != loose and "+60 K" in scene._text.text
    scene.update(assembly=pictures.ONE_OUT)
    assert "jams" in scene._text.text and np.isnan(scene._lines[0].get_ydata()).all()
    scene.update(guide_um=10.0, backlash_um=0.0, rise=0.0)
    assert "+0 K" in scene._text.text


def test_the_command_prints_a_table_and_a_progress_line(capsys):
    arguments = [str(ENGINE), "--samples", "200", "--angles", "13", "--limit", "bore=0.5", "--cold"]
    main = runpy.run_path(str(DATA / "tolerance_study.py"))["main"]
    assert main(arguments) == 0
    out, err = capsys.readouterr()
    assert "200 of 200" in err and "200 machines, 13 angles, 0 unsolved" in out
    assert "at most 0.5 kN" in out and "counts most" in out
    assert main([str(ENGINE), "--limit", "noise=3"]) == 2
    assert capsys.readouterr().err == "limit = 'noise' is not one of tooth, guide, bore, pin.\n"


@pytest.mark.parametrize(
    ("act", "sentence"),
    [
        (lambda d: accuracy.sweep(d, "colour"), "dimension = 'colour' is not one of carrier_radius"),
        (
            lambda d: accuracy.dimensions_of(d.changed(**{"bearings.crank_clearance_um": 5.0})),
            "bearings.crank_clearance_um = '5' is too small to be held at 34 mm by grade 4: below 14 µm; "
            "nearest value that works: 14 µm.",
        ),
    ],
)
def test_bad_input_gets_one_sentence(design, act, sentence):
    with pytest.raises(InputError) as error:
        act(design)
    assert sentence in str(error.value)
