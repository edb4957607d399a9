package walk

// buckets is a queue of cells in order of time, a ring of lists each covering width seconds. Times
// beyond the ring wait in the last list and are sorted in when their turn comes.
type buckets struct {
	lists   [][]int32
	inverse float32
	now     int // number of the list being worked on, counted from time 0
	left    int // cells in all lists
	free    [][]int32
	short   bool // the ring does not reach over the longest step
}

// maxRing bounds the number of lists; slow paces beyond it only cost a second look.
const maxRing = 1 << 14

func (q *buckets) init(width, longest float64) {
	n := 4
	for float64(n) < longest/width+3 && n < maxRing {
		n *= 2
	}
	*q = buckets{lists: make([][]int32, n), inverse: float32(1 / width), now: -1, short: float64(n) < longest/width+3}
}

// push puts a cell into the list of its time; one whose time has come joins what next gives next.
func (q *buckets) push(cell int32, secs float32) {
	now := max(q.now, 0)
	b := min(max(int(secs*q.inverse), now), now+len(q.lists)-1)
	k := b & (len(q.lists) - 1)
	if q.lists[k] == nil && len(q.free) > 0 {
		q.lists[k] = q.free[len(q.free)-1]
		q.free = q.free[:len(q.free)-1]
	}
	q.lists[k] = append(q.lists[k], cell)
	q.left++
}

// early reports whether a cell taken from the list being worked on belongs to a later one.
func (q *buckets) early(secs float32) bool { return q.short && int(secs*q.inverse) > q.now }

// next takes out the next list that is not empty, the present one again if cells have joined it; nil
// when all are empty.
func (q *buckets) next() []int32 {
	for q.left > 0 {
		k := max(q.now, 0) & (len(q.lists) - 1)
		if l := q.lists[k]; len(l) > 0 {
			q.now = max(q.now, 0)
			q.lists[k] = nil
			q.left -= len(l)
			return l
		}
		q.now = max(q.now, 0) + 1
	}
	return nil
}

// recycle hands back a list worked through.
func (q *buckets) recycle(l []int32) { q.free = append(q.free, l[:0]) }
