//go:build !unix

package regularfile

const dontWait = 0
