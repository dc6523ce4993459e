package output

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"sync"
	"time"
)

// stage is a temporary file or folder beside the place of what is written. Its owner
// holds a lock on it for as long as it lives, so that another run can tell what a killed
// one left behind.
type stage struct {
	path string
	file *os.File // open for writing, or the folder; it holds the lock
}

// stageName is what stages alone are called.
var stageName = regexp.MustCompile(`^\.lodegrid-[0-9]+\.part$`)

// live are the stages of this process.
var live struct {
	sync.Mutex
	stages map[*stage]bool
	ended  bool
}

// newStage makes a stage in a folder.
func newStage(dir string, folder bool) (*stage, error) {
	live.Lock()
	defer live.Unlock()
	for range 1000 {
		if live.ended {
			return nil, context.Canceled
		}
		s := &stage{path: filepath.Join(dir, fmt.Sprintf(".lodegrid-%d.part", rand.Uint64()))}
		err := s.create(folder)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		// Between its making and its lock, another run may have taken it for a leftover.
		own, err := s.file.Stat()
		if err != nil {
			return nil, errors.Join(err, s.close(), os.RemoveAll(s.path))
		}
		if there, err := os.Lstat(s.path); err != nil || !os.SameFile(own, there) {
			_ = s.close()
			continue
		}
		if live.stages == nil {
			live.stages = map[*stage]bool{}
		}
		live.stages[s] = true
		return s, nil
	}
	return nil, fmt.Errorf("no free name for a temporary file in %s", dir)
}

// create makes and locks the file or folder. Its mode is what the user's mask leaves.
func (s *stage) create(folder bool) (err error) {
	if folder {
		if err = os.Mkdir(s.path, 0o777); err == nil {
			s.file, err = os.Open(s.path)
		}
	} else {
		s.file, err = os.OpenFile(s.path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	}
	if err != nil {
		return err
	}
	return lock(s.file)
}

func (s *stage) close() error {
	f := s.file
	s.file = nil
	if f == nil {
		return nil
	}
	return f.Close()
}

// remove ends a stage that has not taken its place.
func (s *stage) remove() error {
	live.Lock()
	defer live.Unlock()
	if !live.stages[s] {
		return nil
	}
	delete(live.stages, s)
	return errors.Join(s.close(), os.RemoveAll(s.path))
}

// rename puts the stage in its place. The caller holds the lock of live.
func (s *stage) rename(path string) error {
	if !lockOutlivesRename {
		if err := s.close(); err != nil {
			return err
		}
	}
	if err := os.Rename(s.path, path); err != nil {
		return err
	}
	delete(live.stages, s)
	return s.close()
}

// Abandon removes every temporary file of this process, and from then on nothing is put
// in its place any more. It is for a process about to end whose work has not stopped.
func Abandon() {
	live.Lock()
	defer live.Unlock()
	live.ended = true
	for s := range live.stages {
		_ = os.RemoveAll(s.path) // the process ends; the next run clears up what is left
	}
	clear(live.stages)
}

// sweep removes what killed runs left in a folder. What cannot be removed stays.
func sweep(dir string) {
	f, err := os.Open(dir)
	if err != nil {
		return
	}
	defer f.Close()
	for {
		names, err := f.Readdirnames(1000)
		for _, name := range names {
			if stageName.MatchString(name) {
				sweepOne(filepath.Join(dir, name))
			}
		}
		if err != nil {
			return
		}
	}
}

func sweepOne(path string) {
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() && !info.IsDir() {
		return
	}
	if !locks && time.Since(info.ModTime()) < 24*time.Hour {
		return // it may be in use: without locks, age must tell
	}
	f, err := os.Open(path)
	if err != nil {
		return
	}
	defer f.Close()
	if tryLock(f) == nil {
		_ = os.RemoveAll(path)
	}
}

// Scratch makes a temporary folder for what is no result, and tells how to remove it.
func Scratch() (path string, remove func() error, err error) {
	sweep(os.TempDir())
	s, err := newStage(os.TempDir(), true)
	if err != nil {
		return "", nil, err
	}
	return s.path, s.remove, nil
}
