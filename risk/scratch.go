package risk

import (
	"sync"

	"lastroad/risk/coverage"
)

// scratch is memory that a judging works in and that no answer refers to. Judging after every edit would else
// ask for some megabytes each time and hand them to the collector at once. A nil scratch gives fresh memory.
type scratch struct {
	exposed []cell
	cells   []coverage.Cell
	pieces  []coverage.Piece
	classes []coverage.Class
	number  map[situation]int32
	trials  [][2][]*trial
	from    []*madeClass
	sit     []situation
	atoms   []int32
	near    []nearClass
	classAt []int32
	costs   []eventTally
	key     []byte
	work    coverage.Work
	floats  []float64
	used    int
}

var scratches = sync.Pool{New: func() any { return &scratch{} }}

// take gives n zeros that last until the scratch is given back.
func (s *scratch) take(n int) []float64 {
	if s == nil {
		return make([]float64, n)
	}
	if s.used+n > len(s.floats) {
		s.floats, s.used = make([]float64, max(n, 2*len(s.floats), 1<<14)), 0
	}
	v := s.floats[s.used : s.used+n : s.used+n]
	s.used += n
	clear(v)
	return v
}

// evaluate works a model out in the scratch's memory.
func (s *scratch) evaluate(m *coverage.Model) *coverage.Work {
	if s == nil {
		return coverage.NewWork(m)
	}
	s.work.Reset(m)
	return &s.work
}

// room gives the study scratch memory, to be given back with release.
func (st *study) room() *scratch {
	if !st.opts.pooled {
		return nil
	}
	s := scratches.Get().(*scratch)
	s.used = 0
	st.rooms = append(st.rooms, s)
	return s
}

// release gives the scratch memory back. Nothing of the study may be used after it.
func (st *study) release() {
	if st == nil {
		return
	}
	for _, s := range st.rooms {
		s.giveBack()
	}
	st.rooms = nil
}

// giveBack hands the memory back to the pool, without what points into models, memos and catalogues: the pool must not
// keep them alive.
func (s *scratch) giveBack() {
	s.work.Drop()
	clear(s.classes)
	clear(s.trials)
	clear(s.from)
	scratches.Put(s)
}
