package material

import "slices"

// find returns the entry of that name, nothing where the table has none.
func find[T any](name string, table []T, nameOf func(T) string) (entry T) {
	if k := slices.IndexFunc(table, func(entry T) bool { return nameOf(entry) == name }); k >= 0 {
		entry = table[k]
	}
	return entry
}

// names lists the names of a table in its order.
func names[T any](table []T, nameOf func(T) string) []string {
	list := make([]string, len(table))
	for i, entry := range table {
		list[i] = nameOf(entry)
	}
	return list
}
