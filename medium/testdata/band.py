#!/usr/bin/python3
"""The physical method of package medium, written a second time with numpy and scipy.

    python3 band.py            rows of band.csv on standard output
    python3 band.py time       seconds for all media and corners of one class

Single-fibre theory with charge, four generic media charged until they just meet the
class, room air, a condensation counter of 20 nm, sinusoidal breathing. Formulas and
constants as the Go package's comments name them.
"""
import sys
import time

import numpy as np
from scipy.optimize import brentq

K, E, EPS0, T, MU, LAM, RHO, G = 1.380649e-23, 1.602176634e-19, 8.854e-12, 293.15, 1.81e-5, 66e-9, 2165.0, 9.81
D = np.logspace(-2.3, 0.7, 400) * 1e-6
LD = np.log(D)
CC = 1 + LAM / D * (2.34 + 1.05 * np.exp(-0.39 * D / LAM))
DIFF = K * T * CC / (3 * np.pi * MU * D)
N = np.arange(-12, 13)
CHARGE = np.exp(-(N[None, :] * E) ** 2 / (4 * np.pi * EPS0 * D[:, None] * K * T))
CHARGE /= CHARGE.sum(1, keepdims=True)
AREA = 0.0160
MEDIA = [(2e-6, 0.06, 60), (3e-6, 0.08, 80), (5e-6, 0.08, 60), (7e-6, 0.06, 40)]
# limit, test flow, readings of the test aerosols (count median um, spread)
OIL = 0.4 / np.exp(3 * np.log(1.82) ** 2)
SALT = [0.6 / np.exp(3 * np.log(g) ** 2) for g in (2.2, 2.5)]
CLASSES = {
    "N95": (0.05, 85, [[(0.075, 1.86)]]),
    "N99": (0.01, 85, [[(0.075, 1.86)]]),
    "KF94": (0.06, 95, [[(SALT[0], 2.2), (0.4, 1.82)], [(SALT[1], 2.5), (OIL, 1.82)]]),
    "FFP3": (0.01, 95, [[(SALT[0], 2.2), (0.4, 1.82)], [(SALT[1], 2.5), (OIL, 1.82)]]),
}


def lognormal(cmd, gsd):
    w = np.exp(-0.5 * ((LD - np.log(cmd * 1e-6)) / np.log(gsd)) ** 2)
    return w / w.sum()


ROOMS = {"aged": lognormal(0.12, 1.7), "mixed": 0.5 * lognormal(0.04, 1.7) + 0.5 * lognormal(0.11, 1.6), "fresh": lognormal(0.03, 1.8)}
SEEN = 1 / (1 + np.exp(-(LD - np.log(0.02e-6)) / 0.25))


def weigh(w, by):
    x = w * {"mass": D**3, "photometer": D**6 / (1 + (D / 0.25e-6) ** 4), "number": 1.0}[by]
    return x / x.sum()


def thickness(df, a, pressure, u):
    return pressure * df**2 / (MU * u * 64 * a**1.5 * (1 + 56 * a**3))


def penetration(df, a, t, u, sigma):
    ku = -0.5 * np.log(a) - 0.75 + a - 0.25 * a * a
    pe, r = df * u / DIFF, D / df
    stk = RHO * D**2 * CC * u / (18 * MU * df)
    j = np.where(r < 0.4, (29.6 - 28 * a**0.62) * r**2 - 27.5 * r**2.8, 2.0)
    base = 2 * pe ** (-2 / 3) + (1 - a) * r**2 / (ku * (1 + r)) + 1.24 * r ** (2 / 3) / np.sqrt(ku * pe) + stk * j / (2 * ku) ** 2
    base += RHO * D**2 * CC * G / (18 * MU * u) * (1 + r)
    ni = 4.9 / 7.9 * sigma**2 * D**2 * CC / (3 * MU * EPS0 * 3.2**2 * df * u)
    base += ((1 - a) / ku) ** 0.4 * np.pi * ni / (1 + 2 * np.pi * ni ** (2 / 3))
    nc = np.abs(N)[None, :] * E * sigma * CC[:, None] / (3 * np.pi * MU * EPS0 * 3.2 * D[:, None] * u)
    charged = ((1 - a) / ku) ** 0.6 * np.pi * nc / (1 + 2 * np.pi * nc ** (2 / 3))
    return (CHARGE * np.exp(-4 * a * t / (np.pi * df * (1 - a)) * (base[:, None] + charged))).sum(1)


def breathed(df, a, t, sigma, v, n=60):
    s = np.sin((np.arange(n) + 0.5) * np.pi / n)
    return sum(x * penetration(df, a, t, max(np.pi * v / 6e4 * x / AREA, 1e-4), sigma) for x in s) / s.sum()


def rows(name, ventilations):
    limit, flow, readings = CLASSES[name]
    for by in ("mass", "photometer", "number"):
        for i, reading in enumerate(readings):
            tests = [weigh(lognormal(c, g), by) for c, g in reading]
            for df, a, pressure in MEDIA:
                t, u = thickness(df, a, pressure, 85 / 6e4 / AREA), flow / 6e4 / AREA
                excess = lambda x: max((w * penetration(df, a, t, u, 10**x)).sum() for w in tests) - limit
                sigma = 10 ** brentq(excess, -7.5, -2.5)
                for v in ventilations:
                    p = breathed(df, a, t, sigma, v)
                    for room, w in ROOMS.items():
                        yield name, by, i, df * 1e6, sigma * 1e6, v, room, (w * SEEN).sum() / (w * SEEN * p).sum()


if __name__ == "__main__":
    if "time" in sys.argv:
        start = time.process_time()
        list(rows("KF94", (10, 15, 20, 30, 40)))
        print("%.3f" % (time.process_time() - start))
        sys.exit()
    print("class,weighting,reading,fibre_um,charge_uc_m2,ventilation_l_min,room,fit_factor")
    for name in CLASSES:
        for r in rows(name, (15, 30)):
            print("%s,%s,%d,%.0f,%.5g,%g,%s,%.6g" % r)
