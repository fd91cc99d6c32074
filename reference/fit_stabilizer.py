"""The same posterior by general-purpose libraries: one stabilizer phase, numpy for the network, scipy.optimize.least_squares for the fit.

Written on its own from the equations of the parts (a winding is v = (r + jx) i + n e, a core is sum of n i = n_ref^2 (g - jb) e), not
from the project's code. Reads one JSON object on standard input, writes one on standard output:

  in:  parameters [{centre, width, transform}] the 20 of the find, then the gains; readings [{setup, quantity, shown, sigma, gain}];
       start [z]; jacobian "2-point" or "3-point"; methods ["trf", "lm"]; repeat: how many times each fit is timed
  out: cost (half the sum of squares), z, covariance (inverse of J'J, three-point differences), seconds (the fastest fit of the fastest
       method), method, evaluations

One thread. The circuits of setups 1 to 3 differ in values only and are solved as one stack, likewise 4 and 5.
"""

import json
import os
import sys
import time

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import numpy as np

try:
    from scipy.optimize import least_squares
except ImportError:
    sys.exit("fit_stabilizer.py: scipy is missing in this Python; install numpy and scipy into it (pip install numpy scipy)")

SMOOTH_VOLTS = 0.02
(N, XA_POS, XB_POS, TAP, V1, V2, V3, V4, V5, RA, XA, GA, BA, BRUSH, RP, XP, KS, GB, BB, RLOAD) = range(20)

# Unknowns of the stabilizer stack: volts of L, slider contact, slider lead, tap, OUT against N; source current; currents of the
# lower, middle and upper piece of the autotransformer; primary and secondary current; volts per turn of both cores.
L, S, SL, CT, OUT, IS, I1, I2, I3, IP, ISEC, EA, EB = range(13)


def stabilizer(v):
    """Solves setups 1 to 3. Returns the stack of solutions, 3 by 13."""
    a = np.zeros((3, 13, 13), complex)
    b = np.zeros((3, 13), complex)
    x = np.array([v[XA_POS], v[XB_POS], v[XB_POS]])
    c = v[TAP]
    above = x >= c
    low, high = np.minimum(x, c), np.maximum(x, c)
    share = np.stack([low, high - low, 1.0 - high])
    za = v[RA] + 1j * v[XA]
    k = np.arange(3)
    first = np.where(above, CT, S)  # node at the lower cut
    second = np.where(above, S, CT)
    # Pieces, current from the upper end down: v_up - v_low - f z i - f e = 0.
    a[k, I1, first] += 1.0
    a[k, I2, second] += 1.0
    a[k, I2, first] -= 1.0
    a[k, I3, L] += 1.0
    a[k, I3, second] -= 1.0
    for row, f in zip((I1, I2, I3), share):
        a[:, row, row] -= f * za
        a[:, row, EA] -= f
        a[:, EA, row] += f
    a[:, EA, EA] -= v[GA] - 1j * v[BA]
    # Currents at the nodes: leaving is positive.
    a[k, first, I1] += 1.0
    a[k, first, I2] -= 1.0
    a[k, second, I2] += 1.0
    a[k, second, I3] -= 1.0
    a[:, L, I3] += 1.0
    a[:, L, IS] -= 1.0
    a[:, L, ISEC] -= 1.0
    a[:, S, IP] += 1.0
    a[:, CT, IP] -= 1.0
    a[:, SL, S], a[:, SL, SL], a[:, SL, IP] = 1.0, -1.0, -v[BRUSH]
    a[:, OUT, ISEC] += 1.0
    a[2, OUT, OUT] += 1.0 / v[RLOAD]
    a[:, IS, L] = 1.0
    b[:, IS] = v[V1], v[V2], v[V3]
    # Booster.
    n = v[N]
    zp = v[RP] + 0.5j * v[XP]
    zs = (v[KS] * v[RP] + 0.5j * v[XP]) / n**2
    a[:, IP, SL], a[:, IP, CT], a[:, IP, IP], a[:, IP, EB] = 1.0, -1.0, -zp, -n
    a[:, ISEC, OUT], a[:, ISEC, L], a[:, ISEC, ISEC], a[:, ISEC, EB] = 1.0, -1.0, -zs, -1.0
    a[:, EB, IP], a[:, EB, ISEC], a[:, EB, EB] = n, 1.0, -(n**2) * (v[GB] - 1j * v[BB])
    return np.linalg.solve(a, b[..., None])[..., 0]


def booster(v):
    """Solves setups 4 (secondary shorted) and 5 (open). Unknowns: primary current, secondary current, secondary volts, e."""
    n = v[N]
    zp = v[RP] + 0.5j * v[XP]
    zs = (v[KS] * v[RP] + 0.5j * v[XP]) / n**2
    a = np.zeros((2, 4, 4), complex)
    b = np.zeros((2, 4), complex)
    a[:, 0, 0], a[:, 0, 3] = zp, n
    b[:, 0] = v[V4], v[V5]
    a[:, 1, 1], a[:, 1, 2], a[:, 1, 3] = zs, -1.0, 1.0
    a[0, 2, 2] = 1.0
    a[1, 2, 1] = 1.0
    a[:, 3, 0], a[:, 3, 1], a[:, 3, 3] = n, 1.0, -(n**2) * (v[GB] - 1j * v[BB])
    return np.linalg.solve(a, b[..., None])[..., 0]


def everything(v):
    """All quantities of all setups, by (setup, name)."""
    q = {}
    for number, s in enumerate(stabilizer(v), start=1):
        pairs = {
            "V_in": s[L], "SL-N": s[SL], "SL-L": s[SL] - s[L], "CT-N": s[CT], "CT-L": s[CT] - s[L], "SL-CT": s[SL] - s[CT],
            "OUT-L": s[OUT] - s[L], "OUT-N": s[OUT], "OUT-SL": s[OUT] - s[SL],
        }
        for name, volts in pairs.items():
            q[number, name] = np.hypot(abs(volts), SMOOTH_VOLTS)
        q[number, "I_in"], q[number, "I_prim"] = abs(s[IS]), abs(s[IP])
        q[number, "P_in"] = (s[L] * s[IS].conjugate()).real
    q[3, "I_load"] = abs(s[OUT]) / v[RLOAD]
    for number, s, volts in zip((4, 5), booster(v), (v[V4], v[V5])):
        q[number, "V"], q[number, "I"], q[number, "P"] = np.hypot(volts, SMOOTH_VOLTS), abs(s[0]), volts * s[0].real
        q[number, "I_sec"], q[number, "V_sec"] = abs(s[1]), np.hypot(abs(s[2]), SMOOTH_VOLTS)
    q[6, "R_A"], q[6, "R_p"], q[6, "R_s"] = v[RA], v[RP], v[KS] * v[RP] / v[N] ** 2
    return q


def posterior(problem):
    """The residuals as a function of z: readings first, then priors."""
    kinds = np.array([p["transform"] for p in problem["parameters"]])
    centre = np.array([p["centre"] for p in problem["parameters"]])
    width = np.array([p["width"] for p in problem["parameters"]])
    ln, logit = kinds == "ln", kinds == "logit"
    offset = np.log(centre[logit] / (1.0 - centre[logit]))
    shown = np.array([r["shown"] for r in problem["readings"]])
    sigma = np.array([r["sigma"] for r in problem["readings"]])
    volts = np.array([r["quantity"][0] in "VSCO" for r in problem["readings"]])
    sigma = np.where(volts, np.hypot(sigma, np.hypot(shown, SMOOTH_VOLTS) - abs(shown)), sigma)
    gain = np.array([r["gain"] for r in problem["readings"]])
    keys = [(r["setup"], r["quantity"]) for r in problem["readings"]]

    def residuals(z):
        v = centre + width * z
        v[ln] = centre[ln] * np.exp(width[ln] * z[ln])
        v[logit] = 1.0 / (1.0 + np.exp(-(offset + width[logit] * z[logit])))
        q = everything(v)
        predicted = np.array([q[key] for key in keys])
        return np.concatenate([(predicted * (1.0 + v[gain]) - shown) / sigma, z])

    return residuals


def main():
    problem = json.load(sys.stdin)
    residuals = posterior(problem)
    start = np.array(problem["start"])
    best = None
    for method in problem["methods"]:
        tight = {} if problem["jacobian"] == "2-point" else {"xtol": 1e-15, "ftol": 1e-15, "gtol": 1e-15}
        for _ in range(problem["repeat"]):
            begun = time.perf_counter()
            found = least_squares(residuals, start, jac=problem["jacobian"], method=method, **tight)
            seconds = time.perf_counter() - begun
            if best is None or seconds < best[0]:
                best = seconds, method, found
    seconds, method, found = best
    step = 1e-5
    columns = [(residuals(found.x + step * e) - residuals(found.x - step * e)) / (2 * step) for e in np.eye(len(start))]
    jacobian = np.stack(columns, axis=1)
    json.dump(
        {
            "cost": float(found.cost),
            "z": found.x.tolist(),
            "covariance": np.linalg.inv(jacobian.T @ jacobian).tolist(),
            "seconds": seconds,
            "method": method,
            "evaluations": int(found.nfev),
        },
        sys.stdout,
    )


if __name__ == "__main__":
    main()
