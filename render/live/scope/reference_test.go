package scope

// History is the last minute.
func (c *Scope) History() *History { return &c.history }

// Meters reads the meters of the simulation.
func (c *Scope) Meters() Meters {
	_, c.shown, _ = c.tank.Following(c.states)
	return c.View.Meters()
}
