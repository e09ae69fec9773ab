"""Values that reference_test.go checks the formulas of this package against.

    python3 internal/tally/testdata/reference.py      (scipy 1.10.1, numpy 1.24.2)
"""
import numpy as np
from itertools import product
from scipy.optimize import brentq
from scipy.stats import beta, betabinom, chi2_contingency, gamma, nbinom, norm, t

z = norm.ppf(.975)

print("Student's t, 0.975 quantile:", {v: round(t.ppf(.975, v), 5) for v in (8, 8.5, 12, 30.5, 100)})

# Beta distributions whose two draws of a Bernoulli have the correlation 0.1.
usual = 1 / .1 - 1
print("excess kurtosis of a beta:", {p: round(float(beta.stats(p * usual, (1 - p) * usual, moments="k")), 6) for p in (.05, .1, .2)})

# Strokes of turns of 10, 20 and 45, beta-binomial with correlation 0.1 around 0.15.
p, rho, sizes = .15, .1, (10, 20, 45)
a, b = p * (1 / rho - 1), (1 - p) * (1 / rho - 1)
print("design effect:", round(sum(betabinom.var(n, a, b) for n in sizes) / (sum(sizes) * p * (1 - p)), 6))

# The mean of the squares round the common rate, over all outcomes of three turns of six.
n, k, mean = 6, 3, 0.
for x in product(range(n + 1), repeat=k):
    chance = np.prod([betabinom.pmf(v, n, a, b) for v in x])
    r = sum(x) / (n * k)
    mean += chance * sum((v - n * r) ** 2 for v in x)
N, NN = n * k, n * n * k
print("mean of squares:", round(mean, 9), "formula:", round(p * (1 - p) * (1 - NN / N**2) * (N + rho * (NN - N)), 9))

# 200 strokes with a design effect of 2 that is known with 20 degrees of freedom.
print("effective sample:", round(200 / 2 * (z / t.ppf(.975, 20)) ** 2, 5))

# 18 of 120 and 36 of 120 strokes, design effect 1.95 on both sides, 40 degrees of freedom.
chi2 = chi2_contingency(np.array([[18, 102], [36, 84]]) / 1.95, correction=False)[0]
print("rates apart:", round(2 * t.sf(chi2 ** .5, 40), 7))

print("variance of NB1, mean 12, unevenness 0.3:", round(nbinom.var(12 / .3, 1 / 1.3), 6), "formula:", 12 * 1.3)

print("score interval of a Poisson mean:", {x: (round(brentq(lambda m: (x - m) ** 2 / m - z * z, 1e-12, x), 6),
      round(brentq(lambda m: (x - m) ** 2 / m - z * z, x, x + 50), 6)) for x in (1, 7, 30)})

print("gamma, 0.025 and 0.975:", {s: (round(gamma.ppf(.025, s), 4), round(gamma.ppf(.975, s), 4)) for s in (3, 8, 20)})

# The variance of a variance of normal and of long-tailed values: 2/(n-1) + k/n.
rng = np.random.default_rng(1)
v = rng.laplace(size=(200000, 12))
print("variance of a variance, Laplace (excess kurtosis 3), 12 values:", round(np.var(v.var(axis=1, ddof=1)) / v.var() ** 2, 2),
      "formula:", round(2 / 11 + 3 / 12, 2))

# Cochran's Q of groups whose means differ with variance 0.5: its mean is what the variance
# between faults is worked out from.
w = np.array([1., 2, 4, 8])
means = rng.normal(size=(400000, 4)) * np.sqrt(.5 + 1 / w)
q = (w * (means - (means @ w / w.sum())[:, None]) ** 2).sum(axis=1).mean()
print("mean of Cochran's Q:", round(q, 2), "formula:", round(3 + .5 * (w.sum() - (w**2).sum() / w.sum()), 2))
