"""Ranks the thirteen wirings of the trial `wirings` by Laplace's evidence, in numpy: held against `evidence::rank`.

Written by itself, from the equations: nodal analysis with branch currents and EMFs per turn, all starts of a wiring solved as one batch,
derivatives by forward differences. Something undrawn may hang on the output: ln of its watts at 230 V is 0 with a width of 2. Reads JSON
on standard input: `wirings` (each with `joins`, lists of terminals; `tap`, centre and width; `inner`, whether it has an inner tap),
`places` (each: slider at B, terminal, terminal), `finds` (each with `places`, from 0, and `shown`), `repeat`. Writes for each find
`probabilities`, `log_evidence` and the `seconds` of the fastest ranking.

One thread: OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1.
"""

import json
import sys
import time

import numpy as np

TERMINALS = ["N", "L1", "L2", "OUT", "A.bottom", "A.top", "A.slider", "A.tap", "A.inner", "B.p1", "B.p2", "B.a1", "B.a2", "B.b1", "B.b2"]
STARTS = [(-1.6, -1.6), (-1.6, 0.6), (-0.6, -0.6), (-0.6, 1.6), (0.6, -1.6), (0.6, 0.6), (1.6, -0.6), (1.6, 1.6)]
FULL_SCALES = np.array([6.0, 60.0, 600.0, 1000.0])
# Shares of the slips as the table of slips has them, among those that can befall volts here.
SHARES = {"x10": 0.16, "/10": 0.16, "xsqrt3": 0.07, "/sqrt3": 0.05, "elsewhere": 0.18, "gross": 0.08}
SLIP, FLOATING = 0.02, 0.01
RATED = 230.0


def whole_sigma(volts):
    volts = np.abs(volts)
    full = FULL_SCALES[np.minimum(np.searchsorted(FULL_SCALES, volts), 3)]
    digits = 3.0 * full / 6000.0 / np.sqrt(3.0)
    return np.sqrt(digits**2 + (0.002 * volts) ** 2 + (0.008 * volts) ** 2 / 3.0 + 0.01**2)


class Wiring:
    """One wiring: its nodes and branches, solved for a batch of parameter values at once."""

    def __init__(self, joins, tap, inner, places):
        self.tap, self.inner, self.places = tap, inner, places
        self.unknowns = 7 if inner else 6
        self.node = {}
        for index, conductor in enumerate(joins):
            self.node.update({terminal: index for terminal in conductor})
        two_lines = "L2" in self.node
        for terminal in TERMINALS:
            unused = (terminal == "L2" and not two_lines) or (terminal == "A.inner" and not inner)
            if terminal not in self.node and not unused:
                self.node[terminal] = len(set(self.node.values()))
        self.contact = len(set(self.node.values()))
        self.nodes = self.contact + 1
        self.sources = ["L1", "L2"] if two_lines else ["L1"]
        points = ["A.bottom", "A.top", "A.tap"] + (["A.inner"] if inner else [])
        self.points = np.array([self.node[point] for point in points] + [self.contact])
        self.pieces = len(self.points) - 1
        self.windings = [("B.p1", "B.p2", 1.0 + 0.9j), ("B.a1", "B.a2", 0.02 + 0.02j), ("B.b1", "B.b2", 0.02 + 0.02j)]
        self.branches = len(self.sources) + self.pieces + 1 + 3 + 1
        self.size = self.nodes + self.branches + 2
        self.islands()
        self.at_b = np.array([at_b for at_b, _, _ in places], bool)
        self.ends = np.array([(self.node[a], self.node[b]) for _, a, b in places]).T
        self.floats = self.island[self.ends[0]] != self.island[self.ends[1]]

    def islands(self):
        island = np.arange(self.nodes)
        joined = [(self.node["N"], self.node[line]) for line in self.sources]
        joined += [(point, self.points[0]) for point in self.points] + [(self.node["A.slider"], self.contact)]
        joined += [(self.node[a], self.node[b]) for a, b, _ in self.windings] + [(self.node["OUT"], self.node["N"])]
        for _ in range(self.nodes):
            for a, b in joined:
                island[[a, b]] = min(island[a], island[b])
        self.island = island

    def values(self, z):
        values = {"n": 8.0 * np.exp(0.6 * z[:, 0]), "V": 230.0 * np.exp(0.06 * z[:, 4])}
        values["W"] = np.exp(2.0 * z[:, -1])
        values["x"] = [1.0 / (1.0 + np.exp(-1.6 * z[:, 1 + k])) for k in range(2)]
        centre, width = self.tap
        values["c"] = np.clip(centre + width * z[:, 3], 0.02, 0.98)
        if self.inner:
            values["t"] = np.clip(0.87 + 0.03 * z[:, 5], 0.70, 0.97)
            values["c"] = (centre + width * z[:, 3]) * (0.87 + 0.03 * z[:, 5])
        return values

    def predict(self, z):
        """Smoothed volts at all places, one row a set of z."""
        values = self.values(z)
        told = np.empty((len(z), len(self.places)))
        for station, here in enumerate([~self.at_b, self.at_b]):
            volts = self.solve(values, values["x"][station])
            a, b = self.ends[:, here]
            told[:, here] = np.sqrt(np.abs(volts[:, a] - volts[:, b]) ** 2 + 0.02**2)
        return told

    def solve(self, values, slider):
        count, size = len(slider), self.size
        matrix = np.zeros((count, size, size), complex)
        right = np.zeros((count, size), complex)
        rows = np.arange(count)

        def branch(index, start, end, impedance):
            row = self.nodes + index
            matrix[rows, row, start] += 1.0
            matrix[rows, row, end] -= 1.0
            matrix[rows, row, row] -= impedance
            matrix[rows, start, row] += 1.0
            matrix[rows, end, row] -= 1.0
            return row

        index = 0
        for number, line in enumerate(self.sources):
            row = branch(index, self.node["N"], self.node[line], 0.001)
            right[:, row] = -values["V"] * np.exp(-2j * np.pi / 3.0 * number)
            index += 1
        at = np.stack([np.zeros(count), np.ones(count), values["c"]] + ([values["t"]] if self.inner else []) + [slider], axis=1)
        order = np.argsort(at, axis=1, kind="stable")
        at = np.take_along_axis(at, order, axis=1)
        points = self.points[order]
        core = self.nodes + self.branches
        for piece in range(self.pieces):
            share = at[:, piece + 1] - at[:, piece]
            row = branch(index, points[:, piece + 1], points[:, piece], share * (5.0 + 1.5j))
            matrix[:, row, core] -= share
            matrix[:, core, row] += share
            index += 1
        matrix[:, core, core] -= 1e-4 - 2e-4j
        branch(index, self.node["A.slider"], self.contact, 0.05)
        index += 1
        for number, (a, b, impedance) in enumerate(self.windings):
            turns = values["n"] if number == 0 else np.ones(count)
            row = branch(index, self.node[a], self.node[b], impedance)
            matrix[:, row, core + 1] -= turns
            matrix[:, core + 1, row] += turns
            index += 1
        branch(index, self.node["OUT"], self.node["N"], RATED**2 / values["W"])
        matrix[:, core + 1, core + 1] -= values["n"] ** 2 * (4e-4 - 2e-3j)
        for reference in np.unique(self.island):
            matrix[:, reference, :] = 0.0
            matrix[:, reference, reference] = 1.0
        return np.linalg.solve(matrix, right[..., None])[..., 0][:, : self.nodes]


def normal(y, mean, sd):
    return np.exp(-0.5 * ((y - mean) / sd) ** 2) / (sd * np.sqrt(2.0 * np.pi))


class Posterior:
    """Cost, gradient and curvature of one wiring's posterior at a batch of z."""

    def __init__(self, wiring, places, shown):
        self.wiring = wiring
        places = np.asarray(places, int)
        felt = ~wiring.floats[places]
        self.constant = -np.log(FLOATING) * np.sum(~felt)
        self.places = places[felt]
        self.shown = np.asarray(shown, float)[felt]
        sigma = whole_sigma(self.shown)
        self.sigma = np.hypot(sigma, np.hypot(self.shown, 0.02) - self.shown)
        self.step = FULL_SCALES[np.minimum(np.searchsorted(FULL_SCALES, self.shown), 3)] / 6000.0
        at_b = wiring.at_b
        self.others = [[j for j in range(len(at_b)) if j != i and at_b[j] == at_b[i]] for i in self.places]

    def slipped(self, m, everything):
        """Density of what is shown if it slipped, at predictions m (rows: z, columns: readings)."""
        y = self.shown
        root3 = np.sqrt(3.0)
        nought = y == 0.0
        told = 0.0
        for kind, f in (("x10", 10.0), ("/10", 0.1)):
            plain = normal(y, m, whole_sigma(m))
            told = told + SHARES[kind] * np.where(nought, plain, normal(y, f * m, f * whole_sigma(m)))
        for kind, f in (("xsqrt3", root3), ("/sqrt3", 1.0 / root3)):
            told = told + SHARES[kind] * normal(y, f * m, whole_sigma(f * m))
        floor = np.maximum(0.5 * self.step, 1e-3 * self.sigma)
        high, size = np.maximum(y, floor), np.maximum(m, floor)
        told = told + SHARES["gross"] * normal(np.log(high), np.log(size), np.sqrt(1.0 + np.minimum((whole_sigma(m) / size) ** 2, 1.0))) / high
        elsewhere = np.zeros_like(m)
        for column, others in enumerate(self.others):
            volts = everything[:, others]
            there = np.where(self.wiring.floats[others], FLOATING, normal(y[column], volts, whole_sigma(volts)))
            elsewhere[:, column] = there.mean(axis=1)
        return (told + SHARES["elsewhere"] * elsewhere) / sum(SHARES.values())

    def evaluate(self, z, scale):
        """Cost, gradient, curvature; under Student's t at `scale`, or the mixture where it is none."""
        count, size = z.shape
        step = 1e-5
        moved = np.concatenate([z[:, None, :], z[:, None, :] + step * np.eye(size)[None]], axis=1).reshape(-1, size)
        everything = self.wiring.predict(moved).reshape(count, size + 1, -1)
        told = everything[:, :, self.places]
        m, slopes = told[:, 0], (told[:, 1:] - told[:, :1]).transpose(0, 2, 1) / step
        if scale is not None:
            r = (m - self.shown) / (scale * self.sigma)
            cost = 1.5 * np.log1p(r**2 / 2.0)
            weight = 3.0 / (2.0 + r**2) / (scale * self.sigma) ** 2
            pull = weight * (m - self.shown)
        else:
            good = (1.0 - SLIP) * normal(self.shown, m, self.sigma)
            by = 0.05 * np.minimum(self.sigma, 0.003 * m + 1e-3 * self.sigma)
            bad = [SLIP * self.slipped(m + k * by, everything[:, 0]) + 1e-300 for k in (-1, 0, 1)]
            logs = np.log(bad)
            total = good + bad[1]
            slipped = bad[1] / total
            cost = -np.log(total)
            curve = np.maximum(0.0, (2.0 * logs[1] - logs[0] - logs[2]) / by**2)
            pull = (1.0 - slipped) * (m - self.shown) / self.sigma**2 - slipped * (logs[2] - logs[0]) / (2.0 * by)
            weight = (1.0 - slipped) / self.sigma**2 + slipped * curve
        gradient = np.einsum("bi,bij->bj", pull, slopes) + z
        curvature = np.einsum("bi,bij,bik->bjk", weight, slopes, slopes) + np.eye(size)
        return cost.sum(axis=1) + 0.5 * (z**2).sum(axis=1), gradient, curvature

    def descend(self, z, scale, rounds):
        """Levenberg-Marquardt of a whole batch at once."""
        cost, gradient, curvature = self.evaluate(z, scale)
        damping = np.full(len(z), 1e-6)
        for _ in range(rounds):
            diagonal = np.einsum("bii->bi", curvature)
            damped = curvature + damping[:, None, None] * diagonal[:, :, None] * np.eye(z.shape[1])
            move = -np.linalg.solve(damped, gradient[..., None])[..., 0]
            move *= np.minimum(1.0, 1.5 / np.maximum(np.abs(move).max(axis=1), 1e-300))[:, None]
            new = self.evaluate(z + move, scale)
            better = new[0] <= cost
            gained = np.where(better, cost - new[0], 0.0)
            z = np.where(better[:, None], z + move, z)
            cost = np.where(better, new[0], cost)
            gradient = np.where(better[:, None], new[1], gradient)
            curvature = np.where(better[:, None, None], new[2], curvature)
            damping = np.where(better, np.maximum(0.1 * damping, 1e-9), np.maximum(damping, 1e-4) * 10.0)
            if scale is None and np.all(gained < 1e-6) and np.all(np.abs(np.einsum("bi,bi->b", gradient, move)) < 1e-5):
                break
        return z, cost, curvature

    def log_evidence(self):
        z = np.zeros((len(STARTS), self.wiring.unknowns))
        z[:, 1:3] = STARTS
        for scale in (30.0, 8.0, 2.0):
            z = self.descend(z, scale, 4)[0]
        z, cost, curvature = self.descend(z, None, 40)
        logs = -cost - 0.5 * np.linalg.slogdet(curvature)[1]
        kept = []
        for index in np.argsort(-logs):
            apart = [z[index] - z[other] for other in kept]
            near = [min(d @ curvature[index] @ d, d @ curvature[other] @ d) < 4.0 for d, other in zip(apart, kept)]
            if not any(near):
                kept.append(index)
        return np.logaddexp.reduce(logs[kept]) - self.constant


def rank(wirings, places, shown):
    """Logarithm of the evidence of each wiring, and the posterior."""
    logs = np.array([Posterior(wiring, places, shown).log_evidence() for wiring in wirings])
    return logs, np.exp(logs - np.logaddexp.reduce(logs))


def main():
    asked = json.load(sys.stdin)
    wirings = [Wiring(it["joins"], it["tap"], it["inner"], asked["places"]) for it in asked["wirings"]]
    told = []
    for find in asked["finds"]:
        fastest = np.inf
        for _ in range(asked["repeat"]):
            begun = time.perf_counter()
            logs, probabilities = rank(wirings, find["places"], find["shown"])
            fastest = min(fastest, time.perf_counter() - begun)
        told.append({"seconds": fastest, "probabilities": probabilities.tolist(), "log_evidence": logs.tolist()})
    json.dump({"finds": told}, sys.stdout)


if __name__ == "__main__":
    main()
