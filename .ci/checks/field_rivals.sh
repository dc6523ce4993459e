#!/usr/bin/env bash
# Speed of the field formulas against C: loops with GSL's elliptic integrals and
# plain straight conductors, the same work on both sides in the same run. Prints the
# ratios; fails when the two sides do not compute the same sum.
set -euo pipefail
cd "$(dirname "$0")/../.."
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
gcc -O3 -march=native testdata/rivals/loops_gsl.c -o "$dir/loops" -lgsl -lgslcblas -lm
gcc -O3 -march=native testdata/rivals/segments.c -o "$dir/segments" -lm
gcc -O3 -march=native -ffast-math testdata/rivals/segments.c -o "$dir/segments_fast" -lm
go test -c -o "$dir/field.test" ./field

# compare NAME BENCHMARK UNIT PROGRAM: the best of many short runs, the sides taking turns.
compare() {
  local name=$1 bench=$2 unit=$3 program=$4
  for _ in 1 2 3 4 5; do
    "$dir/$program" | awk '{print "c", $1, $2}'
    (cd field && "$dir/field.test" -test.run '^$' -test.bench "^$bench\$" -test.benchtime 20ms -test.count 5) |
      awk -v OFMT=%.15g -v CONVFMT=%.15g -v unit="$unit" '/ns\/op/ {for (i = 1; i < NF; i++) {if ($(i+1) == unit) s = $i; if ($(i+1) == "checksum") c = $i} print "go", s, c * 1e-15}'
  done | awk -v name="$name" '
    {if ($2 > best[$1]) best[$1] = $2; sum[$1] = $3; n[$1]++}
    END {
      if (n["c"] != 5 || n["go"] != 25) {print name ": a side did not report"; exit 1}
      off = sum["go"] / sum["c"] - 1; if (off < 0) off = -off
      printf "%-42s sums %.15g %.15g Go %.3g/s  C %.3g/s  Go/C %.2f  sums apart %.1e\n", name, sum["go"], sum["c"], best["go"], best["c"], best["go"] / best["c"], off
      if (!(off < 1e-9)) {print name ": the sums differ"; exit 1}
    }'
}
compare 'loops, C with GSL elliptic integrals' BenchmarkRivalLoops loops/s loops
compare 'straight conductors, C -O3' BenchmarkRivalSegments segments/s segments
compare 'straight conductors, C -O3 -ffast-math' BenchmarkRivalSegments segments/s segments_fast
