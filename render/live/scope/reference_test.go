package scope

// History is the last minute.
func (c *Scope) History() *History { return &c.history }
