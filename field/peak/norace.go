//go:build !race

package peak

const raced = false
