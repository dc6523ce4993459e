package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/scenes/choreograph"
)

// CarrySection is how a scene's drops are carried and what comes of it.
func CarrySection(d design.Design, r choreograph.Result) Section {
	p := r.Plan
	t := p.Timing
	percent := func(v float64) string { return fmt.Sprintf("%.1f %%", 100*v) }
	var keys []string
	for _, c := range r.Set(d) {
		keys = append(keys, fmt.Sprintf("--set %s=%q", c.Key, c.Value))
	}
	s := Section{Key: "carry", Title: "Drops carried from picture to picture", Facts: []Fact{
		Words("settings", "play it with", strings.Join(keys, " ")),
		{Key: "drops", Label: "drops", Value: p.Drops, Text: fmt.Sprint(p.Drops)},
		{Key: "moves", Label: "moves", Value: p.Moves, Text: fmt.Sprintf("%d in %d rounds", p.Moves, p.Rounds)},
		{Key: "rounds", Value: p.Rounds},
		{Key: "pictures", Label: "pictures", Value: p.Pictures, Text: fmt.Sprintf("%d, of which %d are never shown whole", p.Pictures, p.Overtaken)},
		{Key: "pictures_overtaken", Value: p.Overtaken}, {Key: "pictures_short", Value: p.Short},
		{Key: "shown_planned", Label: "wanted pixels with their drop", Value: p.Shown, Text: percent(p.Shown) + " by the plan at the frames' ends"},
		{Key: "stray_planned", Label: "drops where none is wanted", Value: p.Stray, Text: portion(p.Stray) + " those wanted"},
		{Key: "duration_s", Label: "duration", Value: p.Scene.Duration(), Text: quantity.Format(p.Scene.Duration(), quantity.Time)},
		{Key: "kick_duty", Label: "kick", Value: t.Duty, Text: fmt.Sprintf("%s of the supply, %s a pixel", quantity.Format(t.Duty, quantity.Ratio), quantity.Format(p.Kick, quantity.Power))},
		{Key: "kick_power_w", Value: p.Kick},
		derivedLevel("hold_level", "hold", t.HoldLevel), derivedLevel("guard_level", "guard beside a kick", t.Guard),
	}}
	for side, name := range [4]string{"up", "left", "right", "down"} {
		text := quantity.Format(t.Kick[side].Value, quantity.Time)
		if t.Kick[side].Value == 0 {
			text = "none, the grid is one pixel across"
		}
		s.Facts = append(s.Facts, Fact{Key: "kick_" + name + "_s", Label: "kick " + name, Value: t.Kick[side].Value, Text: text, Why: t.Kick[side].Why})
	}
	s.Facts = append(s.Facts,
		Number("settle_s", "settling after a kick", t.Settle, quantity.Time),
		Fact{Key: "passed_s", Label: "wait for a passed drop", Value: t.Back.Value, Text: quantity.Format(t.Back.Value, quantity.Time) + " after others went past it on both sides", Why: t.Back.Why},
		Fact{Key: "peak_frame_power_w", Label: "round that draws most", Value: p.Peak, Text: quantity.Format(p.Peak, quantity.Power) + ", all coils as cold as the coldest air"})
	kicks := 0
	for _, stop := range p.Stops {
		kicks += len(stop.Parted)
	}
	if p.Due > 0 {
		s.Facts = append(s.Facts, Fact{Key: "parting_kicks", Label: "kicks to part drops", Value: kicks, Text: fmt.Sprintf("%d of %d: the others had no drop beside them, no coil cool enough or no time", kicks, p.Due)},
			Fact{Key: "parting_kicks_due", Value: p.Due})
		for side, name := range [4]string{"up", "left", "right", "down"} {
			s.Facts = append(s.Facts, Fact{Key: "part_" + name + "_level", Value: t.Part[side].Value, Why: t.Part[side].Why})
		}
	}
	if p.Short > 0 {
		why := fmt.Sprintf("they want up to %d drops, there are %d", p.Most, p.Drops)
		switch {
		case p.Broken > 0 && p.Most <= p.Drops:
			why = fmt.Sprintf("wanted pixels are broken, or cut off by broken ones (%d broken)", p.Broken)
		case p.Most > p.Drops && p.Drops == d.Drive.MostLit:
			why += ", as many as pixels that the firmware lights (drive.most_lit)"
		}
		s.Notes = append(s.Notes, fmt.Sprintf("Pictures that cannot be shown whole at any speed: %d; %s. They are shown as far as drops go.", p.Short, why))
	}
	if p.Stray > 0 {
		s.Notes = append(s.Notes, "The number of drops stays the same: where a picture wants fewer, the others stand on dark pixels.")
	}
	if f := r.Proof; f != nil {
		s.Facts = append(s.Facts,
			Fact{Key: "tank_time_s", Label: "tried in the tank", Value: f.Seconds, Text: fmt.Sprintf("the first %s at %d cells per pitch", quantity.Format(f.Seconds, quantity.Time), f.Cells)},
			Fact{Key: "tank_confirmed", Label: "the tank confirms", Value: f.Share(), Text: fmt.Sprintf("%s: %d of %d places at least half full when drops stand, the emptiest %s", percent(f.Share()), f.Full, f.Places, percent(f.Least))},
			Fact{Key: "tank_shown", Label: "wanted pixels half full or more", Value: f.Shown, Text: fmt.Sprintf("%s by the tank at the frames' ends; drops on dark pixels: %s those wanted", percent(f.Shown), portion(f.Stray))},
			Fact{Key: "tank_lost", Label: "drops lost", Value: len(f.Lost), Text: fmt.Sprintf("%d; plans tried: %d", len(f.Lost), f.Tries)},
			Fact{Key: "tank_plans", Value: f.Tries})
		if len(f.Lost) > 0 {
			s.Tables = append(s.Tables, lossTable(d, f.Lost))
		}
		if r.Held {
			s.Notes = append(s.Notes, "The tank loses drops that only stand: no slower move mends that. A stronger hold would: more drive.max_duty, or a smaller fluid.density_difference.")
		}
	}
	return s
}

func derivedLevel(key, label string, v quantity.Derived) Fact {
	return Fact{Key: key, Label: label, Value: v.Value, Text: fmt.Sprintf("level %s", quantity.Figure(v.Value, 3)), Why: v.Why}
}

// lossTable lists the drops that the tank lost.
func lossTable(d design.Design, lost []choreograph.Loss) Table {
	t := Table{Key: "tank_losses", Title: "Lost in the tank", Brief: 8,
		Columns: []Column{{"time_s", "at"}, {"row", "row"}, {"column", "column"}, {"share", "its place is full"}, {"while", "while"}}}
	for _, l := range lost {
		doing := "held"
		switch {
		case l.Arriving:
			doing = "arriving"
		case l.Guarded:
			doing = "guarded"
		}
		t.Rows = append(t.Rows, []Cell{
			{l.Time, quantity.Format(l.Time, quantity.Time)}, {l.Pixel/d.Grid.Cols + 1, fmt.Sprint(l.Pixel/d.Grid.Cols + 1)}, {l.Pixel%d.Grid.Cols + 1, fmt.Sprint(l.Pixel%d.Grid.Cols + 1)},
			{l.Share, fmt.Sprintf("%.0f %%", 100*l.Share)}, {doing, doing},
		})
	}
	return t
}

// CompareCarried adds what a carried scene costs beside the same with its pixels just
// switched, and how fast it may run.
func CompareCarried(s *Section, d design.Design, r choreograph.Result, c choreograph.Comparison) {
	t := comparison("carried", d, c.Before, c.After)
	t.Title = "Looped, with pixels just switched and with drops carried"
	s.Tables = append(s.Tables, t)
	if r.Proof != nil {
		s.Facts = append(s.Facts, Fact{Key: "tank_shown_switched", Label: "with pixels just switched", Value: c.Light, Text: fmt.Sprintf("%.1f %% by the tank over the same time", 100*c.Light)})
	}
	f := Fact{Key: "fastest_speed", Label: "fastest that follows", Value: c.Speed, Text: fmt.Sprintf("%s × the scene's speed: %.1f %% of the wanted pixels by the plan then, whose heat is not judged", quantity.Figure(c.Speed, 2), 100*c.Shown)}
	if c.Speed == 0 {
		f.Value, f.Text = Word("none"), fmt.Sprintf("none: even %.0f times slower the plan shows less than %.0f %%", c.Slowest, 100*choreograph.Follows)
	}
	s.Facts = append(s.Facts, f, Fact{Key: "fastest_shown", Value: c.Shown})
}

// LastingCarried adds what a carried scene shows that is looped while drops run together: as
// the design parts them, and parted more and more often; broken are the limits that are broken
// by the design with the last of these.
func LastingCarried(s *Section, d design.Design, days choreograph.Days, list []choreograph.Lasting, broken []Problem) {
	t := Table{Key: "loops", Title: fmt.Sprintf("Looped %d times while %s of the drops that arrive run together with one beside them: by counting drops, %d times by chance for each of %d plans, each of which parts drops a little later than the one before", days.Loops, quantity.Format(days.Loss, quantity.Ratio), choreograph.Lives, choreograph.Plans),
		Columns: []Column{{"gather_s", "drops parted every"}, {"kept", fmt.Sprintf("of %d keep %s", choreograph.Lives, quantity.Format(d.Limits.Shown, quantity.Ratio))}, {"kept_deviation", "±"}, {"kept_worst", "worst plan"}, {"least", "the worst loop"}, {"least_deviation", "±"}, {"last", "the last"}, {"last_deviation", "±"}, {"fused", "run together"}, {"fused_deviation", "±"}}}
	for _, l := range list {
		every := "never"
		switch minutes := l.Every / 60; {
		case l.Every > 0 && minutes < 120 && minutes == math.Trunc(minutes):
			every = fmt.Sprintf("%g min", minutes)
		case l.Every > 0:
			every = quantity.Format(l.Every, quantity.Time)
		}
		row := []Cell{{l.Every, every}, {l.Kept.Mean, fmt.Sprintf("%.1f", l.Kept.Mean)}, {l.Kept.Deviation, fmt.Sprintf("%.1f", l.Kept.Deviation)}, {l.Worst, fmt.Sprintf("%.0f", l.Worst)}}
		for k, v := range []choreograph.Spread{l.Shown, l.Last, l.Fused} {
			form, scale := "%.1f %%", 100.0
			if k == 2 {
				form, scale = "%.1f", 1
			}
			row = append(row, Cell{v.Mean, fmt.Sprintf(form, scale*v.Mean)}, Cell{v.Deviation, fmt.Sprintf(form, scale*v.Deviation)})
		}
		t.Rows = append(t.Rows, row)
	}
	s.Tables = append(s.Tables, t)
	s.Notes = append(s.Notes, fmt.Sprintf("That %s run together is what --loss says, a guess: what a film counts, over its moves, is a better one.", quantity.Format(days.Loss, quantity.Ratio)))
	switch best := list[len(list)-1]; {
	case list[0].Kept.Mean >= choreograph.Enough:
		s.Notes = append(s.Notes, "It lasts as it is.")
	case best.Kept.Mean < choreograph.Enough:
		note := "However often drops are parted, some loop shows too little: the scene does not last."
		if len(list) > 1 && !slices.ContainsFunc(list[1:], func(l choreograph.Lasting) bool { return l.Kept.Mean >= list[0].Kept.Mean }) {
			note += " Never to part them (scene.gather = \"0 s\") keeps most."
		}
		s.Notes = append(s.Notes, note)
	default:
		note := fmt.Sprintf("scene.gather = %q is the longest of the times tried with which every loop shows enough in %d or more of %d such days, on the mean of the plans", quantity.Format(best.Every, quantity.Time), choreograph.Enough, choreograph.Lives)
		if len(broken) == 0 {
			note += "; no limit is broken then."
		}
		for _, p := range broken {
			note += "; but then: " + p.What
		}
		s.Notes = append(s.Notes, note)
	}
}

// byHand is how a display does without a start out of the pool.
const byHand = "fluid.start = \"picture\", with the drops put in by hand while the first picture is on"

// JudgeStart adds to what is wrong that drops which begin in the pool stay in it, that the tank
// loses some of those that come out, and that the start gets the board too hot.
func (doc *Document) JudgeStart(d design.Design, s choreograph.Start) {
	n, before := s.Came, len(doc.Problems)
	defer func() {
		if len(doc.Problems) > before {
			doc.Cure = "" // that of the loop does not mend it
		}
	}()
	if hot := s.Once.Hottest; s.TooHot(d.Limits) {
		doc.Problems = append(doc.Problems, Problem{Key: "start", What: fmt.Sprintf("The start that brings the drops out of the pool heats a coil to %s, over limits.board (%s).", celsius(hot), celsius(d.Limits.Board)),
			Advice: []string{byHand}})
	}
	if s.Unconfirmed() {
		doc.Problems = append(doc.Problems, Problem{Key: "start", What: fmt.Sprintf("Of %s that the pool gives the tank has %d on their pixels when the start is over, played from its beginning.", quantity.Count(n, "drop"), s.Confirmed),
			Advice: []string{byHand}})
	}
	if n == s.Drops {
		return
	}
	p := Problem{Key: "start", What: fmt.Sprintf("Of the %d drops that the pictures want %d come out of the pool, which is %s deep with all of them in it; the others stay there.", s.Drops, n, quantity.Format(s.Depth, quantity.Length))}
	if s.Volume > 0 {
		p.Advice = append(p.Advice, fmt.Sprintf("fluid.volume = %q: %d come out, by the tank", quantity.Format(s.Volume, quantity.Volume), s.Most))
	}
	p.Advice = append(p.Advice, byHand)
	doc.Problems = append(doc.Problems, p)
}

// StartCarried adds how the drops of a carried scene come out of the pool, and what playing that
// once from rest draws and heats.
func StartCarried(s *Section, d design.Design, st choreograph.Start) {
	once := st.Once
	mm := func(v float64) string { return quantity.Format(v, quantity.Length) }
	s.Facts = append(s.Facts,
		Fact{Key: "start_depth_m", Label: "pool with all drops fallen", Value: st.Depth, Text: mm(st.Depth) + " deep"},
		Fact{Key: "start_lifted", Label: "drops that come out of it", Value: st.Came, Text: fmt.Sprintf("%d of %d, by the tank with %d cells a pitch, in which the start is planned", st.Came, st.Drops, st.Cells)})
	if st.Came < st.Drops {
		s.Facts = append(s.Facts, Fact{Key: "start_left_m", Label: "pool that gives no more", Value: st.Left, Text: mm(st.Left) + " deep"})
	}
	if len(st.Lifts) > 0 {
		first, last := st.Lifts[0], st.Lifts[len(st.Lifts)-1]
		s.Facts = append(s.Facts,
			Fact{Key: "start_least_m", Label: "shallowest pool that gave one", Value: last.Depth, Text: mm(last.Depth)},
			Fact{Key: "start_first_drops", Label: "a drop out of the pool", Value: first.Drops, Text: fmt.Sprintf("the first by a kick of %s is %.2f of a drop, the last by %s %.2f", quantity.Format(first.Kick, quantity.Time), first.Drops, quantity.Format(last.Kick, quantity.Time), last.Drops)},
			Number("start_fall_s", "all off at first, until all have fallen", st.Fall, quantity.Time),
			Number("start_s", "the start takes", st.Scene.Duration(), quantity.Time),
			Fact{Key: "start_hottest_k", Label: "hottest coil, started cold", Value: once.Hottest, Text: fmt.Sprintf("%s, surface within reach %s", celsius(once.Hottest), celsius(once.Touch))},
			Number("start_peak_frame_power_w", "its frame that draws most", once.PeakFramePower, quantity.Power))
		switch {
		case st.TooHot(d.Limits):
			s.Notes = append(s.Notes, fmt.Sprintf("The start heats the board over limits.board (%s): do not play it.", celsius(d.Limits.Board)))
		case once.Touch > d.Limits.Touch:
			s.Notes = append(s.Notes, fmt.Sprintf("The start heats a surface within reach over limits.touch (%s) for a while: keep hands off until it is over.", celsius(d.Limits.Touch)))
		}
	}
	if st.Confirmed >= 0 {
		s.Facts = append(s.Facts, Fact{Key: "start_confirmed", Label: "the tank confirms", Value: st.Confirmed, Text: fmt.Sprintf("%d of %d pixels at least half full when the start is over, played from the beginning with %d cells", st.Confirmed, st.Drops, st.Again)})
	}
	switch {
	case st.Came == st.Drops:
	case st.Volume > 0:
		s.Notes = append(s.Notes, fmt.Sprintf("The pool gets too shallow, or is too deep for a drop to come off. With fluid.volume = %q %d of %d come out, by the tank.", quantity.Format(st.Volume, quantity.Volume), st.Most, st.Drops))
	default:
		s.Notes = append(s.Notes, "No pool that was tried gives more: a stronger kick (drive.max_duty), or drops put in by hand.")
	}
}
