package main

import "testing"

// Values at the edge of what the physics bears, through the whole report: told with what
// would be accepted, or computed to figures that lie where they must.
func TestReportAtTheEdges(t *testing.T) {
	t.Parallel()
	const steel = "iron.model=fem"
	for _, c := range []struct {
		name    string
		changes []string
		code    int
		texts   []string
	}{
		{"relaxation 0", []string{"fluid.relaxation=0 s"}, exitOK, []string{"out:ripple that the fluid follows            100 % of its mean square"}},
		{"relaxation as good as infinite", []string{"fluid.relaxation=1 h"}, exitOK, []string{"out:ripple that the fluid follows            0 % of its mean square"}},
		{"relaxation infinite", []string{"fluid.relaxation=inf s"}, exitInput, []string{"fluid.relaxation", "not a finite number", "accepted"}},
		{"relaxation negative", []string{"fluid.relaxation=-1 s"}, exitInput, []string{"fluid.relaxation", "accepted: 0 s to 1 h"}},
		{"surface tension 0", []string{"fluid.surface_tension=0 mN/m"}, exitInput, []string{"fluid.surface_tension", "more than 0"}},
		{"steel that is as good as none", []string{steel, "iron.steel=austenitic-stainless"}, exitOK, []string{"out:(× 1.00"}},
		{"magnet touching the steel's front", []string{steel, "iron.gap=0.3 mm", "magnet.kind=pixel", "magnet.depth=0.1 mm", "magnet.length=0.2 mm"}, exitLimit, []string{"out:PROBLEM"}},
		{"magnet touching the steel's back", []string{steel, "iron.gap=0.3 mm", "iron.thickness=1 mm", "magnet.kind=pixel", "magnet.depth=1.3 mm"}, exitOK, []string{"out:The magnets lie behind the steel"}},
		{"magnet in the steel", []string{steel, "iron.gap=0.3 mm", "magnet.kind=pixel", "magnet.depth=0.2 mm", "magnet.length=0.2 mm"}, exitInput, []string{"they overlap", "accepted: magnet.depth"}},
		{"pins wider than the coil's middle, and than the pitch", []string{steel, "iron.core_radius=7 mm"}, exitInput, []string{"iron.core_radius", "does not fit", "or less"}},
		{"discs wider than the pitch", []string{steel, "iron.radius=7 mm"}, exitInput, []string{"iron.radius", "overlap at a pitch of 12 mm", "6 mm or less"}},
		{"kick longer than the frame", []string{"drive.mode=kick", "drive.max_duty=50 %", "drive.hold_duty=6.5 %", "drive.kick_time=10 s"}, exitLimit, []string{"out:for 10 s"}},
		{"kick longer than any", []string{"drive.mode=kick", "drive.kick_time=600 s"}, exitInput, []string{"drive.kick_time", "accepted: 0 s to 60 s"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			args := []string{"report", "../../testdata/command/small.toml"}
			for _, s := range c.changes {
				args = append(args, "--set", s)
			}
			if c.code == exitInput {
				lode(args...).want(t, c.code, c.texts...)
				return
			}
			// What its figures are in doubt by, and what mends it, is asked elsewhere.
			doc, err := documentBy("report", args[1:], func(j *job) { j.nominal = &j.design })
			if err != nil || (len(doc.Problems) > 0) != (c.code == exitLimit) {
				t.Errorf("%d problems, %v", len(doc.Problems), err)
			}
			(result{c.code, textOf(t, doc, 0, false), ""}).want(t, c.code, c.texts...)
		})
	}
}
