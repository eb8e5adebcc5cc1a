"""The guide's question, asked of both engines as the guide asks it: which of our aircraft dipped below NACp 8, where and when."""

import os
import re
from pathlib import Path

from night import RECEIVERS, ROOT, in_a_folder, night, run

GUIDE = ROOT / "src" / "guide" / "engineer.md"


def blocks(kind):
    """The pieces of the guide in this language, in order."""
    return re.findall(rf"```{kind}\n(.*?)```", GUIDE.read_text(), re.S)


def main(folder):
    captures, dipping = night(folder)
    for line in blocks("sh")[0].replace("\\\n", " ").splitlines():
        words = line.replace("squitterlab ", "", 1).split()
        assert words[0] == "decode", line
        words = [str(folder / word) if word in (*RECEIVERS, "tables") else word for word in words]
        run(*words)
    (folder / "fleet").symlink_to(ROOT / "vectors" / "demo" / "fleet")
    os.chdir(folder)
    statement = blocks("sql")[0]
    assert statement.strip() == (Path(__file__).parent / "dips.sql").read_text().strip(), "the guide asks another question"
    Path("dips.sql").write_text(statement)
    answers = []
    for program in blocks("python"):
        room = {}
        exec(program, room)
        answers.append([tuple(row) for row in room["rows"]])
    assert len(answers) == 2
    plain = [[(address, receiver, first.strftime("%H:%M:%S"), last.strftime("%H:%M:%S"), nacp, frames, latitude, longitude)
              for address, receiver, first, last, nacp, frames, latitude, longitude in rows] for rows in answers]
    assert plain[0] == plain[1], plain
    # What was planted: see night.py.
    assert [row[:2] for row in plain[0]] == [(dipping, "east"), (dipping, "north")], plain[0]
    for row in plain[0]:
        assert "23:05:00" <= row[2] <= row[3] <= "23:05:12" and row[4] == 7 and row[5] >= 3, row
        assert row[6] is not None and row[7] is not None, row
    shown = blocks("text")[-1]
    for row in plain[0]:
        for cell in row:
            assert str(cell) in shown, (cell, shown)
    print(f"dips: DuckDB and Spark find the planted dip of {dipping}, where and when, with the guide's statement")


if __name__ == "__main__":
    in_a_folder(main)
