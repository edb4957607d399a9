package recovery

// Capacity is the greatest pull, in kN, that the kit can make on the site by any rig: at a pull p the
// best margin is Capacity/p, and it holds while that is above 1. It does not depend on what is stuck, so a
// caller that judges many states with one kit works it out once. 0 means that no rig can be made up at
// all (a piece, a rating, an anchor or line is missing). Errors are those of [Tables.Plan].
func (t *Tables) Capacity(kit Kit, site Site) (kN float64, err error) {
	if err := site.check(); err != nil {
		return 0, err
	}
	p, err := t.pool(kit)
	if err != nil {
		return 0, err
	}
	// All forces go with the pull and the line does not, so a small pull finds the choices of any.
	const probe = 1.0
	j := &job{t: t, load: probe, kit: kit, site: site, pool: p, quiet: true}
	if site.TravelM == 0 {
		j.site.TravelM = t.SiteRule["travel_m"].Central
	}
	if err := j.anchors(); err != nil {
		return 0, err
	}
	for _, w := range []*Winch{kit.Winch, kit.HandWinch} {
		if w == nil {
			continue
		}
		hand := *w
		hand.Manual = w == kit.HandWinch || w.Manual
		if err := hand.check(); err != nil {
			return 0, err
		}
		for _, r := range rigs(j.site, hand.Manual) {
			a, err := j.try(&hand, r)
			if err != nil {
				return 0, err
			}
			if a.holds() {
				kN = max(kN, probe*a.margin())
			}
		}
	}
	return kN, nil
}
