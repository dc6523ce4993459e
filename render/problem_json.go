package render

import (
	"lodegrid/array/design"
	"lodegrid/scenes/verdict"
)

// unitOf is how the keys of a limit's figures end: in their unit, or in none where they are
// ratios and counts.
func unitOf(l verdict.Limit) string {
	switch {
	case l.Thermal():
		return "_k"
	case l == verdict.Power:
		return "_w"
	case l == verdict.Driver:
		return "_a"
	}
	return ""
}

// object is a problem for programs: the limit's key, what was found and what is allowed,
// where, and the remedies with what each leaves. A display that settles in no state is
// infinitely hot.
func (p Problem) object() *object {
	o := &object{}
	o.put("limit", p.Key)
	if f := p.Found; f != nil {
		unit := unitOf(f.Limit)
		o.put("value"+unit, f.Value)
		o.put("bound"+unit, f.Bound)
		if f.Pixel >= 0 {
			o.put("pixel", f.Pixel)
		}
		if f.Frame >= 0 {
			o.put("frame", f.Frame+1)
		}
		if f.Count > 0 {
			o.put("count", f.Count)
		}
		list := make([]*object, 0, len(f.Remedies))
		for _, r := range f.Remedies {
			m := &object{}
			m.put("set", changes(r.Set))
			m.put("value"+unit, r.Value)
			left := append([]verdict.Limit{}, r.Left...)
			m.put("still_broken", left)
			list = append(list, m)
		}
		o.put("remedies", list)
	}
	o.put("what", p.What)
	o.put("advice", append([]string{}, p.Advice...))
	return o
}

// changes is settings for programs, by key.
func changes(set []design.Change) *object {
	o := &object{}
	for _, c := range set {
		o.put(c.Key, c.Value)
	}
	return o
}

// object is a caution for programs.
func (c Caution) object() *object {
	o := &object{}
	o.put("caution", c.Key)
	switch c.Found.Kind {
	case verdict.HotSurface, verdict.BoardBurns, verdict.BoardNear:
		o.put("value_k", c.Found.Value)
		o.put("limit_k", c.Found.Limit)
	case verdict.Implants:
		o.put("distance_m", c.Found.Value)
		o.put("limit_t", c.Found.Limit)
	}
	o.put("what", c.Text)
	return o
}
