"""Solves the networks of networks.json with numpy, written apart from the Rust solver, to be compared with it.

Road: admittances are stamped where an impedance is not nought, everything else gets a current as unknown; one dense
numpy.linalg.solve. Cores that bend are solved by prescribing their EMFs per turn and asking scipy for those at which
the ampere-turns fit, the sources raised from nought in steps. Meters are put into the network as elements.

    python solve_networks.py networks.json            prints a JSON list, one entry a network
    python solve_networks.py networks.json --time N   prints seconds of one build and solve of network N (the least of many)
"""

import os

for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[threads] = "1"

import cmath
import json
import math
import sys
import time

import numpy as np


class Network:
    """Stamps of one network. Rows of nodes: sum of currents leaving = injected. Other rows: one a voltage-defined branch."""

    def __init__(self, data, meter=None, dead=False):
        self.omega = 2 * math.pi * data["frequency"]
        self.cores = list(data.get("cores", {}))
        self.core_data = data.get("cores", {})
        self.node_number = {}
        self.branches = []  # (element, label, from, to, impedance, capacitor siemens or None, emf, core, turns, (low, high))
        self.dead = dead
        self.moved = {}
        self.order = []
        for element in data["elements"]:
            self.add(element, meter)
        if meter and "volts" in meter and meter["burden"]:
            a, b = meter["volts"]
            self.branch("meter", "meter", a, b, 1 / meter["burden"])
        if meter and "into" in meter and meter["burden"]:
            self.branch("meter", "meter", meter["at"], "behind the meter", meter["burden"])

    def node(self, name):
        return self.node_number.setdefault(name, len(self.node_number))

    def branch(self, element, label, a, b, z, siemens=None, emf=0, core=None, turns=0.0, span=(0.0, 1.0)):
        self.branches.append((element, label, self.node(a), self.node(b), z, siemens, emf, core, turns, span))

    def add(self, element, meter):
        kind = next(k for k in ("source", "impedance", "capacitor", "link", "winding") if k in element)
        name = element[kind]
        self.order.append(name)

        def at(node):
            if meter and "into" in meter and meter["burden"] and name in meter["into"] and node == meter["at"]:
                return "behind the meter"
            return node

        x = 1j if self.omega else 0
        if kind == "winding":
            spots = [(p, at(n)) for n, p in element["points"]]
            for k, s in enumerate(element.get("sliders", [])):
                spots.append((s["at"], f"contact {k} of {name}"))
            spots.sort(key=lambda s: s[0])
            z = element["ohms"] + x * element["reactance"]
            for (low, a), (high, b) in zip(spots, spots[1:]):
                share = high - low
                core = element["core"] if self.omega else None
                self.branch(name, "piece", a, b, z * share, core=core, turns=element["turns"] * share, span=(low, high))
            for k, s in enumerate(element.get("sliders", [])):
                self.branch(name, "slider", at(s["node"]), f"contact {k} of {name}", s["brush"])
            return
        a, b = at(element["from"]), at(element["to"])
        if kind == "link":
            self.branch(name, "whole", a, b, 0)
        elif kind == "capacitor":
            self.branch(name, "whole", a, b, None, siemens=1j * self.omega * element["farads"])
        else:
            emf = 0
            if kind == "source" and not self.dead:
                emf = cmath.rect(element["volts"], math.radians(element["angle"]))
            self.branch(name, "whole", a, b, element["ohms"] + x * element["reactance"], emf=emf)

    def islands(self):
        group = list(range(len(self.node_number)))
        changed = True
        while changed:
            changed = False
            for _, _, a, b, _, siemens, *_ in self.branches:
                if siemens is not None and not self.omega:
                    continue
                low = min(group[a], group[b])
                if group[a] != low or group[b] != low:
                    group[a] = group[b] = low
                    changed = True
        return group

    def build(self, prescribed=None, scale=1.0):
        """Matrix and right side; `prescribed`: EMFs per turn of the cores, then these are no unknowns."""
        nodes = len(self.node_number)
        stiff = [k for k, b in enumerate(self.branches) if b[5] is None and b[4] == 0]
        row_of = {k: nodes + i for i, k in enumerate(stiff)}
        cores = [] if (prescribed is not None or not self.omega) else self.cores
        core_row = {c: nodes + len(stiff) + i for i, c in enumerate(cores)}
        size = nodes + len(stiff) + len(cores)
        m = np.zeros((size, size), complex)
        r = np.zeros(size, complex)
        for k, (_, _, a, b, z, siemens, emf, core, turns, _) in enumerate(self.branches):
            # current a to b:  i = y (Va - Vb + emf - turns e), or for z = 0:  Va - Vb - turns e = -emf
            push = scale * emf
            if core is not None and prescribed is not None:
                push = push - turns * prescribed[core]
            if k in row_of:
                row = row_of[k]
                m[a, row] += 1
                m[b, row] -= 1
                m[row, a] += 1
                m[row, b] -= 1
                r[row] -= push
                if core in core_row:
                    m[row, core_row[core]] -= turns
                    m[core_row[core], row] += turns
                continue
            y = siemens if siemens is not None else 1 / z
            m[a, a] += y
            m[b, b] += y
            m[a, b] -= y
            m[b, a] -= y
            r[a] -= y * push
            r[b] += y * push
            if core in core_row:
                c = core_row[core]
                m[a, c] -= y * turns
                m[b, c] += y * turns
                m[c, a] += y * turns
                m[c, b] -= y * turns
                m[c, c] -= y * turns * turns
                r[c] -= turns * y * push
        for core, c in core_row.items():
            d = self.core_data[core]
            m[c, c] -= (d["g"] - 1j * d["b"]) * d["turns"] ** 2
        group = self.islands()
        for n in range(nodes):
            if group[n] == n:  # the first node of each island is its reference
                m[n, :] = 0
                m[:, n] = 0
                m[n, n] = 1
                r[n] = 0
        return m, r, row_of, core_row

    def currents(self, x, row_of, emf_of, scale=1.0):
        found = []
        for k, (_, _, a, b, z, siemens, emf, core, turns, _) in enumerate(self.branches):
            if k in row_of:
                found.append(x[row_of[k]])
                continue
            y = siemens if siemens is not None else 1 / z
            e = emf_of.get(core, 0) if core is not None else 0
            found.append(y * (x[a] - x[b] + scale * emf - turns * e))
        return np.array(found)

    def solve(self, inject=None):
        if self.omega and any("bend" in c for c in self.core_data.values()):
            return self.solve_bent()
        m, r, row_of, core_row = self.build()
        if inject:
            r[self.node(inject[0])] += 1
            r[self.node(inject[1])] -= 1
            for n, g in enumerate(self.islands()):
                if g == n:
                    r[n] = 0
        try:
            x = np.linalg.solve(m, r)
        except np.linalg.LinAlgError:
            x = np.linalg.lstsq(m, r, rcond=1e-13)[0]
        emf = {c: x[row] for c, row in core_row.items()}
        return x, self.currents(x, row_of, emf), emf

    def excitation(self, core, e):
        """Ampere-turns of a core. n² (g s^(w-2) - j b s^(p-1) sqrt((1 + (s/k)^24) / (1 + k^-24))) e, s softened at nought."""
        d = self.core_data[core]
        n = d["turns"]
        if "bend" not in d:
            return n * n * (d["g"] - 1j * d["b"]) * e
        bend = d["bend"]
        u = abs(n * e) / bend["volts"]
        s = math.sqrt((u * u + 1e-8) / (1 + 1e-8))
        k = bend["knee"]
        current = s ** (bend["current_exponent"] - 1) * math.sqrt((1 + (s / k) ** 24) / (1 + k**-24))
        watts = s ** (bend["watts_exponent"] - 2)
        return n * n * (d["g"] * watts - 1j * d["b"] * current) * e

    def solve_bent(self):
        """Prescribed EMFs; the ampere-turns then are linear in them, so the network is solved once for each core and once for the
        sources, and scipy finds the EMFs."""
        from scipy.optimize import root

        cores = self.cores
        unit = {c: 0.0 for c in cores}
        m, r, row_of, _ = self.build(prescribed=unit)
        inverse = np.linalg.inv(m)

        def turns_of(prescribed, scale):
            r = self.build(prescribed=prescribed, scale=scale)[1]
            x = inverse @ r
            i = self.currents(x, row_of, prescribed, scale)
            total = {c: 0 for c in cores}
            for k, b in enumerate(self.branches):
                if b[7] is not None:
                    total[b[7]] += b[8] * i[k]
            return np.array([total[c] for c in cores]), x, i

        base = turns_of(unit, 1.0)[0]
        slopes = np.array([turns_of({**unit, c: 1.0}, 0.0)[0] for c in cores]).T
        # scale: a core's EMF at rated volts (or 1 V), ampere-turns at the same
        size = np.array(
            [self.core_data[c]["bend"]["volts"] / abs(self.core_data[c]["turns"]) if "bend" in self.core_data[c] else 1.0 for c in cores]
        )

        def residual(v, scale):
            e = (v[0::2] + 1j * v[1::2]) * size
            f = np.array([self.excitation(c, x) for c, x in zip(cores, e)])
            # in volts per turn: solved for the EMF, which keeps all residuals of one size
            left = np.linalg.solve(slopes, f - scale * base) - e
            left = left / size
            return np.column_stack([left.real, left.imag]).ravel()

        v = np.zeros(2 * len(cores))
        for scale in list(np.linspace(0.05, 1.0, 40)) + [1.0, 1.0]:
            found = root(residual, v, args=(scale,), method="hybr", options={"xtol": 1e-13, "maxfev": 4000})
            v = found.x
        if np.max(np.abs(residual(v, 1.0))) > 1e-8:
            raise RuntimeError(f"did not settle: {np.max(np.abs(residual(v, 1.0)))}")
        e = (v[0::2] + 1j * v[1::2]) * size
        emf = dict(zip(cores, e))
        _, x, i = turns_of(emf, 1.0)
        return x, i, emf


def pair(z):
    z = complex(z)
    return [z.real, z.imag]


def answer(data, ask):
    """One question: volts with burden, amperes with burden, or ohms."""
    if "ohms" in ask:
        net = Network(data, dead=True)
        x, _, _ = net.solve(inject=ask["ohms"])
        a, b = (net.node(n) for n in ask["ohms"])
        return (x[a] - x[b]).real
    net = Network(data, meter=ask)
    x, i, _ = net.solve()
    if "volts" in ask:
        a, b = (net.node(n) for n in ask["volts"])
        return abs(x[a] - x[b])
    at = net.node("behind the meter" if ask["burden"] else ask["at"])
    total = 0
    for k, b in enumerate(net.branches):
        if b[0] in ask["into"]:
            total += (i[k] if b[2] == at else 0) - (i[k] if b[3] == at else 0)
    return abs(total)


def report(data):
    net = Network(data)
    x, i, emf = net.solve()
    currents = {name: {"pieces": [], "sliders": []} for name in net.order}
    for k, b in enumerate(net.branches):
        if b[1] == "slider":
            currents[b[0]]["sliders"].append(pair(i[k]))
        else:
            currents[b[0]]["pieces"].append({"from": b[9][0], "to": b[9][1], "amperes": pair(i[k])})
    return {
        "name": data["name"],
        "voltages": {n: pair(x[k]) for n, k in net.node_number.items() if not n.startswith("contact ")},
        "currents": currents,
        "emf_per_turn": {c: pair(e) for c, e in emf.items()},
        "answers": [answer(data, ask) for ask in data.get("ask", [])],
    }


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        networks = json.load(file)
    if len(sys.argv) > 3 and sys.argv[2] == "--time":
        data = next(n for n in networks if n["name"] == sys.argv[3])
        least = math.inf
        for _ in range(200):
            start = time.perf_counter()
            Network(data).solve()
            least = min(least, time.perf_counter() - start)
        print(least)
        return
    json.dump([report(n) for n in networks], sys.stdout)


if __name__ == "__main__":
    main()
