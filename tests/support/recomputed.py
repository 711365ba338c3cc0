"""What the text of `isothrust explain` says, worked out once more: our own arithmetic, with nothing of the package.

Formulas of rotors as they stand in any textbook (CT = T/(rho n^2 D^4), FM = T^1.5/(sqrt(2 rho A) P), …); the budget by
JCGM 100:2008, 5.1.2, 5.2.2 and G.4.1, G.4.2; Student's factor from scipy.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

import numpy as np
from scipy import stats

from support.budget_lines import by_key, key_of, lines_of, spread
from support.explained import NUMBER, Run, Table, Told, Working, first_table, last_number, tables

GF: Final = 0.00980665
"""Newtons in a gram-force: the standard acceleration of free fall, exact (CGPM 1901)."""
RPM: Final = 2.0 * math.pi / 60.0
SOUND: Final = math.sqrt(1.4 * 287.05287 * 288.15)
"""Speed of sound in standard air at sea level [m/s], ISO 2533:1975, equation (18)."""
ANSWER: Final = 6
"""Significant digits of what the text arrives at."""
WORKING: Final = 8
"""Significant digits to which what it goes on working with closes."""

Values = Mapping[str, float]


def agree(ours: float, shown: float, digits: int = ANSWER) -> None:
    """Hold a shown number to its last digit; a half of it is lost in the rounding."""
    if math.isinf(shown) or shown == 0.0:
        assert ours == shown or abs(ours) < 1e-12, f"{ours} is not {shown}"
        return
    last = 10.0 ** (math.floor(math.log10(abs(shown))) - digits + 1)
    assert abs(ours - shown) <= 0.6 * last, f"{ours:.12g} is not {shown:.12g} to {digits} digits"


# The figure from omega, D, rho0 and the curves at omega; formulas start from loads, not from a line of the text.


def _loads(v: Values) -> dict[str, float]:
    w = v["omega"]
    out = {"n": w / (2.0 * math.pi)}
    if "y_T" in v:
        out["T"] = v["rho0"] * v["y_T"] * w**2
    if "y_Q" in v:
        out["Q"] = v["rho0"] * v["y_Q"] * w**2
        out["P"] = out["Q"] * w
    if "y_P" in v:
        out["E"] = v["rho0"] * v["y_P"] * w**3
    return {**v, **out}


def _area(v: Values) -> float:
    return math.pi * v["D"] ** 2 / 4.0


SHOWN: Final[Mapping[str, Callable[[Values], float]]] = MappingProxyType(
    {
        "speed": lambda v: v["omega"] / RPM,
        "thrust": lambda v: v["T"] / GF,
        "torque": lambda v: v["Q"],
        "shaft-power": lambda v: v["P"],
        "electrical-power": lambda v: v["E"],
        "current": lambda v: v["y_I"] * v["omega"] ** 2,
        "throttle": lambda v: 100.0 * v["y_D"],
        "shaft-efficiency": lambda v: v["T"] / GF / v["P"],
        "electrical-efficiency": lambda v: v["T"] / GF / v["E"],
        "drive-efficiency": lambda v: 100.0 * v["P"] / v["E"],
        "thrust-coefficient": lambda v: v["T"] / (v["rho0"] * v["n"] ** 2 * v["D"] ** 4),
        "power-coefficient": lambda v: v["P"] / (v["rho0"] * v["n"] ** 3 * v["D"] ** 5),
        "figure-of-merit": lambda v: v["T"] ** 1.5 / math.sqrt(2.0 * v["rho0"] * _area(v)) / v["P"],
        "inflow-ratio": lambda v: math.sqrt(v["T"] / (2.0 * v["rho0"] * _area(v))) / (v["omega"] * v["D"] / 2.0),
        "tip-mach": lambda v: v["omega"] * v["D"] / 2.0 / SOUND,
    }
)
OVER_ROOT_THRUST: Final[Mapping[str, Callable[[Values], float]]] = MappingProxyType(
    {
        "electrical-power": lambda v: v["y_P"] * v["T"] ** 1.5,
        "electrical-efficiency": lambda v: v["T"] / GF / (v["y_P"] * v["T"] ** 1.5),
        "current": lambda v: v["y_I"] * v["T"],
        "throttle": lambda v: 100.0 * v["y_D"],
    }
)


def figure_of_run(told: Told, working: Working, measurand: str) -> float:
    """A run's figure [shown unit] from the coefficients of its curves."""
    asked = told.sections["What was asked"]
    over_thrust = "the curves run over x = sqrt(T)" in working.text
    values: dict[str, float] = {"rho0": last_number(asked, "rho0")}
    if over_thrust:
        values["T"] = condition(told)
        x = math.sqrt(values["T"])
    else:
        values["omega"] = x = found(working.text, rf"omega = .*?({NUMBER}) rad/s")
    diameter = re.search(rf"diameter D = ({NUMBER}) m", asked)
    if diameter is not None:
        values["D"] = float(diameter[1])
    for name, piece in working.pieces.items():
        t = (x - piece.left) / piece.width
        assert -1e-9 <= t <= 1.0 + 1e-9, f"{name}: the condition does not lie in the piece"
        assert abs(t - piece.t) < 1e-6
        values[name] = float(np.polynomial.polynomial.polyval(t, piece.coefficients))
        agree(values[name], piece.value, WORKING)
    if over_thrust:
        return OVER_ROOT_THRUST[measurand](values)
    if not re.search(r"condition: (thrust|speed) = ", asked):
        raise AssertionError("a figure of a whole run has no formula")
    loads = _loads(values)
    if "condition: thrust" in asked:
        agree(loads["T"], condition(told), WORKING - 1)
    else:
        agree(values["omega"], condition(told), WORKING)
    return SHOWN[measurand](loads)


def condition(told: Told) -> float:
    """The condition in SI."""
    return found(told.sections["What was asked"], rf"condition: \w+ = .* = ({NUMBER}) (?:N|rad/s)")


def found(text: str, pattern: str) -> float:
    match = re.search(pattern, text)
    assert match is not None, f"nothing fits {pattern}"
    return float(match[1])


def shown_figure(working: Working, measurand: str) -> float:
    """The run's figure in the shown unit, as its last line has it."""
    return working.number(measurand)


def check_run(told: Told, run: Run, measurand: str) -> float:
    """Recompute one run's figure, its budget and its own u; return the figure as it is shown."""
    (working,) = run.workings.values()
    shown = shown_figure(working, measurand)
    if "condition:" in told.sections["What was asked"]:
        agree(figure_of_run(told, working, measurand), shown, WORKING - 1)
    check_arithmetic(working.text)
    lines = lines_of(working.budget)
    if working.budget is not None and working.pieces:
        check_contributions(working, shown)
    own = math.sqrt(sum(c**2 for source, c, _ in lines if key_of(source).startswith("run ")))
    if lines:
        agree(own, last_number(working.text, "own u"))
    return shown


def check_contributions(working: Working, figure: float) -> None:
    """Each line from what it does to the curves, and what the curves do to the figure, both to six digits."""
    assert working.budget is not None
    symbols = list(working.pieces)
    for row, (source, contribution, dof) in enumerate(lines_of(working.budget)):
        parts = [
            working.pieces[name].share * float(working.budget.column(f"{name} [%]")[row] or 0.0) / 100.0 * figure
            for name in symbols
        ]
        noise = key_of(source).endswith(" noise")
        ours = math.sqrt(sum(part**2 for part in parts)) if noise else sum(parts)
        room = 1.2e-5 * sum(abs(part) for part in parts) + 1e-7 * abs(contribution)
        assert abs(ours - contribution) <= room, f"{source}: {ours} is not {contribution}"
        if noise:
            for name in symbols:
                piece = working.pieces[name]
                agree(100.0 * piece.u_noise / piece.value, float(working.budget.column(f"{name} [%]")[row]), 5)
            below = sum(part**4 / working.pieces[name].freedom for name, part in zip(symbols, parts, strict=True))
            agree(sum(part**2 for part in parts) ** 2 / below, dof, 4)


def check_arithmetic(text: str) -> None:
    """Every line of numbers gives what it says: '= 1.225 * 2.5e-06 * 1270^2 = 4.9 N'."""
    joined = re.sub(r"\n +=", " =", text)
    for line in joined.splitlines():
        parts = [part.strip() for part in line.split(" = ")]
        if len(parts) < 3 or not re.fullmatch(r"[\w]+", parts[0]):
            continue
        expression = parts[-2]
        if not re.fullmatch(r"[\d.e+*/^() \-]*(?:(?:sqrt|pi)[\d.e+*/^() \-]*)*", expression):
            continue
        if re.search(r"[*/^]|sqrt", expression):
            given = float(re.match(NUMBER, parts[-1])[0])  # type: ignore[index]
            agree(evaluated(expression), given, WORKING - 1)


def evaluated(expression: str) -> float:
    """What a calculator gives; the text was held to digits, operators, sqrt and pi."""
    source = expression.replace("^", "**")
    return float(eval(source, {"__builtins__": {}}, {"sqrt": math.sqrt, "pi": math.pi}))


# From runs to the mean.


def check_mean(told: Told, figures: Mapping[str, float]) -> float:
    """Recompute weights and mean; return the mean."""
    text = told.sections["From runs to the mean"]
    runs, *groups = tables(text)
    for name, value in zip(runs.column("run"), runs.numbers("figure"), strict=True):
        agree(figures[name], value, WORKING)
    weights = runs.numbers("weight")
    if groups:
        check_weights(text, runs, *groups)
    else:
        assert weights == [1.0]
    mean = sum(w * y for w, y in zip(last_weights(runs), runs.numbers("figure"), strict=True))
    agree(mean, last_number(text, "mean"))
    return mean


def last_weights(table: Table) -> list[float]:
    return [float(row[-1]) for row in table.rows]


def scatter(text: str, what: str) -> float:
    """Standard deviation of a scatter [shown unit]; nil where it is nil or not known."""
    joined = re.sub(r"\s+", " ", text)
    match = re.search(rf"{what} scatter: ({NUMBER}) % of the runs' plain mean ({NUMBER}) = ({NUMBER})", joined)
    if match is None:
        assert re.search(rf"{what} scatter: (?:nil|not known)", joined)
        return 0.0
    agree(float(match[1]) / 100.0 * float(match[2]), float(match[3]), WORKING - 1)
    return float(match[3])


def inverse(variances: list[float]) -> list[float]:
    if any(v == 0.0 for v in variances):
        exact = [float(v == 0.0) for v in variances]
        return [e / sum(exact) for e in exact]
    whole = sum(1.0 / v for v in variances)
    return [1.0 / v / whole for v in variances]


def check_weights(text: str, runs: Table, mountings: Table, samples: Table) -> None:
    """Inverse variances within each group, level by level."""
    values, own = runs.numbers("figure"), runs.numbers("own u")
    labels = [f"{s}/{m}" for s, m in zip(runs.column("sample"), runs.column("mounting"), strict=True)]
    plain = abs(sum(values) / len(values))
    said = re.search(rf"plain mean ({NUMBER})", re.sub(r"\s+", " ", text))
    if said is not None:
        agree(plain, float(said[1]), WORKING - 1)
    means, left = climb(values, [u**2 for u in own], labels, mountings.column("mounting"), mountings)
    full = [v + scatter(text, "mounting") ** 2 for v in left]
    check_groups(mountings, means, left, full)
    above = [label.split("/")[0] for label in mountings.column("mounting")]
    means, left = climb(means, full, above, samples.column("sample"), samples)
    full = [v + scatter(text, "sample") ** 2 for v in left]
    check_groups(samples, means, left, full)
    for ours, shown in zip(inverse(full), last_weights(samples), strict=True):
        close(ours, shown)
    of_sample = dict(zip(samples.column("sample"), last_weights(samples), strict=True))
    within = [float(cell) for cell in mountings.column("weight in")]
    for sample, share, shown in zip(above, within, last_weights(mountings), strict=True):
        close(of_sample[sample] * share, shown)
    of_mounting = dict(zip(mountings.column("mounting"), last_weights(mountings), strict=True))
    within = [float(cell) for cell in runs.column("weight in")]
    for label, share, shown in zip(labels, within, last_weights(runs), strict=True):
        close(of_mounting[label] * share, shown)
    assert abs(sum(last_weights(runs)) - 1.0) < 1e-7


def close(ours: float, shown: float) -> None:
    # own u is shown to six digits and goes in as its square
    assert abs(ours - shown) <= 1e-5, f"weight {ours} is not {shown}"


def climb(
    values: list[float], variances: list[float], labels: list[str], groups: list[str], table: Table
) -> tuple[list[float], list[float]]:
    """Mean and variance left, of each group."""
    means, left = [], []
    for group in groups:
        inside = [i for i, label in enumerate(labels) if label == group]
        share = inverse([variances[i] for i in inside])
        means.append(sum(w * values[i] for w, i in zip(share, inside, strict=True)))
        left.append(sum(w**2 * variances[i] for w, i in zip(share, inside, strict=True)))
    assert len(groups) == len(table.rows)
    return means, left


def check_groups(table: Table, means: list[float], left: list[float], full: list[float]) -> None:
    for ours, shown in zip(means, table.numbers("mean"), strict=True):
        agree(ours, shown, ANSWER)
    for ours, shown in zip(left, table.numbers("u of"), strict=True):
        agree(math.sqrt(ours), shown, ANSWER - 1)
    for ours, shown in zip(full, [float(row[3]) for row in table.rows], strict=True):
        agree(math.sqrt(ours), shown, ANSWER - 1)


def check_pooled_budget(told: Told) -> None:
    """Each pooled line from the runs' own lines, their weights, and the scatter."""
    text = told.sections["From runs to the mean"]
    runs, *groups = tables(text)
    weights = dict(zip(runs.column("run"), last_weights(runs), strict=True))
    ours: dict[str, float] = {}
    for run in told.runs.values():
        (working,) = run.workings.values()
        for key, c in by_key(lines_of(working.budget)).items():
            ours[key] = ours.get(key, 0.0) + weights[run.name] * c
    pooled = by_key(lines_of(first_table(told.sections["Budget as tested"], "contribution")))
    sd = {what: scatter(text, what) for what in ("mounting", "sample")}
    if groups:
        mountings, samples = groups
        even = 1.0 / len(samples.rows)
        effects = {
            f"/{name}": sd["mounting"] * w
            for name, w in zip(mountings.column("mounting"), last_weights(mountings), strict=True)
        }
        effects |= {
            f"/{name}": sd["sample"] * (w - even)
            for name, w in zip(samples.column("sample"), last_weights(samples), strict=True)
        }
    else:
        effects = {f"/{runs.column('sample')[0]}/{runs.column('mounting')[0]}": sd["mounting"]}
    for key, shown in pooled.items():
        if re.match(r"(mounting|sample) ", key):
            ours[key] = max((c for end, c in effects.items() if key.endswith(end)), key=abs)
        assert key in ours, f"{key} stands in the budget of no run"
        assert abs(ours[key] - shown) <= 2e-5 * abs(shown) + 1e-9, f"{key}: {ours[key]} is not {shown}"
    size = math.sqrt(sum(c**2 for c in pooled.values()))
    assert all(key in pooled or abs(c) < 1e-9 * size for key, c in ours.items()), "a line of a run was lost"


def check_statements(told: Told, mean: float) -> dict[str, tuple[float, float]]:
    """Recompute u, effective degrees of freedom, t and interval of each statement; return the intervals."""
    text = told.sections["Budget as tested"]
    basis = lines_of(first_table(text, "contribution"))
    parts = re.split(r"\n  (as tested|of the design|as sold)\n", text)
    intervals: dict[str, tuple[float, float]] = {}
    for name, body in zip(parts[1::2], parts[2::2], strict=True):
        lines = [*basis, *lines_of(first_table(body, "added"), "added")]
        u, freedom = spread(lines)
        agree(u**2, found(body, rf"sum of squares = ({NUMBER})"), WORKING - 2)
        agree(u, found(body, rf", u = ({NUMBER})"))
        agree(freedom, found(body, rf"effective dof = ({NUMBER})"))
        t = float(stats.t.ppf(0.975, freedom)) if math.isfinite(freedom) else float(stats.norm.ppf(0.975))
        agree(t, found(body, rf", t = ({NUMBER})"))
        match = re.search(rf"interval = ({NUMBER}) ± t \* u = ({NUMBER}) to ({NUMBER})", body)
        assert match is not None
        agree(mean, float(match[1]))
        for ours, shown in ((mean - t * u, match[2]), (mean + t * u, match[3])):
            agree(ours, float(shown))
        intervals[name] = (float(match[2]), float(match[3]))
    return intervals


def check_headline(told: Told, mean: float, half: float) -> None:
    """The figure at the top, to the digit that its half-width supports."""
    match = re.match(r"([\d.]+)(?: ± ([\d.]+))?", told.headline)
    assert match is not None
    digits = len(match[1].partition(".")[2])
    room = 10.0 ** (-digits) if digits else 10.0 ** (len(match[1]) - len(match[1].rstrip("0")))
    assert abs(float(match[1]) - mean) <= 0.51 * room
    if match[2] is not None:
        assert abs(float(match[2]) - half) <= 0.51 * room


def check_explanation(told: Told, measurand: str) -> tuple[float, dict[str, tuple[float, float]]]:
    """Recompute everything that the text of one figure says; return its value and intervals in the shown unit."""
    figures = {run.name: check_run(told, run, measurand) for run in told.runs.values()}
    mean = check_mean(told, figures)
    check_pooled_budget(told)
    intervals = check_statements(told, mean)
    low, high = intervals["as tested"]
    check_headline(told, mean, 0.5 * (high - low))
    return mean, intervals
