package carry

import (
	"context"
	"math"
)

// net is the grid expanded in time with the flow through it, for one part of the grid and
// one phase.
//
// A pixel moves its drop every second step, so it has a node only at those times: node
// (v, j) stands for pixel v at time t = 2j + colour, colour = (row+col+phase) mod 2, and
// is v plus j times the least power of two that holds all pixels. From it a drop waits until node (v, j+1) or goes to a neighbour's node at
// time t+1. The nodes at the first times ≥ T are the last. A node takes one drop, which is
// an arc from its entry to its exit. Entries and exits are the states that searches walk
// over, besides the two hubs: spring, which stands for the drops of the pool, and drain,
// which takes those that sink or are left over.
type net struct {
	bits   int     // of a pixel's number
	next   []int32 // of Problem
	colour []uint8
	from   []bool
	to     []bool
	bottom []int32 // pixels over the pool; empty without one
	park   bool    // drops may be left on pixels that are not wanted

	near []int32 // least steps from where a drop can be
	far  []int32 // least steps to where a drop can stay

	steps int // T
	flow  []uint16

	springLeft, drainLeft, direct int32 // drops that spring and drain may still take; those from one to the other
	springs, drains               []int32
	sent                          int

	// Searches. height is nil without costs, otherwise the potential of every state: an
	// arc is walked only where its cost is the difference.
	height []int32
	ground int32 // of the sink
	level  []int32
	cur    []int32
	queue  []int32
	path   []int32
}

// What a node's flow has: a way out, to wait or by side; entry to exit; out of the net, as
// wanted or by the drain; in from the spring or as a drop that was there.
const (
	waits   = 0 // bit; 1…4 are the sides
	inner   = 5
	arrives = 6
	drained = 7
	sprung  = 8
	begins  = 9
)

// The first states.
const (
	spring = 0
	drain  = 1
	states = 2 // of the hubs
)

func entry(node int32) int32 { return states + 2*node }
func exit(node int32) int32  { return states + 2*node + 1 }

func (n *net) cells() int32 { return int32(len(n.from)) }

// pixel and layer are v and j of node (v, j).
func (n *net) pixel(node int32) int32 { return node & (1<<n.bits - 1) }
func (n *net) layer(node int32) int32 { return node >> n.bits }
func (n *net) stride() int32          { return 1 << n.bits }

// time is when a node is.
func (n *net) time(node int32) int32 {
	return 2*n.layer(node) + int32(n.colour[n.pixel(node)])
}

// last is a pixel's last node.
func (n *net) last(v int32) int32 {
	j := (int32(n.steps) - int32(n.colour[v]) + 1) / 2
	return j<<n.bits + v
}

func (n *net) has(node int32, bit int) bool { return n.flow[node]&(1<<bit) != 0 }

// useful tells whether a drop can be at a node and still get to where it can stay.
func (n *net) useful(node int32) bool {
	v, t := n.pixel(node), n.time(node)
	return n.near[v] <= t && n.far[v] <= max(int32(n.steps)-t, 0)
}

// grow makes the net as many steps long. What flows goes on to the new end by waiting.
func (n *net) grow(steps int) {
	old, known := n.steps, len(n.flow)
	n.steps = steps
	if need := (steps + 3) / 2 << n.bits; need > known {
		n.flow = append(n.flow, make([]uint16, need-known)...)
	}
	if known > 0 {
		for v := range n.cells() {
			j := (int32(old)-int32(n.colour[v])+1)/2<<n.bits + v
			ends := n.flow[j] & (1<<arrives | 1<<drained)
			if len(n.bottom) > 0 {
				ends &= 1 << arrives // one that sinks does so at its own time
			}
			for end := n.last(v); ends != 0 && j < end; j += n.stride() {
				n.flow[j] = n.flow[j]&^ends | 1<<waits
				n.flow[j+n.stride()] |= ends | 1<<inner
			}
		}
	}
	n.springs, n.drains = n.springs[:0], n.drains[:0]
	for _, v := range n.bottom {
		for node := v; node <= n.last(v); node += n.stride() {
			if t := n.time(node); t >= 1 && t <= int32(steps) && n.useful(node) {
				n.springs = append(n.springs, node)
			}
			if t := n.time(node); t < int32(steps) {
				n.drains = append(n.drains, node)
			}
		}
	}
	if n.park {
		for v := range n.cells() {
			if !n.to[v] {
				n.drains = append(n.drains, n.last(v))
			}
		}
	}
	size := states + 2*len(n.flow)
	n.level, n.cur = resized(n.level, size), resized(n.cur, size)
}

func resized(s []int32, n int) []int32 {
	if cap(s) < n {
		return make([]int32, n, n+n/2)
	}
	return s[:n]
}

// ahead is a node's successor by a way out, −1 for none.
func (n *net) ahead(node int32, way int) int32 {
	v, t := n.pixel(node), n.time(node)
	if t >= int32(n.steps) {
		return -1
	}
	to := node + n.stride()
	if way != waits {
		w := n.next[sides*v+int32(way)-1]
		if w < 0 {
			return -1
		}
		to = node - v + w + int32(n.colour[v])<<n.bits
	}
	if !n.useful(to) {
		return -1
	}
	return to
}

// behind is the node of which another is the successor by a way, −1 for none.
func (n *net) behind(node int32, way int) int32 {
	if way == waits {
		return node - n.stride() // negative for none
	}
	v := n.pixel(node)
	w := n.next[sides*v+sides-int32(way)]
	if w < 0 {
		return -1
	}
	return node - v + w - int32(1-n.colour[v])<<n.bits
}

// arc is the k-th residual arc out of a state: where it leads, −1 for one that is not
// there now, and its cost in moves; more is false beyond the last.
func (n *net) arc(state, k int32) (to, cost int32, more bool) {
	switch state {
	case spring:
		if k < int32(len(n.springs)) {
			if node := n.springs[k]; !n.has(node, sprung) {
				return entry(node), 1, true
			}
			return -1, 0, true
		}
		if k == int32(len(n.springs)) && len(n.bottom) > 0 {
			return drain, 0, true
		}
		return -1, 0, false
	case drain:
		if k < int32(len(n.drains)) {
			if node := n.drains[k]; n.has(node, drained) {
				return exit(node), -n.drainCost(), true
			}
			return -1, 0, true
		}
		if k == int32(len(n.drains)) {
			if n.direct > 0 {
				return spring, 0, true
			}
			return -1, 0, true
		}
		return -1, 0, false
	}
	node := (state - states) / 2
	flow := n.flow[node]
	if (state-states)%2 == 0 { // an entry
		switch {
		case k == 0:
			if flow&(1<<inner) == 0 {
				return exit(node), 0, true
			}
			return -1, 0, true
		case k <= sides+1:
			if flow&(1<<inner) == 0 {
				return -1, 0, true // nothing comes in
			}
			way := int(k - 1)
			if b := n.behind(node, way); b >= 0 && n.has(b, way) {
				return exit(b), -moveCost(way), true
			}
			return -1, 0, true
		case k == sides+2:
			if flow&(1<<sprung) != 0 {
				return spring, -1, true
			}
			return -1, 0, true
		}
		return -1, 0, false
	}
	switch {
	case k <= sides:
		if flow&(1<<k) == 0 {
			if a := n.ahead(node, int(k)); a >= 0 {
				return entry(a), moveCost(int(k)), true
			}
		}
		return -1, 0, true
	case k == sides+1:
		if flow&(1<<inner) != 0 {
			return entry(node), 0, true
		}
		return -1, 0, true
	case k == sides+2:
		if flow&(1<<drained) == 0 && n.sinks(node) {
			return drain, n.drainCost(), true
		}
		return -1, 0, true
	}
	return -1, 0, false
}

func moveCost(way int) int32 {
	if way == waits {
		return 0
	}
	return 1
}

// drainCost is what it costs to leave by the drain: sinking is a move, staying is none.
func (n *net) drainCost() int32 {
	if n.park {
		return 0
	}
	return 1
}

// sinks tells whether a drop can leave by the drain from a node.
func (n *net) sinks(node int32) bool {
	v := n.pixel(node)
	if n.park {
		return !n.to[v] && node == n.last(v)
	}
	return len(n.bottom) > 0 && v >= n.bottom[0] && n.time(node) < int32(n.steps) // the lowest row are the last pixels
}

// ends tells whether a state has a free arc to the sink.
func (n *net) ends(state int32) bool {
	if state < states {
		return state == drain && n.drainLeft > 0
	}
	node := (state - states) / 2
	v := n.pixel(node)
	return (state-states)%2 == 1 && n.to[v] && node == n.last(v) && !n.has(node, arrives)
}

// flip turns an arc of a path round.
func (n *net) flip(a, b int32) {
	switch {
	case a == spring && b == drain:
		n.direct++
		return
	case a == drain && b == spring:
		n.direct--
		return
	case a == spring || b == spring:
		n.flow[(a+b-spring-states)/2] ^= 1 << sprung
		return
	case a == drain || b == drain:
		n.flow[(a+b-drain-states)/2] ^= 1 << drained
		return
	}
	p, q := (a-states)/2, (b-states)/2
	if p == q {
		n.flow[p] ^= 1 << inner
		return
	}
	if (a-states)%2 == 0 { // back along the way from q to p
		p, q = q, p
	}
	for way := range sides + 1 {
		if n.behind(q, way) == p {
			n.flow[p] ^= 1 << way
			return
		}
	}
}

// begin calls f with every state in which a drop that is not yet under way begins.
func (n *net) begin(f func(state int32)) {
	for v := range n.cells() {
		if n.from[v] && !n.has(v, begins) && n.useful(v) {
			f(entry(v))
		}
	}
	if n.springLeft > 0 {
		f(spring)
	}
}

const unseen = math.MaxInt32

// walks tells whether an arc may be walked at the present heights.
func (n *net) walks(a, b, cost int32) bool {
	return n.height == nil || cost+n.height[a]-n.height[b] == 0
}

// augment sends as many drops as can go, by Dinic's rounds.
func (n *net) augment(ctx context.Context) error {
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		k := n.round()
		if k == 0 {
			return nil
		}
		n.sent += k
	}
}

// round sends drops along shortest paths until none is left of that length.
func (n *net) round() (sent int) {
	for i := range n.level {
		n.level[i] = unseen
	}
	n.queue = n.queue[:0]
	put := func(state, level int32) {
		n.level[state] = level
		n.queue = append(n.queue, state)
	}
	n.begin(func(state int32) {
		if n.height == nil || n.height[state] == 0 {
			put(state, 0)
		}
	})
	found := int32(unseen)
	for i := 0; i < len(n.queue); i++ {
		a := n.queue[i]
		if n.level[a] >= found {
			break
		}
		if n.stops(a) {
			found = n.level[a]
			continue
		}
		for k := int32(0); ; k++ {
			b, cost, more := n.arc(a, k)
			if !more {
				break
			}
			if b >= 0 && n.level[b] == unseen && n.walks(a, b, cost) {
				put(b, n.level[a]+1)
			}
		}
	}
	if found == unseen {
		return 0
	}
	clear(n.cur)
	n.begin(func(state int32) {
		if n.level[state] != 0 {
			return
		}
		for n.send(state) {
			sent++
			if state != spring {
				n.flow[(state-states)/2] |= 1 << begins
				return
			}
			if n.springLeft--; n.springLeft == 0 {
				return
			}
		}
	})
	return sent
}

// stops tells whether a path may end in a state.
func (n *net) stops(state int32) bool {
	return n.ends(state) && (n.height == nil || n.height[state] == n.ground)
}

// send sends one drop from a state along the levels, if one can go.
func (n *net) send(from int32) bool {
	n.path = append(n.path[:0], from)
	for len(n.path) > 0 {
		a := n.path[len(n.path)-1]
		if n.stops(a) {
			for i := 1; i < len(n.path); i++ {
				n.flip(n.path[i-1], n.path[i])
			}
			if a == drain {
				n.drainLeft--
			} else {
				n.flow[(a-states)/2] |= 1 << arrives
			}
			return true
		}
		advanced := false
		for ; ; n.cur[a]++ {
			b, cost, more := n.arc(a, n.cur[a])
			if !more {
				break
			}
			if b >= 0 && n.level[b] == n.level[a]+1 && n.walks(a, b, cost) {
				n.path = append(n.path, b)
				advanced = true
				break
			}
		}
		if !advanced {
			n.level[a] = unseen - 1 // a dead end
			n.path = n.path[:len(n.path)-1]
			if k := len(n.path); k > 0 {
				n.cur[n.path[k-1]]++
			}
		}
	}
	return false
}
