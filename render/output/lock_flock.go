//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package output

import (
	"errors"
	"os"
	"syscall"
)

// Locks of flock(2) end with the process that holds them, however it ends, and stay with
// a file that is renamed.
const locks, lockOutlivesRename = true, true

// lock takes the lock of an open file. A file system without locks goes without: there
// nobody can take it either, and nothing is swept.
func lock(f *os.File) error {
	var err error = syscall.EINTR
	for err == syscall.EINTR {
		err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX)
	}
	if errors.Is(err, syscall.ENOTSUP) || errors.Is(err, syscall.ENOSYS) || errors.Is(err, syscall.ENOLCK) || errors.Is(err, syscall.EINVAL) {
		return nil
	}
	return err
}

// tryLock takes the lock if nobody has it.
func tryLock(f *os.File) error {
	return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
}
