"""(b) A comparison spread over partitions says of every aircraft what one process says that reads everything.

Frames are repartitioned by aircraft and sorted by time, and each partition is piped to `compare` with the whole fleet. What
must not be cut by address alone: an aircraft that sends a wrong address is tied to its profile by its identification, so its
frames belong with those of the profile's own address. A first pass over one small table, the identifications, finds these
addresses; from then on they go by the address of the profile.
"""

import json
import os
from pathlib import Path

from pyspark.sql import functions as f

from night import DEMO, PROGRAM, ROOT, START, in_a_folder, rehearsed, run, spark_engine

FLEET = DEMO / "fleet"
# A line of a capture: the seconds with all their decimals, and the frame.
SECONDS = "format_string('%d.%06d %s', unix_micros(time) div 1000000, unix_micros(time) % 1000000, frame)"


def capture(folder):
    """A fleet of which one is right, one has mistakes, and one sends the address of another mark; others beside them."""
    right, faulty, astray = sorted(FLEET.glob("*.json"))
    frames = rehearsed(right, "--for", 240, "--interrogated", 5, "--other-aircraft", 20)
    frames += rehearsed(faulty, "--for", 240, "--mistake", "feet_as_metres", "--mistake", "prefix_left_off")
    frames += rehearsed(astray, "--for", 240, "--mistake", "address_digits_transposed")
    frames.sort(key=lambda each: each[0])
    file = folder / "night.txt"
    file.write_text("".join(f"{START + seconds:.3f} {frame}\n" for seconds, frame in frames))
    return file


def verdicts(lines):
    """Of each aircraft: verdict, address heard, settings with their status, and findings; the account is of the partition."""
    all_reports = {}
    for line in lines:
        report = json.loads(line)
        settings = {each["setting"]: each["verdict"] for each in report["settings"]}
        findings = sorted((each["severity"], each["cause"], each.get("setting")) for each in report["findings"])
        heard = report["capture"]["of_this_aircraft"]
        all_reports.setdefault(report["address"], []).append((heard, report["verdict"], report.get("heard_as"), settings, findings))
    # Most partitions have nothing of an aircraft: the one that has counts.
    return {address: max(each, key=lambda one: (one[0], one[2] is not None)) for address, each in all_reports.items()}


def main(folder):
    file = capture(folder)
    tables = folder / "tables"
    run("decode", file, "--format", "parquet", "--out-dir", tables)
    whole = verdicts(run("compare", FLEET, "--capture", file, "--format", "json", exits=(0, 1, 2)).splitlines())

    spark = spark_engine()
    table = lambda message: spark.read.parquet(str(tables / f"message={message}"))
    fleet = spark.read.option("multiLine", True).json(str(FLEET)).select(
        f.col("aircraft.address").alias("own"), f.col("aircraft.aircraft_identification").alias("aircraft_identification"))
    # The first pass: other addresses under which the identifications of the fleet are sent.
    tied = table("aircraft_identification").where("parity = 'valid'").join(fleet, "aircraft_identification") \
        .where("address <> own").select("address", "own").distinct()
    assert tied.count() == 1, tied.collect()
    messages = [path.name.removeprefix("message=") for path in tables.glob("message=*")]
    frames = None
    for message in messages:
        some = table(message).select("address", "time", "line", "frame")
        frames = some if frames is None else frames.unionByName(some)

    def spread(frames):
        ordered = frames.repartition(7, "aircraft").sortWithinPartitions("time", "line")
        lines = ordered.select(f.expr(SECONDS)).rdd.map(lambda row: row[0])
        # A partition without frames has nothing to say.
        return verdicts(lines.pipe(f"{PROGRAM} compare {FLEET} --capture - --format json --threads 1", env=dict(os.environ)).collect())

    by_aircraft = frames.join(f.broadcast(tied), "address", "left").withColumn("aircraft", f.coalesce("own", "address"))
    pieces = spread(by_aircraft)
    assert set(whole) == set(pieces) and len(whole) == 3, (set(whole), set(pieces))
    for address, said in whole.items():
        assert pieces[address][1:] == said[1:], (address, said, pieces[address])
        assert pieces[address][0] == said[0], (address, said[0], pieces[address][0])
    assert {said[1] for said in whole.values()} == {"incomplete", "differs"} or {said[1] for said in whole.values()} == {"agrees", "differs"}, \
        {address: said[1] for address, said in whole.items()}
    spark.stop()
    print(f"distributed: {len(whole)} aircraft, the same verdicts, settings and findings from 7 partitions as from one process")


if __name__ == "__main__":
    in_a_folder(main)
