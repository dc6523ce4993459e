package render

import (
	"fmt"
	"math"
	"strings"

	"lodegrid/array/design"
	"lodegrid/array/fit"
)

// FitSection is what readings on the bench say about a design.
func FitSection(a *fit.Answer) Section {
	s := Section{Key: "fit", Title: "What the readings say"}
	doubted := a.DoubtedCount()
	rms := math.Sqrt(a.ChiSquare())
	s.Facts = []Fact{
		{Key: "readings", Label: "readings", Value: len(a.Readings), Text: fmt.Sprint(len(a.Readings))},
		{Key: "doubted", Label: "of them doubted", Value: doubted, Text: fmt.Sprintf("%d, rather slips than readings", doubted)},
		{Key: "misfit", Label: "misfit of the others", Value: rms, Text: fmt.Sprintf("%.2f errors (root mean square); near 1 when the errors are those told", rms)},
		{Key: "spare_readings", Label: "readings beyond what is settled", Value: a.Freedom, Text: fmt.Sprint(a.Freedom)},
	}
	t := Table{Key: "values", Title: "Values: one standard deviation each", Columns: []Column{
		{"key", "key"}, {"before", "before"}, {"before_sd", "±"}, {"fitted", "fitted"}, {"sd", "±"}, {"settled", "settled"},
	}}
	for i, b := range a.Before {
		after, was := a.After[i], a.Design.ValueOf(b.Key)
		t.Rows = append(t.Rows, []Cell{
			Say(b.Key), {was, design.Show(b.Key, was, b.Sd)}, {b.Sd, design.ShowSd(b.Key, b.Sd)},
			{a.Values[i], design.Show(b.Key, a.Values[i], after.Sd)}, {after.Sd, design.ShowSd(b.Key, after.Sd)}, {a.Gained[i], percent(a.Gained[i])},
		})
	}
	pairs := Table{Key: "correlations", Title: "Values that go together", Columns: []Column{{"key", "key"}, {"with", "with"}, {"correlation", "correlation"}}}
	for _, after := range a.After {
		for k, c := range after.With {
			if math.Abs(c) >= 0.5 {
				pairs.Rows = append(pairs.Rows, []Cell{Say(after.Key), Say(a.After[k].Key), {c, fmt.Sprintf("%.2f", c)}})
			}
		}
	}
	list := Table{Key: "list", Title: "Readings", Columns: []Column{
		{"line", "line"}, {"kind", "what"}, {"setup", "at"}, {"read", "read"}, {"error", "±"}, {"before", "before"}, {"fitted", "fitted"}, {"off", "off by"}, {"doubted", ""},
	}}
	off, was := Line{Label: "fitted", Apart: true}, Line{Label: "by the design as it was", Apart: true}
	for i, r := range a.Readings {
		doubt := ""
		if a.Doubted[i] {
			doubt = "doubted"
		}
		list.Rows = append(list.Rows, []Cell{
			{r.Line, fmt.Sprint(r.Line)}, Say(string(r.Kind)), Say(r.String()), {r.Value, r.Kind.Text(r.Value, false)}, {r.Error, r.Kind.Text(r.Error, true)},
			{a.First[i], r.Kind.Text(a.First[i], false)}, {a.Predicted[i], r.Kind.Text(a.Predicted[i], false)},
			{a.Misfit[i], fmt.Sprintf("%+.1f errors", math.Round(10*a.Misfit[i])/10+0)}, {a.Doubted[i], doubt},
		})
		off.X, off.Y = append(off.X, float64(i+1)), append(off.Y, a.Misfit[i])
		was.X, was.Y = append(was.X, float64(i+1)), append(was.Y, (a.First[i]-r.Value)/r.Error)
	}
	s.Tables = []Table{t}
	if pairs.Rows != nil {
		s.Tables = append(s.Tables, pairs)
	}
	s.Tables = append(s.Tables, list)
	for _, set := range a.Alike {
		s.Notes = append(s.Notes, fmt.Sprintf("These readings cannot tell %s apart: they move them alike.", strings.Join(set, " and ")))
	}
	var untold []string
	for i, t := range a.Before {
		if a.Gained[i] < 0.1 {
			untold = append(untold, t.Key)
		}
	}
	if untold != nil {
		s.Notes = append(s.Notes, "These readings say hardly anything about "+strings.Join(untold, ", ")+": as doubtful as the tolerances leave them.")
	}
	if a.Contradicts() {
		s.Notes = append(s.Notes, "The readings contradict each other, or this model: too many of them are too far off. Do not rely on the errors above before you know why.")
	}
	s.Notes = append(s.Notes, "Least squares; which readings are slips is found from Huber's loss on by the odds of every set that may be (even odds at 3 errors), and what that leaves unsure is in the errors, to an eighth of them; values not read are held by their tolerances (common practice, no source, unless [[doubt]] states them). Steel's answer is that of the coil as drawn.")
	chart := Chart{Title: "What the fit leaves of each reading", X: "reading, as in the table", Y: "off by (errors)", Lines: []Line{off, was}, Levels: []Level{{"doubted above", 3}, {"doubted below", -3}}}
	s.Figures = []Figure{{Caption: chart.Title, Chart: &chart}}
	return s
}
