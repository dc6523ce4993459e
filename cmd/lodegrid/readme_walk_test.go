package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// step is a command line of README's code blocks.
type step struct {
	line   string   // without the prompt and the comment
	code   int      // that README promises: 4 where it says so or shows problems, 3 where an error
	quotes []string // lines of what is printed, in this order
}

// readmeSteps are the command lines of README in order: those after a prompt, and those
// that stand in a block of commands.
func readmeSteps(t *testing.T) []step {
	t.Helper()
	var steps []step
	prompted := false
	for line := range strings.Lines(readFile(t, "../../README.md")) {
		text, indented := strings.CutPrefix(strings.TrimRight(line, "\n"), "    ")
		rest, prompt := strings.CutPrefix(text, "$ ")
		switch {
		case !indented:
			prompted = false
		case prompt, strings.HasPrefix(text, "lodegrid "), strings.HasPrefix(text, "go "):
			command, note, _ := strings.Cut(rest, " #")
			steps = append(steps, step{line: strings.TrimSpace(command)})
			if prompted = prompt; strings.Contains(note, "exit code 4") {
				steps[len(steps)-1].code = exitLimit
			}
		case prompted:
			s := &steps[len(steps)-1]
			if strings.Contains(text, "PROBLEM") {
				s.code = exitLimit
			} else if strings.HasPrefix(text, "lodegrid: ") {
				s.code = exitInput
			}
			if text != "…" {
				s.quotes = append(s.quotes, strings.TrimSpace(text))
			}
		default:
			t.Errorf("README's code line %q is no command and nothing that one prints", text)
		}
	}
	if len(steps) < 10 {
		t.Fatalf("README has %d commands", len(steps))
	}
	return steps
}

// words splits a command line as a shell does, as far as README's lines go.
func (s step) words() []string {
	var list []string
	word, quoted, any := "", false, false
	for _, r := range s.line + " " {
		switch {
		case r == '"':
			quoted, any = !quoted, true
		case r == ' ' && !quoted:
			if any {
				list = append(list, word)
			}
			word, any = "", false
		default:
			word, any = word+string(r), true
		}
	}
	return list
}

// Every command line of README names subcommands and flags that there are.
func TestReadmeCommandsParse(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range readmeSteps(t) {
		words := s.words()
		if words[0] != "lodegrid" {
			continue
		}
		c, err := find(words[1])
		if err != nil {
			t.Errorf("%s: %v", s.line, err)
			continue
		}
		seen[c.name] = true
		flags, _ := newFlagSet(c)
		if err := flags.Parse(words[2:]); err != nil {
			t.Errorf("%s: %v", s.line, err)
		}
		if strings.ContainsAny(s.line, "$`'|;<>&*\\") {
			t.Errorf("%s: a shell may read this another way than the test does", s.line)
		}
	}
	for _, name := range []string{"report", "coil", "choose", "crosstalk", "heat", "supply", "film", "frames", "carry", "play", "web", "design"} {
		if !seen[name] {
			t.Errorf("README shows no lodegrid %s", name)
		}
	}
}

// smallLines are subcommands whose lines are walked with the same sign on 8 × 6 pixels, which
// take a third of the time: of the whole sign the lines of report without a file tell, whose
// sections are those of the other subcommands. A clock needs the whole of it.
var smallLines = []string{"film", "drives", "choose", "compare", "crosstalk", "faults", "frames", "carry", "heat", "order", "play", "supply", "report"}

// smaller is the line for that sign.
func (s step) smaller() string {
	words := s.words()
	switch {
	case !slices.Contains(smallLines, words[1]) || len(s.quotes) > 0 || strings.Contains(s.line, "--scene"):
		return s.line
	case words[1] == "film" && strings.HasPrefix(words[2], "-"):
		return strings.Replace(s.line, "film", "film small.toml", 1)
	}
	return strings.Replace(s.line, "sign.toml", "small.toml", 1)
}

// TestReadmeWalk does what README says, line by line in an empty folder with a fresh
// binary: each line must give the exit code that README tells. A line that README shows again
// is not done again. It takes minutes and is for the full check.
func TestReadmeWalk(t *testing.T) {
	if os.Getenv("LODEGRID_CI") == "" {
		t.Skip("set LODEGRID_CI to do the whole walk, which takes minutes")
	}
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	bin, folder := t.TempDir(), t.TempDir()
	environ := append(os.Environ(), "GOBIN="+bin, "PATH="+bin+string(os.PathListSeparator)+os.Getenv("PATH"))
	copied(t, demoDesign, filepath.Join(folder, "demo.toml"))
	writeFile(t, filepath.Join(folder, "small.toml"), "base = \"demo.toml\"\n[grid]\ncols = 8\nrows = 6\n[scene]\nspeed = 0.01\n")
	type told struct {
		code int
		text string
	}
	known := map[string]told{}
	do := func(dir string, s step, line string) int {
		if again, ok := known[line]; ok {
			s.quoted(t, again.text)
			return again.code
		}
		c := exec.CommandContext(t.Context(), "bash", "-c", line)
		c.Dir, c.Env = dir, environ
		var out, talk bytes.Buffer
		c.Stdout, c.Stderr = &out, &talk
		if err := c.Run(); err != nil && !errors.As(err, new(*exec.ExitError)) {
			t.Fatalf("%s: %v", line, err)
		}
		t.Logf("%s: exit code %d, %v of processor time; %s", line, c.ProcessState.ExitCode(), c.ProcessState.UserTime(), talk.String())
		k := told{c.ProcessState.ExitCode(), out.String() + talk.String()}
		known[line] = k
		s.quoted(t, k.text)
		return k.code
	}
	for _, s := range readmeSteps(t) {
		line, dir := s.smaller(), folder
		switch words := s.words(); {
		case words[0] == "go":
			dir = root
		case words[1] == "web":
			if err := fetchPage(t, root, environ, line); err != nil {
				t.Errorf("%s: %v", line, err)
			}
			continue
		case words[1] == "play":
			if os.Getenv("DISPLAY") == "" {
				t.Logf("%s: skipped, there is no display", line)
				continue
			}
			line += " --shot window.png"
		}
		if code := do(dir, s, line); code != s.code {
			t.Errorf("%s: exit code %d, README promises %d", line, code, s.code)
		}
	}
}

// fetchPage serves the page at a free port, looks at it once and stops. The program is
// built in the folder of the source, as README says.
func fetchPage(t *testing.T, root string, environ []string, line string) error {
	line = strings.ReplaceAll(line, "localhost:8080", "localhost:0")
	c := exec.CommandContext(t.Context(), "bash", "-c", "exec "+line)
	c.Dir, c.Env = root, environ
	out, err := c.StdoutPipe()
	if err != nil {
		return err
	}
	var talk bytes.Buffer
	c.Stderr = &talk
	if err := c.Start(); err != nil {
		return err
	}
	timer := time.AfterFunc(10*time.Minute, func() { c.Process.Kill() }) // of no meaning but that a hang ends
	defer timer.Stop()
	address := ""
	for lines := bufio.NewScanner(out); address == "" && lines.Scan(); {
		if i := strings.Index(lines.Text(), "http://"); i >= 0 {
			address = strings.Fields(lines.Text()[i:])[0]
		}
	}
	if address == "" {
		return errors.Join(fmt.Errorf("it served nothing: %s", talk.String()), c.Wait())
	}
	reply, err := http.Get(address)
	if err != nil {
		return err
	}
	page, err := io.ReadAll(reply.Body)
	reply.Body.Close()
	if err != nil || reply.StatusCode != http.StatusOK || !bytes.Contains(page, []byte("lodegrid</title>")) {
		return fmt.Errorf("%s gave %s, %v: %.200s", address, reply.Status, err, page)
	}
	if err := c.Process.Signal(os.Interrupt); err != nil {
		return err
	}
	go io.Copy(io.Discard, out)
	if err := c.Wait(); c.ProcessState == nil || c.ProcessState.ExitCode() != exitInterrupted && c.ProcessState.ExitCode() != exitOK {
		return fmt.Errorf("stopping it: %w", err)
	}
	return nil
}
