package carry

import (
	"encoding/json"
	"os"
	"strings"
	"testing"
)

// Steps and moves are those that SciPy finds by its maximum flow and by linear
// programming on networks that it writes down arc by arc.
func TestAgainstSciPy(t *testing.T) {
	data, err := os.ReadFile("../../testdata/carry/flows.json")
	if err != nil {
		t.Fatal(err)
	}
	var stored struct {
		Cases []struct {
			From, To     []string
			Pool         bool
			Steps, Moves int
		}
	}
	if err := json.Unmarshal(data, &stored); err != nil {
		t.Fatal(err)
	}
	if len(stored.Cases) < 9 {
		t.Fatalf("only %d cases are stored", len(stored.Cases))
	}
	lit := func(rows []string) (set []bool) {
		for _, c := range strings.Join(rows, "") {
			set = append(set, c == '#')
		}
		return set
	}
	for k, c := range stored.Cases {
		p := Problem{Rows: len(c.From), Cols: len(c.From[0]), From: lit(c.From), To: lit(c.To), Pool: c.Pool}
		plan := solved(t, p)
		if plan.Steps != c.Steps || len(plan.Moves) != c.Moves {
			t.Errorf("case %d: %d steps and %d moves, SciPy finds %d and %d", k, plan.Steps, len(plan.Moves), c.Steps, c.Moves)
		}
	}
}
