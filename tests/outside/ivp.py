#!/usr/bin/env python3
"""Integrates the circuits of ivp.json with scipy's solve_ivp, in its own way.

Halfrow writes each stage of TR-BDF2 as one nodal circuit; here the capacitors' voltages and the coils'
currents are the unknowns of ordinary differential equations. At each moment the nodes' voltages follow
from them by Newton's method, a junction behind its resistance by Wright's omega function, and Radau IIA of
fifth order (Hairer and Wanner) takes the steps at a relative tolerance of 1e-10. Each time at which the
circuits are compared ends a call, since Radau is less accurate between its steps than at their ends.

`ivp.py --write` writes golden/ivp-*.json, `ivp.py --check` compares. Run dump_ivp into ivp.json first.
"""

import json
import math
import pathlib
import sys

import numpy as np
from scipy.integrate import solve_ivp
from scipy.special import wrightomega

HERE = pathlib.Path(__file__).parent
LEAK = 1e-12
RTOL = 1e-10
# Volts of a capacitor, amperes of a coil. Radau wants its stages some ten thousand times closer than these,
# which is as close as rounding lets them come.
ATOL = {"capacitance": 1e-9, "inductance": 1e-11}
# The 555: half of its comparators' hysteresis, volts, and its delay, seconds.
HALF, DELAY = 5e-4, 1e-7


def junction(law, v):
    """Current and slope of a junction with its series resistance: i·R + n·ln(1 + i/I) = v."""
    i0, n, r = law["saturation_amps"], law["emission_volts"], law["series_ohms"]
    w = float(wrightomega((v + r * i0) / n + math.log(i0) + math.log(r / n)).real)
    return n / r * w - i0 + LEAK * v, w / (1 + w) / r + LEAK


def charge(law, v):
    """ln²(1 + e^(v / 2u)) and its slope."""
    x = (v - law["threshold_volts"]) / (2 * law["slope_volts"])
    log = float(np.logaddexp(0.0, x))
    share = math.exp(min(0.0, x)) / (math.exp(min(0.0, x)) + math.exp(-max(0.0, x)))
    return log * log, log * share / law["slope_volts"]


class Circuit:
    """The elements of one state."""

    def __init__(self, nodes, reference, elements):
        self.nodes, self.reference = nodes, reference
        self.curved, self.waves, self.stores = [], [], []
        self.siemens, self.fixed = np.zeros((nodes, nodes)), np.zeros(nodes)
        for element in elements:
            a, b = element["a"], element["b"]
            (kind, law), = element["law"].items()
            if kind in ("capacitance", "inductance"):
                self.stores.append((kind, a, b, law))
            if kind in ("junction", "channel"):
                self.curved.append((kind, a, b, law))
            if kind == "inductance":
                continue
            g = LEAK if kind == "open" else 0.0 if kind in ("junction", "channel") else 1 / law["ohms"]
            for i, j, sign in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
                self.siemens[i, j] += sign * g
            if kind == "source":
                self.fixed[a] -= g * law["volts"]
                self.fixed[b] += g * law["volts"]
            if kind == "sine":
                self.waves.append((a, b, law))
        # What flows into the nodes' equations by each state.
        self.by_state = np.zeros((nodes, len(self.stores)))
        for k, (kind, a, b, law) in enumerate(self.stores):
            flow = 1.0 if kind == "inductance" else -1 / law["ohms"]
            self.by_state[a, k] += flow
            self.by_state[b, k] -= flow
        self.by_state[reference, :] = 0.0
        self.volts = np.zeros(nodes)
        self.slopes = None

    def left_over(self, t, fixed, v):
        """Current that leaves each node, and its slopes."""
        f, j = self.siemens @ v + fixed, self.siemens.copy()
        for kind, a, b, law in self.curved:
            if kind == "junction":
                i, g = junction(law, v[a] - v[b])
                terms = ((a, g), (b, -g))
            else:
                gate = law["gate"]
                unit = 2 * law["amps_per_volt2"] * law["slope_volts"] ** 2
                (s, by_s), (d, by_d) = charge(law, v[gate] - v[b]), charge(law, v[gate] - v[a])
                i = unit * (s - d)
                terms = ((a, unit * by_d), (b, -unit * by_s), (gate, unit * (by_s - by_d)))
            f[a] += i
            f[b] -= i
            for node, g in terms:
                j[a, node] += g
                j[b, node] -= g
        f[self.reference] = v[self.reference]
        j[self.reference, :] = 0.0
        j[self.reference, self.reference] = 1.0
        return f, j

    def solve(self, t, x):
        """The nodes' voltages."""
        fixed = self.fixed + self.by_state @ x
        for a, b, law in self.waves:
            volts = law["offset"] + law["amplitude"] * math.sin(2 * math.pi * law["hertz"] * t)
            fixed[a] -= volts / law["ohms"]
            fixed[b] += volts / law["ohms"]
        v = self.volts.copy()
        f, j = self.left_over(t, fixed, v)
        small = 0
        for _ in range(200):
            step = np.linalg.solve(j, -f)
            share = 1.0
            while True:
                trial = v + share * step
                new_f, new_j = self.left_over(t, fixed, trial)
                if share < 1e-6 or np.abs(new_f).max() <= np.abs(f).max() + 1e-13:
                    break
                share *= 0.5
            v, f, j = trial, new_f, new_j
            # A node that only leaks of a picosiemens tie has few digits, and needs none.
            small = small + 1 if share * np.abs(step).max() < 1e-9 or np.abs(f).max() < 2e-13 else 0
            if small >= 2:
                break
        else:
            raise RuntimeError(f"no voltages at {t}: {np.abs(f).max()}")
        self.volts, self.slopes = v, j
        return v

    def rates(self, t, x):
        v = self.solve(t, x)
        out = np.empty(len(x))
        for k, (kind, a, b, law) in enumerate(self.stores):
            if kind == "capacitance":
                out[k] = (v[a] - v[b] - x[k]) / law["ohms"] / law["farads"]
            else:
                out[k] = (v[a] - v[b] - law["ohms"] * x[k]) / law["henries"]
        return out

    def jacobian(self, t, x):
        self.solve(t, x)
        by = np.linalg.solve(self.slopes, -self.by_state)
        out = np.empty((len(x), len(x)))
        for k, (kind, a, b, law) in enumerate(self.stores):
            own, scale = (1.0, law["ohms"] * law["farads"]) if kind == "capacitance" else (law["ohms"], law["henries"])
            row = by[a] - by[b]
            row[k] -= own
            out[k] = row / scale
        return out

    def go(self, start, end, x):
        """The states at the end."""
        if end <= start:
            return x
        got = solve_ivp(self.rates, (start, end), x, method="Radau", rtol=RTOL, atol=[ATOL[store[0]] for store in self.stores], jac=self.jacobian)
        if not got.success:
            raise RuntimeError(got.message)
        return got.y[:, -1]


def timer_event(circuit, law, low, start, end, x):
    """The first moment up to `end` at which a 555's comparator tips, by secants; None if it doesn't."""
    def off(t, x):
        v = circuit.solve(t, x)
        return v[law["trigger"]] - v[law["third"]] + HALF if low else HALF - v[law["threshold"]] + v[law["control"]]

    if off(start, x) <= 0:
        raise RuntimeError("it has tipped already")
    there = circuit.go(start, end, x)
    if off(end, there) > 0:
        return None, there
    (t0, f0), (t1, f1) = (start, off(start, x)), (end, off(end, there))
    for _ in range(60):
        t = t1 - f1 * (t1 - t0) / (f1 - f0)
        if not start < t < end:
            t = 0.5 * (start + end)
        there = circuit.go(start, t, x)
        f = off(t, there)
        (t0, f0), (t1, f1) = (t1, f1), (t, f)
        if abs(f) < 1e-11 or abs(t1 - t0) < 1e-15:
            return t, there
    raise RuntimeError("no moment found")


def integrate(case):
    states = [Circuit(case["nodes"], case["reference"], elements) for elements in case["states"]]
    circuit, x, now = states[0], np.zeros(len(states[0].stores)), 0.0
    switch, volts = case["switch"] or {}, []
    square, timer = switch.get("square"), switch.get("timer")
    # When the next change of laws is due, and to which state.
    due, to = (square["half"], 1) if square else (DELAY, 1) if timer else (math.inf, 0)
    for time in case["times"]:
        while True:
            end = min(time, due)
            if timer and due == math.inf:
                tips, there = timer_event(circuit, timer, circuit is states[2], now, end, x)
                if tips is not None:
                    now, x, due = tips, there, tips + DELAY
                    to = 1 if circuit is states[2] else 2
                    continue
                now, x = end, there
            else:
                now, x = end, circuit.go(now, end, x)
            if now < due:
                break
            states[to].volts = circuit.volts
            circuit = states[to]
            due, to = (due + square["half"], 1 - to) if square else (math.inf, 0)
        volts.append([float(v) for v in circuit.solve(now, x)])
    return volts


def main():
    cases = json.loads((HERE / "ivp.json").read_text())
    differs = []
    only = [word for word in sys.argv[1:] if not word.startswith("--")]
    for name, case in cases.items():
        if only and name not in only:
            continue
        volts = integrate(case)
        path = HERE / "golden" / f"ivp-{name}.json"
        if "--write" in sys.argv:
            rows = ",\n ".join(json.dumps([float(f"{v:.12g}") for v in row]) for row in volts)
            path.write_text('{"volts": [\n ' + rows + "\n]}\n")
            print(f"{name}: written")
            continue
        golden = np.array(json.loads(path.read_text())["volts"])
        off = np.abs(golden - np.array(volts)).max()
        print(f"{name}: {off:.2e} V from what is kept")
        # Another scipy takes other steps.
        if off > 1e-6:
            differs.append(name)
    sys.exit(1 if differs else 0)


if __name__ == "__main__":
    main()
