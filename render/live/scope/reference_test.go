package scope

// History is the last minute.
func (c *Scope) History() *History { return &c.history }

// Meters reads the meters of the simulation.
func (c *Scope) Meters() Meters {
	want := c.want
	c.count(c.states)
	c.want = want
	return c.View.Meters()
}
