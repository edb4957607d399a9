package osm

// progress tells the caller how far the reading is.
type progress struct {
	f           func(done, total int64)
	done, total int64
}

// add adds bytes to what is done; the total is never passed before the end.
func (p *progress) add(n int64) {
	if p == nil || p.f == nil {
		return
	}
	p.done = min(p.done+n, p.total-1)
	p.f(p.done, p.total)
}

// end says that all is done.
func (p *progress) end() {
	if p != nil && p.f != nil {
		p.f(p.total, p.total)
	}
}
