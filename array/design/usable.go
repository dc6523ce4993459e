package design

// UsableShare is the share of a supply's rating that a picture may take for long.
func (d Design) UsableShare() float64 { return d.Supply.Derating * d.Limits.SupplyLoad }

// UsablePower is what the supply on hand gives for long, W; 0 without one.
func (d Design) UsablePower() float64 { return d.Supply.Power * d.UsableShare() }
