package main

import (
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/pflag"
)

// Every subcommand and every flag stands in each script, and each shell that is installed
// reads its own.
func TestCompletionScripts(t *testing.T) {
	check := map[string][]string{"bash": {"-n"}, "zsh": {"-n"}, "fish": {"--no-execute"}}
	spelled := map[string]func(sub, flag string) string{
		"bash": func(_, flag string) string { return "--" + flag },
		"zsh":  func(_, flag string) string { return "--" + flag + "'[" },
		"fish": func(sub, flag string) string { return "from " + sub + "' -l " + flag + " " },
	}
	for _, shell := range shells {
		r := lode("completion", shell)
		r.want(t, exitOK)
		for _, c := range commands() {
			if !strings.Contains(r.out, c.name) {
				t.Errorf("%s: subcommand %s is missing", shell, c.name)
			}
			// What belongs to a subcommand stands in its own part of the script.
			part := r.out
			switch shell {
			case "bash":
				_, part, _ = strings.Cut(part, "\n\t\t"+c.name+") ")
				part, _, _ = strings.Cut(part, "\n")
			case "zsh":
				_, part, _ = strings.Cut(part, "\n\t"+c.name+")\n")
				part, _, _ = strings.Cut(part, ";;")
				part = strings.ReplaceAll(part, "}'[", "'[")
			}
			flags, _ := newFlagSet(c)
			flags.VisitAll(func(f *pflag.Flag) {
				if !strings.Contains(part+" ", spelled[shell](c.name, f.Name)) {
					t.Errorf("%s: --%s of %s is missing", shell, f.Name, c.name)
				}
			})
		}
		path := writeFile(t, filepath.Join(t.TempDir(), "script"), r.out)
		if _, err := exec.LookPath(shell); err != nil {
			t.Logf("%s is not installed", shell)
		} else if said, err := exec.Command(shell, append(check[shell], path)...).CombinedOutput(); err != nil {
			t.Errorf("%s: %v: %s", shell, err, said)
		}
	}
	for _, args := range [][]string{{"completion"}, {"completion", "csh"}, {"completion", "bash", "zsh"}} {
		lode(args...).want(t, exitUsage, "bash, zsh, fish")
	}
}

// What the shells offer.
func TestCompletionOffers(t *testing.T) {
	dir := t.TempDir()
	writeFile(t, filepath.Join(dir, "sign.toml"), "")
	cases := []struct{ line, want string }{
		{"lodegrid fi", "film"}, {"lodegrid film --ove", "--overlay"}, {"lodegrid film --overlay te", "temperature"},
		{"lodegrid report --scene ti", "tide"}, {"lodegrid report --set drive.max_d", "drive.max_duty="}, {"lodegrid report si", "sign.toml"},
		{"lodegrid completion z", "zsh"}, {"lodegrid help exi", "exit-codes"}, {"lodegrid crosstalk --map si", "sign.toml"},
	}
	offers := func(shell, script string, line string) string {
		c := exec.Command(shell, "-c", map[string]string{
			"bash": `source "$1"; COMP_WORDS=($2); COMP_CWORD=$((${#COMP_WORDS[@]}-1)); _lodegrid; printf '%s\n' "${COMPREPLY[@]}"`,
			"fish": `source $argv[1]; complete -C $argv[2]`,
		}[shell])
		if shell == "bash" {
			c.Args = append(c.Args, "bash")
		}
		c.Args, c.Dir = append(c.Args, script, line), dir
		c.Env = append(c.Environ(), "HOME="+dir, "XDG_CONFIG_HOME="+dir, "XDG_DATA_HOME="+dir)
		out, err := c.Output()
		if err != nil {
			t.Errorf("%s, %q: %v", shell, line, err)
		}
		return "\n" + string(out)
	}
	for _, shell := range []string{"bash", "fish"} {
		if _, err := exec.LookPath(shell); err != nil {
			t.Logf("%s is not installed", shell)
			continue
		}
		script := writeFile(t, filepath.Join(t.TempDir(), "script"), lode("completion", shell).out)
		for _, c := range cases {
			if got := offers(shell, script, c.line); !strings.Contains(got, "\n"+c.want) {
				t.Errorf("%s offers %q after %q, want %s", shell, got, c.line, c.want)
			}
		}
		if got := offers(shell, script, "lodegrid report --overlay te"); strings.Contains(got, "temperature") {
			t.Errorf("%s offers a value of another subcommand's flag: %q", shell, got)
		}
	}
}
