"""Published values of the rating of teeth (rows G-08 on): expected values stand here with their sources."""

import numpy as np
import pytest

from vmech_core.gears import factors, life_factor, rating, tooth_steel
from vmech_core.gears.geometry import InternalPair, contact_ratio
from vmech_core.gears.mesh import iso_mesh_stiffness
from vmech_core.gears.steels import ToothSteel, cycles_to_failure, flank_strength

#: ISO/TR 6336-30:2017, Annex A, example 1: a helical external pair, to which these formulas apply as well.
HELIX, TEETH, MODULE, CENTRES, WIDTH = np.radians(15.8), (17, 103), 0.008, 0.5, 0.1
TRANSVERSE = np.arctan(np.tan(np.radians(20.0)) / np.cos(HELIX))
DIAMETER = TEETH[0] * MODULE / np.cos(HELIX)
WORKING = np.arccos(sum(TEETH) * MODULE * np.cos(TRANSVERSE) / (2.0 * np.cos(HELIX) * CENTRES))
RADIUS = 0.5 * DIAMETER * np.cos(TRANSVERSE) * np.tan(WORKING) / (1.0 + TEETH[0] / TEETH[1])


@pytest.mark.row("G-08")
def test_contact_stress_of_the_technical_report():
    base = np.arcsin(np.sin(HELIX) * np.cos(np.radians(20.0)))
    zone, elastic = factors._zone(TRANSVERSE, WORKING, base), factors._elasticity(206e9, 206e9)
    assert zone == pytest.approx(2.39533, rel=1e-5)
    assert elastic == pytest.approx(189.81170e3, rel=1e-6)
    force = 2.0 * 9000.0 / DIAMETER
    assert force == pytest.approx(127352.0, rel=1e-5)
    product = zone * elastic * 1.5491**-0.5 * 1.01944  # Z_eps and Z_beta of helical teeth
    stress = rating._nominal(product, force, DIAMETER, WIDTH, TEETH[1] / TEETH[0])
    assert stress == pytest.approx(1206.58207e6, rel=1e-5)


@pytest.mark.row("G-09")
def test_face_load_factor_of_the_root_in_the_technical_report():
    """K_Hbeta printed as 1.16, so K_Fbeta is known to rel 1e-3; tooth height from its tip and a dedendum of 1.4."""
    height = 0.5 * (0.15966 - DIAMETER) + (1.4 - 0.1452) * MODULE
    assert 1.16 ** factors.face_exponent(WIDTH, height) == pytest.approx(1.12803, rel=5e-4)


@pytest.mark.row("G-10")
def test_flank_strength_of_the_technical_report():
    """Oil ISO VG 320 and Rz 6 um are those that the printed factors imply; 1500 MPa likewise."""
    made = tooth_steel("case-hardened steel", "MQ")
    strength, found = flank_strength(made, made, 320e-6, 2.664, 6e-6, RADIUS)
    assert (found["Z_L"], found["Z_v"], found["Z_R"]) == pytest.approx((1.04739, 0.96911, 0.96599), rel=1e-4)
    for cycles, life, allowed in ((1.080e9, 0.910, 1338.48e6), (1.783e8, 0.962, 1414.53e6)):
        assert life_factor(made, "flank", cycles) == pytest.approx(life, rel=1e-3)
        assert strength * life_factor(made, "flank", cycles) == pytest.approx(allowed, rel=1e-3)


@pytest.mark.row("G-12")
def test_single_stiffness_of_an_internal_mesh():
    pair = InternalPair(0.001, 30, 60)
    single = iso_mesh_stiffness(pair) / (0.75 * contact_ratio(pair) + 0.25)
    assert single == pytest.approx(14.8816e9, rel=1e-4)


#: ISO 6336-5:2003 Table 1, class ME, as copied in a student repository: at 300 HV (soft), 550 HV (induction), any.
BEST = {"quenched and tempered steel": (300, 2.213 * 300 + 260, 0.358 * 300 + 231),
        "steel": (180, 0.838 * 180 + 432, 0.283 * 180 + 202),
        "case-hardened steel": (700, 1650, 525), "nitrided steel": (750, 1450, 468),
        "flame- or induction-hardened steel": (550, 0.505 * 550 + 1013, 0.271 * 550 + 237),
        "nitrided quenched and tempered steel": (500, 1217, 432), "nitrocarburised steel": (500, 950, 388)}


@pytest.mark.row("G-15")
@pytest.mark.parametrize("name", BEST)
def test_strength_of_gear_steels(name):
    hard, contact, bending = BEST[name]
    made = tooth_steel(name, "ME", hard)
    assert (made.flank_limit / 1e6, made.root_limit / 1e6) == pytest.approx((contact, bending), rel=1e-12)


@pytest.mark.row("T08-021")
def test_grades_of_case_hardened_steel():
    """1300, 1500, 1650 MPa and 312, 461 (middle of three), 525 MPa; from memory."""
    found = [tooth_steel("case-hardened steel", grade) for grade in ("ML", "MQ", "ME")]
    assert [s.flank_limit / 1e6 for s in found] == [1300.0, 1500.0, 1650.0]
    assert [s.root_limit / 1e6 for s in found] == [312.0, 461.0, 525.0]


@pytest.mark.row("G-16")
@pytest.mark.parametrize(("part", "points", "slope"), [
    ("root", ((1e3, 2.5), (3e6, 1.0)), 8.738), ("flank", ((1e5, 1.6), (5e7, 1.0)), 13.222),
    ("flank", ((5e7, 1.0), (1e10, 0.85)), 32.60)])
def test_life_curves_through_their_points(part, points, slope):
    made = tooth_steel("case-hardened steel")
    for cycles, factor in points:
        assert life_factor(made, part, cycles) == pytest.approx(factor, rel=1e-9)
    (first, high), (last, low) = points
    middle = 0.9 * low + 0.1 * high
    fewer = cycles_to_failure(made, part, middle) / cycles_to_failure(made, part, middle * 1.001)
    found = np.log(fewer) / np.log(1.001)
    assert found == pytest.approx(slope, rel=1e-3)


@pytest.mark.row("G-56")
def test_rim_factor_on_both_sides_of_its_limits():
    pair = InternalPair(0.002, 23, 46)
    height = 2.25 * 0.002
    for pinion, ring, expected in ((1.3, 3.6, (1.0, 1.0)), (0.8, 2.5, (1.6 * np.log(2.242 / 0.8),
                                                                        1.15 * np.log(8.324 / 2.5)))):
        assert factors.rim(pair, pinion * height, ring * 0.002) == pytest.approx(expected, rel=1e-12)
    assert np.isnan(factors.rim(pair, 0.49 * height, 1.74 * 0.002)).all()
    assert not np.isnan(factors.rim(pair, 0.51 * height, 1.76 * 0.002)).any()


@pytest.mark.row("G-57")
def test_deep_tooth_factor_on_both_sides():
    assert factors.deep_tooth([1.998, 2.05, 2.2, 2.5, 2.7], 4) == pytest.approx([1, 1, 2.366 - 0.666 * 2.2, 0.701, 0.7])
    assert factors.deep_tooth(2.3, 5) == 1.0


@pytest.mark.row("G-58")
def test_virtual_rack_of_the_older_edition():
    for tip, form, stress in ((0.25, 2.0575, 2.815), (0.30, 2.0598, 2.657), (0.38, 2.0632, 2.463)):
        found = factors.virtual_rack(1.25, 1.0, tip, 0.5 * tip, np.pi / 9)
        assert found == pytest.approx((form, stress), rel=3e-4)


@pytest.mark.row("G-59")
def test_alternating_load():
    """0.7 for full reversal lies within the range of M of case-hardened steel; one flank alone: 1."""
    kind = tooth_steel("case-hardened steel").kind
    low, high = (factors.mean_stress(1.0, kind[f"mean_stress_{end}"]) for end in ("low", "high"))
    assert low < 0.7 < high
    assert factors.mean_stress(0.0, 0.4) == 1.0


@pytest.mark.row("G-61")
def test_constants_of_the_dynamic_factor():
    """Table 8 of ISO 6336-1:2006, on both sides of a contact ratio of 2."""
    low, high = factors._constants(1.4), factors._constants(2.2)
    assert low == pytest.approx([0.32, 0.34, 0.23, 0.90, 0.47, 0.47, 0.75])
    expected = [0.32, 0.57 / 1.9, 0.096 / 0.64, (0.57 - 0.05 * 2.2) / 0.76, 0.47, 0.12 / 0.46]
    assert high == pytest.approx([*expected, 0.125 * np.sin(np.pi * 0.2) + 0.875])
    assert factors._constants(1.8)[6] == pytest.approx(0.125 * np.sin(-0.2 * np.pi) + 0.875)


@pytest.mark.row("T08-015")
def test_zone_and_elasticity_factor():
    angle = np.radians(20.0)
    assert factors._zone(angle, angle) == pytest.approx(2.494573, rel=1e-6)
    assert factors._elasticity(206e9, 206e9) == pytest.approx(189.812e3, rel=1e-5)


@pytest.mark.row("T12-017")
def test_deviations_of_a_grade():
    """5.67 and 7.91 um for grade 5, within the printed rounding; sqrt 2 from grade to grade."""
    found = factors.tolerances(0.002, 0.08, 0.02, 5)
    assert (found["f_pt"] * 1e6, found["F_beta"] * 1e6) == pytest.approx((5.67, 7.91), abs=0.006)
    assert factors.tolerances(0.002, 0.08, 0.02, 7)["f_pt"] == pytest.approx(2.0 * found["f_pt"])


def test_the_dataclass_takes_a_steel_of_the_reader():
    own = ToothSteel("mine", 1200e6, 400e6, 700.0, tooth_steel("nitrided steel").kind)
    assert life_factor(own, "root", 3e6) == 1.0
