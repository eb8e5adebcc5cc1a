"""(c) The tables say what JSON says, value by value, read by pyarrow, DuckDB and Spark."""

import json
import os
from pathlib import Path

import duckdb
import pyarrow as pa
import pyarrow.csv
import pyarrow.dataset as ds
import pyarrow.parquet as pq

from night import PROGRAM, ROOT, in_a_folder, mixed, run, spark_engine

COUNT = int(os.environ.get("SQUITTERLAB_FRAMES", 1_000_000))
# What a table has and an object does not say in this form.
NOT_IN_JSON = {"version_in_force", "receiver"}
MOMENTS_FROM = 1e9


def same(a, b):
    return a == b and isinstance(a, bool) == isinstance(b, bool)


def expected(name, o, names):
    """What an object says of a column."""
    fields, codes = o["fields"], o["codes"]
    if name == "time":
        time = o.get("time")
        return round(time * 1e6) if time is not None and time >= MOMENTS_FROM else None
    if name == "relative_time_s":
        time = o.get("time")
        return time if time is not None and time < MOMENTS_FROM else None
    if name.startswith("code_"):
        return codes.get(name[5:])
    if name.startswith("interrogator_") and name in ("interrogator_kind", "interrogator_code"):
        return o.get("interrogator_code", {}).get(name[13:])
    if name in ("position_latitude_deg", "position_longitude_deg", "position_method"):
        return o.get("position", {}).get(name[9:])
    if name == "registers":
        return [each["register"] for each in o["registers"]] if "registers" in o else None
    if name.startswith("contradiction_"):
        says = list(o.get("contradiction", {}).items())
        if not says:
            return None
        return {"field": says[0][0], "envelope": says[0][1], "message": says[1][1]}[name[14:]]
    if name.startswith("state_change_"):
        change = o.get("state_change")
        which, by = (name[13:].removesuffix("_by"), name.endswith("_by"))
        return change[which]["by" if by else "state"] if change else None
    if name.startswith("heights_"):
        return o.get("heights", {}).get(name[8:])
    if name.startswith("disagreement_"):
        return o.get("disagreement", {}).get(name[13:])
    if name.startswith("data_overlay_"):
        return o.get("possible_data_overlay", {}).get(name[13:])
    if name in ("file", "line", "frame", "downlink_format", "address", "address_confirmed", "parity", "position_refused"):
        return o.get(name)
    if name.endswith("_word") and name[:-5] in names:
        value = fields.get(name[:-5])
        return value if isinstance(value, str) else None
    value = fields.get(name)
    return None if isinstance(value, str) and f"{name}_word" in names else value


def main(folder):
    capture, tables, texts = folder / "mixed.txt", folder / "tables", folder / "texts"
    mixed(capture, COUNT)
    objects = folder / "mixed.json"
    run("decode", capture, "--format", "json", "--out", objects)
    for form, into in (("parquet", tables), ("csv", texts)):
        run("decode", capture, "--format", form, "--out-dir", into, "--column", "receiver=north")
    run("decode", capture, "--format", "parquet", "--out", folder / "wide.parquet")
    by_message = {}
    with open(objects) as lines:
        for line in lines:
            message = json.loads(line)["message"]
            by_message.setdefault(message, []).append(line)
    assert sum(map(len, by_message.values())) == COUNT
    values = 0
    read = {}
    for message, lines in sorted(by_message.items()):
        parts = sorted((tables / f"message={message}").glob("*.parquet"))
        table = pa.concat_tables([pq.read_table(part, partitioning=None) for part in parts]).sort_by("line")
        read[message] = table
        assert table.num_rows == len(lines), message
        names = set(table.column_names)
        all_objects = [json.loads(line) for line in lines]
        for o in all_objects:
            for name in o["fields"]:
                assert name in names or name.endswith("_meaning") or name.removesuffix("_beyond") in names, (message, name)
            assert all(f"code_{name}" in names for name in o["codes"]), message
        for name in table.column_names:
            if name in NOT_IN_JSON:
                continue
            column = table[name]
            found = (column.cast(pa.int64()) if name == "time" else column).to_pylist()
            for at, o in enumerate(all_objects):
                wanted = expected(name, o, names)
                assert same(found[at], wanted), (message, name, found[at], wanted, o)
                values += 1
        # The same columns and values as text.
        kinds = {field.name: pa.string() if pa.types.is_list(field.type) else field.type for field in table.schema}
        options = pa.csv.ConvertOptions(column_types=kinds, strings_can_be_null=True, quoted_strings_can_be_null=False,
                                        null_values=[""])
        parts = sorted((texts / f"message={message}").glob("*.csv"))
        text = pa.concat_tables([pa.csv.read_csv(part, convert_options=options) for part in parts]).sort_by("line")
        assert text.column_names == table.column_names
        for name in table.column_names:
            one, other = table[name], text[name]
            if name == "registers":
                other = [None if each is None else json.loads(each) for each in other.to_pylist()]
                assert one.to_pylist() == other, (message, name)
            elif pa.types.is_string(one.type):
                blank = lambda column: [each or None for each in column.to_pylist()]
                assert blank(one) == blank(other), (message, name)
            else:
                assert one.to_pylist() == other.to_pylist(), (message, name)
        # DuckDB reads the same.
        duck = duckdb.sql(f"SELECT * FROM read_parquet('{tables}/message={message}/*.parquet', hive_partitioning = false) "
                          "ORDER BY line").to_arrow_table()
        for name in table.column_names:
            one, other = table[name], duck[name]
            if name == "time":
                one, other = one.cast(pa.int64()), other.cast(pa.timestamp("us", "UTC")).cast(pa.int64())
            assert one.to_pylist() == other.to_pylist(), (message, name)
    # The wide table has the same cells for every name that it has.
    wide = pq.read_table(folder / "wide.parquet")
    assert wide.num_rows == COUNT and pq.ParquetFile(folder / "wide.parquet").metadata.num_row_groups >= 1
    for message, table in read.items():
        some = wide.filter(pa.compute.equal(wide["message"], message))
        for name in set(table.column_names) & set(wide.column_names) - {"receiver"}:
            assert some[name].to_pylist() == table[name].to_pylist(), (message, name)
    # Spark reads every part and writes it again; what it wrote is what was there.
    spark = spark_engine((("spark.driver.memory", "2g"), ("spark.sql.parquet.outputTimestampType", "TIMESTAMP_MICROS")))
    for message, table in sorted(read.items()):
        again = folder / "again" / message
        spark.read.parquet(f"{tables}/message={message}").write.parquet(str(again))
        other = pa.concat_tables([pq.read_table(part, partitioning=None) for part in sorted(again.glob("*.parquet"))]).sort_by("line")
        for name in table.column_names:
            one, two = table[name], other[name]
            if name == "time":
                one, two = one.cast(pa.int64()), two.cast(pa.timestamp("us", "UTC")).cast(pa.int64())
            assert one.to_pylist() == two.to_pylist(), (message, name)
    spark.stop()
    print(f"values: {values} values of {COUNT} frames in {len(read)} tables are those of JSON, in Parquet and CSV")


if __name__ == "__main__":
    in_a_folder(main)
