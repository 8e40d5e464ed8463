"""Works out by other means what the crate trend answers; see README.md."""

import csv
import math
import pathlib
from fractions import Fraction

import numpy as np
from scipy import integrate, optimize, stats

HERE = pathlib.Path(__file__).parent
DATA = HERE / "../../crates/trend/tests/data"


def out(method, arguments, value):
    print(f"{method},{';'.join(str(a) for a in arguments)},{value:.15g}")


def texts(path):
    with open(path, newline="", encoding="utf-8") as file:
        yield from csv.DictReader(line for line in file if not line.startswith("#"))


def columns(name, *wanted):
    rows = list(texts(DATA / f"{name}.csv"))
    return [np.array([float(row[w]) for row in rows]) for w in wanted]


# Regressions: exact rational arithmetic on the decimals as they are written.


def solve(matrix, right):
    """Gauss-Jordan in fractions."""
    n = len(right)
    rows = [list(row) + [r] for row, r in zip(matrix, right)]
    for i in range(n):
        pivot = next(k for k in range(i, n) if rows[k][i] != 0)
        rows[i], rows[pivot] = rows[pivot], rows[i]
        rows[i] = [cell / rows[i][i] for cell in rows[i]]
        for k in range(n):
            if k != i and rows[k][i] != 0:
                rows[k] = [a - rows[k][i] * b for a, b in zip(rows[k], rows[i])]
    return [row[n] for row in rows]


def root(fraction):
    """Square root of a fraction to more digits than a double has."""
    scale = 10**40
    return math.isqrt(fraction.numerator * scale * scale // fraction.denominator) / scale


def exact(name, xs, design, first):
    rows = list(texts(DATA / f"nist_strd_{name}.csv"))
    cells = [[Fraction(row[x]) for x in xs] for row in rows]
    y = [Fraction(row["y"]) for row in rows]
    design = [design(cell) for cell in cells]
    p = len(design[0])
    gram = [[sum(row[i] * row[j] for row in design) for j in range(p)] for i in range(p)]
    beta = solve(gram, [sum(row[i] * v for row, v in zip(design, y)) for i in range(p)])
    left = sum((v - sum(b * c for b, c in zip(beta, row))) ** 2 for row, v in zip(design, y))
    variance = left / (len(y) - p)
    mean = Fraction(0) if first else sum(y) / len(y)
    for k in range(p):
        inverse = solve(gram, [Fraction(int(i == k)) for i in range(p)])[k]
        out("coefficient", (name, k + first), float(beta[k]))
        out("deviation", (name, k + first), root(variance * inverse))
    out("scatter", (name,), root(variance))
    out("r_squared", (name,), float(1 - left / sum((v - mean) ** 2 for v in y)))


def regressions():
    exact("norris", ["x"], lambda c: [Fraction(1), c[0]], 0)
    exact("pontius", ["x"], lambda c: [c[0] ** k for k in range(3)], 0)
    exact("noint1", ["x"], lambda c: [c[0]], 1)
    exact("noint2", ["x"], lambda c: [c[0]], 1)
    exact("longley", [f"x{k}" for k in range(1, 7)], lambda c: [Fraction(1)] + c, 0)
    exact("filip", ["x"], lambda c: [c[0] ** k for k in range(11)], 0)


# Places: not Fieller's formula but where the band of the line meets the level, by bisection.


def line(x, y):
    n, mean = len(x), x.mean()
    sxx = ((x - mean) ** 2).sum()
    b = ((x - mean) * (y - y.mean())).sum() / sxx
    c = y.mean()
    left = ((y - c - b * (x - mean)) ** 2).sum()
    return mean, c, b, sxx, left


def meet(x, y, level, confidence, m, squares=0.0, more=0):
    """Estimate and ends; m readings of the level, 0 for the line itself."""
    mean, c, b, sxx, left = line(x, y)
    nu = len(x) - 2 + more
    s2 = (left + squares) / nu
    q = stats.t.ppf((1 + confidence) / 2, nu)
    estimate = mean + (level - c) / b
    share = 1 / m if m else 0.0

    def off(place):
        variance = s2 * (1 / len(x) + (place - mean) ** 2 / sxx + share)
        return abs(c + b * (place - mean) - level) - q * math.sqrt(variance)

    reach = 1e-3 * max(1.0, abs(estimate))
    low, high = estimate - reach, estimate + reach
    while off(low) < 0:
        low -= (estimate - low)
    while off(high) < 0:
        high += high - estimate
    ends = [optimize.brentq(off, *pair, xtol=1e-13, rtol=1e-14) for pair in ((low, estimate), (estimate, high))]
    return estimate, *ends


def places():
    x, y = columns("arsenic_calibration", "actual", "measured")
    for m, name in ((0, "line"), (1, "reading")):
        for part, value in zip(("estimate", "low", "high"), meet(x, y, 3.0, 0.9, m)):
            out("arsenic", (name, part), value)
    three = np.array([3.17, 3.09, 3.16])
    squares = ((three - three.mean()) ** 2).sum()
    for part, value in zip(("estimate", "low", "high"), meet(x, y, three.mean(), 0.9, 3, squares, 2)):
        out("arsenic", ("three", part), value)
    pads = list(texts(HERE / "pads.csv"))
    x = np.array([float(row["thousand_km"]) for row in pads])
    y = np.array([float(row["pad_mm"]) for row in pads])
    for part, value in zip(("estimate", "low", "high"), meet(x, y, 3.0, 0.9, 0)):
        out("pads", ("line", part), value)


# Wear with a usual rate: adaptive quadrature over the logarithm of the rate, where the crate has a grid.


def rate_prior(low, high):
    z = stats.norm.ppf(0.95)
    return math.log(low * high) / 2, math.log(high / low) / (2 * z)


def wear_posterior(x, y, limit, u, prior, confidence):
    n, mean = len(x), x.mean()
    sxx = ((x - mean) ** 2).sum()
    sign = 1.0 if limit >= y[np.argmin(x)] else -1.0
    y, limit = sign * y, sign * limit
    hat = ((x - mean) * (y - y.mean())).sum() / sxx
    sse = ((y - y.mean() - hat * (x - mean)) ** 2).sum()
    stated = 8.0 * u * u
    nu = 8.0 + n - 1.0
    mu, sigma = rate_prior(*prior)
    spread = lambda b: stated + sse + sxx * (b - hat) ** 2
    weight = lambda w: stats.norm.pdf(w, mu, sigma) * (spread(math.exp(w)) / (stated + sse)) ** (-nu / 2)
    peak = optimize.minimize_scalar(lambda w: -math.log(weight(w) + 1e-300), bounds=(mu - 6 * sigma, mu + 6 * sigma), method="bounded").x
    ends = (mu - 8 * sigma, mu + 8 * sigma)

    def integral(f):
        return sum(
            integrate.quad(f, a, b, epsabs=1e-14, epsrel=1e-11, limit=400)[0]
            for a, b in ((ends[0], peak), (peak, ends[1]))
        )

    whole = integral(weight)

    def below(place):
        def f(w):
            b = math.exp(w)
            off = (y.mean() + b * (place - mean) - limit) * math.sqrt(nu * n / spread(b))
            return weight(w) * stats.t.cdf(off, nu)

        return integral(f) / whole

    centre = mean + (limit - y.mean()) / math.exp(peak)
    tail = (1 - confidence) / 2
    found = []
    for share in (0.5, tail, 1 - tail):
        low, high = centre - 1.0, centre + 1.0
        while below(low) > share:
            low -= 2 * (centre - low)
        while below(high) < share:
            high += 2 * (high - centre)
        found.append(optimize.brentq(lambda p: below(p) - share, low, high, xtol=1e-9))
    return found


def wear():
    x = np.array([0.0, 15.0, 31.0, 46.0, 58.0, 74.0])
    y = np.array([11.2, 9.9, 8.7, 7.6, 6.5, 5.2])
    for n in (2, 3, 6):
        found = wear_posterior(x[:n], y[:n], 3.0, 0.15, (0.05, 0.13), 0.9)
        for part, value in zip(("estimate", "low", "high"), found):
            out("wear_prior", (n, part), value)


# Odometer: quadrature over the rate; alone by bisection on the variance.

DAYS = np.array([0.0, 95.0, 180.0, 400.0, 610.0, 700.0])
KM = np.array([61200.0, 65050.0, 68100.0, 77600.0, 85400.0, 89300.0])


def odometer_alone(n, ahead, confidence):
    t, d = np.diff(DAYS[:n]), np.diff(KM[:n])
    r, span = d.sum() / t.sum(), t.sum()
    v = ((d - r * t) ** 2 / t).sum() / (len(t) - 1)
    q = stats.t.ppf((1 + confidence) / 2, len(t) - 1)
    off = lambda h: abs(r * h - ahead) - q * math.sqrt(v * (h + h * h / span))
    middle = ahead / r
    return r, v, middle, optimize.brentq(off, 1e-9, middle), optimize.brentq(off, middle, 100 * middle)


def odometer_prior(n, ahead, confidence):
    t, d = np.diff(DAYS[:n]), np.diff(KM[:n])
    r, span, count = d.sum() / t.sum(), t.sum(), len(t)
    s = ((d - r * t) ** 2 / t).sum()
    mu, sigma = rate_prior(12.0, 100.0)
    tau, nu0 = 3.0, 4.0
    nu = nu0 + count
    spread = lambda b: nu0 * tau * b * b + s + span * (b - r) ** 2
    weight = lambda w: stats.norm.pdf(w, mu, sigma) * math.exp(
        nu0 / 2 * 2 * (w - math.log(r)) - nu / 2 * math.log(spread(math.exp(w)) / spread(r))
    )
    pieces = [mu - 8 * sigma, math.log(r) - 0.3, math.log(r), math.log(r) + 0.3, mu + 8 * sigma]

    def integral(f):
        return sum(integrate.quad(f, a, b, epsabs=1e-14, epsrel=1e-11, limit=400)[0] for a, b in zip(pieces, pieces[1:]))

    whole = integral(weight)

    def reached(h):
        def f(w):
            b = math.exp(w)
            return weight(w) * stats.t.cdf((b * h - ahead) / math.sqrt(h * spread(b) / nu), nu)

        return integral(f) / whole

    tail = (1 - confidence) / 2
    return [optimize.brentq(lambda h: reached(h) - p, 0.05 * ahead / r, 20 * ahead / r, xtol=1e-8) for p in (0.5, tail, 1 - tail)]


def odometer():
    for n in (4, 6):
        for part, value in zip(("rate", "variance", "estimate", "low", "high"), odometer_alone(n, 60_700.0, 0.9)):
            out("odometer_alone", (n, part), value)
    for n in (2, 3, 6):
        for part, value in zip(("estimate", "low", "high"), odometer_prior(n, 20_000.0, 0.9)):
            out("odometer_prior", (n, part), value)


# Verdicts: probabilities by scipy; with repeats Welch and Satterthwaite.


def verdicts():
    for readings, gauge, low, high in (
        ([-5.47], 0.05, -math.inf, -5.40),
        ([9.2], 0.15, 9.0, math.inf),
        ([9.0, 9.3, 9.3], 0.02, 9.0, math.inf),
        ([0.31, 0.29, 0.33, 0.30], 0.01, 0.25, 0.35),
    ):
        m = len(readings)
        own = np.var(readings, ddof=1) / m if m > 1 else 0.0
        u2 = gauge**2 + own
        dist = stats.t(u2**2 / (own**2 / (m - 1))) if own else stats.norm()
        ends = [(end - np.mean(readings)) / math.sqrt(u2) for end in (low, high)]
        arguments = (" ".join(map(str, readings)), gauge, low, high)
        out("conformance", arguments, dist.cdf(ends[1]) - dist.cdf(ends[0]))


if __name__ == "__main__":
    print("# Written by reference.py; see README.md. Numbers are in the units of the columns, or pure.")
    print("method,arguments,value")
    regressions()
    places()
    wear()
    odometer()
    verdicts()
