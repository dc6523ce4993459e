package main

// bar is nothing in a browser, which has no terminal.
type bar struct{}

func newBar(streams, string, int) *bar             { return nil }
func (streams) doing(string)                       {}
func (streams) progress(string, int) (step func()) { return func() {} }
func (*bar) whole()                                {}
func (*bar) step()                                 {}
func (*bar) done()                                 {}
