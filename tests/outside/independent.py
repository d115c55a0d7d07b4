#!/usr/bin/env python3
"""Solves the circuits of independent.json with numpy and scipy, in its own way.

Halfrow takes nodes away one after the other and finds a junction's voltage by Newton's method; here
the nodal equations are a dense matrix, a junction behind its resistance is Wright's omega function
(the logarithm's way of writing Lambert's W), and steps are cut until the currents left over shrink.

    independent.py --write    writes golden/*.json
    independent.py --check    solves again and compares with golden/*.json; exit status 1 if they differ
"""

import json
import pathlib
import sys

import numpy as np
from scipy.optimize import root
from scipy.special import wrightomega

HERE = pathlib.Path(__file__).resolve().parent
LEAK = 1e-12  # siemens beside each junction
BLEEDER = 2000.0  # ohms against what is pushed back into a limited source
TILT = 1e-4  # share of the limit more for each volt beyond the source's own drop


def junction(volts, saturation_amps, emission_volts, series_ohms):
    """Current; the leak is across the terminals, which differs by less than 1e-12 of the current."""
    i_s, n, r = saturation_amps, emission_volts, series_ohms
    at_zero = i_s * r / n
    w = wrightomega(np.log(at_zero) + (volts + i_s * r) / n).real
    # Up to a thousand saturation currents the difference below loses digits, and the resistance
    # drops nothing: the plain law.
    amps = n / r * (w - at_zero) if w > 1e3 * at_zero else i_s * np.expm1(volts / n)
    return amps + LEAK * (volts - r * amps)


def limited(volts, open_volts, ohms, limit):
    drop = open_volts - volts
    wide, narrow = 1e-3 * limit, 1e-5 * limit
    x = drop / ohms
    # The smaller root of (y - x)(y - limit) = wide^2, by the quotient that does not cancel.
    half, root_ = (x + limit) / 2, np.hypot((x - limit) / 2, wide)
    lesser = half - root_ if half < 0 else (x * limit - wide**2) / (half + root_)
    given = (lesser + np.hypot(lesser, narrow) - narrow) / 2
    return -(given + (lesser - given) * ohms / BLEEDER + TILT * limit * (drop - lesser * ohms))


def law(element):
    if "resistance" in element:
        ohms = element["resistance"]["ohms"]
        return lambda v: v / ohms
    if "source" in element:
        it = element["source"]
        return lambda v: (v - it["volts"]) / it["ohms"]
    if "limited" in element:
        it = element["limited"]
        return lambda v: limited(v, it["volts"], it["ohms"], it["limit_amps"])
    return lambda v: junction(v, **element["junction"])


def slope(flow, volts):
    h = 1e-6
    return max((flow(volts + h) - flow(volts - h)) / (2 * h), LEAK)


def solve(circuit):
    nodes = circuit["nodes"]
    free = [n for n in range(nodes) if n not in circuit["references"]]
    a = np.array([e["a"] for e in circuit["elements"]])
    b = np.array([e["b"] for e in circuit["elements"]])
    laws = [law(e) for e in circuit["elements"]]
    # Rows: nodes; columns: elements; +1 where a current leaves.
    incidence = np.zeros((nodes, len(laws)))
    for k in range(len(laws)):
        incidence[a[k], k] += 1
        incidence[b[k], k] -= 1
    incidence = incidence[free]

    def amps(x):
        volts = np.zeros(nodes)
        volts[free] = x
        return np.array([flow(v) for flow, v in zip(laws, volts[a] - volts[b])])

    def left_over(x):
        return incidence @ amps(x)

    def jacobian(x):
        volts = np.zeros(nodes)
        volts[free] = x
        slopes = np.array([slope(flow, v) for flow, v in zip(laws, volts[a] - volts[b])])
        return incidence @ (slopes[:, None] * incidence.T)

    x = np.zeros(len(free))
    for _ in range(500):
        f = left_over(x)
        step = np.linalg.lstsq(jacobian(x), -f, rcond=1e-18)[0]
        length = 1.0
        while length > 1e-9 and np.linalg.norm(left_over(x + length * step)) >= np.linalg.norm(f):
            length /= 2
        if np.abs(length * step).max(initial=0) < 1e-13 or length <= 1e-9:
            break
        x = x + length * step
    polished = root(left_over, x, jac=jacobian, method="hybr", tol=1e-14)
    if np.abs(polished.fun).max(initial=0) <= np.abs(left_over(x)).max(initial=0):
        x = polished.x
    worst = np.abs(left_over(x)).max(initial=0)
    if worst > 1e-10 + 1e-9 * np.abs(amps(x)).max(initial=0):
        raise SystemExit(f"did not settle: {worst} A left over")
    volts = np.zeros(nodes)
    volts[free] = x
    return {"node_volts": volts.tolist(), "element_amps": amps(x).tolist()}


def main():
    mode = sys.argv[1] if len(sys.argv) == 2 else ""
    if mode not in ("--write", "--check"):
        raise SystemExit(__doc__)
    circuits = json.loads((HERE / "independent.json").read_text())
    differs = []
    for name, circuit in circuits.items():
        answer = solve(circuit)
        path = HERE / "golden" / f"{name}.json"
        if mode == "--write":
            path.write_text(json.dumps(answer, indent=1) + "\n")
            continue
        golden = json.loads(path.read_text())["element_amps"]
        for k, (is_, was) in enumerate(zip(answer["element_amps"], golden, strict=True)):
            if abs(is_ - was) > 1e-9 + 1e-7 * abs(was):
                differs.append(f"{name} element {k}: {is_} A, golden {was} A")
    print("\n".join(differs) or f"{len(circuits)} circuits: {mode[2:]} done")
    sys.exit(1 if differs else 0)


if __name__ == "__main__":
    main()
