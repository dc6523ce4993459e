package lattice

// A lane is what one worker needs to do jobs on its own.
type lane struct {
	engine   *Engine
	task     func() // does the worker's share of the frame in dst
	dst      *Planes
	line     []complex128 // one or two rows of a plane's spectrum
	quarter  []complex128 // unwanted outputs of a row
	work     []complex128 // rows transformed, columns not yet
	spare    []float64    // unwanted outputs of a column
	unwanted []float64    // plane of a job without a second one
}

func newLane(e *Engine) *lane {
	n := &lane{
		engine:   e,
		line:     make([]complex128, 2*e.across.n),
		quarter:  make([]complex128, (e.across.n+3)/4),
		work:     make([]complex128, e.down.n*e.pitch),
		spare:    make([]float64, e.shape.blockCols()),
		unwanted: make([]float64, e.shape.blockRows()*e.shape.blockCols()),
	}
	n.task = n.share
	return n
}

// share does jobs until none are left.
func (n *lane) share() {
	e := n.engine
	for {
		i := int(e.next.Add(1)) - 1
		if i >= len(e.jobs) {
			break
		}
		n.run(&e.jobs[i], n.dst)
	}
	e.busy.Done()
}

// runJobs does all jobs of a frame.
func (e *Engine) runJobs(dst *Planes) {
	if len(e.lanes) == 1 {
		for i := range e.jobs {
			e.lanes[0].run(&e.jobs[i], dst)
		}
		return
	}
	e.next.Store(0)
	e.busy.Add(len(e.lanes))
	for _, n := range e.lanes {
		n.dst = dst
	}
	for _, n := range e.lanes[1:] {
		go n.task()
	}
	e.lanes[0].share()
	e.busy.Wait()
}

// run does one job.
func (n *lane) run(j *job, dst *Planes) {
	var (
		e     = n.engine
		t     = e.down
		block = t.n // rows whose stages but the last can be done by themselves
	)
	if t.last.radix != 0 {
		block = t.last.span
	}
	for top := 0; top < t.n; top += block {
		p := top
		if vector {
			for ; p+2 <= top+block; p += 2 {
				n.pair(j, p)
			}
		}
		for ; p < top+block; p++ {
			n.row(j, p)
		}
		t.columnHead(n.work[top*e.pitch:(top+block)*e.pitch], e.pitch)
	}
	out := sink{re: dst.plane(j.re), im: n.unwanted, width: e.shape.blockCols(), rows: e.shape.blockRows(), spare: n.spare}
	_, out.reUp, _ = e.shape.phase(j.re)
	if j.im >= 0 {
		out.im = dst.plane(j.im)
		_, out.imUp, out.imBack = e.shape.phase(j.im)
	}
	t.columnLast(&out, n.work, e.pitch)
}

// rows returns the places of row p in the levels' and the kernel's spectrum.
func (n *lane) rows(j *job, p int) (levels, kernel int) {
	e := n.engine
	from := p
	if j.flip {
		from = e.down.mirror[p]
	}
	return p * e.across.n, from * e.across.n
}

// row multiplies and transforms row p.
func (n *lane) row(j *job, p int) {
	e := n.engine
	t, w, line := e.across, e.across.n, n.line[:e.across.n]
	l, k := n.rows(j, p)
	if j.isReal {
		t.rowTimes(line, e.spectrum[j.spectrum][l:][:w], e.real[j.table][k:][:w])
	} else {
		timesComplexRow(line, e.spectrum[j.spectrum][l:][:w], e.complex[j.table][k:][:w])
		t.rowHead(line)
	}
	t.rowLast(n.work[p*e.pitch:][:e.shape.blockCols()], line, n.quarter)
}

// pair multiplies and transforms rows p and p+1 together.
func (n *lane) pair(j *job, p int) {
	e := n.engine
	t, w, line := e.across, e.across.n, n.line
	l0, k0 := n.rows(j, p)
	l1, k1 := n.rows(j, p+1)
	x0, x1 := e.spectrum[j.spectrum][l0:][:w], e.spectrum[j.spectrum][l1:][:w]
	if j.isReal {
		t.pairTimes(line, x0, x1, e.real[j.table][k0:][:w], e.real[j.table][k1:][:w])
	} else {
		timesComplexPair(line, x0, x1, e.complex[j.table][k0:][:w], e.complex[j.table][k1:][:w])
		t.columnHead(line, 2)
	}
	width := e.shape.blockCols()
	t.pairLast(n.work[p*e.pitch:][:width], n.work[(p+1)*e.pitch:][:width], line, n.quarter)
}
