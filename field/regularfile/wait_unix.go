//go:build unix

package regularfile

import "syscall"

// dontWait keeps the opening of a pipe from waiting for a writer.
const dontWait = syscall.O_NONBLOCK
