"""Works out bolting's statistics and mechanics by other means; see README.md."""

import csv
import math
import pathlib

import numpy as np
from scipy import integrate, optimize, stats

HERE = pathlib.Path(__file__).parent


def out(method, arguments, value):
    print(f"{method},{';'.join(str(a) for a in arguments)},{value:.12g}")


# Tolerance factors: scipy's noncentral t; for the two-sided one adaptive integration over the mean's place.


def one_sided(nu, d, p, g):
    return d * stats.nct.ppf(g, nu, stats.norm.ppf(p) / d)


def two_sided(n, p, g):
    nu = n - 1

    def half_width(z):
        off = z / math.sqrt(n)
        return optimize.brentq(
            lambda r: stats.norm.cdf(off + r) - stats.norm.cdf(off - r) - p, 0, 20 + abs(off), xtol=1e-13
        )

    def confidence(k):
        of = lambda z: stats.norm.pdf(z) * stats.chi2.sf(nu * half_width(z) ** 2 / k**2, nu)
        return 2 * integrate.quad(of, 0, 8.5, epsabs=1e-11, epsrel=1e-11, limit=200)[0]

    return optimize.brentq(lambda k: confidence(k) - g, 0.3, 200, xtol=1e-10)


def tolerance_factors():
    for n in (3, 5, 10, 25, 60, 200):
        for p, g in ((0.9, 0.95), (0.99, 0.95), (0.999, 0.99)):
            out("one_sided", (n, p, g), one_sided(n - 1, 1 / math.sqrt(n), p, g))
    for nu, d in ((8, 0.5), (23, 0.2), (23, 0.4), (40, 1.0)):
        out("one_sided_line", (nu, d, 0.99, 0.95), one_sided(nu, d, 0.99, 0.95))
    for n in (3, 5, 10, 30):
        for p, g in ((0.9, 0.95), (0.99, 0.95)):
            out("two_sided", (n, p, g), two_sided(n, p, g))
    for t, nu, delta in ((2.5, 4, 1.0), (9.0, 9, 7.357), (-1.0, 3, 0.5), (3.0, 1, 2.0), (20.0, 30, 16.4)):
        out("noncentral_t", (t, nu, delta), stats.nct.cdf(t, nu, delta))


# Drivers: own means and bounds by numpy and scipy; tests by pooled scatter.


class Stairs:
    """A mean a step, with even or growing scatter."""

    def __init__(self, x, y, growing):
        self.growing = growing
        self.steps = {s: y[x == s] for s in sorted(set(x))}
        self.nu = len(y) - len(self.steps)
        residuals = np.concatenate([(v - v.mean()) / self.unit(s) for s, v in self.steps.items()])
        self.s = math.sqrt(residuals @ residuals / self.nu)

    def mean(self, step):
        return self.steps[step].mean()

    def unit(self, step):
        return self.mean(step) if self.growing else 1.0

    def variance(self, steps):
        share = {s: steps.count(s) / len(steps) for s in set(steps)}
        return sum(part**2 / len(self.steps[s]) for s, part in share.items())


def bound(values, p, g):
    """Normal tolerance bounds of one sample."""
    spread = one_sided(len(values) - 1, 1 / math.sqrt(len(values)), p, g) * values.std(ddof=1)
    return values.mean() - spread, values.mean() + spread


def uneven(x, y):
    """The chance of a step with a scatter of its own: likelihoods of whole fits, brought back to F on one scale."""
    steps = [y[x == s] for s in sorted(set(x))]
    nu = np.array([len(v) - 1.0 for v in steps])

    def misfit(groups, relative):
        """Twice the negative logarithm of the restricted likelihood, each group with one scatter."""
        total = 0.0
        for group in groups:
            units = [v.mean() if relative else 1.0 for v in group]
            squares = sum((((v - v.mean()) / u) ** 2).sum() for v, u in zip(group, units))
            of_group = sum(len(v) - 1 for v in group)
            total += of_group * math.log(squares / of_group)
            total += 2 * sum((len(v) - 1) * math.log(u) for v, u in zip(group, units))
        return total

    own = []
    for relative in (False, True):
        for i, step in enumerate(steps):
            rest = steps[:i] + steps[i + 1 :]
            unit = step.mean() if relative else 1.0
            variance = step.var(ddof=1) / unit**2
            others = sum((len(v) - 1) * v.var(ddof=1) / (v.mean() if relative else 1.0) ** 2 for v in rest)
            if variance > others / (nu.sum() - nu[i]):
                own.append((misfit([[step], rest], relative), nu[i]))
    own_misfit, own_nu = min(own)
    gain = min(misfit([steps], relative) for relative in (False, True)) - own_misfit
    rest_nu = nu.sum() - own_nu
    at = lambda f: nu.sum() * math.log((f * own_nu + rest_nu) / nu.sum()) - own_nu * math.log(f) - gain
    f = optimize.brentq(at, 1.0, 1e12, xtol=1e-13, rtol=1e-14)
    return min(1.0, stats.f.sf(f, own_nu, rest_nu) * len(steps))


def order(x, y):
    """Change along the session: least squares with a dummy for each step."""
    steps = sorted(set(x))
    means = {s: y[x == s].mean() for s in steps}
    relative = np.array([v / means[s] - 1 for s, v in zip(x, y)])
    design = np.column_stack([x == s for s in steps] + [np.arange(len(y))]).astype(float)
    solved = np.linalg.lstsq(design, relative, rcond=None)[0]
    return solved[-1] * (len(y) - 1)


def misfit(fit, x, y):
    units = np.array([fit.unit(s) for s in x])
    residuals = (y - np.array([fit.mean(s) for s in x])) / units
    return len(y) * math.log(residuals @ residuals / len(y)) + 2 * np.log(units).sum()


def drift(fit, steps, fresh):
    away = np.array([(f - fit.mean(s)) / fit.unit(s) / fit.s for s, f in zip(steps, fresh)])
    m = len(fresh)
    spread = math.sqrt(1 / m + fit.variance(steps))
    moved = 2 * stats.t.sf(abs(away.mean() / spread), fit.nu)
    grew = stats.f.sf(away.var(ddof=1), m - 1, fit.nu)
    high = max(u / math.sqrt(1 + fit.variance([s])) for u, s in zip(away, steps))
    too_high = min(1.0, m * stats.t.sf(high, fit.nu))
    share = fit.s * np.mean([fit.unit(s) / fit.mean(s) for s in steps])
    limit = 0.05 / 3
    found = stats.t.ppf(1 - limit / 2, fit.nu) + stats.norm.ppf(0.8)
    return min(moved, grew, too_high), away.mean() * share, found * spread * share


def drivers():
    rows = list(csv.DictReader(line for line in (HERE / "readings.csv").open() if not line.startswith("#")))
    for name in sorted({r["driver"] for r in rows}):
        own = [r for r in rows if r["driver"] == name and r["use"] == "calibration"]
        x = np.array([float(r["step"]) for r in own])
        y = np.array([float(r["n_m"]) for r in own])
        for step in sorted(set(x)):
            low, high = bound(y[x == step], 0.99, 0.95)
            out("lower", (name, int(step)), max(0.0, low))
            out("upper", (name, int(step)), high)
        out("uneven", (name,), uneven(x, y))
        out("order", (name,), order(x, y))
        stairs = [Stairs(x, y, growing) for growing in (0, 1)]
        fresh = [r for r in rows if r["driver"] == name and r["use"] == "check"]
        steps, torques = [float(r["step"]) for r in fresh], [float(r["n_m"]) for r in fresh]
        likelier = min(stairs, key=lambda f: misfit(f, x, y))
        found = drift(likelier, steps, torques)
        for what, value in zip(("drift_probability", "drift_shift", "drift_detectable"), found):
            out(what, (name,), value)


# Mechanics.

THREADS = {"M6": (6, 1), "M8": (8, 1.25), "M8x1": (8, 1), "M10": (10, 1.5), "M10x1.25": (10, 1.25), "M16": (16, 2), "M20": (20, 2.5)}
FACES = {6: (8.88, 6.6), 8: (11.63, 9), 10: (14.63, 11), 16: (22.49, 17.5), 20: (28.19, 22)}
YIELD = {"8.8": {2001: (640, 660), 1986: (640, 660)}, "10.9": {2001: (940, 940), 1986: (900, 900)}, "12.9": {2001: (1100, 1100), 1986: (1080, 1080)}}


def profile(d, p):
    """Pitch, root and nut diameters from the triangle itself."""
    height = p / 2 / math.tan(math.radians(30))
    return d - 2 * 3 / 8 * height, d - 2 * 17 / 24 * height, d - 2 * 5 / 8 * height


def preloads():
    for name, (d, p) in THREADS.items():
        d2, d3, _ = profile(d, p)
        ds = (d2 + d3) / 2
        for grade, by_edition in YIELD.items():
            for edition in (1986, 2001):
                for mu in (0.08, 0.12, 0.20):
                    re = by_edition[edition][d > 16]
                    # Torque in the thread from the wedge at the flank, not from the summed form.
                    lead = math.atan(p / (math.pi * d2))
                    slope = math.tan(lead) + mu / math.cos(math.radians(30))
                    thread_mm = d2 / 2 * slope
                    # Shear stress over tension: elastic 16 T/(pi ds^3), plastic 12 T/(pi ds^3).
                    area = math.pi / 4 * ds**2
                    shear = (12 if edition == 2001 else 16) * thread_mm / (math.pi * ds**3) * area
                    force = 0.9 * re * area / math.sqrt(1 + 3 * shear**2)
                    head_mm = mu * sum(FACES[d]) / 4
                    out("preload_n", (name, grade, edition, mu), force)
                    out("torque_n_m", (name, grade, edition, mu), force * (thread_mm + head_mm) / 1000)


def stripping():
    for name, (d, p) in THREADS.items():
        d2, _, d1 = profile(d, p)
        flank = 90 * p**0.4 * d**0.1
        d_min = d - (15 + 11 * p + 180 * p ** (2 / 3) - 3.15 / math.sqrt(p)) / 1000
        d2_max = d2 + 1.32 * flank / 1000
        # The width of the nut's thread at the bolt's major diameter, from its flanks, for each turn of thread.
        width = p / 2 + (d_min - d2_max) * math.tan(math.radians(30))
        out("internal_mm2", (name,), math.pi * d_min * width / p)


def cone_compliance(layers, face, hole, outer, slope, length):
    """Compliance of one cone by integration over its depth."""

    def at(depth):
        start = 0.0
        for thickness, modulus in layers:
            if depth <= start + thickness:
                break
            start += thickness
        wide = min(face + 2 * slope * depth, max(outer, face))
        return 1 / (modulus * math.pi / 4 * (wide**2 - hole**2))

    breaks = sorted({min(b, length) for b in np.cumsum([t for t, _ in layers])} | {0.0, length, min(length, max(0.0, (outer - face) / 2 / slope))})
    return sum(integrate.quad(at, a, b, epsabs=0, epsrel=1e-12)[0] for a, b in zip(breaks, breaks[1:]) if b > a)


def stiffness():
    joints = {
        "iron": ([(20, 207e3), (25, 100e3)], 18.0, 12.0, 500.0),
        "cover": ([(8, 71e3), (1.5, 207e3), (12, 100e3)], 11.63, 9.0, 20.0),
    }
    for name, (layers, face, hole, outer) in joints.items():
        grip = sum(t for t, _ in layers)
        slope = 0.362 + 0.032 * math.log(grip / face / 2) + 0.153 * math.log(outer / face)
        slope = min(1.0, max(0.3, slope))
        both = cone_compliance(layers, face, hole, outer, slope, grip / 2) + cone_compliance(
            layers[::-1], face, hole, outer, slope, grip / 2
        )
        out("parts_nut", (name,), both)
        slope = 0.348 + 0.013 * math.log(grip / face) + 0.193 * math.log(outer / face)
        slope = min(1.0, max(0.3, slope))
        out("parts_tapped", (name,), cone_compliance(layers, face, hole, outer, slope, grip))


def twists():
    # Saint-Venant's series for a square: J/a^4.
    series = sum(math.tanh(n * math.pi / 2) / n**5 for n in range(1, 199, 2))
    constant = (1 - 192 / math.pi**5 * series) / 3
    out("square_twist_deg", (9.53, 250, 50), math.degrees(50e3 * 250 / (79300 * constant * 9.53**4)))


def joints():
    for angle in (10, 25, 40):
        b = math.radians(angle)
        # Speed ratio by differencing the angle law; torque is its inverse.
        turn = np.linspace(0.0, math.pi, 20001)[1:-1]
        step = 1e-6
        law = lambda t: np.arctan2(np.sin(t), np.cos(t) * math.cos(b))
        ratio = 2 * step / (law(turn + step) - law(turn - step))
        out("joint_mean", (angle,), ratio.mean())
        out("joint_least", (angle,), ratio.min())
        out("joint_greatest", (angle,), ratio.max())


if __name__ == "__main__":
    print("# Written by reference.py; see README.md. Numbers are pure, or in N, N m, mm, degrees as the method says.")
    print("method,arguments,value")
    for part in (tolerance_factors, drivers, preloads, stripping, stiffness, twists, joints):
        part()
