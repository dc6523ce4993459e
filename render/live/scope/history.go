package scope

import "lodegrid/scenes/player"

// The strip charts reach back over HistorySeconds of simulated time; historyStep is
// the time between their points, s.
const (
	HistorySeconds  = 60
	pointsPerSecond = 4
	historyStep     = 1.0 / pointsPerSecond
	historyLen      = HistorySeconds * pointsPerSecond
)

// History is the last minute as a strip chart shows it.
type History struct {
	power, heat [historyLen]float64 // W average, K hottest coil
	points      int                 // in all
	energy      float64             // J since the last point
	hottest     float64             // K since then
	time        float64             // s since then
}

// add reports whether there is one more point.
func (h *History) add(e player.Entry, dt float64) bool {
	h.energy += e.SupplyPower * dt
	h.hottest = max(h.hottest, e.Hottest)
	h.time += dt
	if h.time < historyStep-shortest {
		return false
	}
	k := h.points % historyLen
	h.power[k], h.heat[k] = h.energy/h.time, h.hottest
	h.points++
	h.energy, h.hottest, h.time = 0, 0, 0
	return true
}

// Len is the number of points, at most 240.
func (h *History) Len() int { return min(h.points, historyLen) }

// At returns point i, the oldest first: average power in watts and the hottest coil
// in kelvin over a quarter of a second.
func (h *History) At(i int) (power, hottest float64) {
	k := (h.points - h.Len() + i) % historyLen
	return h.power[k], h.heat[k]
}
