#!/usr/bin/env python3
"""The C header that lodegrid frames --reader writes, compiled as strict C99 with the
sanitisers of GCC, against the CSV table of the same scene: the same levels and times in
every frame, in each drive mode and with 8 and 16 bits; cut, foreign and flipped data is
refused."""
import csv
import io
import pathlib
import subprocess
import tempfile

here = pathlib.Path(__file__).resolve().parent


def run(*args, codes=(0,)):
    r = subprocess.run([str(a) for a in args], capture_output=True, text=True)
    assert r.returncode in codes, (args, r.returncode, r.stdout[-300:], r.stderr[-300:])
    return r.stdout


with tempfile.TemporaryDirectory() as folder:
    folder = pathlib.Path(folder)
    lode = folder / "lodegrid"
    run("go", "build", "-o", lode, "./cmd/lodegrid")
    small = ["testdata/command/small.toml"]
    modes = ["direct", "stagger", "scan", "kick"]
    frames_in_all = 0
    for k, mode in enumerate(modes):
        for bits in 8, 16:
            series = 2 if mode == "direct" and bits == 16 else 1
            scene = ["--scene", ["tide", "plasma", "walk", "checker"][k], "--set", "drive.mode=" + mode, *(["--set", "drive.scan_rows=2"] if mode == "scan" else []),
                     *(["--set", "drive.in_series=2", "--scene", "all-on"] if series == 2 else [])]
            table, text = folder / f"{mode}{bits}.lvt", folder / f"{mode}{bits}.csv"
            header = ["--reader", folder / "lode_table.h", "--force"]
            run(lode, "frames", *small, *scene, "--bits", bits, "-o", table, *header, codes=(0, 4))
            run(lode, "frames", *small, *scene, "-o", text, codes=(0, 4))
            program = folder / "reader"
            if not program.exists():
                run("gcc", "-std=c99", "-Wall", "-Wextra", "-Wconversion", "-Werror", "-pedantic", "-O1", "-fsanitize=address,undefined",
                    "-fno-sanitize-recover", "-I", folder, "-o", program, here / "frames_c99.c")
            lines = run(program, table, *(["break"] if k < 2 and bits == 8 else [])).splitlines()
            head = list(map(int, lines[0].split()))
            rows = [r for r in csv.reader(io.StringIO(text.read_text())) if r and not r[0].startswith("#")]
            try:
                float(rows[0][0])
            except ValueError:
                rows = rows[1:]
            assert head[2] == len(rows) and head[3] == bits and head[4] == k, (head, len(rows))
            assert (head[9] > 0) == (mode == "kick") and (head[10] > 0) == (mode == "scan"), head
            assert head[15] == (-(-head[0] // 2) if mode == "scan" else 0) and head[16] == series, head
            full = 127 if bits == 8 else 32767
            for row, line in zip(rows, lines[1:]):
                got = list(map(int, line.split()))
                levels = [float(v) for v in row[1:]]
                assert got[0] == round(float(row[0]) * 1e6), (row[0], got[0])
                assert len(levels) == len(got) - 2 == head[0] * head[1]
                for want, level in zip(levels, got[2:]):
                    assert abs(want * full - level) <= 0.5 + 1e-9, (want, level)
                total = sum(map(abs, got[2:]))
                assert got[1] == -(-total // full), (got[1], total)
            frames_in_all += len(rows)
            words = [line for line in text.read_text().splitlines() if "guarantee" in line][0]
            assert f"{head[11]} pixels at most" in words, (head, words)
            assert (head[14] > 0) == (mode == "kick") and (mode != "kick" or f"kicked at once: {head[14]} " in words), (head, words)
            if len(lines) > 1 + len(rows):
                print(f"{mode}, {bits} bits: {lines[-1]}")
    print(f"{frames_in_all} frames in {len(modes)} modes with 8 and 16 bits: levels and times as in the CSV table")
