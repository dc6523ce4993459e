package player

// Ledger returns the record so far.
func (p *Player) Ledger() *Ledger { return &p.ledger }
