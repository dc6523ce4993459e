package tomlplace

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"lodegrid/field/peak"
)

const sample = "\ufefftitle = \"µ\"\n" +
	"[coil] # [not.this]\n" +
	"outer = 12\n" +
	"\"a b\".c = [ 1, { d = '''\n x''' } ]\n" +
	"[[board.rule]]\n" +
	"  copper = \"1 oz\"\n" +
	"[[board.rule]]\n" +
	"gap = 0x1F\n" +
	"[board.rule.more]\n" +
	"äußeres_maß = true\n"

func TestPlaces(t *testing.T) {
	doc, err := Read(strings.NewReader(strings.Replace(sample, "äußeres_maß", "\"äußeres maß\"", 1)))
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]any{
		"title": "µ",
		"coil":  map[string]any{"outer": int64(12), "a b": map[string]any{"c": []any{int64(1), map[string]any{"d": " x"}}}},
		"board": map[string]any{"rule": []any{
			map[string]any{"copper": "1 oz"},
			map[string]any{"gap": int64(31), "more": map[string]any{"äußeres maß": true}},
		}},
	}
	if !reflect.DeepEqual(doc.Values, want) {
		t.Errorf("values %v\nwant %v", doc.Values, want)
	}
	for path, want := range map[string][2]Place{ // of the key, of the value
		"title":                {{1, 1}, {1, 9}},
		"coil":                 {{2, 2}, {2, 2}},
		"coil.outer":           {{3, 1}, {3, 9}},
		"coil.none":            {{2, 2}, {2, 2}},
		`coil."a b"`:           {{4, 1}, {4, 1}},
		`coil."a b".c`:         {{4, 7}, {4, 11}},
		`coil."a b".c[1]`:      {{4, 13}, {4, 13}},
		`coil."a b".c[2].d`:    {{4, 16}, {4, 16}}, // that deep, places are not kept
		"board":                {{6, 3}, {6, 3}},
		"board.rule[1].copper": {{7, 3}, {7, 12}},
		"board.rule[2]":        {{8, 9}, {8, 9}},
		"board.rule[2].gap":    {{9, 1}, {9, 7}},
		"board.rule[2].more":   {{10, 13}, {10, 13}},
		"board.rule[2].more." + Clip("äußeres maß"): {{11, 1}, {11, 17}},
		"none.at.all": {},
	} {
		if key, value := doc.Key(path), doc.Value(path); key != want[0] || value != want[1] {
			t.Errorf("%s: key at %v, value at %v; want %v", path, key, value, want)
		}
	}
}

func TestMistakes(t *testing.T) {
	for text, want := range map[string]Error{
		"a = 1\nb = \"\xff\"":                                            {Place{2, 6}, "", "the file is not UTF-8 text", "a text file saved as UTF-8"},
		"[coil]\nµ = 1":                                                  {Place{2, 1}, "", "", ""},
		"[coil]\n\"µ\" = 1\n\"µ\" = 2":                                   {Place{3, 1}, `coil."µ"`, "given twice", "each key and each section once"},
		"[coil]\na.b = 1\na.b = 2":                                       {Place{3, 3}, "coil.a.b", "given twice", "each key and each section once"},
		"[coil]\n[b]\n[coil]":                                            {Place{3, 2}, "coil", "given twice", "each key and each section once"},
		"a = { b = 1, b = 2 }":                                           {Place{1, 14}, "a.b", "given twice", "each key and each section once"},
		"[coil]\nouter = 12 mm # wide":                                   {Place{2, 12}, "", "a quantity without quotes: 12 mm", `outer = "12 mm"`},
		"a = 99999999999999999999":                                       {Place{1, 5}, "", "", ""},
		"a" + strings.Repeat(".a", 7) + "=1":                             {Place: Place{}},
		"a" + strings.Repeat(".a", 8) + "=1":                             {Place{1, 16}, "", "a key of more than 8 parts", "up to 8 parts between dots"},
		"b = 1.5\na =" + strings.Repeat("[", 9) + strings.Repeat("]", 9): {Place{2, 12}, "", "lists and tables nested more than 8 deep", "up to 8 levels"},
	} {
		_, err := Read(strings.NewReader(text))
		var got *Error
		if (err != nil) != (want.Line > 0) || err != nil && !errors.As(err, &got) {
			t.Errorf("%q: error %v", text, err)
			continue
		}
		if got != nil && (got.Place != want.Place || got.Key != want.Key || want.Problem != "" && (got.Problem != want.Problem || got.Accept != want.Accept)) {
			t.Errorf("%q: %+v\nwant %+v", text, *got, want)
		}
	}
	// Brackets, dots and the like within texts and comments do not count, nor does the dot
	// of a number before a key.
	deep := "[{....................=========" + strings.Repeat("[", 30)
	for _, text := range []string{
		"b = 1.5\na.a.a.a.a.a.a.a = 1", "a = \"" + deep + "\"", "a = '" + deep + "'", "a = '''\n" + deep + "'\n''" + deep + "'''''",
		"a = \"\\\"" + deep + "\"", "a = \"\"\"\\\"\"\"" + deep + "\n\"\"\"\"\"", "# \"" + deep + "\na = 1 # '" + deep,
	} {
		if _, err := Read(strings.NewReader(text)); err != nil {
			t.Errorf("%q: error %v", text, err)
		}
	}
	broken := errors.New("cable pulled")
	if _, err := Read(brokenReader{broken}); !errors.Is(err, broken) {
		t.Errorf("a reader that fails: %v", err)
	}
}

type brokenReader struct{ err error }

func (r brokenReader) Read([]byte) (int, error) { return 0, r.err }

// What a few bytes can ask for at most, repeated up to the largest text.
func hostile() map[string]string {
	fill := func(head string, piece func(i int) string, tail string) string {
		b := []byte(head)
		for i := 0; len(b) < MaxBytes-len(tail)-200; i++ {
			b = append(b, piece(i)...)
		}
		return string(b) + tail
	}
	same := func(piece string) func(int) string { return func(int) string { return piece } }
	counted := func(format string) func(int) string {
		return func(i int) string { return fmt.Sprintf(format, i) }
	}
	return map[string]string{
		"dotted key":            fill("a", same(".a"), " = 1"),
		"dotted table":          fill("[a", same(".a"), "]"),
		"spaced dots":           fill("a", same(" . a"), " = 1"),
		"quoted parts":          fill("a", same(`."a"`), " = 1"),
		"lists":                 fill("a = ", same("["), ""),
		"inline tables":         fill("a = ", same("{a="), ""),
		"lists in tables":       fill("a = ", same("[{a="), ""),
		"keys":                  fill("", counted("k%x=1\n"), ""),
		"tables":                fill("", counted("[k%x]\n"), ""),
		"list of tables":        fill("", same("[[a]]\n"), ""),
		"keys under a long one": fill("["+strings.Repeat("k", 30000)+"]\n", counted("%x=1\n"), ""),
		"keys eight deep":       fill("[a.a.a.a.a.a.a.a]\n", counted("a.a.a.a.a.a.a.%x=1\n"), ""),
		"numbers in a list":     fill("a = [", same("1,"), "]"),
		"tables in a list":      fill("a = [", same("{a=1},"), "]"),
		"inline keys":           fill("a = {", counted("k%x=1,"), "z=1}"),
		"one key again":         fill("", same("a=1\n"), ""),
		"one long key":          fill("", same("k"), " = 1"),
		"one long text":         fill("a = \"", same("\\u0041"), "\""),
		"one long number":       fill("a = ", same("1"), ""),
		"comments":              fill("", same("#\n"), ""),
		"quotes":                fill("a = ", same("\""), ""),
	}
}

func TestHostileTexts(t *testing.T) {
	texts := hostile()
	peak.Below(t, 100<<20, func() {
		for name, text := range texts {
			if _, err := Read(strings.NewReader(text)); err != nil && len(err.Error()) > 500 {
				t.Errorf("%s: a message of %d bytes", name, len(err.Error()))
			}
		}
	})
	for _, name := range []string{"dotted key", "dotted table", "spaced dots", "quoted parts", "lists", "inline tables", "lists in tables", "keys", "tables", "list of tables", "inline keys"} {
		if n := testing.AllocsPerRun(1, func() { overBounds([]byte(texts[name])) }); n > 50 {
			t.Errorf("%s: looking at the bounds allocates %g times", name, n)
		}
		if _, err := overBounds([]byte(texts[name])); err == nil || !strings.Contains(err.Error(), "; accepted: up to ") {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(sample)
	for _, text := range hostile() {
		f.Add(text[:min(len(text), 400)])
	}
	f.Add("a = '''x''''\nb = \"\"\"\\\"\"\"\"\"\nc = 1979-05-27T07:32:00Z")
	f.Fuzz(func(t *testing.T, text string) {
		doc, err := Read(strings.NewReader(text))
		var mistake *Error
		if err != nil {
			if !errors.As(err, &mistake) || mistake.Problem == "" {
				t.Errorf("error %v", err)
			}
			return
		}
		lines := strings.Split(strings.TrimPrefix(text, "\ufeff"), "\n")
		for path, at := range doc.keys {
			if at.Line < 1 || at.Line > len(lines) || at.Column < 1 || at.Column > len([]rune(lines[at.Line-1])) {
				t.Errorf("%s stands at %v", path, at)
			}
		}
		depth(t, doc.Values, 0)
	})
}

// depth fails for values nested beyond what the bounds allow: a table's header, and in
// each list or inline table a dotted key.
func depth(t *testing.T, v any, n int) {
	if n > maxNesting*(maxNesting+3) {
		t.Fatalf("values nested %d deep", n)
	}
	switch x := v.(type) {
	case map[string]any:
		for _, v := range x {
			depth(t, v, n+1)
		}
	case []any:
		for _, v := range x {
			depth(t, v, n+1)
		}
	}
}
