"""Times OR-Tools' max flow and HiGHS on the instances of the plan benchmark.

    cargo bench --bench plan -- FOLDER
    python tests/compare/plan_ortools.py FOLDER

Needs the packages `ortools`, `highspy` and `numpy`. For each instance it checks that the optimum is the same, and prints
this solver's time, Knockdown's, and their ratio (above 1: Knockdown is faster). Times are of the processor, of this
process here and of the thread there, so that other work on the machine does not count. Knockdown's times cover the whole of
`best_plan` on a checked problem; OR-Tools is timed for the flow alone, and for building the network and the flow.
"""

import json
import pathlib
import sys
import time

import highspy
import numpy
from ortools.graph.python import max_flow


def enough(times, started):
    """Whether there are as many runs as the benchmark makes; the fastest counts, which other work disturbs least."""
    return len(times) >= 200 or (len(times) >= 10 and time.perf_counter() - started > 1)


def closure(path, ours):
    data = json.loads(path.read_text())
    weights = numpy.array(data["weights"], dtype=numpy.int64)
    arcs = numpy.array(data["arcs"], dtype=numpy.int64).reshape(-1, 2)
    count, unlimited = len(weights), int(numpy.abs(weights).sum()) + 1
    gains, costs = numpy.flatnonzero(weights > 0), numpy.flatnonzero(weights < 0)
    tails = numpy.concatenate([numpy.full(len(gains), count), costs, arcs[:, 0]])
    heads = numpy.concatenate([gains, numpy.full(len(costs), count + 1), arcs[:, 1]])
    room = numpy.concatenate([weights[gains], -weights[costs], numpy.full(len(arcs), unlimited)])

    def build():
        flow = max_flow.SimpleMaxFlow()
        flow.add_arcs_with_capacity(tails, heads, room)
        return flow

    def solve(flow):
        if flow.solve(count, count + 1) != flow.OPTIMAL:
            sys.exit(f"{path.name}: the flow is not optimal")
        return int(weights[gains].sum()) - flow.optimal_flow()

    alone, built = [], []
    started = time.perf_counter()
    while not enough(alone, started):
        begin = time.process_time()
        flow = build()
        middle = time.process_time()
        best = solve(flow)
        end = time.process_time()
        alone.append((end - middle) * 1e3)
        built.append((end - begin) * 1e3)
    check(path, best, ours["gain_millicents"], 0)
    row(path.stem, "OR-Tools flow", min(alone), ours)
    row(path.stem, "OR-Tools build + flow", min(built), ours)


def programme(path, ours):
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("time_limit", 60.0)
    if solver.readModel(str(path)) == highspy.HighsStatus.kError:
        sys.exit(f"{path.name}: cannot be read")

    times, started = [], time.perf_counter()
    while not enough(times, started):
        solver.clearSolver()
        begin = time.process_time()
        solver.run()
        times.append((time.process_time() - begin) * 1e3)
    finished = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    if finished:
        check(path, -solver.getObjectiveValue(), ours["value_millicents"] / 1000, 0.01)
    row(path.stem, "HiGHS" if finished else "HiGHS (unfinished)", min(times), ours)


def check(path, theirs, ours, tolerance):
    if abs(theirs - ours) > tolerance:
        sys.exit(f"{path.name}: optimum is {theirs}, Knockdown says {ours}")


def row(name, solver, elapsed, ours):
    mine = ours["milliseconds"]
    print(f"{name:<24} {solver:<24} {elapsed:>10.3f} ms {mine:>10.3f} ms {elapsed / mine:>8.2f}")


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    folder = pathlib.Path(sys.argv[1])
    results = {r["name"]: r for r in json.loads((folder / "results.json").read_text())}
    print(f"{'problem':<24} {'solver':<24} {'its time':>13} {'Knockdown':>13} {'ratio':>8}")
    for name, ours in results.items():
        if (folder / f"{name}.json").exists():
            closure(folder / f"{name}.json", ours)
        elif (folder / f"{name}.mps").exists():
            programme(folder / f"{name}.mps", ours)


if __name__ == "__main__":
    main()
