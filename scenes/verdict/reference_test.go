package verdict

// Keys lists what a remedy sets.
func (r Remedy) Keys() []string {
	var keys []string
	for _, c := range r.Set {
		keys = append(keys, c.Key)
	}
	return keys
}
