"""Rough surfaces in contact: how rough a pair is, what its peaks carry, and what friction that costs.

The film ratio, everywhere, is film thickness over the composite root mean square roughness of the two surfaces.
Contacts of peaks follow Greenwood and Tripp: pressure = factor * modulus * (share that grows as the film thins).
"""

from math import gamma, pi, sqrt

import numpy as np

from vmech_core.base.results import Estimate

#: Root mean square over mean roughness, Rq / Ra, of a surface with normally distributed heights; real ones 1.1 to 1.5
#: (from memory).
RQ_OVER_RA = sqrt(pi / 2.0)
#: Fit (REACH - ratio)^POWER * FIT to the integral of Greenwood and Tripp, zero from REACH on: N. Patir and H. S. Cheng,
#: 1978 (attribution from memory; the numbers are widely printed).
FIT, REACH, POWER = 4.4086e-5, 4.0, 6.804
#: Exponent of the load of a round pair, see ``journal_asperity``.
JOURNAL_POWER = POWER + 0.5
#: Limits of the film ratio between boundary, mixed and full film (common practice, no source).
BOUNDARY_BELOW, FULL_ABOVE = 1.0, 3.0
#: Friction coefficient of oiled steel on bearing metal, peaks carrying all (from memory).
BOUNDARY_FRICTION = Estimate(0.08, 0.12, 0.15, "1", "oiled steel on bearing metal, from memory")


def contact_modulus(e1, nu1, e2, nu2):
    """Modulus E' of two bodies in elastic contact, in the convention of Johnson: 1/E' is the sum of (1 - nu^2) / E.

    Some books double it: for two like steels this one gives 113 to 115 GPa, theirs 226 to 231 GPa.

    Parameters
    ----------
    e1 : float or (...) array [Pa]
        Young's modulus of body 1.
    nu1 : float or (...) array [1]
        Poisson ratio of body 1.
    e2 : float or (...) array [Pa]
        Young's modulus of body 2.
    nu2 : float or (...) array [1]
        Poisson ratio of body 2.

    Returns
    -------
    float or (...) array [Pa]
        Contact modulus.

    Valid: elastic, isotropic bodies.
    Source: K. L. Johnson, Contact Mechanics, chapter 4 (from memory).

    Examples
    --------
    >>> float(round(contact_modulus(206e9, 0.3, 206e9, 0.3) / 1e9, 2))
    113.19
    """
    return 1.0 / ((1.0 - nu1**2) / e1 + (1.0 - nu2**2) / e2)


def composite_roughness(ra_1, ra_2):
    """Root mean square roughness of a pair, from the mean roughness Ra of each surface.

    Parameters
    ----------
    ra_1 : float or (...) array [m]
        Mean roughness of surface 1.
    ra_2 : float or (...) array [m]
        Mean roughness of surface 2.

    Returns
    -------
    (...) array [m]
        Composite roughness.

    Valid: normally distributed heights; Rq / Ra of machined surfaces is 1.1 to 1.5 (from memory), here sqrt(pi/2).
    Source: variances of independent heights add.

    Examples
    --------
    >>> float(round(composite_roughness(0.3e-6, 0.4e-6) * 1e6, 3))
    0.627
    """
    return RQ_OVER_RA * np.hypot(ra_1, ra_2)


def _asperity_factor(peaks, flatness):
    """Factor of Greenwood and Tripp's pressure, from memory: (16 sqrt(2) pi / 15) peaks^2 sqrt(flatness).

    ``peaks``: density of peaks times their tip radius times roughness, 0.03 to 0.05; ``flatness``: roughness over tip
    radius, 1e-4 to 1e-2 (both from memory).
    """
    return 16.0 * sqrt(2.0) * pi / 15.0 * peaks**2 * np.sqrt(flatness)


#: Factor at the ends and in the middle of the ranges above: 4e-5, 2.4e-4, 1.2e-3. It is the least known number here.
ASPERITY_FACTOR = Estimate(
    *(float(_asperity_factor(*pair)) for pair in ((0.03, 1e-4), (0.04, 1e-3), (0.05, 1e-2))), "1", "from memory"
)


def asperity_pressure(film_ratio, modulus, factor=ASPERITY_FACTOR.likely):
    """Mean pressure that the peaks of two rough surfaces carry.

    Parameters
    ----------
    film_ratio : float or (...) array [1]
        Distance of the mean surfaces over composite roughness.
    modulus : float or (...) array [Pa]
        Contact modulus, ``contact_modulus``.
    factor : float or (...) array [1]
        As ``ASPERITY_FACTOR``.

    Returns
    -------
    (...) array [Pa]
        Pressure; zero from a film ratio of 4 on.

    Valid: film ratio 0 to 4. The fit lies below the exact integral, by 11 % at 0, 4 % at 1, 9 % at 2, 35 % at 2.5 and
        74 % at 3; where it errs by more than 11 % the pressure is below 0.7 % of that at 0. Peaks stay elastic.
    Source: J. A. Greenwood and J. H. Tripp, Proc. Instn mech. Engrs 185 (1970), Patir and Cheng (1978), both from
        memory; errors: quadrature in the tests.
    """
    return factor * modulus * FIT * np.maximum(REACH - film_ratio, 0.0) ** POWER


def journal_asperity(length, radius, clearance, roughness, modulus, factor=ASPERITY_FACTOR.likely):
    """Load coefficient of the peaks of a round pair, such as a journal in its sleeve or a rod in its guide.

    Their load is ``coefficient * max(REACH - h0 / roughness, 0) ** JOURNAL_POWER``, with h0 the least film. The film
    near it is h0 + clearance * angle^2 / 2, over which ``asperity_pressure`` is summed in closed form.

    Parameters
    ----------
    length : float or (...) array [m]
        Length along the axis.
    radius : float or (...) array [m]
        Radius.
    clearance : float or (...) array [m]
        Radial clearance.
    roughness : float or (...) array [m]
        Composite roughness.
    modulus : float or (...) array [Pa]
        Contact modulus.
    factor : float or (...) array [1]
        As ``ASPERITY_FACTOR``.

    Returns
    -------
    (...) array [N]
        Coefficient.

    Valid: aligned axes, both surfaces round; roughness up to 2 % of the clearance, where the parabola errs by -0.2 to
        -3 % at film ratios 0.5 to 3 (1 %: half of that), apart from the error of ``asperity_pressure``.
    Source: derived; the integral of t^(-1/2) (1 - t)^POWER is a beta function.
    """
    beta = gamma(0.5) * gamma(POWER + 1.0) / gamma(POWER + 1.5)
    return factor * modulus * length * radius * np.sqrt(2.0 * roughness / clearance) * FIT * beta


def regime(film_ratio):
    """Name of the regime of lubrication.

    Parameters
    ----------
    film_ratio : float or (...) array [1]
        Least film over composite roughness.

    Returns
    -------
    str or (...) str array [-]
        ``boundary`` below 1, ``mixed`` from 1 to 3, ``full film`` above 3.

    Valid: a convention, not a sharp limit: after running in, surfaces are smoother than the drawing says.
    Source: common practice, no source.

    Examples
    --------
    >>> regime(np.array([0.5, 1.0, 3.0, 3.1])).tolist()
    ['boundary', 'mixed', 'mixed', 'full film']
    """
    names = np.where(np.asarray(film_ratio) > FULL_ABOVE, "full film", "mixed")
    return np.where(np.asarray(film_ratio) < BOUNDARY_BELOW, "boundary", names)[()]
