"""A stand-in for the engine: a tuned circuit on each band, whose minima are known by hand and at once."""

import numpy as np

import antlab as al
from antlab.antenna import fitting
from antlab.antenna.bench import Trimming
from antlab.physics.circuit import reflection_coefficient

AIMS = np.array([7.1, 14.2])
OHMS, Q = 60.0, 10.0
TRAP = al.Trap(inductance_uh=2.5, capacitance_pf=50.25)  # 14.2 MHz


class Tuned(al.Dipole):
    """The upper band by the inner wire and the trap; the lower by both, an inner metre more than an outer.

    Without a trap it is a plain wire. 5 m and 3 m are right for 7.1 and 14.2 MHz.
    """

    @property
    def minima_mhz(self):
        """Where its SWR is lowest, MHz, shape (2,) or, without a trap, (1,)."""
        if self.trap is None:
            return np.array([71 / sum(self.sections)])
        up = self.trap.resonance_mhz / TRAP.resonance_mhz
        return np.array([71 / (1.4 * self.inner_m + self.outer_m) * up**0.1, 71 / self.inner_m * up**0.3])

    def impedance(self, f_mhz, *, rough=False):
        f, at = np.asarray(f_mhz), self.minima_mhz
        at = np.where(f < np.sqrt(at[0] * at[-1]), at[0], at[-1])
        return OHMS * (1 + 1j * Q * (f / at - at / f))


class Stubborn(Tuned):
    """One whose minima no length moves."""

    minima_mhz = AIMS


HUNG = {"sections": (5.0, 3.0), "traps": (TRAP,), "shape": al.FlatTop(height_m=9)}


def tuned(inner=5.0, outer=3.0, **changes):
    """The right one, or one of other lengths."""
    return Tuned(**HUNG | {"sections": (inner, outer)} | changes)


def log_of(dipole=None, **changes):
    """The log of an antenna of 5 m and 3 m, or of another."""
    return Trimming(dipole=dipole or tuned(), low_mhz=AIMS[0], high_mhz=AIMS[1], **changes)


def size(z):
    return np.abs(reflection_coefficient(z, 50.0))


def curves(dipole, extra_ohm=0.0, loss_db=0.0, points=41):
    """Frequencies and size of the reflection around each aim, as a log takes them from sweeps."""
    f = [np.linspace(low, high, points) for low, high in fitting.windows(AIMS)]
    return [(one, size(dipole.impedance(one) + extra_ohm) * 10 ** (-loss_db / 10)) for one in f]


def fit(ohms=(0.0, 0.0), loss_db=(0.0, 0.0), misfit=(0.0, 0.0), mean=(0.0, 0.0, 0.0), plan=None):
    """A Fit with what a test wants it to have found."""
    now = fitting.Usual(np.array(mean), fitting.usual(jacket_known=True, traps_measured=True).covariance)
    return fitting.Fit(plan or tuned(), 50.0, now, *map(np.array, (ohms, loss_db, misfit)))
