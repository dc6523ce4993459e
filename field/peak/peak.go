// Package peak measures, for tests, the greatest memory that a piece of work needs.
package peak

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// inChild names the test whose work this process is to do.
const inChild = "LODEGRID_PEAK_OF"

// Of does work in a process of its own, the test binary run again for this test alone,
// and returns the greatest memory in bytes that the process had resident, the program
// itself included. Where the system does not tell, the test is skipped. Work that fails
// calls t.Error. A test measures once; what comes before it is done in both processes.
func Of(t *testing.T, work func()) int64 {
	t.Helper()
	if child(t) {
		work()
		fmt.Printf("\npeak of %d kB\n", resident())
		return 0
	}
	if resident() == 0 {
		t.Skip("the system does not tell how much memory a process had")
	}
	again := exec.Command(os.Args[0], "-test.run=^"+strings.ReplaceAll(t.Name(), "/", "$/^")+"$", "-test.count=1")
	again.Env = append(os.Environ(), inChild+"="+t.Name())
	out, err := again.CombinedOutput()
	if err != nil {
		t.Fatalf("in a process of its own: %v\n%s", err, out)
	}
	var kB int64
	parts := strings.Split(string(out), "\npeak of ")
	if _, err := fmt.Sscanf(parts[len(parts)-1], "%d kB", &kB); err != nil || len(parts) != 2 {
		t.Fatalf("want one measurement in %q: %v", out, err)
	}
	t.Logf("%s: at most %d MB, %v of processor time", t.Name(), kB>>10, again.ProcessState.UserTime()+again.ProcessState.SystemTime())
	return kB << 10
}

// File returns the path of a file that write has written, once for a test and the
// process of its own in which Of measures.
func File(t *testing.T, name string, write func(w io.Writer)) string {
	t.Helper()
	const place = "LODEGRID_PEAK_FILE"
	if path := os.Getenv(place); path != "" {
		return path
	}
	path := filepath.Join(t.TempDir(), name)
	t.Setenv(place, path)
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriter(f)
	write(w)
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// Below fails the test when work needs limit bytes or more; see Of. Under the race
// detector it only does the work.
func Below(t *testing.T, limit int64, work func()) {
	t.Helper()
	if n := Of(t, work); n >= limit && !raced {
		t.Errorf("%d MB at most, want less than %d MB", n>>20, limit>>20)
	}
}

func child(t *testing.T) bool { return os.Getenv(inChild) == t.Name() }

// resident returns the greatest resident memory of this process so far in kB, 0 when
// unknown. It is not that of getrusage, which begins with the parent's.
func resident() (kB int64) {
	f, err := os.Open("/proc/self/status")
	if err != nil {
		return 0
	}
	defer f.Close()
	for lines := bufio.NewScanner(f); lines.Scan(); {
		if _, err := fmt.Sscanf(lines.Text(), "VmHWM: %d kB", &kB); err == nil {
			return kB
		}
	}
	return 0
}
