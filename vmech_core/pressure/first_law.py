"""First law of a trapped charge while the volume changes, heat is set free and the walls take some of it.

m c_v dT = dQ_fuel - dQ_wall - p dV - m (u_burned - u_fresh) dy, y the burned share, all per angle. Fourth-order
Runge-Kutta steps; heat to the walls and work are summed with the same weights. Where the walls take the heat of the
charge within a step, as in an engine that hardly turns, the step is an implicit one of the same order, which cannot
take more than there is. The wall-loss correlations stand here.
"""


import numpy as np

from vmech_core.base import InputError, record
from vmech_core.pressure import gas

#: Exponent of the motored pressure in Woschni's term (common practice, no source).
MOTORED_EXPONENT = 1.32
WALL_LOSSES = ("hohenberg", "woschni", "none")
#: Share of the charge's heat above the wall's that the walls may take in an explicit step, with a charge this hot [K].
STIFF, HOT = 1.0, 3000.0
#: Implicit steps: the method Lobatto IIIC with three stages (E. Hairer and G. Wanner (1996), table IV.5.8, from
#: memory), and Newton steps to solve one, shorter by half after each eight.
LOBATTO = np.array([[2.0, -4.0, 2.0], [2.0, 5.0, -1.0], [2.0, 8.0, 2.0]]) / 12.0
NEWTON = 40


def hohenberg(pressure, temperature, volume, piston_speed):
    """Heat transfer coefficient between gas and walls after Hohenberg, averaged over the walls.

    Parameters
    ----------
    pressure : (...) array [Pa]
        Gas pressure.
    temperature : (...) array [K]
        Mean gas temperature.
    volume : (...) array [m3]
        Cylinder volume.
    piston_speed : float [m/s]
        Mean piston speed.

    Returns
    -------
    (...) array [W/(m2 K)]
        The coefficient.

    Valid: four-stroke engines, closed period; users scale it by 0.5 to 2 (common practice, no source).
    Source: G. F. Hohenberg, SAE 790825 (1979); constants 130 and 1.4 m/s from memory.

    Examples
    --------
    >>> round(float(hohenberg(40e5, 2000.0, 1e-4, 7.0)))
    1134
    """
    return 130.0 * volume**-0.06 * (1e-5 * pressure) ** 0.8 * temperature**-0.4 * (piston_speed + 1.4) ** 0.8


def woschni(pressure, temperature, bore, gas_speed):
    """Heat transfer coefficient between gas and walls after Woschni, averaged over the walls.

    Parameters
    ----------
    pressure : (...) array [Pa]
        Gas pressure.
    temperature : (...) array [K]
        Mean gas temperature.
    bore : float [m]
        Bore.
    gas_speed : (...) array [m/s]
        2.28 times the mean piston speed, plus during and after the burn 3.24e-3 m/(s K) times swept volume times the
        state at inlet closing T/(p V) times the rise of the pressure above the motored one.

    Returns
    -------
    (...) array [W/(m2 K)]
        The coefficient.

    Valid: four-stroke engines, closed period; users scale it by 0.5 to 2 (common practice, no source).
    Source: G. Woschni, SAE 670931 (1967), in the form of J. B. Heywood (1988), eq. 12.19; constants from memory.

    Examples
    --------
    >>> round(float(woschni(40e5, 2000.0, 0.063, 20.0)))
    725
    """
    return 3.26 * bore**-0.2 * (1e-3 * pressure) ** 0.8 * temperature**-0.55 * gas_speed**0.8


@record("bore temperature loss factor speed swept closing")
class Wall:
    """Walls of the combustion chamber, a plain disc: head and piston crown flat, liner as long as the volume asks.

    Attributes
    ----------
    bore : float [m]
        Bore.
    temperature : float [K]
        Mean wall temperature.
    loss : str [-]
        ``hohenberg``, ``woschni`` or ``none``.
    factor : float [1]
        Multiplier of the correlation.
    speed : float [rad/s]
        Shaft speed, positive.
    swept : float [m3]
        Swept volume.
    closing : tuple of three float [-]
        Pressure [Pa], volume [m3] and temperature [K] when the inlet closes.
    """

    def heat_per_angle(self, pressure, temperature, volume):
        """Heat that the walls take.

        Parameters
        ----------
        pressure : (...) array [Pa]
            Gas pressure.
        temperature : (...) array [K]
            Mean gas temperature.
        volume : (...) array [m3]
            Cylinder volume.

        Returns
        -------
        (...) array [J/rad]
            Positive from gas to wall.

        Raises
        ------
        InputError
            If the name of the correlation is unknown.

        Valid: as the correlations.
        Source: coefficient times area times temperature difference over speed.
        """
        crown = 0.25 * np.pi * self.bore**2
        piston_speed = self.swept / crown * self.speed / np.pi
        if self.loss == "none":
            return 0.0 * temperature
        if self.loss == "hohenberg":
            coefficient = hohenberg(pressure, temperature, volume, piston_speed)
        elif self.loss == "woschni":
            p, v, t = self.closing
            rise = np.maximum(pressure - p * (v / volume) ** MOTORED_EXPONENT, 0.0)
            gas_speed = 2.28 * piston_speed + 3.24e-3 * self.swept * t / (p * v) * rise
            coefficient = woschni(pressure, temperature, self.bore, gas_speed)
        else:
            raise InputError("wall_loss", self.loss, f"not one of {', '.join(WALL_LOSSES)}", nearest="hohenberg")
        area = 2.0 * crown + 4.0 / self.bore * volume
        return self.factor / self.speed * coefficient * area * (temperature - self.temperature)


@record("angle volume temperature pressure released wall work energy mass")
class ClosedPeriod:
    """The cycle from inlet closing to exhaust opening, for several burn starts at once.

    Attributes
    ----------
    angle : (..., N) array [rad]
        Angle after the firing dead centre.
    volume : (..., N) array [m3]
        Cylinder volume.
    temperature : (..., N) array [K]
        Mean gas temperature.
    pressure : (..., N) array [Pa]
        Absolute pressure.
    released : (..., N) array [J]
        Heat set free since the inlet closed.
    wall : (..., N) array [J]
        Heat given to the walls since then.
    work : (..., N) array [J]
        Work done on the piston since then, against vacuum.
    energy : (..., N) array [J]
        Sensible internal energy of the charge.
    mass : float [kg]
        Trapped mass.
    """

    @property
    def imbalance(self) -> np.ndarray:
        """Energy that the integration lost or invented, over the heat set free, (...,) [1]."""
        left = self.energy[..., -1] - self.energy[..., 0] - self.released[..., -1]
        return (left + self.wall[..., -1] + self.work[..., -1]) / np.maximum(self.released[..., -1], 1e-300)


class Charge:
    """Trapped gas on one stretch of angle, with all that does not depend on its temperature computed beforehand.

    Parameters
    ----------
    gases : tuple of two Gas [-]
        Before and after the burn.
    mass : float [kg]
        Trapped mass.
    wall : Wall [-]
        The walls.
    volume : (N, ...) array [m3]
        Volume at every step and its middle.
    rate : (N, ...) array [m3/rad]
        Its rate.
    share : (N, ...) array [1]
        Burned share of the charge.
    change : (N, ...) array [1/rad]
        Rate of that share; None if nothing burns here.
    heat : (N, ...) array [J/rad]
        Heat set free; None if nothing burns here.
    """

    def __init__(self, gases, mass, wall, volume, rate, share, change=None, heat=None):
        fresh, burned = self._gases = gases
        self._mass, self._share = mass, share
        self._wall, self._volume, self._rate, self._heat = wall, volume, rate, heat
        self._over_volume = mass * (fresh.constant + share * (burned.constant - fresh.constant)) / volume
        below, above = ([f + share * (b - f) for f, b in zip(a, c, strict=True)]
                        for a, c in ((fresh.low, burned.low), (fresh.high, burned.high)))
        self._below, self._above = mass * np.stack(below, axis=1), mass * np.stack(above, axis=1)
        self._change = None if change is None else mass * change
        self._step = [b - f for f, b in zip(fresh.energy_coefficients, burned.energy_coefficients, strict=True)]

    def slope(self, k, temperature):
        """Rates at one node.

        Parameters
        ----------
        k : int [1]
            Node.
        temperature : (...) array [K]
            Gas temperature there.

        Returns
        -------
        tuple of three (...) array [-]
            Rate of temperature [K/rad], heat to the walls [J/rad], power on the piston [J/rad].

        Valid: single zone.
        Source: first law, head of this module.
        """
        pressure = self._over_volume[k] * temperature
        lost = self._wall.heat_per_angle(pressure, temperature, self._volume[k])
        power = pressure * self._rate[k]
        low = temperature < gas.BREAK
        c = np.where(low, self._below[k], self._above[k])
        t = temperature
        capacity = c[0] + t * (c[1] + t * (c[2] + t * (c[3] + t * c[4])))
        gain = -lost - power
        if self._heat is not None:
            e = [np.where(low, *pair) for pair in zip(*self._step, strict=True)]
            other = e[0] + t * (e[1] + t * (e[2] + t * (e[3] + t * (e[4] + t * e[5]))))
            gain = gain + self._heat[k] - self._change[k] * other
        return gain / capacity, lost, power

    def march(self, angle, temperature):
        """Integrate temperature, heat to the walls and work over one stretch.

        Parameters
        ----------
        angle : (N, ...) array [rad]
            Angle of every step and its middle, N odd.
        temperature : (...) array [K]
            Temperature at the first node.

        Returns
        -------
        temperature : (M, ...) array [K]
            At every step, M = (N + 1) / 2.
        wall : (M, ...) array [J]
            Heat given to the walls since the first node.
        work : (M, ...) array [J]
            Work done on the piston since then.

        Valid: smooth volume and heat between the ends of the stretch.
        Source: classical Runge-Kutta method of fourth order; Lobatto IIIC where that would not be stable.
        """
        t, kept, flows, stiff = temperature, [temperature], [], self._stiff(angle)
        for k in range(0, len(angle) - 1, 2):
            h = angle[k + 2] - angle[k]
            if stiff[k // 2]:
                t, flow = self._implicit(k, h, t)
                flows.append(flow)
                kept.append(t)
                continue
            a, *first = self.slope(k, t)
            b, *second = self.slope(k + 1, t + 0.5 * h * a)
            c, *third = self.slope(k + 1, t + 0.5 * h * b)
            d, *fourth = self.slope(k + 2, t + h * c)
            flows.append([first, second, third, fourth])
            t = t + h / 6.0 * (a + 2.0 * (b + c) + d)
            kept.append(t)
        weights = np.array([1.0, 2.0, 2.0, 1.0]) / 6.0
        steps = np.diff(angle[::2], axis=0)[:, None] * np.einsum("s,ksq...->kq...", weights, np.array(flows))
        wall, work = np.moveaxis(np.concatenate([np.zeros_like(steps[:1]), np.cumsum(steps, axis=0)]), 1, 0)
        return np.array(kept), wall, work

    def _stiff(self, angle):
        """Steps in which the walls could take the heat of a hot charge, (M - 1,)."""
        hot = np.full(self._volume.shape, HOT)
        taken = self._wall.heat_per_angle(self._over_volume * HOT, hot, self._volume) / (HOT - self._wall.temperature)
        share = np.diff(angle[::2], axis=0) * (taken / self._below[:, 0])[:-1:2]
        return share.reshape(len(share), -1).max(axis=1) > STIFF

    def _implicit(self, k, h, start):
        """Temperature after one implicit step, which keeps energy, and the flows with an explicit step's weights."""
        begin, t = self._balance(k, start)[0], np.stack([start] * 3)
        for turn in range(NEWTON):
            (own, gain), (more, gains) = (np.stack([self._balance(k + j, scale * t[j]) for j in range(3)], axis=1)
                                          for scale in (1.0, 1.0 + 1e-6))
            off = own - begin - h * np.tensordot(LOBATTO, gain, 1)
            bend = np.moveaxis(h * (gains - gain), 0, -1)[..., None, :] * LOBATTO
            bend = np.eye(3) * np.moveaxis(more - own, 0, -1)[..., None, :] - bend
            step = 1e-6 * t * np.moveaxis(np.linalg.solve(bend, np.moveaxis(off, 0, -1)[..., None])[..., 0], -1, 0)
            t = np.clip(t - 0.5 ** (turn // 8) * step, 0.3 * t, 3.0 * t)
            if (np.abs(step) < 1e-8 * t).all():
                break
        first, second, third = (self.slope(k + j, t[j])[1:] for j in range(3))
        return t[2], [first, second, second, third]

    def _balance(self, k, t):
        """Energy of the charge at one node [J], and what it gains [J/rad]."""
        share, (fresh, burned) = self._share[k], self._gases
        own = self._mass * ((1.0 - share) * gas.energy(fresh, t) + share * gas.energy(burned, t))
        _, lost, power = self.slope(k, t)
        return own, (0.0 if self._heat is None else self._heat[k]) - lost - power
