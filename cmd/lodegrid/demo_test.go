package main

import (
	"regexp"
	"strings"
	"testing"
)

// The demo is a sign with two real problems: its surface gets too hot to touch and the
// supply in the drawer is too small. The duty that the report itself advises against the
// heat mends both and still holds every drop.
func TestDemoReport(t *testing.T) {
	r := lode("report", "--json")
	r.want(t, exitLimit)
	doc := oneDocument(t, r.out, "report")
	problems := map[string]string{}
	for _, p := range doc["problems"].([]any) {
		p := p.(map[string]any)
		problems[p["limit"].(string)] = p["advice"].(string)
	}
	if len(problems) != 2 || problems["limits.touch"] == "" || problems["supply.power"] == "" {
		t.Fatalf("the demo's problems are %v, want limits.touch and supply.power", problems)
	}
	duty := regexp.MustCompile(`drive\.max_duty of ([0-9.]+ %) or less`).FindStringSubmatch(problems["limits.touch"])
	if duty == nil {
		t.Fatalf("no duty in %q", problems["limits.touch"])
	}
	if duty[1] != demoDuty {
		t.Errorf("the duty that keeps the demo cool is %s, this test says %s", duty[1], demoDuty)
	}
	if f := regexp.MustCompile(`drive\.frequency of ([0-9.]+ kHz)`).FindStringSubmatch(problems["limits.touch"]); f != nil {
		r := lode("report", "--set", "drive.frequency="+f[1])
		if strings.Contains(r.out, "touch limit of 51.0 °C") {
			t.Errorf("%s was advised against the heat and leaves the surface too hot", f[1])
		}
	}
	lode("report", "--set", "drive.max_duty="+duty[1]).want(t, exitOK, "out:NO LIMIT IS BROKEN", "out:0 of 3808")
}

// demoDuty is the largest duty that keeps the demo's surfaces under 51 °C, as computed;
// it changes when the physics or the demo does, which is to be noticed.
const demoDuty = "10.8 %"
