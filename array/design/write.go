package design

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
	"strconv"
)

// long is a number of six decimals or more, with or without an exponent.
var long = regexp.MustCompile(`[0-9]+\.[0-9]{6,}(e[-+]?[0-9]+)?`)

// brief is a computed number as a comment says it: nothing reads it again.
func brief(number string) string {
	v, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return number
	}
	return strconv.FormatFloat(v, 'g', 6, 64)
}

// Marshal returns the design as a complete design file with a comment for each key.
// Read gives the same design back. Keys that follow others stand as comments.
func (d Design) Marshal() []byte {
	var b bytes.Buffer
	fmt.Fprintln(&b, "# A magnetic pixel display: read by lodegrid. Quantities are numbers with units, in quotes.")
	open := ""
	for _, s := range settings {
		if name := s.section(); name != open {
			if open == "board" {
				d.writeRules(&b)
			}
			open = name
			fmt.Fprintf(&b, "\n# %s\n[%s]\n", sectionSentence(name), name)
		}
		note := s.sentence
		if s.source != "" {
			note += " Left out: " + s.source + "."
		}
		fmt.Fprintf(&b, "\n# %s\n", note)
		line := fmt.Sprintf("%s = %s", s.name(), encode(s.hold(&d)))
		if !d.states(s) {
			line = "# " + long.ReplaceAllStringFunc(line, brief)
		}
		fmt.Fprintln(&b, line)
	}
	b.WriteString(d.DoubtText())
	return b.Bytes()
}

// WriteTOML writes what Marshal returns.
func (d Design) WriteTOML(w io.Writer) error {
	if _, err := w.Write(d.Marshal()); err != nil {
		return fmt.Errorf("writing design %q: %w", d.Name, err)
	}
	return nil
}

func (d Design) writeRules(b *bytes.Buffer) {
	for i := range d.Board.Rules.Tracks {
		if i == 0 {
			fmt.Fprint(b, "\n# Track and gap by copper thickness. Rules given replace the default ones.")
		}
		fmt.Fprintf(b, "\n[[%s]]\n", ruleKey)
		for _, s := range ruleSettings {
			comment := ""
			if i == 0 {
				comment = " # " + s.sentence
			}
			fmt.Fprintf(b, "%s = %s%s\n", s.name(), encode(s.hold(&d.Board.Rules.Tracks[i])), comment)
		}
	}
}

func sectionSentence(name string) string {
	for _, s := range sections {
		if s.name == name {
			return s.sentence
		}
	}
	return ""
}
