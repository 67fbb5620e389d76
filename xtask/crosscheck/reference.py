"""Reference values for `cargo xtask crosscheck`, by independent libraries or by the equations written anew.

Reads the cases on standard input (kind, name, input), writes for each what the reference is called and its values.
Nothing of our own results is looked at here.
"""

import json
import math
import sys
import warnings
from importlib.metadata import version

import numpy as np
from scipy import integrate, optimize, stats

G = 9.80665


def libraries(*names):
    return ", ".join(f"{name} {version(name)}" for name in names)


# No library on the registry has this edition of the volume correction: the equation again, with numpy.
def ctl(given):
    alpha = np.float64(0.6278) / given["density15"]
    x = alpha * (given["t"] - 15.0)
    return {"alpha": alpha, "CTL": np.exp(-x - 0.8 * x**2)}


def viscosity_index(given):
    from chemicals import viscosity_index as index

    mm2 = 1e-6
    return {"index": index(given["kv40"] * mm2, given["kv100"] * mm2)}


# The straight line by least squares through both points; the way back by root finding, not by the published inverse.
def viscosity_line(given):
    def height(v):
        return np.log10(np.log10(v + 0.7 + np.exp(-1.47 - 1.84 * v - 0.51 * v * v)))

    kelvin = np.log10(np.array([40.0, 100.0]) + 273.15)
    slope, intercept = np.polyfit(kelvin, height(np.array([given["kv40"], given["kv100"]])), 1)
    wanted = intercept + slope * np.log10(given["t"] + 273.15)
    v = optimize.brentq(lambda v: height(v) - wanted, 0.5, 1e6, xtol=1e-12, rtol=1e-14)
    return {"A": intercept, "B": -slope, "viscosity": v}


def ciede2000(given):
    import colour

    return {"ΔE₀₀": colour.delta_E(given["one"], given["two"], method="CIE 2000")}


def lab(given):
    import colour

    xyz = colour.sRGB_to_XYZ(np.array(given["levels"]) / 255.0)
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    return dict(zip("Lab", colour.XYZ_to_Lab(xyz, white)))


# Two lumped bodies in a row, integrated; without lag the first jumps.
def warm_up(given):
    start, end, tau, lag = given["start"], given["end"], given["tau"], given["lag"]

    def rate(_, y):
        source = y[0] if lag > 0 else end
        return [(end - y[0]) / lag if lag > 0 else 0.0, (source - y[1]) / tau]

    def reached(_, y):
        return y[1] - given["target"]

    tight = {"rtol": 1e-11, "atol": 1e-12, "method": "DOP853"}
    run = integrate.solve_ivp(rate, (0.0, 40.0 * tau), [start, start], events=reached, dense_output=True, **tight)
    at = {f"T({t} min)": run.sol(float(t))[1] for t in (5, 10, 20)}
    return at | {"minutes to target": run.t_events[0][0]}


# Full-width rating formula of a thin weir far above the floor, on the unrolled rim.
def weir(given):
    from fluids.open_flow import Q_weir_rectangular_full_Rehbock as rating

    return {"flow": 1e6 * rating(given["head"] / 1000, 1e6, math.pi * given["bore"] / 1000)}


def orifice(given):
    from fluids.flow_meter import flow_meter_discharge

    bore, rho = given["bore"] / 1000, 830.0
    pressure = rho * G * given["head"] / 1000
    kilograms = flow_meter_discharge(D=1000 * bore, Do=bore, P1=1e5 + pressure, P2=1e5, rho=rho, C=0.6)
    return {"flow": 1e6 * kilograms / rho}


# Energy balance with the library's friction factor, solved for the speed.
def full_pipe(given):
    import fluids

    bore, length, nu = given["bore"] / 1000, given["length"] / 1000, given["nu"] / 1e6
    head = given["head"] / 1000 + length

    def surplus(v):
        friction = fluids.friction.friction_laminar(v * bore / nu)
        return G * head - (2.0 + 0.5 + friction * length / bore) * v * v / 2

    v = optimize.brentq(surplus, 1e-9, 100.0, xtol=1e-14, rtol=1e-14)
    return {"flow": 1e6 * v * math.pi * bore**2 / 4}


# The same balance with the library's friction of a smooth pipe.
def pump(given):
    import fluids

    bore, length, nu = given["bore"] / 1000, given["length"] / 1000, given["nu"] / 1e6
    drive = 1000 * given["pressure"] / given["density"] - G * given["lift"] / 1000

    def surplus(v):
        friction = fluids.friction_factor(Re=v * bore / nu, eD=0)
        return drive - (1.5 + friction * length / bore) * v * v / 2

    v = optimize.brentq(surplus, 1e-9, 100.0)
    return {"flow": 1e6 * v * math.pi * bore**2 / 4}


# Each tank with its own balance, all of them as one linear system.
def flow_through(given):
    from scipy import linalg

    n = given["tanks"]
    turns = n * (np.eye(n, k=-1) - np.eye(n))
    return {"new": 1.0 - (linalg.expm(turns * given["ratio"]) @ np.ones(n)).mean()}


def containers(given):
    from bench import covered

    return {"cost": covered(given["need"], given["cans"], given["shelf"])}


def rim_flow(h, bore, nu):
    """Blend of weir, film and orifice, m³/s."""
    if h <= 1e-12:
        return 0.0
    weir_flow = 2 / 3 * 0.61 * math.sqrt(2 * G) * math.pi * bore * h**1.5
    film = math.pi * bore * G * h**3 / (3 * nu)
    mouth = 0.60 * math.pi * bore**2 / 4 * math.sqrt(2 * G * h)
    return ((weir_flow**-2 + film**-2) ** 2 + mouth**-4) ** -0.25


def followed(given, seconds=3600.0):
    area, bore, nu = given["area"], given["bore"] / 1000, given["nu"] / 1e6
    swelling = 7.5e-4 * 8e-3 * given["rate"] / 60

    def rate(t, y):
        out = rim_flow(y[0], bore, nu)
        return [(swelling + given["back"] * 1e-6 / 300 * math.exp(-t / 300) - out) / area, out]

    begin = [given["litres"] / 1000 / area, 0.0]
    tight = {"method": "LSODA", "rtol": 1e-9, "atol": 1e-13}
    run = integrate.solve_ivp(rate, (0.0, seconds), begin, dense_output=True, **tight)
    return run, lambda t: 1e6 * rim_flow(run.sol(t)[0], bore, nu)


def run_off(given):
    run, flow = followed(given)

    def below(limit):
        times = np.linspace(0.0, 3600.0, 7201)
        above = np.flatnonzero(np.array([flow(t) for t in times]) >= limit)
        if len(above) == 0:
            return 0.0
        if above[-1] == len(times) - 1:
            return None
        return optimize.brentq(lambda t: flow(t) - limit, times[above[-1]], times[above[-1] + 1])

    return {
        "s to thin stream": below(2.0),
        "s to drops": below(0.5),
        "mL in 20 s": 1e6 * run.sol(20.0)[1],
        "mL in 60 s": 1e6 * run.sol(60.0)[1],
    }


def ledger(given):
    from uncertainties import ufloat, umath

    density = ufloat(*given["density15"])
    alpha = 0.6278 / density

    def factor(t):
        x = alpha * (t - 15.0)
        return umath.exp(-x * (1 + 0.8 * x))

    shared = ufloat(0.0, 1.0)
    gained = 0.0
    for sign, litres, u, t, u_t in given["portions"]:
        error = shared if given["one_thermometer"] else ufloat(0.0, 1.0)
        gained += sign * ufloat(litres, u) * factor(t + u_t * error) / factor(given["reference"])
    found = ufloat(*given["level"]) - gained
    return {
        "as found, mL": 1000 * found.nominal_value,
        "u, mL": 1000 * found.std_dev,
        "net u, mL": 1000 * gained.std_dev,
    }


# Two amounts from few readings each: the distribution of the sum by integration, not by chance.
def thrown(given):
    first, second = given["dof"]
    weight, other = np.array(given["u"]) / np.hypot(*given["u"])

    def below(x):
        inner = lambda share: stats.t.cdf((x - weight * stats.t.ppf(share, first)) / other, second)
        return integrate.quad(inner, 0.0, 1.0, epsabs=1e-9, limit=500)[0]

    return {"half": optimize.brentq(lambda x: below(x) - 0.975, 0.0, 100.0, xtol=1e-7)}


def coverage_factor(given):
    return {"k": stats.t.ppf(0.5 + given["p"] / 2, math.floor(given["dof"]))}


def ratio_of_cubics(x, b):
    return np.polyval(b[3::-1], x) / (1 + x * np.polyval(b[:3:-1], x))


CURVES = {
    "Misra1a": lambda x, b: b[0] * (1 - np.exp(-b[1] * x)),
    "BoxBOD": lambda x, b: b[0] * (1 - np.exp(-b[1] * x)),
    "Misra1b": lambda x, b: b[0] * (1 - (1 + b[1] * x / 2) ** -2),
    "Chwirut2": lambda x, b: np.exp(-b[0] * x) / (b[1] + b[2] * x),
    "Thurber": ratio_of_cubics,
    "Hahn1": ratio_of_cubics,
    "MGH09": lambda x, b: b[0] * (x**2 + x * b[1]) / (x**2 + x * b[2] + b[3]),
    "Rat42": lambda x, b: b[0] / (1 + np.exp(b[1] - b[2] * x)),
    "Rat43": lambda x, b: b[0] / (1 + np.exp(b[1] - b[2] * x)) ** (1 / b[3]),
    "Eckerle4": lambda x, b: b[0] / b[1] * np.exp(-0.5 * ((x - b[2]) / b[1]) ** 2),
}


def fitted(given):
    x, y, start = (np.array(given[key]) for key in ("x", "y", "start"))
    curve = CURVES[given["set"]]

    # Complex steps give slopes without loss of digits.
    def slopes(b):
        steps = 1e-30j * np.eye(len(b))
        return np.array([curve(x, b + step).imag / 1e-30 for step in steps]).T

    limits = {"xtol": 1e-15, "ftol": 1e-15, "gtol": 1e-15, "max_nfev": 5000}
    found = optimize.least_squares(lambda b: curve(x, b) - y, start, slopes, method="lm", x_scale="jac", **limits)
    size = np.linalg.norm(found.jac, axis=0)
    r = np.linalg.qr(found.jac / size, mode="r")
    spread = np.linalg.norm(np.linalg.inv(r), axis=1) / size
    return found.x, spread * np.sqrt(2 * found.cost / (len(y) - len(start)))


def fit_parameters(given):
    return {f"b{j + 1}": b for j, b in enumerate(fitted(given)[0])}


def fit_deviations(given):
    return {f"u{j + 1}": u for j, u in enumerate(fitted(given)[1])}


def fit_certified(given):
    return {"last b": given["b"][-1], "u of it": given["u"][-1], "sum of squares": given["sum"]}


REFERENCES = {
    ctl: "equation again, numpy",
    viscosity_index: "chemicals",
    viscosity_line: "equation again, numpy and scipy",
    ciede2000: "colour-science",
    lab: "colour-science",
    warm_up: "integrated, scipy",
    weir: "fluids",
    orifice: "fluids",
    full_pipe: "fluids and scipy",
    pump: "fluids and scipy",
    flow_through: "scipy",
    containers: "milp, scipy",
    run_off: "LSODA, scipy",
    ledger: "uncertainties",
    thrown: "integrated, scipy",
    coverage_factor: "scipy",
    fit_parameters: "scipy",
    fit_deviations: "scipy",
    fit_certified: "NIST StRD, certified",
}
KNOWN = ["numpy", "scipy", "chemicals", "fluids", "uncertainties", "colour-science"]


def named(text):
    for name in KNOWN:
        text = text.replace(name, libraries(name))
    return text


def number(value):
    return None if value is None else float(value)


def main():
    # One library warns about drawing, which is not used.
    warnings.filterwarnings("ignore", message=".*Matplotlib.*")
    by_kind = {reference.__name__: (reference, named(text)) for reference, text in REFERENCES.items()}
    answers = []
    for case in json.load(sys.stdin):
        reference, name = by_kind[case["kind"]]
        values = {key: number(value) for key, value in reference(case["input"]).items()}
        answers.append({"by": name, "values": values})
    json.dump(answers, sys.stdout)


if __name__ == "__main__":
    main()
