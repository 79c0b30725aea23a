"""Oils and rough surfaces against quadrature, a general library, standards; and the tables in data/."""

import numpy as np
import pytest
from scipy.integrate import quad

from vmech_core.base import tables
from vmech_core.base.errors import InputError
from vmech_core.bearings import oils, surfaces
from vmech_core.bearings.surfaces import ASPERITY_FACTOR
from vmech_core.design.design import Design
from vmech_core.plays import heat as thermal

CELSIUS = 273.15
GRADES = [row["grade"] for row in tables.rows("oils")]
MINERAL = [grade for grade in GRADES if grade != "water"]

# --- oils -----------------------------------------------------------------------------------------------------------


def test_there_is_an_oil_for_every_grade_that_a_design_may_name():
    words = next(row["words"] for row in tables.rows("design_keys") if row["key"] == "grade")
    assert {*GRADES, "dry"} == set(words.split(", "))
    assert [oils.oil(grade).grade for grade in GRADES] == GRADES


@pytest.mark.parametrize(("grade", "part"), [("dry", "no film"), ("SAE 90", "not one of"), ("", "not one of")])
def test_no_fluid_no_film(grade, part):
    with pytest.raises(InputError, match=part) as caught:
        oils.oil(grade)
    assert "SAE 30" in str(caught.value) and str(caught.value).count(". ") == 0


def test_celsius_is_refused_and_nothing_else():
    with pytest.raises(InputError, match="temperature = 90.0 is below 200 K"):
        oils.viscosity(oils.oil("SAE 30"), np.array([363.0, 90.0]))
    with pytest.raises(InputError, match="kelvin"):
        oils.viscosity(oils.oil("water"), 20.0)
    assert oils.viscosity(oils.oil("SAE 30"), np.array([])).size == 0
    assert oils.viscosity(oils.oil("SAE 10"), 233.15) > 1.0


#: ASTM D2270, table of equations (from memory): lower end of nu_100, then L = a y^2 + b y + c, H = d y^2 + e y + f.
D2270 = (
    (5.0, 0.10100, 16.6350, -45.469, 0.04985, 9.1613, -18.557),
    (6.4, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
    (7.0, 0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610),
    (7.7, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
    (9.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
    (12.0, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
    (15.0, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930),
    (18.0, 0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730),
)


def viscosity_index(nu_40, nu_100):
    """Viscosity index up to 100, mm2/s."""
    _, a, b, c, d, e, f = [row for row in D2270 if row[0] <= nu_100][-1]
    low, high = ((p * nu_100 + q) * nu_100 + r for p, q, r in ((a, b, c), (d, e, f)))
    return 100.0 * (low - nu_40) / (low - high)


def test_the_index_itself():
    """Published: 68 and 8.6 mm2/s have 96 to 97 (documentation of two libraries, read)."""
    assert viscosity_index(68.0, 8.6) == pytest.approx(96.5, abs=0.7)


@pytest.mark.parametrize("grade", MINERAL)
def test_grades_have_a_usual_viscosity_index(grade):
    """ASTM D2270; 95 to 100 is common practice, no source. PyPI chemicals 1.5.2: 97.0 to 97.2."""
    found = oils.oil(grade)
    assert viscosity_index(1e6 * found.nu_40, 1e6 * found.nu_100) == pytest.approx(97.0, abs=0.4)


@pytest.mark.parametrize("grade", [g for g in GRADES if g.startswith("ISO")])
def test_industrial_oils_are_named_by_their_viscosity_at_40_degrees(grade):
    """ISO 3448 (from memory): middle of the class, 10 % either way."""
    found, T = oils.oil(grade), 40.0 + CELSIUS
    middle, row = float(grade.split()[-1]), tables.row("oils", "grade", grade)
    assert 1e6 * oils.kinematic_viscosity(found, T) == pytest.approx(middle, rel=1e-12)
    ends = [float(row[f"window_{end}_mm2_s"]) / middle for end in ("low", "high")]
    assert row["window_C"] == "40" and ends == pytest.approx([0.9, 1.1], rel=1e-3)


@pytest.mark.parametrize("grade", MINERAL)
def test_density_falls_as_in_the_petroleum_tables(grade):
    """ASTM D1250 for lubricating oils: exp(-x (1 + 0.8 x)), x = 0.6278 rise / density (0.6278 from memory)."""
    found, T = oils.oil(grade), np.linspace(-20.0, 150.0, 18) + CELSIUS
    x = 0.6278 * (T - 288.15) / found.density
    assert oils.density(found, T) == pytest.approx(found.density * np.exp(-x * (1.0 + 0.8 * x)), rel=1e-3)
    assert oils.density(found, 288.15) == found.density
    assert oils.viscosity(found, T) == pytest.approx(oils.kinematic_viscosity(found, T) * oils.density(found, T))


# --- surfaces -------------------------------------------------------------------------------------------------------


def integral(ratio):
    """Greenwood and Tripp's integral of (s - ratio)^(5/2) over normally distributed heights, by quadrature."""
    return quad(lambda s: (s - ratio) ** 2.5 * np.exp(-0.5 * s * s) / np.sqrt(2 * np.pi), ratio, ratio + 12.0,
                epsabs=0.0, epsrel=1e-9)[0]


def test_the_fit_of_the_asperity_pressure_errs_as_its_docstring_says():
    ratio = np.array([0.0, 1.0, 2.0, 2.5, 3.0])
    exact = np.array([integral(x) for x in ratio])
    fit = surfaces.asperity_pressure(ratio, 1.0, 1.0)
    assert fit / exact - 1.0 == pytest.approx([-0.107, -0.035, -0.092, -0.346, -0.742], abs=1e-3)
    middle = np.linspace(0.0, 2.0, 41)
    assert surfaces.asperity_pressure(middle, 1.0, 1.0) == pytest.approx([integral(x) for x in middle], rel=0.11)
    far = np.linspace(2.1, 6.0, 40)
    assert np.abs(surfaces.asperity_pressure(far, 1.0, 1.0) - [integral(x) for x in far]).max() < 1.2e-3 * exact[0]
    assert integral(2.05) < 0.008 * exact[0]
    assert (surfaces.asperity_pressure(np.array([4.0, 5.0, 50.0]), 60e9) == 0.0).all()


def test_the_asperity_factor_and_its_range():
    """Greenwood and Tripp at 0.04 and 1e-3, by hand: 16 sqrt2 pi / 15 = 4.7391; times 0.0016, times 0.031623."""
    assert surfaces._asperity_factor(0.04, 1e-3) == pytest.approx(4.7391 * 0.0016 * 0.0316228, rel=2e-5)
    assert (ASPERITY_FACTOR.low, ASPERITY_FACTOR.likely, ASPERITY_FACTOR.high) == pytest.approx(
        (4.265e-5, 2.398e-4, 1.1848e-3), rel=1e-3)
    assert surfaces.asperity_pressure(1.0, 60e9) == pytest.approx(2.398e-4 * 60e9 * integral(1.0), rel=0.036)
    assert surfaces.asperity_pressure(1.0, 60e9, 2e-4) == pytest.approx(60e9 * surfaces.asperity_pressure(1.0, 1, 2e-4))


def round_the_pair(pressure, length, radius, clearance, roughness, ratio):
    """Load of the peaks of an eccentric journal: pressure over the true film, component along the line of centres."""
    eccentricity = clearance - ratio * roughness

    def share(angle):
        film = clearance - eccentricity * np.cos(angle)
        return pressure(film / roughness) * np.cos(angle)

    end = np.arccos(1.0 - (surfaces.REACH - ratio) * roughness / eccentricity)
    return 2.0 * length * radius * quad(share, 0.0, end, epsrel=1e-9)[0]


@pytest.mark.parametrize(("part", "least"), [(0.003, -0.0045), (0.01, -0.0150), (0.02, -0.0300)])
def test_load_of_the_peaks_of_a_journal(part, least):
    """Direct quadrature round the circumference with the film of an eccentric circle: errors as the docstring says."""
    length, radius, clearance, modulus = 0.02, 0.015, 25e-6, 58e9
    roughness = part * clearance
    coefficient = surfaces.journal_asperity(length, radius, clearance, roughness, modulus)
    for ratio in (0.5, 1.0, 2.0, 3.0):
        found = coefficient * max(surfaces.REACH - ratio, 0.0) ** surfaces.JOURNAL_POWER
        exact = round_the_pair(
            lambda x: surfaces.asperity_pressure(x, modulus), length, radius, clearance, roughness, ratio
        )
        assert least < found / exact - 1.0 < 0.0
    normal = round_the_pair(lambda x: ASPERITY_FACTOR.likely * modulus * integral(x), length, radius, clearance,
                            roughness, 1.0)
    assert coefficient * 3.0**surfaces.JOURNAL_POWER == pytest.approx(normal, rel=0.07)


def test_journal_coefficients_broadcast():
    found = surfaces.journal_asperity(np.array([0.01, 0.02]), 0.01, 20e-6, 0.2e-6, 58e9, np.full((3, 1), 1e-4))
    assert found.shape == (3, 2)
    assert found[:, 1] == pytest.approx(2.0 * found[:, 0])
    assert found[0, 0] == pytest.approx(surfaces.journal_asperity(0.01, 0.01, 20e-6, 0.2e-6, 58e9, 1e-4))


def test_contact_modulus():
    """E' of 206 GPa steel on steel in Johnson's convention is 113.187 GPa; row T09-001 needs it (closed form)."""
    E = surfaces.contact_modulus(206e9, 0.3, 206e9, 0.3)
    assert E == pytest.approx(113.187e9, rel=1e-5)
    assert 1e-6 * np.sqrt(1000.0 * E / (np.pi * 0.01 * (0.01 * 0.02 / 0.03))) == pytest.approx(735.138, rel=1e-5)
    assert surfaces.contact_modulus(206e9, 0.3, 1e30, 0.5) == pytest.approx(206e9 / 0.91)
    assert surfaces.contact_modulus(70e9, 0.35, 206e9, 0.3) == surfaces.contact_modulus(206e9, 0.3, 70e9, 0.35)
    assert surfaces.contact_modulus(1e30, 0.0, 70e9, 0.35) == pytest.approx(70e9 / 0.8775)


def test_roughness_of_a_pair_is_that_of_a_sampled_gap():
    """Two normally distributed profiles: mean of |z| is Ra, spread of their difference is the composite roughness."""
    heights = np.random.default_rng(5).normal(size=(2, 400_000)) * np.array([[0.3], [0.5]])
    ra = np.abs(heights).mean(axis=1)
    assert surfaces.composite_roughness(*ra) == pytest.approx((heights[0] - heights[1]).std(), rel=5e-3)


def test_names_of_the_regimes():
    ratio = np.array([-1.0, 0.99, 1.0, 2.0, 3.0, 3.01, np.inf])
    expected = ["boundary"] * 2 + ["mixed"] * 3 + ["full film"] * 2
    assert surfaces.regime(ratio).tolist() == expected
    assert [surfaces.regime(x) for x in ratio] == expected
    assert isinstance(surfaces.regime(0.5), str)


def test_boundary_friction_of_oiled_bearing_metal():
    """From memory."""
    e = surfaces.BOUNDARY_FRICTION
    assert (e.low, e.likely, e.high) == (0.08, 0.12, 0.15)


# --- tables ---------------------------------------------------------------------------------------------------------

STATUS = {"read", "derived", "computed", "from memory", "common practice no source"}
#: Columns of each table that must rise, and those that may be empty together.
RISING = {
    "oils": (("window_low_mm2_s", "window_high_mm2_s"),),
    "materials": (("load_limit_low_MPa", "load_limit_high_MPa"), ("speed_limit_low_m_s", "speed_limit_high_m_s")),
    "roughness": (("ra_low_um", "ra_likely_um", "ra_high_um"),),
}


def table_faults(name, rows):
    """What is wrong with the rows of a table."""
    faults = [f"{row}: no source" for row in rows if not row["source"].strip()]
    faults += [f"{row}: status" for row in rows if row["status"] not in STATUS]
    for row in rows:
        for columns in RISING[name]:
            values = [float(row[c]) for c in columns if row[c]]
            if len(values) not in (0, len(columns)) or values != sorted(values) or min(values, default=1.0) <= 0.0:
                faults.append(f"{row}: {columns}")
    names = [next(iter(row.values())) for row in rows]
    return faults + [f"{n}: twice" for n in names if names.count(n) > 1] + [f"{r}: torn" for r in rows if None in r]


@pytest.mark.parametrize("name", RISING)
def test_every_row_has_a_source_and_rises(name):
    assert len(tables.rows(name)) >= 10
    assert not table_faults(name, tables.rows(name))


def test_the_check_of_the_tables_can_fail():
    good = tables.rows("roughness")[0]
    for change in ({"source": " "}, {"status": "sure"}, {"ra_low_um": "9"}, {"ra_high_um": ""}, {None: ["x"]}):
        assert table_faults("roughness", [{**good, **change}])
    assert table_faults("roughness", [good, good])


def test_the_window_of_every_grade_holds_its_typical_oil():
    for row in tables.rows("oils"):
        if row["window_C"]:
            middle = float(row[f"nu_{row['window_C']}_mm2_s"])
            assert float(row["window_low_mm2_s"]) < middle < float(row["window_high_mm2_s"])


#: Material of the table -> name in the table of expansions of the core.
SAME = {"aluminium": "aluminium", "grey iron": "grey iron", "tin bronze": "bronze", "piston alloy": "piston alloy",
        **dict.fromkeys(("steel", "case-hardened steel", "nitrided steel", "quenched and tempered steel"), "steel"),
        }


def test_expansions_agree_with_those_that_the_core_computes_with():
    assert set(SAME.values()) == set(thermal.EXPANSION)
    for material, name in SAME.items():
        found = float(tables.row("materials", "material", material)["expansion_1e-6_per_K"])
        assert found == pytest.approx(1e6 * thermal.EXPANSION[name], rel=1e-9)


#: Young's modulus [GPa] and density [kg/m3] of kindred pure metals: W. D. Callister, tables B.1, B.2 (from memory).
PURE = {"case-hardened steel": (207, 7850), "grey iron": (110, 7200), "aluminium": (72.4, 2690),
        "white metal": (44, 7270), "tin bronze": (110, 8800)}


@pytest.mark.parametrize("material", PURE)
def test_materials_are_near_the_handbook(material):
    row = tables.row("materials", "material", material)
    found = float(row["youngs_modulus_GPa"]), float(row["density_kg_m3"])
    assert found == pytest.approx(PURE[material], rel=0.2)


def test_every_material_has_its_elastic_data():
    for row in tables.rows("materials"):
        assert 0.3 < float(row["youngs_modulus_GPa"]) < 400.0 and 0.2 < float(row["poisson_ratio"]) < 0.5
        assert 600.0 < float(row["density_kg_m3"]) < 20_000.0 and 5.0 < float(row["expansion_1e-6_per_K"]) < 150.0


#: Key of the design file -> surface of the table.
DEFAULTS = {"journal": "ground journal", "shell": "bearing shell after running in", "rod": "piston rod",
            "guide": "honed guide", "piston": "piston skirt", "bore": "honed cylinder bore"}


@pytest.mark.parametrize("key", DEFAULTS)
def test_roughness_that_a_design_leaves_out_is_that_of_the_table(key):
    row = tables.row("roughness", "surface", DEFAULTS[key])
    assert getattr(Design.sections()["surfaces"](), f"{key}_ra_um") == float(row["ra_likely_um"])
