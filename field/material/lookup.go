package material

import (
	"fmt"
	"strings"

	"lodegrid/field/quantity/spelling"
)

// UnknownError says that a table has no entry of a name.
type UnknownError struct {
	Kind    string   // "laminate", "steel", "magnet grade" or "fluid"
	Name    string   // what was asked for
	Nearest string   // the closest accepted name, or "" when none is close
	Accept  []string // every name of the table, in its order
}

func (e *UnknownError) Error() string {
	hint := ""
	if e.Nearest != "" {
		hint = fmt.Sprintf(" (did you mean %q?)", e.Nearest)
	}
	return fmt.Sprintf("unknown %s %q%s; known: %s", e.Kind, e.Name, hint, strings.Join(e.Accept, ", "))
}

// find returns the entry of that name, whatever its case, or an UnknownError.
func find[T any](kind, name string, table []T, nameOf func(T) string) (T, error) {
	asked := strings.TrimSpace(name)
	for _, entry := range table {
		if strings.EqualFold(nameOf(entry), asked) {
			return entry, nil
		}
	}
	var none T
	accept := names(table, nameOf)
	return none, &UnknownError{Kind: kind, Name: name, Nearest: spelling.Nearest(asked, accept), Accept: accept}
}

// names lists the names of a table in its order.
func names[T any](table []T, nameOf func(T) string) []string {
	list := make([]string, len(table))
	for i, entry := range table {
		list[i] = nameOf(entry)
	}
	return list
}
