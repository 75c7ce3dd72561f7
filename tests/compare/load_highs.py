"""Checks load plans against HiGHS, a general-purpose solver, on random problems too large to be tried out one by one.

    cargo build --release
    python tests/compare/load_highs.py target/release/knockdown [COUNT] [FIRST SEED]

Needs the package `highspy`. Each problem is written in the open format and solved by `load --problem`; the same problem is
modelled as a mixed-integer program. It prints both values and both times, and ends with 1 if any differ.
"""

import json
import pathlib
import random
import subprocess
import sys
import tempfile
import time

import highspy

GRADES = ["copper", "wire", "brass", "aluminium", "motor", "board", "steel", "lead"]


def steps(dice, base):
    """All-units steps: sometimes a minimum lot, better prices from there on, seldom a worse one."""
    start = dice.choice([0, 0, 0, 10, 30])
    prices = [[start, base]]
    for _ in range(dice.choice([0, 0, 1, 2])):
        prices.append([prices[-1][0] + dice.choice([20, 40, 110]), int(prices[-1][1] * dice.choice([1.03, 1.1, 1.2, 0.97]))])
    return prices


def problem(seed):
    dice = random.Random(seed)
    base = {grade: dice.randint(10, 700) for grade in GRADES}
    piles = []
    for _ in range(dice.randint(8, 16)):
        grade = dice.choice(GRADES)
        lots = dice.choice([1, 1, 1, 2, 4])
        hold = dice.choice([0, 0, int(base[grade] * dice.uniform(0.4, 0.95))])
        piles.append({"grade": grade, "lots": lots, "lot_kg": dice.randint(5, 240) // lots + 1, "hold_cents_per_kg": hold})
    yards = []
    for number in range(dice.randint(2, 4)):
        listed = {g: steps(dice, max(1, int(base[g] * dice.uniform(0.8, 1.2)))) for g in GRADES if dice.random() < 0.75}
        yards.append({"id": number, "trip_cost_cents": dice.choice([600, 1800, 4000, 9000]), "prices": listed,
                      "min_delivery_kg": dice.choice([0, 0, 60, 200])})
    return {"piles": piles, "yards": yards, "payload_kg": dice.choice([150, 250, 400, 10_000]),
            "max_trips": dice.choice([None, None, 1, 2, 4])}


def by_highs(data):
    model = highspy.Highs()
    model.silent()
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 0.5)
    piles, yards = data["piles"], data["yards"]
    total = sum(p["lots"] * p["lot_kg"] for p in piles)
    gain = 0
    sent = [[] for _ in piles]
    trips = []
    for yard in yards:
        load = 0
        for grade in {p["grade"] for p in piles}:
            mine = [n for n, p in enumerate(piles) if p["grade"] == grade]
            if grade not in yard["prices"]:
                continue
            lots = {n: model.addIntegral(lb=0, ub=piles[n]["lots"]) for n in mine}
            for n, var in lots.items():
                sent[n].append(var)
            weight = sum(piles[n]["lot_kg"] * var for n, var in lots.items())
            load = load + weight
            tiers = yard["prices"][grade]
            ends = [tier[0] - 1 for tier in tiers[1:]] + [total]
            reached, paid = 0, 0
            for (start, price), end in zip(tiers, ends):
                on, part = model.addBinary(), model.addVariable(lb=0, ub=total)
                model.addConstr(part - start * on >= 0)
                model.addConstr(part - max(end, 0) * on <= 0)
                reached, paid = reached + on, paid + part
                gain = gain + price * part
            model.addConstr(reached <= 1)
            model.addConstr(paid - weight == 0)
        trip, goes = model.addIntegral(lb=0, ub=total), model.addBinary()
        trips.append(trip)
        if not isinstance(load, int):
            model.addConstr(load - data["payload_kg"] * trip <= 0)
            model.addConstr(load - total * goes <= 0)
            model.addConstr(load - yard["min_delivery_kg"] * goes >= 0)
        gain = gain - yard["trip_cost_cents"] * trip
    kept = 0
    for pile, parts in zip(piles, sent):
        worth = pile["lot_kg"] * pile["hold_cents_per_kg"]
        kept += pile["lots"] * worth
        if parts:
            model.addConstr(sum(parts[1:], 1 * parts[0]) <= pile["lots"])
            gain = gain - worth * sum(parts[1:], 1 * parts[0])
    if data["max_trips"] is not None:
        model.addConstr(sum(trips[1:], 1 * trips[0]) <= data["max_trips"])
    model.maximize(gain)
    return round(model.getInfo().objective_function_value) + kept


def by_knockdown(program, data, folder):
    path = pathlib.Path(folder) / "problem.json"
    path.write_text(json.dumps(data))
    command = [program, "--home", folder, "load", "--problem", str(path), "--format", "json", "--seconds", "60"]
    return json.loads(subprocess.run(command, capture_output=True, check=True, text=True).stdout)


def main():
    program, count = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 100
    first = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    wrong, unproven, slowest = 0, 0, (0.0, 0)
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(first, first + count):
            data = problem(seed)
            started = time.perf_counter()
            ours = by_knockdown(program, data, folder)
            took = time.perf_counter() - started
            started = time.perf_counter()
            theirs = by_highs(data)
            other = time.perf_counter() - started
            same = ours["value_cents"] == theirs
            wrong += not same
            unproven += not ours["proven"]
            slowest = max(slowest, (took, seed))
            print(f"{seed:5} {len(data['piles']):3} piles {ours['value_cents']:9} {theirs:9} "
                  f"{'same' if same else 'DIFFERENT'} {took:7.3f} s {other:7.3f} s", flush=True)
    print(f"{count} problems, {wrong} differ, {unproven} not proven; slowest {slowest[0]:.3f} s at {slowest[1]}")
    sys.exit(1 if wrong else 0)


main()
