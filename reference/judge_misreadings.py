"""Which readings of one stabilizer phase are probably wrong, by numpy alone: a beam search over sets of misread readings.

Written on its own from the equations of the parts and of the statistics, not from the project's code. Each set of readings held to be
misread gets a fit of its own without them (Gauss-Newton, damped, with forward differences taken as one stack of networks), its evidence
by Laplace's formula and, for each misread reading, the density of what slips would show about the prediction that leaves it out.
Seeds: no reading, and those beyond four standard uncertainties in a fit under Student's t. Width 5, fan-out 4.

Reads one JSON object on standard input, writes one on standard output:

  in:  parameters [{centre, width, transform}] the 20 of the find, then the gains; readings [{setup, quantity, shown, sigma, gain, step,
       ranges [{full_scale, step, digits}], slips [{kind, share}], places [{kind, quantity}]}]; starts [[z]]; slip_probability;
       repeat: how many times the search is timed
  out: wrong [probability of each reading], seconds (the fastest search), jacobians (of one search), sets (fitted in one search)

One thread.
"""

import json
import os
import sys
import time

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

try:
    import numpy as np
except ImportError:
    sys.exit("judge_misreadings.py: numpy is missing in this Python; install it (pip install numpy)")

SMOOTH_VOLTS = 0.02
STAGES = (30.0, 8.0, 2.0)
WIDTH, FAN_OUT = 5, 4
FAR_BEHIND = 14.0
HOPELESS = 60.0
ROOT_3 = 3.0**0.5
LN_ROOT_2PI = 0.5 * np.log(2.0 * np.pi)
PARAMETERS = 20
DECADES = {"TenTimes": 10.0, "Tenth": 0.1, "ThousandTimes": 1e3, "Thousandth": 1e-3}
FACTORS = {"LineForPhase": ROOT_3, "PhaseForLine": 1.0 / ROOT_3}

(N, XA_POS, XB_POS, TAP, V1, V2, V3, V4, V5, RA, XA, GA, BA, BRUSH, RP, XP, KS, GB, BB, RLOAD) = range(PARAMETERS)
# Unknowns of setups 1 to 3: volts against N of L, slider contact, slider lead, tap, OUT; source current; currents of the lower, middle and
# upper piece of the autotransformer; primary and secondary current; volts per turn of both cores.
L, S, SL, CT, OUT, IS, I1, I2, I3, IP, ISEC, EA, EB = range(13)


def places(v):
    """All quantities of a stack of parameter values (stack by 20): name of each, values (stack by names)."""
    count = len(v)
    c = v.T
    one = np.ones(count)
    # Three setups of each set of values: setup by stack.
    a = np.zeros((3, count, 13, 13), complex)
    b = np.zeros((3, count, 13), complex)
    x = np.stack([c[XA_POS], c[XB_POS], c[XB_POS]])
    tap = c[TAP][None]
    above = x >= tap
    low, high = np.minimum(x, tap), np.maximum(x, tap)
    share = np.stack([low, high - low, 1.0 - high])
    za = c[RA] + 1j * c[XA]
    k, m = np.indices((3, count))
    first, second = np.where(above, CT, S), np.where(above, S, CT)
    a[k, m, I1, first] = 1.0
    a[k, m, I2, second], a[k, m, I2, first] = 1.0, -1.0
    a[k, m, I3, L], a[k, m, I3, second] = 1.0, -1.0
    for row, f in zip((I1, I2, I3), share):
        a[:, :, row, row] = -f * za
        a[:, :, row, EA], a[:, :, EA, row] = -f, f
    a[:, :, EA, EA] = -(c[GA] - 1j * c[BA])
    a[k, m, first, I1], a[k, m, first, I2] = 1.0, -1.0
    a[k, m, second, I2], a[k, m, second, I3] = 1.0, -1.0
    a[:, :, L, I3], a[:, :, L, IS], a[:, :, L, ISEC] = 1.0, -1.0, -1.0
    a[:, :, S, IP], a[:, :, CT, IP] = 1.0, -1.0
    a[:, :, SL, S], a[:, :, SL, SL], a[:, :, SL, IP] = 1.0, -1.0, -c[BRUSH]
    a[:, :, OUT, ISEC] = 1.0
    a[2, :, OUT, OUT] = 1.0 / c[RLOAD]
    a[:, :, IS, L] = 1.0
    b[:, :, IS] = c[[V1, V2, V3]]
    n, core = c[N], c[GB] - 1j * c[BB]
    zp = c[RP] + 0.5j * c[XP]
    zs = (c[KS] * c[RP] + 0.5j * c[XP]) / n**2
    a[:, :, IP, SL], a[:, :, IP, CT], a[:, :, IP, IP], a[:, :, IP, EB] = 1.0, -1.0, -zp, -n
    a[:, :, ISEC, OUT], a[:, :, ISEC, L], a[:, :, ISEC, ISEC], a[:, :, ISEC, EB] = 1.0, -1.0, -zs, -1.0
    a[:, :, EB, IP], a[:, :, EB, ISEC], a[:, :, EB, EB] = n, 1.0, -(n**2) * core
    s = np.linalg.solve(a, b[..., None])[..., 0]
    told = {}

    def volts(setup, name, value):
        told[setup, name] = np.hypot(np.abs(value), SMOOTH_VOLTS)

    for setup, row in enumerate(np.moveaxis(s, 2, 1), start=1):
        pairs = (("V_in", L, None), ("SL-N", SL, None), ("SL-L", SL, L), ("CT-N", CT, None), ("CT-L", CT, L), ("SL-CT", SL, CT))
        for name, to, back in (*pairs, ("OUT-L", OUT, L), ("OUT-N", OUT, None), ("OUT-SL", OUT, SL)):
            volts(setup, name, row[to] - (0.0 if back is None else row[back]))
        told[setup, "I_in"], told[setup, "I_prim"] = np.abs(row[IS]), np.abs(row[IP])
        told[setup, "P_in"] = (row[L] * row[IS].conj()).real
    told[3, "I_load"] = np.abs(s[2, :, OUT]) / c[RLOAD]
    # The booster by itself, in closed form: its magnetising branch stands across n e.
    shunt = 1.0 / core
    for setup, supply, secondary in ((4, c[V4], 1.0 / (n**2 * zs)), (5, c[V5], 0.0 * one)):
        joined = 1.0 / (1.0 / shunt + secondary)
        current = supply / (zp + joined)
        volts(setup, "V", supply)
        told[setup, "I"], told[setup, "P"] = np.abs(current), supply * current.real
        told[setup, "I_sec"] = n * np.abs(current * joined * secondary)
        volts(setup, "V_sec", (0.0 if setup == 4 else 1.0) * current * joined / n)
    told[6, "R_A"], told[6, "R_p"], told[6, "R_s"] = c[RA], c[RP], c[KS] * c[RP] / n**2
    return told


class Judge:
    """One find with its readings."""

    def __init__(self, problem):
        told, self.starts, self.prior = problem["parameters"], problem["starts"], problem["slip_probability"]
        kinds = np.array([p["transform"] for p in told])
        self.centre = np.array([p["centre"] for p in told])
        self.width = np.array([p["width"] for p in told])
        self.ln, self.logit = kinds == "ln", kinds == "logit"
        self.offset = np.log(self.centre[self.logit] / (1.0 - self.centre[self.logit]))
        self.readings = problem["readings"]
        self.shown = np.array([r["shown"] for r in self.readings])
        self.sigma = np.array([self.smoothed(r) for r in self.readings])
        self.gain = np.array([r["gain"] for r in self.readings])
        self.names = list(places(self.values(np.zeros((1, len(told))))[:, :PARAMETERS]))
        index = {name: row for row, name in enumerate(self.names)}
        self.rows = np.array([index[r["setup"], r["quantity"]] for r in self.readings])
        self.others = [[(p["kind"], index[r["setup"], p["quantity"]]) for p in r["places"]] for r in self.readings]
        self.jacobians = 0
        self.least = np.inf

    @staticmethod
    def smoothed(reading):
        if reading["quantity"][0] not in "VSCO":
            return reading["sigma"]
        size = abs(reading["shown"])
        return np.hypot(reading["sigma"], np.hypot(size, SMOOTH_VOLTS) - size)

    def values(self, z):
        v = self.centre + self.width * z
        v[:, self.ln] = self.centre[self.ln] * np.exp(self.width[self.ln] * z[:, self.ln])
        v[:, self.logit] = 1.0 / (1.0 + np.exp(-(self.offset + self.width[self.logit] * z[:, self.logit])))
        return v

    def feel(self, z):
        """Values and slopes to z of all places, and of the readings with their gains."""
        self.jacobians += 1
        step = 1e-6
        stack = np.tile(z, (PARAMETERS + 1, 1))
        stack[np.arange(1, PARAMETERS + 1), np.arange(PARAMETERS)] += step
        all_of = np.array([q for q in places(self.values(stack)[:, :PARAMETERS]).values()])
        slopes = np.zeros((len(all_of), len(z)))
        slopes[:, :PARAMETERS] = (all_of[:, 1:] - all_of[:, :1]) / step
        value = all_of[self.rows, 0]
        factor = 1.0 + self.width[self.gain] * z[self.gain]
        here = slopes[self.rows] * factor[:, None]
        here[np.arange(len(value)), self.gain] += value * self.width[self.gain]
        return all_of[:, 0], slopes, value * factor, here

    def equations(self, z, kept, scale, heavy):
        felt = self.feel(z)
        r = (felt[2] - self.shown) / (scale * self.sigma)
        j = felt[3] / (scale * self.sigma)[:, None]
        if heavy:  # Student's t with two degrees of freedom, as weights on the squares.
            told = np.sqrt(3.0 * np.log1p(r * r / 2.0))
            slope = 3.0 * np.abs(r) / (2.0 + r * r) / np.maximum(told, 1e-12)
            slope = np.where(told < 1e-6, np.sqrt(1.5), slope)
            r, j = np.copysign(told, r), j * slope[:, None]
        r, j = r[kept], j[kept]
        cost = 0.5 * (r @ r + z @ z)
        return cost, j.T @ r + z, j.T @ j + np.eye(len(z)), felt

    def cost(self, z, kept, scale, heavy):
        """Half the sum of squares alone: one network, no slopes."""
        told = places(self.values(z[None])[:, :PARAMETERS])
        value = np.array([told[self.names[row]][0] for row in self.rows])
        r = (value * (1.0 + self.width[self.gain] * z[self.gain]) - self.shown) / (scale * self.sigma)
        squares = 3.0 * np.log1p(r * r / 2.0) if heavy else r * r
        return 0.5 * (squares[kept].sum() + z @ z)

    def search(self, z, kept, scale=1.0, heavy=False, rounds=12, enough=1e-4):
        cost, gradient, hessian, felt = self.equations(z, kept, scale, heavy)
        damping = 1e-9
        for _ in range(rounds):
            gain = 0.5 * gradient @ np.linalg.solve(hessian, gradient)
            # Near enough, or so far behind the best set that even the full step would not catch up.
            if gain < enough or (scale == 1.0 and cost - gain > self.least + HOPELESS):
                break
            while damping < 1e6:
                damped = hessian + damping * np.diag(np.diag(hessian))
                step = -np.linalg.solve(damped, gradient)
                step *= min(1.0, 1.5 / np.max(np.abs(step)))
                if self.cost(z + step, kept, scale, heavy) < cost:
                    break
                damping = max(damping, 1e-4) * 8.0
            else:
                break
            z = z + step
            cost, gradient, hessian, felt = self.equations(z, kept, scale, heavy)
            damping *= 0.1
        return z, cost, hessian, felt

    def anneal(self, z, kept, heavy=False):
        for scale in STAGES:
            z = self.search(z, kept, scale, heavy, rounds=4)[0]
        return self.search(z, kept, heavy=heavy, rounds=10)[0] if heavy else z

    def scored(self, members, start):
        """A set's peak from a start: log probability, z and what leaving each reading out predicts."""
        kept = np.array([i not in members for i in range(len(self.shown))])
        z, cost, hessian, felt = self.search(start, kept)
        self.least = min(self.least, cost)
        covariance = np.linalg.inv(hessian)
        log = -cost - 0.5 * np.linalg.slogdet(hessian)[1] - np.sum(np.log(self.sigma[kept]) + LN_ROOT_2PI)
        odds = np.array([self.log_odds(i, kept[i], covariance, felt) for i in range(len(self.shown))])
        slipped = sum(np.log(self.prior) + odds[i, 0] for i in members)
        log += slipped + kept.sum() * np.log1p(-self.prior)
        return log, z, np.log(self.prior) - np.log1p(-self.prior) + odds[:, 0] - odds[:, 1]

    def log_odds(self, i, kept, covariance, felt):
        """Logarithm of the density of what was shown, as a slip and as a good reading, about the prediction without it."""
        w = felt[3][i] / self.sigma[i]
        pull = covariance @ w
        rest = max(1.0 - w @ pull, 1e-9) if kept else None
        off = (felt[2][i] - self.shown[i]) / self.sigma[i]

        def without(value, slopes):
            variance = slopes @ covariance @ slopes
            if rest is None:
                return value, max(variance, 0.0)
            along = slopes @ pull
            return value + along * off / rest, max(variance + along**2 / rest, 0.0)

        m, variance = without(felt[2][i], felt[3][i])
        there = [(kind, *without(felt[0][row], felt[1][row])) for kind, row in self.others[i]]
        spread = self.sigma[i] ** 2 + variance
        good = -0.5 * (self.shown[i] - m) ** 2 / spread - 0.5 * np.log(spread) - LN_ROOT_2PI
        return np.log(max(self.slip(i, m, variance, there), 1e-300)), good

    def slip(self, i, m, variance, there):
        """Density of what was shown had the reading slipped."""
        reading, y = self.readings[i], self.shown[i]
        gain = self.width[self.gain[i]]

        def on(value):
            return next((r for r in reading["ranges"] if abs(value) <= r["full_scale"]), reading["ranges"][-1])

        scatter = 0.0 if y == 0.0 else max(self.sigma[i] ** 2 - on(y)["digits"] ** 2, 0.0) ** 0.5 / abs(y)

        def display(value):
            return on(value)["digits"] ** 2 + (scatter * value) ** 2 + (gain * value) ** 2

        def normal(mean, spread):
            return np.exp(-0.5 * (y - mean) ** 2 / spread) / np.sqrt(2.0 * np.pi * spread)

        total = 0.0
        for slip in reading["slips"]:
            kind = slip["kind"]
            if kind in DECADES:
                f = DECADES[kind]
                told = normal(m, display(m) + variance) if y == 0.0 else normal(f * m, f * f * (display(m) + variance))
            elif kind in FACTORS:
                f = FACTORS[kind]
                told = normal(f * m, display(f * m) + f * f * variance)
            elif kind in ("OtherHalf", "WrongTerminal"):
                told = np.mean([normal(at, display(at) + spread) for its, at, spread in there if its == kind])
            elif kind == "LeadsNotZeroed":
                told = normal(m + 0.375, display(m) + variance + 0.13**2)
            elif kind == "DeadContact":
                told = normal(0.01 * m, (0.01 * m) ** 2 + display(0.01 * m))
            elif kind == "CoarseRange":
                told = normal(m, display(m) + variance + (145.0 * on(m)["step"]) ** 2)
            else:  # Anything: its logarithm spread by one about that of the prediction.
                floor = max(0.5 * reading["step"], 1e-3 * self.sigma[i])
                value, size = max(abs(y), floor), max(abs(m), floor)
                spread = 1.0 + min(display(m) / size**2, 1.0) + min(variance / size**2, 4.0)
                told = np.exp(-0.5 * np.log(value / size) ** 2 / spread) / np.sqrt(2.0 * np.pi * spread) / value
            total += slip["share"] * told
        return total / sum(slip["share"] for slip in reading["slips"])

    def judge(self):
        count = len(self.shown)
        everything = np.ones(count, bool)
        sets = {}

        def admit(members, start):
            members = tuple(sorted(members))
            told = self.scored(members, start)
            if np.isfinite(told[0]) and (members not in sets or told[0] > sets[members][0]):
                sets[members] = (*told, False)

        for start in self.starts:
            z = self.anneal(np.array(start), everything, heavy=True)
            far = np.flatnonzero(np.abs(self.feel(z)[2] - self.shown) > 4.0 * self.sigma)
            if len(far) and 2 * len(far) <= count:
                admit(far.tolist(), z)
            admit((), z)
            if len(far):
                admit((), self.anneal(np.array(start), everything))
        while True:
            ranked = sorted(sets, key=lambda members: -sets[members][0])
            best = sets[ranked[0]][0]
            todo = [s for s in ranked[:WIDTH] if not sets[s][3] and sets[s][0] > best - FAR_BEHIND]
            if not todo:
                break
            members = todo[0]
            if members == ranked[0] and members:
                kept = np.array([i not in members for i in range(count)])
                for start in self.starts:
                    admit(members, self.anneal(np.array(start), kept))
            log, z, odds, _ = sets[members]
            sets[members] = log, z, odds, True
            order = [int(i) for i in np.argsort(-odds)]
            added = [i for i in order if i not in members][:FAN_OUT]
            returned = [i for i in reversed(order) if i in members][:FAN_OUT]
            for i in added + returned:
                child = tuple(sorted(set(members) ^ {i}))
                if child not in sets and 2 * len(child) <= count:
                    admit(child, z)
        logs = np.array([sets[s][0] for s in sets])
        weights = np.exp(logs - logs.max())
        weights /= weights.sum()
        wrong = np.zeros(count)
        for weight, members in zip(weights, sets):
            wrong[list(members)] += weight
        return wrong, len(sets)


def main():
    problem = json.load(sys.stdin)
    fastest = np.inf
    for _ in range(problem["repeat"]):
        judge = Judge(problem)
        begun = time.perf_counter()
        wrong, sets = judge.judge()
        fastest = min(fastest, time.perf_counter() - begun)
    json.dump({"wrong": wrong.tolist(), "seconds": fastest, "jacobians": judge.jacobians, "sets": sets}, sys.stdout)


if __name__ == "__main__":
    main()
