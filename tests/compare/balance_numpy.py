"""Where the given drops in chi-square of the sample balances come from.

    python tests/compare/balance_numpy.py

`chi2_drop_if_deleted` is chi-square less chi-square with observation k given sd 1e7, over r' S^-1 r with S = A V A'. This computes it
three ways: in exact fractions (which tests/cases/balance-drops-exact.json holds, and which the program agrees with to 1e-9), with
numpy.linalg.solve in doubles, and with numpy's Cholesky factor in doubles. It prints how many of the given drops each has, to the
last bit and to 1e-9, and the largest relative difference. OPENBLAS_CORETYPE=Prescott (or Haswell, SkylakeX) chooses numpy's kernels;
the same call then gives other digits. Needs the package `numpy`; without it the script says so and ends with code 77.
"""

import json
import pathlib
import sys
from fractions import Fraction

try:
    import numpy
except ModuleNotFoundError:
    print("skipped: the package numpy is not installed (pip install numpy)")
    sys.exit(77)

CASES = pathlib.Path(__file__).resolve().parents[1] / "cases"
DELETED = 1e7


def rows(n):
    balance = [1] + [-1] * n + [0] * n
    pairs = [[int(c == 1 + k) - int(c == 1 + n + k) for c in range(2 * n + 1)] for k in range(n)]
    return [balance] + pairs


def exact(case, sds):
    """By elimination in fractions, of which none is rounded."""
    a = rows(len(case["readings"]))
    y = [Fraction(str(v)) for v in [case["intake"], *case["readings"], *case["prior_mean"]]]
    v = [Fraction(str(sd)) ** 2 for sd in sds]
    r = [sum(c * x for c, x in zip(row, y)) for row in a]
    s = [[sum(p * w * q for p, w, q in zip(one, v, other)) for other in a] + [right] for one, right in zip(a, r)]
    for c in range(len(s)):
        pivot = next(i for i in range(c, len(s)) if s[i][c])
        s[c], s[pivot] = s[pivot], s[c]
        for i in range(len(s)):
            if i != c and s[i][c]:
                factor = s[i][c] / s[c][c]
                s[i] = [p - factor * q for p, q in zip(s[i], s[c])]
    return sum(right * row[-1] / row[i] for i, (row, right) in enumerate(zip(s, r)))


def doubles(case, sds, method):
    a = numpy.array(rows(len(case["readings"])), float)
    y = numpy.array([case["intake"], *case["readings"], *case["prior_mean"]], float)
    s, r = a @ numpy.diag(numpy.array(sds, float) ** 2) @ a.T, a @ y
    if method == "solve":
        return float(r @ numpy.linalg.solve(s, r))
    z = numpy.linalg.solve(numpy.linalg.cholesky(s), r)
    return float(z @ z)


def main():
    cases = json.loads((CASES / "balance-samples.json").read_text())
    held = json.loads((CASES / "balance-drops-exact.json").read_text())
    methods = {
        "exact fractions": exact,
        "numpy solve": lambda case, sds: doubles(case, sds, "solve"),
        "numpy Cholesky": lambda case, sds: doubles(case, sds, "cholesky"),
    }
    for name, chi2 in methods.items():
        bits = close = count = 0
        worst = 0.0
        for case in cases:
            sds = [case["intake_sd"], *case["reading_sd"], *case["prior_sd"]]
            full = chi2(case, sds)
            for k, given in enumerate(case["answer"]["chi2_drop_if_deleted"]):
                drop = float(full - chi2(case, sds[:k] + [DELETED] + sds[k + 1:]))
                if chi2 is exact:
                    assert drop == held[case["id"]][k], f'{case["id"]} {k}: {drop} is not {held[case["id"]][k]}'
                off = abs(drop / given - 1)
                bits, close, count, worst = bits + (drop == given), close + (off <= 1e-9), count + 1, max(worst, off)
        print(f"{name}: of {count} given drops {bits} to the last bit, {close} to 1e-9, largest difference {worst:.1e}")
    print(f"numpy {numpy.__version__}")


if __name__ == "__main__":
    main()
