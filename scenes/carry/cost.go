package carry

import "context"

// cheapest sends as many drops as can go with the fewest moves.
//
// The potentials begin with what is left of the way, which leaves no arc a negative cost;
// then every round works out the shortest costs from the free beginnings, in buckets as
// the costs are small whole numbers (R. Dial, Comm. ACM 12 (1969) 632-633, from memory),
// and sends all drops that go at the least of them.
func (n *net) cheapest(ctx context.Context) error {
	defer func() { n.height = nil }()
	n.height = make([]int32, len(n.level))
	for node := range int32(len(n.flow)) {
		v := n.pixel(node)
		if v >= n.cells() {
			continue
		}
		h := -n.far[v]
		n.height[entry(node)], n.height[exit(node)] = h, h
	}
	n.ground = 0
	distance := make([]int32, len(n.level))
	var buckets [][]int32
	for {
		for i := range distance {
			distance[i] = unseen
		}
		for i := range buckets {
			buckets[i] = buckets[i][:0]
		}
		reach := func(state, d int32) {
			if d >= distance[state] {
				return
			}
			distance[state] = d
			for int(d) >= len(buckets) {
				buckets = append(buckets, nil)
			}
			buckets[d] = append(buckets[d], state)
		}
		n.begin(func(state int32) { reach(state, -n.height[state]) })
		least := int32(unseen)
		for d := int32(0); int(d) < len(buckets) && d <= least; d++ {
			for i := 0; i < len(buckets[d]); i++ {
				a := buckets[d][i]
				if distance[a] < d {
					continue
				}
				if n.ends(a) {
					least = min(least, d+n.height[a]-n.ground)
				}
				for k := int32(0); ; k++ {
					b, cost, more := n.arc(a, k)
					if !more {
						break
					}
					if b >= 0 {
						reach(b, d+cost+n.height[a]-n.height[b])
					}
				}
			}
		}
		if least == unseen {
			return nil
		}
		for i, d := range distance {
			n.height[i] += min(d, least)
		}
		n.ground += least
		if err := n.augment(ctx); err != nil {
			return err
		}
	}
}
