"""Times replaying sessions at another yard against revaluing the same weights at another price list.

    python tests/compare/replay_ledger.py PROGRAM FOLDER [SESSIONS]

PROGRAM is the built program (target/release/knockdown); FOLDER is made and filled: a person's folder with SESSIONS (10,000)
generated journals of 30 steps each, and one file with the same weights as postings. `ledger` and `hledger` (Debian packages of
these names) revalue the postings at the second yard's prices; whichever is missing is passed over with a word. It checks that
the totals agree to within the rounding of a line, and prints each time, the ratio of processor time (above 1: Knockdown is
faster), without and with what an earlier command kept of the sessions, and peak memory. All weights and prices are invented.
"""

import datetime
import hashlib
import json
import pathlib
import random
import re
import resource
import shutil
import subprocess
import sys
import time

GRADES = ["copper-1", "copper-2", "steel-light", "board-mid", "wire-appliance",
          "aluminium-cast", "plastic-mixed", "stainless-304", "brass-yellow", "motor-universal"]
STEPS = 30


def recipe():
    lines = ['unit("thirty-steps", "Unit of thirty steps").weighs((20.kg..60.kg).usually(40.kg))'
             '.sold_whole_as("rubbish").revision(1).needs_api(1);']
    for k in range(STEPS):
        lines.append(f'step("step-{k}", "Step {k}").minutes(1, 2, 4)'
                     f'.frees("part {k}", (0.5.kg..2.kg).usually(1.kg), "{GRADES[k % 10]}");')
    return "\n".join(lines) + "\n"


def yard(name, prices):
    lines = [f'yard("{name}", "{name} (invented)").currency("USD").weighs_in("kg").sample_prices();', 'as_of("2025-01-01");']
    lines += [f'buys("{grade}", "{grade}", {price});' for grade, price in zip(GRADES, prices)]
    return "\n".join(lines) + "\n"


class Log:
    """A journal as the program writes it: blocks sealed by a chain of digests."""

    def __init__(self):
        self.text, self.chain, self.count = [], "", 0

    def seal(self, block):
        self.chain = hashlib.sha256((self.chain + block).encode()).hexdigest()[:32]
        self.text.append(f'{block}chain = "{self.chain}"\n')

    def entry(self, question, typed, understood):
        self.count += 1
        self.seal(f'\n[[entry]]\nseq = {self.count}\nat = "2026-01-05T10:00:00.000Z"\nkind = "answer"\n'
                  f'question = "{question}"\ntyped = "{typed}"\nunderstood = "{understood}"\n')

    def end(self, result):
        self.count += 1
        text = json.dumps(result, separators=(",", ":")).replace('"', '\\"')
        self.seal(f'\n[[entry]]\nseq = {self.count}\nat = "2026-01-05T10:00:00.000Z"\nkind = "end"\nunderstood = "{text}"\n')


def journal(name, day, digests, weights):
    log = Log()
    log.seal(f'format = "knockdown-session"\nversion = 1\nid = "{name}"\nprogram = "0.1.0"\n'
             f'started = "{day}T10:00:00.000Z"\noffset = "+00:00"\nrecipe = "thirty-steps"\n'
             f'recipe_name = "Unit of thirty steps"\nrevision = 1\nrecipe_digest = "{digests[0]}"\n'
             f'yard = "north"\nyard_digest = "{digests[1]}"\n')
    intake = sum(weights) + 1000
    log.entry("unit/intake", f"{intake} g", f"{intake} g, 1 pcs, to 1 g")
    for k, grams in enumerate(weights):
        log.entry(f"step-{k}/begin", "do", "do")
        log.entry(f"step-{k}/part {k}", f"{grams} g", f"{grams} g, 1 pcs, to 1 g")
        log.entry(f"step-{k}/minutes", "2", "2 min")
    log.entry("unit/remainder", "difference", "difference")
    log.end(haul(intake, weights))
    return "".join(log.text)


def haul(intake, weights):
    """What came out, as the program keeps it with a session's end."""
    fraction = {"pieces": 1, "regraded_from": None, "in_mix": None, "division": "1 g"}
    fractions = [{"part": f"part {k}", "grade": GRADES[k % 10], "net": f"{grams} g"} | fraction for k, grams in enumerate(weights)]
    left = {"of": "unit", "grade": "rubbish", "mass": f"{intake - sum(weights)} g", "how": "computed", "pieces": 1}
    return {"unit_name": "Unit of thirty steps", "recipe": "thirty-steps", "intake": f"{intake} g", "intake_division": "1 g",
            "whole_grade": "rubbish", "fractions": fractions, "mixes": [], "remainders": [left], "minutes": f"{2 * STEPS} min",
            "consumables": [], "handed_on": None, "readings": []}


def generate(folder, count):
    random.seed(20261102)
    home = folder / "home"
    shutil.rmtree(folder, ignore_errors=True)
    for part in ("sessions", "recipes", "yards", "scripts-seen"):
        (home / part).mkdir(parents=True)
    south = [7.25, 6.5, 0.15, 2.1, 1.35, 0.9, 0.05, 1.1, 3.3, 0.8]
    texts = [recipe(), yard("north", [7, 6, 0.1, 2, 1.2, 0.8, 0.04, 1, 3, 0.7]), yard("south", south)]
    digests = [hashlib.sha256(text.encode()).hexdigest() for text in texts]
    for digest, text in zip(digests, texts):
        (home / "scripts-seen" / f"{digest}.rhai").write_text(text)
    (home / "recipes" / "thirty-steps.rhai").write_text(texts[0])
    (home / "yards" / "north.rhai").write_text(texts[1])
    (home / "yards" / "south.rhai").write_text(texts[2])
    letters = "ABCDEFGHIJ"
    (folder / "prices.db").write_text("".join(
        f"P 2026/01/01 G{letters[g]} ${price}\n" for g, price in enumerate(south)))
    first = datetime.date(2025, 1, 1)
    with open(folder / "postings.ledger", "w") as postings:
        for number in range(count):
            day = first + datetime.timedelta(days=number % 365)
            name = f"{day}-thirty-steps-{number // 365 + 1}"
            weights = [random.randrange(500, 2000) for _ in range(STEPS)]
            (home / "sessions" / f"{name}.toml").write_text(journal(name, day, digests, weights))
            postings.write(f"{day:%Y/%m/%d} {name}\n")
            for k, grams in enumerate(weights):
                postings.write(f"    Assets:Part{k}  {grams / 1000:.3f} G{letters[k % 10]}\n")
            postings.write("    Equity:Units\n\n")
    return home


def timed(command, output):
    """Wall time and processor time of one run, in seconds. Where other work runs beside it, only the second means much."""
    def spent():
        used = resource.getrusage(resource.RUSAGE_CHILDREN)
        return used.ru_utime + used.ru_stime
    started, before = time.perf_counter(), spent()
    with open(output, "w") as out:
        subprocess.run(command, stdout=out, check=True)
    return time.perf_counter() - started, spent() - before


def main():
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    program, folder = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2])
    count = int(sys.argv[3]) if len(sys.argv) > 3 else 10_000
    home = generate(folder, count)
    table = folder / "replayed.csv"
    replay = [program, "replay", "--all", "--yard", "south", "--date", "2026-06-01", "--format", "csv", "--home", home]
    wall, ours = timed(replay, table)
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    rows = table.read_text().splitlines()
    column = rows[0].split(",").index("net")
    total = sum(float(row.split(",")[column]) for row in rows[1:])
    assert len(rows) == count + 1, f"{len(rows) - 1} rows for {count} sessions"
    print(f"knockdown: {wall:.2f} s, processor {ours:.2f} s, {count} sessions, peak memory {peak:.0f} MB, total {total:.2f}")
    first = table.read_text()
    again_wall, again = timed(replay, table)
    assert table.read_text() == first, "what was kept says something else than the journals"
    print(f"knockdown again, with what it kept: {again_wall:.2f} s, processor {again:.2f} s")
    postings, prices = folder / "postings.ledger", folder / "prices.db"
    others = {
        "ledger": ["ledger", "-f", postings, "--price-db", prices, "-V", "--flat", "balance", "^Assets"],
        "hledger": ["hledger", "-f", prices, "-f", postings, "-V", "balance", "^Assets"],
    }
    for name, command in others.items():
        if shutil.which(name) is None:
            print(f"{name}: not installed, passed over (Debian package {name})")
            continue
        their_wall, theirs = timed([str(part) for part in command], folder / f"{name}.txt")
        last = (folder / f"{name}.txt").read_text().strip().splitlines()[-1]
        found = float(re.search(r"-?[\d,]+\.?\d*", last.replace("$", "")).group().replace(",", ""))
        assert abs(found - total) <= 0.005 * count * len(GRADES), f"{name} says {found}, Knockdown {total}"
        print(f"{name}: {their_wall:.2f} s, processor {theirs:.2f} s, total {found:.2f}, "
              f"ratio of processor time {theirs / ours:.2f}, with what was kept {theirs / again:.2f}")


if __name__ == "__main__":
    main()
