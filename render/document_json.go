package render

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"

	"lodegrid/render/output"
)

// WriteJSON prints the document as one JSON object: schema_version, program, kind, design,
// one object per section with its facts by key (SI units in the key) and its
// tables as lists of objects, then problems and cautions. Key order is the
// document's own. A quantity without a number is a Word; see there.
func (d Document) WriteJSON(w io.Writer) error {
	o := &object{}
	o.put("schema_version", SchemaVersion)
	o.put("program", output.Program)
	o.put("kind", d.Kind)
	o.put("design", d.Design)
	for _, s := range d.Sections {
		section := &object{}
		for _, f := range s.Facts {
			section.put(f.Key, f.Value)
		}
		for _, t := range s.Tables {
			section.put(t.Key, t.objects())
		}
		if len(s.Notes) > 0 {
			section.put("notes", s.Notes)
		}
		o.put(s.Key, section)
	}
	if d.Problems != nil {
		list := make([]*object, 0, len(d.Problems))
		for _, p := range d.Problems {
			list = append(list, p.object())
		}
		o.put("problems", list)
	}
	if len(d.Cautions) > 0 {
		list := make([]*object, 0, len(d.Cautions))
		for _, c := range d.Cautions {
			list = append(list, c.object())
		}
		o.put("cautions", list)
	}
	if d.Cure != "" {
		o.put("cure", d.Cure)
	}
	data, err := json.Marshal(o)
	if err != nil {
		return fmt.Errorf("encoding the %s as JSON: %w", d.Kind, err)
	}
	var out bytes.Buffer
	if err := json.Indent(&out, data, "", "  "); err != nil {
		return fmt.Errorf("encoding the %s as JSON: %w", d.Kind, err)
	}
	out.WriteByte('\n')
	_, err = w.Write(out.Bytes())
	return err
}

// WriteCSV prints every table of the document as CSV (RFC 4180), the keys as
// header, a blank line between tables. Words stand as in JSON.
func (d Document) WriteCSV(w io.Writer) error {
	first := true
	for _, s := range d.Sections {
		for _, t := range s.Tables {
			if !first {
				if _, err := io.WriteString(w, "\r\n"); err != nil {
					return err
				}
			}
			first = false
			if err := t.writeCSV(w); err != nil {
				return fmt.Errorf("writing table %s as CSV: %w", t.Key, err)
			}
		}
	}
	if first {
		return fmt.Errorf("the %s has no table to write as CSV; ask for text or JSON", d.Kind)
	}
	return nil
}

func (t Table) writeCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	record := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		record[i] = c.Key
	}
	if err := out.Write(record); err != nil {
		return err
	}
	for _, r := range t.Rows {
		for i := range record {
			switch v := spoken(r[i].Value).(type) {
			case float64:
				record[i] = strconv.FormatFloat(v, 'g', 9, 64)
			default:
				record[i] = fmt.Sprint(v)
			}
		}
		if err := out.Write(record); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func (t Table) objects() []*object {
	list := make([]*object, 0, len(t.Rows))
	for _, r := range t.Rows {
		o := &object{}
		for i, c := range t.Columns {
			o.put(c.Key, r[i].Value)
		}
		list = append(list, o)
	}
	return list
}

// spoken is a value with a Word for what JSON has no number for. A section says the
// word itself where an infinity means something else than no bound.
func spoken(v any) any {
	f, isFloat := v.(float64)
	switch {
	case v == nil, isFloat && math.IsNaN(f):
		return None
	case isFloat && math.IsInf(f, 1):
		return Infinite
	case isFloat && math.IsInf(f, -1):
		return "-" + Infinite
	}
	return v
}

// object is a JSON object that keeps the order of its keys.
type object struct {
	keys   []string
	values []any
}

// put adds a member; what JSON has no number for becomes its Word.
func (o *object) put(key string, v any) {
	o.keys = append(o.keys, key)
	o.values = append(o.values, spoken(v))
}

// MarshalJSON implements json.Marshaler.
func (o *object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, k := range o.keys {
		if i > 0 {
			b.WriteByte(',')
		}
		key, err := json.Marshal(k)
		if err != nil {
			return nil, err
		}
		b.Write(key)
		b.WriteByte(':')
		v, err := json.Marshal(o.values[i])
		if err != nil {
			return nil, fmt.Errorf("value of %q: %w", k, err)
		}
		b.Write(v)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}
