package recovery

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"
	"sync"
)

// Plan rigs the recovery: it tries the rigs simplest first with every anchor and every sensible choice
// of gear, and returns the first that holds every check; when none does, the one that comes nearest,
// with the failing checks and their cures. The order of the kit and of the anchors has no meaning.
// It fails with [geo.InputError] on figures outside their ranges; missing gear, ratings, soils and
// masses are no errors but findings in the Working.
func (t *Tables) Plan(s Stuck, kit Kit, site Site) (*Working, error) {
	if _, err := t.PullKN(s); err != nil {
		return nil, err
	}
	r, err := t.Rigger(kit, site)
	if err != nil {
		return nil, err
	}
	return r.Plan(s)
}

// A Rigger rigs one recovery after the other with one kit on one site: what does not hang on the pull is worked out once.
// It may be used by several goroutines.
type Rigger struct {
	mu   sync.Mutex
	j    *job
	kit  Kit
	site Site // as given
}

// Rigger prepares a kit and a site. It fails as [Tables.Plan] does.
func (t *Tables) Rigger(kit Kit, site Site) (*Rigger, error) {
	j, err := t.newJob(kit, site)
	if err != nil {
		return nil, err
	}
	return &Rigger{j: j, kit: kit, site: site}, nil
}

// Plan is [Tables.Plan] with the kit and on the site.
func (r *Rigger) Plan(s Stuck) (*Working, error) {
	pull, err := r.j.t.RequiredPull(s)
	if err != nil {
		return nil, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	j := r.j.start(pull, s, false)
	f, err := j.search()
	if err != nil {
		return nil, err
	}
	w := j.working(f.best)
	w.Tried, w.BestMargin, w.Kit, w.Site = f.tried, f.bestMargin, r.kit, r.site
	return w, nil
}

// Short says what keeps the rig that [Rigger.Plan] would show from holding, and its margin, without working it out in
// full: for lists in which most plans are never opened. fails is "" and margin that of the simplest rig that holds
// when one does.
func (r *Rigger) Short(s Stuck) (margin float64, fails string, err error) {
	pull, err := r.j.t.PullKN(s)
	if err != nil {
		return 0, "", err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	j := r.j.start(pull, s, true)
	f, err := j.search()
	a := f.best
	defer func() { giveBack(a) }()
	switch {
	case err != nil:
		return 0, "", err
	case a == nil:
		return 0, noWinch, nil
	case a.holds():
		return a.margin(), "", nil
	default:
		j.say = true
		said, err := j.build(a.winch, a.rig, a.choice.anchor, a.choice.ext, a.choice.hook, a.choice.bridle)
		if err != nil {
			return 0, "", err
		}
		defer giveBack(said)
		return said.margin(), said.fails(), nil
	}
}

// Capacity is the greatest pull, in kN, that the kit can make on the site by any rig: at a pull p the
// best margin is Capacity/p, and it holds while that is above 1. It does not depend on what is stuck, so a
// caller that judges many states with one kit works it out once. 0 means that no rig can be made up at
// all (a piece, a rating, an anchor or line is missing).
func (r *Rigger) Capacity() (kN float64, err error) {
	// All forces go with the pull and the line does not, so a small pull finds the choices of any.
	const probe = 1.0
	r.mu.Lock()
	defer r.mu.Unlock()
	f, err := r.j.start(Pull{CentralKN: probe}, Stuck{}, true).search()
	giveBack(f.best)
	return probe * f.bestMargin, err
}

// noWinch is what fails when there is no winch at all.
const noWinch = "there is no winch"

// newJob prepares the search for rigs with a kit on a site.
func (t *Tables) newJob(kit Kit, site Site) (*job, error) {
	if err := site.check(); err != nil {
		return nil, err
	}
	p, err := t.pool(kit)
	if err != nil {
		return nil, err
	}
	j := &job{t: t, kit: kit, site: site, pool: p}
	if site.TravelM == 0 {
		j.site.TravelM = t.SiteRule["travel_m"].Central
	}
	return j, j.anchors()
}

// start sets the job to a pull. quiet asks for no texts at all.
func (j *job) start(pull Pull, s Stuck, quiet bool) *job {
	j.pull, j.load, j.stuck = pull, pull.CentralKN, s
	if j.load == 0 {
		j.load = pull.HoldBackKN
	}
	j.say, j.quiet = false, quiet
	return j
}

// found is what a search comes to: the simplest rig that holds or the nearest, all that were tried, and the largest
// margin of those that hold.
type found struct {
	best       *attempt
	tried      []Try
	bestMargin float64
}

// search tries the rigs, simplest first.
func (j *job) search() (f found, err error) {
	chosen := false
	for _, w := range []*Winch{j.kit.Winch, j.kit.HandWinch} {
		if w == nil {
			continue
		}
		hand := *w
		hand.Manual = w == j.kit.HandWinch || w.Manual
		if err := hand.check(); err != nil {
			return f, err
		}
		for _, r := range rigs(j.site, hand.Manual) {
			a, err := j.try(&hand, r)
			if err != nil {
				return f, err
			}
			f.tried = append(f.tried, Try{r, a.holds(), a.margin(), a.fails()})
			if a.holds() {
				f.bestMargin = max(f.bestMargin, a.margin())
			}
			switch {
			case f.best == nil, a.holds() && !chosen:
				chosen = a.holds()
				f.best, a = a, f.best
			case !chosen && a.nearer(f.best):
				f.best, a = a, f.best
			}
			giveBack(a)
		}
	}
	return f, nil
}

// A job is the making of plans with one kit on one site.
type job struct {
	t     *Tables
	stuck Stuck
	pull  Pull
	load  float64 // kN on the tackle: the pull, or what holds the vehicle back where it rolls
	kit   Kit
	site  Site
	pool  pool
	holds []AnchorUse // by anchor, in the order of less work first
	list  []Anchor
	turn  *AnchorUse
	slots []slot // scratch of link
	say   bool   // write texts; off while searching
	quiet bool   // never write texts
}

// anchors works out what each anchor holds, in an order of its own.
func (j *job) anchors() error {
	list := slices.Clone(j.site.Anchors)
	if j.site.Helper != nil {
		list = []Anchor{*j.site.Helper}
	}
	uses := make([]AnchorUse, len(list))
	for i, a := range list {
		h, err := j.t.AnchorHold(a)
		if err != nil {
			return err
		}
		uses[i] = AnchorUse{Title: a.Title(), Kind: string(a.Kind), Hold: h}
	}
	idx := make([]int, len(list))
	for i := range idx {
		idx[i] = i
	}
	slices.SortStableFunc(idx, func(a, b int) int {
		return cmp.Or(cmp.Compare(list[a].Kind.order(), list[b].Kind.order()), cmp.Compare(uses[b].Hold.KN, uses[a].Hold.KN),
			cmp.Compare(uses[a].Title, uses[b].Title), cmp.Compare(uses[a].Hold.How, uses[b].Hold.How))
	})
	for _, i := range idx {
		j.list, j.holds = append(j.list, list[i]), append(j.holds, uses[i])
	}
	if j.site.Turn != nil {
		h, err := j.t.AnchorHold(j.site.Turn.Anchor)
		if err != nil {
			return err
		}
		j.turn = &AnchorUse{Title: j.site.Turn.Anchor.Title(), Kind: string(j.site.Turn.Anchor.Kind), Hold: h}
	}
	return nil
}

// An attempt is one rig with one choice of gear and anchor.
type attempt struct {
	rig     Rig
	winch   *Winch
	spool   Spool
	tackle  Tackle
	line    LineUse
	links   []Link
	anchor  AnchorUse
	kind    AnchorKind
	turn    *AnchorUse
	checks  []Check
	missing int
	choice  choice
}

// A choice is what an attempt was built from.
type choice struct {
	anchor       int
	ext          uint
	hook, bridle bool
}

func (a *attempt) holds() bool {
	for _, c := range a.checks {
		if !c.OK {
			return false
		}
	}
	return true
}

func (a *attempt) fails() string {
	for _, c := range a.checks {
		if !c.OK {
			return c.Text
		}
	}
	return ""
}

// margin is the smallest of limit over force; judged anchors do not count, a missing piece gives 0.
func (a *attempt) margin() float64 {
	m := ratio(a.spool.PullKN, a.tackle.FallLineKN)
	for _, l := range a.links {
		m = min(m, l.Margin)
	}
	for _, u := range []*AnchorUse{&a.anchor, a.turn} {
		if u != nil && !u.Hold.Judged {
			m = min(m, u.Margin)
		}
	}
	return m
}

func (a *attempt) failing() (n int) {
	for _, c := range a.checks {
		if !c.OK {
			n++
		}
	}
	return n
}

// lacks tells how hard an attempt is to mend: 0 when gear and anchor would do, 1 when the line is too
// short as well, 2 when the winch cannot pull enough.
func (a *attempt) lacks() int {
	switch {
	case a.tackle.FallLineKN >= a.spool.PullKN:
		return 2
	case a.line.ShortM > 0:
		return 1
	}
	return 0
}

// nearer orders attempts that do not hold: what the winch and line can do at all comes first, then fewer
// missing pieces and failing checks, then the better margin.
func (a *attempt) nearer(b *attempt) bool {
	if x, y := a.lacks(), b.lacks(); x != y {
		return x < y
	}
	if x, y := a.missing+a.failing(), b.missing+b.failing(); x != y {
		return x < y
	}
	return a.margin() > b.margin()+1e-9
}

// try finds the best choice of anchor and gear for one rig.
func (j *job) try(w *Winch, r Rig) (*attempt, error) {
	var best *attempt
	n := max(1, len(j.list))
	for ai := range n {
		for _, ext := range j.extensions(w, r) {
			hooks, bridles := []bool{false}, []bool{false}
			if len(j.pool.units[classHook]) > 0 {
				hooks = []bool{false, true}
			}
			if len(j.pool.units[classBridle]) > 0 {
				bridles = []bool{false, true}
			}
			for _, h := range hooks {
				for _, b := range bridles {
					a, err := j.build(w, r, ai, ext, h, b)
					if err != nil {
						return nil, err
					}
					if best == nil || (a.holds() && !best.holds()) || (a.holds() == best.holds() && (a.holds() && a.margin() > best.margin()+1e-9 || !a.holds() && a.nearer(best))) {
						best, a = a, best
					}
					giveBack(a)
				}
			}
		}
	}
	if j.quiet {
		return best, nil
	}
	// Searching writes no texts; the winner is built once more with them.
	j.say = true
	defer func() { j.say = false }()
	defer giveBack(best)
	return j.build(w, r, best.choice.anchor, best.choice.ext, best.choice.hook, best.choice.bridle)
}

// distance is from the vehicle to the anchor. When it is not given a typical one is taken, or what the line
// reaches with this rig if that is less, but never so little that the vehicle has no way to go.
func (j *job) distance(w *Winch, r Rig) float64 {
	if j.site.DistanceM != 0 {
		return j.site.DistanceM
	}
	d := j.t.SiteRule["distance_m"].Central
	if sp, err := j.t.Spool(*w, 0); err == nil && !r.Turn {
		d = max(j.site.TravelM+1, min(d, sp.UsableM/float64(r.Advantage)))
	}
	return d
}

// lineNeed is the winch line off the drum at a distance with so many metres of extension.
func (j *job) lineNeed(r Rig, distance, ext float64) float64 {
	if r.Turn {
		return distance + max(0, j.site.Turn.DistanceM-ext)
	}
	return max(0, distance-ext) * float64(r.Advantage)
}

// extensions lists the sets of straps and ropes worth trying as extension of the line: none when it
// reaches, else every set without a needless member among the eight strongest pieces that have a length.
func (j *job) extensions(w *Winch, r Rig) []uint {
	sp, err := j.t.Spool(*w, 0)
	d := j.distance(w, r)
	if err != nil || j.lineNeed(r, d, 0) <= sp.UsableM {
		return []uint{0}
	}
	var sets []uint
	straps := j.pool.units[classStrap]
	n := min(8, len(straps))
	length := func(set uint) (sum float64) {
		for i := range n {
			if set&(1<<i) != 0 {
				sum += straps[i].gear.LengthM
			}
		}
		return sum
	}
	// An extension longer than the way to the block, less the vehicle's own travel, cannot be drawn tight.
	room := d - j.site.TravelM
	if r.Turn {
		room = j.site.Turn.DistanceM
	}
	reaches := func(set uint) bool { return j.lineNeed(r, d, length(set)) <= sp.UsableM }
next:
	for set := uint(1); set < 1<<n; set++ {
		if !reaches(set) || length(set) > room {
			continue
		}
		for rest := set; rest != 0; rest &= rest - 1 {
			if bit := rest & -rest; reaches(set &^ bit) {
				continue next
			}
		}
		sets = append(sets, set)
	}
	if len(sets) == 0 {
		return []uint{0}
	}
	slices.SortStableFunc(sets, func(a, b uint) int { return cmp.Compare(bits.OnesCount(a), bits.OnesCount(b)) })
	return sets
}

// attempts are attempts that lost, as memory to build the next ones in.
var attempts = sync.Pool{New: func() any { return &attempt{} }}

// giveBack leaves the memory of an attempt that nothing refers to any more.
func giveBack(a *attempt) {
	if a != nil {
		attempts.Put(a)
	}
}

// build lays one rig out and checks it.
func (j *job) build(w *Winch, r Rig, ai int, ext uint, useHook, useBridle bool) (*attempt, error) {
	t := j.t
	a := attempts.Get().(*attempt)
	*a = attempt{choice: choice{ai, ext, useHook, useBridle}, rig: r, winch: w, tackle: t.Tackle(j.load, r.Advantage, r.Sheaves, j.site.Tackle), links: a.links[:0], checks: a.checks[:0]}
	straps := j.pool.units[classStrap]
	for i := range straps {
		if extends(ext, i) {
			a.line.ExtensionM += straps[i].gear.LengthM
		}
	}
	a.line.DistanceM = j.distance(w, r)
	a.line.NeededM = j.lineNeed(r, a.line.DistanceM, a.line.ExtensionM)
	sp, err := t.Spool(*w, a.line.NeededM)
	if err != nil {
		return nil, err
	}
	a.spool, a.line.UsableM = sp, sp.UsableM
	a.line.ShortM = max(0, a.line.NeededM-sp.UsableM)
	a.anchor, a.kind = AnchorUse{Title: "anchor", Hold: Hold{Refused: "none is given"}}, ""
	if len(j.list) > 0 {
		a.anchor, a.kind = j.holds[ai], j.list[ai].Kind
	}
	lines, _, _ := r.far()
	if r.Helper {
		lines = r.Advantage // the winch and the dead ends all stand on the helper
	}
	a.anchor.NeedKN = a.tackle.DeadLineKN(lines)
	if a.anchor.Hold.KN > 0 {
		a.anchor.Margin = ratio(a.anchor.Hold.KN, a.anchor.NeedKN)
	}
	if j.turn != nil {
		u := *j.turn
		u.NeedKN = BlockLoad(a.tackle.FallLineKN, j.site.Turn.AngleDeg)
		if u.Hold.KN > 0 {
			u.Margin = ratio(u.Hold.KN, u.NeedKN)
		}
		a.turn = &u
	}
	if err := j.link(a, ext, useHook, useBridle); err != nil {
		return nil, err
	}
	for _, l := range a.links {
		if l.Gear == "" {
			a.missing++
		}
	}
	j.check(a)
	return a, nil
}

// check finds out what holds, and says so when texts are wanted.
func (j *job) check(a *attempt) {
	a.checks = slices.Grow(a.checks, 5)
	add := func(key, title string, ok bool, text func() string) {
		c := Check{Key: key, Title: title, OK: ok}
		if j.say {
			c.Text = text()
		}
		a.checks = append(a.checks, c)
	}
	fl, wc := a.tackle.FallLineKN, a.spool.PullKN
	add("winch", "Fall line against winch", fl < wc, func() string {
		rel := "below"
		if fl >= wc {
			rel = "not below"
		}
		if a.rig.Manual {
			return fmt.Sprintf("fall line %.1f kN is %s the hand winch's %.1f kN", fl, rel, wc)
		}
		return fmt.Sprintf("fall line %.1f kN is %s the winch's %.1f kN on layer %d", fl, rel, wc, a.spool.Layer)
	})
	add("line", "Line length", a.line.ShortM == 0, func() string {
		if a.line.ShortM > 0 {
			return fmt.Sprintf("the line is %.1f m short: %.1f m off the drum are needed, %.1f m may leave it", a.line.ShortM, a.line.NeededM, a.line.UsableM)
		}
		return fmt.Sprintf("%.1f m of line are needed, %.1f m may leave the drum", a.line.NeededM, a.line.UsableM)
	})
	bad := slices.IndexFunc(a.links, func(l Link) bool { return l.Margin < 1 })
	add("chain", "Chain", bad < 0, func() string {
		if bad < 0 {
			return "every link bears its force"
		}
		l := a.links[bad]
		if l.Gear == "" {
			return fmt.Sprintf("%s: %s", l.Title, l.How)
		}
		return fmt.Sprintf("%s (%s) bears %.1f kN, below %.1f kN", l.Title, l.Gear, l.LimitKN, l.ForceKN)
	})
	add("anchor", "Anchor", a.anchor.ok(), a.anchor.text)
	if a.turn != nil {
		add("turn_anchor", "Anchor of the turning block", a.turn.ok(), a.turn.text)
	}
}

func (u AnchorUse) ok() bool {
	return u.Hold.Refused == "" && (u.Hold.Judged || u.Hold.KN >= u.NeedKN)
}

func (u AnchorUse) text() string {
	switch {
	case u.Hold.Refused != "":
		return fmt.Sprintf("%s: %s; it must hold %s", u.Title, u.Hold.Refused, force(u.NeedKN))
	case u.Hold.Judged:
		return fmt.Sprintf("%s: must hold %s; accepted by rule, not by figure: %s", u.Title, force(u.NeedKN), u.Hold.How)
	case u.Hold.KN < u.NeedKN:
		return fmt.Sprintf("%s: holds %.1f kN, below %.1f kN (%s)", u.Title, u.Hold.KN, u.NeedKN, u.Hold.How)
	}
	return fmt.Sprintf("%s: holds %.1f kN, %.1f kN needed (%s)", u.Title, u.Hold.KN, u.NeedKN, u.Hold.How)
}
