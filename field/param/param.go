// Package param is how a package says which of its parameters cannot be used, and what
// would be accepted.
package param

import "fmt"

// Error says which parameter cannot be used and what would be.
type Error struct {
	Of      string // whose parameter: "coil", "drive", …
	Key     string // its name in the design file where it has one
	Value   any    // nil when the problem tells it
	Problem string // what is wrong; empty when what is accepted tells it
	Accept  string
}

func (e *Error) Error() string {
	s := e.Of + " " + e.Key
	switch {
	case e.Value != nil && e.Problem == "":
		s += fmt.Sprintf(" is %v", e.Value)
	case e.Value != nil:
		s += fmt.Sprintf(" %v", e.Value)
	}
	if e.Problem != "" {
		s += ": " + e.Problem
	}
	return s + "; accepted: " + e.Accept
}

// Of names whose parameters are checked.
type Of string

// Refuse is the error of one parameter.
func (o Of) Refuse(key string, value any, problem, accept string) *Error {
	return &Error{string(o), key, value, problem, accept}
}
