"""Has ngspice integrate a netlist, and reads what it measured."""
import os
import re
import subprocess
import sys
import tempfile


def version():
    return re.search(r"ngspice-\S+", subprocess.run(["ngspice", "--version"], capture_output=True, text=True).stdout).group(0)


def run(lines, names=()):
    """The values that .meas found under names, or without names all that was printed."""
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "net.cir")
        with open(path, "w") as f:
            f.write("\n".join(list(lines) + [".end", ""]))
        done = subprocess.run(["ngspice", "-b", path], capture_output=True, text=True, timeout=120)
    if not names:
        if done.returncode != 0:
            sys.exit("ngspice failed:\n" + done.stdout + done.stderr)
        return done.stdout
    got = []
    for n in names:
        m = re.search(rf"^{n}\s*=\s*([-+.\deE]+)", done.stdout, re.M)
        if not m:
            sys.exit(f"ngspice printed no {n}:\n{done.stdout}{done.stderr}")
        got.append(float(m.group(1)))
    return got
