"""(a) A data set that several processes write at once: counts, types, and what the engines pass over."""

import json
import subprocess
from pathlib import Path

import duckdb
import pyarrow.dataset as ds
import pyarrow.parquet as pq
from pyspark.sql import functions as f

from night import PROGRAM, RECEIVERS, ROOT, in_a_folder, night, run, spark_engine


def main(folder):
    captures, _ = night(folder, hours=2, other_aircraft=10, seconds=400)
    tables = folder / "tables"
    writers = [
        subprocess.Popen(
            [PROGRAM, "decode", *map(str, captures[receiver]), "--format", "parquet", "--out-dir", str(tables), "--by",
             "message,hour", "--column", f"receiver={receiver}"], cwd=ROOT, stderr=subprocess.DEVNULL)
        for receiver in RECEIVERS
    ]
    assert [writer.wait() for writer in writers] == [0, 0, 0]
    # What JSON says there is.
    expected = {}
    for receiver in RECEIVERS:
        for line in run("decode", *captures[receiver], "--format", "json").splitlines():
            message = json.loads(line)["message"]
            expected[message, receiver] = expected.get((message, receiver), 0) + 1
    files = list(tables.glob("**/*.parquet"))
    accounts = [json.loads(file.read_text()) for file in (tables / "_manifest").glob("*.json")]
    assert len(accounts) == 6, accounts
    listed = {part["path"]: part["rows"] for account in accounts for part in account["parts"]}
    assert sorted(listed) == sorted(str(file.relative_to(tables)) for file in files)
    assert sum(listed.values()) == sum(account["account"]["frames"] for account in accounts) == sum(expected.values())

    everything = f"read_parquet('{tables}/**/*.parquet', hive_partitioning = true, union_by_name = true)"
    duck = duckdb.sql(f"SELECT message, receiver, count(*) FROM {everything} GROUP BY ALL").fetchall()
    assert {(message, receiver): count for message, receiver, count in duck} == expected
    types = {name: kind for name, kind, *_ in duckdb.sql(f"DESCRIBE SELECT * FROM {everything}").fetchall()}
    wanted = {"time": "TIMESTAMP WITH TIME ZONE", "relative_time_s": "DOUBLE", "nacp": "BIGINT", "code_nacp": "INTEGER",
              "address": "VARCHAR", "registers": "VARCHAR[]", "receiver": "VARCHAR", "message": "VARCHAR", "hour": "VARCHAR"}
    assert {name: types[name] for name in wanted} == wanted, types
    plan = duckdb.sql(f"EXPLAIN ANALYZE SELECT count(*) FROM {everything} WHERE message = 'airborne_position' "
                      "AND hour = '2026-11-27_22' AND address = 'A5C035'").fetchall()[0][1]
    few = len(list(tables.glob("message=airborne_position/hour=2026-11-27_22/*.parquet")))
    assert few and f"Scanning Files: {few}/{len(files)}" in plan or f"Total Files Read: {few}" in plan, plan

    # A minute of one hour: whole files and groups are passed over by the bounds of their times.
    positions = ds.dataset(tables / "message=airborne_position", partitioning="hive")
    from datetime import datetime, timezone
    first = datetime(2026, 11, 27, 23, 0, tzinfo=timezone.utc)
    groups = [group for fragment in positions.get_fragments() for group in fragment.split_by_row_group()]
    of_hour = [group for fragment in positions.get_fragments() for group in fragment.split_by_row_group(ds.field("time") >= first)]
    assert 0 < len(of_hour) < len(groups), (len(of_hour), len(groups))
    for file in files:
        metadata = pq.ParquetFile(file).metadata
        for group in range(metadata.num_row_groups):
            for column in range(metadata.num_columns):
                chunk = metadata.row_group(group).column(column)
                known = chunk.statistics
                if chunk.path_in_schema.startswith("registers"):
                    continue
                assert known is not None and known.has_null_count, chunk.path_in_schema
                assert known.has_min_max == (known.null_count < chunk.num_values), (chunk.path_in_schema, known)
                assert chunk.has_offset_index, chunk.path_in_schema
                if chunk.path_in_schema in ("time", "address", "position_latitude_deg"):
                    assert chunk.has_column_index, chunk.path_in_schema

    spark = spark_engine()
    seen = {}
    for message in sorted({message for message, _ in expected}):
        frames = spark.read.option("basePath", str(tables)).parquet(str(tables / f"message={message}"))
        for receiver, count in frames.groupBy("receiver").count().collect():
            seen[message, receiver] = count
    assert seen == expected
    frames = spark.read.option("basePath", str(tables)).parquet(str(tables / "message=airborne_position"))
    types = dict(frames.dtypes)
    wanted = {"time": "timestamp", "relative_time_s": "double", "nic": "bigint", "code_altitude": "int",
              "registers": "array<string>", "hour": "string", "message": "string"}
    assert all(types[name] == kind for name, kind in wanted.items() if name in types), types
    assert types["time"] == "timestamp" and types["hour"] == "string" and types["registers"] == "array<string>"
    one = frames.where("hour = '2026-11-27_22'")
    plan = one._jdf.queryExecution().executedPlan().toString()
    assert "PartitionFilters: [isnotnull(hour" in plan, plan
    assert 0 < one.count() < frames.count()
    late = frames.where(f.col("time") >= f.lit(first))
    assert "GreaterThanOrEqual(time" in late._jdf.queryExecution().executedPlan().toString()
    late_duck = duckdb.sql(f"SELECT count(*) FROM {everything} WHERE message = 'airborne_position' "
                           "AND time >= '2026-11-27 23:00:00+00'").fetchall()[0][0]
    assert late.count() == late_duck > 0
    spark.stop()
    print(f"partitioned: {len(files)} files of three processes, {sum(expected.values())} rows, in DuckDB, pyarrow and Spark")


if __name__ == "__main__":
    in_a_folder(main)
