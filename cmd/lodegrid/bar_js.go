package main

// bar is nothing in a browser, which has no terminal.
type bar struct{}

func newBar(streams, string, int) *bar { return nil }
func (*bar) step()                     {}
func (*bar) done()                     {}
