"""Makes the data that the engines are tried with: all invented, made by the program itself, never received."""

import json
import os
import random
import subprocess
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = os.environ["SQUITTERLAB"]
DEMO = ROOT / "vectors" / "demo"
RECEIVERS = ("north", "south", "east")
# 2026-11-27 22:00 UTC.
START = 1795816800


def in_a_folder(main):
    """Runs a script's checks in a folder of their own, which goes with them."""
    with tempfile.TemporaryDirectory() as folder:
        main(Path(folder))


def spark_engine(more=()):
    """Spark on this machine, without its page and its progress, with times in UTC; and with more settings."""
    from pyspark.sql import SparkSession  # Not every script needs it.

    builder = SparkSession.builder.master("local[2]").config("spark.ui.enabled", "false") \
        .config("spark.ui.showConsoleProgress", "false").config("spark.sql.session.timeZone", "UTC")
    for name, value in more:
        builder = builder.config(name, value)
    engine = builder.getOrCreate()
    engine.sparkContext.setLogLevel("ERROR")
    return engine


def run(*arguments, exits=(0,), **more):
    """Runs the program, and says everything if it does not end as it should."""
    done = subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True, cwd=ROOT, **more)
    assert done.returncode in exits, (arguments, done.returncode, done.stderr[-2000:])
    return done.stdout


def rehearsed(profile, *more):
    """The timed frames of an install: (seconds, digits)."""
    lines = run("rehearse", profile, *more).splitlines()
    pairs = (line.split() for line in lines if line and not line.startswith("#"))
    return [(float(pair[0]), pair[1]) for pair in pairs if len(pair) == 2]


def with_nacp(profile, nacp, folder):
    """The same profile with another NACp."""
    changed = json.loads(Path(profile).read_text())
    changed["position_source"]["nacp"] = nacp
    file = folder / f"nacp_{nacp}_{Path(profile).name}"
    file.write_text(json.dumps(changed))
    return file


def written(file, frames, start):
    """A capture with times in UTC, exact to a millisecond."""
    from datetime import datetime, timedelta, timezone

    begin = datetime.fromtimestamp(start, timezone.utc)
    with open(file, "w") as out:
        out.write("# synthetic: made by a rehearsal, never received\n")
        for seconds, frame in frames:
            time = begin + timedelta(milliseconds=round(seconds * 1000))
            out.write(f"{time.isoformat(timespec='milliseconds').replace('+00:00', 'Z')} {frame}\n")


def night(folder, hours=3, other_aircraft=8, seconds=420):
    """Captures of three receivers, an hour in each file, and the dip that is planted in them: one of our aircraft has
    NACp 7 for twelve seconds in the second hour, and receiver `south` does not hear it."""
    fleet = DEMO / "fleet"
    profiles = sorted(fleet.glob("*.json"))
    dipping = profiles[0]
    low = with_nacp(dipping, 7, folder)
    captures = {receiver: [] for receiver in RECEIVERS}
    for hour in range(hours):
        for number, receiver in enumerate(RECEIVERS):
            frames = []
            for profile in profiles:
                more = ("--for", seconds, "--seed", 100 * hour + number)
                others = ("--other-aircraft", other_aircraft) if profile == dipping else ()
                own = rehearsed(profile, *more, *others)
                if profile == dipping and hour == 1 and receiver != "south":
                    address = json.loads(profile.read_text())["aircraft"]["address"]
                    is_ours = lambda frame: frame[2:8] == address
                    own = [each for each in own if not (300 <= each[0] < 312 and is_ours(each[1]))]
                    own += [each for each in rehearsed(low, *more) if 300 <= each[0] < 312 and is_ours(each[1])]
                frames += own
            frames.sort(key=lambda each: each[0])
            file = folder / receiver / f"hour_{hour}.txt"
            file.parent.mkdir(exist_ok=True)
            written(file, frames, START + 3600 * hour)
            captures[receiver].append(file)
    return captures, json.loads(dipping.read_text())["aircraft"]["address"]


def mixed(file, count, seed=1):
    """So many frames of every kind: a rehearsal with many aircraft, and random bits in every format. Some lines have a time in
    UTC, some a number of seconds, some none."""
    chance = random.Random(seed)
    flown = rehearsed(DEMO / "profile.json", "--for", 1200, "--other-aircraft", 150, "--interrogated", 20, "--bit-errors", 0.02)
    with open(file, "w") as out:
        out.write("# synthetic: rehearsed and random frames, never received\n")
        for at in range(count):
            if at % 4 < 3:
                seconds, frame = flown[at % len(flown)]
                out.write(f"{START + at // len(flown) * 1200 + seconds:.3f} {frame}\n")
                continue
            short = at % 8 == 3
            bits = chance.getrandbits(56 if short else 112)
            top = chance.randrange(32) << (51 if short else 107)
            frame = f"{top | bits & (1 << (51 if short else 107)) - 1:0{14 if short else 28}X}"
            out.write(f"{at / 16} {frame}\n" if at % 3 else f"{frame}\n")
