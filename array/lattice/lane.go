package lattice

// A lane is what one worker needs to do jobs on its own.
type lane struct {
	engine   *Engine
	task     func() // does the worker's share of the frame in dst
	dst      *Planes
	line     []complex128 // one row of a plane's spectrum
	quarter  []complex128 // unwanted outputs of a row
	work     []complex128 // rows transformed, columns not yet
	spare    []float64    // unwanted outputs of a column
	unwanted []float64    // plane of a job without a second one
}

func newLane(e *Engine) *lane {
	n := &lane{
		engine:   e,
		line:     make([]complex128, e.across.n),
		quarter:  make([]complex128, (e.across.n+3)/4),
		work:     make([]complex128, e.down.n*e.shape.blockCols()),
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
		t, u  = e.down, e.across
		w     = u.n
		width = e.shape.blockCols()
		l     = e.spectrum[j.spectrum]
		block = t.n // rows whose stages but the last can be done by themselves
	)
	if t.last.radix != 0 {
		block = t.last.span
	}
	for top := 0; top < t.n; top += block {
		for p := top; p < top+block; p++ {
			from := p
			if j.flip {
				from = t.mirror[p]
			}
			if j.isReal {
				u.rowTimes(n.line, l[p*w:(p+1)*w], e.real[j.table][from*w:(from+1)*w])
			} else {
				timesComplexRow(n.line, l[p*w:(p+1)*w], e.complex[j.table][from*w:(from+1)*w])
				u.rowHead(n.line)
			}
			u.rowLast(n.work[p*width:(p+1)*width], n.line, n.quarter)
		}
		t.columnHead(n.work[top*width:(top+block)*width], width)
	}
	out := sink{re: dst.plane(j.re), im: n.unwanted, width: width, rows: e.shape.blockRows(), spare: n.spare}
	_, out.reUp, _ = e.shape.phase(j.re)
	if j.im >= 0 {
		out.im = dst.plane(j.im)
		_, out.imUp, out.imBack = e.shape.phase(j.im)
	}
	t.columnLast(&out, n.work)
}
