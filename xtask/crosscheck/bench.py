"""The peers of `cargo xtask bench`: the same inputs, by scipy and numpy. Reads the cases, writes seconds and results."""

import json
import statistics
import sys
import time

import numpy as np
from reference import followed
from scipy import optimize


# One exponential through the readings and when it reaches the low edge; no doubt, no lag, no "never".
def forecast(given):
    t, y = np.array(given["seconds"]), np.array(given["shown"])
    (start, end, tau), _ = exponential(t, y)
    return tau * np.log((end - start) / (end - given["low"]))


def exponential(t, y):
    def curve(t, start, end, tau):
        return end - (end - start) * np.exp(-t / tau)

    return optimize.curve_fit(curve, t, y, p0=[y[0], y[-1] + 20.0, 1000.0])


def rise(given):
    return exponential(np.array(given["seconds"]), np.array(given["shown"]))[0][2]


# The integration alone and one crossing.
def run_off(given):
    _, flow = followed(given, 600.0)
    return optimize.brentq(lambda t: flow(t) - 0.5, 1.0, 600.0)


def thrown(given):
    draws, n = np.random.default_rng(1), given["trials"]
    alpha = 0.6278 / draws.normal(*given["density15"], n)

    def factor(t):
        x = alpha * (t - 15.0)
        return np.exp(-x * (1 + 0.8 * x))

    at_reference = factor(given["reference"])
    found = draws.normal(*given["level"], n)
    for sign, litres, u, t, u_t in given["portions"]:
        found -= sign * draws.normal(litres, u, n) * factor(draws.normal(t, u_t, n)) / at_reference
    np.quantile(found, [0.025, 0.975])
    return 1000 * found.std(ddof=1)


# A covering integer programme, by the solver that scipy carries.
def covered(need, cans, shelf):
    prices = np.array([price for _, price in cans] + [0.0] * len(shelf))
    sizes = np.array([size for size, _ in cans] + list(shelf))
    upper = np.array([np.inf] * len(cans) + [1.0] * len(shelf))
    covers = optimize.LinearConstraint(sizes[np.newaxis, :], lb=need)
    return optimize.milp(prices, constraints=covers, integrality=np.ones(len(sizes)), bounds=optimize.Bounds(0, upper)).fun


def containers(given):
    return covered(given["need"], given["cans"], given["shelf"])


def plan(given):
    total, f, p = given["total"], given["fraction"], given["share"]
    alone = int(np.ceil(np.log(1 - p) / np.log(1 - f)))
    last = 1 - (1 - p) / (1 - f) ** (alone - 1)
    costs = [given["drain"] * alone + covered(total * (f * (alone - 1) + last), given["cans"], [])]
    for k in range(alone):
        fluid = total * (f * k + np.log((1 - f) ** k / (1 - p)))
        costs.append(given["drain"] * k + given["setup"] + covered(fluid, given["cans"], []))
    return min(costs)


RUNS = {forecast: 101, rise: 101, run_off: 21, thrown: 5, containers: 21, plan: 21}


def main():
    by_kind = {peer.__name__: (peer, runs) for peer, runs in RUNS.items()}
    answers = []
    for case in json.load(sys.stdin):
        peer, runs = by_kind[case["kind"]]
        result = peer(case["input"])
        seconds = []
        for _ in range(runs):
            start = time.perf_counter()
            result = peer(case["input"])
            seconds.append(time.perf_counter() - start)
        answers.append({"seconds": statistics.median(seconds), "result": float(result)})
    json.dump(answers, sys.stdout)


if __name__ == "__main__":
    main()
